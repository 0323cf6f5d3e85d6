//! Corners that the car of a recording would have gone round harder than cars do: fixes thrown aside,
//! which the smoothing makes corners of.

use super::Point;
use super::corners::Corner;
use super::note::Note;
use super::road::Road;

/// No car on a road is held by more than this, m/s²: 3 g (common practice, no source).
const HARDEST: f64 = 29.4;
/// The speed in a corner is taken over so much road before and behind its tightest part, m.
const ABOUT: f64 = 10.0;

/// The hardest of the corners that are too hard, where the points have times.
pub(super) fn hard(road: &Road, corners: &[Corner], points: &[Point]) -> Option<Note> {
    let last = points.iter().map(|point| point.fix).max()?;
    let mut times = vec![None; last + 1];
    for point in points {
        times[point.fix] = point.t;
    }
    let driven = corners.iter().filter_map(|corner| {
        let about = (corner.apex - ABOUT, corner.apex + ABOUT);
        let speed = road.pace(about, |fix| *times.get(fix)?)?;
        let before = road.marks.partition_point(|(_, at)| *at <= corner.apex);
        let (fix, _) = *road.marks.get(before.checked_sub(1)?)?;
        Some((fix, corner.apex, speed * speed / corner.radius))
    });
    let hard = driven.filter(|(_, _, across)| *across > HARDEST);
    let (fix, at, across) = hard.max_by(|a, b| a.2.total_cmp(&b.2))?;
    Some(Note::Hard { fix, at, across })
}
