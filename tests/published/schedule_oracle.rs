//! The search against label setting, on the demo venues and on a few of a seeded sample of roads;
//! `examples/schedule_study.rs` does more of them, its table is in `tests/reference/schedule`.

use pullrank::lap::{Cells, Limits, Variant};
use pullrank::schedule::grade::{FINE, graded};
use pullrank::schedule::{Choice, search};
use pullrank::venue::Course;

use crate::support::demo::{VENUES, demo_car, demo_venue, manifolds, variant};
use crate::support::oracle::optimum;
use crate::support::sample::case;

/// Length of steps and cells, m.
const STEP: f64 = 0.25;
/// Seconds that the search may be off.
const ACCEPTED: f64 = 1e-3;

/// The time at best agrees.
fn agrees(variant: &Variant, course: &Course, name: &str) {
    let Some(best) = optimum(variant, course, STEP) else {
        println!("{name}: no lap that begins where braking ends");
        return;
    };
    let machine = variant.compile(course).unwrap();
    let cells = Cells::new(course, variant.nominal(course).unwrap(), STEP).unwrap();
    let limits = Limits::new(&machine, &cells).unwrap();
    let found = search(&machine, &cells, &limits, Choice::AtBest).unwrap();
    let off = found.lap.time - best.time;
    println!(
        "{name}: {:.4} s, search {:+.3} ms, {} labels, {} changes",
        best.time,
        1e3 * off,
        best.labels,
        best.changes.len()
    );
    assert!(off.abs() < ACCEPTED, "{name}: {off:+.5} s");
}

#[test]
fn reference_demo_venues_at_best() {
    let car = demo_car("rowan-coupe");
    for name in VENUES {
        let course = demo_venue(name);
        for curve in manifolds() {
            agrees(&variant(&car, &curve, &course), &course, name);
        }
    }
}

#[test]
fn reference_sample_at_best() {
    for seed in 0..8 {
        let case = case(seed);
        let name = format!("{seed} {}", case.about);
        agrees(&case.variant(), &case.course, &name);
    }
}

/// Roads on which the search once missed a change, or cells once stated too small an error: the
/// optima of the table.
#[test]
fn reference_roads_once_missed() {
    let table = std::fs::read_to_string("tests/reference/schedule/table.csv").unwrap();
    for seed in [3, 10, 16, 28, 109, 119] {
        let row = table.lines().find(|l| l.starts_with(&format!("{seed},")));
        let column = |i: usize| row.unwrap().split(',').nth(i).unwrap();
        let best: f64 = column(3).parse().unwrap();
        let case = case(seed);
        let variant = case.variant();
        let machine = variant.compile(&case.course).unwrap();
        let nominal = variant.nominal(&case.course).unwrap();
        let fine = Cells::new(&case.course, nominal, FINE).unwrap();
        let graded = graded(&[&machine], &fine, 5e-4).unwrap();
        let limits = Limits::new(&machine, &graded.cells).unwrap();
        let found = search(&machine, &graded.cells, &limits, Choice::AtBest).unwrap();
        let off = found.lap.time - best;
        println!("{seed} {}: {:+.3} ms", column(1), 1e3 * off);
        assert!(off.abs() < ACCEPTED, "{seed}: {off:+.5} s");
    }
}
