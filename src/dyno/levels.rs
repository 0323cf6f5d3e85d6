//! The levels of a day's pulls: what a pull, a fitting, the hour and a cold engine add to a spec.
//!
//! How far a pull lies above its spec, ln τ averaged over rpm, is modelled as
//!
//! y = μ(spec) + u(fitting) + δ·first + β·hours + ε,  u ~ N(0, a), ε ~ N(0, b)
//!
//! δ (the first pull after a change) and β (drift) are the same for the whole day. They are estimated
//! together with the rest, with what is known of any dyno beside the day's pulls: prior means of 0
//! with the sd of [`Repeatability`], as if these were two more observations (Theil and Goldberger's
//! mixed estimation). Without that a day of A then B could not tell drift from the change at all.
//!
//! The variances a and b maximise the restricted likelihood (REML) times a scaled inverse χ² prior at
//! what [`Repeatability`] says, worth the degrees of freedom that it says. With few
//! pulls the plain estimates jump between nothing and several times the truth; weighed with what is
//! usual they do not (the "moderated" variances of G. K. Smyth, Stat. Appl. Genet. Mol. Biol. 3
//! (2004) 3, with the prior given rather than estimated). A spec that was never refitted gets its
//! fitting scatter this way from the prior and the other specs' refits.
//!
//! Intervals are Student's t with Satterthwaite's degrees of freedom, 2v²/(g'Σg): v the variance of
//! the contrast, g its derivative in (a, b), Σ the sampling covariance of the moderated estimates,
//! (J + J₀)⁻¹ J (J + J₀)⁻¹ with J the expected information of the day and J₀ the prior's.

use super::linalg::{Matrix, dot};
use super::reduce::ReducedPull;
use super::repeatability::Repeatability;

/// Where the pulls of a day stand: what their levels depend on.
#[derive(Debug, Clone, PartialEq)]
pub struct Design {
    /// Spec of each pull.
    pub spec: Vec<usize>,
    /// Fitting of each pull, counted over the day.
    pub fitting: Vec<usize>,
    /// Whether each is the first after a change.
    pub first: Vec<bool>,
    /// Hours of each.
    pub hours: Vec<f64>,
    /// Share of each in its spec's mean.
    pub weight: Vec<f64>,
}

impl Design {
    /// The design of reduced pulls.
    pub fn of(pulls: &[ReducedPull]) -> Self {
        let mut seen: Vec<(usize, usize)> = Vec::new();
        let fitting = pulls
            .iter()
            .map(|pull| {
                let key = (pull.spec, pull.fitting);
                seen.iter().position(|k| *k == key).unwrap_or_else(|| {
                    seen.push(key);
                    seen.len() - 1
                })
            })
            .collect();
        Self {
            spec: pulls.iter().map(|p| p.spec).collect(),
            fitting,
            first: pulls.iter().map(|p| p.first_after_change).collect(),
            hours: pulls.iter().map(|p| p.hours).collect(),
            weight: pulls.iter().map(|p| p.weight).collect(),
        }
    }

    /// How many pulls.
    pub fn len(&self) -> usize {
        self.spec.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.spec.is_empty()
    }

    /// How many specs.
    pub fn specs(&self) -> usize {
        self.spec.iter().max().map_or(0, |s| s + 1)
    }

    /// How many fittings.
    pub fn fittings(&self) -> usize {
        self.fitting.iter().max().map_or(0, |f| f + 1)
    }

    fn indicators(&self) -> Matrix {
        Matrix::new(self.len(), self.specs(), |p, s| {
            f64::from(u8::from(self.spec[p] == s))
        })
    }

    /// First pull and hours from the mean hour.
    fn effects(&self) -> Matrix {
        let mean = self.hours.iter().sum::<f64>() / self.len() as f64;
        Matrix::new(self.len(), 2, |p, k| match k {
            0 => f64::from(u8::from(self.first[p])),
            _ => self.hours[p] - mean,
        })
    }

