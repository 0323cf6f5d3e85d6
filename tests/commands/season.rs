//! `pullrank season`, `spend`, `roads` and `results`.

use super::world::World;
use super::{json, pullrank, text};
use assert_cmd::Command;

const STUDY: &str = "examples/club-season.yaml";

fn on_one_screen(command: &str) -> String {
    let out = text(pullrank().args([command, STUDY]).args(draws(command)));
    assert!(out.lines().all(|line| line.chars().count() <= 100), "{out}");
    assert!(out.lines().count() <= 40, "{out}");
    out
}

fn draws(command: &str) -> &'static [&'static str] {
    match command {
        "roads" => &[],
        _ => &["--draws", "40"],
    }
}

#[test]
fn the_season_on_one_screen() {
    insta::assert_snapshot!(on_one_screen("season"));
}

#[test]
fn where_to_spend_on_one_screen() {
    insta::assert_snapshot!(on_one_screen("spend"));
}

#[test]
fn kinds_of_road_on_one_screen() {
    insta::assert_snapshot!(on_one_screen("roads"));
}

/// Of one trim: those of another are named, with how to get theirs.
#[test]
fn venues_that_are_not_on_the_map_are_named() {
    let out = text(pullrank().args(["roads", STUDY]));
    let words = out.split_whitespace().collect::<Vec<_>>().join(" ");
    let (_, rest) = words
        .split_once("Not on this map, driven in another trim: ")
        .unwrap();
    let (names, _) = rest.split_once(';').unwrap();
    let first = names.split(", ").next().unwrap();
    let theirs = text(pullrank().args(["roads", STUDY, "--venue", first]));
    assert!(
        theirs.lines().any(|line| line.starts_with(first)),
        "{theirs}"
    );
}

/// The chart of the map names both specs and the venues on it, and is not written over unasked.
#[test]
fn kinds_of_road_as_a_chart() {
    let world = World::new();
    let folder = world.path("");
    let run = || {
        let mut command = pullrank();
        command.args(["roads", STUDY, "--svg"]).arg(&folder);
        command.output().unwrap().status.success()
    };
    assert!(run());
    let file = world.path("roads-long-manifold-or-short-manifold.svg");
    let svg = std::fs::read_to_string(&file).unwrap();
    for part in [
        "long manifold",
        "short manifold",
        "Threnlow Lanes",
        "km/h",
        "<polyline",
    ] {
        assert!(svg.contains(part), "{part}");
    }
    std::fs::write(&file, "kept").unwrap();
    assert!(!run());
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "kept");
}

#[test]
fn results_on_one_screen() {
    insta::assert_snapshot!(on_one_screen("results"));
}

/// A plan's seconds are those of its events, and its price that of its parts.
#[test]
fn a_season_adds_up() {
    let season = json(pullrank().args(["season", STUDY, "--json", "--draws", "40"]));
    let now = season["as_stands_s"].as_f64().unwrap();
    let mut last = now + 1e-9;
    for plan in season["plans"].as_array().unwrap() {
        let total = plan["season_s"].as_f64().unwrap();
        let events = plan["events"].as_array().unwrap();
        assert_eq!(events.len(), 7);
        let sum: f64 = events.iter().map(|e| e["seconds"].as_f64().unwrap()).sum();
        assert!((sum - total).abs() < 1e-6, "{sum} {total}");
        assert!(total < last);
        last = total;
    }
    let specs = season["as_geared"].as_array().unwrap();
    let fitted = specs
        .iter()
        .find(|s| s["spec"] == "short manifold")
        .unwrap();
    assert_eq!(fitted["season_s"].as_f64().unwrap(), now);
}

