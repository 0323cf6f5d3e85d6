//! What is said about a road by distance along it: surfaces, caps, crests, slopes, how much a line
//! opens the radii, names, sectors. A graded corner is as long as at a nominal grip there.

use super::pieces::CREST_LENGTH;
use super::{Bend, Course, Extent, Place, Section, Sector, plan};

/// A stretch of which something is said.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stretch {
    /// Where it begins, m along the road.
    pub from: f64,
    /// Where it ends, m along the road.
    pub to: f64,
    /// Its surface.
    pub surface: Option<usize>,
    /// A speed the driver will not pass on it, m/s.
    pub cap: Option<f64>,
    /// Its slope as a tangent, in place of what the source says.
    pub slope: Option<f64>,
    /// By how much the driver's line opens its radii.
    pub line_allowance: Option<f64>,
    /// What it is called.
    pub name: Option<String>,
}

/// What is said of a single place.
#[derive(Debug, Clone, PartialEq)]
pub enum Spot {
    /// A crest that the driver will not pass faster, m/s.
    Crest(f64),
    /// The name of the corner here.
    Name(String),
    /// The name of the sector that begins here.
    Sector(String),
}

/// Everything said along a road.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Along {
    /// Stretches; of two that overlap the later one goes on top.
    pub stretches: Vec<Stretch>,
    /// Places, m along the road.
    pub spots: Vec<(f64, Spot)>,
}

/// Why something cannot be said of a road.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum AlongError {
    /// A place beyond the road.
    #[error("{} is beyond the end of the road at {}", metres(*.at), metres(*.length))]
    Beyond {
        /// The place, m.
        at: f64,
        /// Length of the road, m.
        length: f64,
    },
}

/// A distance as people say it.
fn metres(at: f64) -> String {
    match at < 1000.0 {
        true => format!("{at:.0} m"),
        false => format!("{:.2} km", at / 1000.0),
    }
}

/// Places this near the end of the road are its end, m: people round.
const ROUNDED: f64 = 10.0;
/// A name finds the corner that is nearest within this distance, m.
const NAME_REACH: f64 = 60.0;

/// Length of a course as distances along it count, m.
pub fn course_length(course: &Course) -> f64 {
    Cut::new(course).length()
}

impl AlongError {
    /// What is wrong with a place of a road of this length, m.
    pub fn of(at: f64, length: f64) -> Option<Self> {
        (!(0.0..=length + ROUNDED).contains(&at)).then_some(Self::Beyond { at, length })
    }
}

impl Along {
    /// Whether nothing is said.
    pub fn is_empty(&self) -> bool {
        self.stretches.is_empty() && self.spots.is_empty()
    }

    /// Says it of a course.
    ///
    /// # Errors
    /// Places beyond the road.
    pub fn apply(&self, course: &mut Course) -> Result<(), AlongError> {
        if self.is_empty() {
            return Ok(());
        }
        let mut road = Cut::new(course);
        for stretch in &self.stretches {
            let place = stretch.name.as_ref().map(|name| {
                let corner = stretch.cap.is_some();
                course.places.push(Place {
                    name: name.clone(),
                    corner,
                    named: true,
                });
                course.places.len() - 1
            });
            for section in road.between(stretch.from, stretch.to)? {
                section.surface = stretch.surface.unwrap_or(section.surface);
                section.slope = stretch.slope.unwrap_or(section.slope);
                section.place = place.unwrap_or(section.place);
                if let (Bend::Radius { curvature }, Some(opened)) =
                    (&mut section.bend, stretch.line_allowance)
                {
                    *curvature /= opened;
                }
                section.cap = section
                    .cap
                    .into_iter()
                    .chain(stretch.cap)
                    .min_by(f64::total_cmp);
            }
        }
        let mut sectors: Vec<(f64, String)> = road.sectors(&course.sectors);
        for (at, spot) in &self.spots {
            match spot {
                Spot::Crest(speed) => {
                    let reach = 0.5 * CREST_LENGTH;
                    let at = road
                        .within(*at)?
                        .clamp(reach, (road.length() - reach).max(reach));
                    for section in road.between(at - reach, at + reach)? {
                        section.cap = section
                            .cap
                            .into_iter()
                            .chain([*speed])
                            .min_by(f64::total_cmp);
                    }
                }
                Spot::Name(name) => {
                    let place = road.corner_near(*at, &course.places)?;
                    course.places[place].name.clone_from(name);
                }
                Spot::Sector(name) => {
                    road.cut(*at)?;
                    sectors.push((*at, name.clone()));
                }
            }
        }
        sectors.sort_by(|a, b| a.0.total_cmp(&b.0));
        course.sectors = sectors
            .into_iter()
            .map(|(at, name)| Sector {
                name,
                first_section: road.index_at(at),
            })
            .collect();
        course.sections = road.sections;
        Ok(())
    }
}

/// Sections that can be cut at any distance.
struct Cut {
    sections: Vec<Section>,
    /// Distance of the start of each section and of the end, m.
    edges: Vec<f64>,
}

impl Cut {
    fn new(course: &Course) -> Self {
        let mut edges = vec![0.0];
        let mut at = 0.0;
        for section in &course.sections {
            at += plan::length(section, plan::lateral(course, section));
            edges.push(at);
        }
        Self {
            sections: course.sections.clone(),
            edges,
        }
    }

    fn length(&self) -> f64 {
        self.edges[self.edges.len() - 1]
    }

    fn sectors(&self, sectors: &[Sector]) -> Vec<(f64, String)> {
        sectors
            .iter()
            .map(|s| (self.edges[s.first_section], s.name.clone()))
            .collect()
    }

