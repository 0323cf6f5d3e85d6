//! Random cars and courses, well beyond what anyone drives.

use proptest::collection::vec;
use proptest::option;
use proptest::prelude::*;
use proptest::test_runner::RngSeed;
use pullrank::car::{Car, Differential, Drive, FirstGear, Habits, Rotating};
use pullrank::dyno::Curve;
use pullrank::venue::{Bend, Course, EventKind, Extent, Finish, Scales, Section, Start, Surface};

use super::cars::{gearbox, point_mass};

/// Cases in a number that a plain run of the tests affords, the same ones each time.
pub fn settled(cases: u32) -> ProptestConfig {
    ProptestConfig {
        cases,
        failure_persistence: None,
        rng_seed: RngSeed::Fixed(1),
        ..ProptestConfig::default()
    }
}

/// A car, its engine and its driver.
#[derive(Debug, Clone)]
pub struct Entry {
    pub car: Car,
    pub curve: Curve,
    pub habits: Habits,
}

fn rotating() -> impl Strategy<Value = Rotating> {
    prop_oneof![
        Just(Rotating::None),
        Just(Rotating::Typical),
        (0.02..0.5, 0.5..8.0, 0.0..0.1, 0.0..0.1).prop_map(|(engine, wheels, gear, shaft)| {
            Rotating::Inertias {
                engine,
                wheels,
                gearbox: vec![gear],
                shaft,
            }
        }),
    ]
}

/// Ratios falling from 2–4.5 by steps of 0.6–0.95.
fn ratios() -> impl Strategy<Value = Vec<f64>> {
    (2.0..4.5, vec(0.6..0.95, 0..10)).prop_map(|(first, steps)| {
        let mut ratios = vec![first];
        for step in steps {
            ratios.push(ratios[ratios.len() - 1] * step);
        }
        ratios
    })
}

fn differential() -> impl Strategy<Value = Differential> {
    prop_oneof![
        Just(Differential::Spool),
        (1.0..5.0).prop_map(Differential::Bias)
    ]
}

prop_compose! {
    fn body()(
        mass in 400.0..2500.0,
        grip in 0.05..1.9,
        drive in prop::sample::select(vec![Drive::Front, Drive::Rear, Drive::All]),
        differential in differential(),
        rotating in rotating(),
        cg_height in 0.0..0.8,
        front_share in 0.25..0.75,
        drag_area in 0.0..1.5,
        lift_area in -0.4..4.0,
        rolling in 0.0..0.05,
        with_speed in prop_oneof![Just((0.0, 0.0)), (0.0..3e-4, 0.0..8e-6)],
        radius in 0.22..0.36,
    ) -> Car {
        let mut car = point_mass(mass, grip);
        car.drive = drive;
        car.differential = differential;
        car.rotating = rotating;
        car.cg_height = cg_height;
        car.front_share = front_share;
        car.drag_area = drag_area;
        car.lift_area = lift_area;
        car.rolling.f0 = Some(rolling);
        (car.rolling.f1, car.rolling.f2) = with_speed;
        car.trims[0].rolling_radius = radius;
        car
    }
}

/// Torque in points 500 rpm apart, up to the limit, wild from point to point.
fn torque(limit: f64) -> impl Strategy<Value = Curve> {
    let count = (limit / 500.0).ceil() as usize - 1;
    (60.0..600.0, vec(0.6..1.0, count)).prop_map(move |(peak, shape)| {
        let rpm = (0..count).map(|i| 1000.0 + 500.0 * i as f64).collect();
        Curve::new(rpm, shape.iter().map(|x| x * peak).collect()).expect("rising points")
    })
}

prop_compose! {
    fn habits(limit: f64)(
        corner_share in 0.5..=1.0,
        brake_share in 0.3..=1.0,
        lowest in prop_oneof![Just(0.0), 0.1..0.6],
        light in option::of(0.5..1.2),
    ) -> Habits {
        Habits {
            corner_share,
            brake_share,
            lowest_rpm: lowest * limit,
            shift_light_rpm: light.map(|share: f64| share * limit),
        }
    }
}

fn shift_time() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), 0.05..0.5, Just(3.0)]
}

/// Any entry.
pub fn entry() -> impl Strategy<Value = Entry> {
    (4000.0..12_000.0).prop_flat_map(|limit: f64| {
        (
            (body(), ratios(), shift_time(), any::<bool>()),
            (torque(limit), habits(limit), 2.0..6.5, 0.1..1.0),
        )
            .prop_map(
                move |((mut car, ratios, shift, first), (curve, habits, final_drive, launch))| {
                    car.gearbox = gearbox(&ratios, shift);
                    if first {
                        car.gearbox.first_gear = FirstGear::StartOnly;
                    }
                    car.final_drive.ratio = final_drive;
                    car.rev_limit_rpm = limit;
                    car.default_launch_rpm = launch * limit;
                    Entry { car, curve, habits }
                },
            )
    })
}

fn bends() -> impl Strategy<Value = Bend> {
    prop_oneof![
        2 => Just(Bend::Straight),
        2 => (2.5..400.0).prop_map(|radius: f64| Bend::Radius { curvature: 1.0 / radius }),
        1 => (3.0..60.0, any::<bool>()).prop_map(|(speed, grip)| Bend::Measured {
            speed,
            direction: 0.0,
            scales: if grip { Scales::Grip } else { Scales::Driver },
        }),
    ]
}

prop_compose! {
    fn section(steep: f64)(
        length in prop_oneof![0.01..1.0, 1.0..60.0, 60.0..600.0],
        bend in bends(),
        slope in -steep..steep,
        surface in 0..2usize,
        cap in option::weighted(0.15, 2.0..60.0),
    ) -> Section {
        Section {
            extent: Extent::Length(length),
            bend,
            slope,
            surface,
            cap,
            ..Section::default()
        }
    }
}

fn start() -> impl Strategy<Value = (Start, EventKind)> {
    prop_oneof![
        Just((Start::Standing, EventKind::Stage)),
        Just((Start::Flying, EventKind::Circuit)),
        (1.0..30.0).prop_map(|v| (Start::Rolling(v), EventKind::Sprint)),
    ]
}

/// A straight of at least 100 m that brings a lap back to the height it began at.
fn closing(sections: &[Section], steep: f64) -> Section {
    let rise = |s: &Section| s.length().unwrap_or(0.0) * s.slope / (1.0 + s.slope * s.slope).sqrt();
    let rise: f64 = sections.iter().map(rise).sum();
    let length = (rise.abs() / (0.7 * steep)).max(100.0);
    let sine = -rise / length;
    Section {
        extent: Extent::Length(length),
        slope: sine / (1.0 - sine * sine).sqrt(),
        ..Section::default()
    }
}

/// Any course with slopes up to `steep`, on tarmac and on something `slippery` times as good. Laps
/// come back to the height they began at.
pub fn course(steep: f64, slippery: f64) -> impl Strategy<Value = Course> {
    (vec(section(steep), 1..14), start(), any::<bool>()).prop_map(
        move |(mut sections, (start, kind), stop)| {
            if start == Start::Flying {
                sections.push(closing(&sections, steep));
            }
            Course {
                start,
                finish: if stop {
                    Finish::Standing
                } else {
                    Finish::Flying
                },
                sections,
                surfaces: vec![
                    Surface::plain("tarmac"),
                    Surface {
                        name: "slippery".into(),
                        like: "tarmac".into(),
                        factor: slippery,
                        rolling: None,
                        state: 1.0,
                    },
                ],
                ..Course::new("anywhere", kind)
            }
        },
    )
}
