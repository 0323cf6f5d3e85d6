//! What an assumption could move: each input that was filled in is driven again at both ends of its
//! plausible range, and the change of the gap between the two quickest specs is measured; of a single
//! spec that of its time.

use rayon::prelude::*;

use super::engines::Engines;
use super::run::{Outcome, SpecRun, quick_time, variant};
use super::setup::Setup;
use super::vary::{Side, changes_road, vary};
use super::{Entry, Study, useful};
use crate::lap::Cells;

/// What an assumption could move.
#[derive(Debug, Clone, PartialEq)]
pub struct Moved {
    /// The key that was filled in.
    pub key: String,
    /// Index of the entry whose gap it moves most, measured against what is useful there.
    pub entry: usize,
    /// Largest change of the gap there, of a single spec of its time, s.
    pub by: f64,
    /// Indices of the entries where the order of the two quickest specs turns round.
    pub turns: Vec<usize>,
}

/// What each key could move, the largest first; keys that no lap depends on are left out.
pub fn moves(study: &Study, engines: &Engines, outcome: &Outcome, keys: &[&str]) -> Vec<Moved> {
    let courts: Vec<Option<Court>> = study
        .entries
        .par_iter()
        .enumerate()
        .map(|(index, entry)| match engines.list.len() {
            1 => Court::alone(outcome, index, entry),
            _ => Court::new(outcome, index, entry),
        })
        .collect();
    let mut found: Vec<(f64, Moved)> = keys
        .par_iter()
        .filter_map(|key| moved(study, engines, &courts, key))
        .collect();
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then_with(|| a.1.key.cmp(&b.1.key)));
    found.into_iter().map(|(_, moved)| moved).collect()
}

/// The two quickest specs of an entry and the road they are compared on; or a single one.
struct Court {
    entry: usize,
    quicker: usize,
    slower: Option<usize>,
    /// The gap, or the time of a single spec, s.
    gap: f64,
    cells: Cells,
    useful: f64,
}

impl Court {
    fn new(outcome: &Outcome, index: usize, entry: &Entry) -> Option<Self> {
        let venue = &outcome.venues[index];
        let order = venue.order(SpecRun::time);
        let (first, second) = (order.first()?, order.get(1)?);
        Some(Self {
            entry: index,
            quicker: first.0,
            slower: Some(second.0),
            gap: second.1 - first.1,
            cells: venue.road.as_ref().ok()?.cells.clone(),
            useful: useful(entry.course.kind, venue.length),
        })
    }

    fn alone(outcome: &Outcome, index: usize, entry: &Entry) -> Option<Self> {
        let venue = &outcome.venues[index];
        let only = *venue.order(SpecRun::time).first()?;
        Some(Self {
            entry: index,
            quicker: only.0,
            slower: None,
            gap: only.1,
            cells: venue.road.as_ref().ok()?.cells.clone(),
            useful: useful(entry.course.kind, venue.length),
        })
    }

    /// The road with other inputs, in cells cut at the same places.
    fn road_with(&self, study: &Study, engines: &Engines) -> Option<Cells> {
        let entry = &study.entries[self.entry];
        let fitted = variant(study, engines, entry, self.quicker, Setup::FITTED);
        let nominal = fitted.nominal(&entry.course).ok()?;
        Some(self.cells.on(&entry.course, nominal))
    }

    /// The gap or the time with other inputs on the same road; `None` where a lap cannot be driven.
    fn gap_with(&self, study: &Study, engines: &Engines, cells: &Cells) -> Option<f64> {
        let entry = &study.entries[self.entry];
        let drive = |spec| {
            let variant = variant(study, engines, entry, spec, Setup::FITTED);
            quick_time(&variant, entry, cells).ok()
        };
        let quicker = drive(self.quicker)?;
        match self.slower {
            Some(slower) => Some(drive(slower)? - quicker),
            None => Some(quicker),
        }
    }
}

fn moved(
    study: &Study,
    engines: &Engines,
    courts: &[Option<Court>],
    key: &str,
) -> Option<(f64, Moved)> {
    let mut worst: Option<(f64, usize, f64)> = None;
    let mut turns = Vec::new();
    for side in [Side::Low, Side::High] {
        let mut other = study.clone();
        if !vary(&mut other, key, side) {
            continue;
        }
        let engines = &engines.with_rev_limit(other.car.rev_limit_rpm);
        for court in courts.iter().flatten() {
            let entry = &other.entries[court.entry];
            let road = match changes_road(key) {
                true if study.entries[court.entry].course == entry.course => continue,
                true => court.road_with(&other, engines),
                false => None,
            };
            let Some(gap) = court.gap_with(&other, engines, road.as_ref().unwrap_or(&court.cells))
            else {
                continue;
            };
            let by = gap - court.gap;
            let size = by.abs() / court.useful;
            if worst.is_none_or(|(largest, ..)| size > largest) {
                worst = Some((size, court.entry, by));
            }
            if gap < 0.0 && !turns.contains(&court.entry) {
                turns.push(court.entry);
            }
        }
    }
    turns.sort_unstable();
    let (size, entry, by) = worst?;
    Some((
        size,
        Moved {
            key: key.to_owned(),
            entry,
            by,
            turns,
        },
    ))
}
