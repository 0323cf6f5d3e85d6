//! Notes of roads on two surfaces, and notes as word processors and cameras leave them.

use super::loggers::told;
use super::roads::{length, near, shown, venue};

const SCALE: &str =
    "grades: {hairpin: 28 km/h, square: 44 km/h, 2: 46 km/h, 3: 62 km/h, 4: 83 km/h, 6: flat}\n";

fn noted(notes: &str) -> super::world::World {
    venue(&format!("{SCALE}notes: \"{notes}\""))
}

fn speeds(world: &super::world::World) -> Vec<f64> {
    let found = shown(world);
    let corners = found["corners"].as_array().unwrap();
    let speed = |corner: &serde_json::Value| corner["speed_kmh"].as_f64().unwrap();
    corners.iter().map(speed).collect()
}

/// A corner is as tight whatever it is laid with; v² goes with the grip of the surface.
#[test]
fn a_surface_among_notes_changes_speeds_and_not_the_road() {
    let plain = noted("100 HpL 60 3R 80 4L 120 3L 60 SqR 90");
    let mixed = noted("100 HpL 60 3R 80 onto GRAVEL 4L 120 3L 60 tarmac SqR 90");
    near(length(&mixed), length(&plain), 1e-9);
    assert_eq!(told(&mixed), "");
    let ratio: Vec<f64> = speeds(&mixed)
        .iter()
        .zip(speeds(&plain))
        .map(|(a, b)| a / b)
        .collect();
    for (corner, wanted) in [(0, 1.0), (1, 1.0), (4, 1.0)] {
        near(ratio[corner], wanted, 1e-9);
    }
    // Usual grips of pictures and lengths, 0.6 on gravel and 1 on tarmac.
    assert!((0.7..0.85).contains(&ratio[2]), "{ratio:?}");
    near(ratio[3], ratio[2], 1e-9);
    // The same by distance along the road.
    let along = noted("100 HpL 60 3R 80 4L 120 3L 60 SqR 90");
    let start = shown(&along)["corners"][2]["start_m"].as_f64().unwrap();
    let end = shown(&along)["corners"][4]["start_m"].as_f64().unwrap();
    let along = along.edit(
        "track.yaml",
        "notes:",
        &format!("along: [{{from: {start:.3} m, to: {end:.3} m, surface: gravel}}]\nnotes:"),
    );
    near(length(&along), length(&plain), 1e-6);
    near(speeds(&along)[2], speeds(&mixed)[2], 1e-6);
    // And by trip meter.
    let trip = |text: &str| venue(&format!("{SCALE}notes: {{trip: km, text: \"{text}\"}}"));
    let plain = trip("0.1 3R 0.3 4L 0.5 2R 0.8 finish");
    let mixed = trip("0.1 3R 0.3 gravel 4L 0.5 2R 0.8 finish");
    near(length(&mixed), length(&plain), 1e-9);
    near(speeds(&mixed)[1] / speeds(&plain)[1], ratio[2], 1e-9);
    near(speeds(&mixed)[0], speeds(&plain)[0], 1e-9);
}

/// What is called before the first reading is the road to it too.
#[test]
fn a_road_begins_on_the_surface_that_is_called_first() {
    let trip = |text: &str| {
        let world = venue(&format!("{SCALE}notes: {{trip: km, text: \"{text}\"}}"));
        let out = super::text(super::pullrank().arg("venue").arg(world.path("track.yaml")));
        out.lines().next().unwrap().to_owned()
    };
    let first = trip("gravel 0.40 3R 0.60 4L 0.80 finish");
    assert_eq!(first, trip("0.00 gravel 0.40 3R 0.60 4L 0.80 finish"));
    assert!(first.contains("0.80 km of gravel"), "{first}");
}

#[test]
fn a_scale_may_say_its_halves_itself() {
    let notes = "notes: \"100 HpL 60 R3+ 80 4L 120 L3 60 SqR 90\"";
    let speed = |scale: &str| speeds(&venue(&format!("{scale}{notes}")))[1];
    near(
        speed(&SCALE.replace("3: 62 km/h", "3: 62 km/h, 3+: 71 km/h")),
        71.0,
        0.01,
    );
    // A third of the way to the next.
    near(speed(SCALE), 69.0, 0.01);
}

/// The road driven as pieces is the road of the notes.
#[test]
fn pieces_of_such_notes_take_as_long() {
    let notes = noted("100 HpL 60 3R 80 onto gravel 4L 120 3L 60 tarmac SqR 90");
    let time = |world: &super::world::World| -> f64 {
        let mut command = super::pullrank();
        command
            .args(["venue", "--json"])
            .arg(world.path("track.yaml"));
        let said = super::json(command.arg("--car").arg(world.path("car.yaml")));
        said["venues"][0]["driven"]["time_s"].as_f64().unwrap()
    };
    let output = super::pullrank()
        .arg("venue")
        .arg(notes.path("track.yaml"))
        .arg("--pieces")
        .output()
        .unwrap();
    let pieces = String::from_utf8(output.stdout).unwrap();
    let again = venue("pieces: [{straight: 100 m}]").write("track.yaml", pieces);
    near(length(&again), length(&notes), 0.002);
    near(time(&again), time(&notes), 0.01);
}

#[test]
fn notes_of_a_word_processor_are_read() {
    let typed = noted("100 L3- 60 R4 50 L3- don't cut 80");
    let typed_slope = noted("100 3R -2% 60 4L 80");
    for dash in ["–", "−"] {
        let printed = noted(&format!("100 – 3R {dash}2% 60 4L 80"));
        assert_eq!(told(&printed), told(&typed_slope), "{dash}");
        assert_eq!(shown(&printed)["corners"], shown(&typed_slope)["corners"]);
    }
    let printed = noted("100 L3– 60 R4 50 L3− don’t cut dc 80");
    assert_eq!(told(&printed), "");
    assert_eq!(shown(&printed)["corners"], shown(&typed)["corners"]);
}

#[test]
fn a_letter_that_a_camera_read_as_a_digit_is_asked_about() {
    let said = told(&noted("120 3L 150 4R 80 41 180 4L 50 31 100 3R 150 2R 60"));
    assert!(
        said.contains(
            "`41` stands beside another distance (2 numbers like it): is it a corner, `4L`"
        ) && said.contains("if so write `4L`"),
        "{said}"
    );
    let ones = venue(&format!(
        "{}notes: \"100 3L 150 50 11 60 4R 80\"",
        SCALE.replace("2: ", "1: 40 km/h, 2: ")
    ));
    assert!(
        told(&ones).contains("is it a corner, `1L`"),
        "{}",
        told(&ones)
    );
    for sound in [
        // Alone it is a distance like any.
        "120 3L 41 4R 80 150 3L 180",
        "123 3L 87 4R 80 41 3L 118 2R 62 3R 93",
        "120 3L 150 4R 80 40 180 4L 50 30 100 3R",
    ] {
        assert_eq!(told(&noted(sound)), "", "{sound}");
    }
}
