//! Curves as they might have come out: one draw of every spec's curve, for what is reckoned with
//! curves further on.
//!
//! A draw adds to each curve the error that its estimate may have: the scatter is drawn anew for
//! every fitting and pull, drift and first pulls with it, and sent through the same means that made
//! the curve. The size of all scatter of a spec is drawn too (degrees of freedom over a χ² number), so
//! that with few pulls the draws spread like Student's t and not like the normal distribution. One
//! number does it, with the degrees of freedom of what the spec's own fittings and pulls add: those of
//! its interval count the day's effects, whose size is taken as known and which cancel between specs, and
//! would leave draws of differences too narrow. Were fittings, pulls and waves given a χ² each, their
//! mixture would be wider than that interval by some 4 % (as Behrens and Fisher's is beside Welch's) and
//! hold the truth on more days than it says.
//!
//! What is left of the day's effects is one set of numbers for all specs and has one size, that of
//! the mean of 1/df over the specs: it cancels in the difference of two specs that hold it alike,
//! however sure either is. Where all have the same degrees of freedom, all of a draw has one size.
//!
//! What belongs to a spec is drawn from that spec's own numbers, what belongs to the day from shared
//! ones: the order of the specs changes no draw of a spec. Other specs do, as far as the day's scatter and
//! effects are estimated from their pulls too; where these are given, not at all.

use statrs::distribution::{ChiSquared, ContinuousCDF, Normal};

use super::compare::Stretch;
use super::curve::Curve;
use super::doubt::Doubt;
use super::linalg::Matrix;
use super::reduce::{Reduced, ReducedSpec};

/// A source of independent standard normal numbers.
pub trait Normals {
    /// The next number that belongs to the whole day.
    fn shared(&mut self) -> f64;
    /// The next number that belongs to a spec.
    fn of_spec(&mut self, spec: usize) -> f64;
}

/// What draws of a day need, worked out once.
#[derive(Debug, Clone)]
pub struct Drawer<'a> {
    day: &'a Reduced,
    /// For each spec the lower Cholesky factor of its wave's correlation over its curve's points.
    waves: Vec<Matrix>,
    /// For each spec the standard deviation of pulls beside the mean of their wave, which its own
    /// shape holds.
    pull_sd: Vec<f64>,
    /// For each spec the degrees of freedom of its own scatter in the middle of its range.
    df: Vec<f64>,
    /// Degrees of freedom of what the day's effects leave.
    shared_df: f64,
}

impl Reduced {
    /// Prepares draws.
    pub fn drawer(&self) -> Drawer<'_> {
        let length = self.wave.length_rpm;
        let waves = self.specs.iter().map(|spec| {
            let rpm: Vec<f64> = spec.curve.points().map(|(rpm, _)| rpm).collect();
            let correlation = Matrix::new(rpm.len(), rpm.len(), |i, j| {
                let d = (rpm[i] - rpm[j]) / length;
                // Near points are all but the same: a trifle keeps the factor real.
                (-0.5 * d * d).exp() + if i == j { 1e-6 } else { 0.0 }
            });
            let none = || Matrix::new(rpm.len(), rpm.len(), |_, _| 0.0);
            correlation.cholesky().unwrap_or_else(none)
        });
        let ends = |spec: &ReducedSpec| (spec.curve.first_rpm(), spec.curve.last_rpm());
        let pull_sd = self.specs.iter().map(|spec| {
            let (from, to) = ends(spec);
            let beside = self.levels.variances.pull - self.wave.of_mean(from, to);
            beside.max(0.0).sqrt()
        });
        let df = self.specs.iter().enumerate().map(|(s, spec)| {
            let (from, to) = ends(spec);
            let middle = 0.5 * (from + to);
            let point = Stretch {
                from_rpm: middle,
                to_rpm: middle,
            };
            let wave = self.wave_share(s, point);
            self.levels.own_spread(s, wave, self.wave.df).df.max(1.0)
        });
        let df: Vec<f64> = df.collect();
        Drawer {
            day: self,
            waves: waves.collect(),
            pull_sd: pull_sd.collect(),
            shared_df: df.len() as f64 / df.iter().map(|df| 1.0 / df).sum::<f64>(),
            df,
        }
    }
}

