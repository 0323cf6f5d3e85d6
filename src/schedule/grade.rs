//! How long cells may be: short where speed changes quickly, long where it does not, and no longer
//! than an estimate of the error allows.
//!
//! The error is taken as 4/3 of the change when every cell is halved, as for order two. On smooth
//! stretches the step is of fourth order and this is too careful; from rest, where the order is
//! about 1.5, it is too small, and a kink that no step splits at can escape it. Lengths are proportional to the distance over which z changes
//! by its own size, z/(2|a|), read off a lap on fine cells; where the search tries an upshift at the
//! start of every cell they are no longer than the tries should be apart.

use super::candidates::Places;
use super::{Choice, Workspace, quickest, search};
use crate::lap::{Cells, Lap, LapError, Limits, Machine, PlainRule, Tape, lap};

/// Longest cells of the fine lap from which lengths are read, m.
pub const FINE: f64 = 1.0;
/// Shortest and longest cell, m.
const SHORTEST: f64 = 0.7;
const LONGEST: f64 = 40.0;
/// Shares of z/(2|a|) tried, longest cells first.
const SHARES: [f64; 8] = [0.8, 0.56, 0.4, 0.28, 0.2, 0.14, 0.1, 0.05];

/// Shares of z/(2|a|) tried for joined cells, each with the relative difference of curvature up to
/// which neighbours count as alike.
const JOINED: [(f64, f64); 6] = [
    (0.8, 0.2),
    (0.56, 0.12),
    (0.4, 0.08),
    (0.28, 0.05),
    (0.2, 0.03),
    (0.14, 0.02),
];

/// Cells and the error that they leave.
#[derive(Debug, Clone, PartialEq)]
pub struct Graded {
    /// The course cut into cells.
    pub cells: Cells,
    /// Estimated error of the time at best, s: that of the machine with the largest; `None` where
    /// nothing was driven to tell.
    pub error: Option<f64>,
}

/// Cuts a course, given in cells of [`FINE`] length, into cells that leave every machine an estimated
/// error of the time at best below `tolerance`, s.
///
/// # Errors
/// As [`search`].
pub fn graded(machines: &[&Machine], fine: &Cells, tolerance: f64) -> Result<Graded, LapError> {
    let mut wanted = vec![Wanted::ANY; fine.len()];
    for machine in machines {
        lessen(&mut wanted, machine, fine)?;
    }
    let mut last: Option<Graded> = None;
    for share in SHARES {
        let lengths: Vec<f64> = wanted
            .iter()
            .map(|w| (share * w.scale).min(w.apart).clamp(SHORTEST, LONGEST))
            .collect();
        let cells = fine.regraded(&lengths);
        let error = error(machines, &cells)?;
        let done = error <= tolerance;
        last = Some(Graded {
            cells,
            error: Some(error),
        });
        if done {
            break;
        }
    }
    last.ok_or(LapError::EmptyCourse)
}

/// Estimated error, s, of the time at best with these cells: the largest of the machines'.
///
/// # Errors
/// As [`search`].
pub fn error(machines: &[&Machine], cells: &Cells) -> Result<f64, LapError> {
    let halved = cells.halved();
    let mut worst = 0.0_f64;
    for machine in machines {
        let change = time(machine, cells)? - time(machine, &halved)?;
        worst = worst.max(4.0 / 3.0 * change.abs());
    }
    Ok(worst)
}

/// Joins neighbouring cells that are alike, as many as leave the differences between the times of the
/// machines, shifting at the light, within `tolerance`, s, and the times themselves within fifty times
/// as much: a road for draws, whose differences are paired. The same road where nothing can be joined
/// or driven.
pub fn coarser(machines: &[&Machine], road: &Cells, tolerance: f64) -> Cells {
    try_coarser(machines, road, tolerance).unwrap_or_else(|_| road.clone())
}

fn try_coarser(machines: &[&Machine], road: &Cells, tolerance: f64) -> Result<Cells, LapError> {
    let mut workspace = Workspace::default();
    let mut times = |cells: &Cells| -> Result<Vec<f64>, LapError> {
        let each = machines.iter();
        each.map(|machine| Ok(quickest(machine, cells, None, &mut workspace)?.time))
            .collect()
    };
    let exact = times(road)?;
    let mut wanted = vec![Wanted::ANY; road.len()];
    for machine in machines {
        lessen(&mut wanted, machine, road)?;
    }
    for (share, unlike) in JOINED {
        let lengths: Vec<f64> = wanted
            .iter()
            .map(|w| (share * w.scale).clamp(SHORTEST, LONGEST))
            .collect();
        let joined = road.joined(&lengths, unlike);
        let off = times(&joined)?.into_iter().zip(&exact).map(|(t, e)| t - e);
        let (least, most, worst) = off.fold(
            (f64::INFINITY, f64::NEG_INFINITY, 0.0_f64),
            |(least, most, worst), off| (least.min(off), most.max(off), worst.max(off.abs())),
        );
        if worst <= 50.0 * tolerance && most - least <= tolerance {
            return Ok(joined);
        }
    }
    Ok(road.clone())
}

fn time(machine: &Machine, cells: &Cells) -> Result<f64, LapError> {
    let limits = Limits::new(machine, cells)?;
    Ok(search(machine, cells, &limits, Choice::AtBest)?.lap.time)
}

/// What one cell of the fine lap asks for, m.
#[derive(Debug, Clone, Copy)]
struct Wanted {
    /// The distance over which z changes by its own size.
    scale: f64,
    /// Distance between upshifts tried.
    apart: f64,
}

impl Wanted {
    const ANY: Self = Self {
        scale: LONGEST,
        apart: LONGEST,
    };
}

/// Takes what a machine asks for into what is wanted, cell by cell.
fn lessen(wanted: &mut [Wanted], machine: &Machine, fine: &Cells) -> Result<(), LapError> {
    let limits = Limits::new(machine, fine)?;
    let mut tape = Tape::default();
    let _: Lap = lap(machine, fine, &limits, &mut PlainRule, &mut tape)?;
    for record in &tape.records {
        let slope = (record.z1 - record.z0).abs() / record.length;
        let scale = 0.5 * (record.z0 + record.z1) / slope;
        let cell = &mut wanted[record.cell as usize].scale;
        *cell = cell.min(scale);
    }
    let places = Places::new(machine, fine, &tape.records);
    for (i, cell) in wanted.iter_mut().enumerate() {
        cell.apart = cell.apart.min(places.apart(i));
    }
    Ok(())
}
