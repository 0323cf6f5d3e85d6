//! What the engine puts in is what the car gains, the hill takes and the air takes. The forces are
//! worked out here from the car's figures, not by the machine.

use pullrank::car::{Car, Rotating};
use pullrank::dyno::Curve;
use pullrank::lap::{Phase, Record};
use pullrank::units::{RPM_PER_RAD_PER_S, STANDARD_GRAVITY as G};
use pullrank::venue::{Course, EventKind, Extent, Section};

use crate::support::cars::{WHOLE, gearbox, point_mass};
use crate::support::demo::manifolds;
use crate::support::roads::straight;
use crate::support::runs::{DENSITY, Driver, Run};

const MASS: f64 = 1080.0;
const RADIUS: f64 = 0.274;
const RATIOS: [f64; 4] = [2.94, 1.94, 1.36, 1.00];
const FINAL_DRIVE: f64 = 38.0 / 9.0;
const WHEELS: f64 = 3.6;
const ENGINE: f64 = 0.12;
const ROLLING: f64 = 0.016;
const DRAG_AREA: f64 = 0.66;

/// Tyres that hold anything: no slip of tyres or clutch but in the launch.
fn coupe() -> Car {
    let mut car = point_mass(MASS, 20.0);
    car.gearbox = gearbox(&RATIOS, 0.35);
    car.gearbox.efficiency = vec![0.9, 0.9, 0.9, 0.92];
    car.final_drive.ratio = FINAL_DRIVE;
    car.rev_limit_rpm = 7200.0;
    car.default_launch_rpm = 4500.0;
    car.trims[0].rolling_radius = RADIUS;
    car.drag_area = DRAG_AREA;
    car.rolling.f0 = Some(ROLLING);
    car.rotating = Rotating::Inertias {
        engine: ENGINE,
        wheels: WHEELS,
        gearbox: vec![0.0],
        shaft: 0.0,
    };
    car
}

/// A road up and down, without a corner.
fn hills() -> Course {
    let slopes = [0.0, 0.06, -0.03, 0.11, 0.02, -0.05, 0.08];
    let section = |(i, &slope): (usize, &f64)| Section {
        extent: Extent::Length(45.0 + 8.0 * i as f64),
        slope,
        ..straight(1.0)
    };
    Course {
        sections: slopes.iter().enumerate().map(section).collect(),
        ..Course::new("hills", EventKind::Hillclimb)
    }
}

/// Simpson's rule over a record, along which z runs nearly evenly.
fn along(record: &Record, force: impl Fn(f64) -> f64) -> f64 {
    let middle = 0.5 * (record.z0 + record.z1);
    record.length * (force(record.z0) + 4.0 * force(middle) + force(record.z1)) / 6.0
}

/// Work done by the engine, energy gained, and work done against resistance, J.
fn books(run: &Run, course: &Course, engine: &Curve) -> [f64; 3] {
    let torque = |rpm: f64| {
        if rpm < 4500.0 {
            engine.torque(4500.0)
        } else {
            engine.torque(rpm)
        }
    };
    let m_r2 = MASS * RADIUS * RADIUS;
    let mut sums = [0.0; 3];
    for record in &run.tape.records {
        let gear = usize::from(record.gear);
        let total = RATIOS[gear] * FINAL_DRIVE;
        let efficiency = if gear == 3 { 0.92 } else { 0.9 };
        let closed = matches!(record.phase, Phase::Drive | Phase::Limiter);
        let turning = WHEELS + if closed { ENGINE * total * total } else { 0.0 };
        let push = |z: f64| {
            let rpm = total * z.sqrt() / RADIUS * RPM_PER_RAD_PER_S;
            torque(rpm) * total * efficiency / RADIUS
        };
        let slope = course.sections[run.cells.cells[record.cell as usize].section as usize].slope;
        let cos = 1.0 / (1.0 + slope * slope).sqrt();
        let resist = |z: f64| MASS * G * cos * (slope + ROLLING) + 0.5 * DENSITY * DRAG_AREA * z;
        if record.phase != Phase::Shift {
            sums[0] += along(record, push);
        }
        sums[1] += 0.5 * MASS * (1.0 + turning / m_r2) * (record.z1 - record.z0);
        sums[2] += along(record, resist);
    }
    sums
}

#[test]
fn property_energy_is_kept() {
    let (car, course) = (coupe(), hills());
    for engine in manifolds() {
        let driver = Driver {
            habits: WHOLE,
            ..Driver::of(&car, &engine)
        };
        let run = driver.drive(&course, 0.25);
        assert!(run.upshifts().len() >= 3, "{:?}", run.upshifts());
        let phases = [Phase::Line, Phase::Limiter, Phase::Held];
        assert!(
            run.tape
                .records
                .iter()
                .all(|r| !phases.contains(&r.phase) && !r.traction)
        );
        let [work, gained, resisted] = books(&run, &course, &engine);
        let missing = (work - gained - resisted) / work;
        assert!(
            missing.abs() < 1e-5,
            "{work} {gained} {resisted}: {missing}"
        );
    }
}
