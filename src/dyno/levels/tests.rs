use super::*;
use crate::dyno::Worth;
use approx::assert_relative_eq;

/// A design of fittings given as (spec, pulls), 0.1 h a pull, 0.75 h a change.
fn design(fittings: &[(usize, usize)]) -> Design {
    let mut design = Design {
        spec: Vec::new(),
        fitting: Vec::new(),
        first: Vec::new(),
        hours: Vec::new(),
        day: Vec::new(),
        weight: Vec::new(),
    };
    let mut hours = 0.0;
    for (f, &(spec, pulls)) in fittings.iter().enumerate() {
        let count = fittings.iter().filter(|(s, _)| *s == spec).count();
        for i in 0..pulls {
            design.spec.push(spec);
            design.fitting.push(f);
            design.first.push(i == 0);
            design.hours.push(hours);
            design.day.push(0);
            design.weight.push(1.0 / (count * pulls) as f64);
            hours += 0.1;
        }
        hours += 0.65;
    }
    design
}

const NO_EFFECTS: [f64; 2] = [1e-20, 1e-20];

/// Balanced one-way data: REML gives b = MSW and a = (MSB − MSW)/n.
#[test]
fn analytic_balanced_reml_is_the_analysis_of_variance() {
    let y = [0.1, 0.3, 0.2, 1.0, 1.2, 0.8, 0.4, 0.5, 0.9, 1.6, 1.4, 1.5];
    let prior = Prior {
        fitting: (0.1, 1e-9),
        pull: (0.1, 1e-9),
        effects: NO_EFFECTS,
        day: 1e-4,
    };
    let fitted = fit_with(design(&[(0, 3), (0, 3), (0, 3), (0, 3)]), &y, &prior);
    let mean = |v: &[f64]| v.iter().sum::<f64>() / v.len() as f64;
    let grand = mean(&y);
    let means: Vec<f64> = y.chunks(3).map(mean).collect();
    let between: f64 = means.iter().map(|m| 3.0 * (m - grand).powi(2)).sum::<f64>() / 3.0;
    let within: f64 = y
        .chunks(3)
        .zip(&means)
        .flat_map(|(c, m)| c.iter().map(move |v| (v - m).powi(2)))
        .sum::<f64>()
        / 8.0;
    assert_relative_eq!(fitted.variances.pull, within, max_relative = 1e-6);
    assert_relative_eq!(
        fitted.variances.fitting,
        (between - within) / 3.0,
        max_relative = 1e-6
    );
    // var(b̂) = 2b²/8.
    let [.., var_b] = fitted.variances.covariance;
    assert_relative_eq!(var_b, within * within / 4.0, max_relative = 1e-6);
    // The mean has the between mean square over its pulls, with 3 degrees of freedom.
    let spread = fitted.spread(&[1.0], 0.0, 1.0);
    assert_relative_eq!(spread.variance, between / 12.0, max_relative = 1e-6);
    assert_relative_eq!(spread.df, 3.0, max_relative = 1e-6);
}

/// Single pulls per fitting leave one variance, a + b: with b pinned, a is the moderated mean
/// (ν₀a₀ + νs²)/(ν₀ + ν) and has (ν₀ + ν)²/ν effective degrees of freedom.
#[test]
fn analytic_moderated_variance_and_its_degrees_of_freedom() {
    let y = [0.02, -0.01, 0.015, -0.025];
    let prior = Prior {
        fitting: (1e-4, 4.0),
        pull: (1e-12, 1e12),
        effects: NO_EFFECTS,
        day: 1e-4,
    };
    let fitted = fit_with(design(&[(0, 1), (0, 1), (0, 1), (0, 1)]), &y, &prior);
    let squares: f64 = y.iter().map(|v| v * v).sum();
    let wanted = (4.0 * 1e-4 + squares) / 7.0;
    assert_relative_eq!(fitted.variances.fitting, wanted, max_relative = 1e-5);
    let spread = fitted.spread(&[1.0], 0.0, 1.0);
    assert_relative_eq!(spread.df, 49.0 / 3.0, max_relative = 1e-4);
}

/// Two specs of one fitting each: the usual scatters are all there is.
#[test]
fn analytic_without_refits_the_usual_fitting_scatter_stands() {
    let taken = Repeatability {
        pull: 0.003,
        fitting: 0.005,
        drift: 1e-9,
        day: 0.01,
        wave: 0.002,
        first_pull: 1e-9,
        worth: Worth::GUESS,
    };
    let fitted = fit(design(&[(0, 1), (1, 1)]), &[0.0, 0.0], &taken);
    let spread = fitted.spread(&[1.0, -1.0], 0.0, 1.0);
    let wanted = 2.0 * (0.005f64.powi(2) + 0.003f64.powi(2));
    assert_relative_eq!(spread.variance, wanted, max_relative = 1e-9);
    assert!(spread.df > 1e6);
    assert_relative_eq!(
        spread.half_width(0.95),
        1.959964 * wanted.sqrt(),
        max_relative = 1e-6
    );
}

