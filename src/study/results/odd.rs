//! Results that hardly belong together: of one road, further apart than runs of one driver are; or totals in the
//! place of times.

use rayon::prelude::*;

use super::{Reviewed, as_driven, place};
use crate::study::run::{cells, quick_time, variant};
use crate::study::season::EventResult;
use crate::study::usual::is_loose;
use crate::study::{Engines, Setup, Study};

/// How far two runs of one driver over one road in one state lie apart at most, ln of time over prediction, on paved
/// roads and on loose ones, which are swept clean pass by pass (common practice, no source).
const APART: (f64, f64) = (0.03, 0.06);
/// Times of its prediction above which a time is that of more than the road, and within which of it a stage lies
/// between two totals: drivers, grip and weather move a time by 10 to 15 %, and a total of two roads is half as long
/// again and more (common practice, no source).
const MORE: f64 = 1.3;
const NEAR: f64 = 0.15;
/// Times of its prediction above which a single one is asked about: nothing beside it says so (common practice, no
/// source).
const ALONE: f64 = 1.5;
/// How far off its prediction a time still says something of others, ln. It stands for [`Reviewed::counts`], which
/// drives all shares of the cornering limit: from a usual share to the least a road of corners takes a quarter longer.
const WITHIN: f64 = 0.25;

/// Of one road in one state, the run that is quickest beside its prediction and one that is much slower, by their
/// indices.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Apart {
    /// The quickest.
    pub quick: usize,
    /// The slower one.
    pub slow: usize,
    /// By how much it is slower, each beside its prediction, 0.03 for 3 %.
    pub by: f64,
}

/// What to ask about results.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Odd {
    /// Runs that lie far apart.
    pub apart: Vec<Apart>,
    /// Totals of one result after the other: the index of each with the time of its own road, s.
    pub totals: Vec<(usize, f64)>,
}

impl Odd {
    /// Whether there is nothing to ask.
    pub fn is_empty(&self) -> bool {
        self.apart.is_empty() && self.totals.is_empty()
    }

    /// Whether a result, by its index, is asked about.
    pub fn asks(&self, index: usize) -> bool {
        let apart = self.apart.iter().any(|apart| apart.slow == index);
        apart || self.totals.iter().any(|(total, _)| *total == index)
    }
}

/// A result with what it is set beside.
#[derive(Debug, Clone, Copy)]
struct Done<'a> {
    index: usize,
    result: &'a EventResult,
    predicted: f64,
}

impl Done<'_> {
    /// ln of its time over its prediction.
    fn off(&self) -> f64 {
        (self.result.time / self.predicted).ln()
    }
}

/// Of results that were looked at.
pub(super) fn among(study: &Study, events: &[Reviewed]) -> Odd {
    let done = events.iter().enumerate().filter_map(|(index, event)| {
        Some(Done {
            index,
            result: &event.result,
            predicted: event.predicted?,
        })
    });
    odd(study, done, |done| events[done.index].counts())
}

/// The same without a look at anything else.
pub fn of(study: &Study, engines: &Engines) -> Odd {
    let results = study.rules.results.par_iter().enumerate();
    let done: Vec<Done> = results
        .filter_map(|(index, result)| {
            let road = cells(study, engines, &study.entries[result.entry]).ok()?;
            let entry = as_driven(study, result);
            let variant = variant(study, engines, &entry, result.spec, Setup::FITTED);
            Some(Done {
                index,
                result,
                predicted: quick_time(&variant, &entry, &road).ok()?,
            })
        })
        .collect();
    odd(study, done.into_iter(), |done| done.off().abs() < WITHIN)
}

fn odd<'a>(
    study: &Study,
    done: impl Iterator<Item = Done<'a>>,
    says: impl Fn(&Done) -> bool,
) -> Odd {
    let counting: Vec<Done> = done
        .filter(|done| done.result.set_aside.is_none())
        .collect();
    let totals = totals(&counting);
    let total = |done: &Done| totals.iter().any(|(index, _)| *index == done.index);
    let alone: Vec<Done> = counting
        .iter()
        .copied()
        .filter(|done| says(done) && !total(done))
        .collect();
    Odd {
        apart: apart(study, &alone),
        totals,
    }
}

fn apart(study: &Study, done: &[Done]) -> Vec<Apart> {
    let place = |done: &Done| place(study, done.result);
    let slower = |slow: &Done| {
        let alike = done.iter().filter(|other| place(other) == place(slow));
        let quick = alike.min_by(|a, b| a.off().total_cmp(&b.off()))?;
        let by = slow.off() - quick.off();
        let surfaces = &study.entries[slow.result.entry].course.surfaces;
        let most = match surfaces.iter().any(|surface| is_loose(&surface.like)) {
            true => APART.1,
            false => APART.0,
        };
        (by > most).then(|| Apart {
            quick: quick.index,
            slow: slow.index,
            by: by.exp_m1(),
        })
    };
    done.iter().filter_map(slower).collect()
}

