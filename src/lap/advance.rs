//! The one function that moves the car: from its state to the next event or the cell's end.
//!
//! With z = v² the motion is dz/ds = 2·a(z). A step is the explicit midpoint rule; it is split
//! where something changes: an upshift, the limiter, the clutch closing, the end of a shift, the
//! line that the road allows. Places of events come from z being linear in distance over the
//! step, which keeps the result continuous in every input and second order in the cell length.

use super::cells::Cell;
use super::limits::Line;
use super::machine::{Machine, Mode};
use super::tape::{Phase, Record};

/// Square of the speed below which a car that slows down counts as standing, m²/s²: 0.1 m/s.
const SLOWEST: f64 = 0.01;

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
            return Ok(follow(state, cell, cell_index, rest, line.z_end, true));
        }
        let mode = mode(machine, state);
        if machine.accelerate(mode, cell, state.z, state.v).a >= 0.0 {
            let (z, length) = (state.z, rest - line.braking(cell.length));
            return Ok(follow(state, cell, cell_index, length, z, false));
        }
    }
    free(machine, cell, line, stop, cell_index, state)
}

/// Coefficients of what the car is doing.
#[inline(always)]
fn mode<'a>(machine: &'a Machine, state: &State) -> &'a Mode {
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
fn is_held(machine: &Machine, state: &State) -> bool {
    state.gear == machine.lowest && state.z < machine.held.z_lock
}

/// Whether the next gear holds the speed here at full throttle.
#[inline(always)]
pub fn next_gear_pulls(machine: &Machine, cell: &Cell, state: &State) -> bool {
    let next = &machine.gears[state.gear + 1].mode;
    machine.accelerate(next, cell, state.z, state.v).a > 0.0
}

