//! Roads driven by a simulated car, recorded with errors, and surveyed again: how far is the lap
//! time off? The roads are invented; the truth is the road itself.

use std::path::{Path, PathBuf};

use pullrank::car::{Car, Habits};
use pullrank::dyno::Curve;
use pullrank::files::finding::Findings;
use pullrank::files::{car, track};
use pullrank::study::roads;
use pullrank::venue::path::survey::{Request, Survey, survey};
use pullrank::venue::path::{Fix, Place};
use pullrank::venue::{Course, EventKind, plan};

use super::recorder::{Drive, Receiver, Setup, drive};

/// The demo car on tarmac with its long manifold.
pub(super) struct World {
    car: Car,
    curve: Curve,
}

impl World {
    pub(super) fn new() -> Self {
        let mut findings = Findings::new();
        let path = root().join("cars/rowan-coupe/car.yaml");
        let torque = [
            139.0, 153.0, 166.0, 178.5, 190.0, 199.0, 204.0, 203.0, 198.0, 188.5, 174.5,
        ];
        let rpm = (0..torque.len())
            .map(|i| 2500.0 + 500.0 * i as f64)
            .collect();
        Self {
            car: car::read(&path, &mut findings).unwrap_or_else(|| panic!("{findings:?}")),
            curve: Curve::new(rpm, torque.to_vec()).unwrap(),
        }
    }

    pub(super) fn car(&self) -> &Car {
        &self.car
    }

    fn setup(&self, course: &Course) -> Setup<'_> {
        let circuit = course.kind == EventKind::Circuit;
        let name = match course.surfaces[0].like.as_str() {
            "gravel" => "gravel",
            _ if circuit => "circuit",
            _ => "tarmac",
        };
        Setup {
            car: &self.car,
            trim: self.car.trims.iter().find(|t| t.name == name).unwrap(),
            curve: &self.curve,
            habits: Habits {
                corner_share: if circuit { 0.97 } else { 0.9 },
                brake_share: if circuit { 0.9 } else { 0.825 },
                lowest_rpm: 3000.0,
                shift_light_rpm: Some(7100.0),
            },
            air_density: 1.2,
        }
    }

    pub(super) fn drive(&self, course: &Course) -> Drive {
        drive(&self.setup(course), course).unwrap_or_else(|e| panic!("{e}"))
    }

    /// A sketch laid out for this car.
    pub(super) fn laid_out(&self, course: &Course) -> Course {
        roads::for_car(course, self.setup(course).trim)
    }
}

fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

pub(super) fn read(path: &str) -> Course {
    let mut findings = Findings::new();
    track::read(&root().join(path), &mut findings).unwrap_or_else(|| {
        panic!(
            "{:#?}",
            findings.iter().map(ToString::to_string).collect::<Vec<_>>()
        )
    })
}

/// A road whose caps are left out: a recording of positions does not show them.
pub(super) fn road(name: &str) -> Course {
    let mut course = read(name);
    course
        .sections
        .iter_mut()
        .for_each(|s| (s.cap, s.surface) = (None, 0));
    course
}

pub(super) fn surveyed(like: &Course, survey: &Survey) -> Course {
    let layout = survey.layout(1.0);
    Course {
        sections: layout.sections,
        places: layout.places,
        ..like.clone()
    }
}

pub(super) fn request(course: &Course) -> Request {
    Request {
        closed: course.is_closed(),
        ..Request::default()
    }
}

