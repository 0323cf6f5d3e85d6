//! Seconds per rpm band, and two curves against each other, in closed form.

use approx::assert_relative_eq;
use pullrank::car::Car;
use pullrank::dyno::Curve;
use pullrank::explain::{Revs, bands};

use super::motion::case;
use crate::support::cars::{constant_power, constant_torque, point_mass};
use crate::support::roads::{rolling, straight};
use crate::support::runs::{Driver, Run};

/// 1,000 kg, one gear of total ratio 8, rolling radius 0.29 m, no losses.
fn car() -> Car {
    let mut car = point_mass(1000.0, 50.0);
    car.trims[0].rolling_radius = 0.29;
    car.final_drive.ratio = 8.0;
    car.rev_limit_rpm = 12_000.0;
    car
}

/// 200 N·m, or 100 kW.
fn pair() -> (Curve, Curve) {
    (constant_torque(200.0), constant_power(100e3))
}

fn pull(engine: &Curve, from: f64, distance: f64) -> Run {
    let car = car();
    Driver::of(&car, engine).drive(&rolling(from, vec![straight(distance)]), 0.1)
}

/// From 3,000 to 7,000 rpm: equal times at constant torque, growing with n2² − n1² at constant power.
#[test]
fn analytic_time_per_band() {
    let times = |engine: &Curve| {
        let per_speed = 8.0 / 0.29 * pullrank::units::RPM_PER_RAD_PER_S;
        let run = pull(engine, 3000.0 / per_speed, 80.0);
        let revs = Revs {
            rpm_per_speed: vec![per_speed],
            best_up_to: vec![f64::INFINITY],
            lowest_gear: 0,
            launch_rpm: 0.0,
            lowest_rpm: 0.0,
        };
        let read = bands(&revs.spans(&run.tape.records), 1000.0);
        assert_eq!(read.bands[0].low_rpm, 3000.0);
        let sum: f64 = read.bands.iter().map(|b| b.time).sum();
        assert_relative_eq!(sum, run.time(), max_relative = 1e-12);
        read.bands
            .iter()
            .take(4)
            .map(|b| b.time)
            .collect::<Vec<_>>()
    };
    let (torque, power) = pair();
    for time in times(&torque) {
        assert_relative_eq!(time, case("BT-T", "t"), max_relative = 1e-6);
    }
    for (time, quantity) in times(&power).into_iter().zip(["t1", "t2", "t3", "t4"]) {
        assert_relative_eq!(time, case("BT-P", quantity), max_relative = 1e-5);
    }
}

/// The two curves take equal time from v1 to v2 exactly when (v1 + v2)/2 = P/F; below that the
/// power curve wins, above it the torque curve.
#[test]
fn analytic_the_tie() {
    let (torque, power) = pair();
    let tie = 100e3 / (200.0 * 8.0 / 0.29);
    assert_relative_eq!(tie, case("XO", "v"), max_relative = 1e-7);
    let between = |engine: &Curve, v1: f64, v2: f64| {
        pull(engine, v1, 60.0)
            .time_to_speed(v2)
            .expect("it gets there")
    };
    for (name, v1, v2) in [
        ("XO-10-20", 10.0, 20.0),
        ("XO-14-22.25", 14.0, 22.25),
        ("XO-18-25", 18.0, 25.0),
    ] {
        let (t, p) = (between(&torque, v1, v2), between(&power, v1, v2));
        assert_relative_eq!(t, case(name, "tF"), max_relative = 1e-6);
        assert_relative_eq!(p, case(name, "tP"), max_relative = 1e-5);
    }
    let near = |dv: f64| between(&torque, 14.0, 22.25 + dv) - between(&power, 14.0, 22.25 + dv);
    assert!(near(-0.02) > 0.0 && near(0.02) < 0.0);
}

/// Over a fixed distance the order turns with the corner speed and the distance.
#[test]
fn analytic_the_flip() {
    let (torque, power) = pair();
    let mut gaps = Vec::new();
    for (name, from, distance) in [("XD-8-40", 8.0, 40.0), ("XD-15-120", 15.0, 120.0)] {
        let (t, p) = (
            pull(&torque, from, distance).time(),
            pull(&power, from, distance).time(),
        );
        assert_relative_eq!(t, case(name, "tF"), max_relative = 1e-6);
        assert_relative_eq!(p, case(name, "tP"), max_relative = 1e-5);
        gaps.push(t - p);
    }
    assert!(gaps[0] > 0.2 && gaps[1] < -0.2);
}