/// Results each of which is larger than the one before it by about what was predicted, and far above that itself: two
/// in a row, or one after a time that is as predicted.
fn totals(done: &[Done]) -> Vec<(usize, f64)> {
    let own = |pair: &[Done]| {
        let time = pair[1].result.time - pair[0].result.time;
        let near = time > 0.0 && (time / pair[1].predicted).ln().abs() < NEAR;
        (near && pair[1].off() > MORE.ln()).then_some((pair[1].index, time))
    };
    let found: Vec<Option<(usize, f64)>> = done.windows(2).map(own).collect();
    let told = |at: usize| {
        let beside = at.checked_sub(1).into_iter().chain([at + 1]);
        let mut beside = beside.filter_map(|i| found.get(i));
        let begins = done[at].off().abs() < NEAR && done[at + 1].off() > ALONE.ln();
        beside.any(Option::is_some) || begins
    };
    (0..found.len())
        .filter(|&at| told(at))
        .filter_map(|at| found[at])
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::super::tests::{entry, study};
    use super::*;

    /// What is asked of times at one venue or at two in turns, whose predictions are 280 s and 440 s.
    fn asked(surface: &str, times: &[(usize, f64)]) -> Odd {
        let study = study(vec![entry(surface), entry(surface)]);
        let results: Vec<EventResult> = times
            .iter()
            .map(|&(entry, time)| EventResult {
                entry,
                spec: 0,
                time,
                condition: None,
                set_aside: None,
            })
            .collect();
        let done = results.iter().enumerate().map(|(index, result)| Done {
            index,
            result,
            predicted: [280.0, 440.0][result.entry],
        });
        odd(&study, done, |done| done.off().abs() < WITHIN)
    }

    #[test]
    fn a_run_far_behind_the_others_is_asked_about() {
        let found = asked("tarmac", &[(0, 282.0), (0, 305.0), (0, 283.0), (1, 470.0)]);
        let [only] = found.apart[..] else {
            panic!("{found:?}");
        };
        assert_eq!((only.quick, only.slow), (0, 1));
        assert!((only.by - 23.0 / 282.0).abs() < 1e-12, "{only:?}");
        // The second pass of a road that is known by then, and a loose one that is swept.
        assert_eq!(asked("tarmac", &[(0, 288.0), (0, 281.0)]), Odd::default());
        assert_eq!(asked("gravel", &[(0, 294.0), (0, 281.0)]), Odd::default());
        assert_eq!(asked("gravel", &[(0, 305.0), (0, 281.0)]).apart.len(), 1);
    }

    /// As the study drives it: a result without a state is of the dry, by whatever name that has.
    #[test]
    fn a_result_without_a_state_is_one_of_the_dry() {
        let state = |name: &str, factor| crate::venue::Condition {
            name: name.to_owned(),
            chance: 0.5,
            factor,
            assumed: false,
        };
        let mut event = entry("tarmac");
        event.course.conditions = vec![state("dry", 1.0), state("wet", 0.7)];
        let study = study(vec![event]);
        let apart = |condition: &str| {
            let of = |time, condition: Option<&str>| EventResult {
                entry: 0,
                spec: 0,
                time,
                condition: condition.map(str::to_owned),
                set_aside: None,
            };
            let results = [of(282.0, None), of(305.0, Some(condition))];
            let done = results.iter().enumerate().map(|(index, result)| Done {
                index,
                result,
                predicted: 280.0,
            });
            odd(&study, done, |_| true).apart.len()
        };
        assert_eq!((apart("dry"), apart("wet")), (1, 0));
    }

    #[test]
    fn running_totals_are_told_from_times() {
        let found = asked(
            "tarmac",
            &[(0, 282.8), (1, 723.5), (0, 1004.6), (1, 1443.9)],
        );
        let of: Vec<usize> = found.totals.iter().map(|(index, _)| *index).collect();
        assert_eq!(of, [1, 2, 3]);
        for ((_, time), stage) in found.totals.iter().zip([440.7, 281.1, 439.3]) {
            assert!((time - stage).abs() < 1e-9, "{found:?}");
        }
        assert_eq!(found.apart, []);
        // Two results: a total after the first; a long delay is none.
        assert_eq!(asked("tarmac", &[(0, 282.8), (1, 723.5)]).totals.len(), 1);
        assert_eq!(asked("tarmac", &[(0, 282.8), (1, 590.0)]).totals, []);
        assert_eq!(
            asked("tarmac", &[(0, 282.8), (1, 441.0), (0, 281.0), (1, 439.0)]),
            Odd::default()
        );
        // Lists that begin amid an event.
        assert_eq!(
            asked("tarmac", &[(1, 2000.0), (0, 2281.0), (1, 2720.0)])
                .totals
                .len(),
            2
        );
    }
}
