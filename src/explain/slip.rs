//! Wheelspin: where the tyres are worked lengthwise they slip, and the engine turns faster than the
//! road says, n = n_road·(1 + σ·F/F_limit), σ the slip at the tyres' limit on the surface.
//!
//! A reader of the tape for time in band: times of the lap are what they were.

use crate::lap::{Cells, Machine, Phase, Record};

/// Engine speed over what the road says, per record; 1 where the clutch is open or slips, and on the
/// brakes.
pub fn slip(machine: &Machine, cells: &Cells, records: &[Record]) -> Vec<f64> {
    records
        .iter()
        .map(|record| 1.0 + spin(machine, cells, record))
        .collect()
}

fn spin(machine: &Machine, cells: &Cells, record: &Record) -> f64 {
    let cell = &cells.cells[record.cell as usize];
    let limit = machine.ground[usize::from(cell.surface)].slip;
    let z = 0.5 * (record.z0 + record.z1);
    let used = match record.phase {
        Phase::Drive if record.traction => 1.0,
        Phase::Drive => share(
            machine.engine(usize::from(record.gear), z),
            machine,
            cell,
            z,
        ),
        // At a held speed the tyres drive against resistance alone.
        Phase::Line if !record.braking => {
            share(machine.resistance(cell, z, z.sqrt()), machine, cell, z)
        }
        Phase::Limiter => share(machine.resistance(cell, z, z.sqrt()), machine, cell, z),
        Phase::Line | Phase::Launch | Phase::Held | Phase::Shift => 0.0,
    };
    limit * used
}

fn share(force: f64, machine: &Machine, cell: &crate::lap::Cell, z: f64) -> f64 {
    let most = machine.traction(cell, z);
    if most > 0.0 {
        (force / most).clamp(0.0, 1.0)
    } else {
        1.0
    }
}
