//! What loggers and phones write when nobody watches them: each is mended, asked about or refused.

use super::drawn::{At, anew, bare, degrees_csv, log_csv, metres_csv, road};
use super::pullrank;
use super::roads::{along, length, near, shown, venue};
use super::world::World;

/// Numbers even from -1 to 1 (a multiplicative generator modulo 2³¹ − 1).
pub(super) fn draws() -> impl FnMut() -> f64 {
    let mut state = 7_u64;
    move || {
        state = state * 48_271 % 0x7fff_ffff;
        2.0 * state as f64 / f64::from(0x7fff_ffff_u32) - 1.0
    }
}

/// The road at 15 m/s, three points a second, with a minute in one place at its start and at its end;
/// a phone at rest is off by up to 6 m to each side.
fn parked() -> Vec<At> {
    let mut draw = draws();
    let points = road();
    let mut stand = |at: At| -> Vec<At> {
        let off = |_| At {
            x: at.x + 6.0 * draw(),
            y: at.y + 6.0 * draw(),
            ..at
        };
        (0..180).map(off).collect()
    };
    let mut all = stand(points[0]);
    let tail = stand(points[400]);
    all.extend(points);
    all.extend(tail);
    all
}

fn timed(points: &[At]) -> String {
    let rows = points.iter().enumerate().map(|(row, at)| {
        let (lat, lon) = at.degrees();
        format!("{:.3},{lat:.7},{lon:.7}\n", row as f64 / 3.0)
    });
    std::iter::once("time (s),lat,lon\n".to_owned())
        .chain(rows)
        .collect()
}

pub(super) fn corners(world: &World) -> usize {
    shown(world)["corners"].as_array().unwrap().len()
}

#[test]
fn a_phone_parked_at_start_and_finish_makes_no_corners() {
    let plain = along("road.csv", &degrees_csv(&road()));
    let with_times = along("road.csv", &timed(&parked()));
    let without = along("road.csv", &degrees_csv(&parked()));
    for world in [&with_times, &without] {
        near(length(world), 2000.0, 0.01);
        assert_eq!(corners(world), corners(&plain));
    }
    let said = told(&with_times);
    assert!(
        said.contains("the recording stands at its start, 61 s, 183 points"),
        "{said}"
    );
    assert!(
        said.contains("the recording stands at its end, 61 s, 183 points"),
        "{said}"
    );
    assert!(said.contains("a flying finish"), "{said}");
    let said = told(&without);
    assert!(
        said.contains("points at its start crowd within a few metres"),
        "{said}"
    );
    assert!(
        said.contains("points at its end crowd within a few metres"),
        "{said}"
    );
}

#[test]
fn points_that_scatter_too_much_for_their_corners_are_told() {
    let mut draw = draws();
    let mut scattered = |metres: f64| -> String {
        let off = |at: At| At {
            x: at.x + metres * 3_f64.sqrt() * draw(),
            y: at.y + metres * 3_f64.sqrt() * draw(),
            ..at
        };
        metres_csv(&road().into_iter().step_by(2).map(off).collect::<Vec<At>>())
    };
    let said = told(&along("road.csv", &scattered(2.5)));
    assert!(said.contains("the points scatter by "), "{said}");
    assert!(said.contains("gentle corners may be missing"), "{said}");
    assert!(
        said.contains("times over such recordings came out "),
        "{said}"
    );
    assert!(!said.contains("too coarse"), "{said}");
    let quiet = told(&along("road.csv", &scattered(0.2)));
    assert!(!quiet.contains("scatter"), "{quiet}");
}

/// What `venue` says besides its answer.
pub(super) fn told(world: &World) -> String {
    let output = pullrank()
        .arg("venue")
        .arg(world.path("track.yaml"))
        .output()
        .unwrap();
    let said = world.said(&output.stderr);
    assert!(output.status.success(), "{said}");
    said
}

pub(super) fn logged(text: &str) -> World {
    venue("log: run.csv").write("run.csv", text)
}

