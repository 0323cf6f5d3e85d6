//! The one function that moves the car: from its state to the next event or the cell's end.
//!
//! With z = v² the motion is dz/ds = 2·a(z). A step is of fourth order and is split where the law
//! of motion changes: an upshift, the limiter, the clutch closing, the end of a shift, the engine
//! taking over from the tyres, the line that the road allows. Within a step one law holds, continued
//! smoothly past the event that ends it.

use super::arc::becomes_positive;
use super::cells::Cell;
use super::limits::Line;
use super::machine::{Machine, Mode};
use super::motion::{Events, Leg, Moved, motion};
use super::tape::{Phase, Record};

/// Square of the speed below which a car that slows down counts as standing, m²/s²: 0.1 m/s.
pub(super) const SLOWEST: f64 = 0.01;

/// What puts a speed squared just below an event, so that the next sub-step is on its other side.
pub(super) const BELOW: f64 = 1.0 - 1e-12;
/// Relative change of z at the line below which a flying lap repeats itself.
const REPEATS: f64 = 1e-10;

/// Where the car is and what it is doing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State {
    /// Metres done in the cell.
    pub done: f64,
    /// Speed squared, m²/s².
    pub z: f64,
    /// Speed, m/s.
    pub v: f64,
    /// Gear engaged, or the one that comes when the shift ends.
    pub gear: usize,
    /// Gear engaged before the shift under way; the same as `gear` outside a shift.
    pub from: usize,
    /// Seconds of shift left.
    pub shift_left: f64,
    /// The clutch slips from the start.
    pub launching: bool,
}

impl State {
    /// At the start of a cell in gear, no shift under way.
    pub fn in_gear(z: f64, gear: usize) -> Self {
        Self {
            done: 0.0,
            z,
            v: z.sqrt(),
            gear,
            from: gear,
            shift_left: 0.0,
            launching: false,
        }
    }

    /// Whether a flying lap that begins so repeats one that begins as another.
    pub fn repeats(&self, other: &Self) -> bool {
        (self.z - other.z).abs() <= REPEATS * self.z
            && self.gear == other.gear
            && (self.shift_left - other.shift_left).abs() <= REPEATS
    }

    /// Seconds already spent on the upshift under way.
    pub fn begun(&self, machine: &Machine) -> f64 {
        if self.shift_left > 0.0 && self.gear > self.from {
            machine.gears[self.from].shift_time - self.shift_left
        } else {
            0.0
        }
    }

    /// Begins a change of gear; with no shift time it is over at once.
    pub fn begin_shift(&mut self, machine: &Machine, to: usize) {
        self.from = self.gear;
        self.shift_left = machine.gears[self.gear.min(to)].shift_time;
        self.gear = to;
        if self.shift_left <= 0.0 {
            self.end_shift();
        }
    }

    /// Takes a step to the end of a cell in which nothing happened; on the brakes a shift waits.
    pub(crate) fn stepped(&mut self, z: f64, v: f64, seconds: f64, braking: bool) {
        (self.z, self.v) = (z, v);
        self.launching &= !braking;
        if self.shift_left > 0.0 && !braking {
            self.shift_left -= seconds;
        }
    }

    fn end_shift(&mut self) {
        self.shift_left = 0.0;
        self.from = self.gear;
    }
}

/// The car has come to rest and cannot pull away.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rest;

/// Whether the car is on the part of the line where it must brake.
#[inline(always)]
pub fn must_brake(cell: &Cell, line: &Line, state: &State) -> bool {
    let rest = cell.length - state.done;
    line.reached(state.z, rest, cell.length) && line.brakes(rest, cell.length)
}

