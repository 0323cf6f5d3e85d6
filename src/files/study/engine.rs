//! Whether the pulls of the test day begin and end where the car revs.

use std::path::Path;

use super::plan::Place;
use crate::car::Car;
use crate::dyno::{EXTENSION_RPM, Spec, TestDay};
use crate::files::finding::Findings;
use crate::files::yaml;

/// Share of the rev limit that the pulls of every spec must reach: the rest of the range would be
/// guessed or left out.
const LEAST_REACH: f64 = 0.8;

/// Share of the rev limit by which the pulls of every spec must have begun.
const MOST_BEGIN: f64 = 0.8;

/// The engine speed, rpm, at which the pulls of a spec end.
fn end_of(spec: &Spec) -> Option<f64> {
    let pulls = spec.fittings.iter().flat_map(|fitting| &fitting.pulls);
    pulls
        .flat_map(|pull| pull.rpm.iter().copied())
        .max_by(f64::total_cmp)
}

/// The engine speed, rpm, at which the pulls of a spec begin.
fn begin_of(spec: &Spec) -> Option<f64> {
    let pulls = spec.fittings.iter().flat_map(|fitting| &fitting.pulls);
    pulls
        .flat_map(|pull| pull.rpm.iter().copied())
        .min_by(f64::total_cmp)
}

/// The lowest engine speed, rpm, at which the pulls of some spec end.
pub fn pulls_end(test_day: &TestDay) -> Option<f64> {
    test_day
        .specs
        .iter()
        .filter_map(end_of)
        .min_by(f64::total_cmp)
}

/// Finds the spec, of those compared, whose pulls begin last where that leaves next to nothing below the rev
/// limit.
pub fn check_begin(
    test_day: &TestDay,
    compared: &[usize],
    path: &Path,
    car: &Car,
    findings: &mut Findings,
) {
    let last = compared
        .iter()
        .filter_map(|&index| Some((index, begin_of(&test_day.specs[index])?)))
        .max_by(|a, b| a.1.total_cmp(&b.1));
    let Some((index, begin)) = last else {
        return;
    };
    let limit = car.rev_limit_rpm;
    if begin <= MOST_BEGIN * limit {
        return;
    }
    let text = format!(
        "the pulls of {} begin at {begin:.0} rpm, and the rev limit is {limit:.0}",
        test_day.specs[index].name
    );
    findings.push(place_of_spec(path, index).error(
        text,
        "pull from lower down, or mend `rev_limit` in the car file",
    ));
}

/// Finds the spec, of those compared, whose pulls end first where that is short of the rev limit: all specs are driven
/// no further than it was measured.
pub fn check_reach(
    test_day: &TestDay,
    compared: &[usize],
    path: &Path,
    car: &Car,
    findings: &mut Findings,
) {
    let first = compared
        .iter()
        .filter_map(|&index| Some((index, end_of(&test_day.specs[index])?)))
        .min_by(|a, b| a.1.total_cmp(&b.1));
    let Some((index, end)) = first else {
        return;
    };
    let limit = car.rev_limit_rpm;
    if end + EXTENSION_RPM >= limit {
        return;
    }
    let place = place_of_spec(path, index);
    let text = format!(
        "the pulls of {} end at {end:.0} rpm, and the rev limit is {limit:.0}",
        test_day.specs[index].name
    );
    findings.push(if end < LEAST_REACH * limit {
        place.error(
            text,
            "pull to the limit the builder allows, or lower `rev_limit` in the car file",
        )
    } else {
        let reach = end + EXTENSION_RPM;
        place.warning(
            text,
            format!("all specs are compared up to {reach:.0} rpm; pull further"),
        )
    });
}

/// Where a spec stands in its file.
fn place_of_spec(path: &Path, index: usize) -> Place {
    let mut place = None;
    // The file was read without a fault a moment ago.
    yaml::read(path, &mut Findings::new(), |root| {
        let specs = root
            .entries()?
            .into_iter()
            .find(|item| item.name() == "specs")?;
        place = specs.list()?.get(index).map(Place::of);
        Some(())
    });
    place.unwrap_or_else(|| Place::whole(path))
}
