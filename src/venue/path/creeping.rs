//! Bends at the ends of a recording where the car hardly moves: receivers scatter there.

use super::Point;
use super::corners::{Corner, corners};
use super::road::Road;

/// A car that is slower than this creeps, m/s.
const CREEP: f64 = 6.0;
/// So near to an end of the road, m.
const END: f64 = 3.0;
/// A bend that is longer than this, m, or turns more, rad (30°), is one of the road.
const LONGEST: f64 = 20.0;
const MOST_TURN: f64 = 0.52;

/// Takes bends out of an open road that it has where the car stands or creeps at its ends.
pub(super) fn straighten(road: &mut Road, points: &[Point]) {
    if road.closed {
        return;
    }
    let found: Vec<Corner> = corners(road);
    for corner in [found.first(), found.last()].into_iter().flatten() {
        let starts = corner.start < END;
        let ends = corner.end > road.length() - END;
        let short = corner.end - corner.start < LONGEST && corner.turned < MOST_TURN;
        if !((starts || ends) && short)
            || !road
                .pace((corner.start, corner.end), |fix| time(points, fix))
                .is_some_and(|pace| pace < CREEP)
        {
            continue;
        }
        let steps = match starts {
            true => 0..corner.steps.1,
            false => corner.steps.0..road.steps.len(),
        };
        let heading = match starts {
            true => road.steps.get(corner.steps.1).map(|step| step.heading),
            false => Some(road.steps[corner.steps.0].heading),
        };
        for step in &mut road.steps[steps] {
            step.curvature = 0.0;
            step.heading = heading.unwrap_or(step.heading);
        }
    }
}

fn time(points: &[Point], fix: usize) -> Option<f64> {
    points.iter().find(|point| point.fix == fix)?.t
}
