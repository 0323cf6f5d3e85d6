//! Events as the laps that make them up.

use super::super::roads::{Shuffled, laid_out};
use super::super::run::{Outcome, VenueRun, road};
use super::super::{Engines, Entry, Study};
use crate::lap::Cells;
use crate::schedule::grade::Graded;
use crate::venue::{Condition, Course, Start};

/// One lap or run that an event asks for, and how much its seconds count.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// Index of the study's entry.
    pub entry: usize,
    /// What is driven: the venue in one of its states, the first lap of a race from rest.
    pub driven: Entry,
    /// Seconds of the season per second of it.
    pub factor: f64,
    /// The state of the venue.
    pub condition: Option<Condition>,
}

/// All laps and runs of a season. A race is one lap from rest and the others flying; of `best_of`
/// runs one counts, all of them driven alike; an event in several states counts each by its chance.
pub fn legs(study: &Study) -> Vec<Leg> {
    study
        .entries
        .iter()
        .enumerate()
        .flat_map(|(index, entry)| of_entry(index, entry))
        .collect()
}

fn of_entry(index: usize, entry: &Entry) -> Vec<Leg> {
    let mut starts = Vec::new();
    match entry.laps {
        Some(laps) if entry.course.is_closed() => {
            starts.push((Start::Standing, 1.0));
            if laps > 1 {
                starts.push((Start::Flying, f64::from(laps - 1)));
            }
        }
        _ => starts.push((entry.course.start, 1.0)),
    }
    let states: Vec<Option<Condition>> = match &entry.course.conditions[..] {
        [] => vec![None],
        states => states.iter().cloned().map(Some).collect(),
    };
    let mut legs = Vec::new();
    for state in states
        .iter()
        .filter(|s| s.as_ref().is_none_or(|s| s.chance > 0.0))
    {
        for &(start, times) in &starts {
            let course = Course {
                start,
                ..entry.course.clone()
            };
            let driven = Entry {
                course: match state {
                    Some(state) => course.under(state),
                    None => course,
                },
                ..entry.clone()
            };
            let chance = state.as_ref().map_or(1.0, |state| state.chance);
            legs.push(Leg {
                entry: index,
                driven,
                factor: entry.weight * f64::from(entry.passes) * times * chance,
                condition: state.clone(),
            });
        }
    }
    legs
}

/// The roads of all legs, as an outcome without laps: what draws are driven on. A road is cut for the
/// venue as its surfaces say, so that speeds measured there belong to that grip, whatever the state.
/// A sketch has all its roads.
pub fn roads(study: &Study, engines: &Engines, legs: &[Leg]) -> Outcome {
    use rayon::prelude::*;
    let mut known: Vec<(usize, Start)> = Vec::new();
    let key = |leg: &Leg| (leg.entry, leg.driven.course.start);
    for leg in legs {
        if !known.contains(&key(leg)) {
            known.push(key(leg));
        }
    }
    let cut: Vec<(Result<Graded, _>, Vec<Shuffled>)> = known
        .par_iter()
        .map(|&(entry, start)| {
            let mut entry = study.entries[entry].clone();
            entry.course = entry.course.as_written();
            entry.course.start = start;
            let first = road(study, engines, &entry);
            let roads = match &first {
                Ok(first) => laid_out(study, engines, &entry, first),
                Err(_) => Vec::new(),
            };
            (first, roads)
        })
        .collect();
    let venues = legs
        .iter()
        .map(|leg| {
            let found = known.iter().position(|k| *k == key(leg)).unwrap_or(0);
            let (road, mut roads) = cut[found].clone();
            if let Some(state) = &leg.condition {
                for road in &mut roads {
                    road.entry.course = road.entry.course.under(state);
                }
            }
            VenueRun {
                length: road.as_ref().map_or(0.0, |r| Cells::length(&r.cells)),
                road,
                specs: Vec::new(),
                roads,
            }
        })
        .collect();
    Outcome {
        offered: Vec::new(),
        venues,
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::roads::{ROADS, shuffled};
    use super::super::super::tests::{engines, entry, study};
    use super::super::super::times::Plan;
    use super::super::answer::season_times;
    use super::super::fit::{Fit, Ground};
    use super::*;
    use crate::venue::builtin;
    use approx::assert_relative_eq;

    /// A sketch counts the mean of its roads, and the draws take them in turns.
    #[test]
    fn a_sketch_counts_all_its_roads() {
        let sketched = builtin::roads().into_iter().find(|c| c.sketch.is_some());
        let mut course = sketched.unwrap();
        course.conditions = Vec::new();
        let event = Entry {
            course,
            passes: 2,
            ..entry("tarmac")
        };
        let (study, engines) = (study(vec![event]), engines());
        let legs = legs(&study);
        let roads = roads(&study, &engines, &legs);
        let ground = Ground {
            study: &study,
            engines: &engines,
            legs: &legs,
            roads: &roads,
        };
        let first = road(&study, &engines, &study.entries[0]).unwrap();
        let each = shuffled(&study, &engines, &study.entries[0], &first);
        assert_eq!(each.len(), ROADS as usize);
        let sum: f64 = each.iter().map(|road| road.times[0].unwrap()).sum();
        let seconds = ground.seconds(&Fit::NOW)[0].unwrap();
        assert_relative_eq!(seconds, 2.0 * sum / ROADS as f64, max_relative = 1e-12);
        let plan = Plan {
            draws: 3,
            habitual: crate::study::draws::Habitual::NONE,
            ..Plan::default()
        };
        let drawn = season_times(&ground, &plan, || ());
        for (draw, road) in drawn.draws.iter().zip(&each) {
            let time = 2.0 * road.times[0].unwrap();
            assert_relative_eq!(draw[0].clone().unwrap(), time, max_relative = 0.02);
        }
    }
}
