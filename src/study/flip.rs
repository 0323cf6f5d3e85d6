//! The flip line: on which kind of road one spec gives way to another, by typical corner speed and
//! typical straight. For a venue that nobody has measured.

use rayon::prelude::*;

use super::engines::Engines;
use super::gains::not_measured;
use super::run::{road, time, variant};
use super::setup::Setup;
use super::{Entry, Study, useful};
use crate::lap::Cells;
use crate::venue::character::character;
use crate::venue::{EventKind, Surface, typical};

/// Typical corner speeds that are driven, km/h.
pub const SPEEDS: [f64; 8] = [32.0, 38.0, 45.0, 54.0, 64.0, 76.0, 90.0, 108.0];
/// Typical straights that are driven, m.
pub const STRAIGHTS: [f64; 8] = [30.0, 45.0, 70.0, 105.0, 155.0, 235.0, 350.0, 530.0];
/// How near a crossing is found, as a share of the straight.
const NEAR: f64 = 0.01;

/// A road of the map.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Typical corner speed, m/s.
    pub corner_speed: f64,
    /// Typical straight, m.
    pub straight: f64,
    /// By how much the first spec is quicker, s per km; `None` where one cannot be driven.
    pub gap: Option<f64>,
    /// Too much of what lies between the two comes from rpm that no pull of one of them reached, by the rule of a
    /// verdict.
    pub not_measured: bool,
}

/// A venue of the study on the map.
#[derive(Debug, Clone, PartialEq)]
pub struct Placed {
    /// Index of the entry.
    pub entry: usize,
    /// Its typical corner speed and straight, and the gap that the map has there.
    pub spot: Spot,
    /// The gap driven on its own road, s per km.
    pub driven: Option<f64>,
    /// As of a road of the map, on its own road.
    pub not_measured: bool,
}

/// The map of one trim.
#[derive(Debug, Clone, PartialEq)]
pub struct Map {
    /// The specs: the first less the second is what gaps mean.
    pub specs: (usize, usize),
    /// Index of the trim.
    pub trim: usize,
    /// The surface.
    pub surface: String,
    /// Roads by [`SPEEDS`], then [`STRAIGHTS`].
    pub spots: Vec<Spot>,
    /// Points where the lead changes hands, by corner speed, then straight.
    pub line: Vec<Spot>,
    /// The venues of the study that are driven in this trim.
    pub venues: Vec<Placed>,
    /// The smallest difference that anyone can use, s per km.
    pub useful: f64,
}

/// Draws the map of two specs in the trim of an entry: its surface, its driver's habits, no climb.
pub fn map(study: &Study, engines: &Engines, specs: (usize, usize), like: usize) -> Map {
    let ground = Ground::new(study, engines, specs, like);
    let roads: Vec<(f64, f64)> = SPEEDS
        .iter()
        .flat_map(|&speed| STRAIGHTS.map(|straight| (speed / 3.6, straight)))
        .collect();
    let spots: Vec<Spot> = roads
        .par_iter()
        .map(|&(speed, straight)| ground.spot(speed, straight))
        .collect();
    let trim = study.entries[like].trim;
    let name = &ground.surface.name;
    let state = study.entries[like].state();
    let venues = study.entries.par_iter().enumerate();
    Map {
        specs,
        trim,
        surface: state.map_or(name.clone(), |state| format!("{} {name}", state.name)),
        line: ground.line(&spots),
        venues: venues
            .filter(|(_, entry)| entry.trim == trim)
            .filter_map(|(index, _)| ground.placed(index))
            .collect(),
        spots,
        useful: useful(EventKind::Stage, 1000.0),
    }
}

struct Ground<'a> {
    study: &'a Study,
    engines: &'a Engines,
    specs: (usize, usize),
    like: &'a Entry,
    surface: Surface,
}

impl<'a> Ground<'a> {
    fn new(study: &'a Study, engines: &'a Engines, specs: (usize, usize), like: usize) -> Self {
        let like = &study.entries[like];
        Self {
            study,
            engines,
            specs,
            surface: main_surface(like),
            like,
        }
    }

    /// A road of the map.
    fn entry(&self, corner_speed: f64, straight: f64) -> Entry {
        let course = typical::road(corner_speed, straight, &self.surface);
        Entry {
            course: crate::venue::Course {
                air: self.like.course.air,
                air_density: self.like.course.air_density,
                ..course
            },
            ..self.like.clone()
        }
    }

    /// A road of the map, driven.
    fn spot(&self, corner_speed: f64, straight: f64) -> Spot {
        let entry = self.entry(corner_speed, straight);
        let (gap, not_measured) = self.measured(&entry, EventKind::Stage).unzip();
        Spot {
            corner_speed,
            straight,
            gap,
            not_measured: not_measured.unwrap_or(false),
        }
    }

    /// By how much the first spec is quicker, s per km, and the road.
    fn gap(&self, entry: &Entry) -> Option<(f64, Cells)> {
        let road = road(self.study, self.engines, entry).ok()?;
        let drive = |spec| {
            let variant = variant(self.study, self.engines, entry, spec, Setup::FITTED);
            time(&variant, entry, &road.cells).ok()
        };
        let gap = drive(self.specs.1)? - drive(self.specs.0)?;
        Some((1000.0 * gap / road.cells.length(), road.cells))
    }

    /// The gap, and whether too much of it was never measured for what anyone can use at such an event.
    fn measured(&self, entry: &Entry, kind: EventKind) -> Option<(f64, bool)> {
        let (gap, cells) = self.gap(entry)?;
        let useful = useful(kind, cells.length());
        let place = (entry, &cells);
        let guessed = not_measured(self.study, self.engines, place, self.specs, useful);
        Some((gap, guessed))
    }

