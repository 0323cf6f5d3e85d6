//! The sweep that finds the schedule.

use super::candidates::{Candidates, Choice, Places};
use super::labels::{Label, NOTHING, prune};
use super::memory::Memory;
use super::menu::Menu;
use super::plan::{ChangeKind, FollowSchedule, Found, Schedule};
use super::starts::{Closed, Starts};
use crate::lap::drive::Ride;
use crate::lap::lanes::{Lanes, NOWHERE};
use crate::lap::machine::MAX_GEARS;
use crate::lap::{Cells, Lap, LapError, Limits, Machine, NoTape, PlainRule, State, Tape, lap};
use crate::venue::Start;

/// Share of the lowest rpm below which a gear other than the lowest gives no force at all.
const NO_FORCE: f64 = 0.9;

/// Labels that make it worth while to step them in lanes.
const ENOUGH: usize = 3;

/// Finds the fastest schedule that a choice allows, and drives it: its time in seconds is that of the
/// lap driven. `limits` are those of this machine on these cells, as many lines as cells.
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
    let mut sweep = Sweep::new(ride, choice, places, &mut memory);
    let (start_gear, changes) = if cells.closed {
        let plain = plain?;
        let starts = Starts::new(&mut sweep, plain.z_start);
        match sweep.closed(starts)? {
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
    let found = Found {
        lap: lap(machine, cells, limits, &mut driver, &mut NoTape)?,
        schedule,
        work: sweep.work,
    };
    if choice == Choice::AtBest && sweep.too_many {
        // What was dropped may be what shifting at the light finds among fewer.
        let driven = search(machine, cells, limits, Choice::AsDriven)?;
        if driven.lap.time < found.lap.time {
            return Ok(driven);
        }
    }
    Ok(found)
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

/// A sweep of one lap.
pub(super) struct Sweep<'a> {
    pub(super) ride: Ride<'a>,
    pub(super) candidates: Candidates,
    pub(super) places: Option<Places>,
    /// Shift time from first gear up to each.
    pub(super) level: [f64; MAX_GEARS],
    /// What is worth trying; everything without one.
    pub(super) menu: Option<&'a Menu>,
    /// Writes down what turns out to be worth trying.
    pub(super) found: Option<Menu>,
    /// Nodes that the menu does not know.
    pub(super) strange: usize,
    pub(super) memory: &'a mut Memory,
    /// Gear in which the lap under way started.
    pub(super) start_gear: usize,
    /// Gear in which the best closed lap so far did.
    pub(super) best_start: Option<usize>,
    pub(super) rest: Option<LapError>,
    /// The slowest end of braking that was reached before the end of a lap: z and the cell after it.
    pub(super) slowest: Option<(f64, usize)>,
    /// Cells done of the lap under way, and the length of the next, m.
    pub(super) done: usize,
    pub(super) length: f64,
    pub(super) work: usize,
    /// There were more labels than are kept.
    pub(super) too_many: bool,
}

impl<'a> Sweep<'a> {
    pub(super) fn new(
        ride: Ride<'a>,
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
            slowest: None,
            done: 0,
            length: 0.0,
            work: 0,
            too_many: false,
        }
    }

    /// From a standing or rolling start; leaves the labels at the finish, earliest first.
    pub(super) fn open(&mut self) -> Result<(), LapError> {
        let start = self.start();
        self.run(start)
    }

    /// A standing or rolling start.
    pub(super) fn start(&mut self) -> Label {
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
        self.label(state, 0.0, NOTHING)
    }

    /// A lap that closes in gear: it starts in a gear that its own end of braking can leave in.
    /// Nothing where no lap that begins where braking ends also ends there.
    pub(super) fn closed(&mut self, mut starts: Starts) -> Result<Option<Closed>, LapError> {
        while let Some(start) = starts.next(self) {
            let ran = self.run(start);
            starts.ran(self, ran);
        }
        starts.best()
    }

    /// The state that leaves an end of braking in a gear.
    pub(super) fn leaving(&self, z: f64, exit: usize, shift_left: f64) -> State {
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

    pub(super) fn label(&self, state: State, time: f64, last: u32) -> Label {
        let next = self.candidates.first_from(state.gear, state.z) as u8;
        Label {
            state,
            time,
            level: 0.0,
            braking: false,
            stayed: 0,
            next,
            last,
            asked: false,
            mark: 0,
            lane: NOWHERE,
        }
    }

    /// Gears, a bit each, in which an end of braking at z before a cell may be left.
    pub(super) fn exits(&mut self, z: f64, cell: usize) -> u16 {
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
    pub(super) fn run(&mut self, start: Label) -> Result<(), LapError> {
        self.begin(start);
        let mut lanes: Option<Lanes> = None;
        loop {
            let goes_on = if self.memory.now.len() >= ENOUGH {
                let lanes = lanes.get_or_insert_with(|| {
                    let mut lanes = Lanes::default();
                    lanes.load(0, self.ride.machine);
                    lanes
                });
                lanes.vacate();
                let wanted = self.keep(lanes);
                lanes.want(wanted);
                self.enter(0, lanes);
                lanes.step();
                self.steps(Some(lanes))?
            } else {
                self.steps(None)?
            };
            if !goes_on {
                return Ok(());
            }
        }
    }

    /// Begins a sweep.
    pub(super) fn begin(&mut self, start: Label) {
        let memory = &mut *self.memory;
        memory.now.clear();
        memory.stack.clear();
        memory.passed.clear();
        memory.now.push(start);
        self.done = 0;
        self.work += 1;
        self.begins_cell();
    }

    /// Takes the labels a step further, as [`Self::pass`], and on to the next cell that is to be driven
    /// when all are there. False where the sweep is over.
    pub(super) fn steps(&mut self, lanes: Option<&Lanes>) -> Result<bool, LapError> {
        if !self.pass(lanes) {
            return Ok(true);
        }
        loop {
            if !self.ends_cell()? {
                return Ok(false);
            }
            if !self.begins_cell() {
                return Ok(true);
            }
        }
    }

    /// All labels are at the end of a cell; false where the sweep is over.
    fn ends_cell(&mut self) -> Result<bool, LapError> {
        let ends = self.ride.braking_ends(self.done);
        self.done += 1;
        if ends && self.memory.now.iter().any(|label| label.braking) {
            self.memory.ends.clear();
            let memory = &mut *self.memory;
            memory
                .ends
                .extend(memory.now.iter().filter(|label| label.braking));
            memory.now.retain(|label| !label.braking);
            if self.cannot_win(self.done) {
                self.memory.now.clear();
                return Ok(false);
            }
            self.stretch_ends(self.done);
        }
        self.prune(self.done);
        if self.memory.now.is_empty() {
            return Err(self.at_rest());
        }
        if self.done == self.ride.cells.len() {
            self.finishes();
            return Ok(false);
        }
        self.work += self.memory.now.len();
        Ok(true)
    }

    /// Drops needless labels; those that hardly were go into the menu.
    fn prune(&mut self, done: usize) {
        let memory = &mut *self.memory;
        let (ride, book) = (&self.ride, &memory.book);
        let found = &mut self.found;
        self.too_many |= prune(&mut memory.now, |label, better| {
            if let Some(found) = found {
                found.nearly(ride, book, label, better, done);
            }
        });
    }

    /// The last stretch of an open course may end without braking.
    fn finishes(&mut self) {
        let (ride, memory) = (&self.ride, &*self.memory);
        if let Some(found) = self.found.as_mut().filter(|_| !ride.cells.closed) {
            found.stretch(ride, &memory.book, &memory.now, ride.cells.len());
        }
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
            found.stretch(&self.ride, &self.memory.book, &ends, done);
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
        self.too_many |= prune(ends, |_, _| ());
        let z = ends[0].state.z;
        if self.slowest.is_none_or(|(slowest, _)| z < slowest) {
            self.slowest = Some((z, self.ride.cell(done)));
        }
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
}

/// The gears of a set of bits, rising.
pub(super) fn gears(bits: u16) -> impl Iterator<Item = usize> {
    (0..MAX_GEARS).filter(move |k| bits >> k & 1 == 1)
}
