//! What programs read: JSON, CSV and text of a command say the same; lines of a path are chosen.

use std::collections::BTreeMap;

use serde_json::Value;

use super::world::World;
use super::{json, pullrank, text};

const STUDY: &str = "examples/club-season.yaml";

/// The rows of a table by its header.
fn table(csv: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    reader.deserialize().map(|row| row.unwrap()).collect()
}

fn float(row: &BTreeMap<String, String>, column: &str) -> f64 {
    row[column].parse().unwrap()
}

fn list<'a>(of: &'a Value, key: &str) -> &'a [Value] {
    of[key].as_array().unwrap()
}

#[test]
fn results_are_those_of_the_study_in_every_form() {
    let run = |how: &[&str]| {
        let mut command = pullrank();
        command.args(["results", STUDY, "--draws", "40"]).args(how);
        command
    };
    let told = json(&mut run(&["--json"]));
    let rows = table(&text(&mut run(&["--csv"])));
    let results = list(&told, "results");
    assert_eq!(results.len(), rows.len());
    let written = [
        ("Threnlow Lanes", 4.0 * 60.0 + 43.6),
        ("Quessmoor", 7.0 * 60.0 + 21.9),
        ("Vennick", 79.81),
    ];
    let study = std::fs::read_to_string(STUDY).unwrap();
    for ((result, row), (venue, driven)) in results.iter().zip(&rows).zip(written) {
        assert_eq!(result["venue"], venue);
        assert_eq!(row["venue"], venue);
        assert!(study.contains(venue));
        let number = |key: &str| result[key].as_f64().unwrap();
        assert!((number("driven_s") - driven).abs() < 1e-9);
        assert!((number("driven_s") - float(row, "driven_s")).abs() < 0.005);
        assert!((number("predicted_s") - float(row, "predicted_s")).abs() < 0.0005);
        let (low, high) = (number("predicted_low_s"), number("predicted_high_s"));
        assert!(low < number("predicted_s") && number("predicted_s") < high);
        // Slower than predicted is a driver who corners less hard than was taken.
        assert!(number("driven_s") > number("predicted_s"));
        assert!(number("corner_share") < 0.97);
    }
    for kind in list(&told, "kinds") {
        let number = |key: &str| kind[key].as_f64().unwrap();
        assert!(number("corner_share_fitted") < number("corner_share_taken"));
    }
}

/// The gap at a venue as the driver was taken to corner is the one that `rank` tells.
#[test]
fn gaps_after_the_event_are_those_of_the_ranking() {
    let told = json(pullrank().args(["results", STUDY, "--json", "--draws", "40"]));
    let rank = json(pullrank().args(["rank", STUDY, "--json", "--draws", "40"]));
    let mut seen = 0;
    for gap in list(&told, "kinds")
        .iter()
        .flat_map(|kind| list(kind, "gaps"))
    {
        let venues = list(&rank, "venues").iter();
        let venue = venues.clone().find(|v| v["name"] == gap["venue"]).unwrap();
        let times: Vec<f64> = list(venue, "specs")
            .iter()
            .map(|spec| spec["as_geared"]["time_s"].as_f64().unwrap())
            .collect();
        let between = (times[0] - times[1]).abs();
        assert!(
            (gap["as_taken_s"].as_f64().unwrap() - between).abs() < 1e-9,
            "{gap}"
        );
        seen += 1;
    }
    assert!(seen >= 3, "{seen}");
}

#[test]
fn kinds_of_road_are_the_same_in_every_form() {
    let told = json(pullrank().args(["roads", STUDY, "--json"]));
    let mut rows = table(&text(pullrank().args(["roads", STUDY, "--csv"])));
    rows.retain(|row| row["what"] == "road");
    let roads = list(&told, "roads");
    assert_eq!(roads.len(), rows.len());
    for (road, row) in roads.iter().zip(&rows) {
        for (key, column, within) in [
            ("straight_m", "straight_m", 0.05),
            ("first_quicker_s_per_km", "first_quicker_s_per_km", 0.0005),
        ] {
            match road[key].as_f64() {
                Some(value) => assert!((value - float(row, column)).abs() <= within, "{row:?}"),
                None => assert_eq!(row[column], ""),
            }
        }
    }
    // The long manifold is the stronger below: it leads where corners are slow and straights short.
    let quicker = |road: &Value| road["first_quicker_s_per_km"].as_f64().unwrap();
    assert_eq!(told["first"], "long manifold");
    assert!(quicker(&roads[0]) > 0.1);
    let screen = text(pullrank().args(["roads", STUDY]));
    assert!(screen.contains("long manifold"), "{screen}");
}

