//! The fastest way along a given path: brakes or drive at their bound, the switch where they meet
//! (Bobrow, Dubowsky, Gibson, Int. J. Robotics Research 4 (1985) 3–17, from memory).

use approx::assert_relative_eq;
use pullrank::car::Car;
use pullrank::units::STANDARD_GRAVITY as G;
use pullrank::venue::{Finish, Section, Start};

use super::motion::case;
use crate::support::cars::{constant_power, constant_torque, geared_for, point_mass, torque_for};
use crate::support::roads::{bend, half_circle, ring, road, straight};
use crate::support::runs::{DENSITY, Driver, Run, time};

/// Cases are printed to six decimals.
const PRINTED: f64 = 1e-6;

/// A car with constant acceleration a and deceleration b, m/s²: strong tyres, of which the driver
/// uses b under braking.
fn bounded(a: f64, b: f64, entry: Start, finish: Finish, sections: Vec<Section>) -> Run {
    let mut car = point_mass(1000.0, 10.0);
    geared_for(&mut car, 120.0);
    let engine = constant_torque(torque_for(&car, 1000.0 * a));
    let mut driver = Driver::of(&car, &engine);
    driver.habits.brake_share = b / (10.0 * G);
    driver.drive(&road(entry, finish, sections), 7.0)
}

/// v_p = √(2Lab/(a+b)), T = √(2L(a+b)/(ab)): exact at any cell length, since braking begins where
/// the two lines meet and not at a station.
#[test]
fn analytic_rest_to_rest() {
    for (name, length, a, b) in [
        ("TO-rest", 400.0, 5.0, 10.0),
        ("TO-rest-2", 1000.0, 4.0, G),
        ("TO-rest-3", 402.336, 6.0, 6.0),
    ] {
        let run = bounded(
            a,
            b,
            Start::Standing,
            Finish::Standing,
            vec![straight(length)],
        );
        let exact = (2.0 * length * (a + b) / (a * b)).sqrt();
        assert_relative_eq!(run.time(), exact, max_relative = 1e-10);
        assert_relative_eq!(run.time(), case(name, "t"), max_relative = PRINTED);
        assert_relative_eq!(run.top_speed(), case(name, "v"), max_relative = PRINTED);
        let switch = run.braking_point().expect("it brakes");
        assert_relative_eq!(switch, case(name, "x"), max_relative = PRINTED);
        assert_eq!(run.exit_speed(), 0.0);
    }
}

/// The same with a cap on speed.
#[test]
fn analytic_rest_to_rest_under_a_cap() {
    let capped = Section {
        cap: Some(50.0),
        ..straight(1000.0)
    };
    let run = bounded(5.0, 10.0, Start::Standing, Finish::Standing, vec![capped]);
    assert_relative_eq!(run.time(), case("TO-rest-cap", "t"), max_relative = 1e-10);
    assert_relative_eq!(run.top_speed(), 50.0, max_relative = 1e-12);
}

/// v_p² = (2abL + b·v1² + a·v2²)/(a+b) between the speeds of two corners.
#[test]
fn analytic_corner_to_corner() {
    for (name, length, a, b, v1, v2) in [
        ("TO-2c", 300.0, 5.0, 9.0, 20.0, 25.0),
        ("TO-2c-2", 150.0, 3.0, 8.0, 30.0, 12.0),
        ("TO-2c-3", 80.0, 4.0, 10.0, 25.0, 26.0),
    ] {
        let corner = |v| Section {
            cap: Some(v),
            ..straight(15.0)
        };
        let sections = vec![corner(v1), straight(length), corner(v2)];
        let run = bounded(a, b, Start::Rolling(v1), Finish::Flying, sections);
        let between = run.time() - 15.0 / v1 - 15.0 / v2;
        assert_relative_eq!(between, case(name, "t"), max_relative = PRINTED);
        assert_relative_eq!(run.top_speed(), case(name, "v"), max_relative = PRINTED);
        let switch = run.braking_point().expect("it brakes") - 15.0;
        assert_relative_eq!(switch, case(name, "x"), max_relative = PRINTED);
    }
}

