//! States of many laps side by side: every lane takes the step through what is left of its cell at once,
//! and says where something may cut it, so that the scalar function has to see where; from there on the
//! lap goes on in its lane.
//!
//! The lanes' step is the scalar step's own arithmetic on the same numbers in the same order, kept
//! only where no event, no change of law and no line can cut it. So a lap is the same to the bit for
//! any number of lanes, any neighbours and any instruction set.

mod braking;
mod chunk;
mod step;

use super::advance::State;
use super::arc::Arc;
use super::cells::Cell;
use super::limits::Line;
use super::machine::Machine;
use super::motion::Leg;
pub use braking::{Braker, limits_of};
use chunk::{Chunk, NONE, told};
use step::{TABLE_ROOM, TABLE_STRIDE, step};

/// Lanes that are stepped together: two vectors of the widest, so that one does not wait for itself.
pub const WIDTH: usize = 16;
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
    /// The driver may want another gear here: it has not moved.
    Asks,
    /// Something may cut the step, for the scalar function to see to with [`Lanes::leg`]: it has not
    /// moved.
    Cut,
    /// Anything else: the scalar function has to take the step.
    Again,
}

/// What a lane drives through what is left of a cell.
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
    /// Where it is in the cell.
    pub state: &'a State,
    /// z at which the driver wants to be asked, m²/s².
    pub stop: f64,
    /// z from which on he does: `stop`, or infinite where there is no gear to change up to.
    pub asks: f64,
    /// He has been asked here.
    pub asked: bool,
}

/// States of many laps side by side.
#[derive(Debug)]
pub struct Lanes {
    tables: Box<[f64; TABLE_ROOM]>,
    chunks: Vec<Chunk>,
    /// Lanes that are kept or taken, a bit each, and how many are enough.
    used: Vec<u64>,
    enough: u32,
    marks: u64,
}

/// No lane.
pub(crate) const NOWHERE: u32 = u32::MAX;

impl Default for Lanes {
    fn default() -> Self {
        Self {
            tables: Box::new([0.0; TABLE_ROOM]),
            chunks: Vec::new(),
            used: Vec::new(),
            enough: 0,
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

    /// Nobody has a lane any more.
    pub fn vacate(&mut self) {
        self.used.iter_mut().for_each(|bits| *bits = 0);
    }

    /// Keeps a lane for whom it has had, unless somebody else has it.
    #[inline]
    pub fn keep(&mut self, lane: &mut u32) {
        let word = (*lane / 64) as usize;
        if *lane == NOWHERE {
            return;
        }
        if word >= self.used.len() {
            self.used.resize(word + 1, 0);
        }
        let (bits, bit) = (&mut self.used[word], 1 << (*lane % 64));
        if *bits & bit == 0 {
            *bits |= bit;
        } else {
            *lane = NOWHERE;
        }
    }

    /// So many lanes are wanted.
    pub fn want(&mut self, lanes: usize) {
        self.enough = lanes.next_multiple_of(WIDTH) as u32;
        let words = lanes.div_ceil(64) + 1;
        if words > self.used.len() {
            self.used.resize(words, 0);
        }
    }

    /// The lane that was kept, or a free one where there is none or lower ones would stay empty.
    #[inline]
    pub fn take(&mut self, lane: u32) -> u32 {
        if lane < self.enough {
            lane
        } else {
            self.free()
        }
    }

    /// A lane that nobody has.
    fn free(&mut self) -> u32 {
        let mut lane = 0;
        for bits in &mut self.used {
            if *bits != u64::MAX {
                lane += bits.trailing_ones();
                *bits |= *bits + 1;
                break;
            }
            lane += 64;
        }
        lane
    }

    /// Puts a lap into a lane. `mark` tells states that differ in nothing but z, v and what is left of a
    /// shift: 0 for one that the lanes have not seen.
    #[inline(always)]
    pub fn put(&mut self, lane: usize, entrant: &Entrant, mark: &mut u64) {
        while lane / WIDTH >= self.chunks.len() {
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
        chunk.from[l] = state.done;
        let asks = !(entrant.asked | state.launching | (state.shift_left > 0.0));
        chunk.asks[l] = if asks { entrant.asks } else { f64::INFINITY };
        chunk.asks_below[l] = if asks { chunk.drive.down[l] } else { -1.0 };
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
        chunk.live = true;
        chunk.bent |= cell.curvature != 0.0;
    }

    /// Steps all lanes that laps have been put into since the last time.
    pub fn step(&mut self) {
        step(&self.tables, &mut self.chunks);
    }

    /// What the last step did to a lane.
    #[inline]
    pub fn told(&self, lane: usize) -> Told {
        let (chunk, l) = (&self.chunks[lane / WIDTH], lane % WIDTH);
        let done = &chunk.done;
        match done.told[l] {
            told::STEPPED => Told::Stepped {
                z: done.z[l],
                v: done.v[l],
                seconds: done.seconds[l],
                braking: false,
                held: 0.0,
            },
            // Few lanes brake: their roots are not taken for all.
            told::BRAKED => {
                let line = chunk.line.of(l);
                Told::Stepped {
                    z: line.z_end,
                    v: line.z_end.sqrt(),
                    seconds: line.braking_time(done.brakes_for[l], chunk.v[l]),
                    braking: true,
                    held: done.seconds[l],
                }
            }
            told::ASKS => Told::Asks,
            told::CUT => Told::Cut,
            _ => Told::Again,
        }
    }

    /// The step that something may cut.
    #[inline]
    pub fn leg(&self, lane: usize) -> Leg {
        let (chunk, l) = (&self.chunks[lane / WIDTH], lane % WIDTH);
        let arc = &chunk.done.arc;
        let slopes = [arc.first[l], arc.second[l], arc.third[l], arc.last[l]];
        Leg {
            arc: Arc::of(chunk.z[l], chunk.v[l], arc.length[l], slopes),
            z1: chunk.done.z[l],
            tyres: arc.before[l] > 0.0,
            surplus: [arc.before[l], arc.after[l]],
        }
    }
}
