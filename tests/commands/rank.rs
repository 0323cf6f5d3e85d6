//! `pullrank rank`.

use super::world::World;
use super::{json, pullrank, text};

const STUDY: &str = "examples/club-season.yaml";

#[test]
fn the_demo_study_on_one_screen() {
    let out = text(pullrank().args(["rank", STUDY, "--draws", "100"]));
    // Two lines a venue and a dozen for the rest, with two for the gearing to fit, one for its price and
    // one for the states that are shown.
    assert!(out.lines().count() <= 30, "{out}");
    assert!(out.lines().all(|line| line.chars().count() <= 100), "{out}");
    insta::assert_snapshot!(out);
}

#[test]
fn the_readme_shows_what_it_says() {
    let readme = std::fs::read_to_string("README.md").unwrap();
    let out = text(pullrank().args(["rank", STUDY]));
    assert!(readme.contains(out.trim_end()), "{out}");
}

#[test]
fn one_venue_in_full() {
    insta::assert_snapshot!(text(
        pullrank().args(["rank", STUDY, "--venue", "threnlow", "--draws", "100"])
    ));
}

#[test]
fn every_venue_with_its_bands() {
    let out = text(pullrank().args(["rank", STUDY, "--bands", "--draws", "40"]));
    assert_eq!(out.matches("rpm band").count(), 7);
}

#[test]
fn csv_has_a_row_per_venue_spec_and_gearing() {
    let out = text(pullrank().args(["rank", STUDY, "--csv", "--draws", "40"]));
    assert_eq!(out.lines().count(), 1 + 7 * 2 * 2);
    let columns = out.lines().next().unwrap().split(',').count();
    let mut reader = csv::Reader::from_reader(out.as_bytes());
    assert!(
        reader
            .records()
            .all(|record| record.unwrap().len() == columns)
    );
    let bands = text(pullrank().args(["rank", STUDY, "--csv", "--bands", "--draws", "40"]));
    assert!(bands.starts_with("venue,spec,low_rpm,high_rpm,time_s,full_throttle_s,wins_s\n"));
}

#[test]
fn the_ranking_differs_between_venues_and_with_the_gearing() {
    let rank = json(pullrank().args(["rank", STUDY, "--json", "--draws", "40"]));
    let venues = rank["venues"].as_array().unwrap();
    let first = |venue: &serde_json::Value, key: &str| venue[key][0].as_u64().unwrap();
    let winners: Vec<u64> = venues.iter().map(|v| first(v, "order")).collect();
    assert!(winners.contains(&0) && winners.contains(&1), "{winners:?}");
    assert!(
        venues
            .iter()
            .any(|v| first(v, "order") != first(v, "order_at_best"))
    );
}

/// Σ time in band + shifting is the lap, and the states are the lap too.
#[test]
fn every_second_is_accounted_for() {
    let rank = json(pullrank().args(["rank", STUDY, "--json", "--draws", "40"]));
    for venue in rank["venues"].as_array().unwrap() {
        for spec in venue["specs"].as_array().unwrap() {
            for lap in [&spec["as_geared"], &spec["at_best"]] {
                let time = lap["time_s"].as_f64().unwrap();
                let states = lap["states"].as_object().unwrap();
                let sum: f64 = states.values().map(|s| s.as_f64().unwrap()).sum();
                approx::assert_relative_eq!(sum, time, max_relative = 1e-9);
                let bands = lap["bands"].as_array().unwrap();
                let in_band: f64 = bands.iter().map(|b| b["time_s"].as_f64().unwrap()).sum();
                let shifting = states["shifting_s"].as_f64().unwrap();
                approx::assert_relative_eq!(in_band + shifting, time, max_relative = 1e-9);
            }
        }
    }
}

/// The gap is what the quicker spec wins less what it loses, its mass and the rest, on every venue.
#[test]
fn gains_add_up_to_the_gap() {
    let rank = json(pullrank().args(["rank", STUDY, "--json", "--draws", "40"]));
    for venue in rank["venues"].as_array().unwrap() {
        let slower = venue["order"][1].as_u64().unwrap() as usize;
        let gap = venue["specs"][slower]["as_geared"]["gap_s"]
            .as_f64()
            .unwrap();
        let wins = venue["quicker_wins_s"].as_f64().unwrap();
        let back = venue["slower_wins_back_s"].as_f64().unwrap();
        let gains = &venue["gains"];
        let (mass, rest) = (
            gains["mass_s"].as_f64().unwrap(),
            gains["rest_s"].as_f64().unwrap(),
        );
        approx::assert_relative_eq!(wins - back + mass + rest, gap, epsilon = 1e-9);
        let bands = gains["bands"].as_array().unwrap();
        let bands: f64 = bands
            .iter()
            .map(|b| b["quicker_wins_s"].as_f64().unwrap())
            .sum();
        approx::assert_relative_eq!(bands, wins - back, epsilon = 1e-9);
    }
}

#[test]
fn the_same_bytes_on_one_thread_and_on_many() {
    let on = |threads: &str| {
        text(
            pullrank()
                .args(["rank", STUDY, "--json", "--draws", "40"])
                .env("RAYON_NUM_THREADS", threads),
        )
    };
    let on_one = on("1");
    assert_eq!(on_one, on("2"));
    assert_eq!(on_one, on("3"));
}

