//! Ratios, rotating parts, wheel force and road speed.

use approx::assert_relative_eq;
use pullrank::car::Rotating;

use super::motion::case;
use crate::support::cars::{constant_torque, gearbox, point_mass};
use crate::support::roads::drag_strip;
use crate::support::runs::{Driver, Run};
use crate::support::units::{FOOT, INCH, INCH_POUND_SECOND_SQUARED, MPH, POUND_FORCE};

/// Rolling radius of 801 turns a mile, in.
const RADIUS: f64 = 5280.0 * 12.0 / 801.0 / (2.0 * std::f64::consts::PI);
const RATIOS: [f64; 5] = [4.28, 2.79, 1.83, 1.36, 1.00];

/// Gillespie, "Fundamentals of Vehicle Dynamics", chapter 2, example: engine 0.8, gearbox 1.3 in
/// first and 0.3 in fifth, final drive 1.2, wheels 2 × 11.0 in·lb·s² (inputs from memory). The
/// example states nothing for the gears between: they take first's gearbox inertia here.
fn saloon() -> Run {
    let inch = INCH_POUND_SECOND_SQUARED;
    let mut car = point_mass(1100.0, 5.0);
    car.trims[0].rolling_radius = RADIUS * INCH;
    car.final_drive.ratio = 2.92;
    car.gearbox = gearbox(&RATIOS, 0.3);
    car.gearbox.efficiency = vec![0.966 * 0.99, 0.97, 0.97, 0.97, 0.970 * 0.99];
    car.rotating = Rotating::Inertias {
        engine: 0.8 * inch,
        wheels: 22.0 * inch,
        gearbox: vec![1.3 * inch, 1.3 * inch, 1.3 * inch, 1.3 * inch, 0.3 * inch],
        shaft: 1.2 * inch,
    };
    let engine = constant_torque(201.0 * FOOT * POUND_FORCE);
    Driver::of(&car, &engine).drive(&drag_strip(10.0), 1.0)
}

#[test]
fn reference_effective_inertia_tractive_force_and_speed() {
    let machine = saloon().machine;
    for (name, gear) in [("1st", 0), ("5th", 4)] {
        let mode = machine.gears[gear].mode;
        let inertia = (1.0 / mode.inv_gamma - 1.0) * 1100.0 * (RADIUS * INCH).powi(2);
        let ours = inertia / INCH_POUND_SECOND_SQUARED;
        assert_relative_eq!(ours, case(&format!("G-I-{name}"), "I"), max_relative = 5e-6);
        let force = mode.c2 * 1100.0 * machine.table.at(4400.0) / POUND_FORCE;
        assert_relative_eq!(
            force,
            case(&format!("G-F-{name}"), "F"),
            max_relative = 5e-6
        );
        let speed = 4400.0 / mode.c1 / MPH;
        assert_relative_eq!(
            speed,
            case(&format!("G-v-{name}"), "v"),
            max_relative = 5e-6
        );
    }
    // As remembered the book prints 2,290 lb at 26.4 mph and 537 lb at 113 mph.
    assert!(
        (case("G-F-1st", "F") - 2290.0).abs() < 1.0 && (case("G-v-5th", "v") - 113.0).abs() < 0.5
    );
}

/// 1.04 + 0.0025 N² where no inertias are given.
#[test]
fn reference_mass_factor() {
    for (name, total) in [
        ("MF-12.5", 12.4976),
        ("MF-8.147", 8.1468),
        ("MF-5.344", 5.3436),
        ("MF-3.971", 3.9712),
        ("MF-2.92", 2.92),
    ] {
        let ours = Rotating::Typical.mass_factor(0, total, 1.0, 1000.0, 0.3);
        assert_relative_eq!(ours, case(name, "gamma"), max_relative = 5e-6);
    }
}

/// Road speed at 7,000 rpm on a 185/60R13.
#[test]
fn reference_speed_in_the_gears() {
    let names = ["GS-3.5", "GS-2.1", "GS-1.4", "GS-1", "GS-0.8"];
    let mut car = point_mass(1000.0, 5.0);
    car.trims[0].rolling_radius = 0.26795;
    car.final_drive.ratio = 4.1;
    car.gearbox = gearbox(&[3.5, 2.1, 1.4, 1.0, 0.8], 0.3);
    car.rev_limit_rpm = 7000.0;
    let machine = Driver::of(&car, &constant_torque(200.0))
        .drive(&drag_strip(10.0), 1.0)
        .machine;
    for (gear, name) in machine.gears.iter().zip(names) {
        assert_relative_eq!(
            gear.z_limit.sqrt() * 3.6,
            case(name, "v"),
            max_relative = 1e-7
        );
    }
}
