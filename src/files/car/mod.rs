//! `car.yaml` to a [`Car`].
//!
//! Five lines are enough: mass, drive, tyre, ratios and final drive. What else is left out is
//! filled in with what is common practice and listed as assumed; everything the physics uses can
//! be given outright.

mod body;
mod elsewhere;
mod gears;
mod measured;
mod options;
mod purchases;
mod ratios;
mod trims;
mod uncertain;

#[cfg(test)]
mod tests;

use std::path::Path;

pub use trims::{USUAL_SURFACES, grip_in_words, mass_of_car, usual_grip};

use super::finding::Findings;
use super::kind::{self, FileKind};
use super::source::Source;
use super::yaml::{self, Item, Map};
use crate::car::driveline::TYPICAL_RATIO_MAX;
use crate::car::{Car, Drive, Rotating};
use crate::units;

/// Every key of a car file.
const KEYS: &[&str] = &[
    "name",
    "drive",
    "gearbox",
    "ratios",
    "shift_time",
    "first_gear",
    "efficiency",
    "final_drive",
    "rev_limit",
    "engine",
    "trims",
    "mass",
    "tyre",
    "grip",
    "rolling_radius",
    "weight_front",
    "wheelbase",
    "track",
    "cg_height",
    "body",
    "drag_area",
    "lift_area",
    "rolling",
    "differential",
    "roll_share",
    "flywheel",
    "inertia",
    "launch",
    "options",
    "currency",
    "uncertain",
    "measured_speed",
    gears::PER_1000_RPM,
];

/// Rev limit where neither the car nor any pull says one, rpm (common practice).
const USUAL_LIMIT_RPM: f64 = 7000.0;

/// What people call the driven axle's share of the roll stiffness.
const ROLL_SHARE: &str = "roll stiffness on the driven axle:";

/// Reads a car file.
pub fn read(path: &Path, findings: &mut Findings) -> Option<Car> {
    read_beside(path, None, findings)
}

/// As [`read`]; `pulls_end` is the engine speed in rpm at which the longest pulls of its test day end, and
/// is taken for the rev limit where the car file has none.
pub fn read_beside(path: &Path, pulls_end: Option<f64>, findings: &mut Findings) -> Option<Car> {
    yaml::read(path, findings, |root| car(root, pulls_end))
}

/// As [`read_beside`], from a text already in memory.
pub fn decode(source: Source, pulls_end: Option<f64>, findings: &mut Findings) -> Option<Car> {
    yaml::decode(source, findings, |root| car(root, pulls_end))
}

