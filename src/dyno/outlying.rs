//! Pulls that lie outside what the others of the day scatter: shown with the evidence, never left
//! out.
//!
//! Each pull in turn is set beside the other pulls of its fitting or spec, against a scatter
//! estimated without it, so that a bad pull cannot hide in the scatter it makes itself (externally
//! studentised residuals). One false alarm is allowed for in a hundred days: the t quantile is taken
//! at 1 % over all pulls and stretches looked at (Bonferroni).

use super::design::Design;
use super::levels::{self, t_quantile};
use super::reduce::{Reduced, ReducedPull, ReducedSpec, grid};
use super::testday::TestDay;
use super::wave::Wave;

/// Chance that a day without a bad pull shows one.
const FALSE_ALARM: f64 = 0.01;
/// Width of the bands that stretches are made of, in steps of the grid.
const BAND_STEPS: usize = 10;

/// Degrees of ignition by which one pull is pulled back more than another: what controllers take off at one knock is
/// 1 to 3 (common practice, no source).
const PULLED_BACK: f64 = 1.0;

/// A pull that lies outside, with the evidence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlying {
    /// Index of the pull in [`Reduced::pulls`].
    pub pull: usize,
    /// The stretch it lies off in, rpm; `None` where all of it does.
    pub stretch: Option<(f64, f64)>,
    /// How far it lies off there, ln τ: see [`Outlying::share`].
    pub off: f64,
    /// How far pulls usually lie off there, one standard deviation.
    pub usual: f64,
    /// How many other pulls it was set beside.
    pub beside: usize,
}

impl Outlying {
    /// How far it lies off, relative to the torque of the others.
    pub fn share(&self) -> f64 {
        self.off.exp_m1()
    }

    /// Whether it lies above others of its spec whose ignition was pulled back: it is they that are wrong.
    pub fn is_beside_knock(&self, day: &TestDay, reduced: &Reduced) -> bool {
        let back = |index: usize| {
            let of = &reduced.pulls[index];
            let pull = &day.specs[of.spec].fittings[of.fitting].pulls[of.index];
            pull.channels.get("knock retard").copied().unwrap_or(0.0)
        };
        let spec = &reduced.specs[reduced.pulls[self.pull].spec];
        let mut others = spec.pulls.iter().filter(|&&pull| pull != self.pull);
        self.off > 0.0 && others.any(|&pull| back(pull) > back(self.pull) + PULLED_BACK)
    }
}

impl Reduced {
    /// The pulls that lie outside, in the order of the day.
    pub fn outlying(&self) -> Vec<Outlying> {
        let in_part = |pull| self.off_in_part.iter().find(|one| one.pull == pull);
        let one = |pull| match in_part(pull) {
            Some(found) => Some(*found),
            None => Rest::without(self, pull)?.level(self, pull),
        };
        (0..self.pulls.len()).filter_map(one).collect()
    }

    /// Those of them that lie outside over a stretch.
    pub(super) fn outlying_in_part(&self) -> Vec<Outlying> {
        let one = |pull| Rest::without(self, pull)?.shape(self, pull);
        (0..self.pulls.len()).filter_map(one).collect()
    }
}

/// Usual standard deviations from which a refit is told.
const REFIT: f64 = 2.5;

/// A spec that was fitted again and reads otherwise than before.
#[derive(Debug, Clone, PartialEq)]
pub struct Refit {
    /// Index of the spec.
    pub spec: usize,
    /// Indices of the pulls on it, in [`Reduced::pulls`].
    pub pulls: Vec<usize>,
    /// How far it lies off the mean of the fittings before, ln τ, first pulls and drift taken off.
    pub off: f64,
    /// How far fittings usually lie off, one standard deviation.
    pub usual: f64,
}

