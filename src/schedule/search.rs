//! The sweep that finds the schedule.

use super::candidates::{Candidates, Choice, Places};
use super::labels::{Book, Label, NOTHING, prune};
use super::plan::{Change, ChangeKind, FollowSchedule, Schedule};
use crate::lap::advance::{advance, lower_gear_pulls_more, must_brake, next_gear_pulls};
use crate::lap::drive::Ride;
use crate::lap::machine::MAX_GEARS;
use crate::lap::{Cells, Lap, LapError, Limits, Machine, NoTape, PlainRule, State, Tape, lap};
use crate::venue::Start;

/// Gears above the rule of thumb's in which leaving a corner is tried.
const EXITS_ABOVE: usize = 2;
/// Share of the lowest rpm below which a gear other than the lowest gives no force at all.
const NO_FORCE: f64 = 0.9;

/// Rounds in which a shift under way at the line of a flying lap must settle.
const SETTLE: usize = 4;

/// What a search found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The lap under the schedule, driven again.
    pub lap: Lap,
    /// The schedule.
    pub schedule: Schedule,
    /// Labels advanced through a cell, the work done.
    pub work: usize,
}

/// Finds the fastest schedule that a choice allows.
///
/// # Errors
/// As [`lap`]: a car that comes to rest under every plan, an entry too fast, a lap that never
/// repeats.
pub fn search(
    machine: &Machine,
    cells: &Cells,
    limits: &Limits,
    choice: Choice,
) -> Result<Found, LapError> {
    let mut tape = Tape::default();
    let plain = lap(machine, cells, limits, &mut PlainRule, &mut tape);
    let mut first_cell = 0;
    if cells.start == Start::Flying {
        let plain = plain.as_ref().map_err(Clone::clone)?;
        first_cell = plain.first_cell;
        if !plain.from_braking {
            let start_gear = machine.lowest_gear_below_upshift(plain.z_start);
            let schedule = Schedule {
                first_cell,
                start_gear,
                changes: Vec::new(),
            };
            return Ok(Found {
                lap: *plain,
                schedule,
                work: cells.len(),
            });
        }
    }
    let ride = Ride {
        machine,
        cells,
        limits,
        first_cell,
    };
    let places = Places::new(machine, cells, &tape.records);
    let mut sweep = Sweep::new(&ride, choice, places);
    let (start_gear, changes) = if cells.closed {
        sweep.closed(plain?.z_start)?
    } else {
        (0, sweep.open()?)
    };
    let schedule = Schedule {
        first_cell,
        start_gear,
        changes,
    };
    let mut driver = FollowSchedule::new(&schedule, cells.len());
    let lap = lap(machine, cells, limits, &mut driver, &mut NoTape)?;
    Ok(Found {
        lap,
        schedule,
        work: sweep.work,
    })
}

struct Sweep<'a> {
    ride: &'a Ride<'a>,
    candidates: Candidates,
    places: Places,
    /// Shift time from first gear up to each.
    level: [f64; MAX_GEARS],
    book: Book,
    now: Vec<Label>,
    next: Vec<Label>,
    stack: Vec<Label>,
    ends: Vec<Label>,
    rest: Option<LapError>,
    work: usize,
}

impl<'a> Sweep<'a> {
    fn new(ride: &'a Ride<'a>, choice: Choice, places: Places) -> Self {
        let mut level = [0.0; MAX_GEARS];
        for k in 1..ride.machine.gears.len() {
            level[k] = level[k - 1] + ride.machine.gears[k - 1].shift_time;
        }
        Self {
            ride,
            candidates: Candidates::new(ride.machine, choice),
            places,
            level,
            book: Book::default(),
            now: Vec::new(),
            next: Vec::new(),
            stack: Vec::new(),
            ends: Vec::new(),
            rest: None,
            work: 0,
        }
    }

    /// From a standing or rolling start.
    fn open(&mut self) -> Result<Vec<Change>, LapError> {
        let state = match self.ride.cells.start {
            Start::Rolling(v) => {
                State::in_gear(v * v, self.ride.machine.lowest_gear_below_upshift(v * v))
            }
            _ => State {
                launching: true,
                ..State::in_gear(0.0, 0)
            },
        };
        let label = self.label(state, 0.0, NOTHING);
        let ends = self.run(vec![label])?;
        Ok(self.book.trace(ends[0].last))
    }

