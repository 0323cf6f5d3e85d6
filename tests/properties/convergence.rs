//! Finer cells change nothing that matters: the demo coupe, with its launch, shifts, held revs, plate
//! differential and slopes, on all demo venues, by the plain rule.

use pullrank::dyno::Curve;
use pullrank::lap::{Cells, Limits, NoTape, PlainRule, lap};
use pullrank::venue::{Bend, Course, Extent, Section, Start};

use crate::support::demo::{VENUES, demo_car, demo_venue, manifolds, variant};

/// What the time is good for at 1 m, s.
const STATED: f64 = 1e-4;
/// What the gap of two curves is good for at 1 m, s.
const GAP: f64 = 1e-5;
/// Cells so short that what is left of the error is a fiftieth of that at 1 m.
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

/// What is left comes from the first cells of a standing start, where time goes with the root of
/// distance: of order 1.5, an eighth for a quarter of the length. A flying lap has none of it.
#[test]
fn property_finer_cells_converge() {
    let [long, _] = manifolds();
    for name in VENUES {
        let course = demo_venue(name);
        let fine = time(&course, &long, FINE);
        let error = |spacing| (time(&course, &long, spacing) - fine).abs();
        let (four, one) = (error(4.0), error(1.0));
        assert!(four < 2e-4, "{name}: {four}");
        if course.start == Start::Flying {
            assert!(one < 2e-6, "{name}: {one}");
        } else {
            assert!(four / one > 6.0, "{name}: {four} {one}");
        }
    }
}

/// Two sections for one, cut at a share of its length.
fn cut(section: &Section, share: f64) -> [Section; 2] {
    [share, 1.0 - share].map(|part| Section {
        extent: match section.extent {
            Extent::Length(length) => Extent::Length(length * part),
            Extent::Turn(angle) => Extent::Turn(angle * part),
        },
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
            assert!(change.abs() < STATED, "{name}, section {i}: {change}");
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