#[test]
fn what_parts_win_by_event_is_the_same_in_every_form() {
    let run = |how: &str| {
        let mut command = pullrank();
        command.args(["spend", STUDY, "--draws", "40", how]);
        command
    };
    let told = json(&mut run("--json"));
    let mut rows = table(&text(&mut run("--csv"))).into_iter();
    for part in list(&told, "parts") {
        for event in list(part, "by_event") {
            let row = rows.next().unwrap();
            assert_eq!(row["part"], part["part"].as_str().unwrap());
            assert_eq!(row["venue"], event["venue"].as_str().unwrap());
            let wins = event["wins_s"].as_f64().unwrap();
            assert!((wins - float(&row, "wins_s")).abs() < 0.0006, "{row:?}");
        }
    }
    assert!(rows.next().is_none());
}

/// Every venue has its line, and no road moves a time by a millisecond, as the page on trust says.
#[test]
fn the_accuracy_of_every_venue_is_told() {
    let out = text(pullrank().args(["rank", STUDY, "--accuracy", "--draws", "40"]));
    let (_, accuracy) = out.split_once("accuracy, s").unwrap();
    let rows: Vec<&str> = accuracy.lines().skip(1).take(7).collect();
    for (row, venue) in rows.iter().zip([
        "Threnlow",
        "Quessmoor",
        "Skarrow",
        "Quillgarth",
        "Pellmarsh",
    ]) {
        assert!(row.starts_with(venue), "{accuracy}");
    }
    let figures = rows.iter().flat_map(|row| row.split_whitespace());
    let small: Vec<f64> = figures
        .filter(|word| word.starts_with("0.0"))
        .map(|word| word.parse().unwrap())
        .collect();
    assert!(small.len() >= 14, "{accuracy}");
    assert!(small.iter().all(|error| *error <= 0.001), "{accuracy}");
}

/// A file of two tracks, the second with more points and half as long again.
#[test]
fn a_line_of_a_path_is_chosen_by_number_or_name() {
    let points = |lon: f64, count: u32| {
        (0..count)
            .map(|i| {
                format!(
                    "<trkpt lat=\"{}\" lon=\"{lon}\"/>",
                    50.0 + 0.001 * f64::from(i)
                )
            })
            .collect::<String>()
    };
    let gpx = |back: u32| {
        format!(
            "<gpx version=\"1.1\" xmlns=\"http://www.topografix.com/GPX/1/1\">\
             <trk><name>out</name><trkseg>{}</trkseg></trk>\
             <trk><name>home</name><trkseg>{}</trkseg></trk></gpx>",
            points(8.0, 3),
            points(8.1, back)
        )
    };
    let of = |gpx: String, line: &str| {
        let track =
            format!("name: T\nkind: stage\nsurface: tarmac\npath: {{file: two.gpx{line}}}\n");
        let world = World::empty().write("two.gpx", &gpx).write("t.yaml", track);
        let output = pullrank()
            .arg("venue")
            .arg(world.path("t.yaml"))
            .output()
            .unwrap();
        let out = String::from_utf8(output.stdout.clone()).unwrap();
        (output.status.code(), out, world.said(&output.stderr))
    };
    let run = |line: &str| of(gpx(4), line);
    let (_, _, said) = of(gpx(3), "");
    assert!(
        said.contains("2 lines in this file; the first of those with the most points is taken"),
        "{said}"
    );
    // A degree of latitude at 50° is 111.2 km (WGS 84): 0.22 km and 0.33 km.
    for (line, length, warned) in [
        ("", "0.33 km", true),
        (", line: 1", "0.22 km", false),
        (", line: out", "0.22 km", false),
        (", line: 2", "0.33 km", false),
    ] {
        let (code, out, said) = run(line);
        assert_eq!(code, Some(0), "{said}");
        assert!(out.contains(length), "{line}: {out}");
        assert_eq!(
            said.contains("2 lines in this file; the one with the most points"),
            warned
        );
    }
    for (line, wanted) in [
        (
            ", line: 3",
            "t.yaml:4:29: error: two.gpx: there is no line 3 in this file",
        ),
        (
            ", line: back",
            "t.yaml:4:29: error: two.gpx: there is no line `back` in this file",
        ),
    ] {
        let (code, out, said) = run(line);
        assert_eq!((code, out.as_str()), (Some(1), ""));
        assert!(said.contains(wanted), "{said}");
        assert!(
            said.contains("it holds 1 `out` of 3 points, 2 `home` of 4 points"),
            "{said}"
        );
    }
}
