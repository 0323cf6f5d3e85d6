//! The many roads that a sketch may be: each is driven, and each draw takes the next one.

use rayon::prelude::*;

use super::engines::Engines;
use super::grading::cells_like;
use super::run::{time, variant};
use super::setup::Setup;
use super::{Entry, Study};
use crate::car::Trim;
use crate::lap::{Cells, cornering};
use crate::schedule::grade::Graded;
use crate::venue::Course;
use crate::venue::sketch::SEED;

/// How many roads a sketch is shuffled into.
pub const ROADS: u64 = 40;

/// One road that has the counts of a sketch.
#[derive(Debug, Clone)]
pub struct Shuffled {
    /// The entry with this road.
    pub entry: Entry,
    /// The road in cells.
    pub cells: Cells,
    /// Seconds per spec as geared at the nominal inputs; `None` where it cannot be driven.
    pub times: Vec<Option<f64>>,
}

impl Shuffled {
    /// The road with the driver and the car of an entry.
    pub fn driven_as(&self, entry: &Entry) -> Entry {
        Entry {
            course: self.entry.course.clone(),
            ..entry.clone()
        }
    }
}

/// A course as a car with this trim goes round it: the corners of a sketch as long as they are to it and the usual
/// driver, any other course as it is.
#[must_use]
pub fn for_car(course: &Course, trim: &Trim) -> Course {
    let lateral = cornering(trim, &course.surfaces[0], course.kind.usual_share());
    lateral.map_or_else(|| course.clone(), |lateral| course.cornering_at(lateral))
}

/// The roads of an entry that comes from a sketch, the one it is laid out as first; none for another.
/// Roads that cannot be driven are left out.
pub fn shuffled(study: &Study, engines: &Engines, entry: &Entry, first: &Graded) -> Vec<Shuffled> {
    let mut roads = laid_out(study, engines, entry, first);
    roads.par_iter_mut().for_each(|road| {
        let drive = |spec| {
            let variant = variant(study, engines, &road.entry, spec, Setup::FITTED);
            time(&variant, &road.entry, &road.cells).ok()
        };
        road.times = (0..engines.list.len()).map(drive).collect();
    });
    roads
}

/// The same, not driven yet. All are cut into cells as the first one was graded: they have the same counts.
pub fn laid_out(study: &Study, engines: &Engines, entry: &Entry, first: &Graded) -> Vec<Shuffled> {
    if entry.course.sketch.is_none() {
        return Vec::new();
    }
    let numbers: Vec<u64> = (0..ROADS).collect();
    let roads = numbers.into_par_iter().filter_map(|number| {
        let course = match number {
            0 => entry.course.clone(),
            _ => entry.course.shuffled(SEED, number)?,
        };
        let entry = Entry {
            course,
            ..entry.clone()
        };
        let cells = match number {
            0 => first.cells.clone(),
            _ => cells_like(study, engines, &entry, first).ok()?,
        };
        Some(Shuffled {
            entry,
            cells,
            times: Vec::new(),
        })
    });
    roads.collect()
}

/// On how many of the roads each spec is the quickest by at least `useful` s, what anyone can use.
pub fn wins(roads: &[Shuffled], useful: f64) -> Vec<usize> {
    let specs = roads.first().map_or(0, |road| road.times.len());
    let mut wins = vec![0; specs];
    for road in roads {
        let mut order: Vec<(f64, usize)> = (road.times.iter().enumerate())
            .filter_map(|(spec, time)| time.map(|time| (time, spec)))
            .collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let [(first, spec), (second, _), ..] = order[..]
            && second - first >= useful
        {
            wins[spec] += 1;
        }
    }
    wins
}
