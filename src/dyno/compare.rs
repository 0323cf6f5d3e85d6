//! Two specs of a day side by side: who leads where, by how much, and how surely.
//!
//! Intervals are pointwise: at one engine speed, or for one band, the true difference lies inside in
//! 95 of 100 days. An engine speed is *unresolved* where the interval of the difference holds zero.
//! The unresolved stretch around a crossover is the crossover's interval (Fieller's way: every speed
//! at which a crossover would not be refuted); where it runs to the end of what was measured, the
//! interval is open there.

use super::crossover::{Crossover, crossovers};
use super::doubt::Doubt;
use super::levels::Spread;
use super::reduce::Reduced;

/// Confidence of every interval given here.
pub const CONFIDENCE: f64 = 0.95;
/// Step at which the sign of a difference is looked at, rpm.
const STEP_RPM: f64 = 10.0;

/// An estimate with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// The estimate.
    pub value: f64,
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Degrees of freedom of the t quantile; infinite where the scatter is all assumed.
    pub df: f64,
}

impl Interval {
    /// Whether it excludes zero.
    pub fn is_resolved(&self) -> bool {
        self.low > 0.0 || self.high < 0.0
    }
}

/// A stretch of engine speed, rpm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stretch {
    /// Lower end, rpm.
    pub from_rpm: f64,
    /// Upper end, rpm.
    pub to_rpm: f64,
}

/// What two specs differ by in one band.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gain {
    /// The band.
    pub band: Stretch,
    /// Mean of the first's torque less the second's, N·m.
    pub torque: Interval,
}

/// One or more crossovers that the pulls do not tell apart, with their interval.
#[derive(Debug, Clone, PartialEq)]
pub struct CrossoverInterval {
    /// Where the curves cross, rpm.
    pub at_rpm: Vec<f64>,
    /// Whether the first spec leads below.
    pub first_leads_below: bool,
    /// Lower end, rpm; `None` where it is open.
    pub low: Option<f64>,
    /// Upper end, rpm; `None` where it is open.
    pub high: Option<f64>,
}

impl CrossoverInterval {
    /// Whether both specs surely lead on their sides.
    pub fn is_resolved(&self) -> bool {
        self.low.is_some() && self.high.is_some()
    }

    /// The crossover it comes to, where it changes the lead and one of the specs surely leads beside it.
    pub fn told(&self) -> Option<Crossover> {
        match self.at_rpm[..] {
            [rpm] if self.low.is_some() || self.high.is_some() => Some(Crossover {
                rpm,
                first_leads_below: self.first_leads_below,
            }),
            _ => None,
        }
    }
}

/// Two specs side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// Index of the first spec.
    pub first: usize,
    /// Index of the second spec.
    pub second: usize,
    /// The engine speeds both were measured at.
    pub range: Stretch,
    /// Half width of the interval of ln(first/second), alike at every engine speed where no pull
    /// leaves more open.
    pub half_width: f64,
    /// Variance and degrees of freedom behind it.
    pub spread: Spread,
    /// What hangs on one pull of either.
    pub doubts: Vec<Doubt>,
    /// Where the curves cross.
    pub crossovers: Vec<CrossoverInterval>,
    /// Where the pulls do not say who leads, rising.
    pub unresolved: Vec<Stretch>,
    /// Gains per band of 500 rpm.
    pub gains: Vec<Gain>,
    /// The gain over the whole range.
    pub whole: Gain,
}

impl Comparison {
    /// Half width of the interval of ln(first/second) at an engine speed.
    pub fn half_width_at(&self, rpm: f64) -> f64 {
        let moved = self.doubts.iter().map(|doubt| doubt.at(rpm).powi(2));
        self.spread.beside(moved.sum()).half_width(CONFIDENCE)
    }

    /// Whether either spec surely leads anywhere.
    pub fn is_told_apart(&self) -> bool {
        let Stretch { from_rpm, to_rpm } = self.range;
        let open: f64 = self.unresolved.iter().map(|s| s.to_rpm - s.from_rpm).sum();
        to_rpm - from_rpm - open > 2.0 * STEP_RPM
    }
}