/// Points of a road a fixed way apart, the first after a share of it.
pub(super) fn points(course: &Course, apart: f64, phase: f64) -> Vec<Fix> {
    let spots = plan::walk(&course.sections, 1.0, 0.25);
    let length = spots[spots.len() - 1].distance;
    let count = (length / apart).round();
    let mut at: Vec<f64> = (0..count as usize)
        .map(|i| (i as f64 + phase) * length / count)
        .collect();
    if !course.is_closed() {
        at.insert(0, 0.0);
        at.push(length);
        at.dedup();
    }
    let fix = |s: f64| {
        let k = spots
            .partition_point(|p| p.distance <= s)
            .clamp(1, spots.len() - 1);
        let (a, b) = (spots[k - 1], spots[k]);
        let share = (s - a.distance) / (b.distance - a.distance);
        let mix = |a: f64, b: f64| a + share * (b - a);
        Fix {
            place: Place::Plane(mix(a.x, b.x), mix(a.y, b.y)),
            height: Some(mix(a.z, b.z)),
            time: None,
        }
    };
    at.into_iter().map(fix).collect()
}

/// Percent that the surveyed lap is slower than the true one.
pub(super) fn error(world: &World, course: &Course, fixes: &[Fix], truth: f64) -> f64 {
    let survey = survey(fixes, &request(course)).unwrap();
    100.0 * (world.drive(&surveyed(course, &survey)).time / truth - 1.0)
}

pub(super) fn climb(course: &Course) -> f64 {
    let rise =
        |s: &pullrank::venue::Section| s.length().unwrap() * s.slope.max(0.0) / s.slope.hypot(1.0);
    course.sections.iter().map(rise).sum()
}

pub(super) const ROADS: [&str; 3] = [
    "examples/roads/quessmoor.yaml",
    "tracks/vennick.yaml",
    "examples/roads/ambrel-ring.yaml",
];

/// Receivers err by 1.5 m, forgotten over 10 s, and by 2 m in height.
const RECEIVER: Receiver = Receiver {
    sigma: 1.5,
    sigma_height: 2.0,
    memory: 10.0,
};

#[test]
fn noisy_recordings_give_the_lap_time() {
    let world = World::new();
    for name in ROADS {
        let course = road(name);
        let lap = world.drive(&course);
        // Rate, most bias, most median of the sizes, %.
        for (rate, bias_allowed, median_allowed) in [(10.0, 0.5, 1.0), (1.0, 1.5, 1.0)] {
            let moments = lap.moments(rate, 1.0);
            let mut errors: Vec<f64> = (0..50)
                .map(|seed| error(&world, &course, &RECEIVER.fixes(&moments, seed), lap.time))
                .collect();
            let bias = errors.iter().sum::<f64>() / errors.len() as f64;
            errors.iter_mut().for_each(|e| *e = e.abs());
            errors.sort_by(f64::total_cmp);
            let (median, worst) = (errors[25], errors[49]);
            println!(
                "{name} {rate} Hz: bias {bias:+.2} %, median {median:.2} %, worst {worst:.2} %"
            );
            assert!(
                bias.abs() <= bias_allowed,
                "{name} {rate} Hz: bias {bias:+.2} %"
            );
            assert!(
                median <= median_allowed,
                "{name} {rate} Hz: median {median:.2} %"
            );
        }
    }
}

#[test]
fn noise_of_heights_adds_no_climb() {
    let world = World::new();
    let course = road("examples/roads/quessmoor.yaml");
    let lap = world.drive(&course);
    // Errors that last some 4 s lose more than those that last 10: they look less like a receiver's drift.
    for (rate, memory, lost) in [
        (10.0, 10.0, -16.0),
        (1.0, 10.0, -16.0),
        (10.0, 4.5, -30.0),
        (1.0, 4.5, -30.0),
    ] {
        let receiver = Receiver { memory, ..RECEIVER };
        let moments = lap.moments(rate, 1.0);
        let (mut extra, mut scatter) = (Vec::new(), Vec::new());
        for seed in 0..20 {
            let survey = survey(&receiver.fixes(&moments, seed), &request(&course)).unwrap();
            extra.push(100.0 * (climb(&surveyed(&course, &survey)) / climb(&course) - 1.0));
            scatter.push(survey.road.height_scatter);
        }
        extra.sort_by(f64::total_cmp);
        scatter.sort_by(f64::total_cmp);
        let told = format!(
            "climb at {rate} Hz, errors of {memory} s: {:+.1} to {:+.1} %, scatter {:.1} to {:.1} m",
            extra[0], extra[19], scatter[0], scatter[19]
        );
        println!("{told}");
        assert!(extra[19] <= 3.0 && extra[0] >= lost, "{told}");
        // The errors' own 2 m, and what of the hills is lost.
        assert!(scatter[0] > 1.0 && scatter[19] < 8.0, "{told}");
    }
}

