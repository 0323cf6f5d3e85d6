//! How sure it is that the gearing that suits is quicker than the fitted one: both driven in the same draws.

use super::super::gains;
use super::super::run::Outcome;
use super::super::season::{Fit, Kind, Leg};
use super::super::times::{Plan, Times, drive};
use super::super::verdict::{Range, Word, word};
use super::super::{Engines, Setup, Study, useful};
use super::Suited;

/// What the draws say of a gearing beside the fitted one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sure {
    /// How sure it is.
    pub word: Word,
    /// Seconds that it wins.
    pub gain: Range,
    /// Share of the draws in which it is the quicker, 0 to 1.
    pub won: f64,
}

/// Venue by venue, whether too much of what lies between the two that are quickest with the gearing that suits them
/// was never measured, by the rule of a verdict: nobody knows there whose gearing is to be fitted.
pub fn not_measured(
    study: &Study,
    engines: &Engines,
    outcome: &Outcome,
    suited: &[Vec<Suited>],
) -> Vec<bool> {
    let guessed = |(index, suited): (usize, &Vec<Suited>)| {
        let (entry, venue) = (&study.entries[index], &outcome.venues[index]);
        let ([first, next, ..], Ok(road)) = (&suited[..], &venue.road) else {
            return false;
        };
        let useful = useful(entry.course.kind, venue.length);
        let (place, pair) = ((entry, &road.cells), (first.spec, next.spec));
        gains::not_measured(study, engines, place, pair, useful)
    };
    suited.iter().enumerate().map(guessed).collect()
}

/// Venue by venue, how sure it is that the quickest spec is quicker with the gearing that suits it than with the
/// fitted one; `None` where the fitted one suits, or one of the two can be driven in no draw. `guessed` says of each
/// venue whether who is quickest was [`not_measured`]. Only venues that `wanted` holds of are driven.
pub fn sure(
    study: &Study,
    engines: &Engines,
    (outcome, suited, guessed): (&Outcome, &[Vec<Suited>], &[bool]),
    plan: &Plan,
    wanted: impl Fn(usize) -> bool,
) -> Vec<Option<Sure>> {
    let first = |index: usize| suited[index].first();
    let turned = |index: &usize| {
        let best = first(*index).map(|one| outcome.offered[one.best]);
        best.is_some_and(|best| best != Setup::FITTED)
    };
    let venues: Vec<usize> = (0..suited.len())
        .filter(|&i| wanted(i))
        .filter(turned)
        .collect();
    if venues.is_empty() {
        return vec![None; suited.len()];
    }
    let driven = |venues: &[usize], setup| driven(study, engines, (outcome, venues), setup, plan);
    let now = driven(&venues, Setup::FITTED);
    let mut found = vec![None; suited.len()];
    let best = |index: usize| first(index).map(|one| one.best);
    let mut offered: Vec<usize> = venues.iter().filter_map(|&i| best(i)).collect();
    offered.sort_unstable();
    offered.dedup();
    for setup in offered {
        let own: Vec<usize> = venues
            .iter()
            .copied()
            .filter(|&i| best(i) == Some(setup))
            .collect();
        let with = driven(&own, outcome.offered[setup]);
        for (&index, with) in own.iter().zip(&with.venues) {
            let at = venues.iter().position(|&i| i == index).unwrap_or(0);
            let spec = first(index).map_or(0, |one| one.spec);
            let pairs = now.venues[at].draws.iter().zip(&with.draws);
            let gains = pairs
                .filter_map(|(a, b)| Some(a[spec].as_ref().ok()? - b[spec].as_ref().ok()?))
                .collect();
            let kind = study.entries[index].course.kind;
            found[index] = read(gains, useful(kind, outcome.venues[index].length));
            if let Some(sure) = found[index].as_mut().filter(|_| guessed[index]) {
                sure.word = Word::NotMeasured;
            }
        }
    }
    found
}

/// The times of some venues with a gearing in the car.
fn driven(
    study: &Study,
    engines: &Engines,
    (outcome, venues): (&Outcome, &[usize]),
    setup: Setup,
    plan: &Plan,
) -> Times {
    let fit = Fit::NOW
        .with(Kind::GearSet, setup.gearbox)
        .with(Kind::FinalDrive, setup.final_drive)
        .with(Kind::Tyre, setup.tyre);
    let legs: Vec<Leg> = venues
        .iter()
        .map(|&entry| Leg {
            entry,
            driven: study.entries[entry].clone(),
            factor: 1.0,
            condition: None,
        })
        .collect();
    let roads = Outcome {
        offered: vec![Setup::FITTED],
        venues: venues.iter().map(|&i| outcome.venues[i].clone()).collect(),
    };
    drive(&fit.study(study, &legs), engines, &roads, plan, || ())
}

fn read(gains: Vec<f64>, useful: f64) -> Option<Sure> {
    let share = |counts: &dyn Fn(f64) -> bool| {
        gains.iter().filter(|gain| counts(**gain)).count() as f64 / gains.len() as f64
    };
    let won = share(&|gain| gain > 0.0);
    let level = share(&|gain| gain.abs() < useful);
    let gain = Range::of(gains)?;
    Some(Sure {
        word: word(&gain, won, level),
        gain,
        won,
    })
}

#[cfg(test)]
mod tests {
    use super::super::super::run::run_with;
    use super::super::super::tests::{engines, entry, study};
    use super::super::suited;
    use super::*;

    #[test]
    fn gains_are_called_as_verdicts_are() {
        let of = |gains: [f64; 4]| {
            let all = (0..400).map(|i| gains[i % 4] + 1e-6 * i as f64).collect();
            read(all, 0.03).unwrap()
        };
        assert_eq!(of([0.2, 0.3, 0.25, 0.4]).word, Word::Clear);
        assert_eq!(of([-0.1, 0.2, 0.05, 0.15]).word, Word::TooClose);
        assert_eq!(of([-0.01, 0.02, 0.02, 0.01]).word, Word::NothingInIt);
        assert_eq!(of([-0.1, 0.2, 0.05, 0.15]).won, 0.75);
        assert_eq!(read(Vec::new(), 0.03), None);
    }

    /// With nothing unsure about the car, driver and notes the gain of every draw is near the nominal one.
    #[test]
    fn the_range_lies_about_the_nominal_gain() {
        let (mut study, engines) = (study(vec![entry("tarmac"), entry("tarmac")]), engines());
        let mut other = study.car.final_drive.clone();
        other.ratio *= 1.25;
        study.car.final_drive_options = vec![other];
        let outcome = run_with(&study, &engines, Setup::offered_on_tyres(&study.car));
        let suited: Vec<_> = (0..2)
            .map(|index| suited(&study, &engines, &outcome, index))
            .collect();
        let plan = Plan {
            draws: 60,
            habitual: crate::study::draws::Habitual::NONE,
            ..Plan::default()
        };
        let guessed = not_measured(&study, &engines, &outcome, &suited);
        assert_eq!(guessed, [false; 2]);
        let worked_out = (&outcome, &suited[..], &guessed[..]);
        let of = |wanted: fn(usize) -> bool| sure(&study, &engines, worked_out, &plan, wanted);
        let found = of(|_| true);
        let gain = suited[0][0].gain.unwrap();
        assert!(gain > 0.1, "{gain}");
        let one = found[0].unwrap();
        assert!((one.gain.median - gain).abs() < 0.05, "{one:?} {gain}");
        assert_eq!((one.word, one.won), (Word::Clear, 1.0));
        assert_eq!(found[1], found[0]);
        assert_eq!(of(|index| index == 1), [None, found[1]]);
    }
}
