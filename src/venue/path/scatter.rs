//! How far points scatter about the line they lie along, where that drowns the road.
//!
//! Errors that are new at each point make a path zigzag: the offset of a point from the middle of its
//! neighbours is followed by one to the other side (of independent errors neighbouring offsets have a
//! correlation of -2/3). A road bends on as it did, and so do the slow errors of a receiver.

use super::Point;
use super::corners::Corner;

/// Neighbouring offsets that are correlated less than this are a zigzag.
const ZIGZAG: f64 = -0.35;
/// Neighbours so many points away tell where the road is straight.
const WIDE: usize = 4;
/// Fewer points tell nothing of their scatter.
const FEWEST: usize = 30;
/// Offsets so many times the usual one are a corner's, and count as so much.
const CLIPPED: f64 = 4.0;
/// The middle of the sizes of a normal error over its standard deviation.
const MEDIAN: f64 = 0.6745;
/// A corner that leaves its chord by less than so many times the scatter may be none.
const DROWNED: f64 = 2.0;

/// Standard deviation of the errors across the path, m, where they make it zigzag; else 0.
pub(super) fn scatter(points: &[Point]) -> f64 {
    let offsets: Vec<f64> = points.windows(3).filter_map(offset).collect();
    zigzag(&offsets)
}

/// The same where the road is straightest: amid tight corners a slight scatter makes no zigzag that shows, and
/// moves their speeds.
pub(super) fn on_straights(points: &[Point]) -> f64 {
    let reach = |apart: usize| {
        let three = move |span: &[Point]| offset(&[span[0], span[apart], span[2 * apart]]);
        points.windows(2 * apart + 1).map(three)
    };
    let wide: Vec<Option<f64>> = reach(WIDE).collect();
    let usual = median(wide.iter().flatten().map(|d| d.abs()));
    let straight = |d: &Option<f64>| d.is_some_and(|d| d.abs() <= usual);
    // The points in the middle of the wide spans are those from WIDE on.
    let near: Vec<Option<f64>> = reach(1).skip(WIDE - 1).collect();
    let pairs: Vec<(f64, f64)> = (1..wide.len())
        .filter(|&i| straight(&wide[i - 1]) && straight(&wide[i]))
        .filter_map(|i| near[i - 1].zip(near[i]))
        .collect();
    let square: f64 = pairs.iter().map(|(a, b)| 0.5 * (a * a + b * b)).sum();
    let next: f64 = pairs.iter().map(|(a, b)| a * b).sum();
    if pairs.len() < FEWEST || next >= ZIGZAG * square {
        return 0.0;
    }
    deviation(pairs.iter().map(|(a, b)| (b - a).abs()))
}

/// The same of a line that somebody clicked, where whatever shows in fourth differences counts as an error: of a
/// bend that goes on, or grows evenly tighter, nothing does.
pub(super) fn of_clicks(points: &[Point]) -> f64 {
    let offsets: Vec<f64> = points.windows(3).filter_map(offset).collect();
    let bends = offsets.windows(3).map(|d| (d[2] - 2.0 * d[1] + d[0]).abs());
    median(bends) / MEDIAN / 17.5_f64.sqrt()
}

/// Standard deviation of the errors that make offsets from the middle of the neighbours go to and fro.
fn zigzag(offsets: &[f64]) -> f64 {
    if offsets.len() < FEWEST {
        return 0.0;
    }
    let bound = CLIPPED * median(offsets.iter().map(|d| d.abs()));
    let clipped: Vec<f64> = offsets.iter().map(|d| d.clamp(-bound, bound)).collect();
    let square: f64 = clipped.iter().map(|d| d * d).sum();
    let next: f64 = clipped.windows(2).map(|d| d[0] * d[1]).sum();
    if next >= ZIGZAG * square {
        return 0.0;
    }
    deviation(offsets.windows(2).map(|d| (d[1] - d[0]).abs()))
}

/// Standard deviation of errors from the sizes of the differences of neighbouring offsets, which have five
/// times their variance; a bend that goes on is not in them.
fn deviation(differences: impl Iterator<Item = f64>) -> f64 {
    median(differences) / MEDIAN / 5_f64.sqrt()
}

/// How many corners leave their chords by too little to be told from such a scatter.
pub fn drowned(corners: &[Corner], scatter: f64) -> usize {
    let leaves = |corner: &Corner| {
        let length = corner.end - corner.start;
        // Of an arc; from half a circle on the diameter is more than any scatter.
        0.125 * length * corner.turned.min(std::f64::consts::PI)
    };
    let drowned = |corner: &&Corner| leaves(corner) < DROWNED * scatter;
    corners.iter().filter(drowned).count()
}

