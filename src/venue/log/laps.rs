//! What a log says against being one lap of a loop: how far its corners turn in all, and a speed that
//! repeats itself.

use super::Trace;
use crate::venue::path::road::Road;

/// The speed is compared with itself in bins of this length, m, or in so many bins of a longer log.
const BIN: f64 = 10.0;
const BINS: f64 = 4000.0;
/// No lap is shorter, m.
const SHORTEST: f64 = 200.0;
/// A speed repeats itself where it correlates like this with itself a lap later.
const ALIKE: f64 = 0.9;
/// Of two distances that fit as well as this the shorter is the lap.
const AS_WELL: f64 = 0.97;

/// The signed sum of the turned angles of a road, rad, left positive.
pub(super) fn turned(road: &Road) -> f64 {
    road.steps
        .iter()
        .map(|step| step.curvature * step.length)
        .sum()
}

/// The distance, m, after which the speed repeats itself, at most half of the log; not where the road, as far as
/// it is known, bends the other way then.
pub(super) fn period(trace: &Trace, road: Option<&Road>) -> Option<f64> {
    let length = trace.length();
    let h = BIN.max(length / BINS);
    let speeds = evenly(&trace.distance, &trace.speed, h);
    let bends = road.map(|road| {
        let (starts, bends): (Vec<f64>, Vec<f64>) = road
            .steps
            .iter()
            .map(|step| (step.start, step.curvature))
            .unzip();
        evenly(&starts, &bends, h)
    });
    let against = |lag: usize| {
        let bends = bends.as_deref().filter(|bends| bends.len() > lag);
        bends.is_some_and(|bends| correlation(&bends[..bends.len() - lag], &bends[lag..]) < 0.0)
    };
    let (least, most) = ((SHORTEST / h).ceil() as usize, speeds.len() / 2);
    let likeness: Vec<f64> = (least..=most)
        .map(|lag| {
            let alike = correlation(&speeds[..speeds.len() - lag], &speeds[lag..]);
            if alike >= ALIKE && against(lag) {
                0.0
            } else {
                alike
            }
        })
        .collect();
    let best = likeness.iter().copied().fold(0.0, f64::max);
    if best < ALIKE {
        return None;
    }
    let first = likeness.iter().position(|r| *r >= AS_WELL * best)?;
    let hill = likeness[first..]
        .iter()
        .take_while(|r| **r >= AS_WELL * best);
    let top = (first..first + hill.count()).max_by(|&a, &b| likeness[a].total_cmp(&likeness[b]))?;
    Some((least + top) as f64 * h)
}

/// The value in the middle of every bin of `h` m.
fn evenly(distance: &[f64], values: &[f64], h: f64) -> Vec<f64> {
    let count = (distance.last().copied().unwrap_or_default() / h) as usize;
    let mut row = 0;
    (0..count)
        .map(|bin| {
            let at = (bin as f64 + 0.5) * h;
            while row + 1 < distance.len() && distance[row + 1] <= at {
                row += 1;
            }
            values[row]
        })
        .collect()
}

/// Pearson's coefficient of two columns of one length; 0 where one of them does not change.
fn correlation(a: &[f64], b: &[f64]) -> f64 {
    let mean = |column: &[f64]| column.iter().sum::<f64>() / column.len() as f64;
    let (mean_a, mean_b) = (mean(a), mean(b));
    let (mut ab, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (a, b) in a.iter().zip(b) {
        let (a, b) = (a - mean_a, b - mean_b);
        ab += a * b;
        aa += a * a;
        bb += b * b;
    }
    let scale = (aa * bb).sqrt();
    if scale > 0.0 { ab / scale } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn trace(length: f64, speed: impl Fn(f64) -> f64) -> Trace {
        let distance: Vec<f64> = (0..(length / 3.0) as usize)
            .map(|i| 3.0 * i as f64)
            .collect();
        Trace {
            rows: Vec::new(),
            speed: distance.iter().map(|s| speed(*s)).collect(),
            time: distance.clone(),
            distance,
        }
    }

    /// Corners of a lap of 900 m, unlike each other.
    fn lap(s: f64) -> f64 {
        let at = std::f64::consts::TAU * s / 900.0;
        25.0 + 6.0 * at.sin() + 5.0 * (2.0 * at).cos() + 3.0 * (5.0 * at).sin()
    }

    #[test]
    fn laps_repeat_themselves_after_their_length() {
        let found = period(&trace(2750.0, lap), None).unwrap();
        assert!((found - 900.0).abs() <= BIN, "{found}");
        let once = |s: f64| lap(s) + 0.006 * s;
        assert_eq!(period(&trace(900.0, once), None), None);
        assert_eq!(
            period(
                &trace(2700.0, |s| 20.0 + 0.01 * s + 6.0 * (s * s / 90_000.0).sin()),
                None
            ),
            None
        );
        assert_eq!(period(&trace(2700.0, |_| 20.0), None), None);
    }
}
