//! Wheelspin: where the tyres limit they slip lengthwise, and the engine turns faster than the road
//! says, n = n_road·(1 + σ), σ the slip at the tyres' limit on the surface.
//!
//! A reader of the tape for time in band: times of the lap are what they were.

use crate::lap::{Cells, Machine, Phase, Record};

/// Engine speed over what the road says, per record: 1 wherever the tyres do not limit the drive in
/// gear.
pub fn slip(machine: &Machine, cells: &Cells, records: &[Record]) -> Vec<f64> {
    let spins = |r: &&Record| r.phase == Phase::Drive && r.traction;
    let slip = |r: &Record| {
        let cell = &cells.cells[r.cell as usize];
        1.0 + machine.ground[usize::from(cell.surface)].slip
    };
    records
        .iter()
        .map(|r| if spins(&r) { slip(r) } else { 1.0 })
        .collect()
}
