//! A road from a path: vertices of a line on a map, or fixes of a recording.
//!
//! Fixes are cleaned ([`clean`]), loops joined and laps cut out ([`cut`]), chords between fixes
//! smoothed to heading, curvature and slope ([`road`]), corners found ([`corners`]); [`survey`] does all of it and
//! gives the sections of a course.

mod bends;
mod beyond;
pub mod clean;
pub mod coarse;
pub mod corners;
mod creeping;
pub mod cut;
mod drawn;
mod fit;
pub mod geodesy;
mod hard;
mod heights;
mod holes;
pub mod laps;
mod leaps;
mod line;
pub mod note;
mod repeats;
pub mod road;
pub mod scatter;
mod search;
mod smoother;
mod spline;
pub mod stands;
pub mod survey;
mod thrown;

use geodesy::LatLon;

/// Where a fix is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Place {
    /// On the ellipsoid, degrees.
    LatLon(LatLon),
    /// On a plane, east and north, m.
    Plane(f64, f64),
}

/// One vertex of a line on a map, or one fix of a recording.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fix {
    /// Where.
    pub place: Place,
    /// Height, m.
    pub height: Option<f64>,
    /// Time, s, from any start.
    pub time: Option<f64>,
}

/// A fix on its plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// East of the first fix, m.
    pub x: f64,
    /// North of the first fix, m.
    pub y: f64,
    /// Height, m.
    pub z: Option<f64>,
    /// Time, s, from any start.
    pub t: Option<f64>,
    /// Index of the fix it was.
    pub fix: usize,
}

impl Point {
    /// Distance to another on the map, m.
    pub fn to(&self, other: &Point) -> f64 {
        (other.x - self.x).hypot(other.y - self.y)
    }

    /// The place so large a share of the way to another; its fix is this one's.
    fn towards(&self, other: &Point, share: f64) -> Point {
        let mix = |a: f64, b: f64| a + share * (b - a);
        Point {
            x: mix(self.x, other.x),
            y: mix(self.y, other.y),
            z: self.z.zip(other.z).map(|(a, b)| mix(a, b)),
            ..*self
        }
    }
}
