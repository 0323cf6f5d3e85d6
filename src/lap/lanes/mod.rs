//! States of many laps side by side: every lane takes a cell's whole step at once, and says where
//! something may have happened on the way, so that the scalar function has to take the step instead.
//!
//! The lanes' step is the scalar step's own arithmetic on the same numbers in the same order, kept
//! only where no event, no change of law and no line can cut it. So a lap is the same to the bit for
//! any number of lanes, any neighbours and any instruction set.

mod braking;
mod step;

use super::advance::{BELOW, State, is_held, mode};
use super::cells::Cell;
use super::limits::Line;
use super::machine::Machine;
pub use braking::{Braker, limits_of};
use step::{TABLE_ROOM, TABLE_STRIDE, step};

/// Lanes that are stepped together: a vector of the widest, two of the next.
pub const WIDTH: usize = 8;
/// Most cars whose laps may share lanes.
pub const MOST_CARS: usize = 16;

/// What a step did to a lane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Told {
    /// It is at the cell's end: z, v and the seconds it took; on the brakes or not.
    Stepped {
        /// m²/s².
        z: f64,
        /// m/s.
        v: f64,
        /// s.
        seconds: f64,
        /// Down the braking part of the line.
        braking: bool,
        /// Seconds at constant speed before the braking, s.
        held: f64,
    },
    /// Something may have happened in the cell: it is still at its start.
    Again,
}

/// What a lane drives through a cell.
#[derive(Debug, Clone, Copy)]
pub struct Entrant<'a> {
    /// Number of the car, below [`MOST_CARS`], whose table is loaded.
    pub car: usize,
    /// The car.
    pub machine: &'a Machine,
    /// The cell.
    pub cell: &'a Cell,
    /// What the road allows the car there.
    pub line: &'a Line,
    /// State at the cell's start.
    pub state: &'a State,
    /// z at which the driver wants to be asked, m²/s².
    pub stop: f64,
}

/// A number of every lane.
type Of<T> = [T; WIDTH];

/// Lanes that are stepped together.
#[derive(Debug, Clone)]
struct Chunk {
    z: Of<f64>,
    v: Of<f64>,
    shift_left: Of<f64>,
    drive: Drive,
    car: Car,
    ground: Grounds,
    line: Lines,
    cell: CellsOf,
    done: Done,
}

/// What a lane is driven by, and where that changes.
#[derive(Debug, Clone)]
struct Drive {
    c0: Of<f64>,
    c1: Of<f64>,
    c2: Of<f64>,
    inv_gamma: Of<f64>,
    /// Below this z, and above the next, something changes.
    below: Of<f64>,
    above: Of<f64>,
    /// z under which a downshift may be wanted.
    down: Of<f64>,
    /// 1 where the engine is on its limiter.
    pinned: Of<u64>,
    /// What was put there last, or nothing.
    mark: Of<u64>,
}

#[derive(Debug, Clone)]
struct Car {
    /// Where the car's table begins.
    table: Of<usize>,
    per_rpm: Of<f64>,
    f1: Of<f64>,
    f2: Of<f64>,
    drag: Of<f64>,
    downforce: Of<f64>,
    number: Of<usize>,
}

#[derive(Debug, Clone)]
struct Grounds {
    mu: Of<f64>,
    f0: Of<f64>,
    drive: Of<f64>,
    drive_lift: Of<f64>,
    inside: Of<f64>,
    half_share: Of<f64>,
    lateral: Of<f64>,
    surface: Of<usize>,
}

#[derive(Debug, Clone)]
struct Lines {
    plateau: Of<f64>,
    z_end: Of<f64>,
    slope: Of<f64>,
    bend: Of<f64>,
    braking: Of<f64>,
    z_hold: Of<f64>,
}

#[derive(Debug, Clone)]
struct CellsOf {
    length: Of<f64>,
    curvature: Of<f64>,
    g_cos: Of<f64>,
    g_sin: Of<f64>,
}

/// What a step gives.
#[derive(Debug, Clone)]
struct Done {
    z: Of<f64>,
    v: Of<f64>,
    seconds: Of<f64>,
    held: Of<f64>,
    /// 1 where something may have happened, 2 on the brakes.
    told: Of<u64>,
}

/// No car, no surface.
const NONE: usize = usize::MAX;

impl Chunk {
    /// Numbers with which nothing goes wrong, of no car.
    const EMPTY: Self = {
        let (zero, one) = ([0.0; WIDTH], [1.0; WIDTH]);
        Self {
            z: one,
            v: one,
            shift_left: zero,
            drive: Drive {
                c0: zero,
                c1: zero,
                c2: zero,
                inv_gamma: one,
                below: zero,
                above: one,
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
                held: zero,
                told: [1; WIDTH],
            },
        }
    };