    /// A lap that closes in gear: it starts in a gear that its own end of braking can leave in.
    fn closed(&mut self, z: f64) -> Result<(usize, Vec<Change>), LapError> {
        let mut best: Option<(f64, usize, Vec<Change>)> = None;
        let mut rest = None;
        for exit in self.exits(z) {
            match self.closed_in(z, exit) {
                Ok(Some((time, changes))) => {
                    if best.as_ref().is_none_or(|b| time < b.0) {
                        best = Some((time, exit, changes));
                    }
                }
                Ok(None) => {}
                Err(error) => rest = Some(error),
            }
        }
        match best {
            Some((_, exit, changes)) => Ok((exit, changes)),
            None => Err(rest.unwrap_or(LapError::NoRepeat(SETTLE))),
        }
    }

    /// The best lap that starts in one gear, with the shift still under way at the line that the lap
    /// before left; nothing where that does not settle.
    fn closed_in(&mut self, z: f64, exit: usize) -> Result<Option<(f64, Vec<Change>)>, LapError> {
        let mut shift_left = 0.0;
        for _ in 0..SETTLE {
            self.book.clear();
            let start = self.label(self.leaving(z, exit, shift_left), 0.0, NOTHING);
            let ends = self.run(vec![start])?;
            let level = self.level[exit];
            let left = |l: &Label| (level - l.level).max(0.0);
            let whole = |l: &Label| l.time + left(l);
            let braked = ends.iter().filter(|l| l.braking);
            let Some(end) = braked.min_by(|a, b| whole(a).total_cmp(&whole(b))) else {
                return Ok(None);
            };
            if (left(end) - shift_left).abs() < 1e-12 {
                return Ok(Some((end.time, self.book.trace(end.last))));
            }
            shift_left = left(end);
        }
        Ok(None)
    }

    /// The state that leaves an end of braking in a gear.
    fn leaving(&self, z: f64, exit: usize, shift_left: f64) -> State {
        let from = if shift_left > 0.0 { exit - 1 } else { exit };
        State {
            shift_left,
            from,
            ..State::in_gear(z, exit)
        }
    }

    fn at_rest(&mut self) -> LapError {
        self.rest.take().unwrap_or(LapError::NoRepeat(1))
    }

    fn label(&self, state: State, time: f64, last: u32) -> Label {
        let next = self.candidates.first_from(state.gear, state.z) as u8;
        Label {
            state,
            time,
            level: 0.0,
            braking: false,
            next,
            last,
        }
    }

    /// Gears in which an end of braking at z may be left.
    fn exits(&self, z: f64) -> impl Iterator<Item = usize> + use<> {
        let machine = self.ride.machine;
        let top = machine.gears.len() - 1;
        let plain = machine.lowest_gear_below_upshift(z);
        let v = z.sqrt();
        let lowest_rpm = NO_FORCE * machine.lowest_rpm;
        let usable: Vec<usize> = (machine.lowest..=(plain + EXITS_ABOVE).min(top))
            .filter(|&k| k == plain || z < machine.gears[k].z_limit)
            .filter(|&k| k <= plain || machine.gears[k].mode.c1 * v > lowest_rpm)
            .collect();
        usable.into_iter()
    }

    /// Sweeps the lap; the labels at its end, earliest first.
    fn run(&mut self, start: Vec<Label>) -> Result<Vec<Label>, LapError> {
        self.now = start;
        let count = self.ride.cells.len();
        for done in 0..count {
            self.next.clear();
            self.ends.clear();
            let mut now = std::mem::take(&mut self.now);
            self.work += now.len();
            for label in now.drain(..) {
                self.stack.push(label);
                while let Some(label) = self.stack.pop() {
                    self.through_cell(label, done);
                }
            }
            self.now = now;
            std::mem::swap(&mut self.now, &mut self.next);
            if done + 1 < count {
                self.leave(done + 1);
            } else {
                self.now.append(&mut self.ends);
            }
            prune(&mut self.now);
            if self.now.is_empty() {
                return Err(self.at_rest());
            }
        }
        Ok(std::mem::take(&mut self.now))
    }