/// However many specs are pulled once: nothing is estimated, so no t widens what is taken for usual.
#[test]
fn property_single_pulls_of_many_specs_rest_on_what_is_usual() {
    let taken = Repeatability::common(crate::dyno::MeasuredAt::Flywheel, false);
    for specs in 2..=14 {
        let fittings: Vec<(usize, usize)> = (0..specs).map(|spec| (spec, 1)).collect();
        let fitted = fit(design(&fittings), &vec![0.0; specs], &taken);
        assert_eq!(fitted.variances.covariance, [0.0; 3], "{specs} specs");
        let mut contrast = vec![0.0; specs];
        (contrast[0], contrast[1]) = (1.0, -1.0);
        let spread = fitted.spread(&contrast, 0.0, 1.0);
        assert_eq!(spread.df, f64::INFINITY, "{specs} specs");
        assert!(spread.half_width(0.95) < 0.02, "{specs} specs");
        let foreseen = fitted.foreseen(design(&fittings));
        assert_eq!(foreseen.spread(&contrast, 0.0, 1.0).df, f64::INFINITY);
    }
}

#[test]
fn a_drift_and_cold_first_pulls_are_found_and_taken_off() {
    let design = design(&[(0, 6), (1, 6), (0, 6), (1, 6)]);
    let mean = design.hours.iter().sum::<f64>() / 24.0;
    let raw: Vec<f64> = (0..24)
        .map(|p| {
            let cold = if design.first[p] { -0.01 } else { 0.0 };
            cold - 0.004 * (design.hours[p] - mean) + 1e-4 * ((p * 37 % 11) as f64 - 5.0)
        })
        .collect();
    // As the reduction gives them: above the weighted mean of the spec.
    let centre = |s: usize| -> f64 {
        (0..24)
            .filter(|&p| design.spec[p] == s)
            .map(|p| design.weight[p] * raw[p])
            .sum()
    };
    let centres = [centre(0), centre(1)];
    let y: Vec<f64> = (0..24).map(|p| raw[p] - centres[design.spec[p]]).collect();
    let fitted = fit(
        design,
        &y,
        &Repeatability {
            pull: 0.003,
            fitting: 0.005,
            drift: 0.003,
            day: 0.01,
            wave: 0.002,
            first_pull: 0.01,
            worth: Worth::GUESS,
        },
    );
    assert!(
        (fitted.first_pull.0 + 0.01).abs() < 0.0012,
        "{:?}",
        fitted.first_pull
    );
    assert!((fitted.drift.0 + 0.004).abs() < 0.003, "{:?}", fitted.drift);
    // What is taken off brings both specs to the same: they are alike.
    let difference = (centres[0] - fitted.shift[0]) - (centres[1] - fitted.shift[1]);
    assert!(difference.abs() < 0.0015, "{difference}");
}

#[test]
fn more_of_everything_narrows_the_difference() {
    let taken = Repeatability {
        pull: 0.003,
        fitting: 0.005,
        drift: 0.003,
        day: 0.01,
        wave: 0.002,
        first_pull: 0.01,
        worth: Worth::GUESS,
    };
    let half = |fittings: &[(usize, usize)]| {
        let design = design(fittings);
        let y = vec![0.0; design.len()];
        let spread = fit(design, &y, &taken).spread(&[1.0, -1.0], 0.0, 1.0);
        spread.half_width(0.95)
    };
    let plain = half(&[(0, 3), (1, 3)]);
    assert!(half(&[(0, 6), (1, 6)]) < plain);
    let refit = half(&[(0, 3), (1, 3), (0, 3)]);
    assert!(
        refit < half(&[(0, 5), (1, 4)]),
        "a refit tells more than more pulls"
    );
}

#[test]
fn student_quantiles_pass_to_the_normal() {
    assert_relative_eq!(t_quantile(0.975, 4.0), 2.776445105, max_relative = 1e-8);
    assert_relative_eq!(
        t_quantile(0.975, f64::INFINITY),
        1.959963985,
        max_relative = 1e-8
    );
    assert_relative_eq!(
        t_quantile(0.975, 2e6),
        t_quantile(0.975, 9e5),
        max_relative = 1e-5
    );
}

