//! The levels of a day's pulls: what a pull, a fitting, the hour and a cold engine add to a spec.
//!
//! How far a pull lies above its spec, ln τ averaged over rpm, is modelled as
//!
//! y = μ(spec) + u(fitting) + δ·first + β·hours + η(day) + ε,  u ~ N(0, a), ε ~ N(0, b)
//!
//! δ (the first pull after a change) and β (drift) are the same for the whole day; η is there where pulls are of
//! several days, and hours then count from the middle of each. They are estimated
//! together with the rest, with what is known of any dyno beside the day's pulls: prior means of 0
//! with the sd of [`Repeatability`], as if these were so many more observations (Theil and Goldberger's
//! mixed estimation). Without that a day of A then B could not tell drift from the change at all.
//! A drift that the pulls show against what is usual is believed; see [`Trend`].
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

mod model;
mod trend;

use self::model::{Model, Prior, information, inverse_of_two, sandwich, solve, with_prior};
pub use self::trend::Trend;
use super::design::Design;
use super::linalg::{Matrix, dot};
use super::repeatability::Repeatability;

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
    /// Sum of squares of `residual` over the degrees of freedom that first pulls and drift leave, what these
    /// pulls alone show of the variance of pulls; `None` where none was repeated.
    pub pull_alone: Option<f64>,
    /// A drift beyond what is usual that the pulls show.
    pub trend: Option<Trend>,
    design: Design,
    gain: Matrix,
    carried: Matrix,
    weights: Matrix,
    known: Matrix,
    prior: Prior,
}

/// What estimates of spec levels are off by; the two together are the error.
#[derive(Debug, Clone, PartialEq)]
pub struct Errors {
    /// For each spec what its own fittings and pulls add to its mean.
    pub own: Vec<f64>,
    /// For each spec what the day's effects leave in it: first pull, drift and days less what was found of
    /// them, the same numbers for all specs, each as often as its mean holds it.
    pub shared: Vec<f64>,
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
        day: taken.day.powi(2),
    };
    let trend = trend::of(&design, y, &prior);
    let believed = trend.map_or(prior, |trend| trend.believed(&prior));
    Levels {
        trend,
        ..fit_with(design, y, &believed)
    }
}

