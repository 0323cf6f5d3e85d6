//! The question: one car, one test day, venues, what may vary; and its answer.

pub mod accuracy;
pub mod assumed;
pub mod break_even;
pub mod certainty;
pub mod corners;
pub mod drawn;
pub mod draws;
pub mod driving;
pub mod drops;
pub mod engines;
pub mod figures;
pub mod first_gear;
pub mod flip;
pub mod gains;
pub mod gearing;
pub mod grading;
pub mod ideal;
pub mod known;
pub mod reading;
pub mod results;
pub mod roads;
pub mod run;
pub mod runs;
pub mod schedules;
pub mod season;
pub mod settle;
pub mod setup;
pub mod state_grip;
pub mod times;
pub mod trade_offs;
pub mod unmeasured;
pub mod usual;
pub mod vary;
pub mod verdict;

pub use certainty::{Certainty, certainties};
pub use engines::{Engines, SpecCurve, Told};
pub use gains::{BandGain, BandGains};
pub use reading::Reading;
pub use run::{Outcome, SpecRun, VenueRun, run};
pub use settle::Settle;
pub use setup::Setup;
pub use times::{Plan, Times, VenueTimes};
pub use trade_offs::{TradeOff, TradeOffs};
pub use verdict::{Verdict, Word};

#[cfg(test)]
mod tests;

use crate::car::{Car, Habits};
use crate::dyno::TestDay;
use crate::venue::{Condition, Course, EventKind};
use draws::Habitual;
use season::Rules;

/// One venue of a study with everything that belongs to driving there.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Name for people: the venue's, or one that tells it from others of the study.
    pub name: String,
    /// What the study or its track calls it, whatever tells it from others.
    pub called: String,
    /// The venue, in its state where that is sure.
    pub course: Course,
    /// Index of the trim the car goes in.
    pub trim: usize,
    /// The driver's habits there.
    pub habits: Habits,
    /// How often a stage or run is driven.
    pub passes: u32,
    /// Laps of a race, the first one standing; `None` for one lap.
    pub laps: Option<u32>,
    /// Runs of which the best counts.
    pub best_of: u32,
    /// What a second here counts over the season.
    pub weight: f64,
    /// Nothing is changed between the event before and this one.
    pub sealed: bool,
}

impl Entry {
    /// The state that the venue is sure to be in, where it grips otherwise than its surfaces as written:
    /// the name tells it.
    pub fn state(&self) -> Option<&Condition> {
        let state = self.course.sure_state();
        state.filter(|state| state.factor != 1.0)
    }
}

/// A question to answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Study {
    /// Name for people.
    pub name: String,
    /// The car.
    pub car: Car,
    /// The test day with its specs.
    pub test_day: TestDay,
    /// Indices of the specs to compare.
    pub compared: Vec<usize>,
    /// Venues in the order of the file.
    pub entries: Vec<Entry>,
    /// How unsure driver and notes are.
    pub habitual: Habitual,
    /// What holds for the whole season.
    pub rules: Rules,
}

/// The smallest difference that anyone can use, s: 0.02 s a kilometre on a stage, 0.03 s a lap or
/// run elsewhere (common practice, no source). `length` in m.
pub fn useful(kind: EventKind, length: f64) -> f64 {
    match kind {
        EventKind::Stage => 0.02 * length / 1000.0,
        EventKind::Circuit | EventKind::Hillclimb | EventKind::Sprint => 0.03,
    }
}
