//! The lanes: numbers of many laps side by side, and the step they take together.

mod step;

use super::super::advance::State;
use super::super::cells::{Cell, Cells};
use super::super::drive::{Clock, brakes_from_start};
use super::super::limits::Limits;
use super::super::machine::{Machine, Mode, TABLE_INTERVALS};
use step::step;

/// What a step did to a lane.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Told {
    /// It is at the cell's end.
    Stepped,
    /// It is at the cell's end, where braking ends.
    Braked,
    /// Something may have happened in the cell: to be driven again.
    Again,
}

/// Where a lane is.
pub(super) struct Taken {
    pub(super) z: f64,
    pub(super) v: f64,
    pub(super) shift_left: f64,
}

/// One number of every lane.
type Of<const L: usize> = [f64; L];

/// The line of every lane in one cell.
#[derive(Debug, Clone, Copy)]
struct Lines<const L: usize> {
    plateau: Of<L>,
    z_end: Of<L>,
    slope: Of<L>,
    bend: Of<L>,
    braking: Of<L>,
    z_hold: Of<L>,
    /// 1 where braking that reaches the cell's end goes on into the next.
    goes_on: [u64; L],
}

/// A surface under every lane.
#[derive(Debug, Clone, Copy)]
struct Grounds<const L: usize> {
    mu: Of<L>,
    f0: Of<L>,
    drive: Of<L>,
    drive_lift: Of<L>,
    inside: Of<L>,
    half_share: Of<L>,
    lateral: Of<L>,
}

/// The state of every lane, and what it is driven by.
#[derive(Debug, Clone)]
struct States<const L: usize> {
    z: Of<L>,
    v: Of<L>,
    shift_left: Of<L>,
    time: Of<L>,
    /// Seconds of the braking under way.
    hidden: Of<L>,
    /// 1 while braking.
    braking: Of<L>,
    gear: [usize; L],
    c0: Of<L>,
    c1: Of<L>,
    c2: Of<L>,
    inv_gamma: Of<L>,
    /// Below this z, and above the next, something changes: the lane is driven again.
    below: Of<L>,
    above: Of<L>,
    /// z under which a downshift may be wanted.
    down: Of<L>,
    /// 1 for lanes that are driven by the scalar function whatever they do.
    apart: [u64; L],
    /// 0 for lanes that have nothing to tell, all ones for the others.
    heard: [u64; L],
}

/// What does not change on a lap.
#[derive(Debug, Clone)]
struct Fixed<const L: usize> {
    tables: Box<[[f64; TABLE_INTERVALS + 1]; L]>,
    per_rpm: Of<L>,
    f1: Of<L>,
    f2: Of<L>,
    drag: Of<L>,
    downforce: Of<L>,
}

/// What a step tells.
#[derive(Debug, Clone)]
struct Told64<const L: usize> {
    again: [u64; L],
    braked: [u64; L],
    any: u64,
}

/// Lanes of a batch.
#[derive(Debug)]
pub(super) struct Lanes<const L: usize> {
    fixed: Fixed<L>,
    lines: Vec<Lines<L>>,
    grounds: Vec<Grounds<L>>,
    states: States<L>,
    told: Told64<L>,
}

impl<const L: usize> Lanes<L> {
    pub(super) fn new() -> Self {
        let none = [0.0; L];
        Self {
            fixed: Fixed {
                tables: Box::new([[0.0; TABLE_INTERVALS + 1]; L]),
                per_rpm: none,
                f1: none,
                f2: none,
                drag: none,
                downforce: none,
            },
            lines: Vec::new(),
            grounds: Vec::new(),
            states: States {
                z: [1.0; L],
                v: [1.0; L],
                shift_left: none,
                time: none,
                hidden: none,
                braking: none,
                gear: [0; L],
                c0: none,
                c1: none,
                c2: none,
                inv_gamma: none,
                below: none,
                above: none,
                down: none,
                apart: [1; L],
                heard: [0; L],
            },
            told: Told64 {
                again: [0; L],
                braked: [0; L],
                any: 0,
            },
        }
    }

