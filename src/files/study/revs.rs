//! Whether the engine speed of a log is that of the car.

use std::path::Path;

use crate::car::driveline::rpm_per_speed;
use crate::car::{Car, Trim};
use crate::files::finding::{Finding, Position};
use crate::venue::Course;
use crate::venue::log::gears::counted;

/// A question about a log at a track whose engine speeds fit the gears of the car at twice or half their figure.
pub fn counted_twice(track: &Path, course: &Course, car: &Car, trim: &Trim) -> Option<Finding> {
    let log = course.log.as_ref()?;
    let of = |ratio: &f64| rpm_per_speed(ratio * car.final_drive.ratio, trim.rolling_radius);
    let gears: Vec<f64> = car.gearbox.ratios.iter().map(of).collect();
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
