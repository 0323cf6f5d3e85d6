//! The smooth wave of a pull about its level: what is left of it once its spec's mean curve and its
//! own level are taken off.
//!
//! Modelled as Gaussian with covariance s²·exp(−d²/2ℓ²) at a distance d in rpm. ℓ is the length whose
//! variogram s²(1 − exp(−d²/2ℓ²)) lies nearest to that of the day's pulls; s² is their mean square,
//! freed of what taking off means and levels removes, and weighed with the usual size.

use super::reduce::{GRID_RPM, Reduced, ReducedPull, ReducedSpec, grid};
use super::repeatability::Repeatability;

/// Length of the wave where the pulls cannot tell, rpm.
const USUAL_LENGTH: f64 = 700.0;
/// Steps of the grid between which waves are compared.
const LAGS: [usize; 8] = [2, 4, 6, 9, 12, 16, 22, 30];

/// Size and length of the smooth wave of pulls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wave {
    /// Standard deviation, relative to torque.
    pub sd: f64,
    /// Distance at which the correlation has fallen to exp(−½), rpm.
    pub length_rpm: f64,
    /// Degrees of freedom of the variance as an estimate; infinite where it is only assumed.
    pub df: f64,
    /// Standard deviation as the pulls alone show it; `None` where none was repeated.
    pub alone: Option<f64>,
}

impl Wave {
    /// The wave of a day's pulls.
    pub(super) fn of(specs: &[ReducedSpec], pulls: &[ReducedPull], taken: &Repeatability) -> Self {
        let waves: Vec<Residuals> = specs
            .iter()
            .filter_map(|spec| residuals(spec, pulls))
            .collect();
        let length_rpm = length(&waves).unwrap_or(USUAL_LENGTH);
        let unit = Self {
            sd: 1.0,
            length_rpm,
            df: f64::INFINITY,
            alone: None,
        };
        let (mut squares, mut freedom, mut df) = (0.0, 0.0, 0.0);
        for Residuals {
            curves,
            from,
            freedom: own,
        } in &waves
        {
            let n = curves[0].len();
            let to = from + GRID_RPM * (n - 1) as f64;
            let sum: f64 = curves.iter().flatten().map(|e| e * e).sum();
            squares += sum / n as f64;
            freedom += own * (1.0 - unit.of_mean(*from, to));
            let pieces = (to - from) / (std::f64::consts::PI.sqrt() * length_rpm);
            df += own * pieces.max(1.0);
        }
        let usual = taken.wave * taken.wave;
        if freedom <= 0.0 {
            return Self {
                sd: taken.wave,
                ..unit
            };
        }
        let worth = taken.worth.wave;
        let variance = (worth * usual + df * squares / freedom) / (worth + df);
        Self {
            sd: variance.sqrt(),
            length_rpm,
            df: (worth + df).powi(2) / df,
            alone: Some((squares / freedom).sqrt()),
        }
    }

    /// Covariance of the wave at two engine speeds, in rpm.
    pub fn covariance(&self, a_rpm: f64, b_rpm: f64) -> f64 {
        let d = (a_rpm - b_rpm) / self.length_rpm;
        self.sd * self.sd * (-0.5 * d * d).exp()
    }

    /// Variance of the mean of the wave over a band, rpm.
    ///
    /// ∬ exp(−(x−y)²/2ℓ²)/w² over a width w = kℓ is √(2π)/k·erf(k/√2) − 2(1 − exp(−k²/2))/k².
    pub fn of_mean(&self, from_rpm: f64, to_rpm: f64) -> f64 {
        let k = (to_rpm - from_rpm) / self.length_rpm;
        if k < 1e-3 {
            return self.sd * self.sd;
        }
        let erf = statrs::function::erf::erf(k / std::f64::consts::SQRT_2);
        let share = (2.0 * std::f64::consts::PI).sqrt() / k * erf
            - 2.0 * (1.0 - (-0.5 * k * k).exp()) / (k * k);
        self.sd * self.sd * share
    }
}

/// The waves of one spec's pulls on the grid they share.
struct Residuals {
    curves: Vec<Vec<f64>>,
    from: f64,
    /// Expected sum of their squares at one engine speed over the variance of one wave.
    freedom: f64,
}

/// `None` where the spec has one pull, or they share no two grid points.
fn residuals(spec: &ReducedSpec, pulls: &[ReducedPull]) -> Option<Residuals> {
    if spec.pulls.len() < 2 {
        return None;
    }
    let own = || spec.pulls.iter().map(|&i| &pulls[i]);
    let lo = own().map(|p| p.curve.first_rpm()).fold(0.0, f64::max);
    let hi = own()
        .map(|p| p.curve.last_rpm())
        .fold(f64::INFINITY, f64::min);
    let points: Vec<f64> = grid(lo, hi).collect();
    if points.len() < 2 {
        return None;
    }
    let mut curves: Vec<Vec<f64>> = own()
        .map(|pull| points.iter().map(|&n| pull.curve.torque(n).ln()).collect())
        .collect();
    for k in 0..points.len() {
        let mean: f64 = own().zip(&curves).map(|(p, c)| p.weight * c[k]).sum();
        for curve in &mut curves {
            curve[k] -= mean;
        }
    }
    for curve in &mut curves {
        let level = curve.iter().sum::<f64>() / points.len() as f64;
        for value in curve {
            *value -= level;
        }
    }
    let squares: f64 = own().map(|p| p.weight * p.weight).sum();
    Some(Residuals {
        freedom: curves.len() as f64 * (1.0 + squares) - 2.0,
        curves,
        from: points[0],
    })
}

