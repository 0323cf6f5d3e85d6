//! Motion along a straight: forces simple enough for a closed form.

use approx::assert_relative_eq;
use pullrank::car::{Car, Rotating};
use pullrank::lap::LapError;
use pullrank::units::STANDARD_GRAVITY as G;
use pullrank::venue::{Finish, Start};

use super::motion::case;
use crate::support::cars::{
    LIMIT_RPM, constant_power, constant_torque, geared_for, point_mass, torque_for,
};
use crate::support::roads::{drag_strip, road, rolling, straight};
use crate::support::runs::{DENSITY, Driver};

const QUARTER_MILE: f64 = 402.336;
/// Closed forms are printed to six decimals.
const PRINTED: f64 = 1e-7;
/// 100 km/h in m/s.
const HUNDRED: f64 = 100.0 / 3.6;

/// The car of the straight-line cases: 1,200 kg, drag area 0.65 m² where wanted.
fn saloon(drag_area: f64, rolling: f64) -> Car {
    let mut car = point_mass(1200.0, 1e6);
    car.drag_area = drag_area;
    car.rolling.f0 = Some(rolling);
    geared_for(&mut car, 60.0);
    car
}

/// v² = 2Pt/m and x = ⅔·√(2P/m)·t^1.5, entered at 5 s.
#[test]
fn analytic_constant_power() {
    let car = saloon(0.0, 0.0);
    let engine = constant_power(100e3);
    let (v5, x5) = (case("CP-t5", "v"), case("CP-t5", "x"));
    for (name, t) in [("CP-t10", 10.0), ("CP-qm", case("CP-qm", "t"))] {
        let x = if name == "CP-qm" {
            QUARTER_MILE
        } else {
            case(name, "x")
        };
        let run = Driver::of(&car, &engine).drive(&rolling(v5, vec![straight(x - x5)]), 1.0);
        assert_relative_eq!(run.time(), t - 5.0, max_relative = 5e-6);
        assert_relative_eq!(run.exit_speed(), case(name, "v"), max_relative = 5e-6);
    }
}

/// x = (m/3k)·ln(P/(P − kv³)), entered at 30 m/s.
#[test]
fn analytic_constant_power_with_drag() {
    let car = saloon(0.65, 0.0);
    let engine = constant_power(100e3);
    let x = case("CPD-50", "x") - case("CPD-30", "x");
    let run = Driver::of(&car, &engine).drive(&rolling(30.0, vec![straight(x)]), 1.0);
    let t = case("CPD-50", "t") - case("CPD-30", "t");
    assert_relative_eq!(run.time(), t, max_relative = 5e-6);
    assert_relative_eq!(run.exit_speed(), 50.0, max_relative = 5e-6);
}

/// t = (m/√(Fk))·atanh(v/v_T) and x = −(m/2k)·ln(1 − v²/v_T²), from rest.
#[test]
fn analytic_constant_force_with_drag() {
    let car = saloon(0.65, 0.0);
    let engine = constant_torque(torque_for(&car, 4000.0));
    for (name, v) in [("CFD-30", 30.0), ("CFD-50", 50.0)] {
        let run = Driver::of(&car, &engine).drive(&drag_strip(case(name, "x")), 0.25);
        assert_relative_eq!(run.time(), case(name, "t"), max_relative = 5e-6);
        assert_relative_eq!(run.exit_speed(), v, max_relative = 1e-7);
    }
}

/// With rotating parts the engine's force moves m·γ, and only m·γ of the wheels while the clutch
/// slips: two constant accelerations.
#[test]
fn analytic_constant_force_with_rotating_parts() {
    let mut car = saloon(0.0, 0.0);
    let engine = constant_torque(torque_for(&car, 4000.0));
    car.default_launch_rpm = 2500.0;
    car.rotating = Rotating::Inertias {
        engine: 0.15,
        wheels: 3.6,
        gearbox: vec![0.02],
        shaft: 0.03,
    };
    let total = car.final_drive.ratio;
    let (turning, m_r2) = ((0.03 + 0.15 + 0.02) * total * total, 1200.0 * 0.3 * 0.3);
    let slipping = 4000.0 / (1200.0 * (1.0 + 3.6 / m_r2));
    let closed = 4000.0 / (1200.0 * (1.0 + (3.6 + turning) / m_r2));
    let lock = 60.0 * 2500.0 / LIMIT_RPM;
    let rest = 150.0 - lock * lock / (2.0 * slipping);
    let v = (lock * lock + 2.0 * closed * rest).sqrt();
    let run = Driver::of(&car, &engine).drive(&drag_strip(150.0), 1.0);
    let exact = lock / slipping + (v - lock) / closed;
    assert_relative_eq!(run.time(), exact, max_relative = 1e-12);
    assert_relative_eq!(run.exit_speed(), v, max_relative = 1e-12);
}

/// P = kv³ + f·m·g·v, approached from below and from above.
#[test]
fn analytic_terminal_speed() {
    let engine = constant_power(100e3);
    for (name, f) in [("VT", 0.0), ("VT2", 0.013)] {
        let mut car = saloon(0.65, f);
        geared_for(&mut car, 75.0);
        for entry in [50.0, 70.0] {
            let run = Driver::of(&car, &engine).drive(&rolling(entry, vec![straight(40e3)]), 10.0);
            assert_relative_eq!(run.exit_speed(), case(name, "v"), max_relative = 5e-6);
        }
    }
}