/// Moves the car by one sub-step and says what happened. The step ends at the latest where z reaches
/// `stop`, so that a driver can change gear there; `cell_index` only labels the record.
///
/// # Errors
/// [`Rest`] where the speed falls to zero.
pub fn advance(
    machine: &Machine,
    cell: &Cell,
    line: &Line,
    stop: f64,
    cell_index: usize,
    state: &mut State,
) -> Result<Record, Rest> {
    state.launching &= state.z < machine.launch.z_lock;
    let rest = cell.length - state.done;
    if line.reached(state.z, rest, cell.length) {
        if line.brakes(rest, cell.length) {
            return Ok(brake(state, cell, line, cell_index, rest));
        }
        let mode = mode(machine, state);
        if machine.accelerate(mode, cell, state.z, state.v).a >= 0.0 {
            return Ok(hold(state, cell, cell_index, rest - line.braking));
        }
    }
    free(machine, cell, line, stop, cell_index, state)
}

/// Coefficients of what the car is doing.
#[inline(always)]
pub(super) fn mode<'a>(machine: &'a Machine, state: &State) -> &'a Mode {
    if state.shift_left > 0.0 {
        &machine.coast
    } else if state.launching {
        &machine.launch.mode
    } else if is_held(machine, state) {
        &machine.held.mode
    } else {
        &machine.gears[state.gear].mode
    }
}

#[inline(always)]
pub(super) fn is_held(machine: &Machine, state: &State) -> bool {
    state.gear == machine.lowest && state.z < machine.held.z_lock
}

/// Whether the next gear holds the speed here at full throttle, or has all that the tyres take.
#[inline(always)]
pub fn next_gear_pulls(machine: &Machine, cell: &Cell, state: &State) -> bool {
    let next = &machine.gears[state.gear + 1].mode;
    let next = machine.accelerate(next, cell, state.z, state.v);
    next.a > 0.0 || next.traction
}

/// Whether speed falls at full throttle though the gear below would pull more. Asked at the start of
/// a cell and where speed has fallen to the limit of the gear below; elsewhere the answer is no.
#[inline(always)]
pub fn lower_gear_pulls_more(machine: &Machine, cell: &Cell, state: &State) -> bool {
    if state.shift_left > 0.0 || state.launching || state.gear <= machine.lowest {
        return false;
    }
    let limit = machine.lower_limit(state.gear);
    if state.z >= limit || (state.done > 0.0 && state.z < limit * BELOW) {
        return false;
    }
    let now = machine.accelerate(&machine.gears[state.gear].mode, cell, state.z, state.v);
    if now.a >= 0.0 || now.traction {
        return false;
    }
    let lower = State {
        gear: state.gear - 1,
        ..*state
    };
    machine
        .accelerate(mode(machine, &lower), cell, state.z, state.v)
        .a
        > now.a
}

/// On the plateau: the speed is given, not the force.
fn hold(state: &mut State, cell: &Cell, index: usize, length: f64) -> Record {
    let to = Moved::evenly(state, length, state.z);
    let record = step(state, index, to, Phase::Line, false, false);
    run_shift(state, record.time);
    finish_cell(state, cell, length);
    record
}

/// Down the braking part of the line to the cell's end.
fn brake(state: &mut State, cell: &Cell, line: &Line, index: usize, rest: f64) -> Record {
    let to = Moved {
        z: line.z_end,
        v: line.z_end.sqrt(),
        length: rest,
        time: line.braking_time(rest, state.v),
    };
    let record = step(state, index, to, Phase::Line, false, true);
    state.launching = false;
    finish_cell(state, cell, rest);
    record
}

fn run_shift(state: &mut State, time: f64) {
    if state.shift_left > 0.0 {
        state.shift_left -= time;
        if state.shift_left <= 0.0 {
            state.end_shift();
        }
    }
}

/// Moves the state and writes the record.
#[inline(always)]
fn step(
    state: &mut State,
    index: usize,
    to: Moved,
    phase: Phase,
    traction: bool,
    braking: bool,
) -> Record {
    let record = Record {
        cell: index as u32,
        z0: state.z,
        z1: to.z,
        length: to.length,
        time: to.time,
        gear: state.gear as u8,
        phase,
        traction,
        braking,
    };
    state.z = to.z;
    state.v = to.v;
    record
}