impl Drawer<'_> {
    /// One draw of every spec's curve, in the order of the specs.
    pub fn draw(&self, normals: &mut impl Normals) -> Vec<Curve> {
        let day = self.day;
        let variances = &day.levels.variances;
        let wave = day.wave.sd * day.wave.sd;
        let scatter = normals.shared();
        let effects = day.levels.design().effects_count();
        let effects: Vec<f64> = (0..effects).map(|_| normals.shared()).collect();
        let fitting_sd = variances.fitting.sqrt();
        let errors = day
            .levels
            .errors(fitting_sd, &self.pull_sd, &effects, |s| normals.of_spec(s));
        let of_day = inverse_chi_square(self.shared_df, scatter).sqrt();
        day.specs
            .iter()
            .enumerate()
            .map(|(s, spec)| {
                let weights = spec.pulls.iter().map(|&p| day.pulls[p].weight);
                let squares: f64 = weights.map(|w| w * w).sum();
                let size = (wave * squares).sqrt();
                let wider = inverse_chi_square(self.df[s], scatter).sqrt();
                let n = self.waves[s].rows();
                let noise: Vec<f64> = (0..n).map(|_| normals.of_spec(s)).collect();
                let shape = self.waves[s].times_vector(&noise);
                let doubts = day.doubts().filter(|doubt| doubt.spec == s);
                let doubts: Vec<(Doubt, f64)> = doubts.map(|d| (d, normals.of_spec(s))).collect();
                let points = spec.curve.points().zip(shape);
                let (rpm, torque) = points
                    .map(|((rpm, torque), e)| {
                        let own = wider * (errors.own[s] + size * e);
                        let moved = doubts.iter().map(|(doubt, normal)| normal * doubt.at(rpm));
                        let moved: f64 = moved.sum();
                        (
                            rpm,
                            torque * (own + of_day * errors.shared[s] + moved).exp(),
                        )
                    })
                    .unzip();
                Curve::new(rpm, torque).unwrap_or_else(|_| spec.curve.clone())
            })
            .collect()
    }
}

