//! What the driven axle can put down.

use approx::assert_relative_eq;
use pullrank::car::{Car, Differential, Drive};
use pullrank::units::STANDARD_GRAVITY as G;
use pullrank::venue::{Finish, Start};

use super::motion::case;
use crate::support::cars::{constant_torque, geared_for, point_mass};
use crate::support::roads::{bend, drag_strip, road, straight};
use crate::support::runs::{Driver, time};

fn car(drive: Drive, mu: f64, front_share: f64, height: f64) -> Car {
    let mut car = point_mass(1000.0, mu);
    car.drive = drive;
    car.front_share = front_share;
    car.cg_height = height;
    car.wheelbase = 2.5;
    geared_for(&mut car, 60.0);
    car
}

/// Acceleration from rest, m/s², read off a run.
fn pull_away(car: &Car) -> f64 {
    let t = time(car, &constant_torque(1e5), &drag_strip(50.0), 5.0);
    100.0 / (t * t)
}

/// Beer, Johnston, "Vector Mechanics for Engineers: Dynamics", 8th edition, problem 16.6: the book
/// takes g = 9.81 m/s².
#[test]
fn reference_all_rear_and_front_drive() {
    for (name, drive) in [
        ("all", Drive::All),
        ("rear", Drive::Rear),
        ("front", Drive::Front),
    ] {
        let ours = pull_away(&car(drive, 0.80, 0.6, 0.5)) * 9.81 / G;
        assert_relative_eq!(ours, case("BJ-16.6", name), max_relative = 2e-5);
    }
}

/// Moments about the driven wheels when the front ones have just left the road: m·a·h = m·g·a_f·L.
#[test]
fn analytic_front_wheels_lift() {
    let lift = 0.45 * 2.5 / 0.9 * G;
    for drive in [Drive::All, Drive::Rear] {
        assert_relative_eq!(
            pull_away(&car(drive, 2.0, 0.45, 0.9)),
            lift,
            max_relative = 1e-9
        );
    }
    // Rear drive meets that limit at μh/L = a, without a step.
    let at = |mu: f64| pull_away(&car(Drive::Rear, mu, 0.45, 0.9));
    assert_relative_eq!(
        at(1.25 * (1.0 - 1e-9)),
        at(1.25 * (1.0 + 1e-9)),
        max_relative = 1e-8
    );
    assert_relative_eq!(at(1.25), lift, max_relative = 1e-8);
}

/// Braking tips the other way: the rear wheels leave the road at (1 − a)·L/h.
#[test]
fn analytic_rear_wheels_lift_under_braking() {
    let sport = car(Drive::All, 2.0, 0.6, 1.0);
    let stop = road(Start::Rolling(1.0), Finish::Standing, vec![straight(40.0)]);
    let run = Driver::of(&sport, &constant_torque(1e5)).drive(&stop, 1.0);
    let deceleration = 0.4 * 2.5 / 1.0 * G;
    assert_relative_eq!(
        run.limits.z_start,
        80.0 * deceleration,
        max_relative = 1e-12
    );
}

/// Traction in a bend at a speed: force over weight.
fn in_bend(car: &Car, radius: f64, speed: f64) -> f64 {
    let course = road(Start::Rolling(1.0), Finish::Flying, vec![bend(1.0, radius)]);
    let run = Driver::of(car, &constant_torque(1e5)).drive(&course, 1.0);
    run.machine.traction(&run.cells.cells[0], speed * speed) / G
}

/// The inside wheel carries half of what its axle carries, less the lateral transfer, and the
/// differential passes 1 + b times its grip. Found by going round until force and load agree.
#[test]
fn analytic_differential() {
    let (mu, radius, speed) = (0.9, 30.0, 12.0);
    for (drive, share, sign) in [(Drive::Rear, 0.45, 1.0), (Drive::Front, 0.55, -1.0)] {
        for bias in [1.0, 2.0, 3.5] {
            let mut driven = car(drive, mu, 0.55, 0.5);
            driven.differential = Differential::Bias(bias);
            driven.roll_share = 0.6;
            let lateral = speed * speed / (radius * G);
            let ellipse = (1.0 - (lateral / mu).powi(2)).sqrt();
            // F stands for the force straight ahead, of which the bend leaves the ellipse's share.
            let mut force = 0.0;
            for _ in 0..200 {
                let axle = share + sign * force * 0.5 / 2.5;
                let inside = 0.5 * axle - lateral * 0.5 * 0.6 / 1.4;
                force = ((1.0 + bias) * mu * inside).max(0.0).min(mu * axle);
            }
            let ours = in_bend(&driven, radius, speed);
            assert_relative_eq!(ours, force * ellipse, max_relative = 1e-12);
        }
    }
}

/// An open differential without lateral transfer is no limit: the same lap as a locked axle.
#[test]
fn analytic_open_differential_without_roll_is_a_spool() {
    let opening = [bend(20.0, 12.0), bend(15.0, 20.0), bend(25.0, 45.0)];
    let mut sections = vec![straight(150.0)];
    sections.extend(opening);
    sections.push(straight(80.0));
    let course = road(Start::Standing, Finish::Flying, sections);
    for drive in [Drive::Front, Drive::Rear, Drive::All] {
        let mut locked = car(drive, 0.8, 0.55, 0.5);
        locked.roll_share = 0.0;
        let mut open = locked.clone();
        open.differential = Differential::Bias(1.0);
        let engine = constant_torque(1e4);
        let (a, b) = (
            time(&locked, &engine, &course, 1.0),
            time(&open, &engine, &course, 1.0),
        );
        assert_relative_eq!(a, b, max_relative = 1e-12);
        // With it the inside wheel spins where a corner opens, except where all four are driven.
        open.roll_share = 0.5;
        let rolling = time(&open, &engine, &course, 1.0);
        assert!(if drive == Drive::All {
            rolling == b
        } else {
            rolling > b + 0.02
        });
    }
}
