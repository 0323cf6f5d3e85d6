//! Venues as people bring them: each works in `rank` straight away, and every fault has its finding.

use std::fmt::Write;

use insta::assert_snapshot;

use super::doubts::listed;
use super::drawn::{At, coordinates, degrees_csv, geometry, gpx, log_csv, metres_csv, ring, road};
use super::pullrank;
use super::world::World;

/// A study of one venue whose road is this, in lines of YAML.
pub(super) fn venue(source: &str) -> World {
    let track = format!(
        "name: Fern Bank\nkind: stage\nsurface: tarmac\nair: {{elevation: 200 m, temperature: 15 C, \
         humidity: 60 %}}\n{source}\n"
    );
    World::new().write("track.yaml", track)
}

/// A study of one venue along this file.
pub(super) fn along(name: &str, text: &str) -> World {
    venue(&format!("path: {name}")).write(name, text)
}

/// The same as a circuit.
pub(super) fn lap(name: &str, text: &str) -> World {
    along(name, text).edit("track.yaml", "kind: stage", "kind: circuit")
}

/// What `venue` says of the track, as JSON.
pub(super) fn shown(world: &World) -> serde_json::Value {
    let output = pullrank()
        .args(["venue", "--json"])
        .arg(world.path("track.yaml"))
        .output()
        .unwrap();
    let said = world.said(&output.stderr);
    assert!(output.status.success(), "{said}");
    serde_json::from_slice::<serde_json::Value>(&output.stdout).unwrap()["venues"][0].take()
}

pub(super) fn length(world: &World) -> f64 {
    shown(world)["length_m"].as_f64().unwrap()
}

/// What `venue` and `rank` say of a sound venue besides their answers.
pub(super) fn warned(world: &World) -> String {
    let output = world.rank();
    let said = world.said(&output.stderr);
    assert!(output.status.success(), "{said}");
    said
}

pub(super) fn near(found: f64, wanted: f64, part: f64) {
    assert!((found / wanted - 1.0).abs() < part, "{found} for {wanted}");
}

#[test]
fn every_way_to_bring_a_path_gives_the_same_road() {
    let points = road();
    let inner = &points[..points.len() - 1];
    let (first, second) = inner.split_at(150);
    let parts = format!("[{}, {}]", coordinates(second), coordinates(first));
    let worlds = [
        along("road.gpx", &gpx(&points)),
        along(
            "road.gpx",
            &gpx(&points)
                .replace("trkpt", "rtept")
                .replace("trkseg>", "extensions>")
                .replace("trk>", "rte>"),
        ),
        along(
            "road.geojson",
            &geometry("LineString", &coordinates(&points)),
        ),
        along("road.geojson", &geometry("MultiLineString", &parts)),
        along("road.csv", &degrees_csv(&points)),
        along("road.csv", &metres_csv(&points)),
    ];
    for world in worlds {
        warned(&world);
        near(length(&world), 2000.0, 0.01);
        assert!(shown(&world)["corners"].as_array().unwrap().len() >= 10);
    }
}

#[test]
fn heights_and_times_of_a_recording_are_used() {
    let world = along("road.gpx", &gpx(&road()));
    let venue = shown(&world);
    // 12 m up and down by a sine of 320 m: one rise of 12, a fall of 24, a rise of 12, and so on.
    let truth: f64 = road().windows(2).map(|w| (w[1].z - w[0].z).max(0.0)).sum();
    near(venue["climb_m"].as_f64().unwrap(), truth, 0.05);
}

#[test]
fn rings_close_and_laps_are_cut_from_a_longer_recording() {
    let ring = ring();
    let closed: Vec<At> = ring.iter().chain(&ring[..1]).copied().collect();
    let polygon = format!("[{}]", coordinates(&closed));
    let world = lap("ring.geojson", &geometry("Polygon", &polygon));
    assert_eq!(warned(&world), "");
    near(length(&world), 1200.0, 0.01);
    // Three times round.
    let thrice: Vec<At> = (0..3 * ring.len() + 1)
        .map(|i| At {
            s: 5.0 * i as f64,
            ..ring[i % ring.len()]
        })
        .collect();
    let world = lap("ring.gpx", &gpx(&thrice));
    assert_snapshot!("laps", warned(&world));
    near(length(&world), 1200.0, 0.01);
    let second = world.edit(
        "track.yaml",
        "path: ring.gpx",
        "path: {file: ring.gpx, lap: 2}",
    );
    assert_eq!(warned(&second), "");
    let fastest = second.edit("track.yaml", "lap: 2", "lap: fastest");
    let listed = listed(&fastest);
    assert!(listed.contains(", the fastest, of 3"), "{listed}");
    let second = fastest.edit("track.yaml", "lap: fastest", "lap: 2");
    let fourth = second.edit("track.yaml", "lap: 2", "lap: 4");
    assert_snapshot!("no_lap", fourth.faults());
}

