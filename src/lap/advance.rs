//! The one function that moves the car: from its state to the next event or the cell's end.
//!
//! With z = v² the motion is dz/ds = 2·a(z). A step is of fourth order and is split where the law
//! of motion changes: an upshift, the limiter, the clutch closing, the end of a shift, the engine
//! taking over from the tyres, the line that the road allows. Within a step one law holds, continued
//! smoothly past the event that ends it.

use super::arc::{Arc, becomes_positive, seconds};
use super::cells::{Cell, UNLIMITED};
use super::limits::Line;
use super::machine::{Accel, Machine, Mode};
use super::tape::{Phase, Record};

/// Square of the speed below which a car that slows down counts as standing, m²/s²: 0.1 m/s.
pub(super) const SLOWEST: f64 = 0.01;

/// How far past the next event a step may reach, as a share of the way to it.
pub(super) const OVERSHOOT: f64 = 1.25;
/// Times that a step from rest is cut to a quarter before the car counts as unable to pull away.
const SHORTER: usize = 16;

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
    let v = line.z_end.sqrt();
    let middle = line.at(0.5 * rest).sqrt();
    let time = seconds(rest, state.v, middle, v);
    let to = Moved {
        z: line.z_end,
        v,
        length: rest,
        time,
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

/// Where a sub-step ends and how long it took.
#[derive(Clone, Copy)]
struct Moved {
    z: f64,
    v: f64,
    length: f64,
    time: f64,
}

impl Moved {
    /// Along a straight line in z: at constant speed or constant deceleration.
    #[inline(always)]
    fn evenly(state: &State, length: f64, z: f64) -> Self {
        let v = z.sqrt();
        Self {
            z,
            v,
            length,
            time: 2.0 * length / (state.v + v),
        }
    }
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
    let shifting = state.shift_left > 0.0;
    let in_gear = !shifting && !state.launching && !is_held(machine, state);
    if in_gear && let Some(phase) = pinned(machine, cell, state, first.a) {
        let length = rest * meet(line, rest, rest, state.z, |_| state.z).unwrap_or(1.0);
        let to = Moved::evenly(state, length, state.z);
        let record = step(state, index, to, phase, false, false);
        finish_cell(state, cell, length);
        return Ok(record);
    }
    if state.z < SLOWEST && first.a <= 0.0 && state.z + 2.0 * rest * first.a <= 0.0 {
        return Err(Rest);
    }
    let events = Events::around(machine, stop, state);
    let (to, event) = motion(machine, mode, cell, line, &events, state, first);
    if to.z <= 0.0 {
        return Err(Rest);
    }
    let phase = match (shifting, state.launching, in_gear) {
        (true, _, _) => Phase::Shift,
        (_, true, _) => Phase::Launch,
        (_, _, true) => Phase::Drive,
        _ => Phase::Held,
    };
    let record = step(state, index, to, phase, first.traction && !shifting, false);
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

/// The longest step worth taking: no further than a little past the next event or the line, above
/// which the tyres hold nothing, and not to rest.
#[inline(always)]
fn reach(events: &Events, line: &Line, z: f64, slope: f64, rest: f64) -> f64 {
    if slope > 0.0 {
        let most = if z < line.plateau {
            events.above.min(line.plateau)
        } else {
            events.above
        };
        rest.min(OVERSHOOT * (most - z) / slope)
    } else if slope < 0.0 {
        rest.min(0.5 * z / -slope)
    } else {
        rest
    }
}

/// Moves under one law of force, engine's or tyres', to the first of: the step's end, an event, the
/// other law taking over, the line. True where an event or the end of a shift was reached.
#[inline(always)]
fn motion(
    machine: &Machine,
    mode: &Mode,
    cell: &Cell,
    line: &Line,
    events: &Events,
    state: &State,
    first: Accel,
) -> (Moved, bool) {
    let (z, v, slope) = (state.z, state.v, 2.0 * first.a);
    let rest = cell.length - state.done;
    let mut full = reach(events, line, z, slope, rest);
    // Across the speed that the tyres just hold the slope is infinite: stages stay on this side.
    let (least, most) = if z < line.z_hold {
        (0.0, line.z_hold)
    } else {
        (line.z_hold, f64::INFINITY)
    };
    let (least, most) = if line.z_hold < UNLIMITED {
        (least, most)
    } else {
        (0.0, f64::INFINITY)
    };
    let law = |z: f64| {
        let z = z.max(least).min(most);
        2.0 * machine.accelerate_by(first.traction, mode, cell, z)
    };
    let mut arc = Arc::new(z, v, full, slope, law);
    for _ in 0..SHORTER {
        // From rest a step must not be so long that its later stages lose all drive.
        if z > 0.0 || arc.at(1.0) > 0.0 {
            break;
        }
        full *= 0.25;
        arc = Arc::new(z, v, full, slope, law);
    }
    let mut z1 = arc.at(1.0).max(0.25 * z);
    if (z1 - z) * first.a < 0.0 {
        // Past the speed at which drive and resistance balance.
        z1 = z;
    }
    if (z1 > line.z_hold) != (z > line.z_hold) && (z1 > z || holds(machine, mode, cell, line)) {
        z1 = line.z_hold;
    }
    let (mut share, mut event) = (1.0, false);
    if state.shift_left > 0.0 {
        let over = |s: f64| arc.time(s, arc.at(s).max(0.0).sqrt()) - state.shift_left;
        if over(1.0) >= 0.0 {
            share = becomes_positive(over, 1.0);
            z1 = arc.at(share);
            event = true;
        }
    } else {
        if machine.accelerate(mode, cell, z1, z1.sqrt()).traction != first.traction {
            let sign = if first.traction { -1.0 } else { 1.0 };
            share = becomes_positive(|s| sign * machine.surplus(mode, cell, arc.at(s)), 1.0);
            z1 = arc.at(share);
        }
        if let Some(threshold) = events.between(z, z1) {
            let sign = if threshold > z { 1.0 } else { -1.0 };
            share = becomes_positive(|s| sign * (arc.at(s) - threshold), share);
            z1 = threshold;
            event = true;
        }
    }
    if let Some(met) = meet(line, rest, share * full, z1, |s| arc.at(s * share)) {
        share *= met;
        z1 = line.at(rest - share * full);
        event = false;
    }
    let v1 = z1.sqrt();
    let length = if share < 1.0 { share * full } else { full };
    (
        Moved {
            z: z1,
            v: v1,
            length,
            time: arc.time(share, v1),
        },
        event,
    )
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
            if state.gear == machine.lowest {
                (above, lock)
            } else {
                let [gives_up, unwilling] = machine.gears[state.gear].z_fade;
                if z >= unwilling {
                    (above, unwilling * (1.0 - 1e-12))
                } else if z >= gives_up {
                    (above.min(unwilling), gives_up * (1.0 - 1e-12))
                } else {
                    (above.min(gives_up), 0.0)
                }
            }
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

/// Share of a step of `length` m at which it meets the line, if it ends at z1 beyond it.
#[inline(always)]
fn meet(line: &Line, rest: f64, length: f64, z1: f64, at: impl Fn(f64) -> f64) -> Option<f64> {
    if z1 <= line.at(rest - length) {
        return None;
    }
    Some(becomes_positive(
        |s| at(s) - line.at(rest - s * length),
        1.0,
    ))
}