    fn same_fitting(&self) -> Matrix {
        Matrix::new(self.len(), self.len(), |p, q| {
            f64::from(u8::from(self.fitting[p] == self.fitting[q]))
        })
    }

    /// The weights of the pulls in each spec's plain mean.
    fn means(&self) -> Matrix {
        Matrix::new(self.specs(), self.len(), |s, p| {
            if self.spec[p] == s {
                self.weight[p]
            } else {
                0.0
            }
        })
    }
}

/// The variances of a day, and how far to trust them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Variances {
    /// Of fittings, relative torque squared.
    pub fitting: f64,
    /// Of the levels of pulls on one fitting.
    pub pull: f64,
    /// Sampling covariance of the two: var(fitting), covariance, var(pull).
    pub covariance: [f64; 3],
}

/// The fitted levels of a day.
#[derive(Debug, Clone, PartialEq)]
pub struct Levels {
    /// The variances.
    pub variances: Variances,
    /// What a first pull after a change lies off by, and its standard error.
    pub first_pull: (f64, f64),
    /// Drift per hour, and its standard error.
    pub drift: (f64, f64),
    /// What the day's effects add to each spec's plain mean: taken off its curve.
    pub shift: Vec<f64>,
    /// How far each pull lies off once fitting means, first pulls and drift are taken off.
    pub residual: Vec<f64>,
    /// Level of each fitting above its spec, as estimated.
    pub fitting_level: Vec<f64>,
    /// Degrees of freedom between fittings of one spec.
    pub refits: usize,
    /// Degrees of freedom between pulls of one fitting.
    pub repeats: usize,
    design: Design,
    weights: Matrix,
    known: Matrix,
}

/// Variance of a contrast, apart by where it comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spread {
    /// Variance.
    pub variance: f64,
    /// Satterthwaite's degrees of freedom; infinite where nothing in it is estimated.
    pub df: f64,
}

/// Fits the levels; `y` is how far each pull lies above its spec's weighted mean.
pub fn fit(design: Design, y: &[f64], taken: &Repeatability) -> Levels {
    let prior = Prior {
        fitting: (taken.fitting.powi(2), taken.worth.fitting),
        pull: (taken.pull.powi(2), taken.worth.pull),
        effects: [taken.first_pull.powi(2), taken.drift.powi(2)],
    };
    fit_with(design, y, &prior)
}

/// What is taken before the day: (variance, degrees of freedom), and variances of the effects.
#[derive(Debug, Clone, Copy)]
pub(super) struct Prior {
    pub fitting: (f64, f64),
    pub pull: (f64, f64),
    pub effects: [f64; 2],
}

pub(super) fn fit_with(design: Design, y: &[f64], prior: &Prior) -> Levels {
    let effects = design.effects();
    let known = Matrix::new(design.len(), design.len(), |p, q| {
        (0..2)
            .map(|k| effects[(p, k)] * prior.effects[k] * effects[(q, k)])
            .sum()
    });
    let model = Model {
        same: design.same_fitting(),
        indicators: design.indicators(),
        known,
    };
    let (a, b, covariance) = model.maximise(y, prior);
    let projection = model.projection(a, b);
    // Best linear predictors of the day's effects: D B' P y.
    let gain = Matrix::new(2, design.len(), |k, p| {
        let column = (0..design.len()).map(|q| effects[(q, k)] * projection[(q, p)]);
        prior.effects[k] * column.sum::<f64>()
    });
    let means = design.means();
    let carried = means.times(&effects);
    let shift = carried.times_vector(&gain.times_vector(y));
    let weights = means.minus(&carried.times(&gain));
    let found = gain.times_vector(y);
    // var(θ̂ − θ) = D − D B' P B D.
    let error = |k: usize| {
        let own: f64 = (0..design.len())
            .map(|p| gain[(k, p)] * effects[(p, k)])
            .sum();
        (prior.effects[k] * (1.0 - own)).max(0.0).sqrt()
    };
    let freed: Vec<f64> = (0..design.len())
        .map(|p| y[p] - dot(effects.row(p), &found))
        .collect();
    let (residual, fitting_level) = apart(&design, &freed);
    Levels {
        variances: Variances {
            fitting: a,
            pull: b,
            covariance,
        },
        first_pull: (found[0], error(0)),
        drift: (found[1], error(1)),
        shift,
        residual,
        fitting_level,
        refits: design.fittings() - design.specs(),
        repeats: design.len() - design.fittings(),
        weights,
        known: model.known,
        design,
    }
}