/// Each word follows from the numbers beside it.
#[test]
fn verdicts_say_what_their_draws_say() {
    let rank = json(pullrank().args(["rank", STUDY, "--json", "--draws", "40"]));
    for venue in rank["venues"].as_array().unwrap() {
        let verdict = &venue["verdict"];
        let number = |value: &serde_json::Value| value.as_f64().unwrap();
        let wins: Vec<f64> = verdict["wins_of_100"]
            .as_array()
            .unwrap()
            .iter()
            .map(number)
            .collect();
        approx::assert_relative_eq!(wins.iter().sum::<f64>(), 100.0, max_relative = 1e-12);
        let most = wins.iter().copied().fold(0.0, f64::max);
        let low = number(&verdict["gap"]["low_s"]);
        let level = number(&verdict["level_of_100"]);
        let word = match most {
            _ if level >= 80.0 => "nothing in it",
            97.5.. if low > 0.0 => "clear",
            80.0.. => "likely",
            _ => "too close to call",
        };
        assert_eq!(verdict["word"], word, "{venue}");
        let open = matches!(word, "likely" | "too close to call");
        assert_eq!(venue["settle"].is_null(), !open, "{venue}");
    }
}

#[test]
fn another_seed_draws_other_numbers_and_drives_the_same_laps() {
    let with = |seed: &str| {
        json(pullrank().args(["rank", STUDY, "--json", "--draws", "40", "--seed", seed]))
    };
    let (one, two) = (with("1"), with("2"));
    for (a, b) in one["venues"]
        .as_array()
        .unwrap()
        .iter()
        .zip(two["venues"].as_array().unwrap())
    {
        assert_eq!(a["specs"], b["specs"]);
        assert_ne!(a["verdict"]["gap"], b["verdict"]["gap"]);
    }
}

#[test]
fn too_few_or_too_many_draws_are_refused() {
    for command in ["rank", "season", "spend"] {
        let refused = |draws: &str| {
            let out = pullrank()
                .args([command, STUDY, "--draws", draws])
                .output()
                .unwrap();
            assert_eq!(out.status.code(), Some(2));
            assert!(out.stdout.is_empty());
            String::from_utf8(out.stderr).unwrap()
        };
        assert!(refused("0").contains("--draws 0: at least 40"));
        let long = refused("1000000000");
        assert!(
            long.contains("that would take about") && long.contains("at most 100000"),
            "{long}"
        );
    }
}

/// Close ratios keep the engine above the crossing: the same question gets another answer.
#[test]
fn the_gearbox_decides_too() {
    let rank = json(pullrank().args([
        "rank",
        "examples/plum-season.yaml",
        "--json",
        "--draws",
        "40",
    ]));
    let venues = rank["venues"].as_array().unwrap();
    let winner = |venue: &serde_json::Value| venue["order"][0].as_u64().unwrap();
    let tarmac = venues.iter().filter(|v| v["trim"] != "gravel");
    assert!(tarmac.clone().count() == 6 && tarmac.clone().all(|v| winner(v) == 1));
    for venue in tarmac {
        let lap = &venue["specs"][1]["as_geared"];
        let below = lap["full_throttle_below_first_crossing"].as_f64().unwrap();
        assert!(below < 0.1, "{below} at {}", venue["name"]);
    }
}

#[test]
fn one_spec_is_driven_and_not_ranked() {
    let world = World::new().edit("study.yaml", "driver:", "specs: long\ndriver:");
    let output = world.rank();
    assert!(output.status.success());
    insta::assert_snapshot!(world.said(&output.stdout));
}

#[test]
fn a_folder_is_a_study_too() {
    let world = World::new();
    std::fs::remove_file(world.path("study.yaml")).unwrap();
    let output = pullrank().arg("rank").arg(world.as_ref()).output().unwrap();
    let said = world.said(&output.stderr);
    assert!(output.status.success(), "{said}");
    assert!(world.said(&output.stdout).contains("Mill Lane"));
}

#[test]
fn a_venue_that_is_not_there_is_named() {
    let output = pullrank()
        .args(["rank", STUDY, "--venue", "Threnlow Lnes"])
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2));
    let error = String::from_utf8(output.stderr).unwrap();
    assert!(error.contains("did you mean `Threnlow Lanes`?"), "{error}");
}

/// Every change at every venue, both ways but for shifting earlier; 1 % of torque and 10 kg have the
/// sign that the trade expects wherever the engine has a say.
#[test]
fn changes_to_the_car_as_rows() {
    let out = text(pullrank().args(["rank", STUDY, "--trade-offs", "--csv", "--draws", "40"]));
    let mut reader = csv::Reader::from_reader(out.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(rows.len(), 7 * 9, "{out}");
    let side = |row: &csv::StringRecord, column| row[column].parse::<f64>().ok();
    for row in &rows {
        let (less, more) = (side(row, 5), side(row, 6));
        match &row[2] {
            "torque" | "grip" => assert!(less > more, "{row:?}"),
            "drag_area" | "shift_time" => assert!(less < more, "{row:?}"),
            "mass" if &row[0] != "Skarrow Woods" => assert!(less < more, "{row:?}"),
            "shift_up_earlier" => assert!(less > Some(0.0) && more.is_none(), "{row:?}"),
            _ => {}
        }
    }
}
