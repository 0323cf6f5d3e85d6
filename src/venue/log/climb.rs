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

#[cfg(test)]
mod tests {
    use super::*;

    /// 5 % up over 400 m and down again, on a barometer that has drifted by 6 m by the end.
    #[test]
    fn a_loop_comes_back_to_its_height() {
        let distance: Vec<f64> = (0..401).map(|row| 2.0 * f64::from(row)).collect();
        let heights: Vec<f64> = distance
            .iter()
            .map(|at| 100.0 + 0.05 * at.min(800.0 - at) + 6.0 * at / 800.0)
            .collect();
        let trace = Trace {
            speed: vec![20.0; distance.len()],
            time: distance.iter().map(|at| at / 20.0).collect(),
            rows: (0..distance.len()).collect(),
            distance,
        };
        let climbed = |closed: bool| -> f64 {
            let climb = climb(&trace, &heights, closed).unwrap();
            let rise = |one: &Stretch| one.slope.unwrap() * (one.to - one.from);
            climb.stretches.iter().map(rise).sum()
        };
        assert!(climbed(true).abs() < 0.01, "{}", climbed(true));
        assert!((climbed(false) - 6.0).abs() < 0.3, "{}", climbed(false));
        let up = &climb(&trace, &heights, true).unwrap().stretches[0];
        assert!((up.slope.unwrap() - 0.05).abs() < 0.003, "{up:?}");
    }
}
