//! The demo coupe, a tight stage and a fast circuit of 5 km.

use std::path::PathBuf;

use pullrank::car::{Car, Habits};
use pullrank::dyno::Curve;
use pullrank::files::car;
use pullrank::files::finding::Findings;
use pullrank::venue::{Bend, Course, EventKind, Extent, Section};

/// The car.
pub fn coupe() -> Car {
    let path: PathBuf = [
        env!("CARGO_MANIFEST_DIR"),
        "cars",
        "rowan-coupe",
        "car.yaml",
    ]
    .iter()
    .collect();
    car::read(&path, &mut Findings::new()).expect("the demo coupe")
}

/// The coupe's long manifold, corrected torque in N·m from 2,500 rpm in steps of 500.
pub fn engine() -> Curve {
    let torque = [
        139.0, 153.0, 166.0, 178.5, 190.0, 199.0, 204.0, 203.0, 198.0, 188.5, 174.5,
    ];
    let rpm = (0..11).map(|i| 2500.0 + 500.0 * f64::from(i)).collect();
    Curve::new(rpm, torque.to_vec()).expect("a curve")
}

fn section(length: f64, radius: Option<f64>, slope: f64) -> Section {
    Section {
        extent: Extent::Length(length),
        bend: radius.map_or(Bend::Straight, |r| Bend::Radius { curvature: 1.0 / r }),
        slope,
        ..Section::default()
    }
}

/// Corners of (radius in m, turn in degrees), each after a straight in m, gone through in turn until
/// 5 km are full.
fn course(kind: EventKind, corners: &[(f64, f64)], straights: &[f64], slope: f64) -> Course {
    let mut course = Course::new("bench", kind);
    let mut length = 0.0;
    for i in 0.. {
        let (radius, turn) = corners[i % corners.len()];
        let up = if i % 2 == 0 { slope } else { -slope };
        let straight = section(straights[i % straights.len()], None, up);
        let corner = section(radius * turn.to_radians(), Some(radius), 0.0);
        for section in [straight, corner] {
            length += section.length().unwrap_or(0.0);
            course.sections.push(section);
        }
        if length >= 5000.0 {
            break;
        }
    }
    course
}

/// The two roads.
pub fn courses() -> [(&'static str, Course); 2] {
    let lanes = [
        (14.0, 90.0),
        (26.0, 60.0),
        (70.0, 45.0),
        (16.0, 90.0),
        (45.0, 55.0),
        (10.0, 165.0),
    ];
    let ring = [
        (62.0, 95.0),
        (150.0, 50.0),
        (85.0, 80.0),
        (230.0, 35.0),
        (48.0, 115.0),
    ];
    [
        (
            "stage",
            course(EventKind::Stage, &lanes, &[140.0, 60.0, 230.0, 90.0], 0.05),
        ),
        (
            "circuit",
            course(EventKind::Circuit, &ring, &[520.0, 130.0, 300.0], 0.01),
        ),
    ]
}

/// What the demo driver does at a kind of event.
pub fn habits(kind: EventKind) -> Habits {
    let stage = kind == EventKind::Stage;
    Habits {
        corner_share: if stage { 0.90 } else { 0.97 },
        brake_share: if stage { 0.825 } else { 0.90 },
        lowest_rpm: 3000.0,
        shift_light_rpm: Some(7100.0),
    }
}
