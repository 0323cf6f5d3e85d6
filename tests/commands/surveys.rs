//! Roads as people measure and note them: trip meters, notes in other words, plans that do not close, tables of
//! pieces, files of several runs.

use std::fmt::Write;

use super::doubts::{circuit, listed};
use super::drawn::{At, degrees_csv, gpx, log_csv, road};
use super::loggers::{logged, told};
use super::roads::{along, length, near, shown, venue};
use super::sampled::{numbered, with_laps};
use super::world::World;

/// Where corners begin, km, and what they are.
const TRIP: &str =
    "0.00 START / 0.10 L3 / 0.22 R4 / 0.31 3L long / 0.44 R2 / 0.60 4L / 0.85 3R / 1.00 FINISH";

fn by_trip(unit: &str, text: &str) -> World {
    venue(&format!("notes: {{trip: {unit}, text: \"{text}\"}}"))
}

#[test]
fn notes_by_trip_meter_are_as_long_as_the_trip() {
    let world = by_trip("km", TRIP);
    assert!((length(&world) - 1000.0).abs() < 1e-6);
    let found = shown(&world);
    let corners = found["corners"].as_array().unwrap();
    let starts: Vec<f64> = (corners.iter())
        .map(|corner| corner["start_m"].as_f64().unwrap())
        .collect();
    for (found, wanted) in starts
        .iter()
        .zip([100.0, 220.0, 310.0, 440.0, 600.0, 850.0])
    {
        assert!((found - wanted).abs() < 1e-6, "{starts:?}");
    }
    assert_eq!(starts.len(), 6);
    let said = listed(&world);
    assert!(said.contains("each corner begins at its reading"), "{said}");
    // Commas, units, other units of the trip, and no reading at the start.
    for (unit, text) in [
        ("km", TRIP.replace('.', ",")),
        (
            "km",
            TRIP.replace(" /", " km /").replace("START km", "START"),
        ),
        (
            "m",
            "100 L3 220 R4 310m 3L long 440 R2 600 4L 850 3R 1000".to_owned(),
        ),
    ] {
        let text = text
            .replace("L3 km", "L3")
            .replace("R4 km", "R4")
            .replace("R2 km", "R2");
        let text = text
            .replace("long km", "long")
            .replace("4L km", "4L")
            .replace("3R km", "3R");
        assert!(
            (length(&by_trip(unit, &text)) - 1000.0).abs() < 1e-6,
            "{text}"
        );
    }
}

/// Corners closer together than they are long share the road to the next reading.
#[test]
fn a_corner_by_trip_meter_is_no_longer_than_to_the_next() {
    let world = by_trip("m", "100 HpL 110 HpR 200 3L 400");
    assert!((length(&world) - 400.0).abs() < 1e-6);
}

#[test]
fn readings_of_a_trip_meter_are_asked_about_once() {
    let said = venue(&format!("notes: \"{TRIP}\"")).faults();
    assert_eq!(said.matches("error").count(), 1, "{said}");
    assert!(
        said.contains("the numbers rise through all of the notes, from 0.00 to 1.00")
            && said.contains("write `notes: {trip: km, text: …}`"),
        "{said}"
    );
    // Whole metres may be distances: asked, and read as they stand.
    let metres = "100 L3 220 R4 310 3L 440 R2 600 4L 850 3R 1000";
    let said = told(&venue(&format!("notes: {metres}")));
    assert!(
        said.contains("warning: the numbers rise") && said.contains("{trip: m, text"),
        "{said}"
    );
    assert!(
        !told(&venue(
            "notes: 100 L3 220 R4 110 3L 440 R2 600 4L 850 3R 1000"
        ))
        .contains("rise")
    );
    // What is no trip, or in another unit.
    let said = by_trip("m", TRIP).faults();
    assert!(
        said.contains("are the readings in km? write `trip: km`"),
        "{said}"
    );
    let said = by_trip("m", "100 L3 60 R4 200 3L").faults();
    assert!(
        said.contains("note 3, `60`, does not lie beyond `100`")
            && said.contains("leave `trip` out"),
        "{said}"
    );
}

