//! Drag, rolling resistance and gradient against a textbook's worked answers (Mannering, Washburn,
//! Kilareski, "Principles of Highway Engineering and Traffic Analysis", 4th edition, problem 2.31).

use approx::assert_relative_eq;
use pullrank::venue::{Course, Section};

use super::motion::case;
use crate::support::cars::{constant_torque, point_mass};
use crate::support::roads::{drag_strip, straight};
use crate::support::runs::Driver;
use crate::support::units::{FOOT, MPH, POUND, POUND_FORCE, SLUG_PER_CUBIC_FOOT};

/// The book takes the sine of a slope for its tangent and the cosine for 1: 0.12 % at 5 %.
const SMALL_ANGLE: f64 = 1.5e-3;

/// Resistance in lbf: mass in lb, frontal area in ft², speed in mph; of drag, rolling and gradient
/// only what is asked for.
fn resistance(mass: f64, area: f64, speed: f64, parts: (bool, bool, bool)) -> f64 {
    let (drag, rolling, grade) = parts;
    let mut car = point_mass(mass * POUND, 1.0);
    car.drag_area = if drag { 0.35 * area * FOOT * FOOT } else { 0.0 };
    car.rolling.f0 = Some(if rolling { 0.01 } else { 0.0 });
    car.rolling.f1 = if rolling { 0.01 / (147.0 * FOOT) } else { 0.0 };
    let climb = Section {
        slope: if grade { 0.05 } else { 0.0 },
        ..straight(1.0)
    };
    let course = Course {
        sections: vec![climb],
        ..drag_strip(1.0)
    };
    let curve = constant_torque(1e4);
    let driver = Driver {
        density: 0.002045 * SLUG_PER_CUBIC_FOOT,
        ..Driver::of(&car, &curve)
    };
    let run = driver.drive(&course, 1.0);
    let v = speed * MPH;
    run.machine.resistance(&run.cells.cells[0], v * v, v) * mass * POUND / POUND_FORCE
}

#[test]
fn reference_road_load() {
    for (name, mass, area, speed) in [("M-2.31", 2000.0, 20.0, 70.0), ("M-x", 2600.0, 22.0, 60.0)] {
        for (part, parts) in [
            ("drag", (true, false, false)),
            ("rolling", (false, true, false)),
            ("grade", (false, false, true)),
            ("total", (true, true, true)),
        ] {
            let ours = resistance(mass, area, speed, parts);
            assert_relative_eq!(ours, case(name, part), max_relative = SMALL_ANGLE);
        }
    }
}

/// With rolling resistance and gradient left out nothing is approximate but the printed digits.
#[test]
fn reference_drag_alone() {
    let ours = resistance(2000.0, 20.0, 70.0, (true, false, false));
    assert!((ours - case("M-2.31", "drag")).abs() < 0.005 + 1e-6);
}
