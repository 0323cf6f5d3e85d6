//! Positions that leap aside within one row and stay there, as where a receiver sees other satellites: no car
//! does, and the bend that they make is none.

use super::Point;
use super::note::Note;

/// A leap is longer than this, m, and than so many times what all but the worst fiftieth of the steps differ from
/// their neighbours.
const LEAST: f64 = 0.4;
const MANY: f64 = 3.0;
const WORST: f64 = 0.02;
/// Slower recordings do not show a leap from a bend, s between two rows.
const SLOWEST: f64 = 0.25;
/// More leaps than this share of the rows are how the receiver scatters.
const FEW: f64 = 0.005;
/// A leap is spread over so much path on both sides of it, m.
const OVER: f64 = 100.0;
/// Fewest points that tell.
const FEWEST: usize = 50;

/// Spreads leaps over the path about them.
pub(super) fn spread(points: &mut [Point]) -> Option<Note> {
    if points.len() < FEWEST || usual_time(points)? > SLOWEST {
        return None;
    }
    let steps: Vec<(f64, f64)> = points
        .windows(2)
        .map(|pair| (pair[1].x - pair[0].x, pair[1].y - pair[0].y))
        .collect();
    let off = |i: usize| {
        let (a, b, c) = (steps[i - 1], steps[i], steps[i + 1]);
        (b.0 - 0.5 * (a.0 + c.0), b.1 - 0.5 * (a.1 + c.1))
    };
    let size = |(x, y): (f64, f64)| x.hypot(y);
    let mut sizes: Vec<f64> = (1..steps.len() - 1).map(|i| size(off(i))).collect();
    sizes.sort_by(f64::total_cmp);
    let usual = sizes[((1.0 - WORST) * (sizes.len() - 1) as f64) as usize];
    let bound = LEAST.max(MANY * usual);
    let differ = |i: usize, k: usize| (steps[i].0 - steps[k].0).hypot(steps[i].1 - steps[k].1);
    // A point thrown aside comes back at once.
    let smooth = |i: usize| {
        [(i - 2, i - 1), (i - 1, i + 1), (i + 1, i + 2)]
            .into_iter()
            .all(|(a, b)| differ(a, b) < 0.5 * bound)
    };
    let leaps: Vec<usize> = (2..steps.len() - 2)
        .filter(|&i| size(off(i)) > bound && evenly_timed(points, i) && smooth(i))
        .collect();
    let first = *leaps.first()?;
    if leaps.len() as f64 > (FEW * steps.len() as f64).max(1.0) {
        return None;
    }
    let by: Vec<(f64, f64)> = leaps.iter().map(|&i| off(i)).collect();
    for (&leap, &by) in leaps.iter().zip(&by) {
        ease(points, leap, by);
    }
    Some(Note::Leaps {
        fix: points[first + 1].fix,
        metres: by.into_iter().map(size).fold(0.0, f64::max),
        count: leaps.len(),
    })
}

/// The time between two points, s, where they have times.
fn usual_time(points: &[Point]) -> Option<f64> {
    let times: Option<Vec<f64>> = points.iter().map(|point| point.t).collect();
    let mut steps: Vec<f64> = times?.windows(2).map(|t| t[1] - t[0]).collect();
    steps.sort_by(f64::total_cmp);
    Some(steps[steps.len() / 2])
}

/// Whether the rows about a step follow each other without a gap.
fn evenly_timed(points: &[Point], step: usize) -> bool {
    let took = |i: usize| points[i + 1].t.zip(points[i].t).map(|(b, a)| b - a);
    let all: Option<Vec<f64>> = (step - 2..=step + 2).map(took).collect();
    all.is_some_and(|all| {
        let (least, most) = all
            .iter()
            .fold((f64::MAX, 0.0_f64), |(a, b), t| (a.min(*t), b.max(*t)));
        most < 1.5 * least
    })
}

/// Moves the points before a leap half of the way on, those behind it half of the way back, less the farther they
/// are from it.
fn ease(points: &mut [Point], leap: usize, (x, y): (f64, f64)) {
    let share = |far: f64| 0.25 * (1.0 + (std::f64::consts::PI * far / OVER).cos());
    let mut far = 0.0;
    for i in (0..=leap).rev() {
        if i < leap {
            far += points[i].to(&points[i + 1]);
        }
        if far > OVER {
            break;
        }
        points[i].x += share(far) * x;
        points[i].y += share(far) * y;
    }
    far = 0.0;
    for i in leap + 1..points.len() {
        if i > leap + 1 {
            far += points[i].to(&points[i - 1]);
        }
        if far > OVER {
            break;
        }
        points[i].x -= share(far) * x;
        points[i].y -= share(far) * y;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Round a circle of 40 m at 20 m/s, 50 rows a second.
    fn circle() -> Vec<Point> {
        let at = |row: usize| {
            let t = 0.02 * row as f64;
            let (x, y) = (40.0 * (0.5 * t).cos(), 40.0 * (0.5 * t).sin());
            Point {
                x,
                y,
                z: None,
                t: Some(t),
                fix: row,
            }
        };
        (0..1200).map(at).collect()
    }

    #[test]
    fn a_leap_is_spread_and_a_spike_and_a_bend_stay() {
        let mut points = circle();
        assert_eq!(spread(&mut points), None);
        assert_eq!(points, circle());
        points[600..].iter_mut().for_each(|point| point.x += 0.8);
        let note = spread(&mut points);
        let Some(Note::Leaps {
            fix: 600,
            metres,
            count: 1,
        }) = note
        else {
            panic!("{note:?}")
        };
        assert!((metres - 0.8).abs() < 0.02, "{metres}");
        let step = points[599].to(&points[600]);
        assert!((step - 0.4).abs() < 0.02, "{step}");
        let mut spiked = circle();
        spiked[600].x += 3.0;
        let before = spiked.clone();
        assert_eq!(spread(&mut spiked), None);
        assert_eq!(spiked, before);
    }

    #[test]
    fn scatter_and_drift_are_no_leaps() {
        let mut random = 7_u64;
        let mut noise = || {
            random = random
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            (random >> 40) as f64 / f64::from(1 << 24) - 0.5
        };
        let (mut scattered, mut held) = (circle(), circle());
        scattered
            .iter_mut()
            .for_each(|point| point.x += 2.0 * noise());
        for row in 0..held.len() {
            let (x, y) = (held[row / 5 * 5].x, held[row / 5 * 5].y);
            (held[row].x, held[row].y) = (x, y);
        }
        assert_eq!(spread(&mut scattered), None);
        assert_eq!(spread(&mut held), None);
    }
}
