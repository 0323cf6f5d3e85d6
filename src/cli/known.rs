//! Known times put to use before a study is driven, and what to look at where they fit nothing.

use std::path::Path;

use super::Failure;
use crate::files::finding::{Finding, Findings, Position};
use crate::files::study as study_file;
use crate::report::format::{clock, decimal, percent};
use crate::study::known::{Change, KnownError, Suspect, settle};
use crate::study::{Engines, Entry, Study};

/// Changes that are named.
const NAMED: usize = 2;
/// Nobody is farther off than this many times what is usual.
const FARTHEST: f64 = 6.0;

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
    let mut remedy = look_at(changes);
    let day = course.known.as_ref().and_then(|k| k.condition.as_ref());
    if known > nearest && day.is_none() {
        remedy.push_str("; was it damp or wet? write `conditions`");
    }
    Finding::error(text).remedy(remedy)
}

/// What to look at: the inputs that could explain the time, or the time itself where none could.
fn look_at(changes: &[Change]) -> String {
    let likely = changes.iter().take_while(|change| change.steps < FARTHEST);
    let likely: Vec<String> = likely.take(NAMED).map(suspect).collect();
    if likely.is_empty() {
        return "no input is likely to be that far off: check that the time was done on this road, \
                with this car"
            .to_owned();
    }
    format!("look first at {}", likely.join(", then at "))
}

/// An input and how far it would have to be off.
fn suspect(change: &Change) -> String {
    let more = if change.by > 0.0 { "more" } else { "less" };
    let by = change.by.abs();
    match change.suspect {
        Suspect::Grip => format!("grip ({} {more} would do)", percent(by)),
        Suspect::Mass => format!("mass ({} kg {more})", decimal(by, 0)),
        Suspect::Torque => format!("the engine's torque ({} {more})", percent(by)),
        Suspect::Length => format!("the length of the road ({} {more})", percent(by)),
    }
}
