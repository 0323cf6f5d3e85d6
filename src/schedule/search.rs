//! The sweep that finds the schedule.

use super::candidates::{Candidates, Choice, Places};
use super::labels::{Label, NOTHING, prune};
use super::memory::Memory;
use super::menu::{Menu, Offer};
use super::plan::{Change, ChangeKind, FollowSchedule, Found, Schedule};
use crate::lap::advance::{advance, lower_gear_pulls_more, must_brake, next_gear_pulls};
use crate::lap::drive::Ride;
use crate::lap::machine::MAX_GEARS;
use crate::lap::{Cells, Lap, LapError, Limits, Machine, NoTape, PlainRule, State, Tape, lap};
use crate::venue::Start;

/// Share of the lowest rpm below which a gear other than the lowest gives no force at all.
const NO_FORCE: f64 = 0.9;

/// Rounds in which a shift under way at the line of a flying lap may settle.
const SETTLE: usize = 4;

/// Finds the fastest schedule that a choice allows.
///
/// # Errors
/// As [`lap`]: a car that comes to rest under every plan, an entry too fast.
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
            return Ok(by_rule(machine, cells, *plain));
        }
    }
    let ride = Ride {
        machine,
        cells,
        limits,
        first_cell,
    };
    let places = match choice {
        Choice::AsDriven => None,
        Choice::AtBest => Some(Places::new(machine, cells, &tape.records)),
    };
    let mut memory = Memory::default();
    let mut sweep = Sweep::new(&ride, choice, places, &mut memory);
    let (start_gear, changes) = if cells.closed {
        let plain = plain?;
        match sweep.closed(plain.z_start)? {
            Some(closed) => (closed.start_gear, closed.changes),
            None => return Ok(by_rule(machine, cells, plain)),
        }
    } else {
        sweep.open()?;
        let earliest = &sweep.memory.now[0];
        (0, sweep.memory.book.trace(earliest.last))
    };
    let schedule = Schedule {
        first_cell,
        start_gear,
        changes,
        by_rule: false,
    };
    let mut driver = FollowSchedule::new(&schedule, cells.len());
    let lap = lap(machine, cells, limits, &mut driver, &mut NoTape)?;
    Ok(Found {
        lap,
        schedule,
        work: sweep.work,
    })
}

/// A lap that brakes nowhere has no corner to leave: the rule of thumb drives it.
fn by_rule(machine: &Machine, cells: &Cells, plain: Lap) -> Found {
    Found {
        lap: plain,
        schedule: Schedule {
            first_cell: plain.first_cell,
            start_gear: machine.lowest_gear_below_upshift(plain.z_start),
            changes: Vec::new(),
            by_rule: true,
        },
        work: cells.len(),
    }
}

/// The best lap that closes in gear.
pub(super) struct Closed {
    pub(super) time: f64,
    start_gear: usize,
    changes: Vec<Change>,
}

pub(super) struct Sweep<'a> {
    ride: &'a Ride<'a>,
    candidates: Candidates,
    places: Option<Places>,
    /// Shift time from first gear up to each.
    level: [f64; MAX_GEARS],
    /// What is worth trying; everything without one.
    pub(super) menu: Option<&'a Menu>,
    /// Writes down what turns out to be worth trying.
    pub(super) found: Option<Menu>,
    /// Nodes that the menu does not know.
    pub(super) strange: usize,
    pub(super) memory: &'a mut Memory,
    /// Gear in which the lap under way started.
    start_gear: usize,
    /// Gear in which the best closed lap so far did.
    best_start: Option<usize>,
    rest: Option<LapError>,
    pub(super) work: usize,
}

impl<'a> Sweep<'a> {
    pub(super) fn new(
        ride: &'a Ride<'a>,
        choice: Choice,
        places: Option<Places>,
        memory: &'a mut Memory,
    ) -> Self {
        let mut level = [0.0; MAX_GEARS];
        for k in 1..ride.machine.gears.len() {
            level[k] = level[k - 1] + ride.machine.gears[k - 1].shift_time;
        }
        Self {
            ride,
            candidates: Candidates::new(ride.machine, choice),
            places,
            level,
            menu: None,
            found: None,
            strange: 0,
            memory,
            start_gear: 0,
            best_start: None,
            rest: None,
            work: 0,
        }
    }

