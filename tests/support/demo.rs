//! The demo cars on the demo venues.

use std::path::PathBuf;

use pullrank::car::{Car, Habits, Trim};
use pullrank::dyno::Curve;
use pullrank::files::finding::Findings;
use pullrank::files::{car, track};
use pullrank::lap::Variant;
use pullrank::venue::{Course, EventKind};

fn path(parts: &[&str]) -> PathBuf {
    [env!("CARGO_MANIFEST_DIR")].iter().chain(parts).collect()
}

/// A demo car by its folder.
pub fn demo_car(name: &str) -> Car {
    let mut findings = Findings::new();
    car::read(&path(&["cars", name, "car.yaml"]), &mut findings).expect("a demo car")
}

/// A demo venue by its file.
pub fn demo_venue(name: &str) -> Course {
    let mut findings = Findings::new();
    let file = format!("{name}.yaml");
    track::read(&path(&["tracks", &file]), &mut findings).expect("a demo venue")
}

/// The coupe's two manifolds, corrected torque in N·m: long, short.
pub fn manifolds() -> [Curve; 2] {
    let rpm: Vec<f64> = (0..11).map(|i| 2500.0 + 500.0 * f64::from(i)).collect();
    [
        [
            139.0, 153.0, 166.0, 178.5, 190.0, 199.0, 204.0, 203.0, 198.0, 188.5, 174.5,
        ],
        [
            132.0, 145.0, 157.0, 170.5, 184.5, 196.5, 205.0, 206.5, 202.0, 192.5, 178.0,
        ],
    ]
    .map(|torque| Curve::new(rpm.clone(), torque.to_vec()).expect("a demo curve"))
}

/// What the demo driver does at a kind of event.
pub fn habits(kind: EventKind) -> Habits {
    let corner_share = match kind {
        EventKind::Stage => 0.90,
        EventKind::Circuit => 0.97,
        EventKind::Hillclimb | EventKind::Sprint => 0.95,
    };
    Habits {
        corner_share,
        brake_share: if kind == EventKind::Stage {
            0.825
        } else {
            0.90
        },
        lowest_rpm: 3000.0,
        shift_light_rpm: Some(7100.0),
    }
}

/// The trim a car goes in to a venue: the one that knows its surface.
pub fn trim<'a>(car: &'a Car, course: &Course) -> &'a Trim {
    let circuit = course.kind != EventKind::Stage;
    let knows = |trim: &&Trim| {
        course
            .surfaces
            .iter()
            .all(|s| trim.grip.contains_key(&s.like))
            && (trim.name == "circuit") == circuit
    };
    car.trims.iter().find(knows).expect("a trim for the venue")
}

/// A demo car with a curve at a venue.
pub fn variant<'a>(car: &'a Car, curve: &'a Curve, course: &Course) -> Variant<'a> {
    let density = course.air_density.unwrap_or_else(|| course.air.density());
    Variant::fitted(car, trim(car, course), habits(course.kind), curve, density)
}

/// All demo venues.
pub const VENUES: [&str; 7] = [
    "skarrow-woods",
    "quessmoor",
    "quillgarth-hill",
    "pellmarsh-sprint",
    "vennick",
    "ambrel-ring",
    "threnlow-lanes",
];
