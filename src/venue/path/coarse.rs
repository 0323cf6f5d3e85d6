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
/// Corners that turn less are not worth a word, rad (35°, and 20° between chords longer than these metres, in
/// which a corner may be as tight as any).
const LEAST_TURN: f64 = 0.61;
const LEAST_LONG: (f64, f64) = (0.35, 50.0);
/// A vertex that turns less belongs to no corner, rad (2°).
const STRAIGHT: f64 = 0.035;
/// Chords shorter than this tell any corner that a car can take, m.
const SHORTEST: f64 = 6.0;

/// Corners that chords so long show well are sweepers: a vertex that turns by more than the first, rad (50°
/// and 30°), between chords that are both longer than the second, m, bears a corner of its own…
const ALONE: [(f64, f64); 2] = [(0.87, 50.0), (0.52, 150.0)];
/// …and where it turns so far between chords so long nobody draws a sweeper like that.
const KINK: (f64, f64) = (0.87, 100.0);

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

/// A vertex of a path.
#[derive(Debug, Clone, Copy)]
pub(super) struct Vertex {
    /// Its place among the points.
    pub index: usize,
    /// How far the path turns there, rad, left positive.
    pub turn: f64,
    /// Length of the longer chord at it, m.
    pub chord: f64,
    /// Length of the shorter one, m.
    pub shorter: f64,
}

impl Vertex {
    /// Whether it turns so little that it belongs to no corner.
    pub fn straight(&self) -> bool {
        self.turn.abs() <= STRAIGHT
    }

    /// Whether it is a corner that its neighbours tell nothing of.
    fn alone(&self) -> bool {
        ALONE.into_iter().any(|least| self.passes(least))
    }

    /// Whether it is a corner and no point of a sweeper.
    pub fn kink(&self) -> bool {
        self.passes(KINK)
    }

    fn passes(&self, (turn, chord): (f64, f64)) -> bool {
        self.turn.abs() > turn && self.shorter > chord
    }
}

/// The places of a road, cut to begin at `from` m, where its points are too far apart.
pub fn coarse(points: &[Point], whole: &Road, from: f64) -> Vec<Coarse> {
    let places = places(points, whole);
    let on: Vec<Point> = places.iter().map(|(point, _)| *point).collect();
    let vertices = turns(&on, whole.closed);
    let mut found: Vec<Coarse> = runs(&vertices)
        .into_iter()
        .flat_map(|run| judge(run, whole.scatter))
        .map(|(worst, turn)| Coarse {
            at: places[worst.index].1,
            turn,
            chord: worst.chord,
        })
        .collect();
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
pub(super) fn runs(vertices: &[Vertex]) -> Vec<&[Vertex]> {
    let mut found = Vec::new();
    let mut i = 0;
    while i < vertices.len() {
        let side = vertices[i].turn.signum();
        let mut j = i;
        while j < vertices.len() && vertices[j].turn * side > STRAIGHT {
            j += 1;
        }
        if j > i {
            found.push(&vertices[i..j]);
        }
        i = j.max(i + 1);
    }
    found
}

/// How far neighbouring vertices turn together, rad.
pub(super) fn turned(run: &[Vertex]) -> f64 {
    run.iter().map(|v| v.turn.abs()).sum()
}

/// Whether one or two vertices bear more of a corner than they should, and than points that scatter by so
/// many metres make of it: the turn at a vertex is a second difference over a chord, √6·σ off.
pub(super) fn heavy(run: &[Vertex], scatter: f64) -> bool {
    let all = turned(run);
    let off = |v: &Vertex| 6f64.sqrt() * scatter / v.shorter;
    let one = run
        .iter()
        .map(|v| v.turn.abs() - off(v))
        .fold(0.0, f64::max);
    let two = run
        .windows(2)
        .map(|pair| turned(pair) - off(&pair[0]).max(off(&pair[1])))
        .fold(0.0, f64::max);
    one > ONE * all || two > TWO * all
}

/// The vertices of a corner that is too coarse, and how far it turns: those that are one of their own, or
/// the one that bears most of it.
fn judge(run: &[Vertex], scatter: f64) -> Vec<(Vertex, f64)> {
    let alone = run.iter().filter(|v| v.alone());
    let alone: Vec<(Vertex, f64)> = alone.map(|v| (*v, v.turn.abs())).collect();
    if !alone.is_empty() {
        return alone;
    }
    let all = turned(run);
    let worst = run
        .iter()
        .max_by(|a, b| a.turn.abs().total_cmp(&b.turn.abs()));
    let coarse = |worst: &&Vertex| {
        let long = all > LEAST_LONG.0 && worst.shorter > LEAST_LONG.1;
        (all > LEAST_TURN || long) && worst.chord > SHORTEST && heavy(run, scatter)
    };
    worst
        .filter(coarse)
        .map(|worst| (*worst, all))
        .into_iter()
        .collect()
}

/// The points that the road's chords run between, with their distances along it.
fn places(points: &[Point], whole: &Road) -> Vec<(Point, f64)> {
    let mut index = 0;
    let mut places: Vec<(Point, f64)> = Vec::with_capacity(whole.marks.len() + 1);
    for (fix, at) in &whole.marks {
        while index < points.len() && points[index].fix != *fix {
            index += 1;
        }
        if let Some(point) = points.get(index) {
            places.push((*point, *at));
        }
    }
    // The last chord of an open road ends at a point that none begins at.
    if let Some(last) = points.last().filter(|_| !whole.closed) {
        places.push((*last, whole.length()));
    }
    places
}

/// The inner vertices of a path, or all of a loop, from where it begins to turn another way, so that no corner
/// lies on both sides of the seam.
pub(super) fn turns(points: &[Point], closed: bool) -> Vec<Vertex> {
    let count = points.len();
    let inner = if closed {
        0..count
    } else {
        1..count.saturating_sub(1)
    };
    let mut vertices: Vec<Vertex> = inner
        .map(|index| {
            let (before, here, after) = (
                &points[(index + count - 1) % count],
                &points[index],
                &points[(index + 1) % count],
            );
            let heading = |a: &Point, b: &Point| (b.y - a.y).atan2(b.x - a.x);
            let turn = heading(here, after) - heading(before, here);
            Vertex {
                index,
                turn: turn - TAU * (turn / TAU).round(),
                chord: before.to(here).max(here.to(after)),
                shorter: before.to(here).min(here.to(after)),
            }
        })
        .collect();
    let begins = |k: &usize| {
        let (v, last) = (&vertices[*k], &vertices[(k + count - 1) % count]);
        v.straight() || last.straight() || v.turn.signum() != last.turn.signum()
    };
    if closed && let Some(first) = (0..count).find(begins) {
        vertices.rotate_left(first);
    }
    vertices
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 27° of 41° at one vertex between chords of 6.6 m: where points err by 0.6 m half may be error.
    #[test]
    fn a_turn_that_scatter_may_have_made_is_no_kink() {
        let vertex = |turn: f64| Vertex {
            index: 0,
            turn: turn.to_radians(),
            chord: 6.6,
            shorter: 6.6,
        };
        let run = [vertex(8.0), vertex(27.0), vertex(6.0)];
        assert!(heavy(&run, 0.0));
        assert!(!heavy(&run, 0.6));
    }
}
