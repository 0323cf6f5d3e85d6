//! Time in band: seconds per rpm band, split exactly at the edges. Shifting is in no band, so the
//! bands and the shifting add up to the lap.

use super::revs::{Span, Use};

/// One rpm band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Lower edge, rpm, inside.
    pub low_rpm: f64,
    /// Upper edge, rpm, outside.
    pub high_rpm: f64,
    /// Seconds in it.
    pub time: f64,
    /// Of those, seconds in which the engine's full force reaches the road.
    pub full: f64,
}

/// Time in band over a lap.
#[derive(Debug, Clone, PartialEq)]
pub struct Bands {
    /// The bands from the lowest to the highest that was visited, without gaps.
    pub bands: Vec<Band>,
    /// Seconds spent changing gear, in no band.
    pub shifting: f64,
}

/// Sorts spans into bands of `width` rpm whose edges are multiples of it.
///
/// # Panics
/// Never for a positive width; a width of zero or less gives no bands.
pub fn bands(spans: &[Span], width: f64) -> Bands {
    let mut shifting = 0.0;
    let mut sums: Vec<(f64, f64)> = Vec::new();
    if width > 0.0 {
        for span in spans {
            if span.used == Use::Shifting {
                shifting += span.time;
            } else {
                add(&mut sums, span, width);
            }
        }
    }
    let visited = |sum: &(f64, f64)| sum.0 > 0.0;
    let first = sums.iter().position(visited).unwrap_or(0);
    let last = sums.iter().rposition(visited).map_or(first, |i| i + 1);
    let bands = (first..last)
        .map(|i| Band {
            low_rpm: i as f64 * width,
            high_rpm: (i + 1) as f64 * width,
            time: sums[i].0,
            full: sums[i].1,
        })
        .collect();
    Bands { bands, shifting }
}

fn add(sums: &mut Vec<(f64, f64)>, span: &Span, width: f64) {
    let low = (span.from_rpm.min(span.to_rpm) / width) as usize;
    let high = (span.from_rpm.max(span.to_rpm) / width) as usize;
    if sums.len() <= high {
        sums.resize(high + 1, (0.0, 0.0));
    }
    for (i, sum) in sums.iter_mut().enumerate().take(high + 1).skip(low) {
        let time = span.time_within(i as f64 * width, (i + 1) as f64 * width);
        sum.0 += time;
        if span.used == Use::Full {
            sum.1 += time;
        }
    }
}

/// Share of the full-throttle time that is spent below an engine speed.
///
/// # None
/// There is no full-throttle time.
pub fn full_share_below(spans: &[Span], rpm: f64) -> Option<f64> {
    let full = || spans.iter().filter(|s| s.used == Use::Full);
    let all: f64 = full().map(|s| s.time).sum();
    let below: f64 = full().map(|s| s.time_within(f64::NEG_INFINITY, rpm)).sum();
    (all > 0.0).then(|| below / all)
}

#[cfg(test)]
mod tests {
    use super::super::revs::tests::{record, revs};
    use super::*;
    use crate::lap::Phase;

    fn lap() -> Vec<Span> {
        let mut braking = record(Phase::Line, 2, 45.0, 8.0, 4.0);
        braking.braking = true;
        let mut sliding = record(Phase::Drive, 1, 12.0, 18.0, 1.1);
        sliding.traction = true;
        revs().spans(&[
            record(Phase::Launch, 0, 0.0, 9.0, 1.5),
            record(Phase::Drive, 0, 9.0, 17.0, 2.0),
            record(Phase::Shift, 1, 17.0, 16.9, 0.35),
            record(Phase::Drive, 1, 16.9, 28.0, 3.0),
            record(Phase::Shift, 2, 28.0, 27.8, 0.35),
            record(Phase::Drive, 2, 27.8, 45.0, 7.0),
            braking,
            record(Phase::Held, 1, 8.0, 12.0, 1.0),
            sliding,
            record(Phase::Limiter, 2, 45.0, 45.0, 0.6),
        ])
    }

    #[test]
    fn bands_and_shifting_are_the_lap() {
        let spans = lap();
        let time: f64 = spans.iter().map(|s| s.time).sum();
        for width in [1.0, 37.0, 250.0, 500.0, 1000.0, 20_000.0] {
            let bands = bands(&spans, width);
            let sum: f64 = bands.bands.iter().map(|b| b.time).sum();
            approx::assert_relative_eq!(sum + bands.shifting, time, max_relative = 1e-12);
            approx::assert_relative_eq!(bands.shifting, 0.7, max_relative = 1e-12);
            let full: f64 = bands.bands.iter().map(|b| b.full).sum();
            approx::assert_relative_eq!(full, 12.0, max_relative = 1e-12);
        }
    }

    #[test]
    fn an_even_pull_spends_the_same_time_in_each_band() {
        let spans = revs().spans(&[record(Phase::Drive, 1, 16.0, 28.0, 3.0)]);
        let bands = bands(&spans, 500.0);
        assert_eq!(bands.bands.len(), 6);
        assert_eq!(bands.bands[0].low_rpm, 4000.0);
        for band in bands.bands {
            approx::assert_relative_eq!(band.time, 0.5, max_relative = 1e-12);
            approx::assert_relative_eq!(band.full, 0.5, max_relative = 1e-12);
        }
    }

    #[test]
    fn the_share_below_an_rpm_is_of_full_throttle_time_alone() {
        let mut sliding = record(Phase::Drive, 1, 12.0, 16.0, 9.0);
        sliding.traction = true;
        let spans = revs().spans(&[sliding, record(Phase::Drive, 1, 16.0, 28.0, 3.0)]);
        approx::assert_relative_eq!(full_share_below(&spans, 5000.0).unwrap(), 1.0 / 3.0);
        assert_eq!(full_share_below(&spans[..1], 5000.0), None);
    }
}