/// m·dv/dt = −(A + kv²): t = (m/√(Ak))·[atan(v0√(k/A)) − atan(v1√(k/A))].
#[test]
fn analytic_coast_down() {
    let mut car = saloon(0.65, 0.013);
    car.default_launch_rpm = 1000.0;
    let engine = constant_torque(0.0);
    let driver = Driver::of(&car, &engine);
    let run = driver.drive(&rolling(30.0, vec![straight(case("CD-30-20", "x"))]), 1.0);
    assert_relative_eq!(run.time(), case("CD-30-20", "t"), max_relative = PRINTED);
    assert_relative_eq!(run.exit_speed(), 20.0, max_relative = PRINTED);

    // A car that coasts to rest is an error that names the distance.
    let stop = case("CD-35-0", "x");
    let on = rolling(35.0, vec![straight(stop + 100.0)]);
    for spacing in [1.0, 5.0, 50.0] {
        match driver.try_drive(&on, spacing) {
            Err(LapError::Stalled { distance, .. }) => {
                assert!((distance - stop).abs() < 1.0, "{spacing}: {distance}");
            }
            other => panic!("{other:?}"),
        }
    }
    let short = driver.drive(&rolling(35.0, vec![straight(stop - 0.01)]), 0.01);
    // The last centimetre takes √(2x/a).
    let rest = (0.02 / (0.013 * G)).sqrt();
    assert_relative_eq!(
        short.time() + rest,
        case("CD-35-0", "t"),
        max_relative = 1e-6
    );
}

/// v²/2μg bare; −(m/2k)·ln with drag and rolling, which help.
#[test]
fn analytic_stopping_distance() {
    let engine = constant_torque(1e3);
    for (name, mu) in [("BR-1", 1.0), ("BR-0.7", 0.7), ("BR-0.4", 0.4)] {
        for (quantity, drag_area, f) in [
            ("x", 0.0, 0.0),
            ("x-drag", 0.65, 0.0),
            ("x-drag-rolling", 0.65, 0.013),
        ] {
            let mut car = saloon(drag_area, f);
            car.trims[0].grip.insert("tarmac".into(), mu);
            let stop = road(
                Start::Rolling(1.0),
                Finish::Standing,
                vec![straight(case(name, quantity))],
            );
            let run = Driver::of(&car, &engine).drive(&stop, 0.5);
            assert_relative_eq!(run.limits.z_start.sqrt(), HUNDRED, max_relative = PRINTED);
        }
    }
}

/// F = min(μmg, P/v) from rest.
#[test]
fn analytic_traction_then_power() {
    for (name, mass, power, mu) in [
        ("TP-1200-0.9", 1200.0, 100e3, 0.9),
        ("TP-1000-1", 1000.0, 200e3, 1.0),
    ] {
        let mut car = point_mass(mass, mu);
        car.default_launch_rpm = 10.0;
        geared_for(&mut car, 1.05 * case(name, "vqm"));
        let run = Driver::of(&car, &constant_power(power)).drive(&drag_strip(QUARTER_MILE), 0.25);
        assert_relative_eq!(run.time(), case(name, "tqm"), max_relative = 5e-6);
        assert_relative_eq!(run.exit_speed(), case(name, "vqm"), max_relative = 5e-6);
        let hundred = run.time_to_speed(HUNDRED).expect("it gets there");
        assert_relative_eq!(hundred, case(name, "t100"), max_relative = 1e-5);
    }
}

/// On the limiter speed is held: distance over the limiter's speed.
#[test]
fn analytic_limiter() {
    let mut car = saloon(0.0, 0.0);
    geared_for(&mut car, 20.0);
    let engine = constant_torque(torque_for(&car, 6000.0));
    let run = Driver::of(&car, &engine).drive(&drag_strip(500.0), 1.0);
    let exact = 20.0 / 5.0 + (500.0 - 40.0) / 20.0;
    assert_relative_eq!(run.time(), exact, max_relative = 1e-9);
    assert_relative_eq!(run.top_speed(), 20.0, max_relative = 1e-12);
}

/// The step is of fourth order: halving the cells takes away fifteen sixteenths of the error. From
/// rest the first cells weigh more (time there goes with the root of distance), which leaves order
/// 1.6.
#[test]
fn analytic_order_of_the_step() {
    let car = saloon(0.65, 0.013);
    let engine = constant_torque(torque_for(&car, 4000.0));
    let (k, m) = (0.5 * DENSITY * 0.65, 1200.0);
    let force = 4000.0 - 0.013 * m * G;
    let top = (force / k).sqrt();
    let place = |v: f64| -m / (2.0 * k) * (1.0 - (v / top).powi(2)).ln();
    let clock = |v: f64| m / (force * k).sqrt() * (v / top).atanh();
    for (entry, least, most) in [(10.0, 14.5, 17.0), (0.0, 2.8, 3.2)] {
        let length = place(50.0) - place(entry);
        let start = if entry > 0.0 {
            Start::Rolling(entry)
        } else {
            Start::Standing
        };
        let strip = road(start, Finish::Flying, vec![straight(length)]);
        let error = |n: f64| {
            let t = Driver::of(&car, &engine).drive(&strip, length / n).time();
            (t - (clock(50.0) - clock(entry))).abs()
        };
        for n in [40.0, 80.0, 160.0] {
            let ratio = error(n) / error(2.0 * n);
            assert!(
                (least..most).contains(&ratio),
                "from {entry} m/s, {n} cells: {ratio}"
            );
        }
    }
}