/// Splits levels into fitting means (off their spec's mean of fittings) and what is left of each
/// pull.
fn apart(design: &Design, freed: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let mut sums = vec![(0.0, 0.0, 0); design.fittings()];
    for (p, level) in freed.iter().enumerate() {
        let sum = &mut sums[design.fitting[p]];
        *sum = (sum.0 + level, sum.1 + 1.0, design.spec[p]);
    }
    let means: Vec<f64> = sums.iter().map(|(sum, n, _)| sum / n).collect();
    let residual = (0..design.len())
        .map(|p| freed[p] - means[design.fitting[p]])
        .collect();
    let level = |f: usize| {
        let own = (0..means.len()).filter(|&g| sums[g].2 == sums[f].2);
        let (sum, n) = own.fold((0.0, 0.0), |(s, n), g| (s + means[g], n + 1.0));
        means[f] - sum / n
    };
    (residual, (0..means.len()).map(level).collect())
}

struct Model {
    same: Matrix,
    indicators: Matrix,
    known: Matrix,
}

impl Model {
    /// P = V⁻¹ − V⁻¹X(X'V⁻¹X)⁻¹X'V⁻¹.
    fn projection(&self, a: f64, b: f64) -> Matrix {
        let n = self.same.rows();
        let total = Matrix::new(n, n, |p, q| {
            let own = if p == q { b } else { 0.0 };
            a * self.same[(p, q)] + own + self.known[(p, q)]
        });
        // Positive definite, as b is above zero; each spec has a pull.
        let zero = || Matrix::new(n, n, |_, _| 0.0);
        let Some(inverse) = total.inverse() else {
            return zero();
        };
        let carried = inverse.times(&self.indicators);
        let Some(middle) = self.indicators.transposed().times(&carried).inverse() else {
            return zero();
        };
        inverse.minus(&carried.times(&middle).times(&carried.transposed()))
    }

    /// Fisher scoring for (a, b); with the sampling covariance of the estimates.
    fn maximise(&self, y: &[f64], prior: &Prior) -> (f64, f64, [f64; 3]) {
        let (mut a, mut b) = (prior.fitting.0, prior.pull.0);
        let mut covariance = [0.0; 3];
        for _ in 0..200 {
            let p = self.projection(a, b);
            let py = p.times_vector(y);
            let ps = p.times(&self.same);
            let spread = dot(&py, &self.same.times_vector(&py));
            let trace: f64 = (0..p.rows()).map(|i| p[(i, i)]).sum();
            let trace_same: f64 = (0..p.rows()).map(|i| ps[(i, i)]).sum();
            let pull = |(at, df): (f64, f64), x: f64| (df / x) * (at / x - 1.0);
            let score_a = 0.5 * (spread - trace_same + pull(prior.fitting, a));
            let score_b = 0.5 * (dot(&py, &py) - trace + pull(prior.pull, b));
            let day = [
                0.5 * ps.trace_with(&ps),
                0.5 * ps.trace_with(&p),
                0.5 * p.trace_with(&p),
            ];
            let whole = [
                day[0] + 0.5 * prior.fitting.1 / (a * a),
                day[1],
                day[2] + 0.5 * prior.pull.1 / (b * b),
            ];
            let Some(inverse) = inverse_of_two(whole) else {
                break;
            };
            covariance = sandwich(inverse, day);
            let step_a = inverse[0] * score_a + inverse[1] * score_b;
            let step_b = inverse[1] * score_a + inverse[2] * score_b;
            let (next_a, next_b) = (bounded(a, step_a), bounded(b, step_b));
            let still = (next_a - a).abs() <= 1e-9 * a && (next_b - b).abs() <= 1e-9 * b;
            (a, b) = (next_a, next_b);
            if still {
                break;
            }
        }
        (a, b, covariance)
    }
}