impl Reduced {
    /// The refits that lie further off the fittings before than is usual.
    pub fn refits_off(&self) -> Vec<Refit> {
        let design = Design::of(&self.pulls);
        let fittings: Vec<Vec<usize>> = (0..design.fittings())
            .map(|f| {
                (0..design.len())
                    .filter(|&p| design.fitting[p] == f)
                    .collect()
            })
            .collect();
        let spec = |f: usize| design.spec[fittings[f][0]];
        let level = |f: usize| self.levels.fitting_level[f];
        (0..fittings.len())
            .filter_map(|f| {
                let before: Vec<usize> = (0..f).filter(|&g| spec(g) == spec(f)).collect();
                let count = before.len() as f64;
                let pulls_before: usize = before.iter().map(|&g| fittings[g].len()).sum();
                let off = level(f) - before.iter().map(|&g| level(g)).sum::<f64>() / count;
                let shares = 1.0 / fittings[f].len() as f64 + 1.0 / pulls_before as f64;
                let usual = (self.taken.fitting.powi(2) * (1.0 + 1.0 / count)
                    + self.taken.pull.powi(2) * shares)
                    .sqrt();
                (!before.is_empty() && off.abs() > REFIT * usual).then(|| Refit {
                    spec: spec(f),
                    pulls: fittings[f].clone(),
                    off,
                    usual: self.taken.fitting,
                })
            })
            .collect()
    }
}

impl TestDay {
    /// The same day with some pulls of its reduction set aside.
    #[must_use]
    pub fn without(&self, reduced: &Reduced, outlying: &[Outlying]) -> Self {
        let mut day = self.clone();
        for one in outlying {
            let pull = &reduced.pulls[one.pull];
            let own = &mut day.specs[pull.spec].fittings[pull.fitting].pulls[pull.index];
            own.set_aside = Some("outlying".to_owned());
        }
        day
    }
}

/// The day without one pull.
struct Rest {
    pulls: Vec<ReducedPull>,
    /// Levels of the pulls above their specs.
    above: Vec<f64>,
    wave: Wave,
}

impl Rest {
    /// `None` where the pull is the only one of its spec.
    fn without(day: &Reduced, out: usize) -> Option<Self> {
        let spec = day.pulls[out].spec;
        if day.specs[spec].pulls.len() < 2 {
            return None;
        }
        let mut above = vec![0.0; day.pulls.len()];
        for spec in &day.specs {
            for (&pull, level) in spec.pulls.iter().zip(&spec.levels) {
                above[pull] = *level;
            }
        }
        above.remove(out);
        let mut pulls = day.pulls.clone();
        pulls.remove(out);
        reweigh(&mut pulls, spec);
        let specs: Vec<ReducedSpec> = day
            .specs
            .iter()
            .enumerate()
            .map(|(i, spec)| ReducedSpec {
                pulls: (0..pulls.len()).filter(|&p| pulls[p].spec == i).collect(),
                ..spec.clone()
            })
            .collect();
        let wave = Wave::of(&specs, &pulls, &day.taken);
        Some(Self { pulls, above, wave })
    }

    /// Whether the pull leaves the shape of the others of its spec over some stretch.
    fn shape(&self, day: &Reduced, out: usize) -> Option<Outlying> {
        let pull = &day.pulls[out];
        let others: Vec<&ReducedPull> = self
            .pulls
            .iter()
            .filter(|other| other.spec == pull.spec)
            .collect();
        let reach = others.iter().map(|p| &p.curve).chain([&pull.curve]);
        let lo = reach.clone().map(|c| c.first_rpm()).fold(0.0, f64::max);
        let hi = reach.map(|c| c.last_rpm()).fold(f64::INFINITY, f64::min);
        let points: Vec<f64> = grid(lo, hi).collect();
        let mut off: Vec<f64> = points
            .iter()
            .map(|&rpm| {
                let logs = others.iter().map(|p| p.curve.torque(rpm).ln());
                let mean = logs.sum::<f64>() / others.len() as f64;
                pull.curve.torque(rpm).ln() - mean
            })
            .collect();
        // The median: a bad stretch of less than half the range leaves the rest where it was.
        let mut sorted = off.clone();
        sorted.sort_by(f64::total_cmp);
        let level = *sorted.get(sorted.len() / 2)?;
        off.iter_mut().for_each(|value| *value -= level);
        let bands: Vec<(usize, usize)> = stretches(points.len());
        let tests = (bands.len() * day.pulls.len()) as f64;
        let limit = t_quantile(1.0 - 0.5 * FALSE_ALARM / tests, self.wave.df);
        let factor = 1.0 + 1.0 / others.len() as f64;
        let judged = bands.into_iter().map(|(from, to)| {
            let mean = off[from..=to].iter().sum::<f64>() / (to - from + 1) as f64;
            let variance = self.wave.of_mean(points[from], points[to]) * factor;
            (from, to, mean, variance.sqrt())
        });
        let worst = judged.max_by(|a, b| (a.2 / a.3).abs().total_cmp(&(b.2 / b.3).abs()))?;
        let (from, to, mean, usual) = worst;
        (mean.abs() > limit * usual).then(|| Outlying {
            pull: out,
            stretch: Some((points[from], points[to])),
            off: mean,
            usual,
            beside: others.len(),
        })
    }