#[test]
fn lines_on_a_map_give_the_lap_time() {
    let world = World::new();
    // Half the shortest arc: 80° of R 14, 60° of R 35, 115° of R 48.
    for (name, coarsest) in ROADS.into_iter().zip([9.7, 18.3, 48.0]) {
        let course = road(name);
        let truth = world.drive(&course).time;
        for apart in [2.0, 5.0, 0.5 * coarsest, coarsest] {
            for phase in [0.0, 0.25, 0.5, 0.75] {
                let fixes = points(&course, apart, phase);
                let off = error(&world, &course, &fixes, truth);
                println!("{name} every {apart} m: {off:+.2} %");
                assert!(
                    off.abs() < if apart < 6.0 { 1.0 } else { 2.0 },
                    "{name} {apart} m: {off:+.2} %"
                );
                let coarse = survey(&fixes, &request(&course)).unwrap().coarse;
                assert!(coarse.is_empty(), "{name} {apart} m: {coarse:?}");
            }
        }
        let coarse = survey(&points(&course, 2.5 * coarsest, 0.1), &request(&course))
            .unwrap()
            .coarse;
        assert!(!coarse.is_empty(), "{name}");
    }
}

#[test]
fn sampling_start_and_direction_do_not_matter() {
    let world = World::new();
    for name in ROADS {
        let course = road(name);
        let request = request(&course);
        let time = |fixes: &[Fix], request: &Request| {
            world
                .drive(&surveyed(&course, &survey(fixes, request).unwrap()))
                .time
        };
        let fixes = points(&course, 5.0, 0.0);
        let base = time(&fixes, &request);
        let mut twice = fixes.clone();
        twice.reverse();
        let back = time(
            &twice,
            &Request {
                reverse: true,
                ..request
            },
        );
        println!(
            "{name}: reversed twice {:+.3} %",
            100.0 * (back / base - 1.0)
        );
        assert!((back / base - 1.0).abs() < 0.002);
        let finer = time(&points(&course, 4.0, 0.3), &request);
        println!("{name}: resampled {:+.3} %", 100.0 * (finer / base - 1.0));
        assert!((finer / base - 1.0).abs() < 0.002);
        if course.is_closed() {
            let mut shifted = fixes.clone();
            shifted.rotate_left(fixes.len() / 3);
            let shifted = time(&shifted, &request);
            println!(
                "{name}: start shifted {:+.3} %",
                100.0 * (shifted / base - 1.0)
            );
            assert!((shifted / base - 1.0).abs() < 0.002);
        }
    }
}

/// The demo's own recordings against the roads they were made from.
#[test]
fn the_demo_recordings_tell_of_their_roads() {
    let world = World::new();
    let cases = [
        (
            "tracks/quessmoor.yaml",
            "examples/roads/quessmoor.yaml",
            1.5,
        ),
        (
            "tracks/ambrel-ring.yaml",
            "examples/roads/ambrel-ring.yaml",
            1.0,
        ),
        (
            "tracks/skarrow-woods.yaml",
            "examples/roads/skarrow-woods.yaml",
            5.0,
        ),
    ];
    for (recorded, road, allowed) in cases {
        let (recorded, road) = (read(Path::new(recorded).to_str().unwrap()), read(road));
        let off = 100.0 * (world.drive(&recorded).time / world.drive(&road).time - 1.0);
        println!("{}: {off:+.2} %", road.name);
        assert!(off.abs() < allowed, "{}: {off:+.2} %", road.name);
    }
}
