//! A driver's own scale of corners: how fast each grade is taken, and how far it turns.
//!
//! Every crew grades its own way; the default scale below is common practice, no source, and is
//! listed as assumed wherever it is used.

use super::pieces::{Form, Known, Piece, Side};
use super::{Extent, Scales, plan};
use crate::units::KILOMETRE_PER_HOUR;

/// Length of road that a bend taken flat stands for, m (common practice, no source).
pub const FLAT_LENGTH: f64 = 30.0;

/// How much farther a corner noted "long" turns (common practice, no source).
pub const LONG: f64 = 1.5;

/// How much less far a corner noted "short" turns (common practice, no source).
pub const SHORT: f64 = 0.6;

/// Radius of the last third of a corner noted "opens" over the radius before it.
pub const OPENS: f64 = 1.6;

/// One grade of a scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Grade {
    /// What the driver calls it: `hairpin`, `square`, `3`.
    pub name: String,
    /// Speed at the apex, m/s; `None` where it is taken flat.
    pub speed: Option<f64>,
    /// Turned angle where the note gives none, rad.
    pub turn: f64,
}

/// A scale of grades.
#[derive(Debug, Clone, PartialEq)]
pub struct Grades {
    /// The grades, in the order they were written.
    pub grades: Vec<Grade>,
    /// Whether this is the default scale rather than the driver's own.
    pub assumed: bool,
}

/// Name, apex speed in km/h and turned angle in degrees of the default scale.
const DEFAULT: [(&str, Option<f64>, f64); 7] = [
    ("hairpin", Some(28.0), 165.0),
    ("square", Some(44.0), 90.0),
    ("2", Some(52.0), 70.0),
    ("3", Some(66.0), 55.0),
    ("4", Some(84.0), 40.0),
    ("5", Some(105.0), 25.0),
    ("6", None, 15.0),
];

/// Length of a corner, m, that turns by an angle, rad, at a speed, m/s, and a lateral acceleration, m/s²; one that is
/// taken flat is a bit of road.
pub fn length(turn: f64, speed: Option<f64>, lateral: f64) -> f64 {
    speed.map_or(FLAT_LENGTH, |speed| plan::turning(turn, speed, lateral))
}

impl Default for Grades {
    fn default() -> Self {
        let grade = |&(name, speed, turn): &(&str, Option<f64>, f64)| Grade {
            name: name.to_owned(),
            speed: speed.map(|v| v * KILOMETRE_PER_HOUR),
            turn: turn.to_radians(),
        };
        Self {
            grades: DEFAULT.iter().map(grade).collect(),
            assumed: true,
        }
    }
}

impl Grades {
    /// The angle a grade turns by where nothing is said, rad; `None` for a name that the default
    /// scale does not have. A half, `3+`, turns as far as its grade.
    pub fn usual_turn(name: &str) -> Option<f64> {
        let name = name.trim_end_matches(['+', '-']);
        let found = DEFAULT.iter().find(|(known, _, _)| *known == name);
        found.map(|(_, _, turn)| turn.to_radians())
    }

    /// The angle that a corner of this apex speed, m/s, usually turns by, rad: between the grades of the
    /// default scale, whose slow corners turn far.
    pub fn turn_at(speed: f64) -> f64 {
        let usual =
            |&(_, v, turn): &(&str, Option<f64>, f64)| v.map(|v| (v * KILOMETRE_PER_HOUR, turn));
        let known: Vec<(f64, f64)> = DEFAULT.iter().filter_map(usual).collect();
        let after = known.partition_point(|(v, _)| *v <= speed);
        let turn = match (after.checked_sub(1).map(|i| known[i]), known.get(after)) {
            (Some((v, turn)), Some(next)) => turn + (speed - v) / (next.0 - v) * (next.1 - turn),
            (Some((_, turn)), None) | (None, Some(&(_, turn))) => turn,
            (None, None) => 0.0,
        };
        turn.to_radians()
    }

    /// Whether a scale of names and apex speeds, m/s, goes the way of the default one, so that its names
    /// say how far its corners turn: in some scales 6 is the tightest.
    pub fn is_usual_way(scale: &[(&str, f64)]) -> bool {
        let speed = |name: &str| scale.iter().find(|(own, _)| *own == name).map(|(_, v)| *v);
        let known: Vec<f64> = DEFAULT
            .iter()
            .filter_map(|(name, ..)| speed(name))
            .collect();
        known.len() > 1 && known.is_sorted()
    }