#[test]
fn notes_in_other_words_are_told_once_with_the_words_that_are_known() {
    let said = venue("notes: 120 D4 80 G3 70 epD 70 G5 50 D2 150").faults();
    assert_eq!(said.matches("error").count(), 1, "{said}");
    assert!(
        said.contains("5 notes are not known: `D4`, `G3`, `epD` and others"),
        "{said}"
    );
    for word in [
        "hairpin",
        "`opens`",
        "`tightens`",
        "`long`",
        "`crest`",
        "into",
    ] {
        assert!(said.contains(word), "{word}: {said}");
    }
    let said = venue("grades: {2: 50 km/h, 90: 50 km/h}\nnotes: 100 2R 50 90L 100").faults();
    assert!(
        said.contains("is the grade the angle? then `turn: 90 deg`"),
        "{said}"
    );
}

/// A plan whose radii are these of seven corners.
fn plan(radii: [f64; 6]) -> String {
    let [a, b, c, d, e, f] = radii;
    let corner = |radius: f64, side: &str| {
        format!("  - corner: {{radius: {radius} m, turn: 90 deg, direction: {side}}}\n")
    };
    let mut out = String::from("pieces:\n");
    for (straight, radius, side) in [
        (300, a, "right"),
        (120, b, "right"),
        (80, c, "left"),
        (60, d, "right"),
        (380, e, "right"),
        (220, f, "right"),
    ] {
        let _ = write!(out, "  - straight: {straight} m\n{}", corner(radius, side));
    }
    out + "  - straight: 200 m\n"
}

fn loop_of(source: &str) -> World {
    venue(source).edit("track.yaml", "kind: stage", "kind: circuit")
}

#[test]
fn a_plan_that_other_radii_close_is_asked_about() {
    let radii = [30.0, 25.0, 20.0, 20.0, 30.0, 25.0];
    assert!(!told(&loop_of(&plan(radii))).contains("ends"));
    let said = told(&loop_of(&plan(radii.map(|radius| 2.0 * radius))));
    assert!(
        said.contains("ends 57 m from where it starts, and with half of every radius 0 m")
            && said.contains("are these diameters?"),
        "{said}"
    );
    // As honest plans miss, and farther.
    let mut off = radii;
    off[0] += 4.0;
    assert!(!told(&loop_of(&plan(off))).contains("ends"));
    let said = told(&loop_of(&plan(radii).replace("380 m", "440 m")));
    assert!(
        said.contains("ends 60 m from where it starts") && !said.contains("half"),
        "{said}"
    );
}

#[test]
fn corners_by_speed_and_length_that_turn_far_from_a_loop_are_asked_about() {
    let corner =
        "  - straight: 200 m\n  - corner: {apex: 60 km/h, length: 50 m, direction: left}\n";
    let said = told(&loop_of(&format!("pieces:\n{}", corner.repeat(12))));
    assert!(
        said.contains("the corners of this circuit turn about "),
        "{said}"
    );
    assert!(!told(&loop_of(&format!("pieces:\n{}", corner.repeat(4)))).contains("turn"));
}

#[test]
fn a_table_of_pieces_is_told_for_that() {
    let table = "part;length m;radius m;turn deg;to\nstraight;90;;;\ncorner;;16;95;left\n";
    let said = along("hill.csv", table).faults();
    assert!(
        said.contains("write each row under `pieces`") && !said.contains("`lat`"),
        "{said}"
    );
    let chords = "Corner;L/R;trip in m;trip out m;chord m;middle offset cm\n1;L;140;187;20;150\n2;R;282;323;20;253\n";
    let said = along("hill.csv", chords).faults();
    assert!(
        said.contains("the radius is chord²/(8·offset) + offset/2"),
        "{said}"
    );
    let said = along("hill.csv", "width,height\n1,2\n3,4\n").faults();
    assert!(said.contains("name one of its columns `lat`"), "{said}");
}

#[test]
fn a_way_point_is_written_as_a_place() {
    let world = along("road.csv", &degrees_csv(&road()));
    let said = world
        .edit(
            "track.yaml",
            "path: road.csv",
            "path: {file: road.csv, from: Start}",
        )
        .faults();
    assert!(
        said.contains("`Start` is no distance along the road")
            && said.contains("a place, as in `{lat: 45.1234, lon: 7.1234}`"),
        "{said}"
    );
}

#[test]
fn the_time_of_day_is_a_time() {
    let log = log_csv(&road()).replacen("time,", "Time of day,", 1);
    near(length(&logged(&log)), 2000.0, 0.01);
}