impl Reduced {
    /// How far to trust the difference of two specs, ln(first/second), in the mean over a band (at
    /// one engine speed where both ends are equal).
    pub fn spread_of_difference(&self, first: usize, second: usize, band: Stretch) -> Spread {
        let contrast = self.difference_of(first, second);
        let scatter = self.scatter_of_difference(first, second, band);
        scatter.beside(self.doubt(&contrast, band))
    }

    /// The same by what pulls and fittings scatter alone.
    fn scatter_of_difference(&self, first: usize, second: usize, band: Stretch) -> Spread {
        let contrast = self.difference_of(first, second);
        let wave = self.wave_share(first, band) + self.wave_share(second, band);
        self.levels.spread(&contrast, wave, self.wave.df)
    }

    fn difference_of(&self, first: usize, second: usize) -> Vec<f64> {
        let mut contrast = vec![0.0; self.specs.len()];
        contrast[first] += 1.0;
        contrast[second] -= 1.0;
        contrast
    }

    /// How far to trust one spec's curve, ln τ, at one engine speed.
    pub fn spread_of_curve(&self, spec: usize, rpm: f64) -> Spread {
        let mut contrast = vec![0.0; self.specs.len()];
        contrast[spec] = 1.0;
        let point = Stretch {
            from_rpm: rpm,
            to_rpm: rpm,
        };
        let wave = self.wave_share(spec, point);
        let spread = self.levels.spread(&contrast, wave, self.wave.df);
        spread.beside(self.doubt(&contrast, point))
    }

    pub(super) fn wave_share(&self, spec: usize, band: Stretch) -> f64 {
        let weights = self.specs[spec].pulls.iter().map(|&p| self.pulls[p].weight);
        let squares: f64 = weights.map(|w| w * w).sum();
        squares * self.wave_beyond_level(spec, band.from_rpm, band.to_rpm)
    }

    /// A spec's torque, N·m, with its interval.
    pub fn torque(&self, spec: usize, rpm: f64) -> Interval {
        let value = self.specs[spec].curve.torque(rpm);
        let spread = self.spread_of_curve(spec, rpm);
        let half = spread.half_width(CONFIDENCE);
        Interval {
            value,
            low: value * (-half).exp(),
            high: value * half.exp(),
            df: spread.df,
        }
    }

    /// Two specs side by side; `None` where they share no engine speeds.
    pub fn compare(&self, first: usize, second: usize) -> Option<Comparison> {
        let (a, b) = (&self.specs[first].curve, &self.specs[second].curve);
        let range = Stretch {
            from_rpm: a.first_rpm().max(b.first_rpm()),
            to_rpm: a.last_rpm().min(b.last_rpm()),
        };
        if range.from_rpm >= range.to_rpm {
            return None;
        }
        let middle = 0.5 * (range.from_rpm + range.to_rpm);
        let point = Stretch {
            from_rpm: middle,
            to_rpm: middle,
        };
        let spread = self.scatter_of_difference(first, second, point);
        let doubts = self.doubts();
        let gain = |band| self.gain(first, second, band);
        let mut comparison = Comparison {
            first,
            second,
            range,
            half_width: spread.half_width(CONFIDENCE),
            spread,
            doubts: doubts
                .filter(|d| [first, second].contains(&d.spec))
                .collect(),
            crossovers: Vec::new(),
            gains: range.bands().into_iter().map(gain).collect(),
            whole: gain(range),
            unresolved: Vec::new(),
        };
        let within = |rpm: f64| {
            let difference = (a.torque(rpm) / b.torque(rpm)).ln();
            difference.abs() <= comparison.half_width_at(rpm)
        };
        let unresolved = unresolved(within, range);
        comparison.crossovers = intervals(self, first, second, &unresolved, range);
        comparison.unresolved = unresolved;
        Some(comparison)
    }

    /// What two specs differ by in the mean over a band that both were measured in.
    pub fn gain(&self, first: usize, second: usize, band: Stretch) -> Gain {
        let mean = |spec: usize| {
            let curve = &self.specs[spec].curve;
            let mean = curve.mean_torque(band.from_rpm, band.to_rpm);
            mean.unwrap_or_else(|| curve.torque(band.from_rpm))
        };
        let (a, b) = (mean(first), mean(second));
        let spread = self.spread_of_difference(first, second, band);
        let half = spread.half_width(CONFIDENCE) * 0.5 * (a + b);
        let value = a - b;
        Gain {
            band,
            torque: Interval {
                value,
                low: value - half,
                high: value + half,
                df: spread.df,
            },
        }
    }
}