    fn put_car(&mut self, lane: usize, number: usize, machine: &Machine) {
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

    fn put_ground(&mut self, lane: usize, surface: usize, machine: &Machine) {
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

    fn put_drive(&mut self, lane: usize, machine: &Machine, state: &State, stop: f64) {
        let held = is_held(machine, state);
        let mode = mode(machine, state);
        let drive = &mut self.drive;
        (drive.c0[lane], drive.c1[lane], drive.c2[lane]) = (mode.c0, mode.c1, mode.c2);
        drive.inv_gamma[lane] = mode.inv_gamma;
        let in_gear = state.shift_left <= 0.0 && !state.launching && !held;
        // Nobody is asked any more on the limiter, until speed falls off it.
        let z_limit = machine.gears[state.gear].z_limit;
        let pinned = in_gear && state.z >= z_limit && stop > state.z;
        drive.pinned[lane] = u64::from(pinned);
        let [below, above, down] = if pinned {
            [z_limit * BELOW, f64::INFINITY, -1.0]
        } else if state.shift_left > 0.0 {
            [-1.0, f64::INFINITY, -1.0]
        } else if state.launching {
            [-1.0, machine.launch.z_lock, -1.0]
        } else if held {
            [-1.0, machine.held.z_lock.min(stop), -1.0]
        } else {
            thresholds(machine, state, stop)
        };
        (drive.below[lane], drive.above[lane], drive.down[lane]) = (below, above, down);
    }
}

/// The z below and above which something changes in gear, and under which a downshift may be wanted.
fn thresholds(machine: &Machine, state: &State, stop: f64) -> [f64; 3] {
    let (gear, z) = (&machine.gears[state.gear], state.z);
    let [gives_up, unwilling] = gear.z_fade;
    let (below, fade) = if state.gear == machine.lowest {
        (machine.held.z_lock, f64::INFINITY)
    } else if z > unwilling {
        (unwilling, f64::INFINITY)
    } else if z > gives_up {
        (gives_up, unwilling)
    } else {
        (-1.0, gives_up)
    };
    // A step is cut where speed falls to the lower gear's limit.
    let lower_limit = machine.lower_limit(state.gear);
    let (below, next) = if lower_limit < z {
        (below.max(lower_limit), fade)
    } else if lower_limit > 0.0 {
        (below, fade.min(lower_limit))
    } else {
        (below, fade)
    };
    // In top gear the light is passed without a change.
    let passed = state.gear + 1 == machine.gears.len() && z >= stop;
    let (below, above) = if passed {
        (below.max(stop), gear.z_limit.min(next))
    } else {
        (below, gear.z_limit.min(stop).min(next))
    };
    [below, above, lower_limit]
}

/// States of many laps side by side.
#[derive(Debug)]
pub struct Lanes {
    tables: Box<[f64; TABLE_ROOM]>,
    chunks: Vec<Chunk>,
    bent: bool,
    marks: u64,
}

impl Default for Lanes {
    fn default() -> Self {
        Self {
            tables: Box::new([0.0; TABLE_ROOM]),
            chunks: Vec::new(),
            bent: false,
            marks: 0,
        }
    }
}

impl Lanes {
    /// Takes the table of a car; what lanes knew of its number is forgotten.
    pub fn load(&mut self, car: usize, machine: &Machine) {
        let from = car * TABLE_STRIDE;
        let torque = &*machine.table.torque;
        self.tables[from..from + torque.len()].copy_from_slice(torque);
        for chunk in &mut self.chunks {
            for number in chunk.car.number.iter_mut().filter(|n| **n == car) {
                *number = NONE;
            }
        }
    }

    /// Puts a lap into a lane, at the start of a cell. `mark` tells states that differ in nothing but z, v
    /// and what is left of a shift: 0 for one that the lanes have not seen.
    #[inline]
    pub fn put(&mut self, lane: usize, entrant: &Entrant, mark: &mut u64) {
        if lane / WIDTH >= self.chunks.len() {
            self.chunks.push(Chunk::EMPTY);
        }
        let Entrant {
            machine,
            cell,
            line,
            state,
            ..
        } = *entrant;
        let chunk = &mut self.chunks[lane / WIDTH];
        let l = lane % WIDTH;
        if chunk.car.number[l] != entrant.car {
            chunk.put_car(l, entrant.car, machine);
        }
        if chunk.ground.surface[l] != cell.surface as usize {
            chunk.put_ground(l, cell.surface as usize, machine);
        }
        if *mark == 0 || chunk.drive.mark[l] != *mark {
            if *mark == 0 {
                self.marks += 1;
                *mark = self.marks;
            }
            chunk.put_drive(l, machine, state, entrant.stop);
            chunk.drive.mark[l] = *mark;
        }
        (chunk.z[l], chunk.v[l], chunk.shift_left[l]) = (state.z, state.v, state.shift_left);
        let lines = &mut chunk.line;
        lines.plateau[l] = line.plateau;
        lines.z_end[l] = line.z_end;
        lines.slope[l] = line.slope;
        lines.bend[l] = line.bend;
        lines.braking[l] = line.braking;
        lines.z_hold[l] = line.z_hold;
        let cells = &mut chunk.cell;
        cells.length[l] = cell.length;
        cells.curvature[l] = cell.curvature;
        cells.g_cos[l] = cell.g_cos;
        cells.g_sin[l] = cell.g_sin;
        self.bent |= cell.curvature != 0.0;
    }

    /// Steps the first lanes through their cells.
    pub fn step(&mut self, lanes: usize) {
        step(
            &self.tables,
            &mut self.chunks[..lanes.div_ceil(WIDTH)],
            self.bent,
        );
        self.bent = false;
    }

    /// What the last step did to a lane.
    #[inline]
    pub fn told(&self, lane: usize) -> Told {
        let (done, l) = (&self.chunks[lane / WIDTH].done, lane % WIDTH);
        if done.told[l] & 1 == 1 {
            return Told::Again;
        }
        Told::Stepped {
            z: done.z[l],
            v: done.v[l],
            seconds: done.seconds[l],
            braking: done.told[l] & 2 == 2,
            held: done.held[l],
        }
    }
}