/// Whether speed falls at full throttle though the gear below would pull more.
#[inline(always)]
pub fn lower_gear_pulls_more(machine: &Machine, cell: &Cell, state: &State) -> bool {
    if state.shift_left > 0.0 || state.launching || state.gear <= machine.lowest {
        return false;
    }
    if state.z >= machine.gears[state.gear - 1].z_limit {
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

/// Along the line the road allows: the speed is given, not the force.
fn follow(
    state: &mut State,
    cell: &Cell,
    index: usize,
    length: f64,
    z1: f64,
    braking: bool,
) -> Record {
    let record = step(state, index, length, z1, Phase::Line, false, braking);
    if braking {
        state.launching = false;
    } else {
        run_shift(state, record.time);
    }
    finish_cell(state, cell, length);
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
    length: f64,
    z1: f64,
    phase: Phase,
    traction: bool,
    braking: bool,
) -> Record {
    let v1 = z1.sqrt();
    let record = Record {
        cell: index as u32,
        z0: state.z,
        z1,
        length,
        time: 2.0 * length / (state.v + v1),
        gear: state.gear as u8,
        phase,
        traction,
        braking,
    };
    state.z = z1;
    state.v = v1;
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
    let (z, v) = (state.z, state.v);
    let mode = mode(machine, state);
    let first = machine.accelerate(mode, cell, z, v);
    let shifting = state.shift_left > 0.0;
    let in_gear = !shifting && !state.launching && !is_held(machine, state);
    if in_gear && let Some(phase) = pinned(machine, cell, state, first.a) {
        let length = meet(line, rest, z, 0.0, rest).unwrap_or(rest);
        let record = step(state, index, length, z, phase, false, false);
        finish_cell(state, cell, length);
        return Ok(record);
    }
    let events = Events::around(machine, stop, state);
    let middle = middle(line, &events, z, z + rest * first.a);
    let second = machine.accelerate(mode, cell, middle, middle.sqrt());
    let mut z1 = z + 2.0 * rest * second.a;
    if (z1 - z) * first.a < 0.0 {
        // Past the speed at which drive and resistance balance.
        z1 = z;
    }
    if (z1 > line.z_hold) != (z > line.z_hold) && (z1 > z || holds(machine, mode, cell, line)) {
        z1 = line.z_hold;
    }
    let mut length = rest;
    if z1 <= 0.0 {
        if z < SLOWEST {
            return Err(Rest);
        }
        // It would come to rest here unless something happens first: half the speed, and on.
        z1 = 0.25 * z;
        length = (z1 - z) / (2.0 * second.a);
    }
    let mut event = false;
    if shifting {
        let v1 = z1.sqrt();
        let time = 2.0 * length / (v + v1);
        if time >= state.shift_left {
            let v1 = v + (v1 - v) * (state.shift_left / time);
            length = 0.5 * (v + v1) * state.shift_left;
            z1 = v1 * v1;
            event = true;
        }
    } else if let Some(threshold) = events.between(z, z1) {
        length *= (threshold - z) / (z1 - z);
        z1 = threshold;
        event = true;
    }
    if let Some(met) = meet(line, rest, z, (z1 - z) / length, length) {
        length = met;
        z1 = line.at(rest - met);
        event = false;
    }
    let phase = match (shifting, state.launching, in_gear) {
        (true, _, _) => Phase::Shift,
        (_, true, _) => Phase::Launch,
        (_, _, true) => Phase::Drive,
        _ => Phase::Held,
    };
    let record = step(
        state,
        index,
        length,
        z1,
        phase,
        first.traction && !shifting,
        false,
    );
    if shifting {
        if event {
            state.end_shift()
        } else {
            run_shift(state, record.time)
        }
    } else if event {
        state.launching = false;
    }
    finish_cell(state, cell, length);
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

/// Whether the engine would hold the speed at which the tyres just do.
fn holds(machine: &Machine, mode: &Mode, cell: &Cell, line: &Line) -> bool {
    machine
        .accelerate(mode, cell, line.z_hold, line.z_hold.sqrt())
        .a
        >= 0.0
}

/// The speeds, squared, at which something changes: the nearest above and the nearest below.
struct Events {
    above: f64,
    below: f64,
}

impl Events {
    #[inline(always)]
    fn around(machine: &Machine, stop: f64, state: &State) -> Self {
        let z = state.z;
        let limit = machine.gears[state.gear].z_limit;
        // Just below the lock, so that the next sub-step holds the revs.
        let lock = machine.held.z_lock * (1.0 - 1e-12);
        let (above, below) = if state.shift_left > 0.0 {
            (f64::INFINITY, 0.0)
        } else if state.launching {
            (machine.launch.z_lock, 0.0)
        } else if is_held(machine, state) {
            (machine.held.z_lock, 0.0)
        } else {
            let above = if z < stop { stop.min(limit) } else { limit };
            (
                above,
                if state.gear == machine.lowest {
                    lock
                } else {
                    0.0
                },
            )
        };
        Self {
            above: if above > z { above } else { f64::INFINITY },
            below: if below < z { below } else { 0.0 },
        }
    }

    /// The event that a step from z to z1 runs into.
    #[inline(always)]
    fn between(&self, z: f64, z1: f64) -> Option<f64> {
        if z1 > self.above {
            Some(self.above)
        } else {
            (z > self.below && z1 < self.below).then_some(self.below)
        }
    }
}

/// The midpoint of a step. Beyond the next event, beyond the line, across the speed that the tyres
/// just hold and below rest other laws hold, so it stays half way to them.
#[inline(always)]
fn middle(line: &Line, events: &Events, z: f64, middle: f64) -> f64 {
    let (mut least, mut most) = (events.below, events.above);
    if z < line.z_hold {
        most = most.min(line.z_hold);
    } else if z > line.z_hold {
        least = least.max(line.z_hold);
    }
    if z < line.plateau {
        most = most.min(line.plateau);
    }
    middle.max(0.5 * (z + least)).min(0.5 * (z + most))
}

/// Metres after which a chord from z with slope `rise` meets the line, if within `length`.
#[inline(always)]
fn meet(line: &Line, rest: f64, z: f64, rise: f64, length: f64) -> Option<f64> {
    if z + rise * length <= line.at(rest - length) {
        return None;
    }
    let mut met = length;
    if rise > 0.0 && line.plateau >= z {
        met = met.min((line.plateau - z) / rise);
    }
    if rise + line.slope > 0.0 {
        met = met.min((line.z_end + line.slope * rest - z) / (rise + line.slope));
    }
    Some(met.max(0.0))
}
