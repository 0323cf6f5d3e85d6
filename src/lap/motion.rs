//! One step of motion under one law of force, to the first thing that ends it.

use super::advance::{BELOW, State, is_held};
use super::arc::{Arc, Slope, becomes_positive};
use super::cells::{Cell, UNLIMITED};
use super::limits::Line;
use super::machine::{Accel, Machine, Mode};

/// How far past the next event a step may reach, as a share of the way to it.
pub(super) const OVERSHOOT: f64 = 1.25;
/// Times that a step from rest is cut to a quarter before the car counts as unable to pull away.
const SHORTER: usize = 16;

/// Where a sub-step ends and how long it took.
#[derive(Clone, Copy)]
pub(super) struct Moved {
    pub z: f64,
    pub v: f64,
    pub length: f64,
    pub time: f64,
}

impl Moved {
    /// Along a straight line in z: at constant speed or constant deceleration.
    #[inline(always)]
    pub fn evenly(state: &State, length: f64, z: f64) -> Self {
        let v = z.sqrt();
        Self {
            z,
            v,
            length,
            time: 2.0 * length / (state.v + v),
        }
    }
}

/// One law of force over a step: the engine's or the tyres'.
struct Law<'a> {
    machine: &'a Machine,
    mode: &'a Mode,
    cell: &'a Cell,
    tyres: bool,
    /// Speeds squared between which stages stay.
    least: f64,
    most: f64,
}

impl Slope for Law<'_> {
    #[inline(always)]
    fn at(&self, z: f64) -> f64 {
        let z = z.max(self.least).min(self.most);
        2.0 * self
            .machine
            .accelerate_by(self.tyres, self.mode, self.cell, z)
    }
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
pub(super) fn motion(
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
    let law = Law {
        machine,
        mode,
        cell,
        tyres: first.traction,
        least,
        most,
    };
    let mut arc = Arc::new(z, v, full, slope, &law);
    for _ in 0..SHORTER {
        // From rest a step must not be so long that its later stages lose all drive.
        if z > 0.0 || arc.at(1.0) > 0.0 {
            break;
        }
        full *= 0.25;
        arc = Arc::new(z, v, full, slope, &law);
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

/// Whether the engine would hold the speed at which the tyres just do.
fn holds(machine: &Machine, mode: &Mode, cell: &Cell, line: &Line) -> bool {
    machine
        .accelerate(mode, cell, line.z_hold, line.z_hold.sqrt())
        .a
        >= 0.0
}

/// The speeds, squared, at which something changes: the nearest above and the nearest below.
pub(super) struct Events {
    above: f64,
    below: f64,
}

impl Events {
    #[inline(always)]
    pub fn around(machine: &Machine, stop: f64, state: &State) -> Self {
        let z = state.z;
        let limit = machine.gears[state.gear].z_limit;
        let lock = machine.held.z_lock * BELOW;
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
                let (above, below) = if z >= unwilling {
                    (above, unwilling * BELOW)
                } else if z >= gives_up {
                    (above.min(unwilling), gives_up * BELOW)
                } else {
                    (above.min(gives_up), 0.0)
                };
                // From there on the driver may change down.
                let lower = machine.lower_limit(state.gear) * BELOW;
                (above, if lower < z { lower.max(below) } else { below })
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
pub(super) fn meet(
    line: &Line,
    rest: f64,
    length: f64,
    z1: f64,
    at: impl Fn(f64) -> f64,
) -> Option<f64> {
    if z1 <= line.at(rest - length) {
        return None;
    }
    Some(becomes_positive(
        |s| at(s) - line.at(rest - s * length),
        1.0,
    ))
}
