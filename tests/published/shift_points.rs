//! Where the next gear accelerates more: with equal power before and after, T(n) = s·T(s·n) with s
//! the step between the ratios.

use pullrank::car::Rotating;
use pullrank::dyno::Curve;

use super::motion::case;
use crate::support::cars::{curve, gearbox, point_mass};
use crate::support::roads::drag_strip;
use crate::support::runs::Driver;
use pullrank::units::RPM_PER_RAD_PER_S;

/// Engine speed at which first gear is left for a second `step` times as long.
fn shift(engine: &Curve, step: f64, rotating: Rotating, limit_rpm: f64) -> f64 {
    let mut car = point_mass(1000.0, 5.0);
    car.gearbox = gearbox(&[3.0, 3.0 * step], 0.3);
    car.final_drive.ratio = 4.0;
    car.rev_limit_rpm = limit_rpm;
    car.rotating = rotating;
    let machine = Driver::of(&car, engine)
        .drive(&drag_strip(10.0), 1.0)
        .machine;
    machine.gears[0].mode.c1 * machine.gears[0].z_cross.sqrt()
}

/// The torque table's knots are 20 rpm apart; what lies between is straight.
const RPM: f64 = 0.05;

fn check(name: &str, engine: &Curve, step: f64) {
    let ours = shift(engine, step, Rotating::None, 10_000.0);
    let exact = case(&format!("{name}-{step}"), "n");
    assert!((ours - exact).abs() < RPM, "{name} {step}: {ours} {exact}");
}

/// Torque falling straight to zero at n0 = 12,000: n0/(1 + s).
#[test]
fn analytic_linear_torque() {
    let engine = curve(100.0, |w| 300.0 * (1.0 - w * RPM_PER_RAD_PER_S / 12_000.0));
    for step in [0.75, 0.6, 0.85] {
        check("SH-lin", &engine, step);
    }
}

/// Any power curve symmetric about its peak at 6,500: 2·np/(1 + s), shown with a cosine.
#[test]
fn analytic_symmetric_power() {
    let engine = curve(20.0, |w| {
        let away = (w * RPM_PER_RAD_PER_S - 6500.0) / 5000.0;
        1e5 * away.cos() / w
    });
    for step in [0.75, 0.6, 0.85] {
        check("SH-par", &engine, step);
    }
}

/// T = 200 − 6·10⁻⁶·(n − 4500)².
#[test]
fn reference_quadratic_torque() {
    let engine = curve(50.0, |w| {
        200.0 - 6e-6 * (w * RPM_PER_RAD_PER_S - 4500.0).powi(2)
    });
    for step in [0.75, 0.65] {
        check("SH-q", &engine, step);
    }
}

/// Torque too strong at the top for the step: hold to the limiter.
#[test]
fn analytic_no_crossing_below_the_limit() {
    let engine = curve(100.0, |w| 300.0 * (1.0 - w * RPM_PER_RAD_PER_S / 12_000.0));
    let ours = shift(&engine, 0.75, Rotating::None, 6800.0);
    assert!((ours - 6800.0).abs() < 1e-6, "{ours}");
}

/// With parts that turn, what is compared is force over effective mass: for linear torque
/// T(n)/γ1 = s·T(s·n)/γ2, so n = n0·(1 − sγ1/γ2)/(1 − s²γ1/γ2), earlier than without.
#[test]
fn analytic_rotating_parts_move_the_shift() {
    let engine = curve(100.0, |w| 300.0 * (1.0 - w * RPM_PER_RAD_PER_S / 12_000.0));
    let step = 0.7;
    let ours = shift(&engine, step, Rotating::Typical, 10_000.0);
    let gamma = |total: f64| 1.04 + 0.0025 * total * total;
    let ratio = step * gamma(12.0) / gamma(12.0 * step);
    let exact = 12_000.0 * (1.0 - ratio) / (1.0 - step * ratio);
    assert!((ours - exact).abs() < RPM, "{ours} {exact}");
    assert!(ours < 12_000.0 / 1.7 - 100.0);
}
