//! The search on a car and roads like those people drive.

mod tried;

use std::collections::BTreeMap;

use super::*;
use crate::car::sample::point_mass;
use crate::car::*;
use crate::dyno::Curve;
use crate::lap::*;
use crate::venue::*;

pub(crate) fn coupe() -> Car {
    let mut car = point_mass(1000.0, 1.0);
    car.drive = Drive::Rear;
    car.gearbox.ratios = vec![2.94, 1.94, 1.36, 1.0];
    car.gearbox.shift_times = vec![0.35; 3];
    car.gearbox.first_gear = FirstGear::StartOnly;
    car.gearbox.efficiency = vec![0.9, 0.9, 0.9, 0.92];
    car.final_drive.ratio = 38.0 / 9.0;
    car.rev_limit_rpm = 7200.0;
    car.trims[0].rolling_radius = 0.268;
    car.front_share = 0.53;
    car.wheelbase = 2.41;
    car.track_width = 1.36;
    car.cg_height = 0.48;
    car.drag_area = 0.66;
    car.rolling.f0 = None;
    car.differential = Differential::Bias(2.5);
    car.rotating = Rotating::Inertias {
        engine: 0.12,
        wheels: 3.6,
        gearbox: vec![0.0],
        shaft: 0.0,
    };
    car.default_launch_rpm = 4500.0;
    car
}

pub(crate) fn curve(which: usize) -> Curve {
    let rpm = (0..11).map(|i| 2500.0 + 500.0 * i as f64).collect();
    let torque = [
        vec![
            139.0, 153.0, 166.0, 178.5, 190.0, 199.0, 204.0, 203.0, 198.0, 188.5, 174.5,
        ],
        vec![
            132.0, 145.0, 157.0, 170.5, 184.5, 196.5, 205.0, 206.5, 202.0, 192.5, 178.0,
        ],
    ];
    Curve::new(rpm, torque[which].clone()).unwrap()
}

pub(crate) struct Dice(pub u64);

impl Dice {
    pub(crate) fn unit(&mut self) -> f64 {
        self.0 = self
            .0
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }
}

/// Corners (count, radius from, to, degrees from, to) shuffled among straights.
pub(crate) fn road(
    seed: u64,
    kind: EventKind,
    corners: &[(usize, f64, f64, f64, f64)],
    straights: (f64, f64),
    slope: f64,
) -> Course {
    let mut dice = Dice(seed);
    let mut bends = Vec::new();
    for &(count, r0, r1, d0, d1) in corners {
        for _ in 0..count {
            let radius = dice.between(r0, r1);
            let angle = dice.between(d0, d1).to_radians();
            let sign = if dice.unit() < 0.5 { -1.0 } else { 1.0 };
            bends.push((radius * angle, sign / radius));
        }
    }
    for i in (1..bends.len()).rev() {
        let j = (dice.unit() * (i + 1) as f64) as usize;
        bends.swap(i, j);
    }
    let mut course = Course::new("road", kind);
    for (length, curvature) in bends {
        for (length, bend) in [
            (dice.between(straights.0, straights.1), Bend::Straight),
            (length, Bend::Radius { curvature }),
        ] {
            let slope = dice.between(-slope, slope);
            let extent = Extent::Length(length);
            course.sections.push(Section {
                extent,
                bend,
                slope,
                ..Section::default()
            });
        }
    }
    course
}