fn fit_with(design: Design, y: &[f64], prior: &Prior) -> Levels {
    let model = Model::of(&design, prior);
    let (a, b, covariance) = model.maximise(y, prior);
    let solved = solve(&design, &model, (a, b), prior);
    let found = solved.gain.times_vector(y);
    let shift = solved.carried.times_vector(&found);
    // var(θ̂ − θ) = D − D B' P B D.
    let error = |k: usize| {
        let gain = solved.gain.row(k).iter();
        let own: f64 = gain
            .enumerate()
            .map(|(p, g)| g * model.effects[(p, k)])
            .sum();
        (prior.effect(k) * (1.0 - own)).max(0.0).sqrt()
    };
    let freed: Vec<f64> = (0..design.len())
        .map(|p| y[p] - dot(model.effects.row(p), &found))
        .collect();
    let (residual, fitting_level) = apart(&design, &freed);
    let repeats = design.len() - design.fittings();
    let squares: f64 = residual.iter().map(|off| off * off).sum();
    let pull_alone = (repeats > 0).then(|| squares / model.left_within(&solved.gain, (a, b)));
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
        repeats,
        pull_alone,
        trend: None,
        gain: solved.gain,
        carried: solved.carried,
        weights: solved.weights,
        known: model.known,
        prior: *prior,
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

impl Levels {
    /// What these levels would be worth with other pulls, scattering as these do: same variances,
    /// the sampling covariance that such a day is expected to give.
    pub fn foreseen(&self, design: Design) -> Self {
        let Variances { fitting, pull, .. } = self.variances;
        let model = Model::of(&design, &self.prior);
        let p = model.projection(fitting, pull);
        let ps = p.times(&model.same);
        let day = information(&p, &ps, (fitting, pull));
        let whole = with_prior(day, &self.prior, (fitting, pull));
        let covariance = inverse_of_two(whole).map_or([0.0; 3], |inverse| sandwich(inverse, day));
        let solved = solve(&design, &model, (fitting, pull), &self.prior);
        Self {
            variances: Variances {
                covariance,
                ..self.variances
            },
            shift: vec![0.0; design.specs()],
            residual: vec![0.0; design.len()],
            fitting_level: vec![0.0; design.fittings()],
            refits: design.fittings() - design.specs(),
            repeats: design.len() - design.fittings(),
            pull_alone: None,
            gain: solved.gain,
            carried: solved.carried,
            weights: solved.weights,
            known: model.known,
            design,
            ..*self
        }
    }

    /// The design they were fitted to.
    pub fn design(&self) -> &Design {
        &self.design
    }

    /// What the estimates of the spec levels would be off by, for scatter drawn from standard normal
    /// numbers: those of the day's effects given, as many as [`Design::effects_count`] says, those of a spec's fittings and pulls taken in
    /// order from `of_spec`. `pull_sd` holds a number for each spec.
    pub fn errors(
        &self,
        fitting_sd: f64,
        pull_sd: &[f64],
        effects: &[f64],
        mut of_spec: impl FnMut(usize) -> f64,
    ) -> Errors {
        let design = &self.design;
        let mut fitted: Vec<Option<f64>> = vec![None; design.fittings()];
        let scatter: Vec<f64> = (0..design.len())
            .map(|p| {
                let spec = design.spec[p];
                let own = fitted[design.fitting[p]].get_or_insert_with(|| of_spec(spec));
                let level = fitting_sd * *own;
                level + pull_sd[spec] * of_spec(spec)
            })
            .collect();
        let size = |(k, normal): (usize, &f64)| self.prior.effect(k).sqrt() * normal;
        let day: Vec<f64> = effects.iter().enumerate().map(size).collect();
        let columns = design.effects();
        let read: Vec<f64> = (0..design.len())
            .map(|p| scatter[p] + dot(columns.row(p), &day))
            .collect();
        let found = self.gain.times_vector(&read);
        let left: Vec<f64> = day
            .iter()
            .zip(found)
            .map(|(day, found)| day - found)
            .collect();
        Errors {
            own: design.means().times_vector(&scatter),
            shared: self.carried.times_vector(&left),
        }
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
        let known = dot(&m, &self.known.times_vector(&m));
        self.spread_of(&m, known, extra, extra_df)
    }

    /// How far to trust what a spec's own fittings and pulls add to its mean, [`Errors::own`]: the same
    /// without what the day does, whose size is known and would lend its degrees of freedom.
    pub fn own_spread(&self, spec: usize, extra: f64, extra_df: f64) -> Spread {
        let means = self.design.means();
        self.spread_of(means.row(spec), 0.0, extra, extra_df)
    }

    /// How far to trust a sum over pulls, each so many times, with a variance that is known and one that
    /// is known to some degrees of freedom.
    fn spread_of(&self, m: &[f64], known: f64, extra: f64, extra_df: f64) -> Spread {
        let mut fittings = vec![0.0; self.design.fittings()];
        for (p, weight) in m.iter().enumerate() {
            fittings[self.design.fitting[p]] += weight;
        }
        let by_fitting = dot(&fittings, &fittings);
        let by_pull = dot(m, m);
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
        let df = if uncertain > 0.0 {
            2.0 * variance * variance / uncertain
        } else {
            f64::INFINITY
        };
        Spread { variance, df }
    }
}

impl Spread {
    /// Half width of the two-sided t interval at a level such as 0.95.
    pub fn half_width(&self, level: f64) -> f64 {
        t_quantile(0.5 + 0.5 * level, self.df) * self.variance.sqrt()
    }
}

/// Quantile of Student's t for one degree of freedom or more, infinitely many allowed.
///
/// Beyond 200 degrees of freedom by the expansion in the normal quantile of Abramowitz and Stegun,
/// 26.7.5 (from memory), good to 10⁻⁹ there: the library's root search loses digits with every ten
/// times more.
pub fn t_quantile(p: f64, df: f64) -> f64 {
    use statrs::distribution::{ContinuousCDF, Normal, StudentsT};
    if df <= 200.0
        && let Ok(t) = StudentsT::new(0.0, 1.0, df.max(1.0))
    {
        return t.inverse_cdf(p);
    }
    let z = Normal::standard().inverse_cdf(p);
    let z2 = z * z;
    let terms = [
        (z2 + 1.0) / 4.0,
        ((5.0 * z2 + 16.0) * z2 + 3.0) / 96.0,
        (((3.0 * z2 + 19.0) * z2 + 17.0) * z2 - 15.0) / 384.0,
        ((((79.0 * z2 + 776.0) * z2 + 1482.0) * z2 - 1920.0) * z2 - 945.0) / 92_160.0,
    ];
    let factor = terms.iter().rev().fold(0.0, |sum, term| (sum + term) / df);
    z * (1.0 + factor)
}

#[cfg(test)]
mod tests;
