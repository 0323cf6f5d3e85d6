//! Engine speed over road speed, gear by gear: does the car file's tyre, final drive and gearbox
//! match what was driven?

/// A gear as the log shows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Engine speed over road speed, rpm per m/s.
    pub ratio: f64,
    /// Share of the moving rows in this gear.
    pub share: f64,
}

/// A gear of the car file beside the log.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Match {
    /// Gear, from 1.
    pub gear: usize,
    /// What the file says, rpm per m/s.
    pub expected: f64,
    /// What the log says, rpm per m/s, where the gear was used.
    pub seen: Option<f64>,
}

/// The car file against the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// What all gears of the log are longer or shorter by: log over file. A tyre or a final drive
    /// that differs moves all gears alike.
    pub scale: f64,
    /// The gears.
    pub gears: Vec<Match>,
    /// Gears that differ from the others, counted from 1: a ratio typed wrongly.
    pub odd: Vec<usize>,
}

impl Comparison {
    /// The final drive with which the gears of the log would be those of the car, in place of a fitted one.
    pub fn final_drive(&self, fitted: f64) -> f64 {
        fitted * self.scale
    }

    /// The rolling radius that would do the same, m, in place of one on the car.
    pub fn rolling_radius(&self, fitted: f64) -> f64 {
        fitted / self.scale
    }
}

/// Bins of the histogram, in the logarithm of the ratio: half a percent.
const BIN: f64 = 0.005;
/// A peak holds at least this share of the rows.
const LEAST_SHARE: f64 = 0.01;
/// Rows slower than this have a slipping clutch or a poor speed, m/s.
const SLOWEST: f64 = 4.0;
/// A gear that differs from the common scale by more is odd.
const ODD: f64 = 0.02;
/// Gears are looked for within this factor of where the file has them.
const REACH: f64 = 1.3;

/// The gears that rows of engine speed and road speed cluster in, shortest first.
pub fn seen(rpm: &[f64], speed: &[f64]) -> Vec<Seen> {
    let rows: Vec<f64> = rpm
        .iter()
        .zip(speed)
        .filter(|(rpm, speed)| **speed > SLOWEST && **rpm > 500.0)
        .map(|(rpm, speed)| (rpm / speed).ln())
        .collect();
    let bounds = |pick: fn(f64, f64) -> f64, start| rows.iter().copied().fold(start, pick);
    let (low, high) = (
        bounds(f64::min, f64::INFINITY),
        bounds(f64::max, f64::NEG_INFINITY),
    );
    if rows.len() < 50 || !(high - low).is_finite() {
        return Vec::new();
    }
    let count = (((high - low) / BIN) as usize + 5).min(4000);
    let mut bins = vec![0.0; count];
    for row in &rows {
        let at = (((row - low) / BIN) as usize + 2).min(count - 1);
        bins[at] += 1.0;
    }
    let smooth: Vec<f64> = (0..count)
        .map(|i| {
            (i.saturating_sub(2)..(i + 3).min(count))
                .map(|k| bins[k])
                .sum()
        })
        .collect();
    let mut found: Vec<Seen> = Vec::new();
    for i in 1..count - 1 {
        // Two gears are never nearer than some 8 %.
        let around = i.saturating_sub(8)..(i + 9).min(count);
        let top = smooth[i] >= around.clone().map(|k| smooth[k]).fold(0.0, f64::max);
        let first = !around
            .clone()
            .take_while(|k| *k < i)
            .any(|k| smooth[k] == smooth[i]);
        if top && first && smooth[i] >= LEAST_SHARE * rows.len() as f64 {
            let centre = low + (i as f64 - 1.5) * BIN;
            let near: Vec<f64> = rows
                .iter()
                .copied()
                .filter(|row| (row - centre).abs() < 3.0 * BIN)
                .collect();
            let mean = near.iter().sum::<f64>() / near.len().max(1) as f64;
            found.push(Seen {
                ratio: mean.exp(),
                share: near.len() as f64 / rows.len() as f64,
            });
        }
    }
    found.sort_by(|a, b| b.ratio.total_cmp(&a.ratio));
    found
}

