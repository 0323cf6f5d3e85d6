//! Lines drawn on a map, made ready for the smoother, which lays a road through all points with as few
//! changes of curvature as it can: a lone vertex between long chords would become a sweep as long as
//! they are, and the last chord one arc through twice its angle.
//!
//! So a vertex that bears its corner alone is rounded as closely as people draw, a chord much longer
//! than its neighbour takes over the neighbour's spacing beside it ([`bends`]), and a line comes from
//! straight ahead and goes on so.

use super::Point;
use super::bends::{self, Bend};
use super::coarse::{self, Vertex};

/// People draw a road to within this, m: half its width and a little.
const CLOSE: f64 = 5.0;
/// No corner is rounded tighter, m: the tightest that cars take in one go.
const TIGHTEST: f64 = 6.0;
/// A rounding takes up at most this share of the chords beside it.
const SHARE: f64 = 0.35;
/// Vertices that turn less than this in all are gentle enough for the smoother, rad (20°).
const LEAST_TURN: f64 = 0.35;
/// A vertex that bears less of a corner is no lone one.
const LONE: f64 = 0.25;
/// Chords shorter than this leave no room for sweeps, m.
pub(super) const SHORT: f64 = 20.0;
/// Length of the chords of a rounding, m, and how many at least and at most.
const PART: f64 = 2.5;
const PARTS: (f64, f64) = (2.0, 12.0);
/// The road that is put before and behind a line is as long as the chord there, or this, m.
const BEYOND: f64 = 100.0;

/// The points of a drawn line, neighbours apart, with what is told above. An open one has one point
/// more before its start and one behind its end.
pub(super) fn refined(points: &[Point], closed: bool) -> Vec<Point> {
    let rounded = spaced(&rounded(points, closed), closed);
    if closed { rounded } else { extended(rounded) }
}

/// Lone vertices turned into arcs.
fn rounded(points: &[Point], closed: bool) -> Vec<Point> {
    let vertices = coarse::turns(points, closed);
    let mut lone = vec![None; points.len()];
    for run in coarse::runs(&vertices) {
        let all = coarse::turned(run);
        let heavy = all >= LEAST_TURN && coarse::heavy(run, 0.0);
        let bears = |v: &&Vertex| v.kink() || heavy && v.turn.abs() > LONE * all && v.chord > SHORT;
        run.iter()
            .filter(bears)
            .for_each(|v| lone[v.index] = Some(v.turn));
    }
    let count = points.len();
    let mut out: Vec<Point> = Vec::with_capacity(count);
    for (i, point) in points.iter().enumerate() {
        match lone[i] {
            Some(turn) => {
                let (before, after) = (points[(i + count - 1) % count], points[(i + 1) % count]);
                let rounding = arc(&before, point, &after, turn).map(|(second, place)| Point {
                    // Distances go by the fix that was passed last.
                    fix: if second || i == 0 {
                        point.fix
                    } else {
                        before.fix
                    },
                    ..place
                });
                out.extend(rounding);
            }
            None => out.push(*point),
        }
    }
    out
}

/// The arc that touches both chords at a vertex and passes it at [`CLOSE`].
/// Points of its second half are marked.
fn arc(
    before: &Point,
    at: &Point,
    after: &Point,
    turn: f64,
) -> impl Iterator<Item = (bool, Point)> {
    let (back, on) = (before.to(at), at.to(after));
    let half = 0.5 * turn.abs();
    // From the vertex to the arc: R(1/cos - 1).
    let wanted = (CLOSE * half.cos() / (1.0 - half.cos())).max(TIGHTEST);
    let reach = (wanted * half.tan()).clamp(0.0, SHARE * back.min(on));
    let radius = reach / half.tan();
    let heading = (at.y - before.y).atan2(at.x - before.x);
    let start = before.towards(at, 1.0 - reach / back);
    let stop = at.towards(after, reach / on);
    let parts = (radius * turn.abs() / PART).ceil().clamp(PARTS.0, PARTS.1);
    (0..=parts as usize).map(move |k| {
        let share = k as f64 / parts;
        let angle = turn.abs() * share;
        let along = radius * angle.sin();
        let aside = radius * (1.0 - angle.cos()) * turn.signum();
        let place = Point {
            x: start.x + along * heading.cos() - aside * heading.sin(),
            y: start.y + along * heading.sin() + aside * heading.cos(),
            ..start.towards(&stop, share)
        };
        (share >= 0.5, place)
    })
}

/// Long chords that meet short ones at an angle, cut beside them with the spacing of the short ones.
fn spaced(points: &[Point], closed: bool) -> Vec<Point> {
    let count = points.len();
    let mut bent = vec![false; count];
    for vertex in coarse::turns(points, closed) {
        bent[vertex.index] = !vertex.straight();
    }
    // The bend at a vertex, of three vertices if there are so many.
    let bend = |i: usize, on: [usize; 2], three: bool| {
        let third = (closed || three).then(|| points[on[1] % count]);
        bent[i].then(|| Bend::new(points[i], points[on[0] % count], third))
    };
    let mut out = Vec::with_capacity(count);
    for k in 0..count {
        let (from, next) = (points[k], (k + 1) % count);
        out.push(from);
        if next == 0 && !closed {
            break;
        }
        let behind = bend(k, [k + count - 1, k + count - 2], k >= 2);
        let ahead = bend(next, [next + 1, next + 2], next + 2 < count);
        let [first, last] = bends::cuts([from, points[next]], [behind, ahead]);
        out.extend(first);
        // Distances go by the fix that was passed last.
        let passed = |place| Point {
            fix: from.fix,
            ..place
        };
        out.extend(last.into_iter().rev().map(passed));
    }
    out
}

/// An open line with a point more, straight on, at either end.
fn extended(points: Vec<Point>) -> Vec<Point> {
    let [first, second, ..] = points[..] else {
        return points;
    };
    let (last, inner) = (points[points.len() - 1], points[points.len() - 2]);
    let beyond = |inner: Point, end: Point| {
        let length = inner.to(&end);
        let place = inner.towards(&end, 1.0 + length.min(BEYOND) / length);
        Point {
            fix: end.fix,
            ..place
        }
    };
    let mut out = vec![beyond(second, first)];
    out.extend_from_slice(&points);
    out.push(beyond(inner, last));
    out
}
