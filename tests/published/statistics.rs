//! Means, variances, analysis of variance, Welch's and Student's t against certified and published
//! values.

use approx::assert_relative_eq;
use pullrank::dyno::{Anova, Sample, Welch, t_quantile};

use super::{number, table};

/// Digits that agree: −log₁₀ of the relative error, at most 16.
fn digits(ours: f64, certified: f64) -> f64 {
    let error = ((ours - certified) / certified).abs();
    if error == 0.0 { 16.0 } else { -error.log10() }
}

fn column(name: &str, column: &str) -> Vec<f64> {
    table(name).iter().map(|row| number(row, column)).collect()
}

/// NIST StRD, univariate: certified mean and standard deviation. NumAcc2 to 4 are made as NIST says:
/// the mean, then 500 pairs 0.1 below and above it.
#[test]
fn reference_nist_univariate() {
    for row in table("dyno/nist_univariate_certified.csv") {
        let name = row["dataset"].as_str();
        let mean = number(&row, "certified_mean");
        let values = match name {
            "NumAcc1" => vec![10_000_001.0, 10_000_003.0, 10_000_002.0],
            "NumAcc2" | "NumAcc3" | "NumAcc4" => {
                let pairs = (0..500).flat_map(|_| [mean - 0.1, mean + 0.1]);
                std::iter::once(mean).chain(pairs).collect()
            }
            name => column(&format!("dyno/nist_{name}.csv"), "y"),
        };
        assert_eq!(values.len() as f64, number(&row, "n"));
        let sample = Sample::of(&values).unwrap();
        let sd = sample.sd().unwrap();
        let certified = number(&row, "certified_sd_n-1");
        // What storing the values as doubles leaves of the deviations.
        let floor = match name {
            "NumAcc3" => 9.0,
            "NumAcc4" => 8.0,
            _ => 12.0,
        };
        assert!(
            digits(sample.mean, mean) >= 15.0,
            "{name} mean {}",
            sample.mean
        );
        assert!(
            digits(sd, certified) >= floor,
            "{name} sd {sd} {}",
            digits(sd, certified)
        );
    }
}

/// NIST StRD, one-way analysis of variance: certified F, sums and residual sd. The floors are what is
/// left of the digits once the data are stored as doubles.
#[test]
fn reference_nist_analysis_of_variance() {
    let certified = table("dyno/nist_anova_certified.csv");
    for (name, floor) in [
        ("SiRstv", 12.0),
        ("SmLs01", 13.0),
        ("AtmWtAg", 8.0),
        ("SmLs07", 2.5),
    ] {
        let row = certified.iter().find(|row| row["dataset"] == name).unwrap();
        let mut groups: Vec<Vec<f64>> = Vec::new();
        for data in table(&format!("dyno/nist_{name}.csv")) {
            let group = number(&data, "treatment") as usize;
            groups.resize(group.max(groups.len()), Vec::new());
            groups[group - 1].push(number(&data, "response"));
        }
        let anova = Anova::of(&groups).unwrap();
        assert_eq!(anova.between_df as f64, number(row, "df_between"));
        assert_eq!(anova.within_df as f64, number(row, "df_within"));
        let f = digits(anova.f(), number(row, "F"));
        assert!(f >= floor, "{name} F {} has {f} digits", anova.f());
        let residual = digits(anova.within_variance().sqrt(), number(row, "residual_sd"));
        assert!(residual >= floor.min(9.0), "{name} {residual}");
        if floor >= 8.0 {
            assert_relative_eq!(anova.p(), number(row, "scipy_p"), max_relative = 2e-6);
        }
    }
}

