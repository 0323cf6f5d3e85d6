//! Times in whole seconds beside rows that come faster, and clocks that restart with each lap.

use std::ops::Range;

/// Share of the seconds that have the usual number of rows, or one more or less.
const USUAL: f64 = 0.9;
/// Fewest seconds that tell.
const FEWEST: usize = 5;
/// A clock that restarts begins within so many rows.
const RESTART: f64 = 10.0;

/// Rows of one time.
fn runs(time: &[f64]) -> Vec<Range<usize>> {
    let mut found: Vec<Range<usize>> = Vec::new();
    for row in 0..time.len() {
        match found.last_mut() {
            Some(last) if time[last.start] == time[row] => last.end = row + 1,
            _ => found.push(row..row + 1),
        }
    }
    found
}

/// Lets times run on that restart with each lap; the first row that they restart at. Nothing changes where time
/// goes backwards anywhere else.
pub(super) fn onward(time: &mut [f64], laps: &[i64]) -> Option<usize> {
    let mut steps: Vec<f64> = time.windows(2).map(|t| t[1] - t[0]).collect();
    steps.sort_by(f64::total_cmp);
    let usual = steps
        .get(steps.len() / 2)
        .copied()
        .filter(|step| *step > 0.0)?;
    let back: Vec<usize> = (1..time.len())
        .filter(|&row| time[row] < time[row - 1])
        .collect();
    let restarts = |&row: &usize| laps[row] > laps[row - 1] && time[row] < RESTART * usual;
    if !back.iter().all(restarts) {
        return None;
    }
    for &row in back.iter().rev() {
        let shift = time[row - 1] + usual - time[row];
        time[row..].iter_mut().for_each(|t| *t += shift);
    }
    back.first().copied()
}

/// Rows that were spread over their seconds.
#[derive(Debug, PartialEq)]
pub(super) struct Spread {
    /// How many there usually are of one.
    pub usual: usize,
    /// The rows of those that have two less or more, or are still farther off: rows are missing there.
    pub uneven: Vec<Range<usize>>,
}

/// Spreads rows evenly over the second that they are written in, where times are whole seconds and repeat
/// themselves.
pub(super) fn spread(time: &mut [f64]) -> Option<Spread> {
    let runs = runs(time);
    let whole = time.iter().all(|t| t.is_finite() && t.fract() == 0.0);
    let [first, inner @ .., last] = runs.as_slice() else {
        return None;
    };
    if !whole || !time.is_sorted() || inner.len() < FEWEST {
        return None;
    }
    let mut lengths: Vec<usize> = inner.iter().map(Range::len).collect();
    lengths.sort_unstable();
    let usual = lengths[lengths.len() / 2];
    let alike = lengths.iter().filter(|n| n.abs_diff(usual) <= 1).count();
    if usual < 2 || (alike as f64) < USUAL * lengths.len() as f64 {
        return None;
    }
    for rows in inner {
        share(time, rows, 0, rows.len());
    }
    // The first second is known by its end, the last by its start.
    let before = usual.saturating_sub(first.len());
    share(time, first, before, before + first.len());
    share(time, last, 0, usual.max(last.len()));
    let uneven = inner.iter().filter(|rows| rows.len().abs_diff(usual) > 1);
    Some(Spread {
        usual,
        uneven: uneven.cloned().collect(),
    })
}

/// Moves rows on by the share of a second that they are behind its start: `before` of `all` come first.
fn share(time: &mut [f64], rows: &Range<usize>, before: usize, all: usize) {
    for (order, row) in rows.clone().enumerate() {
        time[row] += (before + order) as f64 / all as f64;
    }
}

#[cfg(test)]
mod tests {
    use super::{Spread, spread};

    #[test]
    fn rows_of_one_second_lie_evenly_in_it() {
        let true_times: Vec<f64> = (3..87).map(|i| 0.1 * f64::from(i)).collect();
        let mut time: Vec<f64> = true_times.iter().map(|t| (t + 1e-9).floor()).collect();
        let even = Spread {
            usual: 10,
            uneven: Vec::new(),
        };
        assert_eq!(spread(&mut time), Some(even));
        for (found, wanted) in time.iter().zip(&true_times) {
            assert!((found - wanted).abs() < 1e-6, "{found} for {wanted}");
        }
    }

    #[test]
    fn seconds_in_which_rows_are_missing_are_named() {
        let times = (0..300).map(|i| 0.1 * f64::from(i));
        let kept = times.filter(|t| !(12.35..12.75).contains(t) && !(20.05..20.15).contains(t));
        let mut time: Vec<f64> = kept.map(|t| (t + 1e-9).floor()).collect();
        let found = spread(&mut time).unwrap();
        assert_eq!(found.usual, 10);
        let [second] = found.uneven.as_slice() else {
            panic!("{found:?}")
        };
        assert_eq!(*second, 120..126);
    }

    #[test]
    fn other_times_stay() {
        let mut tenths: Vec<f64> = (0..90).map(|i| 0.1 * f64::from(i)).collect();
        let mut seconds: Vec<f64> = (0..90).map(f64::from).collect();
        // A clock that stands for a while is no row of ten.
        let mut uneven: Vec<f64> = (0..90).map(|i| f64::from(i * i / 90)).collect();
        for time in [&mut tenths, &mut seconds, &mut uneven] {
            let before = time.clone();
            assert_eq!(spread(time), None);
            assert_eq!(*time, before);
        }
    }
}