/// Offset of a point from the line through its neighbours, m, left positive.
fn offset(three: &[Point]) -> Option<f64> {
    let (ux, uy) = (three[2].x - three[0].x, three[2].y - three[0].y);
    let length = ux.hypot(uy);
    let (x, y) = (three[1].x - three[0].x, three[1].y - three[0].y);
    (length > 0.0).then(|| (ux * y - uy * x) / length)
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    sorted.get(sorted.len() / 2).copied().unwrap_or(0.0)
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    /// Squares of 12 m radius and straights of 200 m, a point every 15 m, off by what `error` draws.
    fn streets(mut error: impl FnMut() -> f64) -> Vec<Point> {
        let (mut x, mut y, mut heading) = (0.0, 0.0, 0.0_f64);
        let mut points = Vec::new();
        for metre in 0..6000 {
            if metre % 15 == 0 {
                points.push(Point {
                    x: x + error(),
                    y: y + error(),
                    z: None,
                    t: Some(f64::from(metre) / 15.0),
                    fix: points.len(),
                });
            }
            if metre % 219 >= 200 {
                heading += if metre / 219 % 2 == 0 { 1.0 } else { -1.0 } / 12.0;
            }
            (x, y) = (x + heading.cos(), y + heading.sin());
        }
        points
    }

    /// Numbers of variance 1 (the sum of twelve even ones, less its mean).
    pub fn normal() -> impl FnMut() -> f64 {
        let mut state = 42_u64;
        move || {
            let draws = (0..12).map(|_| {
                state = state * 48_271 % 0x7fff_ffff;
                state as f64 / f64::from(0x7fff_ffff_u32)
            });
            draws.sum::<f64>() - 6.0
        }
    }

    /// Clicks every 5 m along a bend that grows evenly tighter, off across the road by what `error` draws.
    fn clicks(mut error: impl FnMut() -> f64) -> Vec<Point> {
        let place = |k: i32| {
            let x = 5.0 * f64::from(k);
            Point {
                x,
                y: x * x * x / 1e6 + error(),
                z: None,
                t: None,
                fix: 0,
            }
        };
        (0..80).map(place).collect()
    }

    #[test]
    fn clicks_tell_how_far_they_are_off_and_a_growing_bend_is_no_error() {
        assert!(of_clicks(&clicks(|| 0.0)) < 5e-4);
        for sigma in [0.05, 0.3] {
            let mut draw = normal();
            let found = of_clicks(&clicks(|| sigma * draw()));
            assert!((found / sigma - 1.0).abs() < 0.25, "{found} for {sigma}");
        }
    }

    #[test]
    fn a_slight_scatter_shows_on_straights_and_a_drift_does_not() {
        for sigma in [1.0, 2.0] {
            let mut draw = normal();
            let found = on_straights(&streets(|| sigma * draw()));
            assert!((found / sigma - 1.0).abs() < 0.25, "{found} for {sigma}");
        }
        // Errors of 1.5 m that drift over 10 s, to either side alike.
        let (mut draw, mut error) = (normal(), [0.0; 2]);
        let mut axis = 0;
        let drift = || {
            axis = 1 - axis;
            error[axis] = 0.9 * error[axis] + 1.5 * f64::sqrt(1.0 - 0.81) * draw();
            error[axis]
        };
        let found = on_straights(&streets(drift));
        assert!(found < 0.6, "{found}");
        assert_eq!(on_straights(&streets(|| 0.0)), 0.0);
    }

    /// Points 10 m apart around a circle of 120 m, each off by a share of 3 m that is drawn anew
    /// (a multiplicative generator modulo 2³¹ − 1; of numbers even from -√3 to √3 times it).
    fn points(sigma: f64) -> Vec<Point> {
        let mut state = 42_u64;
        let mut draw = || {
            state = state * 48_271 % 0x7fff_ffff;
            sigma * 3_f64.sqrt() * (2.0 * state as f64 / f64::from(0x7fff_ffff_u32) - 1.0)
        };
        (0..400)
            .map(|fix| {
                let angle = 10.0 / 120.0 * fix as f64;
                Point {
                    x: 120.0 * angle.cos() + draw(),
                    y: 120.0 * angle.sin() + draw(),
                    z: None,
                    t: None,
                    fix,
                }
            })
            .collect()
    }

    #[test]
    fn errors_new_at_each_point_are_measured_and_bends_are_not() {
        assert_eq!(scatter(&points(0.0)), 0.0);
        for sigma in [1.5, 3.0] {
            let found = scatter(&points(sigma));
            assert!((found / sigma - 1.0).abs() < 0.15, "{found} for {sigma}");
        }
    }
}
