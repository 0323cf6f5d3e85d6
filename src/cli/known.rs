//! Known times put to use before a study is driven, and what to look at where they fit nothing.

use std::path::Path;

use super::Failure;
use crate::files::finding::{Finding, Findings, Position};
use crate::files::study as study_file;
use crate::report::format::{clock, decimal, percent};
use crate::report::states;
use crate::study::known::{Change, KnownError, Suspect, minutes, settle};
use crate::study::{Engines, Entry, Study};
use crate::units;

/// Changes that are named.
const NAMED: usize = 2;

/// Solves the driver's corner share at each venue with a known time.
///
/// # Errors
/// A time that no share gives, or that cannot be driven.
pub fn solve(study: &mut Study, engines: &Engines, path: &Path) -> Result<(), Failure> {
    let faults = unsolved(study, engines, path);
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Failure::Input(faults))
    }
}

/// As [`solve`]: a fault for each known time that says nothing of the driver.
pub fn unsolved(study: &mut Study, engines: &Engines, path: &Path) -> Findings {
    let mut faults = Findings::new();
    for (index, error) in settle(study, engines) {
        let finding = fault(&study.entries[index], &error);
        let at = study_file::known(path, index).unwrap_or_else(|| Position::file(path));
        faults.push(finding.at(at));
    }
    faults
}

fn fault(entry: &Entry, error: &KnownError) -> Finding {
    let course = &entry.course;
    let KnownError::Beyond {
        known,
        nearest,
        share,
        changes,
        specs,
        grip,
    } = error
    else {
        let text = format!("{}: known time: {error}", entry.name);
        return Finding::error(text).remedy("check `known` in the track file");
    };
    let (side, end) = match known < nearest {
        true => ("quicker", "already"),
        false => ("slower", "still"),
    };
    let text = format!(
        "{}: the known time of {} is {side} than any driver's corner share gives: at {} of the limit \
         it is {end} {}",
        entry.name,
        clock(*known, course.kind),
        percent(*share),
        clock(*nearest, course.kind),
    );
    let day = course.known.as_ref().and_then(|k| k.condition.as_ref());
    let mut remedies: Vec<String> = Vec::new();
    if let Some((minutes, seconds)) = minutes(*known, *nearest) {
        return Finding::error(text).remedy(format!(
            "{minutes} min {seconds} s? write `time: \"{minutes}:{seconds:02}\"`"
        ));
    }
    if let [first, ..] = &specs[..] {
        let fitted = specs.join(" or ");
        remedies.push(format!(
            "was {fitted} fitted? with it this time can be driven: write `spec: {first}` in `known`"
        ));
    }
    if let Some((grip, state)) = grip.zip(day) {
        remedies.push(format!(
            "with the corner speeds as they are the {state} would have {} of the grip in the dry: write `{}`",
            decimal(grip, 2),
            states::with_grip(&course.conditions, state, grip)
        ));
    }
    remedies.push(look_at(changes));
    if known > nearest && day.is_none() {
        remedies.push("was it damp or wet? write `conditions`".to_owned());
    }
    Finding::error(text).remedy(remedies.join("; "))
}

/// What to look at: the inputs that could explain the time, or the time itself where none could.
fn look_at(changes: &[Change]) -> String {
    let likely: Vec<String> = changes.iter().take(NAMED).map(suspect).collect();
    if likely.is_empty() {
        return "no input is likely to be that far off: check that the time was done on this road, with this car, or \
                leave `known` out"
            .to_owned();
    }
    format!("look first at {}", likely.join(", then at "))
}

/// An input and how far it would have to be off.
fn suspect(change: &Change) -> String {
    let more = if change.by > 0.0 { "more" } else { "less" };
    let by = change.by.abs();
    let percent = format!("{} %", units::plain((1000.0 * by).round() / 10.0));
    match change.suspect {
        Suspect::Grip => format!("grip ({percent} {more} would do)"),
        Suspect::Mass => format!("mass ({} kg {more})", decimal(by, 0)),
        Suspect::Torque => format!("the engine's torque ({percent} {more})"),
        Suspect::Length => format!("the length of the road ({percent} {more})"),
    }
}
