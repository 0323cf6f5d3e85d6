//! The plan of a course: where its sections lead, seen from above.

use super::{Bend, Course, Extent, Scales, Section, Surface};
use crate::units::STANDARD_GRAVITY;

/// A point of the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Distance along the road from the start, m.
    pub distance: f64,
    /// Along the first heading, m.
    pub x: f64,
    /// To the left of the first heading, m.
    pub y: f64,
    /// Height above the start, m.
    pub z: f64,
    /// Heading, rad, counter-clockwise from the first heading.
    pub heading: f64,
}

/// Where a course ends, seen from its start.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closure {
    /// How far its end is from its start on the map, m.
    pub gap: f64,
    /// Sum of the signed turned angles, rad, left positive.
    pub turned: f64,
    /// Height of its end above its start, m.
    pub rise: f64,
}

/// Grip of surfaces by name, the middle of what tyres for them reach (common practice, no source):
/// only for lengths and pictures where no car is at hand.
const NOMINAL_GRIP: [(&str, f64); 6] = [
    ("gravel", 0.6),
    ("dirt", 0.6),
    ("forest", 0.6),
    ("snow", 0.35),
    ("ice", 0.35),
    ("mud", 0.4),
];
/// Share of the limit speed that is driven, squared, on a usual day.
const NOMINAL_SHARE: f64 = 0.85;

/// Lateral acceleration that corners on a surface are driven at on a usual day, m/s².
pub fn nominal_lateral(surface: &Surface) -> f64 {
    let known = NOMINAL_GRIP
        .iter()
        .find(|(name, _)| surface.like.contains(name));
    known.map_or(1.0, |(_, grip)| *grip) * surface.factor * NOMINAL_SHARE * STANDARD_GRAVITY
}

/// Lateral acceleration that the speed of a section is taken to be driven at, m/s², by the surface it is known on.
pub fn lateral(course: &Course, section: &Section) -> f64 {
    let surface = course.surfaces.get(section.known_on());
    surface.map_or(8.0, nominal_lateral)
}

/// How many times as fast as where its speed is known a section is driven where it lies, at nominal grips; a speed of
/// the driver's own does not go with the grip.
pub fn carried(course: &Course, section: &Section) -> f64 {
    if let Bend::Measured {
        scales: Scales::Driver,
        ..
    } = section.bend
    {
        return 1.0;
    }
    let here = course.surfaces.get(section.surface);
    here.map_or(1.0, |here| {
        (nominal_lateral(here) / lateral(course, section)).sqrt()
    })
}

/// Curvature of a section, 1/m, left positive. `lateral` is the lateral acceleration, m/s², that a
/// measured speed is taken to be driven at: a nominal one, for pictures and lengths where no car is
/// at hand. Without a direction a measured corner is taken as straight on.
pub fn curvature(section: &Section, lateral: f64) -> f64 {
    if let Some(curvature) = section.seen_curvature {
        return curvature;
    }
    match section.bend {
        Bend::Straight => 0.0,
        Bend::Radius { curvature } => curvature,
        Bend::Measured {
            speed, direction, ..
        } => direction * lateral / (speed * speed),
    }
}

/// The tightest part of a corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tightest {
    /// Curvature of the gentlest of it, 1/m.
    pub curvature: f64,
    /// Its radius in the mean, m.
    pub radius: f64,
}

/// Share of a corner's turned angle that its tightest part turns.
const TIGHT_SHARE: f64 = 0.2;

/// The tightest of a corner's parts that together turn a fifth of it. Parts are curvature without
/// sign, 1/m, and length, m; `None` where nothing turns.
pub fn tightest(parts: impl Iterator<Item = (f64, f64)>) -> Option<Tightest> {
    let mut parts: Vec<(f64, f64)> = parts.collect();
    parts.sort_by(|a, b| b.0.total_cmp(&a.0));
    let turned: f64 = parts
        .iter()
        .map(|(curvature, length)| curvature * length)
        .sum();
    let (mut angle, mut reach) = (0.0, 0.0);
    for (curvature, length) in parts {
        angle += curvature * length;
        reach += length;
        if angle >= TIGHT_SHARE * turned && angle > 0.0 {
            let radius = reach / angle;
            return Some(Tightest { curvature, radius });
        }
    }
    None
}

/// Curvature of a section without its sign, 1/m, also where nobody said which way it goes.
pub fn tightness(section: &Section, lateral: f64) -> f64 {
    match section.bend {
        Bend::Measured {
            speed,
            direction: 0.0,
            ..
        } if section.seen_curvature.is_none() => lateral / (speed * speed),
        _ => curvature(section, lateral).abs(),
    }
}