impl Stretch {
    /// Bands of 500 rpm within it, with what is left at the ends where it is half a band or more.
    pub fn bands(&self) -> Vec<Self> {
        const WIDTH: f64 = 500.0;
        let first = (self.from_rpm / WIDTH).round();
        let last = (self.to_rpm / WIDTH).round();
        let count = (last - first).max(0.0) as usize;
        (0..count)
            .map(|k| Self {
                from_rpm: ((first + k as f64) * WIDTH).max(self.from_rpm),
                to_rpm: ((first + k as f64 + 1.0) * WIDTH).min(self.to_rpm),
            })
            .collect()
    }
}

/// The stretches `inside` which a difference stays within its interval, ends found by bisection.
fn unresolved(inside: impl Fn(f64) -> bool, range: Stretch) -> Vec<Stretch> {
    let steps = ((range.to_rpm - range.from_rpm) / STEP_RPM).ceil().max(1.0);
    let at = |k: usize| {
        let share = k as f64 / steps;
        range.from_rpm + share * (range.to_rpm - range.from_rpm)
    };
    let edge = |mut out: f64, mut within: f64| {
        for _ in 0..40 {
            let mid = 0.5 * (out + within);
            if inside(mid) {
                within = mid;
            } else {
                out = mid;
            }
        }
        within
    };
    let mut found = Vec::new();
    let mut start = inside(range.from_rpm).then_some(range.from_rpm);
    for k in 1..=steps as usize {
        let (before, here) = (at(k - 1), at(k));
        match (start, inside(here)) {
            (None, true) => start = Some(edge(before, here)),
            (Some(from_rpm), false) => {
                let to_rpm = edge(here, before);
                found.push(Stretch { from_rpm, to_rpm });
                start = None;
            }
            _ => {}
        }
    }
    found.extend(start.map(|from_rpm| Stretch {
        from_rpm,
        to_rpm: range.to_rpm,
    }));
    found
}

fn around(rpm: f64, unresolved: &[Stretch]) -> Option<Stretch> {
    let holds = |s: &&Stretch| s.from_rpm <= rpm && rpm <= s.to_rpm;
    unresolved.iter().find(holds).copied()
}

/// Crossovers as far as pulls tell them apart: several of one unresolved stretch that change the lead once
/// are one, the middle of them.
fn told_apart(found: Vec<Crossover>, unresolved: &[Stretch]) -> Vec<Crossover> {
    let place = |crossover: &Crossover| around(crossover.rpm, unresolved);
    let alike = |a: &Crossover, b: &Crossover| place(a).is_some() && place(a) == place(b);
    let groups = found.chunk_by(alike).flat_map(|group| {
        let middle = Crossover {
            rpm: group[group.len() / 2].rpm,
            ..group[0]
        };
        match group.len() % 2 {
            1 => vec![middle],
            _ => group.to_vec(),
        }
    });
    groups.collect()
}

/// The crossovers, those of one unresolved stretch together, each with that stretch.
fn intervals(
    reduced: &Reduced,
    first: usize,
    second: usize,
    unresolved: &[Stretch],
    range: Stretch,
) -> Vec<CrossoverInterval> {
    let mut found: Vec<(Stretch, CrossoverInterval)> = Vec::new();
    let (a, b) = (&reduced.specs[first].curve, &reduced.specs[second].curve);
    for crossover in told_apart(crossovers(a, b), unresolved) {
        let rpm = crossover.rpm;
        let stretch = around(rpm, unresolved).unwrap_or(Stretch {
            from_rpm: rpm,
            to_rpm: rpm,
        });
        match found.last_mut() {
            Some((last, one)) if *last == stretch => one.at_rpm.push(rpm),
            _ => found.push((
                stretch,
                CrossoverInterval {
                    at_rpm: vec![rpm],
                    first_leads_below: crossover.first_leads_below,
                    low: (stretch.from_rpm > range.from_rpm).then_some(stretch.from_rpm),
                    high: (stretch.to_rpm < range.to_rpm).then_some(stretch.to_rpm),
                },
            )),
        }
    }
    found.into_iter().map(|(_, interval)| interval).collect()
}

#[cfg(test)]
mod tests;
