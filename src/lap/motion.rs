//! One step of motion under one law of force, to the first thing that ends it.

use super::advance::{BELOW, State, is_held};
use super::arc::{Arc, Slope, becomes_positive, becomes_positive_between, newton};
use super::cells::{Cell, UNLIMITED};
use super::limits::Line;
use super::machine::{Accel, Machine, Mode, greater, lesser};

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
        let z = lesser(greater(z, self.least), self.most);
        2.0 * self
            .machine
            .accelerate_by(self.tyres, self.mode, self.cell, z)
    }
}

/// The longest step worth taking: no further than a little past the next event or the line, above
/// which the tyres hold nothing, and not to rest.
#[inline(always)]
pub(super) fn reach(above: f64, plateau: f64, z: f64, slope: f64, rest: f64) -> f64 {
    let most = if z < plateau {
        lesser(above, plateau)
    } else {
        above
    };
    let room = if slope > 0.0 {
        OVERSHOOT * (most - z)
    } else {
        0.5 * z
    };
    // Without a slope that is no number or none that is smaller.
    lesser(room / slope.abs(), rest)
}

/// Speeds squared between which the stages of a step from z stay: across the speed that the tyres
/// just hold their slope is infinite, so stages stay on this side.
#[inline(always)]
pub(super) fn this_side(z: f64, z_hold: f64) -> [f64; 2] {
    let bounded = z_hold < UNLIMITED;
    let slower = z < z_hold;
    let least = if bounded & !slower { z_hold } else { 0.0 };
    let most = if bounded & slower {
        z_hold
    } else {
        f64::INFINITY
    };
    [least, most]
}

/// A step under one law of force, engine's or tyres', as long as is worth while: what may end it
/// sooner is still to be seen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    pub(super) arc: Arc,
    /// z at its end, m²/s².
    pub(super) z1: f64,
    /// The law is the tyres'.
    pub(super) tyres: bool,
    /// How much more the engine could give than the tyres take at its start and end, m/s².
    pub(super) surplus: [f64; 2],
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
    let mut full = reach(events.above, line.plateau, z, slope, rest);
    let [least, most] = this_side(z, line.z_hold);
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
    let leg = Leg {
        arc,
        z1,
        tyres: first.traction,
        surplus: [
            first.surplus,
            machine.accelerate(mode, cell, z1, z1.sqrt()).surplus,
        ],
    };
    leg.cut(machine, mode, cell, line, events, state)
}

impl Leg {
    /// The step as far as nothing ends it, as [`motion`] gives it.
    #[inline(always)]
    pub(super) fn cut(
        &self,
        machine: &Machine,
        mode: &Mode,
        cell: &Cell,
        line: &Line,
        events: &Events,
        state: &State,
    ) -> (Moved, bool) {
        let (arc, z) = (&self.arc, state.z);
        let full = arc.length();
        let (mut z1, mut share, mut event) = (self.z1, 1.0, false);
        if state.shift_left > 0.0 {
            let whole = arc.time(1.0, arc.at(1.0).max(0.0).sqrt());
            if whole >= state.shift_left {
                share = arc.share_after(state.shift_left, whole);
                z1 = arc.at(share);
                event = true;
            }
        } else {
            let [before, after] = self.surplus;
            if (after > 0.0) != self.tyres {
                let sign = if self.tyres { -1.0 } else { 1.0 };
                let excess = |s| sign * machine.surplus(mode, cell, arc.at(s));
                share = becomes_positive_between(excess, 1.0, [sign * before, sign * after]);
                z1 = arc.at(share);
            }
            if let Some(threshold) = events.between(z, z1) {
                share = arc.share_at(threshold, share);
                z1 = threshold;
                event = true;
            }
        }
        let rest = cell.length - state.done;
        if z1 > line.at(rest - share * full) {
            share = line.met_by(arc, rest, share);
            z1 = line.at(rest - share * full);
            event = false;
        }
        let v1 = z1.sqrt();
        let length = if share < 1.0 { share * full } else { full };
        let to = Moved {
            z: z1,
            v: v1,
            length,
            time: arc.time(share, v1),
        };
        (to, event)
    }
}

/// Whether the engine would hold the speed at which the tyres just do.
fn holds(machine: &Machine, mode: &Mode, cell: &Cell, line: &Line) -> bool {
    machine
        .accelerate(mode, cell, line.z_hold, line.z_hold.sqrt())
        .a
        >= 0.0
}

/// The speeds, squared, at which something changes: the nearest above and the nearest below.
#[derive(Debug, Clone, Copy)]
pub(super) struct Events {
    pub(super) above: f64,
    pub(super) below: f64,
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

impl Line {
    /// The share, up to one at which it is beyond the line, at which a step with `rest` m of the cell to
    /// go meets the line.
    #[inline(always)]
    fn met_by(&self, arc: &Arc, rest: f64, high: f64) -> f64 {
        let full = arc.length();
        let from = ((rest - self.braking) / full).max(0.0);
        if from > 0.0 && arc.at(from.min(high)) > self.plateau {
            return arc.share_at(self.plateau, from.min(high));
        }
        let over = |s: f64| arc.at(s) - self.at(rest - s * full);
        let over_brakes = |s: f64| {
            let to_go = rest - s * full;
            let falls = self.slope + 2.0 * self.bend * to_go;
            (arc.at(s) - self.braked_to(to_go)) / (arc.rate(s) + full * falls)
        };
        let (a, b) = (over(from), over(high));
        let guess = from - (high - from) * (a / (b - a));
        match newton(guess, high, over_brakes) {
            Some(share) if share >= from => share,
            _ => becomes_positive(over, high),
        }
    }
}