/// Length of a corner, m, that turns by an angle, rad, at a speed, m/s, and a lateral acceleration, m/s².
pub fn turning(turn: f64, speed: f64, lateral: f64) -> f64 {
    turn * speed * speed / lateral
}

/// Length of a section, m, a measured speed being driven at `lateral` m/s².
pub fn length(section: &Section, lateral: f64) -> f64 {
    match (section.extent, section.bend) {
        (Extent::Length(length), _) => length,
        (Extent::Turn(turn), Bend::Measured { speed, .. }) => turning(turn, speed, lateral),
        (Extent::Turn(_), _) => 0.0,
    }
}

/// Walks the sections from the start heading along x, with a spot at every section's edge and
/// between them no farther apart than `spacing` m. Exact for arcs: a section is a circle seen from
/// above whose length is the road's times the cosine of its slope.
pub fn walk(sections: &[Section], lateral: f64, spacing: f64) -> Vec<Spot> {
    let mut spot = Spot {
        distance: 0.0,
        x: 0.0,
        y: 0.0,
        z: 0.0,
        heading: 0.0,
    };
    let mut spots = vec![spot];
    for section in sections {
        let whole = length(section, lateral);
        let curvature = curvature(section, lateral);
        let cos = 1.0 / section.slope.hypot(1.0);
        let count = (whole / spacing).ceil().max(1.0);
        for _ in 0..count as usize {
            spot = step(spot, whole / count, curvature, section.slope, cos);
            spots.push(spot);
        }
    }
    spots
}

/// One step of `road` m along the road. The turned angle is curvature times road length, so that a
/// written angle is what the plan turns by on any slope.
fn step(from: Spot, road: f64, curvature: f64, slope: f64, cos: f64) -> Spot {
    let turn = curvature * road;
    let flat = road * cos;
    let half = 0.5 * turn;
    // The chord of the arc is flat·sin(half)/half.
    let chord = if half.abs() < 1e-9 {
        flat
    } else {
        flat * half.sin() / half
    };
    let along = from.heading + half;
    Spot {
        distance: from.distance + road,
        x: from.x + chord * along.cos(),
        y: from.y + chord * along.sin(),
        z: from.z + flat * slope,
        heading: from.heading + turn,
    }
}

/// Where the sections lead. `None` where a corner does not say how far it turns: then its plan
/// depends on the car.
pub fn closure(sections: &[Section]) -> Option<Closure> {
    let known = sections
        .iter()
        .all(|s| s.seen_curvature.is_some() || !matches!(s.bend, Bend::Measured { .. }));
    known.then(|| {
        let spots = walk(sections, 1.0, f64::INFINITY);
        let end = spots[spots.len() - 1];
        Closure {
            gap: end.x.hypot(end.y),
            turned: end.heading,
            rise: end.z,
        }
    })
}

/// Sum of the signed turned angles, rad, left positive; `None` where a corner has no direction or
/// says only its speed and length.
pub fn turned(sections: &[Section]) -> Option<f64> {
    sections
        .iter()
        .map(|section| match (section.bend, section.extent) {
            (Bend::Straight, _) => Some(0.0),
            (Bend::Radius { curvature }, Extent::Length(length)) => Some(curvature * length),
            (Bend::Measured { direction, .. }, Extent::Turn(turn)) if direction != 0.0 => {
                Some(direction * turn)
            }
            _ => None,
        })
        .sum()
}

impl Course {
    /// Length along the road, m, measured corners being driven at a nominal `lateral` acceleration,
    /// m/s², where only their angle is known.
    pub fn nominal_length(&self, lateral: f64) -> f64 {
        self.sections
            .iter()
            .map(|section| length(section, lateral))
            .sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::venue::{EventKind, Surface};

    /// On gravel with 0.6 of the usual grip a speed goes with its root; a crest's is the driver's own.
    #[test]
    fn speeds_that_go_with_the_grip_are_carried_and_others_stay() {
        let of = |scales: Scales| {
            let section = Section {
                bend: Bend::Measured {
                    speed: 20.0,
                    direction: 1.0,
                    scales,
                },
                surface: 1,
                graded_on: Some(0),
                ..Section::default()
            };
            let course = Course {
                surfaces: vec![Surface::plain("tarmac"), Surface::plain("gravel")],
                sections: vec![section],
                ..Course::new("two surfaces", EventKind::Stage)
            };
            carried(&course, &course.sections[0])
        };
        let root = of(Scales::Grip);
        assert!((0.7..0.85).contains(&root), "{root}");
        assert_eq!(of(Scales::Usual), root);
        assert_eq!(of(Scales::Driver), 1.0);
    }
}
