//! Manufactured solutions: choose the speed along the road, derive the slope that produces it, and
//! see whether the lap finds the speed again. The forces are written down here anew.

use pullrank::car::{Car, Drive, Rotating};
use pullrank::dyno::Curve;
use pullrank::units::{RPM_PER_RAD_PER_S, STANDARD_GRAVITY as G};
use pullrank::venue::{Bend, Finish, Section, Start};

use crate::support::cars::{constant_torque, curve, geared_for, point_mass};
use crate::support::roads::{road, straight};
use crate::support::runs::{DENSITY, Driver, Run};

const LENGTH: f64 = 400.0;
const MASS: f64 = 1000.0;
const MU: f64 = 0.6;
const RADIUS: f64 = 90.0;
const DRAG_AREA: f64 = 0.7;
const LIFT_AREA: f64 = 1.8;
const ROLLING: f64 = 0.02;
const FRONT: f64 = 0.52;
const HEIGHT: f64 = 0.5;
const WHEELBASE: f64 = 2.5;

/// The speed squared that is wanted, and its derivative along the road.
#[derive(Clone, Copy)]
struct Wanted {
    mean: f64,
    swing: f64,
    waves: f64,
}

impl Wanted {
    fn z(self, s: f64) -> f64 {
        let phase = 2.0 * std::f64::consts::PI * self.waves / LENGTH;
        self.mean + self.swing * (phase * s).sin()
    }

    fn derivative(self, s: f64) -> f64 {
        let phase = 2.0 * std::f64::consts::PI * self.waves / LENGTH;
        self.swing * phase * (phase * s).cos()
    }

    /// ∫ds/v by Simpson's rule, fine enough to be exact.
    fn time(self) -> f64 {
        let n = 20_000;
        let h = LENGTH / f64::from(n);
        let value = |i: i32| 1.0 / self.z(h * f64::from(i)).sqrt();
        let weight = |i: i32| {
            if i == 0 || i == n {
                1.0
            } else {
                2.0 + 2.0 * f64::from(i % 2)
            }
        };
        (0..=n).map(|i| weight(i) * value(i)).sum::<f64>() * h / 3.0
    }
}

/// Drag and rolling resistance per mass on a slope whose cosine is known.
fn resistance(z: f64, cos: f64) -> f64 {
    0.5 * DENSITY * DRAG_AREA * z / MASS + ROLLING * G * cos
}

/// What the tyres still hold lengthwise in the bend, per mass: the ellipse under downforce.
fn grip_left(z: f64, cos: f64) -> f64 {
    let whole = MU * (G * cos + 0.5 * DENSITY * LIFT_AREA * z / MASS);
    let lateral = z / RADIUS;
    (whole * whole - lateral * lateral).sqrt()
}

/// Sections whose slope makes the wanted speed out of the force per mass `push(z, cosθ)` and the mass
/// factor.
fn sections(
    wanted: Wanted,
    count: usize,
    gamma: f64,
    radius: Option<f64>,
    push: impl Fn(f64, f64) -> f64,
) -> Vec<Section> {
    let step = LENGTH / count as f64;
    let bend = radius.map_or(Bend::Straight, |r| Bend::Radius { curvature: 1.0 / r });
    (0..count)
        .map(|i| {
            let s = step * (i as f64 + 0.5);
            let (z, rise) = (wanted.z(s), wanted.derivative(s));
            let mut cos = 1.0;
            let mut sin = 0.0;
            for _ in 0..100 {
                sin = (push(z, cos) - resistance(z, cos) - 0.5 * gamma * rise) / G;
                cos = f64::sqrt(1.0 - sin * sin);
            }
            Section {
                bend,
                slope: sin / cos,
                ..straight(step)
            }
        })
        .collect()
}

fn car(drive: Drive) -> Car {
    let mut car = point_mass(MASS, MU);
    car.drive = drive;
    (car.front_share, car.cg_height, car.wheelbase) = (FRONT, HEIGHT, WHEELBASE);
    car.drag_area = DRAG_AREA;
    car.lift_area = LIFT_AREA;
    car.rolling.f0 = Some(ROLLING);
    geared_for(&mut car, 60.0);
    car
}