/// First pulls and drift that are taken off take degrees of freedom with them, most of all from two pulls a
/// fitting: over simulated days what pulls alone show is the variance they were drawn with.
#[test]
fn what_pulls_alone_show_is_their_variance() {
    let normal = statrs::distribution::Normal::standard();
    let mut state = 1u64;
    let mut drawn = move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        let share = ((state >> 11) as f64 + 0.5) / (1u64 << 53) as f64;
        statrs::distribution::ContinuousCDF::inverse_cdf(&normal, share)
    };
    let (fitting, pull, effects) = (0.005, 0.003, [0.004, 0.002]);
    // Variances pinned, so that the expectation is exact.
    let prior = Prior {
        fitting: (f64::powi(fitting, 2), 1e12),
        pull: (f64::powi(pull, 2), 1e12),
        effects: effects.map(|sd| f64::powi(sd, 2)),
        day: 1e-4,
    };
    for fittings in [&[(0, 2), (1, 2), (0, 2), (1, 2)][..], &[(0, 3), (1, 3)]] {
        let days = 2000;
        let mut sum = 0.0;
        for _ in 0..days {
            let design = design(fittings);
            let (cold, drift) = (effects[0] * drawn(), effects[1] * drawn());
            let levels: Vec<f64> = fittings.iter().map(|_| fitting * drawn()).collect();
            let y: Vec<f64> = (0..design.len())
                .map(|p| {
                    let first = if design.first[p] { cold } else { 0.0 };
                    let level = levels[design.fitting[p]];
                    level + first + drift * design.hours[p] + pull * drawn()
                })
                .collect();
            sum += fit_with(design, &y, &prior).pull_alone.unwrap();
        }
        // The mean of 2,000 days of two degrees of freedom or more scatters by 2 %.
        let mean = sum / f64::from(days);
        assert_relative_eq!(mean, pull * pull, max_relative = 0.07);
    }
}

/// Two specs on two days, three pulls each: their difference has the variance of two days more, each to each.
#[test]
fn analytic_specs_of_two_days_differ_by_what_days_do() {
    let y = [0.0, 0.001, -0.001, 0.0, 0.001, -0.001];
    let taken = Repeatability {
        drift: 1e-9,
        first_pull: 1e-9,
        ..Repeatability::common(crate::dyno::MeasuredAt::Flywheel, false)
    };
    let one = fit(design(&[(0, 3), (1, 3)]), &y, &taken);
    let mut apart = design(&[(0, 3), (1, 3)]);
    apart.day = vec![0, 0, 0, 1, 1, 1];
    let two = fit(apart, &y, &taken);
    let variance = |levels: &Levels| levels.spread(&[1.0, -1.0], 0.0, 1.0).variance;
    let added = variance(&two) - variance(&one);
    assert_relative_eq!(added, 2.0 * taken.day * taken.day, max_relative = 1e-6);
    assert_relative_eq!(one.variances.pull, two.variances.pull, max_relative = 1e-6);
}

/// A spec that was pulled on both days tells what lies between them, and it is taken off the other.
#[test]
fn a_spec_of_both_days_tells_the_days_apart() {
    let mut days = design(&[(0, 3), (0, 3), (1, 3)]);
    days.day = vec![0, 0, 0, 1, 1, 1, 1, 1, 1];
    let high = 0.03;
    // Levels above each spec's own mean: spec 0 half on either day.
    let y: Vec<f64> = (0..9)
        .map(|p| match p {
            0..3 => -0.5 * high,
            3..6 => 0.5 * high,
            _ => 0.0,
        })
        .collect();
    let taken = Repeatability {
        day: 0.05,
        fitting: 1e-4,
        ..Repeatability::common(crate::dyno::MeasuredAt::Flywheel, false)
    };
    let found = fit(days, &y, &taken);
    // Spec 1 stood on the higher day alone: half a day's step more than spec 0's mean is taken off it.
    let off = found.shift[1] - found.shift[0];
    assert!((off - 0.5 * high).abs() < 0.05 * high, "{off}");
}

/// Pulls that fall by a fifth of a percent each on both specs, as where heat soaks in.
#[test]
fn a_drift_beyond_the_usual_is_believed_and_told() {
    let level = |p: usize| -0.0045 * p as f64;
    let falling = |noise: [f64; 8]| -> Vec<f64> {
        let all: Vec<f64> = (0..8).map(|p| level(p) + noise[p]).collect();
        let mean = |spec: usize| all[4 * spec..4 * spec + 4].iter().sum::<f64>() / 4.0;
        (0..8).map(|p| all[p] - mean(p / 4)).collect()
    };
    let mut days = design(&[(0, 4), (1, 4)]);
    days.hours = (0..8).map(|p| 0.15 * f64::from(p)).collect();
    let taken = Repeatability::common(crate::dyno::MeasuredAt::Flywheel, false);
    let noise = [0.0, 4e-4, -5e-4, 2e-4, -3e-4, 0.0, 5e-4, -3e-4];
    let found = fit(days.clone(), &falling(noise), &taken);
    let trend = found.trend.expect("a trend");
    assert!((-0.04..-0.02).contains(&trend.per_hour), "{trend:?}");
    assert!(found.drift.0 < -0.02, "{:?}", found.drift);
    // The second spec came later: what the hours took is given back, most of 0.6 h.
    let given = found.shift[0] - found.shift[1];
    assert!((0.012..0.02).contains(&given), "{given}");
    // Without it there is none, and what is usual stands.
    let still = fit(days, &noise, &taken);
    assert_eq!(still.trend, None);
    assert!(still.drift.0.abs() < 0.003, "{:?}", still.drift);
}

