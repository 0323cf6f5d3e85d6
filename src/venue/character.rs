//! What a venue is like: its corners, its straights, its climb; and a fingerprint to compare venues
//! by.

use super::pieces::Side;
use super::{Bend, Course, Section, plan};

/// A corner of a course.
#[derive(Debug, Clone, PartialEq)]
pub struct Corner {
    /// Name of its place.
    pub name: String,
    /// Where it starts, m along the road.
    pub start: f64,
    /// Length, m.
    pub length: f64,
    /// Radius of its tightest fifth, by turned angle, m; nominal where only a speed is known.
    pub radius: f64,
    /// Turned angle, rad, positive.
    pub turned: f64,
    /// Which way, where that is known.
    pub side: Option<Side>,
    /// Speed at its apex at nominal grip, m/s, or as measured.
    pub speed: f64,
}

/// A stretch between two corners.
#[derive(Debug, Clone, PartialEq)]
pub struct Straight {
    /// Where it starts, m along the road.
    pub start: f64,
    /// Length, m.
    pub length: f64,
    /// The corner it leads to; `None` for the run to the finish.
    pub leads_to: Option<String>,
}

/// What a venue is like.
#[derive(Debug, Clone, PartialEq)]
pub struct Character {
    /// Length along the road, m; nominal where graded corners wait for the car.
    pub length: f64,
    /// Metres gained on the way up.
    pub climb: f64,
    /// Metres lost on the way down.
    pub descent: f64,
    /// Corners in driving order.
    pub corners: Vec<Corner>,
    /// Straights in driving order.
    pub straights: Vec<Straight>,
    /// Sum of the turned angles, rad.
    pub turned: f64,
}

/// Radii that corners are counted by, m: hairpins, squares, slow, middling, fast. A corner counts
/// where its radius is below the bound and not below the one before.
pub const RADII: [f64; 5] = [12.0, 20.0, 40.0, 100.0, f64::INFINITY];

/// What a venue is like.
pub fn character(course: &Course) -> Character {
    let mut out = Character {
        length: 0.0,
        climb: 0.0,
        descent: 0.0,
        corners: Vec::new(),
        straights: Vec::new(),
        turned: 0.0,
    };
    let mut open = Straight {
        start: 0.0,
        length: 0.0,
        leads_to: None,
    };
    let mut i = 0;
    while i < course.sections.len() {
        let place = course.sections[i].place;
        let same = course.sections[i..]
            .iter()
            .take_while(|s| s.place == place)
            .count();
        let sections = &course.sections[i..i + same];
        i += same;
        let length: f64 = sections.iter().map(|s| along(course, s)).sum();
        let is_corner = course.places.get(place).is_some_and(|p| p.corner);
        match corner(course, sections, place, out.length).filter(|_| is_corner) {
            Some(corner) => {
                open.leads_to = Some(corner.name.clone());
                if open.length > 0.0 {
                    out.straights.push(open);
                }
                open = Straight {
                    start: out.length + length,
                    length: 0.0,
                    leads_to: None,
                };
                out.turned += corner.turned;
                out.corners.push(corner);
            }
            None => open.length += length,
        }
        for section in sections {
            let rise = along(course, section) * section.slope / section.slope.hypot(1.0);
            out.climb += rise.max(0.0);
            out.descent += (-rise).max(0.0);
        }
        out.length += length;
    }
    join_ends(course, &mut out.straights, open);
    out
}

/// The last straight of a loop goes on in the first.
fn join_ends(course: &Course, straights: &mut Vec<Straight>, last: Straight) {
    if last.length == 0.0 {
        return;
    }
    match straights.first_mut() {
        Some(first) if course.is_closed() && first.start == 0.0 => {
            first.start = last.start;
            first.length += last.length;
        }
        _ => straights.push(last),
    }
}

fn along(course: &Course, section: &Section) -> f64 {
    plan::length(section, plan::lateral(course, section))
}

