//! One lap as its driver drives it, with everything that readers of the tape need.

use super::Entry;
use super::reading::revs;
use crate::explain::runs::Side;
use crate::explain::{Driven, Revs};
use crate::lap::{self, Cells, Lap, LapError, Limits, Machine, Tape, Variant};
use crate::schedule::{Choice, FollowSchedule, Schedule, search};

/// A lap that was driven.
#[derive(Debug, Clone)]
pub struct Driving {
    /// The machine.
    pub machine: Machine,
    /// What the road allows it.
    pub limits: Limits,
    /// What was decided.
    pub schedule: Schedule,
    /// What happened.
    pub tape: Tape,
    /// Time and state of the lap.
    pub lap: Lap,
}

impl Driving {
    /// Drives a variant, its gears chosen as said.
    ///
    /// # Errors
    /// Why it cannot be driven.
    pub fn of(
        variant: &Variant,
        entry: &Entry,
        cells: &Cells,
        choice: Choice,
    ) -> Result<Self, LapError> {
        let machine = variant.compile(&entry.course)?;
        let limits = Limits::new(&machine, cells)?;
        let found = search(&machine, cells, &limits, choice)?;
        let mut driver = FollowSchedule::new(&found.schedule, cells.len());
        let mut tape = Tape::default();
        let lap = lap::lap(&machine, cells, &limits, &mut driver, &mut tape)?;
        Ok(Self {
            machine,
            limits,
            schedule: found.schedule,
            tape,
            lap,
        })
    }

    /// The lap with its machine, to set beside another.
    pub fn side(&self) -> Side<'_> {
        Side {
            machine: &self.machine,
            driven: Driven {
                schedule: &self.schedule,
                tape: &self.tape,
            },
        }
    }

    /// What its machine says about engine speed.
    pub fn revs(&self) -> Revs {
        revs(&self.machine)
    }
}
