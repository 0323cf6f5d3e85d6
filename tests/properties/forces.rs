//! No force that the engine or the tyres cannot give: read back from the tape, per sub-step.

use proptest::prelude::*;
use pullrank::lap::{Cell, Machine, Phase, Record};

use crate::support::random::{Entry, course, entry, settled};
use crate::support::runs::{Driver, Run};

/// What a step may be off by where it is longer than the physics wants: share, and m/s².
const SHARE: f64 = 0.03;
const SMALL: f64 = 0.02;

/// The largest value of a function of z over a record, from its ends and its middle.
fn most(record: &Record, f: impl Fn(f64) -> f64) -> f64 {
    let middle = 0.5 * (record.z0 + record.z1);
    f(record.z0).max(f(record.z1)).max(f(middle))
}

fn within(got: f64, allowed: f64) -> bool {
    got <= allowed + SHARE * allowed.abs() + SMALL
}

/// Drive force per mass that the engine gives at most in a record's gear, with the clutch slipping or
/// not, spun-up parts included.
fn engine(machine: &Machine, cell: &Cell, record: &Record) -> f64 {
    let gear = &machine.gears[usize::from(record.gear)].mode;
    let mode = match record.phase {
        Phase::Launch => &machine.launch.mode,
        Phase::Held => &machine.held.mode,
        Phase::Shift => &machine.coast,
        _ => gear,
    };
    most(record, |z| {
        let force = mode.c0 + mode.c2 * machine.table.at(mode.c1 * z.sqrt());
        (force - machine.resistance(cell, z, z.sqrt())) * mode.inv_gamma
    })
}

fn check(run: &Run) {
    let machine = &run.machine;
    for record in run.tape.records.iter().filter(|r| r.length > 1e-3) {
        let cell = &run.cells.cells[record.cell as usize];
        let a = (record.z1 - record.z0) / (2.0 * record.length);
        let resistance = |z: f64| machine.resistance(cell, z, z.sqrt());
        let forward = most(record, |z| machine.traction(cell, z) - resistance(z));
        assert!(within(a, forward), "{a} {forward} {record:?} {cell:?}");
        if record.phase == Phase::Line {
            let brakes = most(record, |z| machine.decelerate(cell, z));
            assert!(within(-a, brakes), "{a} {brakes} {record:?} {cell:?}");
        } else if record.phase != Phase::Limiter {
            let most = engine(machine, cell, record);
            assert!(within(a, most), "{a} {most} {record:?} {cell:?}");
        }
        // The tyres hold the car in the bend.
        let ground = &machine.ground[cell.surface as usize];
        let lateral = record.z1 * cell.curvature;
        let load = cell.g_cos + machine.downforce * record.z1;
        assert!(
            within(lateral, ground.mu * load),
            "{lateral} {record:?} {cell:?}"
        );
    }
}

proptest! {
    #![proptest_config(settled(1000))]

    #[test]
    fn property_forces_are_within_engine_and_tyres(
        entry in entry(),
        course in course(0.15, 0.4),
    ) {
        let Entry { car, curve, habits } = &entry;
        let driver = Driver { habits: *habits, ..Driver::of(car, curve) };
        if let Ok(run) = driver.try_drive(&course, 0.25) {
            check(&run);
        }
    }
}