    /// Whether the level of the pull leaves those of the others of its fitting.
    fn level(&self, day: &Reduced, out: usize) -> Option<Outlying> {
        let pull = &day.pulls[out];
        let mates: Vec<usize> = (0..self.pulls.len())
            .filter(|&p| {
                let other = &self.pulls[p];
                (other.spec, other.fitting) == (pull.spec, pull.fitting)
            })
            .collect();
        if mates.is_empty() {
            return None;
        }
        let fitted = levels::fit(Design::of(&self.pulls), &self.above, &day.taken);
        let mean = |of: &dyn Fn(usize) -> f64| {
            mates.iter().map(|&p| of(p)).sum::<f64>() / mates.len() as f64
        };
        let first = |p: &ReducedPull| f64::from(u8::from(p.first_after_change));
        let spec = &day.specs[pull.spec];
        let place = spec.pulls.iter().position(|&p| p == out)?;
        let (cold, cold_error) = fitted.first_pull;
        let (drift, drift_error) = fitted.drift;
        let colder = first(pull) - mean(&|p| first(&self.pulls[p]));
        let later = pull.hours - mean(&|p| self.pulls[p].hours);
        let off = spec.levels[place] - mean(&|p| self.above[p]) - cold * colder - drift * later;
        let b = fitted.variances.pull;
        let scatter = b * (1.0 + 1.0 / mates.len() as f64);
        let usual = scatter + (cold_error * colder).powi(2) + (drift_error * later).powi(2);
        let df = 2.0 * b * b / fitted.variances.covariance[2];
        let df = if df.is_nan() { f64::INFINITY } else { df };
        let limit = t_quantile(1.0 - 0.5 * FALSE_ALARM / day.pulls.len() as f64, df);
        (off.abs() > limit * usual.sqrt()).then(|| Outlying {
            pull: out,
            stretch: None,
            off,
            usual: usual.sqrt(),
            beside: mates.len(),
        })
    }
}

/// Shares of a spec's pulls in its mean, after one has gone.
fn reweigh(pulls: &mut [ReducedPull], spec: usize) {
    let own: Vec<usize> = pulls
        .iter()
        .filter(|p| p.spec == spec)
        .map(|p| p.fitting)
        .collect();
    let mut distinct = own.clone();
    distinct.sort_unstable();
    distinct.dedup();
    for pull in pulls.iter_mut().filter(|p| p.spec == spec) {
        let alike = own.iter().filter(|f| **f == pull.fitting).count();
        pull.weight = 1.0 / (distinct.len() * alike) as f64;
    }
}

/// Stretches of one band or more, up to half the range: first and last grid point.
fn stretches(points: usize) -> Vec<(usize, usize)> {
    let bands = points / BAND_STEPS;
    let mut found = Vec::new();
    for from in 0..bands {
        for to in from..bands.min(from + bands.div_ceil(2)) {
            let last = ((to + 1) * BAND_STEPS).min(points - 1);
            found.push((from * BAND_STEPS, last));
        }
    }
    found
}

#[cfg(test)]
mod tests;
