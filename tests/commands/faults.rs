//! Every fault gets one clear finding with its place and exit code 1.

use std::fs;

use insta::assert_snapshot;

use super::world::{World, long_pull};

#[test]
fn the_sound_study_is_sound() {
    let output = World::new().rank();
    assert!(output.status.success());
    assert_eq!(String::from_utf8_lossy(&output.stderr), "");
}

#[test]
fn a_missing_file() {
    let world = World::new();
    fs::remove_file(world.path("track.yaml")).unwrap();
    fs::remove_file(world.path("long.csv")).unwrap();
    assert_snapshot!(world.faults());
}

#[test]
fn a_missing_study() {
    let world = World::new();
    fs::remove_file(world.path("study.yaml")).unwrap();
    assert_snapshot!(world.faults());
}

#[test]
fn an_unknown_key() {
    assert_snapshot!(World::new().edit("car.yaml", "tyre:", "tire:").faults());
}

#[test]
fn a_wrong_unit() {
    assert_snapshot!(World::new().edit("car.yaml", "960 kg", "900 mm").faults());
}

#[test]
fn zero_negative_and_no_numbers_at_all() {
    let world = World::new()
        .edit("car.yaml", "960 kg", "0 kg")
        .edit("car.yaml", "9/38", "-4.2")
        .edit("car.yaml", "7000 rpm", "inf")
        .edit("car.yaml", "[2.94,", "[.nan,")
        .edit("track.yaml", "140 m", "nan m")
        .edit("track.yaml", "radius: 30 m", "radius: 0 m")
        .edit("study.yaml", "2500 rpm", "-1 rpm");
    assert_snapshot!(world.faults());
}

#[test]
fn ratios_typed_upwards() {
    let world = World::new().edit(
        "car.yaml",
        "[2.94, 1.94, 1.36, 1.00]",
        "[1.00, 1.36, 1.94, 2.94]",
    );
    assert_snapshot!(world.faults());
}

#[test]
fn text_in_row_17_of_a_table() {
    let pull = long_pull();
    let mut lines: Vec<&str> = pull.lines().collect();
    lines[16] = "5750,one hundred";
    assert_snapshot!(World::new().write("long.csv", lines.join("\n")).faults());
}

#[test]
fn fewer_than_five_points() {
    let world = World::new()
        .edit(
            "testday.yaml",
            "[2000, 3000, 4000, 5000, 6000, 7000]",
            "[2000, 3000, 7000]",
        )
        .edit(
            "testday.yaml",
            "[110, 125, 140, 152, 150, 135]",
            "[110, 125, 135]",
        );
    assert_snapshot!(world.faults());
}

#[test]
fn torque_and_power_that_disagree() {
    let rows: String = (0..21)
        .map(|i| {
            let rpm = 2000.0 + 250.0 * f64::from(i);
            let torque = 140.0;
            let kilowatts = torque * rpm / 9549.3 * if i == 12 { 1.2 } else { 1.0 };
            format!("{rpm},{torque},{kilowatts:.2}\n")
        })
        .collect();
    let world = World::new().write("long.csv", format!("rpm,torque [Nm],power [kW]\n{rows}"));
    assert_snapshot!(world.faults());
}

#[test]
fn a_curve_that_ends_far_below_the_limit() {
    assert_snapshot!(
        World::new()
            .edit("car.yaml", "7000 rpm", "9000 rpm")
            .faults()
    );
}

/// The sound track with ice on a slope after its corner, and a hairpin at the end.
fn ice(name: &str, slope: &str) -> World {
    let ice = "surface: tarmac\nsurfaces: {ice: {like: tarmac, factor: 0.1}}\n";
    let last = format!(
        "  - straight: {{name: {name}, length: 400 m, slope: {slope}, surface: ice}}\n  \
         - corner: {{radius: 8 m, turn: 160 deg, direction: right}}\n"
    );
    World::new()
        .edit("track.yaml", "surface: tarmac\n", ice)
        .edit("track.yaml", "  - straight: 90 m\n", &last)
}

#[test]
fn a_car_that_cannot_climb() {
    assert_snapshot!(ice("the wall", "30 %").faults());
}

#[test]
fn a_car_that_cannot_brake() {
    assert_snapshot!(ice("the chute", "-30 %").faults());
}

#[test]
fn one_venue_that_cannot_be_driven_leaves_the_others_their_answer() {
    let world = ice("the wall", "30 %")
        .edit("study.yaml", "[track.yaml]", "[track.yaml, other.yaml]")
        .write(
            "other.yaml",
            "name: Level Mile\nkind: sprint\npieces: [{straight: 1 mi}]\n",
        );
    let output = world.rank();
    assert_eq!(output.status.code(), Some(1));
    let out = String::from_utf8_lossy(&output.stdout);
    assert!(
        out.contains("no lap") && out.contains("Level Mile"),
        "{out}"
    );
    assert_snapshot!(world.said(&output.stderr));
}

