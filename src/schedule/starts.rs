//! The laps that a closed course asks for: one from every gear that its own end of braking can leave
//! in, repeated until the shift under way at the line is the one that the lap before has left.

use super::labels::{Label, NOTHING};
use super::plan::Change;
use super::search::Sweep;
use crate::lap::LapError;

/// Rounds in which a shift under way at the line of a flying lap may settle.
const SETTLE: usize = 4;

/// The best lap that closes in gear.
pub(super) struct Closed {
    pub(super) time: f64,
    pub(super) start_gear: usize,
    pub(super) changes: Vec<Change>,
}

/// Which laps are still to be driven, and the best so far.
pub(super) struct Starts {
    /// Speed squared at the line, m²/s².
    z: f64,
    /// Gears not yet started in, a bit each.
    untried: u16,
    /// Where no lap closes they may begin at another end of braking.
    may_move: bool,
    /// Seconds of a shift left at the line, and the rounds of the gear under way.
    under_way: Option<(f64, usize)>,
    best: Option<Closed>,
    rest: Option<LapError>,
}

impl Starts {
    /// Laps from where braking ends at a speed squared, m²/s².
    pub(super) fn new(sweep: &mut Sweep, z: f64) -> Self {
        Self {
            z,
            untried: sweep.exits(z, sweep.ride.first_cell),
            may_move: false,
            under_way: None,
            best: None,
            rest: None,
        }
    }

    /// Laps from where braking ends slowest; where none brakes there, from the slowest end of braking
    /// that they do reach.
    pub(super) fn anywhere(sweep: &mut Sweep) -> Self {
        let z = sweep.ride.limits.z_before(sweep.ride.first_cell);
        Self {
            may_move: true,
            ..Self::new(sweep, z)
        }
    }

    fn moves(&mut self, sweep: &mut Sweep) {
        let stuck = self.best.is_none() && self.rest.is_none();
        if let Some((_, cell)) = sweep.slowest.filter(|_| self.may_move && stuck) {
            sweep.ride.first_cell = cell;
            *self = Self::anywhere(sweep);
        }
        self.may_move = false;
    }

    /// The start of the next lap to be swept; nothing when all have been.
    pub(super) fn next(&mut self, sweep: &mut Sweep) -> Option<Label> {
        if self.under_way.is_none() && self.untried == 0 {
            self.moves(sweep);
        }
        let (shift_left, _) = match self.under_way {
            Some(under_way) => under_way,
            None if self.untried == 0 => return None,
            None => {
                sweep.start_gear = self.untried.trailing_zeros() as usize;
                self.untried &= self.untried - 1;
                *self.under_way.insert((0.0, 0))
            }
        };
        sweep.memory.book.clear();
        let state = sweep.leaving(self.z, sweep.start_gear, shift_left);
        Some(sweep.label(state, 0.0, NOTHING))
    }

    /// Takes what came of the lap last begun, whose labels the sweep still holds.
    pub(super) fn ran(&mut self, sweep: &mut Sweep, ran: Result<(), LapError>) {
        let Some((shift_left, rounds)) = self.under_way.take() else {
            return;
        };
        if let Err(error) = ran {
            self.rest = Some(error);
            return;
        }
        let level = sweep.level[sweep.start_gear];
        let left = |l: &Label| (level - l.level).max(0.0);
        let whole = |l: &Label| l.time + left(l);
        let braked = sweep.memory.now.iter().filter(|l| l.braking);
        let Some(end) = braked.min_by(|a, b| whole(a).total_cmp(&whole(b))) else {
            return;
        };
        if (left(end) - shift_left).abs() >= 1e-12 && rounds + 1 < SETTLE {
            self.under_way = Some((left(end), rounds + 1));
            return;
        }
        let time = end.time;
        if let Some(found) = &mut sweep.found {
            found.start(sweep.ride.first_cell, sweep.start_gear, time);
        }
        if self.best.as_ref().is_none_or(|best| time < best.time) {
            sweep.best_start = Some(sweep.start_gear);
            self.best = Some(Closed {
                time,
                start_gear: sweep.start_gear,
                changes: sweep.memory.book.trace(end.last),
            });
            let memory = &mut *sweep.memory;
            std::mem::swap(&mut memory.best, &mut memory.passed);
        }
    }

    /// The best lap; nothing where no lap that begins where braking ends also ends there.
    ///
    /// # Errors
    /// A car that comes to rest on every one.
    pub(super) fn best(self) -> Result<Option<Closed>, LapError> {
        match (self.best, self.rest) {
            (None, Some(error)) => Err(error),
            (best, _) => Ok(best),
        }
    }
}
