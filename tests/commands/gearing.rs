//! `pullrank gearing`.

use super::{json, pullrank, text};

const STUDY: &str = "examples/club-season.yaml";

#[test]
fn the_demo_study_on_one_screen() {
    let out = text(pullrank().args(["gearing", STUDY]));
    assert!(out.lines().all(|line| line.chars().count() <= 100), "{out}");
    insta::assert_snapshot!(out);
}

#[test]
fn one_venue_with_every_gearing() {
    insta::assert_snapshot!(text(
        pullrank().args(["gearing", STUDY, "--venue", "vennick"])
    ));
}

/// Both commands drive the same laps.
#[test]
fn the_best_is_the_one_that_rank_finds() {
    let gearing = json(pullrank().args(["gearing", STUDY, "--json"]));
    let rank = json(pullrank().args(["rank", STUDY, "--json", "--draws", "40"]));
    let pairs = gearing["venues"].as_array().unwrap().iter();
    for (a, b) in pairs.zip(rank["venues"].as_array().unwrap()) {
        for spec in a["specs"].as_array().unwrap() {
            let other = b["specs"].as_array().unwrap();
            let other = other.iter().find(|s| s["name"] == spec["spec"]).unwrap();
            assert_eq!(spec["time_s"], other["at_best"]["time_s"]);
            assert_eq!(spec["fastest_rpm"], other["at_best"]["fastest"]["rpm"]);
        }
    }
}

/// Every gearing is as slow as its own best or slower, and one of each spec's is the best.
#[test]
fn rows_are_measured_against_the_specs_own_best() {
    let gearing = json(pullrank().args(["gearing", STUDY, "--json"]));
    let rows = gearing["gearings"].as_array().unwrap();
    assert_eq!(rows.len(), 7 * 2 * 6);
    for spec_at_venue in rows.chunks(6) {
        let behind = |row: &serde_json::Value| row["behind_own_best_s"].as_f64().unwrap();
        assert!(spec_at_venue.iter().all(|row| behind(row) >= 0.0));
        assert!(spec_at_venue.iter().any(|row| behind(row) == 0.0));
    }
    let csv = text(pullrank().args(["gearing", STUDY, "--csv"]));
    assert_eq!(csv.lines().count(), 1 + rows.len());
}
