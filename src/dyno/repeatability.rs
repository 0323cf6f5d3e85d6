//! How far pulls and fittings of one spec scatter, before the day's own pulls have their say.

use super::testday::MeasuredAt;

/// What is taken for the scatter of a dyno day; all relative to torque, one standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeatability {
    /// Level of one pull to the next on one fitting.
    pub pull: f64,
    /// Level of one fitting of a spec to the next.
    pub fitting: f64,
    /// Drift over the day, per hour.
    pub drift: f64,
    /// Level of one day of the same dyno to another.
    pub day: f64,
    /// Smooth wave of one pull about its level.
    pub wave: f64,
    /// How far the first pull after a change lies from the others.
    pub first_pull: f64,
    /// Degrees of freedom that the figures for pull, fitting and wave are worth beside what the
    /// day's pulls show: the sizes of samples that would tell as much.
    pub worth: Worth,
}

/// Degrees of freedom of what is taken for the scatter.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Worth {
    /// Of the pull scatter.
    pub pull: f64,
    /// Of the fitting scatter.
    pub fitting: f64,
    /// Of the wave.
    pub wave: f64,
}

impl Worth {
    /// A guess by those who know dynos, not this one.
    ///
    /// Fittings: a spec without refits takes the usual scatter as known, so refitting must not throw
    /// most of that away. Beside ν degrees of freedom of refits, ν₀ of the guess make a variance with
    /// (ν₀ + ν)²/ν of them. Of two specs both refitted once (ν = 2), both twice (ν = 4), fittings being
    /// 79 % of the variance, one that is ahead by three standard deviations is called *clear* on, and
    /// the interval holds the truth on, so many days of 100 where fittings scatter as guessed, half or
    /// twice that (integrals over χ²):
    ///
    /// | ν₀ | t of fittings | clear | holds | holds at half | holds at twice |
    /// |---|---|---|---|---|---|
    /// | 2 | 2.31, 2.26 | 79.2, 79.8 | 95.4, 95.1 | 99.4, 98.7 | 86.2, 90.0 |
    /// | 3 | 2.17, 2.17 | 81.5, 81.3 | 95.3, 95.1 | 99.5, 99.0 | 84.1, 88.4 |
    /// | 4 | 2.10, 2.12 | 82.7, 82.3 | 95.2, 95.1 | 99.5, 99.2 | 82.6, 87.0 |
    /// | 8 | 2.01, 2.03 | 84.2, 83.9 | 95.1, 95.1 | 99.6, 99.5 | 79.1, 83.4 |
    /// | known | 1.96 | 85.1 | 95.0 | 99.8 | 71.4 |
    ///
    /// Four says *clear* on four days of five with something to spare. Over simulated days in which
    /// fittings really scatter twice as much it holds 79 to 80 and 83 to 86 where two held 82 to 84 and
    /// 87 to 89, and refitting still holds 7 to 14 more than relying on the guess does.
    pub const GUESS: Self = Self {
        pull: 2.0,
        fitting: 4.0,
        wave: 4.0,
    };
}

impl Repeatability {
    /// What is usual (common practice, no source): pulls 0.3 % on an engine dyno and 0.7 % on rolls
    /// or hubs, with a wave of 0.2 % about that; fittings 0.5 %, or 1.5 % where the car is strapped down anew for each; a drift of
    /// 0.3 % an hour, a first pull that is 1 % off and another day that is (fuel, zeros, what a standard leaves of the
    /// weather) are nothing out of the ordinary.
    pub fn common(measured_at: MeasuredAt, restrapped: bool) -> Self {
        Self {
            pull: match measured_at {
                MeasuredAt::Flywheel => 0.003,
                _ => 0.007,
            },
            fitting: if restrapped { 0.015 } else { 0.005 },
            wave: 0.002,
            drift: 0.003,
            day: 0.01,
            first_pull: 0.01,
            worth: Worth::GUESS,
        }
    }

    /// The standard deviation behind a range that so many values usually span ("within 2 bhp over
    /// 3"): range over d₂, the mean range of that many standard normal values. Beyond 12 values as
    /// for 12.
    pub fn sd_of_range(range: f64, values: usize) -> f64 {
        range / MEAN_RANGE[values.clamp(2, 12) - 2]
    }
}

/// d₂ for 2 to 12 values, as quality control tables print it.
const MEAN_RANGE: [f64; 11] = [
    1.128, 1.693, 2.059, 2.326, 2.534, 2.704, 2.847, 2.970, 3.078, 3.173, 3.258,
];

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{ContinuousCDF, Normal};

    /// d₂ = ∫ 1 − Φⁿ − (1 − Φ)ⁿ dx.
    #[test]
    fn analytic_mean_range_of_normal_values() {
        let normal = Normal::standard();
        for (i, printed) in MEAN_RANGE.iter().enumerate() {
            let n = i as i32 + 2;
            let step = 0.001;
            let sum: f64 = (-8000..8000)
                .map(|k| {
                    let below = normal.cdf((f64::from(k) + 0.5) * step);
                    1.0 - below.powi(n) - (1.0 - below).powi(n)
                })
                .sum();
            assert!((sum * step - printed).abs() < 6e-4, "{n} {}", sum * step);
        }
    }

    /// As the documents say it.
    #[test]
    fn what_is_usual_is_what_is_written() {
        let usual = Repeatability::common(MeasuredAt::Flywheel, false);
        assert_eq!(
            [usual.pull, usual.fitting, usual.wave, usual.drift],
            [0.003, 0.005, 0.002, 0.003]
        );
        assert_eq!([usual.day, usual.first_pull], [0.01, 0.01]);
        let rolls = Repeatability::common(MeasuredAt::Wheels, true);
        assert_eq!([rolls.pull, rolls.fitting], [0.007, 0.015]);
    }

    #[test]
    fn analytic_a_range_of_two_bhp_over_three() {
        let sd = Repeatability::sd_of_range(2.0 / 190.0, 3);
        assert!((sd - 0.006_22).abs() < 1e-4, "{sd}");
    }
}