    /// The crossings between neighbours, by bisection on the straight, then on the corner speed.
    fn line(&self, spots: &[Spot]) -> Vec<Spot> {
        let (rows, columns) = (SPEEDS.len(), STRAIGHTS.len());
        let mut pairs = Vec::new();
        for row in 0..rows {
            for column in 0..columns {
                let here = row * columns + column;
                if column + 1 < columns {
                    pairs.push((here, here + 1));
                }
                if row + 1 < rows {
                    pairs.push((here, here + columns));
                }
            }
        }
        let mut line: Vec<Spot> = pairs
            .par_iter()
            .filter_map(|&(a, b)| self.crossing(spots[a], spots[b]))
            .collect();
        line.sort_by(|a, b| {
            let by_speed = a.corner_speed.total_cmp(&b.corner_speed);
            by_speed.then(a.straight.total_cmp(&b.straight))
        });
        line
    }

    /// Where the lead changes hands between two roads; `None` where it does not.
    fn crossing(&self, mut from: Spot, mut to: Spot) -> Option<Spot> {
        if (from.gap? > 0.0) == (to.gap? > 0.0) {
            return None;
        }
        // Between two roads of which one hangs on a guess the line does too.
        let not_measured = from.not_measured || to.not_measured;
        let apart = |a: &Spot, b: &Spot| {
            (b.straight / a.straight - 1.0)
                .abs()
                .max((b.corner_speed / a.corner_speed - 1.0).abs())
        };
        while apart(&from, &to) > NEAR {
            let corner_speed = (from.corner_speed * to.corner_speed).sqrt();
            let straight = (from.straight * to.straight).sqrt();
            let (gap, _) = self.gap(&self.entry(corner_speed, straight)).unzip();
            let middle = Spot {
                corner_speed,
                straight,
                gap,
                not_measured,
            };
            if (middle.gap? > 0.0) == (from.gap? > 0.0) {
                from = middle;
            } else {
                to = middle;
            }
        }
        Some(Spot {
            corner_speed: (from.corner_speed * to.corner_speed).sqrt(),
            straight: (from.straight * to.straight).sqrt(),
            gap: Some(0.0),
            not_measured,
        })
    }

    fn placed(&self, index: usize) -> Option<Placed> {
        let entry = &self.study.entries[index];
        let found = character(&entry.course);
        let spot = self.spot(found.typical_corner_speed()?, found.typical_straight()?);
        let (driven, not_measured) = self.measured(entry, entry.course.kind).unzip();
        Some(Placed {
            entry: index,
            spot,
            driven,
            not_measured: not_measured.unwrap_or(false),
        })
    }
}

/// The surface that most of a venue lies on.
fn main_surface(entry: &Entry) -> Surface {
    let course = &entry.course;
    let along = |surface: usize| -> f64 {
        let on = course.sections.iter().filter(|s| s.surface == surface);
        on.filter_map(|s| s.length()).sum()
    };
    let most = (0..course.surfaces.len()).max_by(|&a, &b| along(a).total_cmp(&along(b)));
    course.surfaces[most.unwrap_or(0)].clone()
}

#[cfg(test)]
mod tests {
    use super::super::tests::{engines, entry, study};
    use super::*;
    use crate::dyno::Curve;

    /// Every point of the line has a road on either side, driven directly, whose winners differ.
    #[test]
    fn the_line_parts_the_winners() {
        let (study, engines) = (study(vec![entry("tarmac")]), engines());
        let found = map(&study, &engines, (0, 1), 0);
        assert!(found.line.len() > 3, "{:?}", found.line);
        let ground = Ground::new(&study, &engines, (0, 1), 0);
        for point in found.line.iter().step_by(found.line.len().div_ceil(4)) {
            let near = |by: f64| {
                [
                    ground
                        .spot(point.corner_speed, point.straight * by)
                        .gap
                        .unwrap()
                        > 0.0,
                    ground
                        .spot(point.corner_speed * by, point.straight)
                        .gap
                        .unwrap()
                        > 0.0,
                ]
            };
            let (below, above) = (near(0.97), near(1.03));
            assert!(below != above, "{point:?} {below:?} {above:?}");
        }
    }

    /// The second spec pulled from 5,000 rpm alone: what lies below decides on every road, of which the map of
    /// specs that were pulled over the same range says nothing.
    #[test]
    fn roads_that_hang_on_what_no_pull_reached_are_marked() {
        let (study, mut engines) = (study(vec![entry("tarmac")]), engines());
        let whole = map(&study, &engines, (0, 1), 0);
        let marked = |map: &Map| map.spots.iter().filter(|spot| spot.not_measured).count();
        assert_eq!(marked(&whole), 0);
        assert!(whole.venues.iter().all(|placed| !placed.not_measured));
        let points = engines.list[1].curve.points().filter(|p| p.0 >= 5000.0);
        let (rpm, torque) = points.unzip();
        engines.list[1].curve = Curve::new(rpm, torque).unwrap();
        let short = map(&study, &engines, (0, 1), 0);
        assert!(marked(&short) > short.spots.len() / 2, "{}", marked(&short));
        assert!(short.venues.iter().all(|placed| placed.not_measured));
        // The slowest corners and shortest straights keep the engine lowest.
        assert!(short.spots[0].not_measured);
    }

    #[test]
    fn specs_the_other_way_round_give_the_same_line() {
        let (study, engines) = (study(vec![entry("tarmac")]), engines());
        let one = map(&study, &engines, (0, 1), 0);
        let other = map(&study, &engines, (1, 0), 0);
        assert_eq!(one.line.len(), other.line.len());
        for (a, b) in one.spots.iter().zip(&other.spots) {
            assert_eq!(a.gap.unwrap(), -b.gap.unwrap());
        }
    }
}