/// How many times the engine speed of a log seems to be that of the car, 2 or 0.5, where most of its driving
/// fits the gears of the car, rpm per m/s, so and not as it stands.
pub fn counted(seen: &[Seen], expected: &[f64]) -> Option<f64> {
    /// Share of the driving in gears that fits at least, and how many times what fits as it stands.
    const MOST: f64 = 0.6;
    const MORE: f64 = 1.5;
    /// A tyre may be so much larger or smaller.
    const NEAR: f64 = 1.1;
    let total: f64 = seen.iter().map(|s| s.share).sum();
    let agreed = |scale: f64| -> f64 {
        let fits = |s: &&Seen| {
            let off = |e: &f64| (s.ratio / (e * scale)).ln().abs();
            expected.iter().any(|e| off(e) < 0.5 * ODD)
        };
        seen.iter().filter(fits).map(|s| s.share).sum()
    };
    let best = |about: f64, reach: f64| {
        let scales = seen
            .iter()
            .flat_map(|s| expected.iter().map(move |e| s.ratio / e));
        let near = scales.filter(|scale| (about / reach..=about * reach).contains(scale));
        near.map(agreed).fold(0.0, f64::max)
    };
    let plain = best(1.0, REACH);
    [2.0, 0.5].into_iter().find(|times| {
        let so = best(*times, NEAR);
        so > MOST * total && so > MORE * plain
    })
}

/// The gears of a car file, rpm per m/s from first to top, beside those of a log. `None` where the
/// log shows no gear.
pub fn compare(seen: &[Seen], expected: &[f64]) -> Option<Comparison> {
    if seen.is_empty() || expected.is_empty() {
        return None;
    }
    // The common scale is the one that most of the driving fits, gear by gear.
    let candidates = seen
        .iter()
        .flat_map(|s| expected.iter().map(move |e| s.ratio / e));
    let fit = |scale: f64| -> f64 {
        let fits = |s: &Seen| {
            expected
                .iter()
                .any(|e| (s.ratio / (e * scale)).ln().abs() < 0.5 * ODD)
        };
        let agreed: f64 = seen
            .iter()
            .filter(|s| fits(s))
            .map(|s| s.share.sqrt())
            .sum();
        agreed - 0.2 * scale.ln().abs()
    };
    let scale = candidates
        .filter(|scale| (1.0 / REACH..=REACH).contains(scale))
        .max_by(|a, b| fit(*a).total_cmp(&fit(*b)))?;
    let near = |e: f64| {
        seen.iter()
            .map(|s| s.ratio)
            .filter(|r| (r / (e * scale)).ln().abs() < 0.12)
            .min_by(|a, b| {
                (a / (e * scale))
                    .ln()
                    .abs()
                    .total_cmp(&(b / (e * scale)).ln().abs())
            })
    };
    let gears: Vec<Match> = expected
        .iter()
        .enumerate()
        .map(|(i, &expected)| Match {
            gear: i + 1,
            expected,
            seen: near(expected),
        })
        .collect();
    let odd = gears
        .iter()
        .filter(|g| {
            g.seen
                .is_some_and(|s| (s / (g.expected * scale)).ln().abs() > ODD)
        })
        .map(|g| g.gear)
        .collect();
    Some(Comparison { scale, gears, odd })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn revs_that_are_counted_twice_are_told_from_another_final_drive() {
        let expected = [311.0, 205.0, 144.0, 106.0];
        let driven = |times: f64| -> Vec<Seen> {
            let share = [0.1, 0.3, 0.4, 0.2];
            let gears = expected.iter().zip(share);
            gears
                .map(|(ratio, share)| Seen {
                    ratio: times * ratio,
                    share,
                })
                .collect()
        };
        assert_eq!(counted(&driven(2.0), &expected), Some(2.0));
        assert_eq!(counted(&driven(0.5), &expected), Some(0.5));
        // With a tyre 5 % smaller beside.
        assert_eq!(counted(&driven(2.1), &expected), Some(2.0));
        for plain in [1.0, 1.08, 0.85, 1.25, 3.0] {
            assert_eq!(counted(&driven(plain), &expected), None, "{plain}");
        }
        assert_eq!(counted(&[], &expected), None);
    }
}
