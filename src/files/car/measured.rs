//! Speeds that were measured in a gear, held against what the file's gears, final drive and tyre make of them.

use super::ratios::MOST_GEARS;
use crate::car::driveline::rpm_per_speed;
use crate::car::{Car, FinalDrive};
use crate::files::yaml::{Item, Map};
use crate::units::{KILOMETRE_PER_HOUR, SPEED, plain};

/// Share by which a measured speed may lie off unasked: tyres creep, wear and grow, and a satnav has its lag (common
/// practice, no source).
const NEAR: f64 = 0.03;
/// The same of two gears, for one cause to explain both: the tyre is the same, half of that is left for reading.
const ALIKE: f64 = 0.015;

/// A speed at an engine speed in a gear.
pub struct Measured<'a> {
    gear: usize,
    rpm: f64,
    /// m/s.
    speed: f64,
    item: Item<'a>,
}

/// What is measured of the car, as in `measured_speed: {gear: 5, rpm: 3500, speed: 114 km/h}`, one or several.
pub fn speeds<'a>(map: &Map<'a>) -> Vec<Measured<'a>> {
    let items = map
        .take("measured_speed")
        .map_or_else(Vec::new, |item| item.one_or_more());
    items.into_iter().filter_map(measured).collect()
}

fn measured(item: Item) -> Option<Measured> {
    let map = item.mapping(&["gear", "rpm", "speed"])?;
    let gear = map
        .require("gear", "4")
        .and_then(|item| item.integer(1..=MOST_GEARS as i64));
    let rpm = map
        .require("rpm", "3000")
        .and_then(|item| item.rpm(500.0..=20_000.0));
    let speed = map.require("speed", "71 km/h");
    let speed = speed.and_then(|item| item.quantity(&SPEED, 1.0..=150.0));
    Some(Measured {
        gear: gear? as usize,
        rpm: rpm?,
        speed: speed?,
        item,
    })
}

/// The final drive that the first measured speed tells where none is written.
pub fn final_drive(speeds: &[Measured], ratios: &[f64], radius: f64) -> Option<f64> {
    let first = speeds.first()?;
    let ratio = ratios.get(first.gear - 1)?;
    Some(first.rpm / (first.speed * rpm_per_speed(*ratio, radius)))
}

/// Asks about measured speeds that the file does not make.
pub fn check(speeds: &[Measured], car: &Car) {
    let radius = car.trims[0].rolling_radius;
    let off: Vec<(&Measured, f64, f64)> = speeds
        .iter()
        .filter_map(|one| {
            let Some(ratio) = car.gearbox.ratios.get(one.gear - 1) else {
                let text = format!(
                    "gear {}: the set has {} gears",
                    one.gear,
                    car.gearbox.ratios.len()
                );
                one.item.error(text, "count from 1, reverse left out");
                return None;
            };
            let made = one.rpm / rpm_per_speed(ratio * car.final_drive.ratio, radius);
            Some((one, *ratio, one.speed / made))
        })
        .collect();
    let Some((first, ratio, times)) = off.iter().find(|one| (one.2 - 1.0).abs() > NEAR) else {
        return;
    };
    let kmh = |speed: f64| plain((10.0 * speed / KILOMETRE_PER_HOUR).round() / 10.0);
    let text = format!(
        "{:.0} rpm in gear {} were {} km/h, and this file makes it {}: {:+.1} %",
        first.rpm,
        first.gear,
        kmh(first.speed),
        kmh(first.speed / times),
        100.0 * (times - 1.0)
    );
    let drive = fitting(car, car.final_drive.ratio / times);
    let own_gear = format!("gear {} of {:.2}", first.gear, ratio / times);
    let tyre = format!("a rolling radius of {:.0} mm", 1e3 * radius * times);
    let others = off.iter().filter(|one| one.0.gear != first.gear);
    let alike = |one: &&(&Measured, f64, f64)| (one.2 / times).ln().abs() < ALIKE;
    let causes = match (others.clone().next(), others.clone().all(|one| alike(&one))) {
        (None, _) => format!(
            "{drive}, {own_gear} or {tyre} would make it so: measure another gear too, which tells one from the others"
        ),
        (Some(_), true) => format!("other gears are off alike: {drive} or {tyre} would make it so"),
        (Some(_), false) => format!("other gears are not off alike: {own_gear} would make it so"),
    };
    first.item.ask(
        text,
        format!("{causes}; else the counter or the speed is wrong"),
    );
}

/// A final drive in words, with the one offered that it is.
fn fitting(car: &Car, ratio: f64) -> String {
    let is_it = |drive: &&FinalDrive| (drive.ratio / ratio).ln().abs() < ALIKE;
    let teeth = car
        .final_drive_options
        .iter()
        .find(is_it)
        .and_then(|drive| drive.teeth);
    match teeth {
        Some((pinion, wheel)) => format!("a final drive of {ratio:.2} ({pinion}/{wheel})"),
        None => format!("a final drive of {ratio:.2}"),
    }
}