#[test]
fn start_finish_direction_and_smoothing_can_be_said() {
    let whole = along("road.gpx", &gpx(&road()));
    let say =
        |what: &str| along("road.gpx", &gpx(&road())).edit("track.yaml", "path: road.gpx", what);
    let part = say("path: {file: road.gpx, from: 400 m, to: 1.4 km}");
    near(length(&part), 1000.0, 0.01);
    let (lat, lon) = road()[100].degrees();
    let by_place = say(&format!(
        "path: {{file: road.gpx, from: {{lat: {lat:.6}, lon: {lon:.6}}}}}"
    ));
    near(length(&by_place), 1500.0, 0.01);
    let back = say("path: {file: road.gpx, reverse: yes}");
    let sides = |world: &World| -> Vec<String> {
        let venue = shown(world);
        let corners = venue["corners"].as_array().unwrap().clone();
        corners
            .iter()
            .map(|c| c["direction"].as_str().unwrap().to_owned())
            .collect()
    };
    let mut turned = sides(&back);
    turned.reverse();
    let mirrored: Vec<String> = sides(&whole)
        .iter()
        .map(|side| if side == "left" { "right" } else { "left" }.to_owned())
        .collect();
    assert_eq!(turned, mirrored);
    // Smoothed over far too much the bends are gone.
    let flat = say("path: {file: road.gpx, smoothing: 200 m}");
    assert!(sides(&flat).len() < sides(&whole).len());
    let far = say("path: {file: road.gpx, from: {lat: 50.0, lon: 8.0}}");
    assert_snapshot!("far", far.faults());
    let backwards = say("path: {file: road.gpx, from: 900 m, to: 300 m}");
    assert_snapshot!("ends_first", backwards.faults());
}

const NOTES: &str = "grades: {hairpin: 26 km/h, square: 42 km/h, 3: 60 km/h, 4: 80 km/h, 6: flat}
notes: >-
  100 HpL 60 3R 80 SqL 120 4R long 200 6L 60 3L tightens 90 SqR 150 40 HpR 200 4L opens 3% 140 3R 100";

const SKETCH: &str = "sketch:
  length: 3.4 km
  hairpins: 2
  squares: 6
  corners: {3: 8, 4: 6}
  longest_straight: 230 m";

#[test]
fn a_page_of_notes_and_a_sketch_work_straight_away() {
    let notes = venue(NOTES);
    assert_eq!(warned(&notes), "");
    assert_eq!(shown(&notes)["corners"].as_array().unwrap().len(), 9);
    let output = venue(SKETCH).rank();
    let out = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success());
    assert!(
        out.contains("Roads with these counts: ") && out.contains(" of 40"),
        "{out}"
    );
}

#[test]
fn what_is_said_along_a_road_holds_on_every_source() {
    let said = "along:
  - {from: 300 m, to: 500 m, surface: damp tarmac, cap: 50 km/h}
  - {from: 500 m, to: 700 m, slope: 5 %, line_allowance: 1.2}
  - {at: 800 m, sector: second half}
  - {at: 900 m, crest: 70 km/h}
  - {at: HERE m, name: mill corner}";
    let path = "path: road.csv";
    for source in [NOTES, SKETCH, path] {
        let without = venue(source).write("road.csv", metres_csv(&road()));
        let plain = shown(&without);
        let fifth = &plain["corners"][4];
        let middle = fifth["start_m"].as_f64().unwrap() + 0.5 * fifth["length_m"].as_f64().unwrap();
        let said = said.replace("HERE", &format!("{middle:.0}"));
        let with = venue(&format!("{source}\n{said}")).write("road.csv", metres_csv(&road()));
        let venue = shown(&with);
        assert_eq!(
            venue["sectors"],
            serde_json::json!(["second half"]),
            "{source}"
        );
        let named = venue["corners"].as_array().unwrap().iter();
        assert_eq!(
            named.filter(|c| c["name"] == "mill corner").count(),
            1,
            "{source}"
        );
        near(length(&with), length(&without), 0.01);
        let time = |world: &World| {
            let output = pullrank()
                .args(["venue", "--json", "--car"])
                .arg(world.path("car.yaml"))
                .arg(world.path("track.yaml"))
                .output()
                .unwrap();
            let out: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
            out["venues"][0]["driven"]["time_s"].as_f64().unwrap()
        };
        assert!(
            time(&with) > time(&without) + 1.0,
            "{source}: the cap costs time"
        );
    }
    let beyond = venue(&format!("{NOTES}\nalong: [{{at: 9 km, sector: late}}]"));
    assert_snapshot!(beyond.faults());
}