    /// Takes a group of at most `L` machines; the lanes left over go along with the last and tell
    /// nothing.
    pub(super) fn load<'a>(
        &mut self,
        cells: &Cells,
        group: impl Iterator<Item = (&'a Machine, &'a Limits)>,
    ) {
        let group: Vec<_> = group.collect();
        let of = |lane: usize| group[lane.min(group.len() - 1)];
        for lane in 0..L {
            let machine = of(lane).0;
            let fixed = &mut self.fixed;
            fixed.tables[lane] = *machine.table.torque;
            fixed.per_rpm[lane] = machine.table.per_rpm;
            fixed.f1[lane] = machine.f1;
            fixed.f2[lane] = machine.f2;
            fixed.drag[lane] = machine.drag;
            fixed.downforce[lane] = machine.downforce;
            (self.states.apart[lane], self.states.heard[lane]) = (1, 0);
        }
        let count = cells.len();
        self.lines.clear();
        self.lines.extend((0..count).map(|i| {
            let line = |lane: usize| &of(lane).1.lines[i];
            Lines {
                plateau: std::array::from_fn(|l| line(l).plateau),
                z_end: std::array::from_fn(|l| line(l).z_end),
                slope: std::array::from_fn(|l| line(l).slope),
                bend: std::array::from_fn(|l| line(l).bend),
                braking: std::array::from_fn(|l| line(l).braking),
                z_hold: std::array::from_fn(|l| line(l).z_hold),
                goes_on: std::array::from_fn(|l| {
                    let next = (i + 1) % count;
                    let lines = &of(l).1.lines;
                    let on = (cells.closed || next > 0)
                        && brakes_from_start(
                            &lines[next],
                            cells.cells[next].length,
                            lines[i].z_end,
                        );
                    u64::from(on)
                }),
            }
        }));
        self.grounds.clear();
        self.grounds.extend((0..of(0).0.ground.len()).map(|s| {
            let ground = |lane: usize| &of(lane).0.ground[s];
            Grounds {
                mu: std::array::from_fn(|l| ground(l).mu),
                f0: std::array::from_fn(|l| ground(l).f0),
                drive: std::array::from_fn(|l| ground(l).axle.drive),
                drive_lift: std::array::from_fn(|l| ground(l).axle.drive_lift),
                inside: std::array::from_fn(|l| ground(l).axle.inside),
                half_share: std::array::from_fn(|l| ground(l).axle.half_share),
                lateral: std::array::from_fn(|l| ground(l).axle.lateral),
            }
        }));
    }

    /// Puts a lane into a state at a cell's start.
    pub(super) fn put(&mut self, lane: usize, machine: &Machine, state: &State, over: bool) {
        let s = &mut self.states;
        let gear = &machine.gears[state.gear];
        let shifting = state.shift_left > 0.0;
        let mode: Mode = if shifting { machine.coast } else { gear.mode };
        (s.z[lane], s.v[lane]) = (state.z, state.v);
        (s.shift_left[lane], s.gear[lane]) = (state.shift_left, state.from);
        (s.c0[lane], s.c1[lane], s.c2[lane]) = (mode.c0, mode.c1, mode.c2);
        s.inv_gamma[lane] = mode.inv_gamma;
        let up = state.gear + 1 < machine.gears.len();
        let lowest = state.gear == machine.lowest;
        (s.below[lane], s.above[lane], s.down[lane]) = if shifting {
            (-1.0, f64::INFINITY, -1.0)
        } else {
            let below = if lowest {
                machine.held.z_lock
            } else {
                gear.z_fade[1]
            };
            // A step is cut where speed falls to the lower gear's limit.
            let lower_limit = machine.lower_limit(state.gear);
            let (below, next) = if lower_limit < state.z {
                (below.max(lower_limit), f64::INFINITY)
            } else if lower_limit > 0.0 {
                (below, lower_limit)
            } else {
                (below, f64::INFINITY)
            };
            // In top gear the light is passed without a change.
            let passed = !up && state.z >= gear.z_light;
            let (below, above) = if passed {
                (below.max(gear.z_light), gear.z_limit.min(next))
            } else {
                (below, gear.z_limit.min(gear.z_light).min(next))
            };
            let lower = state.gear.checked_sub(1).map(|k| machine.gears[k].z_light);
            (below, above, lower.unwrap_or(-1.0))
        };
        s.apart[lane] = u64::from(over || state.launching);
        s.heard[lane] = if over { 0 } else { u64::MAX };
    }

    /// Where a lane is.
    pub(super) fn taken(&self, lane: usize) -> Taken {
        Taken {
            z: self.states.z[lane],
            v: self.states.v[lane],
            shift_left: self.states.shift_left[lane],
        }
    }

    /// The clock of a lane.
    pub(super) fn seconds(&self, lane: usize) -> Clock {
        let s = &self.states;
        Clock {
            time: s.time[lane],
            braking: (s.braking[lane] > 0.0).then_some((s.gear[lane], s.hidden[lane])),
        }
    }

    /// Sets the clock of a lane.
    pub(super) fn set_seconds(&mut self, lane: usize, clock: Clock) {
        let s = &mut self.states;
        s.time[lane] = clock.time;
        s.braking[lane] = f64::from(u8::from(clock.braking.is_some()));
        if let Some((gear, hidden)) = clock.braking {
            (s.gear[lane], s.hidden[lane]) = (gear, hidden);
        }
    }

    /// Whether any lane has something to tell.
    pub(super) fn any_told(&self) -> bool {
        self.told.any != 0
    }

    /// What the last step did to a lane.
    pub(super) fn told(&self, lane: usize) -> Told {
        match (self.told.again[lane], self.told.braked[lane]) {
            (0, 0) => Told::Stepped,
            (0, _) => Told::Braked,
            _ => Told::Again,
        }
    }

    /// Steps every lane through a cell.
    pub(super) fn step(&mut self, cell: &Cell, index: usize) {
        let ground = &self.grounds[cell.surface as usize];
        let (fixed, lines) = (&self.fixed, &self.lines[index]);
        let (states, told) = (&mut self.states, &mut self.told);
        step(fixed, ground, cell, lines, states, told);
    }
}
