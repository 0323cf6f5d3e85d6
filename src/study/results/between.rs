//! Gaps between specs that were driven otherwise than predicted: tyres, road, weather and driver are in them too.

use super::odd::Odd;
use super::{Reviewed, place};
use crate::study::Study;

/// Share of a time by which a driven gap may lie off the predicted one: drivers repeat themselves no better (common
/// practice, no source).
const APART: f64 = 0.005;

/// Two specs at one venue in one state.
#[derive(Debug, Clone, PartialEq)]
pub struct Between {
    /// Index of the entry.
    pub entry: usize,
    /// The state it was in.
    pub condition: Option<String>,
    /// The spec that was driven quicker, and the other.
    pub specs: (usize, usize),
    /// Runs with each.
    pub runs: (usize, usize),
    /// By how much it was quicker in the mean, s.
    pub driven: f64,
    /// By how much it is predicted to be, s.
    pub predicted: f64,
}

/// Runs of one spec: how many, and their mean driven and predicted times, s.
struct Runs {
    spec: usize,
    count: usize,
    driven: f64,
    predicted: f64,
}

/// Of the results that count, the gaps to the first spec driven at each venue in each state that are not as predicted.
pub(super) fn between(study: &Study, events: &[Reviewed], odd: &Odd) -> Vec<Between> {
    let asked = events.iter().enumerate();
    let counting = asked.filter(|(index, event)| event.counts() && !odd.asks(*index));
    let counting: Vec<&Reviewed> = counting.map(|(_, event)| event).collect();
    let place = |event: &Reviewed| place(study, &event.result);
    let mut places: Vec<(usize, Option<&str>)> =
        counting.iter().map(|event| place(event)).collect();
    places.sort_unstable();
    places.dedup();
    let at = |here: &(usize, Option<&str>)| {
        let own = counting.iter().filter(|event| place(event) == *here);
        let condition = own.clone().find_map(|event| event.result.condition.clone());
        gaps((here.0, condition), &by_spec(own.copied()))
    };
    places.iter().flat_map(at).collect()
}

/// Runs spec by spec, in the order in which they were first driven.
fn by_spec<'a>(events: impl Iterator<Item = &'a Reviewed>) -> Vec<Runs> {
    let mut found: Vec<Runs> = Vec::new();
    for event in events {
        let Some(predicted) = event.predicted else {
            continue;
        };
        let (spec, driven) = (event.result.spec, event.result.time);
        match found.iter_mut().find(|runs| runs.spec == spec) {
            Some(runs) => {
                runs.count += 1;
                let share = 1.0 / runs.count as f64;
                runs.driven += share * (driven - runs.driven);
                runs.predicted += share * (predicted - runs.predicted);
            }
            None => found.push(Runs {
                spec,
                count: 1,
                driven,
                predicted,
            }),
        }
    }
    found
}

fn gaps((entry, condition): (usize, Option<String>), runs: &[Runs]) -> Vec<Between> {
    let Some((first, others)) = runs.split_first() else {
        return Vec::new();
    };
    let gap = |other: &Runs| {
        let (quick, slow) = match first.driven <= other.driven {
            true => (first, other),
            false => (other, first),
        };
        let between = Between {
            entry,
            condition: condition.clone(),
            specs: (quick.spec, slow.spec),
            runs: (quick.count, slow.count),
            driven: slow.driven - quick.driven,
            predicted: slow.predicted - quick.predicted,
        };
        let off = (between.driven - between.predicted).abs();
        (off > APART * quick.predicted).then_some(between)
    };
    others.iter().filter_map(gap).collect()
}

#[cfg(test)]
mod tests {
    use super::super::{CornersBy, Fitted};
    use super::*;
    use crate::study::season::EventResult;
    use crate::study::tests::{entry, study};

    fn event(spec: usize, time: f64, predicted: f64) -> Reviewed {
        Reviewed {
            result: EventResult {
                entry: 0,
                spec,
                time,
                condition: None,
                set_aside: None,
            },
            predicted: Some(predicted),
            range: None,
            share: Fitted::Unknown,
            corners_by: CornersBy::Share,
            is_known: false,
            grip_assumed: false,
            state: None,
        }
    }

    #[test]
    fn gaps_are_of_means_and_of_every_spec_beside_the_first() {
        let study = study(vec![entry("tarmac")]);
        let events = [
            event(0, 101.0, 100.0),
            event(1, 100.1, 100.2),
            event(0, 102.0, 100.0),
            event(2, 101.7, 100.1),
        ];
        let found = between(&study, &events, &Odd::default());
        let [only] = &found[..] else {
            panic!("{found:?}");
        };
        // Spec 2 is as far behind its prediction as spec 0.
        assert_eq!((only.specs, only.runs), ((1, 0), (1, 2)));
        assert!((only.driven - 1.4).abs() < 1e-12 && (only.predicted + 0.2).abs() < 1e-12);
        let mut aside = events.clone();
        aside[1].result.set_aside = Some("old tyres".into());
        assert_eq!(between(&study, &aside, &Odd::default()), []);
        let total = Odd {
            totals: vec![(1, 0.0)],
            ..Odd::default()
        };
        assert_eq!(between(&study, &events, &total), []);
    }
}
