//! Whether the engine speed of a log is that of the car.

use std::path::Path;

use crate::car::driveline::rpm_per_speed;
use crate::car::{Car, FinalDrive, Trim};
use crate::files::finding::{Finding, Position};
use crate::venue::Course;
use crate::venue::log::gears::{compare, counted};

/// The gears of a car as it stands, rpm per m/s.
fn gears(car: &Car, trim: &Trim) -> Vec<f64> {
    let of = |ratio: &f64| rpm_per_speed(ratio * car.final_drive.ratio, trim.rolling_radius);
    car.gearbox.ratios.iter().map(of).collect()
}

/// A question about a log at a track whose engine speeds fit the gears of the car at twice or half their figure.
pub fn counted_twice(track: &Path, course: &Course, car: &Car, trim: &Trim) -> Option<Finding> {
    let log = course.log.as_ref()?;
    let gears = gears(car, trim);
    let (twice, mend) = match counted(&log.gears, &gears)? > 1.0 {
        true => ("twice", "halved"),
        false => ("half", "doubled"),
    };
    let text = format!(
        "{}: the engine speeds of the log are {twice} what the gears of {} make at its road speeds: is the spark \
         counted otherwise than the instrument is set to?",
        course.name, car.name
    );
    let finding = Finding::warning(text).at(Position::file(track));
    let remedy = format!(
        "times and seconds per band rest on the speeds alone; read the log's own revs {mend}"
    );
    Some(finding.remedy(remedy))
}

/// Engine speeds that are farther off are those of another final drive or tyre: worn and warm tyres and driven wheels
/// that slip make 2 to 3 %, and final drives of one axle differ by 4 % and more (common practice, no source).
const ANOTHER: f64 = 0.04;
/// An option of the car that fits so nearly is named: a quarter of what final drives of one axle differ by.
const FITS: f64 = 0.01;
/// The gears of a log that tell: fewer may be a ratio typed wrongly.
const GEARS: usize = 2;

/// A question about a log at a track whose engine speeds lie beside those that the gears of the car make, in all of
/// them alike.
pub fn other_gears(track: &Path, course: &Course, car: &Car, trim: &Trim) -> Option<Finding> {
    let log = course.log.as_ref()?;
    let gears = gears(car, trim);
    let found = compare(&log.gears, &gears)?;
    let seen = found
        .gears
        .iter()
        .filter(|gear| gear.seen.is_some())
        .count();
    let off = found.scale - 1.0;
    if off.abs() < ANOTHER
        || seen < GEARS
        || !found.odd.is_empty()
        || counted(&log.gears, &gears).is_some()
    {
        return None;
    }
    let text = format!(
        "{}: the engine speeds of the log are {:.1} % {} than the gears of {} make at its road speeds, in all {seen} \
         gears: were another final drive or other tyres on the car?",
        course.name,
        100.0 * off.abs(),
        if off > 0.0 { "higher" } else { "lower" },
        car.name
    );
    let (ratio, radius) = (
        found.final_drive(car.final_drive.ratio),
        found.rolling_radius(trim.rolling_radius),
    );
    let near = |option: &&FinalDrive| (option.ratio / ratio - 1.0).abs() < FITS;
    let option = car.final_drive_options.iter().find(near);
    let option = option.map_or(String::new(), |option| match option.teeth {
        Some((pinion, wheel)) => format!(" (its {pinion}/{wheel})"),
        None => format!(" (its {:.2})", option.ratio),
    });
    let finding = Finding::warning(text).at(Position::file(track));
    Some(finding.deciding().remedy(format!(
        "a final drive of {ratio:.2}{option} fits, or a rolling radius of {:.0} mm: write what the car has; speeds and the \
         road of the log stay",
        1000.0 * radius
    )))
}
