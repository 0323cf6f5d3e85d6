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
        let (fix, speed) = pace(road, &times, corner.apex)?;
        Some((fix, corner.apex, speed * speed / corner.radius))
    });
    let hard = driven.filter(|(_, _, across)| *across > HARDEST);
    let (fix, at, across) = hard.max_by(|a, b| a.2.total_cmp(&b.2))?;
    Some(Note::Hard { fix, at, across })
}

/// The fix before a place of a road and the speed about it, m/s.
fn pace(road: &Road, times: &[Option<f64>], at: f64) -> Option<(usize, f64)> {
    let before = road.marks.partition_point(|(_, s)| *s <= at - ABOUT);
    let after = road.marks.partition_point(|(_, s)| *s < at + ABOUT);
    let here = road.marks.partition_point(|(_, s)| *s <= at);
    let (from, start) = *road.marks.get(before.checked_sub(1)?)?;
    let (to, end) = *road.marks.get(after)?;
    let (fix, _) = *road.marks.get(here.checked_sub(1)?)?;
    let taken = ((*times.get(to)?)? - (*times.get(from)?)?).abs();
    (taken > 0.0).then(|| (fix, (end - start) / taken))
}