/// Counts the metres done; a step to the cell's end lands on it exactly.
#[inline(always)]
fn finish_cell(state: &mut State, cell: &Cell, length: f64) {
    let rest = cell.length - state.done;
    state.done = if length >= rest {
        cell.length
    } else {
        state.done + length
    };
}

/// At full throttle, coasting through a shift, or on the limiter.
#[inline(always)]
fn free(
    machine: &Machine,
    cell: &Cell,
    line: &Line,
    stop: f64,
    index: usize,
    state: &mut State,
) -> Result<Record, Rest> {
    let rest = cell.length - state.done;
    let mode = mode(machine, state);
    let first = machine.accelerate(mode, cell, state.z, state.v);
    let in_gear = state.shift_left <= 0.0 && !state.launching && !is_held(machine, state);
    if in_gear && let Some(phase) = pinned(machine, cell, state, first.a) {
        let z = state.z;
        let until = |share: f64| z - line.at(rest - share * rest);
        let length = if until(1.0) > 0.0 {
            rest * becomes_positive(until, 1.0)
        } else {
            rest
        };
        let to = Moved::evenly(state, length, z);
        let record = step(state, index, to, phase, false, false);
        finish_cell(state, cell, length);
        return Ok(record);
    }
    if state.z < SLOWEST && first.a <= 0.0 && state.z + 2.0 * rest * first.a <= 0.0 {
        return Err(Rest);
    }
    let events = Events::around(machine, stop, state);
    let moved = motion(machine, mode, cell, line, &events, state, first);
    freely(cell, index, state, moved, (in_gear, first.traction))
}

/// Moves the car by one sub-step of which [`super::lanes`] have taken what nothing has cut yet, the
/// same to the bit as [`advance`].
///
/// # Errors
/// As there.
pub(crate) fn along(
    machine: &Machine,
    (cell, line): (&Cell, &Line),
    stop: f64,
    index: usize,
    state: &mut State,
    leg: &Leg,
) -> Result<Record, Rest> {
    let mode = mode(machine, state);
    let in_gear = state.shift_left <= 0.0 && !state.launching && !is_held(machine, state);
    let events = Events::around(machine, stop, state);
    let moved = leg.cut(machine, mode, cell, line, &events, state);
    freely(cell, index, state, moved, (in_gear, leg.tyres))
}

/// Takes a step at full throttle or through a shift, and what ended it.
#[inline(always)]
fn freely(
    cell: &Cell,
    index: usize,
    state: &mut State,
    (to, event): (Moved, bool),
    (in_gear, tyres): (bool, bool),
) -> Result<Record, Rest> {
    if to.z <= 0.0 {
        return Err(Rest);
    }
    let shifting = state.shift_left > 0.0;
    let phase = match (shifting, state.launching, in_gear) {
        (true, _, _) => Phase::Shift,
        (_, true, _) => Phase::Launch,
        (_, _, true) => Phase::Drive,
        _ => Phase::Held,
    };
    let record = step(state, index, to, phase, tyres && !shifting, false);
    if shifting {
        if event {
            state.end_shift()
        } else {
            run_shift(state, record.time)
        }
    } else if event {
        state.launching = false;
    }
    finish_cell(state, cell, to.length);
    Ok(record)
}

/// Where the speed stays though the engine is in gear: on the limiter, or where the lowest gear would
/// fall below the lowest rpm and the slipping clutch would rise above it.
#[inline(always)]
fn pinned(machine: &Machine, cell: &Cell, state: &State, a: f64) -> Option<Phase> {
    if a >= 0.0 {
        return (state.z >= machine.gears[state.gear].z_limit).then_some(Phase::Limiter);
    }
    let at_lock = state.gear == machine.lowest && state.z <= machine.held.z_lock;
    let held = at_lock
        && machine
            .accelerate(&machine.held.mode, cell, state.z, state.v)
            .a
            >= 0.0;
    held.then_some(Phase::Held)
}