#[test]
fn speeds_in_another_unit_than_their_heading_says_are_told_by_the_road() {
    let log = log_csv(&road());
    assert!(!told(&logged(&log)).contains("speeds over the times"));
    for (written, meant) in [("m/s", "km/h"), ("mph", "km/h")] {
        let wrong = log.replacen("[km/h]", &format!("[{written}]"), 1);
        let said = logged(&wrong).faults();
        assert!(
            said.contains("run.csv:1:6: error: the speeds over the times make "),
            "{said}"
        );
        assert!(said.contains("the positions 1.99 km"), "{said}");
        let wanted = format!("are the speeds in {meant}? write `speed ({meant})`");
        assert!(said.contains(&wanted), "{said}");
    }
    // Without positions the speeds themselves.
    let fast = bare(&log)
        .replacen("[km/h]", "[m/s]", 1)
        .replace(",5", ",9");
    let said = told(&logged(&fast));
    assert!(said.contains("warning: `speed` reaches 3"), "{said}");
    assert!(said.contains("write `speed (km/h)`"), "{said}");
    let thousandths = anew(&log, |_, line| {
        let (time, rest) = line.split_once(',').unwrap();
        let time = time.parse().map(|time: f64| 1000.0 * time);
        time.map_or(line.to_owned(), |time| format!("{time:.0},{rest}"))
    });
    let said = logged(&thousandths).faults();
    assert!(
        said.contains("are the times in ms? write `time (ms)`"),
        "{said}"
    );
}

#[test]
fn acceleration_of_nine_g_is_another_unit() {
    let with = |factor: f64, unit: &str| -> String {
        anew(&bare(&log_csv(&road())), |row, line| match row {
            0 => format!("{line},lateral ({unit})"),
            _ => format!("{line},{:.3}", factor * (row as f64 / 7.0).sin()),
        })
    };
    let said = logged(&with(9.0, "g")).faults();
    assert!(
        said.contains("run.csv:1:19: error: `lateral` passes 8.9 g"),
        "{said}"
    );
    assert!(said.contains("write `lateral (m/s2)`"), "{said}");
    let said = told(&logged(&with(0.9, "m/s2")));
    assert!(
        said.contains("warning: `lateral` never passes 0.09 g"),
        "{said}"
    );
    assert!(!told(&logged(&with(0.9, "g"))).contains("lateral"));
}

#[test]
fn a_halt_amid_a_log_is_no_corner() {
    let log = bare(&log_csv(&road()));
    let mut halted = String::new();
    for (row, line) in log.lines().enumerate() {
        let Some((time, speed)) = line.split_once(',') else {
            continue;
        };
        let time: f64 = time.parse().unwrap_or(-1.0);
        let stop = 30.0;
        halted += &match row {
            0 => format!("{line}\n"),
            1..100 => format!("{time:.3},{speed}\n"),
            _ => format!("{:.3},{speed}\n", time + stop),
        };
        if row == 99 {
            for tenth in 0..300 {
                let t = 0.1 * f64::from(tenth);
                let speed = (60.0 - 30.0 * t).max(30.0 * (t - 28.0)).max(0.0);
                halted += &format!("{:.3},{speed:.1}\n", time + 0.05 + t);
            }
        }
    }
    let said = logged(&halted).faults();
    assert!(
        said.contains("the car stands for 26 s from this row, amid the run"),
        "{said}"
    );
}

#[test]
fn a_lap_that_was_not_driven_is_refused() {
    let log = log_csv(&road());
    let world = venue("log: {file: run.csv, lap: 7}").write("run.csv", &log);
    let said = world.faults();
    assert!(said.contains("only a circuit is driven in laps"), "{said}");
    let circuit = world.edit("track.yaml", "kind: stage", "kind: circuit");
    let said = circuit.write("run.csv", bare(&log)).faults();
    let wanted = "track.yaml:5:27: error: there is no lap 7 in this log";
    assert!(said.contains(wanted), "{said}");
    let numbered = anew(&bare(&log), |row, line| match row {
        0 => format!("{line},lap"),
        _ => format!("{line},{}", 1 + row / 150),
    });
    let circuit = venue("log: {file: run.csv, lap: 7}")
        .edit("track.yaml", "kind: stage", "kind: circuit")
        .write("run.csv", numbered);
    let said = circuit.faults();
    assert!(said.contains("track.yaml:5:27: error: "), "{said}");
    assert!(said.contains("it holds laps 1 to 3"), "{said}");
}

#[test]
fn what_lies_beyond_the_road_is_refused_at_its_line() {
    let along = "pieces: [{straight: 300 m}, {square: left}]\nalong:\n  - {at: 100 m, crest: 60 km/h}\n  \
                 - {at: 9 km, crest: 60 km/h}\n  - {from: 100 m, to: 5 km, surface: gravel}";
    let said = venue(along).faults();
    for place in [
        "track.yaml:8:5: error: 9.00 km is",
        "track.yaml:9:5: error: 5.00 km is",
    ] {
        assert!(said.contains(place), "{said}");
    }
    assert_eq!(said.matches("error").count(), 2, "{said}");
}

