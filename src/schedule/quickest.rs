//! The time of the fastest schedule without the schedule: what a draw asks for.

use super::candidates::Choice;
use super::memory::Memory;
use super::menu::Menu;
use super::search::{Sweep, search};
use super::starts::Starts;
use crate::lap::drive::{Ride, slowest_end_of_braking};
use crate::lap::{Cells, LapError, Limits, Machine};
use crate::venue::Start;

/// Memory of a thread that drives one lap after another.
#[derive(Debug, Default)]
pub struct Workspace {
    /// What the road allows.
    pub limits: Limits,
    pub(super) memory: Memory,
}

/// What was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quickest {
    /// Seconds.
    pub time: f64,
    /// Labels advanced through a cell, the work done.
    pub work: usize,
    /// Places at which the menu knew nothing, so that everything was tried.
    pub strange: usize,
}

/// Seconds of the fastest schedule with shifts at the driver's light, among what a menu holds if one
/// is given. The limits are computed in the workspace.
///
/// # Errors
/// As [`Limits::new`] and [`search`].
pub fn quickest(
    machine: &Machine,
    cells: &Cells,
    menu: Option<&Menu>,
    workspace: &mut Workspace,
) -> Result<Quickest, LapError> {
    let Workspace { limits, memory } = workspace;
    limits.compute(machine, cells)?;
    if too_fast(cells, limits) {
        return whole(machine, cells, limits);
    }
    let ride = ride(machine, cells, limits);
    let mut sweep = Sweep::new(ride, Choice::AsDriven, None, memory);
    sweep.menu = menu;
    let time = swept(&mut sweep, &ride);
    let (work, strange) = (sweep.work, sweep.strange);
    match time {
        Ok(time) => Ok(Quickest {
            time,
            work,
            strange,
        }),
        Err(_) => whole(machine, cells, limits),
    }
}

/// Whether a rolling start is faster than the road allows.
pub(super) fn too_fast(cells: &Cells, limits: &Limits) -> bool {
    matches!(cells.start, Start::Rolling(v) if v * v > limits.z_start)
}

/// The lap's rules, with the start of a flying lap where braking ends slowest.
pub(super) fn ride<'a>(machine: &'a Machine, cells: &'a Cells, limits: &'a Limits) -> Ride<'a> {
    let first_cell = if cells.closed {
        slowest_end_of_braking(cells, limits)
    } else {
        0
    };
    Ride {
        machine,
        cells,
        limits,
        first_cell,
    }
}

fn swept(sweep: &mut Sweep, ride: &Ride) -> Result<f64, LapError> {
    if !ride.cells.closed {
        sweep.open()?;
        return Ok(sweep.memory.now[0].time);
    }
    let starts = Starts::anywhere(sweep);
    match sweep.closed(starts)? {
        Some(closed) => Ok(closed.time),
        None => Err(LapError::EmptyCourse),
    }
}

/// The search with all it offers, for laps that are out of the ordinary: a closed one on which
/// nothing brakes, one that cannot be driven.
pub(super) fn whole(
    machine: &Machine,
    cells: &Cells,
    limits: &Limits,
) -> Result<Quickest, LapError> {
    let found = search(machine, cells, limits, Choice::AsDriven)?;
    Ok(Quickest {
        time: found.lap.time,
        work: found.work,
        strange: 0,
    })
}