pub(crate) fn roads() -> Vec<(&'static str, Course, f64, f64)> {
    use EventKind::*;
    vec![
        (
            "gravel",
            road(
                1,
                Stage,
                &[
                    (9, 8.0, 11.0, 145.0, 175.0),
                    (16, 18.0, 30.0, 40.0, 110.0),
                    (12, 45.0, 80.0, 25.0, 60.0),
                ],
                (40.0, 220.0),
                0.08,
            ),
            0.58,
            0.9,
        ),
        (
            "moor",
            road(
                2,
                Stage,
                &[
                    (3, 10.0, 12.0, 150.0, 170.0),
                    (8, 14.0, 17.0, 80.0, 100.0),
                    (20, 50.0, 90.0, 30.0, 70.0),
                    (24, 110.0, 250.0, 15.0, 50.0),
                ],
                (60.0, 480.0),
                0.06,
            ),
            0.88,
            0.9,
        ),
        (
            "hill",
            road(
                3,
                Hillclimb,
                &[(2, 10.0, 11.0, 150.0, 165.0), (5, 25.0, 60.0, 40.0, 90.0)],
                (70.0, 165.0),
                0.1,
            ),
            1.02,
            0.95,
        ),
        (
            "sprint",
            road(
                4,
                Sprint,
                &[(6, 20.0, 70.0, 40.0, 120.0)],
                (90.0, 420.0),
                0.0,
            ),
            1.0,
            0.95,
        ),
        (
            "tight",
            road(
                5,
                Circuit,
                &[(10, 16.0, 60.0, 50.0, 170.0)],
                (70.0, 260.0),
                0.0,
            ),
            1.08,
            0.97,
        ),
        (
            "fast",
            road(
                6,
                Circuit,
                &[(8, 48.0, 230.0, 35.0, 115.0)],
                (120.0, 870.0),
                0.0,
            ),
            1.05,
            0.97,
        ),
        (
            "lanes",
            road(
                7,
                Stage,
                &[
                    (2, 9.0, 11.0, 150.0, 170.0),
                    (10, 13.0, 17.0, 80.0, 100.0),
                    (16, 20.0, 34.0, 40.0, 90.0),
                    (12, 40.0, 90.0, 25.0, 60.0),
                ],
                (40.0, 230.0),
                0.06,
            ),
            0.95,
            0.9,
        ),
    ]
}

pub(crate) fn ready(
    car: &Car,
    curve: &Curve,
    course: &Course,
    share: f64,
    spacing: f64,
    light: Option<f64>,
) -> (Machine, Cells, Limits) {
    let habits = Habits {
        corner_share: share,
        brake_share: 0.85,
        lowest_rpm: 3000.0,
        shift_light_rpm: light,
    };
    let variant = Variant::fitted(car, &car.trims[0], habits, curve, 1.2);
    let machine = variant.compile(course).unwrap();
    let cells = Cells::new(course, variant.nominal(course).unwrap(), spacing).unwrap();
    let limits = Limits::new(&machine, &cells).unwrap();
    (machine, cells, limits)
}

#[test]
fn property_laps_in_lanes_are_the_scalar_laps() {
    for (name, course, mu, share) in roads() {
        let mut car = coupe();
        car.trims[0].grip = BTreeMap::from([("tarmac".to_string(), mu)]);
        let of = |which| ready(&car, &curve(which), &course, share, 4.0, Some(7100.0));
        let [(a, cells, of_a), (b, _, of_b)] = [of(0), of(1)];
        let entrants =
            [(&a, &of_a), (&b, &of_b)].map(|(machine, limits)| batch::Entrant { machine, limits });
        let together = batch::plain(&cells, &entrants, batch::USUAL);
        for (entrant, time) in entrants.iter().zip(together) {
            let alone = lap(
                entrant.machine,
                &cells,
                entrant.limits,
                &mut PlainRule,
                &mut NoTape,
            );
            assert_eq!(time.unwrap(), alone.unwrap().time, "{name}");
        }
    }
}

#[test]
fn property_at_best_is_never_slower_than_as_driven_or_the_rule_of_thumb() {
    for (name, course, mu, share) in roads() {
        let mut car = coupe();
        car.trims[0].grip = BTreeMap::from([("tarmac".to_string(), mu)]);
        for which in 0..2 {
            let (machine, cells, limits) =
                ready(&car, &curve(which), &course, share, 1.0, Some(7100.0));
            let plain = lap(&machine, &cells, &limits, &mut PlainRule, &mut NoTape).unwrap();
            let t0 = std::time::Instant::now();
            let driven = search(&machine, &cells, &limits, Choice::AsDriven).unwrap();
            let t1 = t0.elapsed();
            let best = search(&machine, &cells, &limits, Choice::AtBest).unwrap();
            let t2 = t0.elapsed() - t1;
            println!(
                "{name} {which} cells {} plain {:.4} driven {:.4} ({:.2} labels, {:?}) best {:.4} ({:.2} labels, {:?}) rounds {}",
                cells.len(),
                plain.time,
                driven.lap.time,
                driven.work as f64 / cells.len() as f64,
                t1,
                best.lap.time,
                best.work as f64 / cells.len() as f64,
                t2,
                plain.rounds
            );
            assert!(driven.lap.time <= plain.time + 1e-4);
            assert!(best.lap.time <= driven.lap.time + 1e-4);
        }
    }
}