/// The length whose variogram lies nearest, by least squares over the lags.
fn length(waves: &[Residuals]) -> Option<f64> {
    let freedom: f64 = waves.iter().map(|w| w.freedom).sum();
    if freedom < 1.0 {
        return None;
    }
    let points: Vec<(f64, f64)> = LAGS
        .iter()
        .filter_map(|&lag| {
            let mut sum = 0.0;
            for Residuals { curves, .. } in waves {
                let pairs = curves[0].len().checked_sub(lag).filter(|n| *n > 0)?;
                let squares = curves
                    .iter()
                    .flat_map(|c| (0..pairs).map(move |k| (c[k + lag] - c[k]).powi(2)));
                sum += 0.5 * squares.sum::<f64>() / pairs as f64;
            }
            Some((lag as f64 * GRID_RPM, sum / freedom))
        })
        .collect();
    let misfit = |length: f64| {
        let shape = |d: f64| 1.0 - (-0.5 * (d / length).powi(2)).exp();
        let (xy, xx) = points.iter().fold((0.0, 0.0), |(xy, xx), &(d, y)| {
            (xy + shape(d) * y, xx + shape(d) * shape(d))
        });
        let size = xy / xx;
        points
            .iter()
            .map(|&(d, y)| (y - size * shape(d)).powi(2))
            .sum::<f64>()
    };
    (2..=30)
        .map(|k| 50.0 * f64::from(k))
        .min_by(|a, b| misfit(*a).total_cmp(&misfit(*b)))
        .filter(|_| !points.is_empty())
}

impl Reduced {
    /// What a pull's wave adds to the variance of its level, for a mean over a band of engine speed
    /// (a point where both ends are equal): the level already holds the wave's mean over the range.
    pub(super) fn wave_beyond_level(&self, spec: usize, from_rpm: f64, to_rpm: f64) -> f64 {
        let curve = &self.specs[spec].curve;
        let whole = self.wave.of_mean(curve.first_rpm(), curve.last_rpm());
        self.wave.of_mean(from_rpm, to_rpm) - whole
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dyno::sample;
    use approx::assert_relative_eq;

    #[test]
    fn analytic_variance_of_a_mean_is_the_mean_covariance() {
        let wave = Wave {
            sd: 0.002,
            length_rpm: 700.0,
            df: 10.0,
            alone: None,
        };
        let at = |i: u32| 2500.0 + 10.0 * (f64::from(i) + 0.5);
        let mut sum = 0.0;
        for i in 0..300 {
            for j in 0..300 {
                sum += wave.covariance(at(i), at(j));
            }
        }
        let mean = sum / 90_000.0;
        assert_relative_eq!(wave.of_mean(2500.0, 5500.0), mean, max_relative = 1e-4);
        assert_relative_eq!(wave.of_mean(2500.0, 2500.0), 4e-6);
    }

    /// Of unequal weights w the waves left have the trace of (I − 1wᵀ)(I − 1wᵀ)ᵀ, n − 1 where all are
    /// equal.
    #[test]
    fn analytic_freedom_is_what_the_mean_leaves() {
        let reduced = sample::plain(&[(0, 3), (1, 4), (0, 1)]).reduce().unwrap();
        for spec in &reduced.specs {
            let weights: Vec<f64> = spec
                .pulls
                .iter()
                .map(|&p| reduced.pulls[p].weight)
                .collect();
            let mut trace = 0.0;
            for i in 0..weights.len() {
                for (j, weight) in weights.iter().enumerate() {
                    trace += (f64::from(u8::from(i == j)) - weight).powi(2);
                }
            }
            let left = residuals(spec, &reduced.pulls).unwrap();
            assert_relative_eq!(left.freedom, trace, max_relative = 1e-12);
        }
    }

    /// ∫exp(−d²/ℓ²) dd = √π·ℓ: a range counts once for each such length in it.
    #[test]
    fn analytic_a_long_range_holds_several_waves() {
        let mut day = sample::plain(&[(0, 3), (1, 4)]);
        day.repeatability.worth.wave = 0.0;
        let reduced = day.reduce().unwrap();
        let mut counted = 0.0;
        for spec in &reduced.specs {
            let left = residuals(spec, &reduced.pulls).unwrap();
            let range = GRID_RPM * (left.curves[0].len() - 1) as f64;
            let pieces = range / (std::f64::consts::PI.sqrt() * reduced.wave.length_rpm);
            assert!(pieces > 1.5, "{pieces}");
            counted += left.freedom * pieces;
        }
        assert_relative_eq!(reduced.wave.df, counted, max_relative = 1e-12);
    }

    /// Nothing repeated, nothing told.
    #[test]
    fn single_pulls_leave_the_usual_wave() {
        let reduced = sample::plain(&[(0, 1), (1, 1)]).reduce().unwrap();
        assert_relative_eq!(reduced.wave.length_rpm, USUAL_LENGTH);
        assert!(reduced.wave.df.is_infinite());
    }
}