/// One study has one season: what `rank` says of it is what `season` says, to the bit. Laps from rest and
/// in the wet count in the demo.
#[test]
fn rank_and_season_say_the_same_of_a_season() {
    let said = |command: &str| {
        let drawn = ["--json", "--draws", "40"];
        json(pullrank().args([command, STUDY]).args(drawn))
    };
    let (rank, season) = (said("rank"), said("season"));
    let (ours, theirs) = (&rank["season"], &season["verdict"]);
    let same = |ours: &serde_json::Value, key: &str| {
        assert!(!theirs[key].is_null());
        assert_eq!(*ours, theirs[key], "{key}");
    };
    for key in ["word", "leader", "next", "wins_of_100"] {
        same(&ours[key], key);
    }
    for key in ["unmeasured_share", "not_measured_at"] {
        same(&ours[key], key);
    }
    for end in ["low_s", "median_s", "high_s"] {
        same(&ours["gap"][end], &format!("gap_{end}"));
    }
}

const LONG_STRAIGHT: &str = "\
name: Long Straight
kind: stage
surface: tarmac
pieces:
  - straight: 4 km
";

/// A season hangs on rpm that no pull reached where its venues do, as much as they count; a small venue
/// that is not measured is named and does not unsay the others.
#[test]
fn a_season_is_not_measured_where_what_counts_is_not() {
    let said = |weights: [f64; 2]| {
        let [lane, straight] = weights;
        let venues = format!(
            "[{{track: track.yaml, weight: {lane}}}, {{track: fast.yaml, weight: {straight}}}]"
        );
        let world = World::new()
            .write("fast.yaml", LONG_STRAIGHT)
            .edit("study.yaml", "[track.yaml]", &venues)
            .edit(
                "testday.yaml",
                "rpm: [2000, 3000, 4000, 5000, 6000, 7000]",
                "rpm: [5000, 5500, 6000, 6500, 7000]",
            )
            .edit(
                "testday.yaml",
                "torque: [110, 125, 140, 152, 150, 135]",
                "torque: [152, 148, 140, 130, 118]",
            );
        let run = |command: &str, how: &[&str]| {
            let mut ours = pullrank();
            ours.args([command]).arg(world.path("study.yaml"));
            ours.args(["--draws", "40"]).args(how);
            ours
        };
        // That the pulls begin apart is said beside it.
        let printed = |mut command: Command| {
            let output = command.output().unwrap();
            assert!(output.status.success());
            String::from_utf8(output.stdout).unwrap()
        };
        let told = |command: &str, key: &str| -> serde_json::Value {
            serde_json::from_str::<serde_json::Value>(&printed(run(command, &["--json"]))).unwrap()
                [key]
                .clone()
        };
        let (rank, season) = (told("rank", "season"), told("season", "verdict"));
        for key in ["word", "unmeasured_share", "not_measured_at"] {
            assert_eq!(rank[key], season[key], "{key}");
        }
        let texts = ["rank", "season"].map(|command| printed(run(command, &[])));
        (
            season,
            texts.map(|text| text.split_whitespace().collect::<Vec<_>>().join(" ")),
        )
    };
    let told = "comes from rpm that the pulls of short did not reach, too much at Mill Lane: pull both over the same \
                range.";
    let (lanes, texts) = said([99.0, 1.0]);
    assert_eq!(lanes["word"], "not measured", "{texts:?}");
    assert_eq!(lanes["not_measured_at"], serde_json::json!(["Mill Lane"]));
    assert!(texts.iter().all(|text| text.contains(told)), "{texts:?}");
    let (straights, texts) = said([0.3, 9.0]);
    assert_eq!(straights["word"], "clear", "{texts:?}");
    assert!(straights["unmeasured_share"].as_f64().unwrap() < 0.2);
    assert!(texts.iter().all(|text| text.contains(told)), "{texts:?}");
    let (none, texts) = said([0.0, 1.0]);
    assert_eq!(none["not_measured_at"], serde_json::json!([]));
    assert!(
        texts
            .iter()
            .all(|text| !text.contains("over the season comes")),
        "{texts:?}"
    );
}