    /// Splits the labels at an end of braking into the gears to leave in.
    fn leave(&mut self, done: usize) {
        if self.ends.is_empty() {
            return;
        }
        let mut ends = std::mem::take(&mut self.ends);
        prune(&mut ends);
        let z = ends[0].state.z;
        for exit in self.exits(z) {
            let mut least = f64::INFINITY;
            for end in &ends {
                let left = (self.level[exit] - end.level).max(0.0);
                // Later ends are worth a label only if less of the shift is left.
                if left >= least {
                    continue;
                }
                least = left;
                let state = self.leaving(z, exit, left);
                let last = self.book.note(end.last, done, exit, ChangeKind::Exit);
                let label = self.label(state, end.time, last);
                self.now.push(label);
            }
        }
        ends.clear();
        self.ends = ends;
    }

    /// Drives one label through a cell, splitting it at every change that could be made.
    fn through_cell(&mut self, mut label: Label, done: usize) {
        let ride = self.ride;
        let machine = ride.machine;
        let i = ride.cell(done);
        let (cell, line) = (&ride.cells.cells[i], &ride.limits.lines[i]);
        if label.state.done >= cell.length {
            label.state.done = 0.0;
        }
        while label.state.done < cell.length {
            if !must_brake(cell, line, &label.state) {
                self.offer(&mut label, done, i);
            }
            let before = label.state;
            let stop = self.candidates.at(before.gear, label.next as usize);
            let Ok(record) = advance(machine, cell, line, stop, i, &mut label.state) else {
                self.rest = Some(ride.stalled(i, &before));
                return;
            };
            label.time += record.time;
            if record.braking {
                if !label.braking {
                    label.level = self.level[before.from] + before.begun(machine);
                }
                label.level += record.time;
            }
            label.braking = record.braking;
            if label.state.gear != before.gear || label.state.from != before.from {
                // Downhill a change can coast past the next gear's candidates.
                label.next = self.candidates.due_at(label.state.gear, label.state.z) as u8;
            }
        }
        if label.braking && ride.braking_ends(done, label.state.z) {
            self.ends.push(label);
        } else {
            label.state.done = 0.0;
            self.next.push(label);
        }
    }

    /// Offers the changes of gear that could be made here; each goes on the stack as a label.
    fn offer(&mut self, label: &mut Label, done: usize, i: usize) {
        let machine = self.ride.machine;
        let cell = &self.ride.cells.cells[i];
        let state = label.state;
        if state.shift_left > 0.0 || state.launching {
            return;
        }
        let gear = state.gear;
        let at_start = state.done == 0.0;
        if at_start && gear > machine.lowest && lower_gear_pulls_more(machine, cell, &state) {
            self.split(label, done, gear - 1, ChangeKind::Down);
        }
        if gear + 1 >= machine.gears.len() {
            return;
        }
        let candidate = self.candidates.at(gear, label.next as usize);
        if state.z >= candidate {
            label.next += 1;
            if next_gear_pulls(machine, cell, &state) {
                // At the present z: one refused at the candidate is made wherever it is offered again.
                self.split(label, done, gear + 1, ChangeKind::Up(state.z));
            } else {
                // Refused here, offered again where the road lets the next gear pull.
                label.next -= 1;
            }
        } else if at_start
            && done > 0
            && state.z >= self.candidates.early(gear)
            && self.places.tries_at(i)
            && next_gear_pulls(machine, cell, &state)
        {
            self.split(label, done, gear + 1, ChangeKind::UpHere);
        }
    }

    fn split(&mut self, label: &Label, done: usize, to: usize, kind: ChangeKind) {
        let mut other = *label;
        other.state.begin_shift(self.ride.machine, to);
        other.next = self.candidates.first_from(to, other.state.z) as u8;
        other.last = self.book.note(label.last, done, to, kind);
        self.stack.push(other);
    }
}