#[test]
fn a_known_time_settles_the_corner_share_or_is_refused() {
    let known = |time: &str| {
        venue(NOTES).edit(
            "track.yaml",
            "notes:",
            &format!("known: {{time: \"{time}\", conditions: dry}}\nnotes:"),
        )
    };
    let output = known("1:22.0").rank();
    let out = String::from_utf8(output.stdout).unwrap();
    assert!(
        out.contains("Known time 1:22.0 at Fern Bank: the driver corners at "),
        "{out}"
    );
    assert_snapshot!("known_too_quick", known("1:00.0").faults());
    assert_snapshot!("known_too_slow", known("1:50.0").faults());
    let fog = known("1:22.0").edit("track.yaml", "conditions: dry", "conditions: fog");
    assert_snapshot!("known_in_fog", fog.faults());
}

#[test]
fn a_logged_run_is_a_venue() {
    let world = venue("log: run.csv").write("run.csv", log_csv(&road()));
    warned(&world);
    near(length(&world), 2000.0, 0.01);
    let late = log_csv(&road()).replacen("0.000,42.00", "9.000,42.00", 1);
    let backwards = venue("log: run.csv").write("run.csv", late);
    assert_snapshot!(backwards.faults());
}

/// Half a minute without a row on the move is a road that nobody logged.
#[test]
fn a_log_that_pauses_on_the_move_is_asked_about() {
    let whole = log_csv(&road());
    let paused: String = whole
        .lines()
        .enumerate()
        .map(|(row, line)| match (row, line.split_once(',')) {
            (60.., Some((time, rest))) => {
                format!("{:.3},{rest}\n", time.parse::<f64>().unwrap() + 30.0)
            }
            _ => format!("{line}\n"),
        })
        .collect();
    let said = |log: String| {
        let world = venue("log: run.csv").write("run.csv", log);
        warned(&world)
    };
    let wanted = "run.csv:61:1: warning: the log pauses for 3";
    let told = said(paused);
    assert!(told.contains(wanted), "{told}");
    assert!(!said(whole).contains("pauses"));
}

#[test]
fn two_points_and_repeats() {
    assert_snapshot!("two_points", along("road.gpx", &gpx(&road()[..2])).faults());
    let same = vec![road()[0]; 30];
    assert_snapshot!("one_place", along("road.csv", &metres_csv(&same)).faults());
    let twice: Vec<At> = road().iter().flat_map(|at| [*at, *at]).collect();
    let world = along("road.csv", &metres_csv(&twice));
    assert_snapshot!("repeats", warned(&world));
    near(length(&world), 2000.0, 0.01);
}

#[test]
fn a_jump_of_three_kilometres() {
    let mut points = road();
    for at in &mut points[200..] {
        at.x += 3000.0;
    }
    assert_snapshot!("jump_recorded", along("road.gpx", &gpx(&points)).faults());
    assert_snapshot!(
        "jump_drawn",
        along(
            "road.geojson",
            &geometry("LineString", &coordinates(&points))
        )
        .faults()
    );
}

#[test]
fn over_the_antimeridian_and_at_a_pole() {
    let at = |origin: f64| {
        let rows = (0..200).map(|i| {
            let x = origin + 0.0001 * f64::from(i);
            let lon = if x > 180.0 { x - 360.0 } else { x };
            format!(
                "{:.7},{lon:.7}\n",
                -17.0 + 0.0003 * (f64::from(i) / 12.0).sin()
            )
        });
        std::iter::once("lat,lon\n".to_owned())
            .chain(rows)
            .collect::<String>()
    };
    let (here, there) = (along("road.csv", &at(179.99)), along("road.csv", &at(20.0)));
    assert_eq!(warned(&here), warned(&there));
    near(length(&here), length(&there), 1e-6);
    let pole: String = (0..20).map(|i| format!("89.99,{}\n", 10 * i)).collect();
    assert_snapshot!(along("road.csv", &format!("lat,lon\n{pole}")).faults());
}