/// Every part's seconds over the season are the sum of its events', and the frontier never pays more
/// for less.
#[test]
fn the_money_adds_up() {
    let spend = json(pullrank().args(["spend", STUDY, "--json", "--draws", "40"]));
    let parts = spend["parts"].as_array().unwrap();
    let kinds: Vec<&str> = parts.iter().map(|p| p["kind"].as_str().unwrap()).collect();
    for kind in [
        "spec",
        "final drive",
        "gear set",
        "differential",
        "tyre",
        "lighter",
        "rev limit",
    ] {
        assert!(kinds.contains(&kind), "{kind} in {kinds:?}");
    }
    for part in parts {
        let events = part["by_event"].as_array().unwrap();
        let sum: f64 = events.iter().map(|e| e["wins_s"].as_f64().unwrap()).sum();
        let wins = part["wins_throughout_s"].as_f64().unwrap();
        assert!((sum - wins).abs() < 1e-6, "{part}");
        if let Some(helps) = part["wins_where_it_helps_s"].as_f64() {
            assert!(helps >= wins - 1e-9, "{part}");
        }
    }
    let frontier = spend["frontier"].as_array().unwrap();
    let pair =
        |b: &serde_json::Value| (b["price"].as_f64().unwrap(), b["wins_s"].as_f64().unwrap());
    for w in frontier.windows(3) {
        let [a, b, c] = [pair(&w[0]), pair(&w[1]), pair(&w[2])];
        assert!(a.0 < b.0 && a.1 < b.1);
        assert!((b.1 - a.1) / (b.0 - a.0) >= (c.1 - b.1) / (c.0 - b.0));
    }
}

/// A race of one lap is a lap from rest, and every lap more adds a flying one.
#[test]
fn a_race_is_one_lap_from_rest_and_the_others_flying() {
    let circuit = "name: Ring\nkind: circuit\nsurface: tarmac\npieces:\n  - straight: 200 m\n  - \
                   corner: {radius: 30 m, turn: 180 deg, direction: right}\n  - straight: 200 m\n  - \
                   corner: {radius: 30 m, turn: 180 deg, direction: right}\n";
    let total = |laps: u32, extra: &str| {
        let world = World::new().write("track.yaml", circuit).edit(
            "study.yaml",
            "[track.yaml]",
            &format!("[{{track: track.yaml, laps: {laps}{extra}}}]"),
        );
        let path = world.path("study.yaml");
        let season = json(
            pullrank()
                .arg("season")
                .arg(path)
                .args(["--json", "--draws", "40"]),
        );
        season["as_stands_s"].as_f64().unwrap()
    };
    let (one, two, five) = (total(1, ""), total(2, ""), total(5, ""));
    let flying = two - one;
    assert!(flying < one, "{flying} {one}");
    assert!((five - one - 4.0 * flying).abs() < 1e-6);
    assert!((total(5, ", weight: 0.5") - 0.5 * five).abs() < 1e-6);
    assert!((total(2, ", passes: 3, best_of: 2") - 3.0 * two).abs() < 1e-6);
    let wet = total(5, ", conditions: {wet: 1}");
    let mixed = total(5, ", conditions: {dry: 0.6, wet: 0.4}");
    assert!((mixed - 0.6 * five - 0.4 * wet).abs() < 1e-6, "{mixed}");
    assert!(wet > five);
}

/// Ballast up to the minimum makes two specs of different mass weigh the same.
#[test]
fn ballast_fills_up_to_the_minimum_mass() {
    let time = |least: &str, mass: &str| {
        let world = World::new()
            .edit("study.yaml", "driver:", &format!("{least}driver:"))
            .edit(
                "testday.yaml",
                "pulls: long.csv",
                &format!("mass: {mass}\n    pulls: long.csv"),
            )
            .edit(
                "testday.yaml",
                "- name: short",
                "- name: short\n    mass: 5 kg",
            );
        let season = json(
            pullrank()
                .arg("season")
                .arg(world.path("study.yaml"))
                .args(["--json", "--draws", "40"]),
        );
        season["as_stands_s"].as_f64().unwrap()
    };
    let light = time("", "5 kg");
    assert!(time("", "25 kg") > light);
    let least = "minimum_mass: 990 kg\n";
    assert_eq!(time(least, "5 kg"), time(least, "25 kg"));
    assert!(time(least, "5 kg") > light);
    assert_eq!(time("minimum_mass: 900 kg\n", "5 kg"), light);
}