/// Days that drift as is usual show a trend on hardly one of a hundred.
#[test]
fn property_days_that_drift_as_usual_show_no_trend() {
    use rand_chacha::rand_core::{Rng, SeedableRng};
    use statrs::distribution::{ContinuousCDF, Normal};
    let mut stream = rand_chacha::ChaCha8Rng::seed_from_u64(11);
    let mut normal = || {
        let even = ((stream.next_u64() >> 11) as f64 + 0.5) / (1u64 << 53) as f64;
        Normal::standard().inverse_cdf(even)
    };
    let taken = Repeatability::common(crate::dyno::MeasuredAt::Flywheel, false);
    let layouts: [&[(usize, usize)]; 3] = [
        &[(0, 3), (1, 3)],
        &[(0, 4), (1, 4)],
        &[(0, 3), (1, 3), (0, 3), (1, 3)],
    ];
    let (mut shown, mut days) = (0, 0);
    for fittings in layouts {
        for _ in 0..200 {
            let design = design(fittings);
            let drift = taken.drift * normal();
            let cold = taken.first_pull * normal();
            let fitted: Vec<f64> = fittings.iter().map(|_| taken.fitting * normal()).collect();
            let y: Vec<f64> = (0..design.len())
                .map(|p| {
                    let first = f64::from(u8::from(design.first[p]));
                    let level = fitted[design.fitting[p]] + cold * first;
                    level + drift * design.hours[p] + taken.pull * normal()
                })
                .collect();
            let means: Vec<f64> = (0..design.specs())
                .map(|s| {
                    let own = (0..design.len()).filter(|&p| design.spec[p] == s);
                    own.map(|p| design.weight[p] * y[p]).sum()
                })
                .collect();
            let y: Vec<f64> = (0..y.len()).map(|p| y[p] - means[design.spec[p]]).collect();
            shown += usize::from(fit(design, &y, &taken).trend.is_some());
            days += 1;
        }
    }
    // Of 600 days at 1 %: 6 ± 2.4.
    assert!(shown <= 14, "{shown} of {days}");
}

/// Satterthwaite: 2·V² over the variance of V, here of V = f·a + p·b by the covariance of (a, b).
#[test]
fn degrees_of_freedom_are_those_of_the_sum_of_both_variances() {
    let y = [0.1, 0.3, 0.2, 1.0, 1.2, 0.8, 0.4, 0.5, 0.9, 1.6, 1.4, 1.5];
    let prior = Prior {
        fitting: (0.1, 2.0),
        pull: (0.1, 2.0),
        effects: NO_EFFECTS,
        day: 1e-4,
    };
    let fitted = fit_with(design(&[(0, 3), (0, 3), (0, 3), (0, 3)]), &y, &prior);
    // The mean of twelve pulls in four fittings.
    let (f, p) = (1.0 / 4.0, 1.0 / 12.0);
    let Variances {
        fitting,
        pull,
        covariance: [aa, ab, bb],
    } = fitted.variances;
    // A level that is high by one pull is so by less of its fitting.
    assert!(ab < 0.0, "{ab}");
    let variance = f * fitting + p * pull;
    let spread = fitted.own_spread(0, 0.0, f64::INFINITY);
    assert_relative_eq!(spread.variance, variance, max_relative = 1e-9);
    let of_it = aa * f * f + 2.0 * ab * f * p + bb * p * p;
    assert_relative_eq!(
        spread.df,
        2.0 * variance * variance / of_it,
        max_relative = 1e-9
    );
}

#[test]
fn a_sandwich_is_the_product_of_three_matrices() {
    let whole = |[x, y, z]: [f64; 3]| Matrix::new(2, 2, |i, j| [[x, y], [y, z]][i][j]);
    let (a, b) = ([2.0, -0.5, 3.0], [1.5, 0.7, 4.0]);
    let product = whole(a).times(&whole(b)).times(&whole(a));
    let made = model::sandwich(a, b);
    for (made, at) in made.into_iter().zip([(0, 0), (0, 1), (1, 1)]) {
        assert_relative_eq!(made, product[at], max_relative = 1e-12);
    }
}