#[test]
fn slips_in_notes_and_pieces_are_asked_about() {
    let said = told(&venue("notes: \"100 3R 10000 4L 100\""));
    assert!(
        said.contains("track.yaml:5:16: warning: `10000` is 10.0 km of straight"),
        "{said}"
    );
    let turn =
        "pieces: [{straight: 90 m}, {corner: {radius: 30 m, turn: 900 deg, direction: left}}]";
    let said = venue(turn).faults();
    assert!(said.contains("turn: `900 deg` is above 360 deg"), "{said}");
    let falls = "grades: {2: 100 km/h, 3: 110 km/h, 4: 60 km/h, 5: 40 km/h}\nnotes: \"100 3R 100\"";
    let said = told(&venue(falls));
    assert!(
        said.contains("grade 3 is faster than 2, and the other grades fall"),
        "{said}"
    );
}

#[test]
fn degrees_in_minutes_are_read_and_other_maps_named() {
    let minutes = |degrees: f64, sides: [char; 2]| {
        let side = sides[usize::from(degrees < 0.0)];
        let (whole, part) = (degrees.abs().trunc(), degrees.abs().fract());
        format!("{whole}°{:.5}'{side}", 60.0 * part)
    };
    let rows = road().into_iter().map(|at| {
        let (lat, lon) = at.degrees();
        format!(
            "{},{}\n",
            minutes(lat, ['N', 'S']),
            minutes(lon, ['E', 'W'])
        )
    });
    let table: String = std::iter::once("lat,lon\n".to_owned())
        .chain(rows)
        .collect();
    near(length(&along("road.csv", &table)), 2000.0, 0.01);
    let odd = table
        .replacen("\n52°", "\nsome 52°", 2)
        .replacen("\nsome ", "\n", 1);
    let said = along("road.csv", &odd).faults();
    assert!(said.contains("road.csv:3:1: error: `some 52°"), "{said}");
    let kml = "<?xml version=\"1.0\"?>\n<kml><Document><Placemark/></Document></kml>\n";
    let said = along("road.kml", kml).faults();
    assert!(said.contains("there is no path in this file"), "{said}");
    let other = along("road.kml", "<plan><road/></plan>\n").faults();
    assert!(
        other.contains("neither GPX nor KML: it begins with `plan`"),
        "{other}"
    );
    assert!(
        other.contains("export the road as GPX or GeoJSON"),
        "{other}"
    );
}

#[test]
fn blanks_from_web_pages_are_blanks() {
    let world = venue("pieces:\n\u{a0} - straight:\u{a0}300 m\n\u{a0} - square: left");
    assert_eq!(told(&world), "");
    let wrong = venue("pieces:\n\u{a0} - straight:\u{a0}300 m\n\u{a0} - sqare: left").faults();
    assert!(wrong.contains("track.yaml:7:"), "{wrong}");
}

#[test]
fn surfaces_are_known_however_they_are_written() {
    let track = |surface: &str| {
        venue("pieces: [{straight: 300 m}, {square: left}, {straight: 200 m}]").edit(
            "track.yaml",
            "surface: tarmac",
            &format!("surface: {surface}"),
        )
    };
    let time = |surface: &str| {
        let world = track(surface);
        let output = pullrank()
            .args(["venue", "--json", "--car"])
            .arg(world.path("car.yaml"))
            .arg(world.path("track.yaml"))
            .output()
            .unwrap();
        assert!(output.status.success(), "{}", world.said(&output.stderr));
        let out: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
        out["venues"][0]["driven"]["time_s"].as_f64().unwrap()
    };
    let (dry, wet) = (time("tarmac"), time("wet tarmac"));
    assert!(wet > dry);
    for written in ["Tarmac", "asphalt"] {
        assert_eq!(time(written), dry, "{written}");
    }
    for written in ["Wet Tarmac", "tarmac, wet", "wet asphalt"] {
        assert_eq!(time(written), wet, "{written}");
    }
    let said = track("Wet tarmcc").faults();
    assert!(said.contains("did you mean `wet tarmac`?"), "{said}");
    let said = track("cobbles, new").faults();
    assert!(said.contains("`grip: {\"cobbles, new\": 0.60}`"), "{said}");
    // Without a car it is a question.
    let world = track("cobbles");
    let output = pullrank()
        .arg("venue")
        .arg(world.path("track.yaml"))
        .output()
        .unwrap();
    let said = world.said(&output.stderr);
    assert!(output.status.success(), "{said}");
    assert!(
        said.contains("track.yaml:3:10: warning: `cobbles` is no usual surface"),
        "{said}"
    );
}
