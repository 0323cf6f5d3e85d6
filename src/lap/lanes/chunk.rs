//! What lanes that are stepped together hold, number by number.

use super::WIDTH;
use super::step::TABLE_STRIDE;
use crate::lap::advance::{BELOW, State, is_held, mode};
use crate::lap::limits::Line;
use crate::lap::machine::Machine;
use crate::lap::motion::Events;

/// A number of every lane.
pub(super) type Of<T> = [T; WIDTH];

/// Lanes that are stepped together.
#[derive(Debug, Clone)]
pub(super) struct Chunk {
    /// Someone was put there since the last step; in a bend.
    pub(super) live: bool,
    pub(super) bent: bool,
    pub(super) z: Of<f64>,
    pub(super) v: Of<f64>,
    pub(super) shift_left: Of<f64>,
    /// Metres done in the cell.
    pub(super) from: Of<f64>,
    /// z from which on, and below which when slowing down, the driver is asked.
    pub(super) asks: Of<f64>,
    pub(super) asks_below: Of<f64>,
    pub(super) drive: Drive,
    pub(super) car: Car,
    pub(super) ground: Grounds,
    pub(super) line: Lines,
    pub(super) cell: CellsOf,
    pub(super) done: Done,
}

/// What a lane is driven by, and where that changes.
#[derive(Debug, Clone)]
pub(super) struct Drive {
    pub(super) c0: Of<f64>,
    pub(super) c1: Of<f64>,
    pub(super) c2: Of<f64>,
    pub(super) inv_gamma: Of<f64>,
    /// z of the next event above.
    pub(super) above: Of<f64>,
    /// z at and beyond which these numbers are others.
    pub(super) low: Of<f64>,
    pub(super) high: Of<f64>,
    /// z under which a downshift may be wanted.
    pub(super) down: Of<f64>,
    /// 1 where the engine is on its limiter, 2 where only the scalar function knows.
    pub(super) pinned: Of<u64>,
    /// What was put there last, or nothing.
    pub(super) mark: Of<u64>,
}

#[derive(Debug, Clone)]
pub(super) struct Car {
    /// Where the car's table begins.
    pub(super) table: Of<usize>,
    pub(super) per_rpm: Of<f64>,
    pub(super) f1: Of<f64>,
    pub(super) f2: Of<f64>,
    pub(super) drag: Of<f64>,
    pub(super) downforce: Of<f64>,
    pub(super) number: Of<usize>,
}

#[derive(Debug, Clone)]
pub(super) struct Grounds {
    pub(super) mu: Of<f64>,
    pub(super) f0: Of<f64>,
    pub(super) drive: Of<f64>,
    pub(super) drive_lift: Of<f64>,
    pub(super) inside: Of<f64>,
    pub(super) half_share: Of<f64>,
    pub(super) lateral: Of<f64>,
    pub(super) surface: Of<usize>,
}

#[derive(Debug, Clone)]
pub(super) struct Lines {
    pub(super) plateau: Of<f64>,
    pub(super) z_end: Of<f64>,
    pub(super) slope: Of<f64>,
    pub(super) bend: Of<f64>,
    pub(super) braking: Of<f64>,
    pub(super) z_hold: Of<f64>,
}

impl Lines {
    /// That of a lane.
    #[inline(always)]
    pub(super) fn of(&self, lane: usize) -> Line {
        Line {
            plateau: self.plateau[lane],
            z_end: self.z_end[lane],
            slope: self.slope[lane],
            bend: self.bend[lane],
            braking: self.braking[lane],
            z_hold: self.z_hold[lane],
        }
    }
}

#[derive(Debug, Clone)]
pub(super) struct CellsOf {
    pub(super) length: Of<f64>,
    pub(super) curvature: Of<f64>,
    pub(super) g_cos: Of<f64>,
    pub(super) g_sin: Of<f64>,
}

/// What a step gives.
#[derive(Debug, Clone)]
pub(super) struct Done {
    pub(super) z: Of<f64>,
    pub(super) v: Of<f64>,
    pub(super) seconds: Of<f64>,
    /// Metres on the brakes to the cell's end, where it takes them; `seconds` are then those before.
    pub(super) brakes_for: Of<f64>,
    /// What became of it, one of the numbers in [`told`].
    pub(super) told: Of<u64>,
    pub(super) arc: Arcs,
}

/// Of the step as long as is worth while: its length, the slopes of its stages, how much more the engine
/// could give than the tyres take at its start and end.
#[derive(Debug, Clone)]
pub(super) struct Arcs {
    pub(super) length: Of<f64>,
    pub(super) first: Of<f64>,
    pub(super) second: Of<f64>,
    pub(super) third: Of<f64>,
    pub(super) last: Of<f64>,
    pub(super) before: Of<f64>,
    pub(super) after: Of<f64>,
}

/// What can become of a lane.
pub(super) mod told {
    pub(in crate::lap::lanes) const STEPPED: u64 = 0;
    pub(in crate::lap::lanes) const BRAKED: u64 = 1;
    pub(in crate::lap::lanes) const ASKS: u64 = 2;
    pub(in crate::lap::lanes) const CUT: u64 = 3;
    pub(in crate::lap::lanes) const AGAIN: u64 = 4;
}

