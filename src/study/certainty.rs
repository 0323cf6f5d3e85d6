//! How sure the answer is, venue by venue.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::engines::Engines;
use super::gains::BandGains;
use super::run::Outcome;
use super::settle::Settle;
use super::times::{Plan, Times};
use super::verdict::Verdict;
use super::{Study, useful};

/// What the draws say about one venue.
#[derive(Debug, Clone, PartialEq)]
pub struct Certainty {
    /// The verdict; `None` for fewer than two specs, or where no draw has all their times.
    pub verdict: Option<Verdict>,
    /// Why draws failed, each reason with their number.
    pub failed: BTreeMap<String, usize>,
    /// What would settle a verdict that is open.
    pub settle: Option<Settle>,
}

/// One venue of a study with everything that was worked out.
pub(super) struct Court<'a> {
    pub study: &'a Study,
    pub engines: &'a Engines,
    pub outcome: &'a Outcome,
    pub plan: &'a Plan,
    /// Index of the entry.
    pub index: usize,
}

/// Reads the times of all venues.
pub fn certainties(
    study: &Study,
    engines: &Engines,
    outcome: &Outcome,
    times: &Times,
) -> Vec<Certainty> {
    (0..study.entries.len())
        .into_par_iter()
        .map(|index| {
            let court = Court {
                study,
                engines,
                outcome,
                plan: &times.plan,
                index,
            };
            let times = &times.venues[index];
            let verdict = Verdict::of(times, court.useful(), |a, b| court.is_guessed(a, b));
            let settle = verdict
                .as_ref()
                .and_then(|verdict| Settle::of(&court, times, verdict));
            Certainty {
                verdict,
                failed: times.failed(),
                settle,
            }
        })
        .collect()
}

impl Court<'_> {
    fn useful(&self) -> f64 {
        let entry = &self.study.entries[self.index];
        useful(entry.course.kind, self.outcome.venues[self.index].length)
    }

    /// Whether too much of what lies between two specs comes from rpm that nobody measured.
    fn is_guessed(&self, first: usize, second: usize) -> bool {
        let entry = &self.study.entries[self.index];
        let Ok(road) = &self.outcome.venues[self.index].road else {
            return false;
        };
        let place = (entry, &road.cells);
        BandGains::between(self.study, self.engines, place, (first, second))
            .is_ok_and(|split| split.unmeasured().is_too_much(self.useful()))
    }
}
