//! How sure the answer is, venue by venue.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::break_even::{BreakEven, break_even};
use super::engines::Engines;
use super::gains::not_measured;
use super::run::{Outcome, SpecRun, time, variant};
use super::settle::Settle;
use super::setup::Setup;
use super::times::{Plan, Times, VenueTimes};
use super::verdict::Verdict;
use super::{Study, useful};

/// What the draws say about one venue.
#[derive(Debug, Clone, PartialEq)]
pub struct Certainty {
    /// The verdict; `None` for fewer than two specs, or where no draw has all their times.
    pub verdict: Option<Verdict>,
    /// The same with the first pull after each change left out: the draws moved by what that moves
    /// the nominal times. `None` where no fitting has a pull to spare.
    pub without_first: Option<Verdict>,
    /// Why draws failed, each reason with their number.
    pub failed: BTreeMap<String, usize>,
    /// What would settle a verdict that is open.
    pub settle: Option<Settle>,
    /// What would turn the nominal order of the two quickest round, the quicker one first.
    pub break_even: Option<((usize, usize), BreakEven)>,
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
    let without = without_first(study, engines);
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
            let without_first = without
                .as_ref()
                .and_then(|other| court.moved(times, other))
                .and_then(|times| {
                    Verdict::of(&times, court.useful(), |a, b| court.is_guessed(a, b))
                });
            Certainty {
                verdict,
                without_first,
                failed: times.failed(),
                settle,
                break_even: court.break_even(),
            }
        })
        .collect()
}

/// The specs without the first pull of each fitting; `None` where that leaves out none.
fn without_first(study: &Study, engines: &Engines) -> Option<Engines> {
    let day = study.test_day.without_first_pulls();
    if day == study.test_day {
        return None;
    }
    let mut other = Engines::of(&day, &study.compared, study.car.rev_limit_rpm).ok()?;
    other.limit_rpm = engines.limit_rpm;
    Some(other)
}

impl Court<'_> {
    /// The draws moved by what other curves of the same specs change of the nominal times.
    fn moved(&self, times: &VenueTimes, other: &Engines) -> Option<VenueTimes> {
        let entry = &self.study.entries[self.index];
        let venue = &self.outcome.venues[self.index];
        let cells = &venue.road.as_ref().ok()?.cells;
        let by: Vec<f64> = (0..other.list.len())
            .map(|spec| {
                let variant = variant(self.study, other, entry, spec, Setup::FITTED);
                Some(time(&variant, entry, cells).ok()? - venue.specs[spec].time()?)
            })
            .collect::<Option<_>>()?;
        let draws = times.draws.iter().map(|draw| {
            let moved = draw.iter().zip(&by);
            moved.map(|(t, by)| t.clone().map(|t| t + by)).collect()
        });
        Some(VenueTimes {
            draws: draws.collect(),
        })
    }

    /// What would turn the nominal order round.
    fn break_even(&self) -> Option<((usize, usize), BreakEven)> {
        let venue = &self.outcome.venues[self.index];
        let order = venue.order(SpecRun::time);
        let pair = (order.first()?.0, order.get(1)?.0);
        let place = (
            &self.study.entries[self.index],
            &venue.road.as_ref().ok()?.cells,
        );
        Some((pair, break_even(self.study, self.engines, place, pair)))
    }

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
        let (place, pair) = ((entry, &road.cells), (first, second));
        not_measured(self.study, self.engines, place, pair, self.useful())
    }
}