/// No car, no surface.
pub(super) const NONE: usize = usize::MAX;

impl Chunk {
    /// Numbers with which nothing goes wrong, of no car.
    pub(super) const EMPTY: Self = {
        let (zero, one) = ([0.0; WIDTH], [1.0; WIDTH]);
        Self {
            live: false,
            bent: false,
            z: one,
            v: one,
            shift_left: zero,
            from: zero,
            asks: one,
            asks_below: zero,
            drive: Drive {
                c0: zero,
                c1: zero,
                c2: zero,
                inv_gamma: one,
                above: one,
                low: zero,
                high: one,
                down: zero,
                pinned: [0; WIDTH],
                mark: [0; WIDTH],
            },
            car: Car {
                table: [0; WIDTH],
                per_rpm: zero,
                f1: zero,
                f2: zero,
                drag: zero,
                downforce: zero,
                number: [NONE; WIDTH],
            },
            ground: Grounds {
                mu: one,
                f0: zero,
                drive: one,
                drive_lift: one,
                inside: one,
                half_share: one,
                lateral: zero,
                surface: [NONE; WIDTH],
            },
            line: Lines {
                plateau: one,
                z_end: one,
                slope: zero,
                bend: zero,
                braking: zero,
                z_hold: one,
            },
            cell: CellsOf {
                length: one,
                curvature: zero,
                g_cos: one,
                g_sin: zero,
            },
            done: Done {
                z: one,
                v: one,
                seconds: one,
                brakes_for: zero,
                told: [told::AGAIN; WIDTH],
                arc: Arcs {
                    length: one,
                    first: zero,
                    second: zero,
                    third: zero,
                    last: zero,
                    before: zero,
                    after: zero,
                },
            },
        }
    };

    #[inline(never)]
    pub(super) fn put_car(&mut self, lane: usize, number: usize, machine: &Machine) {
        let car = &mut self.car;
        car.number[lane] = number;
        car.table[lane] = number * TABLE_STRIDE;
        car.per_rpm[lane] = machine.table.per_rpm;
        car.f1[lane] = machine.f1;
        car.f2[lane] = machine.f2;
        car.drag[lane] = machine.drag;
        car.downforce[lane] = machine.downforce;
        self.ground.surface[lane] = NONE;
    }

    #[inline(never)]
    pub(super) fn put_ground(&mut self, lane: usize, surface: usize, machine: &Machine) {
        let (here, ground) = (&mut self.ground, &machine.ground[surface]);
        here.surface[lane] = surface;
        here.mu[lane] = ground.mu;
        here.f0[lane] = ground.f0;
        here.drive[lane] = ground.axle.drive;
        here.drive_lift[lane] = ground.axle.drive_lift;
        here.inside[lane] = ground.axle.inside;
        here.half_share[lane] = ground.axle.half_share;
        here.lateral[lane] = ground.axle.lateral;
    }

    #[inline(never)]
    pub(super) fn put_drive(&mut self, lane: usize, machine: &Machine, state: &State, stop: f64) {
        let held = is_held(machine, state);
        let mode = mode(machine, state);
        let drive = &mut self.drive;
        (drive.c0[lane], drive.c1[lane], drive.c2[lane]) = (mode.c0, mode.c1, mode.c2);
        drive.inv_gamma[lane] = mode.inv_gamma;
        drive.above[lane] = Events::around(machine, stop, state).above;
        let in_gear = state.shift_left <= 0.0 && !state.launching && !held;
        let at_lock = state.gear == machine.lowest && state.z <= machine.held.z_lock;
        drive.pinned[lane] = match in_gear {
            true if at_lock => 2,
            true => u64::from(state.z >= machine.gears[state.gear].z_limit),
            false => 0,
        };
        let [low, high, down] = if state.shift_left > 0.0 {
            [-1.0, f64::INFINITY, -1.0]
        } else if state.launching {
            [-1.0, machine.launch.z_lock, -1.0]
        } else if held {
            [-1.0, machine.held.z_lock, -1.0]
        } else {
            between(machine, state, stop)
        };
        (drive.low[lane], drive.high[lane], drive.down[lane]) = (low, high, down);
    }
}

/// The z between which what [`Events::around`] gives in gear is the same, and under which a downshift may
/// be wanted.
#[inline(always)]
fn between(machine: &Machine, state: &State, stop: f64) -> [f64; 3] {
    let (gear, z) = (&machine.gears[state.gear], state.z);
    let lower = machine.lower_limit(state.gear);
    let (mut low, mut high) = (-1.0, f64::INFINITY);
    let mut changes_at = |at: f64| {
        low = if z < at { low } else { at.max(low) };
        high = if z < at { at.min(high) } else { high };
    };
    changes_at(stop);
    changes_at(gear.z_limit);
    if state.gear == machine.lowest {
        changes_at(machine.held.z_lock);
    } else {
        changes_at(gear.z_fade[0]);
        changes_at(gear.z_fade[1]);
        changes_at(lower);
        changes_at(lower * BELOW);
    }
    [low, high, lower]
}
