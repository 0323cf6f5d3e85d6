//! The likelihood behind the levels: REML times the prior, by Fisher scoring.

use crate::dyno::design::Design;
use crate::dyno::linalg::{Matrix, dot};

/// What is taken before the day: (variance, degrees of freedom), and variances of the effects.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Prior {
    pub fitting: (f64, f64),
    pub pull: (f64, f64),
    /// Of first pulls, and of an hour.
    pub effects: [f64; 2],
    /// Of one of several days.
    pub day: f64,
}

impl Prior {
    /// Variance of an effect, in the order of [`Design::effects`].
    pub fn effect(&self, k: usize) -> f64 {
        self.effects.get(k).copied().unwrap_or(self.day)
    }
}

/// The linear maps of a design at given variances.
pub struct Solved {
    /// From levels to the day's effects: D B' P, the best linear predictors.
    pub gain: Matrix,
    /// From the day's effects to what they add to each spec's plain mean.
    pub carried: Matrix,
    /// From levels to the freed level of each spec.
    pub weights: Matrix,
}

pub fn solve(design: &Design, model: &Model, (a, b): (f64, f64), prior: &Prior) -> Solved {
    let projection = model.projection(a, b);
    let n = design.len();
    let gain = Matrix::new(model.effects.columns(), n, |k, p| {
        let column = (0..n).map(|q| model.effects[(q, k)] * projection[(q, p)]);
        prior.effect(k) * column.sum::<f64>()
    });
    let means = design.means();
    let carried = means.times(&model.effects);
    Solved {
        weights: means.minus(&carried.times(&gain)),
        gain,
        carried,
    }
}

/// The matrices of a design.
pub struct Model {
    /// Which pulls share a fitting.
    pub same: Matrix,
    indicators: Matrix,
    /// What of the day's effects each pull has.
    pub effects: Matrix,
    /// What the day's effects add to the covariance of levels.
    pub known: Matrix,
}

impl Model {
    pub fn of(design: &Design, prior: &Prior) -> Self {
        let effects = design.effects();
        let known = Matrix::new(design.len(), design.len(), |p, q| {
            (0..effects.columns())
                .map(|k| effects[(p, k)] * prior.effect(k) * effects[(q, k)])
                .sum()
        });
        Self {
            same: design.same_fitting(),
            indicators: design.indicators(),
            effects,
            known,
        }
    }

    /// V = aZZ' + bI + BDB', the covariance of levels.
    fn total(&self, a: f64, b: f64) -> Matrix {
        let n = self.same.rows();
        Matrix::new(n, n, |p, q| {
            let own = if p == q { b } else { 0.0 };
            a * self.same[(p, q)] + own + self.known[(p, q)]
        })
    }

    /// Degrees of freedom that the day's effects leave between pulls of one fitting: tr(RVR')/b with
    /// R = M(I − BG), where G is the gain and M takes off the means of fittings.
    pub fn left_within(&self, gain: &Matrix, (a, b): (f64, f64)) -> f64 {
        let n = self.same.rows();
        let own = |p: usize, q: usize| if p == q { 1.0 } else { 0.0 };
        let within = Matrix::new(n, n, |p, q| {
            own(p, q) - self.same[(p, q)] / self.same.row(p).iter().sum::<f64>()
        });
        let taken_off = self.effects.times(gain);
        let freed = Matrix::new(n, n, |p, q| own(p, q) - taken_off[(p, q)]);
        let map = within.times(&freed);
        map.times(&self.total(a, b)).trace_with(&map.transposed()) / b
    }

    /// P = V⁻¹ − V⁻¹X(X'V⁻¹X)⁻¹X'V⁻¹.
    pub fn projection(&self, a: f64, b: f64) -> Matrix {
        let n = self.same.rows();
        let total = self.total(a, b);
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
    pub fn maximise(&self, y: &[f64], prior: &Prior) -> (f64, f64, [f64; 3]) {
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
            let day = information(&p, &ps, (a, b));
            let whole = with_prior(day, prior, (a, b));
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

/// Expected information of the day in (a, b): ½tr(PSPS), ½tr(PSP), ½tr(PP). What rounding leaves of
/// none at all, as where no spec was pulled twice, is none: it may be negative.
pub fn information(p: &Matrix, ps: &Matrix, (a, b): (f64, f64)) -> [f64; 3] {
    let least = 1e-9 / (a + b).powi(2);
    [ps.trace_with(ps), ps.trace_with(p), p.trace_with(p)]
        .map(|trace| 0.5 * trace)
        .map(|known| if known < least { 0.0 } else { known })
}

/// Expected information of the day and the prior together.
pub fn with_prior(day: [f64; 3], prior: &Prior, (a, b): (f64, f64)) -> [f64; 3] {
    [
        day[0] + 0.5 * prior.fitting.1 / (a * a),
        day[1],
        day[2] + 0.5 * prior.pull.1 / (b * b),
    ]
}

/// A scoring step that keeps a variance above zero and from leaping.
fn bounded(value: f64, step: f64) -> f64 {
    (value + step).clamp(0.2 * value, 5.0 * value).max(1e-12)
}

/// The inverse of a symmetric 2 × 2 matrix given as (11, 12, 22).
pub fn inverse_of_two([x, y, z]: [f64; 3]) -> Option<[f64; 3]> {
    let det = x * z - y * y;
    (det > 0.0).then(|| [z / det, -y / det, x / det])
}

/// A·B·A for symmetric 2 × 2 matrices.
pub fn sandwich(a: [f64; 3], b: [f64; 3]) -> [f64; 3] {
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
