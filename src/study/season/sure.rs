//! How sure the season is, and whether what decides it was measured.

use rayon::prelude::*;

use super::super::gains::BandGains;
use super::super::run::VenueRun;
use super::super::times::VenueTimes;
use super::super::unmeasured::Unmeasured;
use super::super::verdict::{Verdict, Word};
use super::super::{Engines, Study, useful};
use super::legs::Leg;

/// The verdict over all events as they count.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonVerdict {
    /// How sure.
    pub verdict: Verdict,
    /// How much of what lies between the leader and the next was never measured, each lap and run as
    /// often as it counts.
    pub unmeasured: Unmeasured,
    /// Entries where that is too much for a verdict of their own.
    pub not_measured_at: Vec<usize>,
}

/// The smallest difference over a season that anyone can use, s: that of every event, as often as it
/// counts.
pub(super) fn usable<'a>(legs: &[Leg], roads: impl IntoIterator<Item = &'a VenueRun>) -> f64 {
    let legs = legs.iter().zip(roads);
    legs.map(|(leg, road)| leg.factor * useful(leg.driven.course.kind, road.length))
        .sum()
}

/// Reads the seconds of a season, draw by draw. A venue's rule holds for the season's sum: it is *not
/// measured* where more than a fifth of what lies between the two, and more than anyone can use, comes
/// from engine speeds that no pull reached. So a venue that counts little does not unsay the others.
pub(super) fn read(
    study: &Study,
    engines: &Engines,
    (legs, roads): (&[Leg], &[&VenueRun]),
    times: &VenueTimes,
) -> Option<SeasonVerdict> {
    let useful = usable(legs, roads.iter().copied());
    let mut verdict = Verdict::of(times, useful, |_, _| false)?;
    let pair = (verdict.leader, verdict.next);
    let guessed: Vec<Unmeasured> = legs
        .par_iter()
        .zip(roads)
        .map(|(leg, road)| {
            let cells = road.road.as_ref().ok().map(|road| &road.cells);
            let split = cells.and_then(|cells| {
                BandGains::between(study, engines, (&leg.driven, cells), pair).ok()
            });
            split.map_or(Unmeasured::NONE, |split| split.unmeasured() * leg.factor)
        })
        .collect();
    let unmeasured: Unmeasured = guessed.iter().copied().sum();
    let of = |entry: usize| {
        let own = legs.iter().zip(&guessed).filter(|(l, _)| l.entry == entry);
        own.map(|(_, guessed)| *guessed).sum::<Unmeasured>()
    };
    let needed = |entry: usize| {
        let own = legs.iter().zip(roads).filter(|(l, _)| l.entry == entry);
        own.map(|(leg, road)| usable(std::slice::from_ref(leg), [*road]))
            .sum::<f64>()
    };
    if unmeasured.is_too_much(useful) {
        verdict.word = Word::NotMeasured;
    }
    Some(SeasonVerdict {
        verdict,
        unmeasured,
        not_measured_at: (0..study.entries.len())
            .filter(|&entry| of(entry).is_too_much(needed(entry)))
            .collect(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::super::tests::{engines, entry, study};
    use super::super::super::{Entry, run};
    use super::super::legs::legs;
    use super::*;
    use crate::dyno::Curve;
    use crate::venue::{Extent, Section, Start};

    /// A long straight from rest: little below 4,500 rpm but in first gear.
    fn fast(weight: f64) -> Entry {
        let straight = Section {
            extent: Extent::Length(3000.0),
            ..Section::default()
        };
        let mut fast = entry("tarmac");
        fast.course.sections = vec![straight];
        fast.course.start = Start::Standing;
        Entry { weight, ..fast }
    }

    /// Specs of which the second was pulled from 4,500 rpm alone, over roads that count so much.
    fn said(entries: Vec<Entry>) -> SeasonVerdict {
        let study = study(entries);
        let mut engines = engines();
        let points = engines.list[1].curve.points().filter(|p| p.0 >= 4500.0);
        let (rpm, torque) = points.unzip();
        engines.list[1].curve = Curve::new(rpm, torque).unwrap();
        let legs = legs(&study);
        let outcome = run(&study, &engines);
        let roads: Vec<&VenueRun> = legs.iter().map(|leg| &outcome.venues[leg.entry]).collect();
        let draw = |i: i32| vec![Ok(100.0), Ok(109.0 + f64::from(i) / 1000.0)];
        let times = VenueTimes {
            draws: (0..1000).map(draw).collect(),
        };
        read(&study, &engines, (&legs, &roads), &times).unwrap()
    }

    #[test]
    fn a_season_is_as_measured_as_what_it_hangs_on() {
        let lanes = |weight: f64| Entry {
            weight,
            ..entry("tarmac")
        };
        let alone = said(vec![lanes(1.0)]);
        assert_eq!(alone.verdict.word, Word::NotMeasured);
        assert_eq!(alone.not_measured_at, [0]);
        let mut nine: Vec<Entry> = (0..9).map(|_| fast(1.0)).collect();
        assert_eq!(said(nine.clone()).not_measured_at, [0; 0]);
        nine.push(lanes(0.3));
        let mostly = said(nine.clone());
        assert_eq!(mostly.verdict.word, Word::Clear);
        assert_eq!(mostly.not_measured_at, [9]);
        assert!(mostly.unmeasured.share() < 0.2, "{:?}", mostly.unmeasured);
        nine[9].weight = 30.0;
        let hardly = said(nine);
        assert_eq!(hardly.verdict.word, Word::NotMeasured);
        assert_eq!(hardly.not_measured_at, [9]);
        assert_eq!(hardly.verdict.gap, mostly.verdict.gap);
    }
}
