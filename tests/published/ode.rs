//! The standing kilometre through the gears against a general-purpose integrator (the crate
//! differential-equations, Dormand–Prince 8(5,3) with dense output). The equations of motion are written down
//! here anew, from the forces; of the library only the lap itself is used.

use differential_equations::prelude::*;
use pullrank::car::{Car, Drive, FirstGear, Rotating};
use pullrank::units::STANDARD_GRAVITY as G;

use crate::support::cars::{curve, gearbox, point_mass};
use crate::support::roads::drag_strip;
use crate::support::runs::{DENSITY, Driver, Run};

const KILOMETRE: f64 = 1000.0;
const RATIOS: [f64; 5] = [3.1, 2.05, 1.48, 1.16, 0.97];
const FINAL_DRIVE: f64 = 4.1;
const EFFICIENCY: f64 = 0.92;
const MASS: f64 = 1020.0;
const RADIUS: f64 = 0.286;
const SHIFT_TIME: f64 = 0.32;
const LIMIT_RPM: f64 = 7300.0;
const LAUNCH_RPM: f64 = 4600.0;
const DRAG_AREA: f64 = 0.64;
const ROLLING: f64 = 0.014;
const WHEELS: f64 = 3.5;
const ENGINE: f64 = 0.13;

/// Engine torque, N·m, at an engine speed in rad/s: a parabola with its top at 5,200 rpm.
fn torque(omega: f64) -> f64 {
    let away = omega - 5200.0 * std::f64::consts::PI / 30.0;
    188.0 - 6.5e-4 * away * away
}

/// What moves the car between two events.
#[derive(Clone, Copy, PartialEq)]
enum Drives {
    /// First gear, the clutch slipping at launch rpm.
    Launch,
    /// In gear, counted from 0.
    Gear(usize),
    /// Between two gears.
    Nothing,
}

#[derive(Clone, Copy)]
struct Motion {
    drives: Drives,
    /// Axle grip at its load, N.
    tyres: f64,
    /// Speed at which this part of the run ends, m/s.
    until: f64,
}

impl Motion {
    fn is_over(&self, y: &[f64; 2]) -> bool {
        y[1] >= self.until || y[0] >= KILOMETRE
    }

    fn resistance(v: f64) -> f64 {
        0.5 * DENSITY * DRAG_AREA * v * v + ROLLING * MASS * G
    }

    fn in_gear(gear: usize, v: f64) -> f64 {
        let total = RATIOS[gear] * FINAL_DRIVE;
        let force = torque(total * v / RADIUS) * total * EFFICIENCY / RADIUS;
        let turning = (WHEELS + ENGINE * total * total) / (RADIUS * RADIUS);
        (force - Self::resistance(v)) / (MASS + turning)
    }

    fn clutch_open(force: f64, v: f64) -> f64 {
        (force - Self::resistance(v)) / (MASS + WHEELS / (RADIUS * RADIUS))
    }

    fn acceleration(&self, v: f64) -> f64 {
        let by_engine = match self.drives {
            Drives::Nothing => return Self::clutch_open(0.0, v),
            Drives::Gear(gear) => Self::in_gear(gear, v),
            Drives::Launch => {
                let total = RATIOS[0] * FINAL_DRIVE;
                let pull = torque(LAUNCH_RPM * std::f64::consts::PI / 30.0);
                Self::clutch_open(pull * total * EFFICIENCY / RADIUS, v)
            }
        };
        by_engine.min((self.tyres - Self::resistance(v)) / MASS)
    }
}

impl ODE<f64, [f64; 2]> for Motion {
    fn diff(&self, _t: f64, y: &[f64; 2], dydt: &mut [f64; 2]) {
        *dydt = [y[1], self.acceleration(y[1])];
    }
}

/// Stops where the speed or the kilometre is reached: the crate's dense output, halved until the
/// clock no longer moves. (Its own event finder passes over an event now and then.)
impl Solout<f64, [f64; 2]> for Motion {
    fn solout<I>(
        &mut self,
        t_curr: f64,
        t_prev: f64,
        y_curr: &[f64; 2],
        _y_prev: &[f64; 2],
        interpolator: &mut I,
        solution: &mut Solution<f64, [f64; 2]>,
    ) -> ControlFlag<f64, [f64; 2]>
    where
        I: Interpolation<f64, [f64; 2]> + ?Sized,
    {
        if !self.is_over(y_curr) {
            solution.push(t_curr, *y_curr);
            return ControlFlag::Continue;
        }
        let (mut low, mut high, mut y) = (t_prev, t_curr, *y_curr);
        for _ in 0..60 {
            let mid = 0.5 * (low + high);
            let there = interpolator.interpolate(mid).expect("dense output");
            if self.is_over(&there) {
                (high, y) = (mid, there);
            } else {
                low = mid;
            }
        }
        solution.push(high, y);
        ControlFlag::Terminate
    }
}

