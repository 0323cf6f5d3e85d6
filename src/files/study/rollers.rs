//! Whether road speed on the dyno goes with a gear of the car.

use std::path::Path;

use super::plan::Place;
use crate::car::Car;
use crate::car::driveline::rpm_per_speed;
use crate::files::finding::Findings;
use crate::files::testday::SPEEDS;
use crate::files::yaml;
use crate::units::{KILOMETRE_PER_HOUR, SPEED, plain};

/// How far the speed per 1,000 rpm may lie from that of the nearest gear: tyres on rollers roll some per
/// cent differently (common practice, no source).
const NEAR: f64 = 0.04;

/// Warns where `speed_per_1000_rpm` of a test day is that of no gear of the car, in any trim.
pub fn check(path: &Path, car: &Car, findings: &mut Findings) {
    let mut found = None;
    // The file was read without a fault a moment ago.
    yaml::read(path, &mut Findings::new(), |root| {
        let item = under(&under(&root, "dyno")?, "speed_per_1000_rpm")?;
        found = Some((item.quantity(&SPEED, SPEEDS)?, Place::of(&item)));
        Some(())
    });
    let Some((written, place)) = found else {
        return;
    };
    let speed =
        |ratio: f64, radius: f64| 1000.0 / rpm_per_speed(ratio * car.final_drive.ratio, radius);
    let gears = |radius: f64| {
        car.gearbox
            .ratios
            .iter()
            .map(move |ratio| speed(*ratio, radius))
    };
    let mut all = car.trims.iter().flat_map(|trim| gears(trim.rolling_radius));
    if all.any(|gear| (written / gear - 1.0).abs() < NEAR) {
        return;
    }
    let Some(trim) = car.trims.first() else {
        return;
    };
    let kmh = |speed: f64| plain((speed / KILOMETRE_PER_HOUR * 10.0).round() / 10.0);
    let own: Vec<String> = gears(trim.rolling_radius).map(kmh).collect();
    let text = format!(
        "speed_per_1000_rpm: {} km/h is no gear of {}: its gears make {}",
        kmh(written),
        car.name,
        own.join(", ")
    );
    let remedy = "write the figure of the gear that was pulled in; right where the dyno day had another final drive \
                  or other tyres";
    findings.push(place.warning(text, remedy));
}

fn under<'a>(item: &yaml::Item<'a>, key: &str) -> Option<yaml::Item<'a>> {
    let mut entries = item.entries()?.into_iter();
    entries.find(|entry| entry.name() == key)
}
