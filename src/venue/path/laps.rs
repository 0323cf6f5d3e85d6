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
}

/// The laps between the crossings of a line.
pub(super) fn seen(points: &[Point], crossings: &[Crossing]) -> Vec<Seen> {
    let between = |pair: &[Crossing]| {
        let (from, to) = (&pair[0], &pair[1]);
        let inner = &points[from.next..to.next];
        let ends = std::iter::once(&from.point)
            .chain(inner)
            .zip(inner.iter().chain([&to.point]));
        Seen {
            seconds: from.point.t.zip(to.point.t).map(|(a, b)| b - a),
            metres: ends.map(|(a, b)| a.to(b)).sum(),
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
    usual(laps).is_none_or(|usual| (laps[index].metres / usual - 1.0).abs() <= WHOLE)
}

/// The lap that took least of those that are whole; the first does not count where it is no flying one.
pub(super) fn fastest(laps: &[Seen], flying: bool) -> usize {
    let taken = |i: usize| laps[i].seconds.unwrap_or(f64::INFINITY);
    let from = usize::from(!flying);
    let whole = (from..laps.len()).filter(|&lap| is_whole(laps, lap));
    whole
        .min_by(|&a, &b| taken(a).total_cmp(&taken(b)))
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn laps(of: &[(f64, f64)]) -> Vec<Seen> {
        let lap = |&(seconds, metres): &(f64, f64)| Seen {
            seconds: Some(seconds),
            metres,
        };
        of.iter().map(lap).collect()
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