/// Integrates until the speed or the kilometre is reached, or for `seconds`.
fn part(motion: &Motion, t: f64, y: [f64; 2], seconds: f64) -> (f64, [f64; 2]) {
    let method = ExplicitRungeKutta::dop853()
        .rtol(1e-11)
        .atol(1e-11)
        .h_max(0.02);
    let solution = IVP::ode(motion, t, t + seconds, y)
        .solout(*motion)
        .method(method)
        .solve()
        .expect("the integrator gets there");
    let last = solution.t.len() - 1;
    (solution.t[last], solution.y[last])
}

/// Road speed on the limiter, m/s.
fn limiter(gear: usize) -> f64 {
    LIMIT_RPM * std::f64::consts::PI / 30.0 * RADIUS / (RATIOS[gear] * FINAL_DRIVE)
}

/// The last speed below the limiter at which the next gear accelerates as much.
fn upshift(gear: usize) -> f64 {
    let limit = limiter(gear);
    let more = |v: f64| Motion::in_gear(gear, v) - Motion::in_gear(gear + 1, v);
    if more(limit) >= 0.0 {
        return limit;
    }
    let (mut low, mut high) = (limit, limit);
    while more(low) < 0.0 {
        high = low;
        low -= 0.01;
    }
    for _ in 0..60 {
        let mid = 0.5 * (low + high);
        if more(mid) >= 0.0 {
            low = mid
        } else {
            high = mid
        }
    }
    low
}

/// Time of the kilometre, s, speed over the line, m/s, and the upshift speeds that were reached.
fn integrate(tyres: f64) -> (f64, f64, Vec<f64>) {
    let lock = LAUNCH_RPM * std::f64::consts::PI / 30.0 * RADIUS / (RATIOS[0] * FINAL_DRIVE);
    let launch = Motion {
        drives: Drives::Launch,
        tyres,
        until: lock,
    };
    let (mut t, mut y) = part(&launch, 0.0, [0.0, 0.0], 100.0);
    let mut shifts = Vec::new();
    for gear in 0..RATIOS.len() {
        let until = if gear + 1 < RATIOS.len() {
            upshift(gear)
        } else {
            limiter(gear)
        };
        let pull = Motion {
            drives: Drives::Gear(gear),
            tyres,
            until,
        };
        (t, y) = part(&pull, t, y, 100.0);
        if y[0] >= KILOMETRE {
            break;
        }
        if gear + 1 == RATIOS.len() {
            return (t + (KILOMETRE - y[0]) / y[1], y[1], shifts);
        }
        shifts.push(y[1]);
        let change = Motion {
            drives: Drives::Nothing,
            tyres,
            until: f64::INFINITY,
        };
        (t, y) = part(&change, t, y, SHIFT_TIME);
    }
    (t, y[1], shifts)
}

fn car(drive: Drive, mu: f64) -> Car {
    let mut car = point_mass(MASS, mu);
    car.drive = drive;
    car.gearbox = gearbox(&RATIOS, SHIFT_TIME);
    car.gearbox.first_gear = FirstGear::StartOnly;
    car.gearbox.efficiency = vec![EFFICIENCY];
    car.final_drive.ratio = FINAL_DRIVE;
    car.rev_limit_rpm = LIMIT_RPM;
    car.default_launch_rpm = LAUNCH_RPM;
    car.trims[0].rolling_radius = RADIUS;
    car.drag_area = DRAG_AREA;
    car.rolling.f0 = Some(ROLLING);
    car.front_share = 0.54;
    car.cg_height = 0.49;
    car.wheelbase = 2.42;
    car.rotating = Rotating::Inertias {
        engine: ENGINE,
        wheels: WHEELS,
        gearbox: vec![0.0],
        shaft: 0.0,
    };
    car
}

fn lap(car: &Car, spacing: f64) -> Run {
    Driver::of(car, &curve(10.0, torque)).drive(&drag_strip(KILOMETRE), spacing)
}

/// Rear, front and all drive, from a slippery road to a good one; with all drive on the good one the
/// run ends on the limiter.
#[test]
fn reference_standing_kilometre() {
    let lean = 0.49 / 2.42;
    for mu in [0.35, 0.75, 1.1] {
        for (drive, share) in [
            (Drive::Rear, 0.46 / (1.0 - mu * lean)),
            (Drive::Front, 0.54 / (1.0 + mu * lean)),
            (Drive::All, 1.0),
        ] {
            let (time, speed, shifts) = integrate(mu * MASS * G * share);
            let car = car(drive, mu);
            let run = lap(&car, 1.0);
            let name = format!("{drive:?} drive at {mu}");
            assert!(
                (run.time() - time).abs() < 5e-4,
                "{name}: {} {time}",
                run.time()
            );
            assert!((run.exit_speed() - speed).abs() < 1e-5 * speed, "{name}");
            let ours = run.upshifts();
            assert_eq!(ours.len(), shifts.len(), "{name}: {ours:?} {shifts:?}");
            for (&(_, ours), theirs) in ours.iter().zip(shifts) {
                assert!(
                    (ours - theirs).abs() < 1e-4 * theirs,
                    "{name}: {ours} {theirs}"
                );
            }
        }
    }
}
