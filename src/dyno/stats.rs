//! Plain statistics of pulls, for what the day's own numbers say without any model.

use super::levels::t_quantile;
use super::reduce::Reduced;
use statrs::distribution::{ContinuousCDF, FisherSnedecor, StudentsT};

impl Reduced {
    /// What the pulls of two specs say of ln(first/second) with no regard to fittings, first pulls and
    /// drift: how sure three pulls on each look while nothing was taken off. `None` where one has a
    /// single pull.
    pub fn pulls_alone(&self, first: usize, second: usize) -> Option<Welch> {
        Welch::of(&self.specs[first].levels, &self.specs[second].levels)
    }

    /// Pull levels of a refitted spec by fitting; `None` where it was not refitted, or no fitting has
    /// two pulls.
    pub fn refits(&self, spec: usize) -> Option<Anova> {
        let own = &self.specs[spec];
        let mut groups: Vec<(usize, Vec<f64>)> = Vec::new();
        for (&pull, level) in own.pulls.iter().zip(&own.levels) {
            let fitting = self.pulls[pull].fitting;
            match groups.iter_mut().find(|(f, _)| *f == fitting) {
                Some((_, levels)) => levels.push(*level),
                None => groups.push((fitting, vec![*level])),
            }
        }
        let groups: Vec<Vec<f64>> = groups.into_iter().map(|(_, levels)| levels).collect();
        Anova::of(&groups)
    }
}

/// Mean and variance of some values.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// How many.
    pub count: usize,
    /// Arithmetic mean.
    pub mean: f64,
    /// Sum of squared deviations from it.
    pub squares: f64,
}

impl Sample {
    /// Mean and squares of values; `None` of none.
    ///
    /// Corrected two-pass sums (Chan, Golub and LeVeque, Am. Stat. 37 (1983) 242–247): values that
    /// share many leading digits lose few of the rest.
    pub fn of(values: &[f64]) -> Option<Self> {
        let count = values.len();
        let n = count as f64;
        let first = *values.first()?;
        let rough = first + values.iter().map(|v| v - first).sum::<f64>() / n;
        let left = values.iter().map(|v| v - rough).sum::<f64>();
        let squares = values.iter().map(|v| (v - rough).powi(2)).sum::<f64>();
        Some(Self {
            count,
            mean: rough + left / n,
            squares: squares - left * left / n,
        })
    }

    /// Standard deviation with n − 1; `None` of a single value.
    pub fn sd(&self) -> Option<f64> {
        (self.count > 1).then(|| (self.squares / (self.count - 1) as f64).sqrt())
    }
}

/// One-way analysis of variance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Anova {
    /// Degrees of freedom between groups.
    pub between_df: usize,
    /// Sum of squares between groups.
    pub between: f64,
    /// Degrees of freedom within groups.
    pub within_df: usize,
    /// Sum of squares within groups.
    pub within: f64,
    /// Mean size of a group, as the variance between groups counts it.
    pub group_size: f64,
}

impl Anova {
    /// The analysis of groups of values; `None` where there are fewer than two groups or nothing
    /// within them.
    pub fn of(groups: &[Vec<f64>]) -> Option<Self> {
        let samples: Option<Vec<Sample>> = groups.iter().map(|g| Sample::of(g)).collect();
        let samples = samples?;
        let count: usize = samples.iter().map(|s| s.count).sum();
        if samples.len() < 2 || count == samples.len() {
            return None;
        }
        let n = count as f64;
        let origin = samples[0].mean;
        let centre = samples
            .iter()
            .map(|s| s.count as f64 * (s.mean - origin))
            .sum::<f64>()
            / n;
        let between = samples
            .iter()
            .map(|s| s.count as f64 * (s.mean - origin - centre).powi(2))
            .sum();
        let squared: f64 = samples.iter().map(|s| (s.count as f64).powi(2)).sum();
        Some(Self {
            between_df: samples.len() - 1,
            between,
            within_df: count - samples.len(),
            within: samples.iter().map(|s| s.squares).sum(),
            group_size: (n - squared / n) / (samples.len() - 1) as f64,
        })
    }

    /// Mean square within groups: the variance of one value.
    pub fn within_variance(&self) -> f64 {
        self.within / self.within_df as f64
    }

