//! Verdicts of simulated test days against the truth behind them.

use std::collections::BTreeMap;

use super::simulated::{WORLDS, check, judge, pairs_at, roads};

fn table() -> Vec<BTreeMap<String, String>> {
    let path = format!(
        "{}/tests/reference/study/calibration.csv",
        env!("CARGO_MANIFEST_DIR")
    );
    let mut reader = csv::Reader::from_path(path).unwrap();
    reader.deserialize().map(Result::unwrap).collect()
}

fn number(row: &BTreeMap<String, String>, column: &str) -> f64 {
    row[column].parse().unwrap_or(0.0)
}

/// Of all days on which a word was said, the share on which it was right, and three binomial standard
/// errors of that.
fn right(rows: &[BTreeMap<String, String>], word: &str) -> (f64, f64) {
    let (mut said, mut right) = (0.0, 0.0);
    for row in rows.iter().filter(|row| number(row, "gap_sigma") > 0.0) {
        let days = number(row, "days") * number(row, &format!("{word}_said_percent")) / 100.0;
        said += days;
        right += days * number(row, &format!("{word}_right_percent")) / 100.0;
    }
    let share = right / said;
    (share, 3.0 * (share * (1.0 - share) / said).sqrt())
}

/// The committed run: 400 days for each of 45 roads, layouts and true gaps, 6,000 days a road, and as
/// many of identical specs where the day always drifts down.
#[test]
fn the_committed_table_is_right_as_often_as_it_says() {
    let (rows, always): (Vec<_>, Vec<_>) = table()
        .into_iter()
        .partition(|row| row["drift"] == "either way");
    assert_eq!((rows.len(), always.len()), (3 * 3 * 5, 3 * 3));
    assert!(rows.iter().all(|row| number(row, "days") == 400.0));
    let (clear, error) = right(&rows, "clear");
    assert!(clear - error >= 0.975, "{clear} ± {error}");
    let (likely, error) = right(&rows, "likely");
    assert!(likely - error >= 0.80, "{likely} ± {error}");
    let mean = |level: Option<f64>, column: &str| {
        let of = rows.iter();
        let of = of.filter(|row| level.is_none_or(|level| number(row, "gap_sigma") == level));
        let list: Vec<f64> = of.map(|row| number(row, column)).collect();
        list.iter().sum::<f64>() / list.len() as f64
    };
    // 3,600 days each: three standard errors are 1.1 %, 2.0 % and 2.5 %.
    assert!(mean(Some(0.0), "clear_said_percent") <= 5.0);
    // Power at three σ: what DEVELOPERS.md says of it, no more.
    for row in rows
        .iter()
        .filter(|r| number(r, "gap_sigma") == 3.0 && r["road"] != "fast gravel")
    {
        let least = if row["fittings"] == "1" { 80.0 } else { 65.0 };
        assert!(number(row, "clear_said_percent") >= least, "{row:?}");
    }
    let above = mean(Some(0.0), "above_percent");
    assert!((above - 50.0).abs() < 2.5, "{above}");
    let held = mean(None, "interval_percent");
    assert!((93.0..=97.0).contains(&held), "{held}");
}

/// A fresh run of few days agrees with the table within three standard errors of the difference, and
/// laps driven in full say what the slopes say.
#[test]
fn a_small_run_agrees_with_the_table() {
    let mut roads = roads(100, 60);
    roads.truncate(1);
    let road = &roads[0];
    let world = &WORLDS[0];
    let rows = table();
    let row = |level: f64| {
        let found = rows.iter().find(|row| {
            row["road"] == road.name
                && row["drift"] == "either way"
                && number(row, "fittings") == world.fittings as f64
                && number(row, "pulls") == world.pulls as f64
                && number(row, "gap_sigma") == level
        });
        found.unwrap()
    };
    let days = 60;
    for level in [1.0, 3.0] {
        let sigma = number(row(level), "sigma_s");
        let pairs = pairs_at(road, level * sigma);
        let [said, _] = judge(road, world, &pairs, (days, false), 9);
        let wanted = number(row(level), "clear_said_percent") / 100.0;
        let share = said.clear.0 as f64 / said.days as f64;
        let error = 3.0 * (wanted * (1.0 - wanted) / days as f64).sqrt() + 0.05;
        assert!(
            (share - wanted).abs() < error,
            "{level} σ: {share} {wanted}"
        );
    }
    let (error, same, number) = check(&roads, 4);
    assert!(error < 0.004, "{error}");
    assert!(same + 1 >= number, "{same} of {number}");
}