/// Two published p values (R's help page of the t test: 1 to 10 against 7 to 20, and with 200
/// appended), and the same by scipy.
#[test]
fn reference_welch_published() {
    let first: Vec<f64> = (1..=10).map(f64::from).collect();
    let mut second: Vec<f64> = (7..=20).map(f64::from).collect();
    let welch = Welch::of(&first, &second).unwrap();
    assert!((welch.p() - 0.000_018_55).abs() < 5e-9);
    assert_relative_eq!(welch.t(), -5.434929764, max_relative = 1e-9);
    assert_relative_eq!(welch.df, 21.982212340, max_relative = 1e-9);
    assert_relative_eq!(welch.p(), 1.855281833e-5, max_relative = 1e-6);
    second.push(200.0);
    let welch = Welch::of(&first, &second).unwrap();
    assert!((welch.p() - 0.1245).abs() < 5e-5);
    assert_relative_eq!(welch.t(), -1.632902633, max_relative = 1e-9);
}

/// R's `sleep` and two sets of invented pulls, by scipy.
#[test]
fn reference_welch_by_a_library() {
    let rows = table("dyno/sleep.csv");
    let group = |wanted: &str| -> Vec<f64> {
        let own = rows.iter().filter(|row| row["group"] == wanted);
        own.map(|row| number(row, "extra")).collect()
    };
    let welch = Welch::of(&group("1"), &group("2")).unwrap();
    assert_relative_eq!(welch.t(), -1.860813467, max_relative = 1e-9);
    assert_relative_eq!(welch.df, 17.776473516, max_relative = 1e-9);
    assert_relative_eq!(welch.p(), 0.0793941402, max_relative = 1e-8);
    let pulls = Welch::of(
        &[181.2, 180.6, 182.1, 181.0, 180.9],
        &[183.0, 182.2, 184.1, 182.7],
    )
    .unwrap();
    assert_relative_eq!(pulls.p(), 0.0107322846, max_relative = 1e-8);
    let half = pulls.half_width(0.95);
    assert_relative_eq!(pulls.difference - half, -3.045580, max_relative = 1e-6);
    assert_relative_eq!(pulls.difference + half, -0.634420, max_relative = 1e-6);
}

/// Quantiles of Student's t, also of a degree of freedom that is no whole number.
#[test]
fn reference_student_quantiles() {
    for row in table("dyno/student_t_quantiles.csv") {
        let df = number(&row, "df");
        for (name, value) in row.iter().filter(|(name, _)| name.starts_with('p')) {
            let p: f64 = name[1..].parse().unwrap();
            let value: f64 = value.parse().unwrap();
            let ours = t_quantile(p, df);
            assert!((ours / value - 1.0).abs() < 2e-9, "{df} {p} {ours} {value}");
        }
    }
    assert_relative_eq!(
        t_quantile(0.975, 18.33225),
        2.098196044,
        max_relative = 1e-8
    );
    // Beyond 200 degrees of freedom, far out too, by mpmath: its incomplete beta function in 30 digits.
    for (df, p, value) in [
        (201.0, 0.975, 1.971836506779859),
        (201.0, 0.9999, 3.788766206976952),
        (201.0, 0.9999999, 5.386230092830018),
        (500.0, 0.9999999, 5.273108351861247),
        (2000.0, 0.975, 1.961150826099438),
    ] {
        assert_relative_eq!(t_quantile(p, df), value, max_relative = 5e-9);
    }
    // The table of the NIST e-Handbook, three decimals.
    for (df, printed) in [(1.0, 12.706), (4.0, 2.776), (10.0, 2.228), (30.0, 2.042)] {
        assert!((t_quantile(0.975, df) - printed).abs() < 5e-4);
    }
}

/// Quantiles of χ² and F that draws and analyses rest on, by scipy.
#[test]
fn reference_chi_square_and_f_quantiles() {
    use statrs::distribution::{ChiSquared, ContinuousCDF, FisherSnedecor};
    let chi = ChiSquared::new(9.0).unwrap();
    assert_relative_eq!(chi.inverse_cdf(0.025), 2.700389500, max_relative = 1e-7);
    assert_relative_eq!(chi.inverse_cdf(0.975), 19.022767799, max_relative = 1e-7);
    for (between, within, value) in [(4.0, 20.0, 2.866081402), (8.0, 180.0, 1.990146794)] {
        let f = FisherSnedecor::new(between, within).unwrap();
        assert_relative_eq!(f.cdf(value), 0.95, max_relative = 1e-9);
    }
}