    /// Variance of the group means beyond what the values within them explain; may be negative.
    pub fn between_variance(&self) -> f64 {
        (self.between / self.between_df as f64 - self.within_variance()) / self.group_size
    }

    /// The F ratio.
    pub fn f(&self) -> f64 {
        self.between / self.between_df as f64 / self.within_variance()
    }

    /// Chance of an F ratio as large where the groups are alike.
    pub fn p(&self) -> f64 {
        FisherSnedecor::new(self.between_df as f64, self.within_df as f64)
            .map_or(f64::NAN, |d| d.sf(self.f()))
    }
}

/// Welch's comparison of two means with variances of their own.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Welch {
    /// First mean less the second.
    pub difference: f64,
    /// Its standard error.
    pub error: f64,
    /// Degrees of freedom by Welch and Satterthwaite.
    pub df: f64,
}

impl Welch {
    /// Compares two sets of values; `None` where one has fewer than two.
    pub fn of(first: &[f64], second: &[f64]) -> Option<Self> {
        let (a, b) = (Sample::of(first)?, Sample::of(second)?);
        let share = |s: &Sample| Some(s.sd()?.powi(2) / s.count as f64);
        let (va, vb) = (share(&a)?, share(&b)?);
        let within = va * va / (a.count - 1) as f64 + vb * vb / (b.count - 1) as f64;
        Some(Self {
            difference: a.mean - b.mean,
            error: (va + vb).sqrt(),
            df: (va + vb).powi(2) / within,
        })
    }

    /// Student's t.
    pub fn t(&self) -> f64 {
        self.difference / self.error
    }

    /// Chance of a t as far from zero where the means are equal.
    pub fn p(&self) -> f64 {
        StudentsT::new(0.0, 1.0, self.df).map_or(f64::NAN, |d| 2.0 * d.sf(self.t().abs()))
    }

    /// Half width of the interval of the difference.
    pub fn half_width(&self, confidence: f64) -> f64 {
        t_quantile(0.5 + 0.5 * confidence, self.df) * self.error
    }
}

#[cfg(test)]
mod tests {
    use crate::dyno::sample;

    #[test]
    fn pulls_alone_look_surer_than_they_are() {
        let reduced = sample::plain(&[(0, 4), (1, 4)]).reduce().unwrap();
        let alone = reduced.pulls_alone(0, 1).unwrap().half_width(0.95);
        let whole = reduced.compare(0, 1).unwrap().half_width;
        assert!(alone < 0.6 * whole, "{alone} {whole}");
        let single = sample::plain(&[(0, 1), (1, 4)]).reduce().unwrap();
        assert_eq!(single.pulls_alone(0, 1), None);
    }

    #[test]
    fn a_refit_that_moved_the_level_shows_between_fittings() {
        let mut day = sample::plain(&[(0, 6), (1, 3), (0, 6)]);
        let before = day.reduce().unwrap().refits(0).unwrap().p();
        assert!(before > 0.02, "{before}");
        for pull in &mut day.specs[0].fittings[1].pulls {
            pull.torque.iter_mut().for_each(|torque| *torque *= 1.02);
        }
        let reduced = day.reduce().unwrap();
        assert!(reduced.refits(0).unwrap().p() < 1e-4);
        assert_eq!(reduced.refits(1), None);
    }

    /// Groups of unlike size, by hand: n₀ = (n − Σnᵢ²/n)/(k − 1) (Searle, Linear Models, 1971; from memory).
    #[test]
    fn variance_between_groups_of_unlike_size() {
        let anova = super::Anova::of(&[vec![1.0, 2.0, 3.0], vec![4.0, 6.0], vec![9.0]]).unwrap();
        assert_eq!((anova.between_df, anova.within_df), (2, 3));
        let (between, within) = (233.0 / 12.0, 4.0 / 3.0);
        approx::assert_relative_eq!(anova.within_variance(), within, epsilon = 1e-12);
        approx::assert_relative_eq!(anova.f(), between / within, epsilon = 1e-12);
        approx::assert_relative_eq!(anova.group_size, 11.0 / 6.0, epsilon = 1e-12);
        let wanted = (between - within) / (11.0 / 6.0);
        approx::assert_relative_eq!(anova.between_variance(), wanted, epsilon = 1e-12);
    }
}
