//! The road seen from above, and where that is on the picture.

use super::{HEAD, MARGIN, WIDTH};
use crate::venue::Course;
use crate::venue::plan::{self, Spot};

/// Least and most height of the map, px.
const HEIGHTS: (f64, f64) = (240.0, 560.0);

/// The road seen from above, north up where it is known.
pub fn spots(course: &Course) -> Vec<Spot> {
    let mut spots = plan::walk(&course.sections, lateral(course), 4.0);
    let (sin, cos) = course.bearing.unwrap_or(0.0).sin_cos();
    for spot in &mut spots {
        (spot.x, spot.y) = (spot.x * cos - spot.y * sin, spot.x * sin + spot.y * cos);
    }
    if course.is_closed() {
        close(&mut spots);
    }
    spots
}

/// Lateral acceleration that corners are driven at, m/s², for the picture.
pub fn lateral(course: &Course) -> f64 {
    course.surfaces.first().map_or(8.0, plan::nominal_lateral)
}

/// Spreads over a loop what its ends miss each other by: small errors of heading add up on the way
/// round, and the picture of a loop is closed.
fn close(spots: &mut [Spot]) {
    let (Some(first), Some(last)) = (spots.first().copied(), spots.last().copied()) else {
        return;
    };
    let length = last.distance.max(1.0);
    if (last.x - first.x).hypot(last.y - first.y) > 0.1 * length {
        return;
    }
    for spot in spots {
        let share = spot.distance / length;
        spot.x -= share * (last.x - first.x);
        spot.y -= share * (last.y - first.y);
        spot.z -= share * (last.z - first.z);
    }
}

/// Least and largest of some values.
pub fn bounds(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
        (low.min(v), high.max(v))
    })
}

/// From metres to pixels.
pub struct Map {
    /// Pixels to a metre.
    pub scale: f64,
    /// Height of the map, px.
    pub height: f64,
    west: f64,
    north: f64,
    left: f64,
    top: f64,
}

impl Map {
    /// As large as the road fits the width, and no higher than it needs.
    pub fn fit(spots: &[Spot]) -> Self {
        let (west, east) = bounds(spots.iter().map(|s| s.x));
        let (south, north) = bounds(spots.iter().map(|s| s.y));
        let room = (WIDTH - 2.0 * MARGIN, HEIGHTS.1 - 2.0 * MARGIN);
        let scale = (room.0 / (east - west).max(1.0)).min(room.1 / (north - south).max(1.0));
        let tall = scale * (north - south);
        let height = (tall + 2.0 * MARGIN).max(HEIGHTS.0);
        Self {
            scale,
            height,
            west,
            north,
            left: MARGIN + 0.5 * (room.0 - scale * (east - west)),
            top: HEAD + 0.5 * (height - tall),
        }
    }

    /// A spot on the picture, px.
    pub fn at(&self, spot: &Spot) -> (f64, f64) {
        (
            self.left + self.scale * (spot.x - self.west),
            self.top + self.scale * (self.north - spot.y),
        )
    }
}