/// The road three times in one file, half an hour apart.
fn passes() -> String {
    let once = log_csv(&road());
    let mut out = format!("pass,{}\n", once.lines().next().unwrap());
    for pass in 1..=3 {
        for row in once.lines().skip(1) {
            let (time, rest) = row.split_once(',').unwrap();
            let time: f64 = time.parse::<f64>().unwrap() + 1800.0 * f64::from(pass);
            let _ = writeln!(out, "{pass},{time:.3},{rest}");
        }
    }
    out
}

#[test]
fn runs_over_an_open_road_in_one_file_are_chosen_by_their_number() {
    let said = logged(&passes()).faults();
    assert!(
        said.contains("the log holds 3 runs over the road (1 ")
            && said.contains("as in `log: {file: …, lap: 2}`"),
        "{said}"
    );
    assert!(
        !said.contains("pauses") && !said.contains("jumps"),
        "{said}"
    );
    let of = |number: u32| {
        let wanted = format!("log: {{file: run.csv, lap: {number}}}");
        logged(&passes()).edit("track.yaml", "log: run.csv", &wanted)
    };
    near(length(&of(2)), length(&logged(&log_csv(&road()))), 1e-6);
    assert_eq!(told(&of(3)), told(&logged(&log_csv(&road()))));
    assert!(of(4).faults().contains("and none is number 4"));
    // Where nothing counts there is one run.
    let alone = logged(&log_csv(&road())).edit(
        "track.yaml",
        "log: run.csv",
        "log: {file: run.csv, lap: 1}",
    );
    assert!(alone.faults().contains("only a circuit is driven in laps"));
}

#[test]
fn flat_heights_of_an_open_road_ask_for_its_climb() {
    let flat: Vec<At> = road()
        .iter()
        .step_by(3)
        .map(|at| At { z: 0.0, ..*at })
        .collect();
    let said = told(&along("road.gpx", &gpx(&flat)));
    assert!(
        said.contains("the heights are all 0 m")
            && said.contains("as in `along: [{from: 0 m, to: 2.3 km, slope: 8 %}]`"),
        "{said}"
    );
    assert!(!told(&along("road.gpx", &gpx(&road()))).contains("heights are all"));
}

/// The laps of a log with four seconds taken out of the third.
fn holed() -> String {
    let rows = numbered();
    let start = rows.iter().find(|row| row.3 == 3).unwrap().0;
    let kept = |line: &&str| {
        let time: Option<f64> = line.split(',').next().and_then(|time| time.parse().ok());
        !time.is_some_and(|time| (start + 8.0..start + 12.0).contains(&time))
    };
    with_laps(0.0)
        .lines()
        .filter(kept)
        .map(|line| format!("{line}\n"))
        .collect()
}

#[test]
fn a_lap_with_a_hole_is_listed_and_not_taken() {
    let world = circuit(&holed());
    let said = told(&world);
    assert!(
        said.contains("3 ") && said.contains(" with a hole") && !said.contains("lap 3, "),
        "{said}"
    );
    assert!(!said.contains("pauses"), "{said}");
    let third =
        circuit(&holed()).edit("track.yaml", "log: run.csv", "log: {file: run.csv, lap: 3}");
    assert!(told(&third).contains("the log pauses for "));
    let sound = told(&circuit(&with_laps(0.0)));
    assert!(
        !sound.contains("a hole") && sound.contains("the log holds 4 laps (1 "),
        "{sound}"
    );
}

/// Whole seconds of ten rows; in one of them four are missing.
#[test]
fn a_second_in_which_rows_are_missing_is_named() {
    let log = |lost: bool| {
        let mut out = String::from("time (s),speed (km/h),lateral (g),lap\n");
        for (t, v, a, number) in numbered() {
            if !(lost && (40.25..40.65).contains(&t)) {
                let _ = writeln!(out, "{:.0},{v:.2},{a:.3},{number}", (t + 1e-6).floor());
            }
        }
        circuit(&out)
    };
    let two =
        |world: World| world.edit("track.yaml", "log: run.csv", "log: {file: run.csv, lap: 1}");
    let said = told(&two(log(true)));
    assert!(
        said.contains("this second has 6 rows, and 10 are usual: rows are missing in it"),
        "{said}"
    );
    assert!(!told(&two(log(false))).contains("this second"));
}
