//! Lone fixes of a recording off the line of their neighbours, out and back, as no car goes.

use super::Point;
use super::note::Note;

/// No car is thrown to one side and the other by more than this from fix to fix, m/s²: 2 g.
const HARDEST: f64 = 19.6;
/// And the recording does not scatter by so many times what is usual.
const MANY: f64 = 5.0;
/// Fixes nearer to the line are left to the smoothing, m.
const LEAST: f64 = 3.0;
/// More than these, or this share of the fixes, are how the receiver scatters.
const FEW: (usize, f64) = (3, 0.02);
/// One fix thrown aside by d changes the steps about it by d, -2d and d; at least this share of it.
const LIKE: (f64, f64) = (0.5, 1.3);

/// Takes out the lone fixes that were thrown aside.
pub(super) fn without(points: &mut Vec<Point>) -> Option<Note> {
    let last = points.len().checked_sub(2)?;
    let off: Vec<(usize, f64, Off)> = (2..last)
        .filter_map(|i| Some((i, even_step(points, i)?, Off::new(points, i))))
        .collect();
    let mut sizes: Vec<f64> = off.iter().map(|(_, _, off)| off.size).collect();
    sizes.sort_by(f64::total_cmp);
    let usual = *sizes.get(sizes.len() / 2)?;
    let thrown: Vec<usize> = off
        .iter()
        .filter(|(i, seconds, off)| {
            // Changes of three steps by what a car can do, one way, the other and back, make so much.
            let driven = 4.0 / 6.0 * HARDEST * seconds * seconds;
            let bound = LEAST.max(MANY * usual).max(driven);
            off.alone && off.size > bound && aside(points, *i) > 0.5 * bound
        })
        .map(|(i, ..)| *i)
        .collect();
    let first = *thrown.first()?;
    if thrown.len() > FEW.0.max((FEW.1 * points.len() as f64) as usize) {
        return None;
    }
    let note = Note::Thrown {
        fix: points[first].fix,
        metres: thrown.iter().map(|&i| aside(points, i)).fold(0.0, f64::max),
        count: thrown.len(),
    };
    let mut index = 0;
    points.retain(|_| {
        index += 1;
        thrown.binary_search(&(index - 1)).is_err()
    });
    Some(note)
}

/// The mean time of the four steps about a fix, s, where they follow each other evenly.
fn even_step(points: &[Point], at: usize) -> Option<f64> {
    let (mut least, mut most) = (f64::MAX, 0.0_f64);
    for pair in points[at - 2..=at + 2].windows(2) {
        let step = pair[1].t? - pair[0].t?;
        (least, most) = (least.min(step), most.max(step));
    }
    let whole = points[at + 2].t? - points[at - 2].t?;
    (least > 0.0 && most < 1.5 * least).then_some(0.25 * whole)
}

/// How far a fix lies off the curve of third degree through two before and two behind it.
struct Off {
    size: f64,
    /// The steps about it change as one fix alone makes them.
    alone: bool,
}

impl Off {
    fn new(points: &[Point], at: usize) -> Self {
        let change = |i: usize| {
            let (a, b, c) = (&points[i - 1], &points[i], &points[i + 1]);
            (a.x - 2.0 * b.x + c.x, a.y - 2.0 * b.y + c.y)
        };
        let [before, here, behind] = [at - 1, at, at + 1].map(change);
        let sixth = |a: f64, b: f64, c: f64| (a - 2.0 * b + c) / 6.0;
        let x = sixth(before.0, here.0, behind.0);
        let y = sixth(before.1, here.1, behind.1);
        let square = x * x + y * y;
        let along = |change: (f64, f64)| change.0 * x + change.1 * y;
        let alone =
            along(before).min(along(behind)) > LIKE.0 * square && -along(here) > LIKE.1 * square;
        Self {
            size: square.sqrt(),
            alone,
        }
    }
}

/// How far a fix lies from the way between its neighbours, m: one that is early or late lies on it.
fn aside(points: &[Point], at: usize) -> f64 {
    let (a, b) = (&points[at - 1], &points[at + 1]);
    let (x, y) = (b.x - a.x, b.y - a.y);
    let square = x * x + y * y;
    let along = (points[at].x - a.x) * x + (points[at].y - a.y) * y;
    let share = if square > 0.0 { along / square } else { 0.0 };
    a.towards(b, share.clamp(0.0, 1.0)).to(&points[at])
}

#[cfg(test)]
mod tests {
    use super::super::scatter::tests::normal;
    use super::*;

    /// So many fixes a second along a straight, round a hairpin of 8 m at 8 m/s and back, each off by what
    /// `error` draws.
    fn hairpin(rate: usize, mut error: impl FnMut() -> f64) -> Vec<Point> {
        let arc = 8.0 * std::f64::consts::PI;
        let place = |fix: usize| {
            let t = fix as f64 / rate as f64;
            let s = 8.0 * t - 400.0;
            let (x, y) = match s {
                s if s < 0.0 => (s, 0.0),
                s if s < arc => (8.0 * (s / 8.0).sin(), 8.0 - 8.0 * (s / 8.0).cos()),
                s => (arc - s, 16.0),
            };
            let (x, y) = (x + error(), y + error());
            let (z, t) = (None, Some(t));
            Point { x, y, z, t, fix }
        };
        (0..100 * rate).map(place).collect()
    }

    #[test]
    fn lone_fixes_far_aside_are_left_out_on_straights_and_in_hairpins() {
        for (rate, sigma, metres) in [
            (1, 0.0, 20.0),
            (1, 1.5, 25.0),
            (1, 4.0, 60.0),
            (10, 0.3, 8.0),
        ] {
            let mut draw = normal();
            let mut points = hairpin(rate, || sigma * draw());
            let before = points.len();
            for fix in [20 * rate, 52 * rate] {
                points[fix].x += 0.6 * metres;
                points[fix].y -= 0.8 * metres;
            }
            let note = without(&mut points);
            let Some(Note::Thrown { fix, count: 2, .. }) = note else {
                panic!("{rate} {sigma}: {note:?}")
            };
            assert_eq!((fix, points.len()), (20 * rate, before - 2));
            assert!(
                points
                    .iter()
                    .all(|p| p.fix != 20 * rate && p.fix != 52 * rate)
            );
        }
    }

    #[test]
    fn hairpins_scatter_leaps_and_late_fixes_stay() {
        for (rate, sigma) in [(1, 0.0), (1, 1.0), (1, 4.0), (5, 2.0), (10, 0.0)] {
            let mut draw = normal();
            let mut points = hairpin(rate, || sigma * draw());
            assert_eq!(without(&mut points), None, "{rate} {sigma}");
        }
        let mut leapt = hairpin(1, || 0.0);
        leapt[30..].iter_mut().for_each(|point| point.y += 30.0);
        assert_eq!(without(&mut leapt), None);
        let mut late = hairpin(1, || 0.0);
        late.iter_mut().for_each(|point| point.x *= 5.0);
        late[30].x -= 30.0;
        assert_eq!(without(&mut late), None);
        // Held for several rows.
        let mut held = hairpin(10, || 0.0);
        for row in 0..held.len() {
            (held[row].x, held[row].y) = (held[row / 10 * 10].x, held[row / 10 * 10].y);
        }
        assert_eq!(without(&mut held), None);
    }
}
