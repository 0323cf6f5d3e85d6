//! The laps of a recording side by side: how long each is, and which is the fastest of those that are whole.

use super::Point;
use super::cut::Crossing;

/// A lap is whole where its length is within this share of the usual one: lines over one road differ by less
/// (common practice, no source), escape roads and pit lanes by more.
const WHOLE: f64 = 0.03;
/// Fewest laps of which one is the usual length.
const FEWEST: usize = 3;

/// A lap from line to line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// How long it took, s, where the points have times.
    pub seconds: Option<f64>,
    /// How long it is, m.
    pub metres: f64,
    /// Rows or points are missing in it, on the move.
    pub holed: bool,
}

/// Longest pause that a recording may make, s, and how many times as long as its points are usually apart that is at
/// least (common practice, no source).
const PAUSE: (f64, f64) = (3.0, 10.0);
/// The speed, m/s, above which a car is on the move: errors of positions seldom look faster (common practice, no
/// source).
pub const MOVING: f64 = 2.0;
/// A shorter pause counts where the car went so far in it, m: corners are shorter; it is so many times as long as
/// the points are usually apart at least.
const FAR: (f64, f64) = (60.0, 4.0);

/// Whether a pause of so many seconds and metres is a hole, where points are usually so many seconds apart.
pub fn is_hole(seconds: f64, metres: f64, usual: f64) -> bool {
    let moves = metres > MOVING * seconds;
    let long = seconds > PAUSE.0 && seconds > PAUSE.1 * usual;
    let far = metres > FAR.0 && seconds > FAR.1 * usual;
    moves && (long || far)
}

/// The laps between the crossings of a line.
pub(super) fn seen(points: &[Point], crossings: &[Crossing]) -> Vec<Seen> {
    let mut steps: Vec<f64> = (points.windows(2))
        .filter_map(|pair| Some(pair[1].t? - pair[0].t?))
        .collect();
    steps.sort_by(f64::total_cmp);
    let usual = steps.get(steps.len() / 2).copied();
    let hole = |(a, b): (&Point, &Point)| {
        let seconds = a.t.zip(b.t).map(|(a, b)| b - a);
        let known = seconds.zip(usual);
        known.is_some_and(|(seconds, usual)| is_hole(seconds, a.to(b), usual))
    };
    let between = |pair: &[Crossing]| {
        let (from, to) = (&pair[0], &pair[1]);
        let inner = &points[from.next..to.next];
        let mut ends = std::iter::once(&from.point)
            .chain(inner)
            .zip(inner.iter().chain([&to.point]));
        Seen {
            seconds: from.point.t.zip(to.point.t).map(|(a, b)| b - a),
            metres: ends.clone().map(|(a, b)| a.to(b)).sum(),
            holed: ends.any(hole),
        }
    };
    crossings.windows(2).map(between).collect()
}

/// The usual length of some laps, m; `None` of fewer than three.
pub fn usual(laps: &[Seen]) -> Option<f64> {
    let mut lengths: Vec<f64> = laps.iter().map(|lap| lap.metres).collect();
    lengths.sort_by(f64::total_cmp);
    (laps.len() >= FEWEST).then(|| lengths[lengths.len() / 2])
}

/// Whether one of some laps is about as long as the usual one.
pub fn is_whole(laps: &[Seen], index: usize) -> bool {
    is_as_long(&laps[index], usual(laps))
}

/// The same beside a usual length that is known; where none is, any lap is.
pub fn is_as_long(lap: &Seen, usual: Option<f64>) -> bool {
    usual.is_none_or(|usual| (lap.metres / usual - 1.0).abs() <= WHOLE)
}

/// The lap that took least of those that are whole, one without a hole where there is one; the first does not
/// count where it is no flying one.
pub(super) fn fastest(laps: &[Seen], flying: bool) -> usize {
    let taken = |i: usize| laps[i].seconds.unwrap_or(f64::INFINITY);
    let (from, usual) = (usize::from(!flying), usual(laps));
    let whole = (from..laps.len()).filter(|&lap| is_as_long(&laps[lap], usual));
    let order = |&a: &usize, &b: &usize| {
        let holes = laps[a].holed.cmp(&laps[b].holed);
        holes.then(taken(a).total_cmp(&taken(b)))
    };
    whole.min_by(order).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn laps(of: &[(f64, f64)]) -> Vec<Seen> {
        let lap = |&(seconds, metres): &(f64, f64)| Seen {
            seconds: Some(seconds),
            metres,
            holed: false,
        };
        of.iter().map(lap).collect()
    }

    #[test]
    fn a_lap_with_a_hole_is_not_taken_where_others_have_none() {
        let mut three = laps(&[(60.0, 1500.0), (59.0, 1500.0), (61.0, 1500.0)]);
        three[1].holed = true;
        assert_eq!(fastest(&three, true), 0);
        three.iter_mut().for_each(|lap| lap.holed = true);
        assert_eq!(fastest(&three, true), 1);
    }

    #[test]
    fn a_hole_is_a_pause_on_the_move() {
        assert!(is_hole(3.6, 100.0, 0.1) && is_hole(1.5, 70.0, 0.1));
        // A car that stands, a slow recorder, and a row or two that are missing.
        assert!(!is_hole(40.0, 3.0, 0.1) && !is_hole(3.5, 80.0, 1.0) && !is_hole(0.3, 12.0, 0.1));
    }

    #[test]
    fn a_lap_that_was_cut_short_is_not_the_fastest() {
        let cut = laps(&[
            (67.5, 1546.0),
            (63.1, 1551.0),
            (55.0, 1413.0),
            (63.2, 1540.0),
        ]);
        assert_eq!(fastest(&cut, true), 1);
        assert_eq!(usual(&cut), Some(1546.0));
        assert!(is_whole(&cut, 0) && !is_whole(&cut, 2));
        // Of two nobody can tell which is the whole one.
        assert_eq!(fastest(&cut[1..3], true), 1);
        assert_eq!(
            fastest(
                &laps(&[(60.0, 1500.0), (61.0, 1500.0), (62.0, 1500.0)]),
                false
            ),
            1
        );
    }
}