/// Teeth ranges, ranges of ratios and drop gears are all driven.
#[test]
fn final_drives_come_as_lists_ranges_and_drop_gears() {
    let count = |options: &str| {
        let world = World::new().edit(
            "car.yaml",
            "rev_limit",
            &format!("options: {options}\nrev_limit"),
        );
        let gearing = json(
            pullrank()
                .arg("gearing")
                .arg(world.path("study.yaml"))
                .arg("--json"),
        );
        let rows = gearing["gearings"].as_array().unwrap();
        let of_one = rows.iter().filter(|row| row["spec"] == "long");
        let ratios = of_one.map(|row| row["final_drive"].as_f64().unwrap());
        ratios.collect::<Vec<f64>>()
    };
    let fitted = 38.0 / 9.0;
    assert_eq!(count("{final_drive: 9/41}"), [fitted, 41.0 / 9.0]);
    let range = count("{final_drive: {from: 3.9, to: 4.2, step: 0.1}}");
    assert_eq!(range, [fitted, 3.9, 4.0, 4.1, 4.2]);
    let teeth = count("{final_drive: {pinion: [8, 9], crownwheel: 37 to 38}}");
    assert_eq!(teeth, [fitted, 37.0 / 8.0, 38.0 / 8.0, 37.0 / 9.0]);
    let drop = count("{drop_gear: 24/25}");
    assert_eq!(drop, [fitted, fitted * 25.0 / 24.0]);
}

#[test]
fn nothing_is_changed_before_a_sealed_event() {
    let most = |sealed: &str| {
        let venues = format!(
            "[{{track: track.yaml, passes: 40}}, {{track: fast.yaml, passes: 40{sealed}}}]"
        );
        let world = World::new()
            .write("fast.yaml", LONG_STRAIGHT)
            .edit("track.yaml", "length: 140 m", "length: 60 m")
            .edit("track.yaml", "radius: 30 m", "radius: 12 m")
            .edit("track.yaml", "straight: 90 m", "straight: 50 m")
            .edit("study.yaml", "2500 rpm", "3000 rpm")
            .edit(
                "testday.yaml",
                "[110, 125, 140, 152, 150, 135]",
                "[80, 100, 128, 160, 172, 165]",
            )
            .edit("study.yaml", "[track.yaml]", &venues)
            .edit(
                "testday.yaml",
                "- name: long\n",
                "- name: long\n    swap_time: 1 h\n",
            )
            .edit(
                "testday.yaml",
                "- name: short\n",
                "- name: short\n    swap_time: 1 h\n",
            );
        let mut command = pullrank();
        command
            .arg("season")
            .arg(world.path("study.yaml"))
            .args(["--draws", "40"]);
        let said = world
            .said(&command.output().unwrap().stdout)
            .replace("\n  ", " ");
        let season = json(command.arg("--json"));
        let plans = season["plans"].as_array().unwrap().clone();
        let most = plans
            .iter()
            .map(|plan| plan["changes"].as_u64().unwrap())
            .max();
        (most.unwrap(), said)
    };
    let (free, said) = most("");
    assert!(free >= 1 && !said.contains("sealed"), "{said}");
    let (sealed, said) = most(", sealed: yes");
    assert_eq!(sealed, 0, "{said}");
    assert!(
        said.contains("changed between events, none before Long Straight (sealed)."),
        "{said}"
    );
    let first = World::new().edit(
        "study.yaml",
        "[track.yaml]",
        "[{track: track.yaml, sealed: yes}]",
    );
    let said = first.faults();
    assert!(
        said.contains("sealed: no event comes before the first"),
        "{said}"
    );
}