fn corner(course: &Course, sections: &[Section], place: usize, start: f64) -> Option<Corner> {
    let (mut length, mut turned, mut signed) = (0.0, 0.0, 0.0);
    let mut slowest = f64::INFINITY;
    let mut parts = Vec::with_capacity(sections.len());
    for section in sections {
        let lateral = plan::lateral(course, section);
        let own = plan::length(section, lateral);
        let (size, sign, speed) = match section.bend {
            Bend::Straight => (0.0, 0.0, f64::INFINITY),
            Bend::Radius { curvature } => (
                curvature.abs(),
                curvature.signum(),
                (lateral / curvature.abs()).sqrt(),
            ),
            Bend::Measured {
                speed, direction, ..
            } => (
                lateral / (speed * speed),
                direction,
                speed * plan::carried(course, section),
            ),
        };
        let seen = section.seen_curvature;
        let (size, sign) = seen.map_or((size, sign), |seen| (seen.abs(), seen.signum()));
        let speed = section.cap.map_or(speed, |cap| speed.min(cap));
        length += own;
        turned += size * own;
        signed += sign * size * own;
        if size > 0.0 {
            slowest = slowest.min(speed);
        }
        parts.push((size, own));
    }
    let radius = plan::tightest(parts.into_iter())?.radius;
    Some(Corner {
        name: course.places.get(place)?.name.clone(),
        start,
        length,
        radius,
        turned,
        side: match signed {
            s if s > 0.0 => Some(Side::Left),
            s if s < 0.0 => Some(Side::Right),
            _ => None,
        },
        speed: slowest,
    })
}

impl Character {
    /// Corners by radius, in the groups of [`RADII`].
    pub fn by_radius(&self) -> [usize; RADII.len()] {
        let mut counts = [0; RADII.len()];
        for corner in &self.corners {
            let group = RADII.iter().position(|bound| corner.radius < *bound);
            counts[group.unwrap_or(RADII.len() - 1)] += 1;
        }
        counts
    }

    /// The longest straight.
    pub fn longest(&self) -> Option<&Straight> {
        self.straights
            .iter()
            .max_by(|a, b| a.length.total_cmp(&b.length))
    }

    /// Speed of the corner in the middle of all by speed, m/s.
    pub fn typical_corner_speed(&self) -> Option<f64> {
        middle(self.corners.iter().map(|c| c.speed).collect())
    }

    /// Length of the straight in the middle of all by length, m.
    pub fn typical_straight(&self) -> Option<f64> {
        middle(self.straights.iter().map(|s| s.length).collect())
    }

    /// What tells this venue from others; see [`Fingerprint`].
    pub fn fingerprint(&self) -> Fingerprint {
        let kilometres = (self.length / 1000.0).max(1e-3);
        let bends: f64 = self.corners.iter().map(|c| c.length).sum();
        let tight = self.corners.iter().filter(|c| c.radius < RADII[1]).count();
        Fingerprint {
            corner_speed: self.typical_corner_speed().unwrap_or(0.0),
            straight: self.typical_straight().unwrap_or(self.length),
            longest: self.longest().map_or(0.0, |s| s.length),
            corners_per_km: self.corners.len() as f64 / kilometres,
            tight_per_km: tight as f64 / kilometres,
            cornering: bends / self.length.max(1.0),
            climb_per_km: (self.climb - self.descent) / kilometres,
        }
    }
}

fn middle(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let n = values.len();
    match n {
        0 => None,
        _ if n % 2 == 1 => Some(values[n / 2]),
        _ => Some(0.5 * (values[n / 2 - 1] + values[n / 2])),
    }
}

/// A few plain measures that venues are compared by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fingerprint {
    /// Typical corner speed, m/s.
    pub corner_speed: f64,
    /// Typical straight, m.
    pub straight: f64,
    /// Longest straight, m.
    pub longest: f64,
    /// Corners per kilometre.
    pub corners_per_km: f64,
    /// Corners of less than 20 m radius per kilometre.
    pub tight_per_km: f64,
    /// Share of the length that is corners.
    pub cornering: f64,
    /// Net climb, m per kilometre.
    pub climb_per_km: f64,
}

impl Fingerprint {
    /// How unlike another: 0 for the same, about 1 for a neighbour that a driver would call alike,
    /// more for others. Ratios count where sizes do, a factor of 1.5 being one step.
    pub fn distance(&self, other: &Fingerprint) -> f64 {
        let ratio = |a: f64, b: f64, floor: f64| (a.max(floor) / b.max(floor)).ln() / 1.5f64.ln();
        let parts = [
            ratio(self.corner_speed, other.corner_speed, 3.0),
            ratio(self.straight, other.straight, 20.0),
            ratio(self.longest, other.longest, 20.0),
            ratio(self.corners_per_km, other.corners_per_km, 0.5),
            (self.tight_per_km - other.tight_per_km) / 1.5,
            (self.cornering - other.cornering) / 0.15,
            (self.climb_per_km - other.climb_per_km) / 30.0,
        ];
        (parts.iter().map(|p| p * p).sum::<f64>() / parts.len() as f64).sqrt()
    }
}