/// A scoring step that keeps a variance above zero and from leaping.
fn bounded(value: f64, step: f64) -> f64 {
    (value + step).clamp(0.2 * value, 5.0 * value).max(1e-12)
}

/// The inverse of a symmetric 2 × 2 matrix given as (11, 12, 22).
fn inverse_of_two([x, y, z]: [f64; 3]) -> Option<[f64; 3]> {
    let det = x * z - y * y;
    (det > 0.0).then(|| [z / det, -y / det, x / det])
}

/// A·B·A for symmetric 2 × 2 matrices.
fn sandwich(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
    let ab = [
        a[0] * b[0] + a[1] * b[1],
        a[0] * b[1] + a[1] * b[2],
        a[1] * b[0] + a[2] * b[1],
        a[1] * b[1] + a[2] * b[2],
    ];
    [
        ab[0] * a[0] + ab[1] * a[1],
        ab[0] * a[1] + ab[1] * a[2],
        ab[2] * a[1] + ab[3] * a[2],
    ]
}

impl Levels {
    /// The design they were fitted to.
    pub fn design(&self) -> &Design {
        &self.design
    }

    /// How far to trust a contrast of spec levels, Σ c·μ, with an extra variance of its own that is
    /// known to some degrees of freedom.
    pub fn spread(&self, contrast: &[f64], extra: f64, extra_df: f64) -> Spread {
        let m: Vec<f64> = (0..self.design.len())
            .map(|p| {
                (0..contrast.len())
                    .map(|s| contrast[s] * self.weights[(s, p)])
                    .sum()
            })
            .collect();
        let mut fittings = vec![0.0; self.design.fittings()];
        for (p, weight) in m.iter().enumerate() {
            fittings[self.design.fitting[p]] += weight;
        }
        let by_fitting = dot(&fittings, &fittings);
        let by_pull = dot(&m, &m);
        let known = dot(&m, &self.known.times_vector(&m));
        let Variances {
            fitting,
            pull,
            covariance,
        } = self.variances;
        // A functional of the whole range can have a little less of the residual than the level has.
        let variance = (by_fitting * fitting + by_pull * pull + known + extra).max(0.0);
        let uncertain = by_fitting * by_fitting * covariance[0]
            + 2.0 * by_fitting * by_pull * covariance[1]
            + by_pull * by_pull * covariance[2]
            + 2.0 * extra * extra / extra_df;
        let df = 2.0 * variance * variance / uncertain;
        Spread {
            variance,
            df: if df.is_nan() { f64::INFINITY } else { df },
        }
    }
}

impl Spread {
    /// Half width of the two-sided t interval at a level such as 0.95.
    pub fn half_width(&self, level: f64) -> f64 {
        t_quantile(0.5 + 0.5 * level, self.df) * self.variance.sqrt()
    }
}

/// Quantile of Student's t; of the normal distribution beyond 10⁶ degrees of freedom.
pub fn t_quantile(p: f64, df: f64) -> f64 {
    use statrs::distribution::{ContinuousCDF, Normal, StudentsT};
    match StudentsT::new(0.0, 1.0, df.max(1.0)) {
        Ok(t) if df <= 1e6 => t.inverse_cdf(p),
        _ => Normal::standard().inverse_cdf(p),
    }
}

#[cfg(test)]
mod tests;
