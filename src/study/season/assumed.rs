//! What an assumption could move of a season: each input that was filled in is driven again at both ends of its
//! plausible range in every lap and run, and the change of what lies between two specs is measured.

use rayon::prelude::*;

use super::super::run::{quick_time, variant};
use super::super::setup::Setup;
use super::super::vary::{Side, changes_road, vary};
use super::super::{Engines, Entry, Study};
use super::answer::Season;
use super::fit::Ground;
use super::sure::usable;
use crate::lap::Cells;

/// What an assumption could move of a season.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonMoved {
    /// The key that was filled in.
    pub key: String,
    /// Largest change of what lies between the two specs, s as they count.
    pub by: f64,
    /// The other spec wins the season then.
    pub turns: bool,
    /// Indices of the entries where the order of the two turns round.
    pub turns_at: Vec<usize>,
}

/// By how many seconds of the season the first spec of `pair` is ahead of the second, leg by leg; `None` where
/// one cannot be driven. A sketch is driven on the one road that it is laid out as.
fn ahead(
    study: &Study,
    engines: &Engines,
    ground: &Ground,
    pair: (usize, usize),
    roads: bool,
) -> Option<Vec<f64>> {
    let legs = ground.legs.par_iter().zip(&ground.roads.venues);
    legs.zip(&study.entries)
        .map(|((leg, venue), entry)| {
            let cells = &venue.road.as_ref().ok()?.cells;
            let other = match roads && leg.driven.course != entry.course {
                true => {
                    let written = Entry {
                        course: entry.course.as_written(),
                        ..entry.clone()
                    };
                    let fitted = variant(study, engines, &written, pair.0, Setup::FITTED);
                    let nominal = fitted.nominal(&written.course).ok()?;
                    Some(cells.on(&written.course, nominal))
                }
                false => None,
            };
            let cells: &Cells = other.as_ref().unwrap_or(cells);
            let drive = |spec| {
                let variant = variant(study, engines, entry, spec, Setup::FITTED);
                quick_time(&variant, entry, cells).ok()
            };
            Some(leg.factor * (drive(pair.1)? - drive(pair.0)?))
        })
        .collect()
}

/// Seconds of legs by the entry that they belong to.
fn by_entry(ground: &Ground, legs: impl Iterator<Item = f64>) -> Vec<f64> {
    let mut sums = vec![0.0; ground.study.entries.len()];
    for (leg, seconds) in ground.legs.iter().zip(legs) {
        sums[leg.entry] += seconds;
    }
    sums
}

/// Whether the other of two wins by another value; where they are as good as level nothing is turned round.
fn turned(then: f64, now: f64, useful: f64) -> bool {
    then * now < 0.0 && (now - then).abs() >= useful
}

/// What each key could move of what lies between the leader of a season and the next, the largest first; keys that
/// no lap depends on are left out.
pub fn moves(ground: &Ground, season: &Season, keys: &[&str]) -> Vec<SeasonMoved> {
    let verdict = season.verdict.as_ref().map(|sure| &sure.verdict);
    verdict.map_or_else(Vec::new, |verdict| {
        between(ground, (verdict.leader, verdict.next), keys)
    })
}

/// The same of any two specs.
fn between(ground: &Ground, pair: (usize, usize), keys: &[&str]) -> Vec<SeasonMoved> {
    let nominal = Study {
        entries: ground.legs.iter().map(|leg| leg.driven.clone()).collect(),
        ..ground.study.clone()
    };
    let Some(legs) = ahead(&nominal, ground.engines, ground, pair, false) else {
        return Vec::new();
    };
    let gap: f64 = legs.iter().sum();
    let each = by_entry(ground, legs.into_iter());
    let roads = ground.legs.iter().zip(&ground.roads.venues);
    let usable = roads.map(|(leg, road)| usable(std::slice::from_ref(leg), [road]));
    let useful = by_entry(ground, usable);
    let moved = |key: &&str| -> Option<SeasonMoved> {
        let mut found: Option<SeasonMoved> = None;
        for side in [Side::Low, Side::High] {
            let mut other = nominal.clone();
            if !vary(&mut other, key, side) {
                continue;
            }
            let engines = ground.engines.with_rev_limit(other.car.rev_limit_rpm);
            let Some(legs) = ahead(&other, &engines, ground, pair, changes_road(key)) else {
                continue;
            };
            let now: f64 = legs.iter().sum();
            let moved = found.get_or_insert_with(|| SeasonMoved {
                key: (*key).to_owned(),
                by: 0.0,
                turns: false,
                turns_at: Vec::new(),
            });
            if (now - gap).abs() > moved.by.abs() {
                moved.by = now - gap;
            }
            moved.turns |= turned(gap, now, useful.iter().sum());
            let now = by_entry(ground, legs.into_iter());
            for (entry, (then, now)) in each.iter().zip(now).enumerate() {
                if turned(*then, now, useful[entry]) && !moved.turns_at.contains(&entry) {
                    moved.turns_at.push(entry);
                }
            }
        }
        found
    };
    let mut found: Vec<SeasonMoved> = keys.par_iter().filter_map(moved).collect();
    found.sort_by(|a, b| {
        let by = b.by.abs().total_cmp(&a.by.abs());
        by.then_with(|| a.key.cmp(&b.key))
    });
    found
}

#[cfg(test)]
mod tests {
    use super::super::super::assumed;
    use super::super::super::run;
    use super::super::super::tests::{engines, entry, study};
    use super::super::answer::season_useful;
    use super::super::legs::{legs, roads};
    use super::*;
    use approx::assert_relative_eq;

    /// A season of one event driven three times is moved by three times as much as the event.
    #[test]
    fn an_assumption_moves_a_season_by_as_often_as_an_event_counts() {
        let mut one = study(vec![entry("tarmac")]);
        let engines = engines();
        let outcome = run(&one, &engines);
        let order = outcome.venues[0].order(|spec| spec.time());
        let pair = (order[0].0, order[1].0);
        let keys = ["grip", "shift_time", "repeatability", "drag_area"];
        let events = assumed::moves(&one, &engines, &outcome, &keys);
        one.entries = vec![Entry {
            passes: 3,
            ..entry("tarmac")
        }];
        let legs = legs(&one);
        let roads = roads(&one, &engines, &legs);
        let ground = Ground {
            study: &one,
            engines: &engines,
            legs: &legs,
            roads: &roads,
        };
        let season = between(&ground, pair, &keys);
        assert_eq!(season.len(), 3);
        for moved in &season {
            let event = events.iter().find(|event| event.key == moved.key).unwrap();
            assert_relative_eq!(moved.by, 3.0 * event.by, epsilon = 1e-4);
            let turns = !event.turns.is_empty() && moved.by.abs() >= season_useful(&ground);
            assert_eq!(moved.turns, turns);
            assert_eq!(moved.turns_at.is_empty(), !moved.turns);
        }
        assert!(turned(0.4, -0.2, 0.6) && !turned(0.4, -0.1, 0.6) && !turned(0.4, 1.4, 0.6));
        assert!(
            season
                .windows(2)
                .all(|two| two[0].by.abs() >= two[1].by.abs())
        );
    }
}
