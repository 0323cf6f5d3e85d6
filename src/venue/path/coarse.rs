//! Where a path has too few points to tell how tight a corner is.
//!
//! Chords of half a corner's length, whatever their phase, spread its turn over three or four
//! vertices: none bears more than a half, no two neighbours more than 7/8. Where one or two vertices
//! bear more, the corner may be anything from the chord's circle to a kink.

use std::f64::consts::TAU;

use super::Point;
use super::road::Road;

/// What one vertex may bear of a corner's turn.
const ONE: f64 = 0.62;
/// What two neighbours may bear.
const TWO: f64 = 0.92;
/// Corners that turn less are not worth a word, rad (35°).
const LEAST_TURN: f64 = 0.61;
/// A vertex that turns less belongs to no corner, rad (2°).
const STRAIGHT: f64 = 0.035;
/// Chords shorter than this tell any corner that a car can take, m.
const SHORTEST: f64 = 6.0;

/// A place where the points are too far apart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coarse {
    /// Distance along the road as cut, on the map, m.
    pub at: f64,
    /// How far the path turns there, rad.
    pub turn: f64,
    /// Length of the longer chord at it, m.
    pub chord: f64,
}

/// A vertex of the path.
struct Vertex {
    at: f64,
    turn: f64,
    chord: f64,
}

/// The places of a road, cut to begin at `from` m, where its points are too far apart.
pub fn coarse(points: &[Point], whole: &Road, from: f64) -> Vec<Coarse> {
    let vertices = vertices(points, whole);
    let mut found = Vec::new();
    let mut i = 0;
    while i < vertices.len() {
        let side = vertices[i].turn.signum();
        let mut j = i;
        while j < vertices.len() && vertices[j].turn * side > STRAIGHT {
            j += 1;
        }
        found.extend(judge(&vertices[i..j]));
        i = j.max(i + 1);
    }
    let length = whole.length();
    for place in &mut found {
        place.at -= from;
        if whole.closed {
            place.at = place.at.rem_euclid(length);
        }
    }
    found.retain(|place| place.at >= 0.0);
    found
}

/// Neighbouring vertices that turn one way.
fn judge(run: &[Vertex]) -> Option<Coarse> {
    let turn = |vertices: &[Vertex]| vertices.iter().map(|v| v.turn.abs()).sum::<f64>();
    let all = turn(run);
    let worst = run
        .iter()
        .max_by(|a, b| a.turn.abs().total_cmp(&b.turn.abs()))?;
    let pair = run.windows(2).map(turn).fold(0.0, f64::max);
    let heavy = worst.turn.abs() > ONE * all || pair > TWO * all;
    (all > LEAST_TURN && worst.chord > SHORTEST && heavy).then_some(Coarse {
        at: worst.at,
        turn: all,
        chord: worst.chord,
    })
}

fn vertices(points: &[Point], whole: &Road) -> Vec<Vertex> {
    let mut index = 0;
    let mut places: Vec<(Point, f64)> = Vec::with_capacity(whole.marks.len());
    for (fix, at) in &whole.marks {
        while index < points.len() && points[index].fix != *fix {
            index += 1;
        }
        if let Some(point) = points.get(index) {
            places.push((*point, *at));
        }
    }
    let count = places.len();
    let inner = if whole.closed {
        0..count
    } else {
        1..count.saturating_sub(1)
    };
    inner
        .map(|k| {
            let (before, (here, at), after) = (
                places[(k + count - 1) % count].0,
                places[k],
                places[(k + 1) % count].0,
            );
            let heading = |a: &Point, b: &Point| (b.y - a.y).atan2(b.x - a.x);
            let turn = heading(&here, &after) - heading(&before, &here);
            Vertex {
                at,
                turn: turn - TAU * (turn / TAU).round(),
                chord: before.to(&here).max(here.to(&after)),
            }
        })
        .collect()
}