    /// From a standing or rolling start; leaves the labels at the finish, earliest first.
    pub(super) fn open(&mut self) -> Result<(), LapError> {
        let state = match self.ride.cells.start {
            Start::Rolling(v) => {
                State::in_gear(v * v, self.ride.machine.lowest_gear_below_upshift(v * v))
            }
            _ => State {
                launching: true,
                ..State::in_gear(0.0, 0)
            },
        };
        self.memory.book.clear();
        let label = self.label(state, 0.0, NOTHING);
        self.run(label)
    }

    /// A lap that closes in gear: it starts in a gear that its own end of braking can leave in.
    /// Nothing where no lap that begins where braking ends also ends there.
    pub(super) fn closed(&mut self, z: f64) -> Result<Option<Closed>, LapError> {
        let mut best: Option<Closed> = None;
        let mut rest = None;
        for exit in gears(self.exits(z, self.ride.first_cell)) {
            match self.closed_in(z, exit) {
                Ok(Some(closed)) => {
                    if let Some(found) = &mut self.found {
                        found.start(self.ride.first_cell, exit, closed.time);
                    }
                    if best.as_ref().is_none_or(|b| closed.time < b.time) {
                        self.best_start = Some(exit);
                        best = Some(closed);
                        let memory = &mut *self.memory;
                        std::mem::swap(&mut memory.best, &mut memory.passed);
                    }
                }
                Ok(None) => {}
                Err(error) => rest = Some(error),
            }
        }
        match (best, rest) {
            (Some(best), _) => Ok(Some(best)),
            (None, Some(error)) => Err(error),
            (None, None) => Ok(None),
        }
    }

    /// The best lap that starts in one gear, with the shift still under way at the line that the lap
    /// before left, as far as that settles; nothing where the lap does not end braking.
    fn closed_in(&mut self, z: f64, start_gear: usize) -> Result<Option<Closed>, LapError> {
        let mut shift_left = 0.0;
        let mut found = None;
        self.start_gear = start_gear;
        for _ in 0..SETTLE {
            self.memory.book.clear();
            self.run(self.label(self.leaving(z, start_gear, shift_left), 0.0, NOTHING))?;
            let level = self.level[start_gear];
            let left = |l: &Label| (level - l.level).max(0.0);
            let whole = |l: &Label| l.time + left(l);
            let braked = self.memory.now.iter().filter(|l| l.braking);
            let Some(end) = braked.min_by(|a, b| whole(a).total_cmp(&whole(b))) else {
                return Ok(None);
            };
            found = Some(Closed {
                time: end.time,
                start_gear,
                changes: self.memory.book.trace(end.last),
            });
            if (left(end) - shift_left).abs() < 1e-12 {
                break;
            }
            shift_left = left(end);
        }
        Ok(found)
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
        self.rest.take().unwrap_or(LapError::EmptyCourse)
    }

    fn label(&self, state: State, time: f64, last: u32) -> Label {
        let next = self.candidates.first_from(state.gear, state.z) as u8;
        Label {
            state,
            time,
            level: 0.0,
            braking: false,
            stayed: 0,
            next,
            last,
        }
    }

    /// Gears, a bit each, in which an end of braking at z before a cell may be left.
    fn exits(&mut self, z: f64, cell: usize) -> u16 {
        let machine = self.ride.machine;
        let top = machine.gears.len() - 1;
        let plain = machine.lowest_gear_below_upshift(z);
        let v = z.sqrt();
        let lowest_rpm = NO_FORCE * machine.lowest_rpm;
        let usable = (machine.lowest..=top)
            .filter(|&k| k == plain || z < machine.gears[k].z_limit)
            .filter(|&k| k <= plain || machine.gears[k].mode.c1 * v > lowest_rpm)
            .fold(0, |bits, k| bits | 1 << k);
        match self.menu.map(|menu| menu.exits(cell) & usable) {
            Some(0) => {
                self.strange += 1;
                usable
            }
            Some(known) => known,
            None => usable,
        }
    }