#[test]
fn latitude_and_longitude_swapped() {
    // Where a longitude is no latitude it shows; 120° east.
    let rows: String = (0..50)
        .map(|i| format!("{:.5},-24.{i:03}\n", 120.0 + 0.0005 * f64::from(i)))
        .collect();
    assert_snapshot!(along("road.csv", &format!("lat,lon\n{rows}")).faults());
}

#[test]
fn a_loop_open_by_forty_metres() {
    let ring = ring();
    let world = lap("ring.csv", &metres_csv(&ring[..ring.len() - 7]));
    assert_snapshot!("closed_by_a_straight", warned(&world));
    near(length(&world), 1200.0, 0.01);
    let half = lap("ring.csv", &metres_csv(&ring[..ring.len() / 2]));
    assert_snapshot!("half_a_loop", half.faults());
}

#[test]
fn time_going_backwards() {
    let track = gpx(&road());
    let early = track.replacen("T10:01:20", "T09:01:20", 1);
    assert_ne!(early, track);
    assert_snapshot!(warned(&along("road.gpx", &early)));
}

#[test]
fn an_entity_bomb_and_broken_xml() {
    let mut bomb = String::from("<?xml version=\"1.0\"?>\n<!DOCTYPE gpx [\n<!ENTITY a0 \"lol\">\n");
    for i in 1..12 {
        let ten = format!("&a{};", i - 1).repeat(10);
        let _ = writeln!(bomb, "<!ENTITY a{i} \"{ten}\">");
    }
    bomb.push_str("]>\n<gpx><trk><name>&a11;</name></trk></gpx>\n");
    assert_snapshot!("entity_bomb", along("road.gpx", &bomb).faults());
    let cut = gpx(&road());
    assert_snapshot!(
        "cut_short",
        along("road.gpx", &cut[..cut.len() / 2]).faults()
    );
    assert_snapshot!(
        "no_geojson",
        along("road.geojson", "{\"type\": \"LineString\"").faults()
    );
    let point = geometry("Point", "[-3.4, 52.1]");
    assert_snapshot!("only_a_point", along("road.geojson", &point).faults());
    let metres = geometry(
        "LineString",
        "[[412000, 260000], [412100, 260000], [412200, 260050]]",
    );
    assert_snapshot!("metres_in_geojson", along("road.geojson", &metres).faults());
    let word = gpx(&road()).replacen("<ele>200.0", "<ele>high", 1);
    assert_snapshot!("a_word_for_a_height", along("road.gpx", &word).faults());
}

#[test]
fn heights_missing_in_part() {
    let whole = gpx(&road());
    let mut lines: Vec<String> = whole.lines().map(str::to_owned).collect();
    for line in &mut lines[100..220] {
        if let (Some(from), Some(to)) = (line.find("<ele>"), line.find("</ele>")) {
            line.replace_range(from..to + 6, "");
        }
    }
    assert_snapshot!(warned(&along("road.gpx", &lines.join("\n"))));
}

#[test]
fn a_map_too_coarse_for_its_corners() {
    let coarse: Vec<At> = road().into_iter().step_by(16).collect();
    assert_snapshot!(warned(&along(
        "road.geojson",
        &geometry("LineString", &coordinates(&coarse))
    )));
}

#[test]
fn notes_that_nobody_knows() {
    assert_snapshot!(
        "unknown_note",
        venue("notes: \"100 HpL 60 7L 100\"").faults()
    );
    assert_snapshot!("no_side", venue("notes: \"100 3 60\"").faults());
    assert_snapshot!("no_notes", venue("notes: \"\"").faults());
    assert_snapshot!("no_crest_speed", venue("notes: \"100 crest 3L\"").faults());
}

#[test]
fn counts_that_fit_no_road() {
    let short = venue(&SKETCH.replace("3.4 km", "400 m"));
    assert_snapshot!("too_many_corners", short.faults());
    let long = venue(&SKETCH.replace("230 m", "3 km"));
    assert_snapshot!("too_long_a_straight", long.faults());
    let grade = venue(&SKETCH.replace("{3: 8", "{9: 8"));
    assert_snapshot!("no_such_grade", grade.faults());
}