/// v = √(μgR).
#[test]
fn analytic_circle() {
    let engine = constant_torque(1e5);
    for (name, radius, mu) in [
        ("TO-circ", 30.0, 1.0),
        ("TO-circ-2", 50.0, 0.6),
        ("TO-circ-3", 100.0, 1.3),
    ] {
        let car = point_mass(1000.0, mu);
        let lap = time(
            &car,
            &engine,
            &ring(vec![half_circle(radius), half_circle(radius)]),
            1.0,
        );
        assert_relative_eq!(lap, case(name, "t"), max_relative = PRINTED);
    }
}

/// v² = μmg/(m/R − ½ρμC_lA) with downforce.
#[test]
fn analytic_downforce_corner() {
    let mut car = point_mass(1000.0, 1.0);
    car.lift_area = 1.5;
    let circle = ring(vec![half_circle(100.0), half_circle(100.0)]);
    let run = Driver::of(&car, &constant_torque(1e5)).drive(&circle, 1.0);
    assert_relative_eq!(
        run.top_speed(),
        case("TO-aero", "v"),
        max_relative = PRINTED
    );
    // So much downforce that no speed is too high: 1/R < ½ρμC_lA/m.
    car.lift_area = 1.1 * 2.0 * 1000.0 / (100.0 * DENSITY);
    geared_for(&mut car, 80.0);
    let free = Driver::of(&car, &constant_torque(1e5)).drive(&circle, 1.0);
    assert_relative_eq!(free.top_speed(), 80.0, max_relative = 1e-9);
}

/// The friction circle from rest on a constant radius: v² = μgR·sin(2s/R), so that the limit is
/// reached at s = πR/4 after T = ¼·B(¼, ½)·√(R/(μg)).
const QUARTER_BETA: f64 = 1.311_028_777_146_06;

fn arc(length: f64, start: Start, finish: Finish, spacing: f64) -> Run {
    let mut car = point_mass(1000.0, 1.0);
    geared_for(&mut car, 60.0);
    let course = road(start, finish, vec![bend(length, 50.0)]);
    Driver::of(&car, &constant_torque(1e5)).drive(&course, spacing)
}

/// Better than second order although the tyres' slope is infinite at the limit.
#[test]
fn analytic_friction_circle_from_rest() {
    let length = std::f64::consts::PI * 50.0 / 4.0;
    let exact = QUARTER_BETA * (50.0 / G).sqrt();
    assert_relative_eq!(exact, case("TO-fc", "t"), max_relative = PRINTED);
    assert_relative_eq!(length, case("TO-fc", "x"), max_relative = PRINTED);
    let error = |n: f64| {
        let run = arc(length, Start::Standing, Finish::Flying, length / n);
        assert!(run.top_speed() <= case("TO-fc", "v") * (1.0 + 1e-7));
        (run.time() - exact).abs() / exact
    };
    for n in [50.0, 100.0, 200.0, 400.0] {
        let ratio = error(n) / error(2.0 * n);
        assert!(ratio > 5.0, "{n} cells: {ratio}");
    }
    assert!(error(length.ceil()) < 1e-6, "1 m cells");
    assert!(error(800.0) < 1e-9);
}

/// The same from 10 m/s.
#[test]
fn analytic_friction_circle_from_speed() {
    let length = case("TO-fc-v0", "x");
    let run = arc(length, Start::Rolling(10.0), Finish::Flying, 0.1);
    assert_relative_eq!(run.exit_speed(), case("TO-fc", "v"), max_relative = PRINTED);
    let v20 = run.at_distance(20.0).1;
    assert_relative_eq!(v20, case("TO-fc-v0", "v20"), max_relative = 5e-6);
}

