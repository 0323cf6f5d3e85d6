//! The slope of a road that a log knows by its distance and height, and by no position.

use super::Trace;
use crate::venue::along::Stretch;
use crate::venue::path::survey::{Request, survey};
use crate::venue::path::{Fix, Place};

/// Neighbouring steps become one stretch while their slopes differ by less, as a tangent.
const SAME: f64 = 2e-3;

/// How a road climbs.
#[derive(Debug, Clone, PartialEq)]
pub struct Climb {
    /// Stretches of one slope, from the start on.
    pub stretches: Vec<Stretch>,
    /// Mean height, m.
    pub height: f64,
}

/// The climb of a run whose rows have heights, m: as of points on a straight road, so that heights which are none
/// are left out and the rest are smoothed as those of recordings are. A loop comes back to its height. `None`
/// where hardly any row has one.
pub(super) fn climb(trace: &Trace, heights: &[f64], closed: bool) -> Option<Climb> {
    let fixes: Vec<Fix> = trace
        .rows
        .iter()
        .zip(&trace.distance)
        .map(|(&row, &at)| Fix {
            place: Place::Plane(at, 0.0),
            height: heights.get(row).copied(),
            time: None,
        })
        .collect();
    let survey = survey(&fixes, &Request::default()).ok()?;
    if !survey.road.heights {
        return None;
    }
    let length = survey.road.length();
    let climbed: f64 = survey
        .road
        .steps
        .iter()
        .map(|step| step.slope * step.length)
        .sum();
    let drift = if closed { climbed / length } else { 0.0 };
    let mut stretches: Vec<Stretch> = Vec::new();
    for step in &survey.road.steps {
        let (slope, to) = (step.slope - drift, step.start + step.length);
        match stretches.last_mut() {
            Some(last)
                if last
                    .slope
                    .is_some_and(|before| (before - slope).abs() < SAME) =>
            {
                let (before, long) = (last.slope.unwrap_or(slope), last.to - last.from);
                last.slope = Some((before * long + slope * step.length) / (long + step.length));
                last.to = to;
            }
            _ => stretches.push(Stretch {
                from: step.start,
                to,
                slope: Some(slope),
                ..Stretch::default()
            }),
        }
    }
    Some(Climb {
        stretches,
        height: survey.height?,
    })
}