    /// The usual scale where there is so much of the grip that its speeds are usual at, so that a corner keeps
    /// its radius; a driver's own is for the surface as it is.
    #[must_use]
    pub fn at_grip(mut self, factor: f64) -> Self {
        if self.assumed {
            let speeds = self.grades.iter_mut().filter_map(|g| g.speed.as_mut());
            speeds.for_each(|speed| *speed *= factor.sqrt());
        }
        self
    }

    /// Whose speeds these are.
    pub fn scales(&self) -> Scales {
        match self.assumed {
            true => Scales::Usual,
            false => Scales::Grip,
        }
    }

    /// The corner that a grade notes: known by its apex speed, as long as its angle over its
    /// curvature. A flat grade is road without a limit.
    pub fn piece(&self, grade: &Grade, side: Option<Side>) -> Piece {
        let Some(speed) = grade.speed else {
            return Piece::straight(FLAT_LENGTH);
        };
        let corner = Piece::new(Form::Corner {
            known: Known::Apex {
                speed,
                extent: Extent::Turn(grade.turn),
                scales: self.scales(),
            },
            side,
            opens: 1.0,
            grade: Some(grade.name.clone()),
        });
        // A scale is that of the main surface, wherever the corner is.
        Piece {
            graded_on: Some(0),
            ..corner
        }
    }

    /// The grade of a name.
    pub fn get(&self, name: &str) -> Option<&Grade> {
        self.grades.iter().find(|grade| grade.name == name)
    }

    /// What a scale itself calls `3+` (`+1`) or `3-` (`−1`); else the grade a third of the way from `grade` to the
    /// next faster or slower one. The end of the scale has nothing beyond it and a flat grade nothing between.
    pub fn shaded(&self, grade: &Grade, toward: i32) -> Grade {
        let mark = if toward > 0 { '+' } else { '-' };
        if let Some(own) = self.get(&format!("{}{mark}", grade.name)) {
            return own.clone();
        }
        let Some(speed) = grade.speed else {
            return grade.clone();
        };
        let faster = |other: &f64| {
            if toward > 0 {
                *other > speed
            } else {
                *other < speed
            }
        };
        let near = self
            .grades
            .iter()
            .filter_map(|other| other.speed)
            .filter(faster)
            .min_by(|a, b| (a - speed).abs().total_cmp(&(b - speed).abs()));
        let speed = near.map_or(speed, |near| speed + (near - speed) / 3.0);
        Grade {
            speed: Some(speed),
            ..grade.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_may_have_its_own_halves() {
        let grade = |name: &str, kmh: f64| Grade {
            name: name.to_owned(),
            speed: Some(kmh * KILOMETRE_PER_HOUR),
            turn: 1.0,
        };
        let scale = Grades {
            grades: vec![
                grade("3-", 56.0),
                grade("3", 62.0),
                grade("3+", 68.0),
                grade("4", 83.0),
            ],
            assumed: false,
        };
        let kmh = |name: &str, toward| {
            let shaded = scale.shaded(scale.get(name).unwrap(), toward);
            shaded.speed.unwrap() / KILOMETRE_PER_HOUR
        };
        assert!((kmh("3", 1) - 68.0).abs() < 1e-9);
        assert!((kmh("3", -1) - 56.0).abs() < 1e-9);
        // A third of the way down to 3+.
        assert!((kmh("4", -1) - 78.0).abs() < 1e-9);
    }

    #[test]
    fn an_angle_by_speed_lies_between_those_of_the_default_scale() {
        for (_, speed, turn) in DEFAULT {
            let Some(speed) = speed else { continue };
            let found = Grades::turn_at(speed * KILOMETRE_PER_HOUR).to_degrees();
            assert!((found - turn).abs() < 1e-9, "{found} for {turn}");
        }
        let at = |kmh: f64| Grades::turn_at(kmh * KILOMETRE_PER_HOUR).to_degrees();
        assert!((at(75.0) - 47.5).abs() < 1e-9, "{}", at(75.0));
        assert_eq!((at(10.0), at(200.0)), (165.0, 25.0));
    }

    #[test]
    fn the_way_of_a_scale_is_seen_in_two_names_and_more() {
        assert!(Grades::is_usual_way(&[
            ("6", 40.0),
            ("hairpin", 8.0),
            ("3", 18.0)
        ]));
        assert!(!Grades::is_usual_way(&[("2", 28.0), ("6", 8.0)]));
        assert!(!Grades::is_usual_way(&[("6", 8.0), ("fast", 40.0)]));
    }
}