#[test]
fn a_launch_at_nothing() {
    assert_snapshot!(
        World::new()
            .edit("car.yaml", "rev_limit", "launch: 0 rpm\nrev_limit")
            .faults()
    );
}

#[test]
fn an_empty_venue() {
    let world = World::new();
    let track = fs::read_to_string(world.path("track.yaml")).unwrap();
    let (head, _) = track.split_once("pieces:").unwrap();
    let empty = format!("{head}pieces: []\n");
    assert_snapshot!(world.write("track.yaml", empty).faults());
}

#[test]
fn a_circuit_whose_angles_do_not_close_is_driven_with_a_warning() {
    let world = World::new().edit("track.yaml", "kind: stage", "kind: circuit");
    let output = world.rank();
    assert!(output.status.success());
    assert_snapshot!(world.said(&output.stderr));
}

#[test]
fn spec_names_twice_and_not_at_all() {
    let twice = World::new().edit("testday.yaml", "name: short", "name: long");
    assert_snapshot!("twice", twice.faults());
    let none = World::new().edit("testday.yaml", "- name: short\n    fittings", "- fittings");
    assert_snapshot!("none", none.faults());
}

#[test]
fn yaml_traps() {
    let norway = World::new()
        .edit("study.yaml", "name: Small", "name: no")
        .edit("testday.yaml", "name: short", "name: no");
    assert!(norway.rank().status.success(), "a spec may be called `no`");
    let tab = World::new().edit("track.yaml", "  - straight: 90 m", "\t- straight: 90 m");
    assert_snapshot!("tab", tab.faults());
    let colon = World::new().edit("track.yaml", "name: Mill Lane", "name: Mill: Lane");
    assert_snapshot!("colon", colon.faults());
}

#[test]
fn invalid_utf_8() {
    let world = World::new();
    let mut bytes = fs::read(world.path("car.yaml")).unwrap();
    bytes[8] = 0xff;
    assert_snapshot!(world.write("car.yaml", bytes).faults());
}

#[test]
fn files_of_200_mb() {
    let huge = |name: &str| {
        let world = World::new();
        let file = fs::File::create(world.path(name)).unwrap();
        // Sparse: takes no room on the disk.
        file.set_len(200 << 20).unwrap();
        world.faults()
    };
    assert_snapshot!("huge_yaml", huge("track.yaml"));
    assert_snapshot!("huge_table", huge("long.csv"));
}

#[test]
fn an_alias_bomb() {
    let mut bomb = String::from("a0: &a0 [1, 1, 1, 1, 1, 1, 1, 1, 1, 1]\n");
    for i in 1..12 {
        let ten = vec![format!("*a{}", i - 1); 10].join(", ");
        bomb.push_str(&format!("a{i}: &a{i} [{ten}]\n"));
    }
    assert_snapshot!(World::new().write("car.yaml", bomb).faults());
}

#[test]
fn deep_nesting() {
    let deep = format!("pieces: {}{}\n", "[".repeat(5000), "]".repeat(5000));
    assert_snapshot!(World::new().write("track.yaml", deep).faults());
}

#[cfg(unix)]
#[test]
fn a_pipe_and_a_device() {
    let pipe = World::new();
    fs::remove_file(pipe.path("car.yaml")).unwrap();
    let made = std::process::Command::new("mkfifo")
        .arg(pipe.path("car.yaml"))
        .status()
        .unwrap();
    assert!(made.success());
    assert_snapshot!("pipe", pipe.faults());
    let device = World::new().edit("study.yaml", "car: car.yaml", "car: /dev/zero");
    assert_snapshot!("device", device.faults());
}

#[test]
fn all_faults_of_all_files_in_one_go() {
    let world = World::new()
        .edit("car.yaml", "tyre:", "tire:")
        .edit("testday.yaml", "DIN 70020", "DIN 70021")
        .edit("track.yaml", "90 deg", "90 degress")
        .edit("study.yaml", "driver:", "drvier:");
    let faults = world.faults();
    for file in ["car.yaml:", "testday.yaml:", "track.yaml:", "study.yaml:"] {
        assert!(faults.contains(file), "{file} is missing in:\n{faults}");
    }
}

/// Nothing can be told of an engine that was pulled above its rev limit alone.
#[test]
fn pulls_that_begin_at_the_rev_limit() {
    let faults = World::new()
        .edit("car.yaml", "rev_limit: 7000 rpm", "rev_limit: 2100 rpm")
        .edit("study.yaml", "driver: {lowest_rpm: 2500 rpm}\n", "")
        .faults();
    assert!(
        faults.contains("begin at 2000 rpm, and the rev limit is 2100"),
        "{faults}"
    );
    assert!(faults.contains("mend `rev_limit`"), "{faults}");
}