/// Errors in time fall with the square of the length over which the slope is held.
fn converges(name: &str, wanted: Wanted, run: impl Fn(usize) -> Run) {
    let exact = wanted.time();
    let error = |count| {
        let run = run(count);
        let off = run.exit_speed() / wanted.z(LENGTH).sqrt() - 1.0;
        assert!(off.abs() < 1e-3, "{name}, {count} sections: {off}");
        run.time() - exact
    };
    let (coarse, fine, finest) = (error(100), error(200), error(400));
    for ratio in [coarse / fine, fine / finest] {
        assert!(
            (3.7..4.3).contains(&ratio),
            "{name}: {coarse} {fine} {finest}"
        );
    }
    assert!(finest.abs() < 1e-5 * exact, "{name}: {finest}");
}

const BEND: Wanted = Wanted {
    mean: 330.0,
    swing: 90.0,
    waves: 2.0,
};

#[test]
fn analytic_on_the_ellipse_with_downforce() {
    let lean = HEIGHT / WHEELBASE;
    for (drive, share) in [
        (Drive::Rear, (1.0 - FRONT) / (1.0 - MU * lean)),
        (Drive::Front, FRONT / (1.0 + MU * lean)),
        (Drive::All, 1.0),
    ] {
        let car = car(drive);
        converges(&format!("{drive:?} drive"), BEND, |count| {
            let course = road(
                Start::Rolling(BEND.z(0.0).sqrt()),
                Finish::Flying,
                sections(BEND, count, 1.0, Some(RADIUS), |z, cos| {
                    share * grip_left(z, cos)
                }),
            );
            Driver::of(&car, &constant_torque(1e5)).drive(&course, 10.0)
        });
    }
}

/// The same with the engine limiting and its parts to spin up, on a straight.
#[test]
fn analytic_on_engine_power_with_rotating_parts() {
    let mut car = car(Drive::All);
    car.trims[0].grip.insert("tarmac".into(), 5.0);
    car.rotating = Rotating::Inertias {
        engine: 0.15,
        wheels: 3.5,
        gearbox: vec![0.0],
        shaft: 0.0,
    };
    let total = car.final_drive.ratio;
    let gamma = 1.0 + (3.5 + 0.15 * total * total) / (MASS * 0.3 * 0.3);
    // A straight line, which the torque table holds exactly.
    let torque = |omega: f64| 230.0 * (1.0 - 0.5 * omega * RPM_PER_RAD_PER_S / 10_000.0);
    let engine: Curve = curve(10.0, torque);
    let wanted = Wanted {
        mean: 900.0,
        swing: 200.0,
        waves: 1.5,
    };
    converges("engine", wanted, |count| {
        let course = road(
            Start::Rolling(wanted.z(0.0).sqrt()),
            Finish::Flying,
            sections(wanted, count, gamma, None, |z, _| {
                torque(total * z.sqrt() / 0.3) * total / 0.3 / MASS
            }),
        );
        Driver::of(&car, &engine).drive(&course, 10.0)
    });
}

/// Backwards: the brakes at the driver's share of the ellipse, down to a cap at the end.
#[test]
fn analytic_braking_on_the_ellipse_with_downforce() {
    let mut car = car(Drive::All);
    car.cg_height = 0.0;
    let share = 0.8;
    let wanted = Wanted {
        mean: 330.0,
        swing: 90.0,
        waves: 0.5,
    };
    let end = wanted.z(LENGTH);
    let error = |count: usize| {
        let mut sections = sections(wanted, count, 1.0, Some(RADIUS), |z, cos| {
            -share * grip_left(z, cos)
        });
        sections.push(Section {
            cap: Some(end.sqrt()),
            ..straight(1.0)
        });
        let course = road(Start::Rolling(1.0), Finish::Flying, sections);
        let engine = constant_torque(1e5);
        let mut driver = Driver::of(&car, &engine);
        driver.habits.brake_share = share;
        driver.drive(&course, 10.0).limits.z_start - wanted.z(0.0)
    };
    let (coarse, fine, finest) = (error(100), error(200), error(400));
    for ratio in [coarse / fine, fine / finest] {
        assert!((3.7..4.3).contains(&ratio), "{coarse} {fine} {finest}");
    }
    assert!(finest.abs() < 1e-4 * wanted.z(0.0), "{finest}");
}
