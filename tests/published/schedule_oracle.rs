//! The search against label setting.

use std::path::Path;

use pullrank::files::finding::Findings;
use pullrank::files::study;
use pullrank::lap::{Cells, Limits, Variant};
use pullrank::schedule::{Choice, search};
use pullrank::study::run::variant;
use pullrank::study::{Engines, Setup};
use pullrank::venue::Course;

use crate::support::oracle::optimum;

/// Length of steps and cells, m: both sides are then within 0.1 ms of converged.
const STEP: f64 = 0.25;
/// Seconds that the search may lose.
const ACCEPTED: f64 = 1e-3;

/// Seconds of the search at best.
fn at_best(variant: &Variant, course: &Course) -> f64 {
    let machine = variant.compile(course).unwrap();
    let cells = Cells::new(course, variant.nominal(course).unwrap(), STEP).unwrap();
    let limits = Limits::new(&machine, &cells).unwrap();
    let found = search(&machine, &cells, &limits, Choice::AtBest).unwrap();
    found.lap.time
}

#[test]
fn reference_demo_venues_at_best() {
    let mut findings = Findings::new();
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/club-season.yaml");
    let season = study::read(&path, &mut findings).expect("the demo study");
    let limit = season.car.rev_limit_rpm;
    let engines = Engines::of(&season.test_day, &season.compared, limit).expect("curves");
    for entry in &season.entries {
        let variant = variant(&season, &engines, entry, 0, Setup::FITTED);
        let best = optimum(&variant, &entry.course, STEP).expect("it gets round");
        let found = at_best(&variant, &entry.course);
        let name = &entry.course.name;
        println!(
            "{name} {:.4} s, search {:+.3} ms, {} labels, {} changes",
            best.time,
            1e3 * (found - best.time),
            best.labels,
            best.changes.len()
        );
        assert!(
            (found - best.time).abs() < ACCEPTED,
            "{name} {} {found}",
            best.time
        );
    }
}
