//! A lap driven by a schedule, with the state before each sub-step.

use std::cell::RefCell;

use crate::lap::{
    Arrival, Cell, Cells, Driver, Lap, LapError, Limits, Machine, Record, State, Tape, lap,
};
use crate::schedule::{FollowSchedule, Schedule};

/// What happened on a lap.
pub(super) struct Trace {
    pub lap: Lap,
    pub records: Vec<Record>,
    /// Before each record.
    pub before: Vec<Before>,
    /// The lap ends as it began; one that comes round only every few times does not.
    pub closes: bool,
}

/// Share of a speed squared within which a lap ends as it began.
const SAME: f64 = 1e-6;

/// The state of the car before a sub-step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Before {
    pub state: State,
    /// z at which the driver changes up, m²/s².
    pub stop: f64,
}

/// Follows a schedule and notes the state at every sub-step: the driver is asked for his next stop
/// just before each.
struct Watch<'a> {
    driver: FollowSchedule<'a>,
    seen: RefCell<Vec<Before>>,
}

impl Driver for Watch<'_> {
    fn exit(&mut self, machine: &Machine, arrival: &Arrival) -> usize {
        self.driver.exit(machine, arrival)
    }

    fn stop(&self, machine: &Machine, state: &State) -> f64 {
        let stop = self.driver.stop(machine, state);
        let state = *state;
        self.seen.borrow_mut().push(Before { state, stop });
        stop
    }

    fn change(
        &mut self,
        machine: &Machine,
        cell: &Cell,
        cells_done: usize,
        state: &State,
    ) -> Option<usize> {
        self.driver.change(machine, cell, cells_done, state)
    }
}

impl Trace {
    /// Drives a schedule.
    ///
    /// # Errors
    /// As [`lap`].
    pub(super) fn of(
        machine: &Machine,
        cells: &Cells,
        limits: &Limits,
        schedule: &Schedule,
    ) -> Result<Self, LapError> {
        let mut driver = Watch {
            driver: FollowSchedule::new(schedule, cells.len()),
            seen: RefCell::default(),
        };
        let mut tape = Tape::default();
        let lap = lap(machine, cells, limits, &mut driver, &mut tape)?;
        let mut before = driver.seen.into_inner();
        // A flying lap is driven until it repeats itself; the tape holds the last round.
        before.drain(..before.len() - tape.records.len());
        let ends = tape.records.first().zip(tape.records.last());
        let again = ends.is_some_and(|(a, b)| (a.z0 - b.z1).abs() <= SAME * a.z0);
        Ok(Self {
            closes: cells.closed && again,
            lap,
            records: tape.records,
            before,
        })
    }
}
