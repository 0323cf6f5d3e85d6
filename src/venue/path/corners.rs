//! Corners of a road: where they start, where they are tightest, where they end.

use super::road::Road;
use crate::venue::pieces::Side;
use crate::venue::plan::{Tightest, tightest};

/// A bend of larger radius is part of a straight, m.
pub(in crate::venue) const GENTLEST: f64 = 400.0;
/// A corner reaches as far as its curvature stays above this share of the gentlest.
const EDGE: f64 = 0.6;
/// A bend that turns less is part of a straight, rad (7°).
pub(in crate::venue) const LEAST_TURN: f64 = 0.122;
/// One corner becomes two where its curvature falls below this share of the lower top…
const SADDLE: f64 = 0.5;
/// …over at least this length, m.
pub(in crate::venue) const SADDLE_LENGTH: f64 = 8.0;

/// A corner.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corner {
    /// Where it starts, m on the map.
    pub start: f64,
    /// Middle of its tightest part, m.
    pub apex: f64,
    /// Where it ends, m.
    pub end: f64,
    /// Turned angle, rad, positive.
    pub turned: f64,
    /// Which way.
    pub side: Side,
    /// Radius of its tightest fifth, by turned angle, m.
    pub radius: f64,
    /// First step and the one after its last.
    pub steps: (usize, usize),
}

/// The corners of a road in driving order.
pub fn corners(road: &Road) -> Vec<Corner> {
    let bends: Vec<(f64, f64)> = road.steps.iter().map(|s| (s.curvature, s.length)).collect();
    let mut found = Vec::new();
    for (from, to) in runs(&bends) {
        for (from, to) in split(&bends, from, to) {
            found.extend(corner(road, from, to));
        }
    }
    found
}

/// Runs of steps that bend one way and somewhere tighter than the gentlest corner.
fn runs(bends: &[(f64, f64)]) -> Vec<(usize, usize)> {
    let edge = EDGE / GENTLEST;
    let mut found = Vec::new();
    let mut i = 0;
    while i < bends.len() {
        let sign = bends[i].0.signum();
        let mut j = i;
        while j < bends.len() && bends[j].0 * sign > edge {
            j += 1;
        }
        if bends[i..j].iter().any(|(k, _)| k.abs() > 1.0 / GENTLEST) {
            found.push((i, j));
        }
        i = j.max(i + 1);
    }
    found
}

/// A run parted where it opens clearly between two tops.
fn split(bends: &[(f64, f64)], from: usize, to: usize) -> Vec<(usize, usize)> {
    let size = |i: usize| bends[i].0.abs();
    for low in from + 1..to.saturating_sub(1) {
        let is_lowest = size(low) < size(low - 1) && size(low) <= size(low + 1);
        if !is_lowest {
            continue;
        }
        let top = |range: std::ops::Range<usize>| range.map(size).fold(0.0, f64::max);
        let bound = SADDLE * top(from..low).min(top(low + 1..to));
        let mut length = 0.0;
        let mut end = low;
        while end < to && size(end) < bound {
            length += bends[end].1;
            end += 1;
        }
        let mut begin = low;
        while begin > from && size(begin - 1) < bound {
            begin -= 1;
            length += bends[begin].1;
        }
        if size(low) < bound && length >= SADDLE_LENGTH {
            let mut parts = split(bends, from, begin);
            parts.extend(split(bends, end, to));
            return parts;
        }
    }
    vec![(from, to)]
}

fn corner(road: &Road, from: usize, to: usize) -> Option<Corner> {
    let steps = &road.steps[from..to];
    let turned: f64 = steps.iter().map(|s| s.curvature.abs() * s.length).sum();
    let sum: f64 = steps.iter().map(|s| s.curvature).sum();
    if steps.is_empty() || turned < LEAST_TURN {
        return None;
    }
    let parts = steps.iter().map(|s| (s.curvature.abs(), s.length));
    let Tightest {
        curvature: tight,
        radius,
    } = tightest(parts)?;
    // A corner of one radius is equally tight all along: its apex is in the middle.
    let (mut reach, mut moment) = (0.0, 0.0);
    for step in steps.iter().filter(|s| s.curvature.abs() >= 0.98 * tight) {
        reach += step.length;
        moment += step.length * (step.start + 0.5 * step.length);
    }
    let last = steps[steps.len() - 1];
    Some(Corner {
        start: steps[0].start,
        apex: moment / reach,
        end: last.start + last.length,
        turned,
        side: if sum > 0.0 { Side::Left } else { Side::Right },
        radius,
        steps: (from, to),
    })
}