/// The brakes go the same way back, to rest: of fourth order.
#[test]
fn analytic_friction_circle_to_rest() {
    let length = 0.8 * std::f64::consts::PI * 50.0 / 4.0;
    let exact = (50.0 * G * (2.0 * length / 50.0).sin()).sqrt();
    let error = |n: f64| {
        let run = arc(length, Start::Rolling(1.0), Finish::Standing, length / n);
        (exact - run.limits.z_start.sqrt()).abs()
    };
    for n in [50.0, 100.0, 200.0, 400.0] {
        let ratio = error(n) / error(2.0 * n);
        assert!((15.0..17.0).contains(&ratio), "{n} cells: {ratio}");
    }
    assert!(error(800.0) < 1e-6 * exact);
}

fn stadium() -> Vec<Section> {
    vec![
        straight(400.0),
        half_circle(50.0),
        straight(400.0),
        half_circle(50.0),
    ]
}

/// Two straights and two half circles, F = min(μmg, P/v), brakes μmg.
#[test]
fn analytic_stadium() {
    let mut car = point_mass(1000.0, 1.0);
    geared_for(&mut car, 60.0);
    for watts in [80e3, 100e3, 150e3] {
        let name = format!("TO-stad-{watts}");
        let run = Driver::of(&car, &constant_power(watts)).drive(&ring(stadium()), 0.5);
        assert_relative_eq!(run.time(), case(&name, "t"), max_relative = 2e-6);
        assert_relative_eq!(run.top_speed(), case(&name, "v"), max_relative = 5e-6);
    }
}

/// The same with constant a and b on the straights.
#[test]
fn analytic_stadium_with_constant_bounds() {
    let mut car = point_mass(1000.0, 1.0);
    geared_for(&mut car, 60.0);
    let engine = constant_torque(torque_for(&car, 4000.0));
    let mut driver = Driver::of(&car, &engine);
    driver.habits.brake_share = 9.0 / G;
    let run = driver.drive(&ring(stadium()), 10.0);
    assert_relative_eq!(run.time(), case("TO-stad-ab", "t"), max_relative = PRINTED);
    assert_relative_eq!(
        run.top_speed(),
        case("TO-stad-ab", "v"),
        max_relative = PRINTED
    );
}

/// A lap of varying curvature, κ = 0.0125·sin²(4πs/L), with drag and a power limit.
fn varying(count: usize) -> (Car, Vec<Section>) {
    let mut car = point_mass(1000.0, 1.0);
    geared_for(&mut car, 60.0);
    car.drag_area = 0.0004 * 2.0 * 1000.0 / DENSITY;
    let length = 1200.0;
    let step = length / count as f64;
    let sections = (0..count)
        .map(|i| {
            let s = step * (i as f64 + 0.5);
            let curvature = 0.0125 * (4.0 * std::f64::consts::PI * s / length).sin().powi(2);
            bend(step, 1.0 / curvature)
        })
        .collect();
    (car, sections)
}

#[test]
fn reference_varying_curvature() {
    let lap = |count| {
        let (car, sections) = varying(count);
        Driver::of(&car, &constant_power(120e3)).drive(&ring(sections), 10.0)
    };
    let exact = case("TO-num", "t");
    let fine = lap(4800);
    assert!((fine.time() - exact).abs() < 2e-4, "{}", fine.time());
    assert!((fine.top_speed() - case("TO-num", "vmax")).abs() < 0.005);
    // A little under √(μg/κ): with drag the tyres must drive to hold the speed.
    let slowest = |z: f64, r: &pullrank::lap::Record| z.min(r.z1);
    let slowest = fine.tape.records.iter().fold(f64::INFINITY, slowest).sqrt();
    assert!((slowest - case("TO-num", "vmin")).abs() < 1e-3, "{slowest}");
    // Both the curvature held per cell and the step are of second order.
    let error = |count| lap(count).time() - exact;
    for count in [600, 1200] {
        let ratio = error(count) / error(2 * count);
        assert!((3.7..4.3).contains(&ratio), "{count} cells: {ratio}");
    }
}