    fn within(&self, at: f64) -> Result<f64, AlongError> {
        let length = self.length();
        AlongError::of(at, length).map_or(Ok(at.min(length)), Err)
    }

    /// Makes an edge at a distance and gives its index.
    fn cut(&mut self, at: f64) -> Result<usize, AlongError> {
        let at = self.within(at)?;
        let next = self.edges.partition_point(|edge| *edge < at - 1e-6);
        if (self.edges[next] - at).abs() <= 1e-6 {
            return Ok(next);
        }
        let (from, to) = (self.edges[next - 1], self.edges[next]);
        let mut second = self.sections[next - 1].clone();
        let (before, after) = match second.extent {
            Extent::Length(_) => (Extent::Length(at - from), Extent::Length(to - at)),
            Extent::Turn(turn) => {
                let share = (at - from) / (to - from);
                (
                    Extent::Turn(share * turn),
                    Extent::Turn((1.0 - share) * turn),
                )
            }
        };
        self.sections[next - 1].extent = before;
        second.extent = after;
        self.sections.insert(next, second);
        self.edges.insert(next, at);
        Ok(next)
    }

    fn between(&mut self, from: f64, to: f64) -> Result<&mut [Section], AlongError> {
        let first = self.cut(from)?;
        let last = self.cut(to)?;
        Ok(&mut self.sections[first..last.max(first)])
    }

    fn index_at(&self, at: f64) -> usize {
        self.edges
            .partition_point(|edge| *edge < at - 1e-3)
            .min(self.sections.len() - 1)
    }

    /// The place of the corner at a distance or near it; of whatever is there, where none is near.
    fn corner_near(&self, at: f64, places: &[Place]) -> Result<usize, AlongError> {
        let at = self.within(at)?;
        let away = |i: usize| (self.edges[i] - at).max(at - self.edges[i + 1]).max(0.0);
        let is_corner = |i: &usize| {
            places
                .get(self.sections[*i].place)
                .is_some_and(|p| p.corner)
        };
        let nearest = (0..self.sections.len())
            .filter(is_corner)
            .min_by(|a, b| away(*a).total_cmp(&away(*b)))
            .filter(|i| away(*i) <= NAME_REACH);
        let here = self
            .edges
            .partition_point(|edge| *edge <= at)
            .clamp(1, self.sections.len())
            - 1;
        Ok(self.sections[nearest.unwrap_or(here)].place)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::venue::notes;
    use crate::venue::{EventKind, Surface, grades::Grades, pieces};
    use approx::assert_relative_eq;

    /// 100 m, a right of 66 km/h through 55° and 60 m, of which a nominal length is known.
    fn noted() -> Course {
        let pieces = notes::pieces("100 3R 60", &Grades::default(), None, &[]).unwrap();
        let layout = pieces::lay(&pieces).unwrap();
        Course {
            sections: layout.sections,
            places: layout.places,
            surfaces: vec![Surface::plain("tarmac"), Surface::plain("gravel")],
            ..Course::new("x", EventKind::Stage)
        }
    }

    #[test]
    fn a_graded_corner_is_cut_by_its_angle() {
        let mut course = noted();
        let lateral = plan::nominal_lateral(&course.surfaces[0]);
        let length = plan::length(&course.sections[1], lateral);
        let along = Along {
            stretches: vec![Stretch {
                from: 100.0 + 0.25 * length,
                to: 100.0 + length,
                surface: Some(1),
                ..Stretch::default()
            }],
            ..Along::default()
        };
        along.apply(&mut course).unwrap();
        assert_eq!(course.sections.len(), 4);
        let turns: Vec<f64> = course.sections[1..3]
            .iter()
            .map(|section| match section.extent {
                Extent::Turn(turn) => turn.to_degrees(),
                Extent::Length(_) => panic!("a turned angle"),
            })
            .collect();
        assert_relative_eq!(turns[0], 0.25 * 55.0, epsilon = 1e-9);
        assert_relative_eq!(turns[1], 0.75 * 55.0, epsilon = 1e-9);
        let surfaces: Vec<usize> = course.sections.iter().map(|s| s.surface).collect();
        assert_eq!(surfaces, [0, 0, 1, 0]);
    }

    #[test]
    fn a_line_opens_the_radii_of_its_stretch() {
        let bend = Section {
            extent: Extent::Length(100.0),
            bend: Bend::Radius { curvature: -0.02 },
            ..Section::default()
        };
        let mut course = Course {
            sections: vec![bend],
            ..Course::new("x", EventKind::Stage)
        };
        let along = Along {
            stretches: vec![Stretch {
                from: 0.0,
                to: 40.0,
                line_allowance: Some(1.25),
                ..Stretch::default()
            }],
            ..Along::default()
        };
        along.apply(&mut course).unwrap();
        let curvature = |i: usize| match course.sections[i].bend {
            Bend::Radius { curvature } => curvature,
            _ => 0.0,
        };
        assert_relative_eq!(curvature(0), -0.016, epsilon = 1e-12);
        assert_relative_eq!(curvature(1), -0.02, epsilon = 1e-12);
    }

    #[test]
    fn a_place_beyond_the_end_is_refused() {
        let along = Along {
            spots: vec![(900.0, Spot::Sector("late".into()))],
            ..Along::default()
        };
        let error = along.apply(&mut noted()).unwrap_err();
        assert!(
            error.to_string().starts_with("900 m is beyond the end"),
            "{error}"
        );
    }
}
