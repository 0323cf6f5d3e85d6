//! `pullrank gearing`.

use serde_json::Value;

use super::world::World;
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

/// Both commands drive the same laps, on the car's own tyres; another size can only add to them.
#[test]
fn the_best_is_the_one_that_rank_finds() {
    let gearing = json(pullrank().args(["gearing", STUDY, "--json"]));
    let rank = json(pullrank().args(["rank", STUDY, "--json", "--draws", "40"]));
    let rows = gearing["gearings"].as_array().unwrap();
    let pairs = gearing["venues"].as_array().unwrap().iter();
    for (a, b) in pairs.zip(rank["venues"].as_array().unwrap()) {
        for spec in a["specs"].as_array().unwrap() {
            let other = b["specs"].as_array().unwrap();
            let other = other.iter().find(|s| s["name"] == spec["spec"]).unwrap();
            let mine = |row: &&Value| row["venue"] == a["name"] && row["spec"] == spec["spec"];
            let fitted = rows.iter().filter(mine).find(|row| row["fitted"] == true);
            let own = |row: &&Value| mine(row) && row["tyre"] == fitted.unwrap()["tyre"];
            let times = rows.iter().filter(own).map(|row| row["time_s"].as_f64());
            let best = times.flatten().fold(f64::INFINITY, f64::min);
            assert_eq!(other["at_best"]["time_s"].as_f64(), Some(best));
            assert!(spec["time_s"].as_f64().unwrap() <= best);
        }
    }
}

/// Every gearing is as slow as its own best or slower, and one of each spec's is the best; the other
/// tyre size is for two trims of three, which drive all venues but one.
#[test]
fn rows_are_measured_against_the_specs_own_best() {
    let gearing = json(pullrank().args(["gearing", STUDY, "--json"]));
    let rows = gearing["gearings"].as_array().unwrap();
    assert_eq!(rows.len(), 6 * 2 * 12 + 2 * 6);
    let same = |a: &Value, b: &Value| a["venue"] == b["venue"] && a["spec"] == b["spec"];
    for spec_at_venue in rows.chunk_by(same) {
        let behind = |row: &Value| row["behind_own_best_s"].as_f64().unwrap();
        assert!(spec_at_venue.iter().all(|row| behind(row) >= 0.0));
        assert!(spec_at_venue.iter().any(|row| behind(row) == 0.0));
    }
    let csv = text(pullrank().args(["gearing", STUDY, "--csv"]));
    assert_eq!(csv.lines().count(), 1 + rows.len());
}

/// Close hairpins that nobody says are driven in first: another final drive suits where they are.
#[test]
fn where_the_use_of_first_gear_decides_it_is_said() {
    let road = "pieces:\n".to_owned()
        + &"  - straight: 90 m\n  - corner: {radius: 9 m, turn: 150 deg, direction: left}\n  - straight: 90 m\n  - corner: \
           {radius: 9 m, turn: 150 deg, direction: right}\n"
            .repeat(4);
    let track = format!("name: Mill Lane\nkind: stage\nsurface: tarmac\n{road}");
    let world = World::new().write("track.yaml", track).edit(
        "car.yaml",
        "rev_limit: 7000 rpm",
        "rev_limit: 7000 rpm\noptions: {final_drive: [9/31, 9/34, 9/41, 9/46]}",
    );
    let shown = |world: &World| {
        let out = text(pullrank().arg("gearing").arg(world.path("study.yaml")));
        out.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let out = shown(&world);
    assert!(
        out.contains(
            "First gear is taken to be for the start only, as nobody says; used out of slow"
        ),
        "{out}"
    );
    let said = world.edit(
        "car.yaml",
        "flywheel: light",
        "flywheel: light\nfirst_gear: start only",
    );
    assert!(!shown(&said).contains("First gear is taken"));
}
