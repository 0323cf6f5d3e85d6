//! Finer cells change nothing that matters: the demo coupe, with its launch, shifts, held revs, plate
//! differential and slopes, on all demo venues, by the plain rule.

use pullrank::dyno::Curve;
use pullrank::lap::{Cells, Limits, NoTape, PlainRule, lap};
use pullrank::venue::{Bend, Course, Section};

use crate::support::demo::{VENUES, demo_car, demo_venue, manifolds, variant};

/// What the time is stated to be good for at 1 m, s.
const STATED: f64 = 1e-3;
/// What the gap of two curves is good for at 1 m, s.
const GAP: f64 = 2e-4;
/// Cells so short that the rest of the error is a hundredth of that at 1 m.
const FINE: f64 = 0.05;

fn time(course: &Course, curve: &Curve, spacing: f64) -> f64 {
    let car = demo_car("rowan-coupe");
    let variant = variant(&car, curve, course);
    let machine = variant.compile(course).expect("a machine");
    let nominal = variant.nominal(course).expect("grip");
    let cells = Cells::new(course, nominal, spacing).expect("cells");
    let limits = Limits::new(&machine, &cells).expect("limits");
    let lap = lap(&machine, &cells, &limits, &mut PlainRule, &mut NoTape);
    lap.expect("a lap").time
}

#[test]
fn property_metre_cells_are_within_the_stated_error() {
    let [long, short] = manifolds();
    for name in VENUES {
        let course = demo_venue(name);
        let at = |spacing| {
            let t = time(&course, &long, spacing);
            (t, time(&course, &short, spacing) - t)
        };
        let ((fine, fine_gap), (coarse, gap)) = (at(FINE), at(1.0));
        assert!((coarse - fine).abs() < STATED, "{name}: {coarse} {fine}");
        assert!((gap - fine_gap).abs() < GAP, "{name}: {gap} {fine_gap}");
    }
}

/// A quarter of the length, a sixteenth of the error, where it is large enough to be seen.
#[test]
fn property_of_second_order_with_shifts_and_launch() {
    let [long, _] = manifolds();
    for name in ["quessmoor", "threnlow-lanes", "vennick"] {
        let course = demo_venue(name);
        let fine = time(&course, &long, FINE);
        let ratio = (time(&course, &long, 4.0) - fine) / (time(&course, &long, 1.0) - fine);
        assert!((12.0..22.0).contains(&ratio), "{name}: {ratio}");
    }
}

/// Two sections for one, cut at a share of its length.
fn cut(section: &Section, share: f64) -> [Section; 2] {
    let length = section.length().expect("a length");
    [share, 1.0 - share].map(|part| Section {
        extent: pullrank::venue::Extent::Length(length * part),
        ..section.clone()
    })
}

/// Cutting any piece in two changes nothing but the lengths of the cells.
#[test]
fn property_a_cut_changes_less_than_the_stated_error() {
    let [long, _] = manifolds();
    for name in ["skarrow-woods", "vennick", "threnlow-lanes"] {
        let course = demo_venue(name);
        let whole = time(&course, &long, 1.0);
        let with = |cut_here: &dyn Fn(usize, &Section) -> bool| {
            let mut sections = Vec::new();
            for (i, section) in course.sections.iter().enumerate() {
                if cut_here(i, section) {
                    sections.extend(cut(section, 0.371));
                } else {
                    sections.push(section.clone());
                }
            }
            let course = Course {
                sections,
                ..course.clone()
            };
            time(&course, &long, 1.0) - whole
        };
        for i in 0..course.sections.len() {
            let change = with(&|at, _| at == i);
            assert!(change.abs() < 0.2 * STATED, "{name}, section {i}: {change}");
        }
        for all in [
            with(&|_, _| true),
            with(&|_, s| s.bend == Bend::Straight),
            with(&|_, s| s.bend != Bend::Straight),
        ] {
            assert!(all.abs() < STATED, "{name}: {all}");
        }
    }
}