    /// Sweeps the lap; leaves the labels at its end, earliest first.
    fn run(&mut self, start: Label) -> Result<(), LapError> {
        let memory = &mut *self.memory;
        memory.now.clear();
        memory.stack.clear();
        memory.passed.clear();
        memory.now.push(start);
        let count = self.ride.cells.len();
        for done in 0..count {
            self.memory.next.clear();
            self.memory.ends.clear();
            let mut now = std::mem::take(&mut self.memory.now);
            self.work += now.len();
            for label in now.drain(..) {
                self.through_cell(label, done);
                while let Some(label) = self.memory.stack.pop() {
                    self.through_cell(label, done);
                }
            }
            let memory = &mut *self.memory;
            memory.now = std::mem::replace(&mut memory.next, now);
            if !memory.ends.is_empty() {
                if self.cannot_win(done + 1) {
                    self.memory.now.clear();
                    return Ok(());
                }
                self.stretch_ends(done + 1);
            }
            prune(&mut self.memory.now);
            if self.memory.now.is_empty() {
                return Err(self.at_rest());
            }
        }
        Ok(())
    }

    /// Whether the best closed lap so far came by this end of braking so much earlier that nothing
    /// from here on makes it good, not even that this lap may close in a lower gear.
    fn cannot_win(&mut self, done: usize) -> bool {
        let Some(level) = self.memory.passes(done) else {
            return false;
        };
        let Some(best_start) = self.best_start.filter(|_| self.found.is_none()) else {
            return false;
        };
        let closing = (self.level[best_start] - self.level[self.start_gear]).max(0.0);
        self.memory.was_passed_earlier(level, closing)
    }

    /// Labels at an end of braking: at the end of the lap they are kept, before it each splits into
    /// the gears to leave in.
    fn stretch_ends(&mut self, done: usize) {
        let mut ends = std::mem::take(&mut self.memory.ends);
        if let Some(found) = &mut self.found {
            found.stretch(self.ride, &self.memory.book, &ends, done);
        }
        if done == self.ride.cells.len() {
            self.memory.now.append(&mut ends);
        } else {
            self.leave(&mut ends, done);
            ends.clear();
        }
        self.memory.ends = ends;
    }

    /// Splits the labels at an end of braking into the gears to leave in.
    fn leave(&mut self, ends: &mut Vec<Label>, done: usize) {
        prune(ends);
        let z = ends[0].state.z;
        for exit in gears(self.exits(z, self.ride.cell(done))) {
            let mut least = f64::INFINITY;
            for end in ends.iter() {
                let left = (self.level[exit] - end.level).max(0.0);
                // Later ends are worth a label only if less of the shift is left.
                if left >= least {
                    continue;
                }
                least = left;
                let state = self.leaving(z, exit, left);
                let kind = ChangeKind::Exit;
                let last = self.memory.book.note(end.last, done, exit, kind);
                let label = self.label(state, end.time, last);
                self.memory.now.push(label);
            }
        }
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
            self.memory.ends.push(label);
        } else {
            label.state.done = 0.0;
            self.memory.next.push(label);
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
        if lower_gear_pulls_more(machine, cell, &state) {
            self.split(label, done, gear - 1, ChangeKind::Down(state.z));
        }
        if gear + 1 >= machine.gears.len() {
            return;
        }
        let candidate = self.candidates.at(gear, label.next as usize);
        if state.z >= candidate {
            // Refused where the next gear does not pull, and offered again where the road lets it.
            if next_gear_pulls(machine, cell, &state) {
                let offer = self.menu.map_or(Offer::Both, |menu| menu.offer(i, gear));
                self.strange += usize::from(offer == Offer::Unknown);
                label.next += 1;
                // At the present z: one refused at the candidate is made wherever it is offered again.
                self.split(label, done, gear + 1, ChangeKind::Up(state.z));
                if offer == Offer::Up {
                    *label = self.memory.stack.pop().expect("the label just split off");
                } else {
                    label.stayed |= 1 << gear;
                }
            }
        } else if at_start
            && done > 0
            && self.places.as_ref().is_some_and(|p| p.tries_at(i))
            && next_gear_pulls(machine, cell, &state)
        {
            self.split(label, done, gear + 1, ChangeKind::UpHere);
        }
    }

    fn split(&mut self, label: &Label, done: usize, to: usize, kind: ChangeKind) {
        let mut other = *label;
        other.state.begin_shift(self.ride.machine, to);
        other.next = self.candidates.first_from(to, other.state.z) as u8;
        other.last = self.memory.book.note(label.last, done, to, kind);
        self.memory.stack.push(other);
    }
}

/// The gears of a set of bits, rising.
fn gears(bits: u16) -> impl Iterator<Item = usize> {
    (0..MAX_GEARS).filter(move |k| bits >> k & 1 == 1)
}