/// df over a χ² number of so many degrees of freedom, from a standard normal number; 1 where they
/// are beyond 10⁶.
fn inverse_chi_square(df: f64, normal: f64) -> f64 {
    if df.is_nan() || df > 1e6 {
        return 1.0;
    }
    let share = Normal::standard().cdf(normal).clamp(1e-12, 1.0 - 1e-12);
    match ChiSquared::new(df) {
        Ok(distribution) => df / distribution.inverse_cdf(share),
        Err(_) => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dyno::{Spread, Stretch, TestDay, sample};

    /// Normal numbers from a seeded stream for the day and one for each spec.
    struct Streams(Vec<rand_chacha::ChaCha8Rng>);

    impl Streams {
        fn new(seed: u64, specs: usize) -> Self {
            use rand_chacha::rand_core::SeedableRng;
            let seeds = (0..=specs as u64).map(|i| seed * 1000 + i);
            Self(seeds.map(rand_chacha::ChaCha8Rng::seed_from_u64).collect())
        }

        fn next(&mut self, stream: usize) -> f64 {
            use rand_chacha::rand_core::Rng;
            let even = ((self.0[stream].next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64;
            Normal::standard().inverse_cdf(even)
        }
    }

    impl Normals for Streams {
        fn shared(&mut self) -> f64 {
            self.next(0)
        }
        fn of_spec(&mut self, spec: usize) -> f64 {
            self.next(spec + 1)
        }
    }

    /// The 2.5 % and 97.5 % points of the drawn differences lie where the interval ends: with pulls alone,
    /// both refitted, one refitted, one pull a fitting. Three standard errors of such a width from 6,000 draws are 3.7 %.
    #[test]
    fn property_draws_spread_as_the_intervals_say() {
        let layouts = [
            &[(0, 3), (1, 3)][..],
            &[(0, 2), (1, 2), (0, 2), (1, 2)],
            &[(0, 3), (1, 3), (0, 3)],
            &[(0, 1), (1, 1), (0, 1), (1, 1)],
            &[(0, 1), (1, 1), (1, 1), (0, 1)],
        ];
        for fittings in layouts {
            let reduced = sample::plain(fittings).reduce().unwrap();
            let found = reduced.compare(0, 1).unwrap();
            let drawer = reduced.drawer();
            let mut streams = Streams::new(7, 2);
            let mut ratios: Vec<f64> = (0..6000)
                .map(|_| {
                    let curves = drawer.draw(&mut streams);
                    (curves[0].torque(4800.0) / curves[1].torque(4800.0)).ln()
                })
                .collect();
            ratios.sort_by(f64::total_cmp);
            let half = 0.5 * (ratios[5849] - ratios[150]);
            let ratio = half / found.half_width;
            assert!((0.963..1.037).contains(&ratio), "{fittings:?} {ratio}");
        }
    }

    /// A pull that misfires over a stretch is in doubt there, and nowhere else.
    #[test]
    fn property_draws_spread_as_the_intervals_say_where_a_pull_misfires() {
        let reduced = sample::misfiring(0.11).reduce().unwrap();
        let (drawer, mut streams) = (reduced.drawer(), Streams::new(7, 2));
        let drawn: Vec<_> = (0..6000).map(|_| drawer.draw(&mut streams)).collect();
        for rpm in [3500.0, 5300.0] {
            let ratio = |curves: &Vec<Curve>| (curves[0].torque(rpm) / curves[1].torque(rpm)).ln();
            let mut ratios: Vec<f64> = drawn.iter().map(ratio).collect();
            ratios.sort_by(f64::total_cmp);
            let half = 0.5 * (ratios[5849] - ratios[150]);
            let told = reduced.compare(0, 1).unwrap().half_width_at(rpm);
            assert!((0.95..1.05).contains(&(half / told)), "{rpm} {half} {told}");
        }
    }

    /// The day's effects given, as if they were none.
    fn without_effects(mut day: TestDay) -> Reduced {
        day.repeatability.drift = 1e-12;
        day.repeatability.first_pull = 1e-12;
        day.reduce().unwrap()
    }

    /// Draws of a spec are the same whether or not others are drawn beside it, where the day's scatter is
    /// held, sure or not, also of one that was pulled over a shorter range.
    #[test]
    fn property_other_specs_leave_a_draw_alone() {
        let two = without_effects(sample::plain(&[(0, 3), (1, 3), (0, 3)]));
        let mut day = sample::plain(&[(0, 3), (1, 3), (0, 3), (2, 3)]);
        for pull in &mut day.specs[2].fittings[0].pulls {
            pull.rpm.drain(..10);
            pull.torque.drain(..10);
        }
        let mut three = without_effects(day);
        three.wave = two.wave;
        three.levels.variances = two.levels.variances;
        let df = |day: &Reduced| day.drawer().df[0];
        assert!(df(&two) < 100.0, "{}", df(&two));
        let draw = |day: &Reduced, specs| day.drawer().draw(&mut Streams::new(3, specs));
        let (a, b) = (draw(&two, 2), draw(&three, 3));
        for spec in 0..2 {
            for ((_, x), (_, y)) in a[spec].points().zip(b[spec].points()) {
                assert!((x / y - 1.0).abs() < 1e-9, "{x} {y}");
            }
        }
    }

    /// Nothing scatters but the day.
    struct DayAlone(Streams);

    impl Normals for DayAlone {
        fn shared(&mut self) -> f64 {
            self.0.shared()
        }
        fn of_spec(&mut self, _: usize) -> f64 {
            0.0
        }
    }

    /// Fitted once between the two fittings of the other, with a third after them: both specs hold first
    /// pulls and drift alike, their degrees of freedom are made to differ, and what the day does to one it
    /// does to the other.
    #[test]
    fn property_what_specs_share_cancels_in_their_difference() {
        let fittings = [(1, 3), (0, 3), (1, 3), (2, 3)];
        let mut day = sample::plain(&fittings);
        day.repeatability.worth.fitting = 1.0;
        let day = day.reduce().unwrap();
        let mut drawer = day.drawer();
        drawer.df[1] *= 1.5;
        let mut normals = DayAlone(Streams::new(5, 0));
        let log = |curves: &[Curve], s: usize| curves[s].torque(4800.0).ln();
        let usual: Vec<Curve> = day.specs.iter().map(|s| s.curve.clone()).collect();
        let mut furthest = 0.0f64;
        for _ in 0..200 {
            let drawn = drawer.draw(&mut normals);
            let off = [0, 1].map(|s| log(&drawn, s) - log(&usual, s));
            assert!((off[0] - off[1]).abs() < 1e-13, "{off:?}");
            furthest = furthest.max(off[0].abs());
        }
        assert!(furthest > 0.002, "{furthest}");
    }

    #[test]
    fn analytic_variances_drawn_have_the_right_mean() {
        let mut streams = Streams::new(11, 0);
        let df = 12.0;
        let mean = (0..20_000)
            .map(|_| inverse_chi_square(df, streams.shared()))
            .sum::<f64>()
            / 20_000.0;
        // E(df/χ²) = df/(df − 2).
        assert!((mean - 1.2).abs() < 0.02, "{mean}");
        assert_eq!(inverse_chi_square(f64::INFINITY, 1.0), 1.0);
    }

    #[test]
    fn a_point_and_a_narrow_band_spread_alike() {
        let reduced = sample::plain(&[(0, 3), (1, 3)]).reduce().unwrap();
        let spread = |from_rpm, to_rpm| -> Spread {
            reduced.spread_of_difference(0, 1, Stretch { from_rpm, to_rpm })
        };
        let (point, band) = (spread(5000.0, 5000.0), spread(4990.0, 5010.0));
        assert!((point.variance / band.variance - 1.0).abs() < 1e-4);
    }
}