/// The car of a root value.
fn car(root: Item, pulls_end: Option<f64>) -> Option<Car> {
    kind::expect(&root, FileKind::Car, KEYS)?;
    let map = root.mapping_where(KEYS, elsewhere::TOLD)?;
    let drive = map.require("drive", "rear").and_then(|item| drive(&item));
    let layout = drive.unwrap_or(Drive::Rear);
    let trims = trims::all(&map);
    let currency = map.take("currency").and_then(|item| item.text());
    let radius = trims
        .as_ref()
        .and_then(|t| t.first())
        .map(|t| t.rolling_radius);
    let written = map
        .take("final_drive")
        .and_then(|item| gears::final_drive(&item, currency.as_deref()));
    let beyond = written.as_ref().map(|drive| drive.ratio).zip(radius);
    let gearbox = gears::fitted(&map, layout, currency.as_deref(), beyond);
    let speeds = measured::speeds(&map);
    let ratios = gearbox.as_ref().map_or(&[][..], |set| &set.ratios);
    let told = radius.and_then(|radius| measured::final_drive(&speeds, ratios, radius));
    let final_drive = match told.filter(|_| !map.has("final_drive")) {
        Some(ratio) => gears::told_by_speed(&map, ratio),
        None => map.require("final_drive", "9/38").and(written),
    };
    let rev_limit_rpm = rev_limit(&map, pulls_end);
    let rotating = body::rotating(&map, radius);
    let (launch_rpm, default_launch_rpm) = body::launch(&map, rev_limit_rpm);
    let context = options::Context {
        fitted: gearbox.as_ref(),
        final_drive: final_drive.as_ref(),
        radius,
        drive: layout,
        currency: currency.as_deref(),
    };
    let (options, purchases) = purchases::all(&map, &context, trims.as_deref(), rev_limit_rpm);
    let length =
        |key, label, range, usual| map.quantity_or(key, label, &units::LENGTH, range, usual);
    let car = Car {
        name: name(&map),
        drive: layout,
        front_share: body::front_share(&map, layout),
        wheelbase: length("wheelbase", "wheelbase", 0.5..=10.0, 2.40),
        track_width: length("track", "track width", 0.3..=5.0, 1.40),
        cg_height: length("cg_height", "height of the centre of mass", 0.0..=2.0, 0.50),
        drag_area: body::drag_area(&map),
        lift_area: body::lift_area(&map),
        rolling: body::rolling(&map),
        differential: body::differential(&map),
        roll_share: map.share_or("roll_share", ROLL_SHARE, 0.0..=1.0, 0.5),
        engine: body::engine_size(&map),
        uncertain: uncertain::uncertain(&map, trims.as_deref()),
        rev_limit_rpm,
        trims: trims?,
        gearbox: gearbox?,
        final_drive: final_drive?,
        rotating: rotating?,
        launch_rpm,
        default_launch_rpm,
        final_drive_options: options.0,
        gearbox_options: options.1,
        purchases,
    };
    drive?;
    warn_of_long_reduction(&map, &car);
    measured::check(&speeds, &car);
    let mass = car.trims.iter().map(|trim| trim.mass).fold(0.0, f64::max);
    body::ask_coefficient(&map, mass);
    Some(car)
}

fn drive(item: &Item) -> Option<Drive> {
    item.one_of(&[
        ("front", Drive::Front),
        ("rear", Drive::Rear),
        ("all", Drive::All),
    ])
}

/// The name for people: written, or that of the file or its folder.
fn name(map: &Map) -> String {
    let written = map.take("name").and_then(|item| item.title());
    let path = map.item().path();
    let stem = |p: &Path| p.file_stem().map(|s| s.to_string_lossy().into_owned());
    let whole = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = || whole.parent().and_then(stem).filter(|s| !s.is_empty());
    written
        .or_else(|| stem(path).filter(|s| s != "car"))
        .or_else(folder)
        .unwrap_or_else(|| "the car".to_owned())
}

fn rev_limit(map: &Map, pulls_end: Option<f64>) -> f64 {
    match (map.take("rev_limit"), pulls_end) {
        (Some(item), _) => item.rpm(100.0..=30_000.0).unwrap_or(USUAL_LIMIT_RPM),
        (None, Some(end)) => {
            map.assumed(
                "rev_limit",
                format!("rev limit {end:.0} rpm, where the longest pulls end"),
            );
            end
        }
        (None, None) => {
            map.assumed("rev_limit", format!("rev limit {USUAL_LIMIT_RPM:.0} rpm"));
            USUAL_LIMIT_RPM
        }
    }
}

/// The mass factor of ordinary cars is far outside its range with a very short first gear.
fn warn_of_long_reduction(map: &Map, car: &Car) {
    let total = car.gearbox.ratios[0] * car.final_drive.ratio;
    if car.rotating == Rotating::Typical && total > TYPICAL_RATIO_MAX {
        let text = format!(
            "first gear reduces {} to 1, where the ordinary-car rule for what spins up is rough",
            units::plain(total)
        );
        let remedy =
            "give `flywheel: light`, or `inertia: {engine: 0.12 kg m2, wheels: 3.6 kg m2}`";
        let item = map
            .take("gearbox")
            .or_else(|| map.take("ratios"))
            .unwrap_or(map.item());
        item.warning(text, remedy);
    }
}
