//! Logs and notes that can be read in a way that nobody meant: mended, asked about or refused.

use std::fmt::Write;

use super::loggers::told;
use super::pullrank;
use super::roads::{length, near, venue};
use super::world::World;

/// What `venue` prints, on one line.
pub(super) fn listed(world: &World) -> String {
    let output = pullrank()
        .arg("venue")
        .arg(world.path("track.yaml"))
        .output()
        .unwrap();
    let said = world.said(&output.stdout);
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

pub(super) fn circuit(log: &str) -> World {
    venue("log: run.csv")
        .edit("track.yaml", "kind: stage", "kind: circuit")
        .write("run.csv", log)
}

/// Rows of an invented lap of 1,000 m with four corners of 90° to the left, unlike in speed, ten a second:
/// time, speed in km/h, acceleration across the road in g.
pub(super) fn lap(turns: f64) -> Vec<(f64, f64, f64)> {
    let corners = [(180.0, 14.0), (400.0, 19.0), (660.0, 12.0), (850.0, 17.0)];
    let mut rows = Vec::new();
    let (mut s, mut t) = (0.0_f64, 0.0);
    while s < 1000.0 * turns {
        let at = s % 1000.0;
        let speed = |&(apex, v): &(f64, f64)| {
            let beyond = ((at - apex).abs() - 20.0).max(0.0);
            f64::sqrt(v * v + 6.0 * beyond)
        };
        let v = corners.iter().map(speed).fold(28.0, f64::min);
        let bends = corners.iter().any(|(apex, _)| (at - apex).abs() < 20.0);
        // 90° over 40 m.
        let curvature = if bends {
            std::f64::consts::FRAC_PI_2 / 40.0
        } else {
            0.0
        };
        rows.push((t, 3.6 * v, v * v * curvature / 9.806_65));
        (s, t) = (s + 0.1 * v, t + 0.1);
    }
    rows
}

pub(super) fn csv(rows: &[(f64, f64, f64)]) -> String {
    let mut out = String::from("time (s),speed (km/h),lateral (g)\n");
    for (t, v, a) in rows {
        let _ = writeln!(out, "{t:.2},{v:.2},{a:.3}");
    }
    out
}

#[test]
fn several_laps_and_a_part_of_one_are_no_lap() {
    let sound = circuit(&csv(&lap(1.0)));
    assert_eq!(told(&sound), "");
    near(length(&sound), 1000.0, 0.01);
    let said = told(&circuit(&csv(&lap(3.0))));
    assert!(
        said.contains("warning: the corners of this lap turn 10"),
        "{said}"
    );
    assert!(
        said.contains("the speed seems to repeat itself every 1.0"),
        "{said}"
    );
    assert!(said.contains("3.0 times in 3.0"), "{said}");
    assert!(said.contains("cut the file to one lap"), "{said}");
    // Without acceleration across the road the speed alone tells.
    let bare: String = csv(&lap(3.0))
        .lines()
        .map(|line| line.rsplit_once(',').unwrap().0.to_owned() + "\n")
        .collect();
    let said = told(&circuit(&bare));
    assert!(
        said.contains("the speed seems to repeat itself every 1.0"),
        "{said}"
    );
    let said = told(&circuit(&csv(&lap(0.55))));
    assert!(said.contains("the corners of this lap turn 18"), "{said}");
    assert!(said.contains("a loop turns 360°"), "{said}");
    let stage = circuit(&csv(&lap(0.55))).edit("track.yaml", "kind: circuit", "kind: stage");
    assert_eq!(told(&stage), "");
}

#[test]
fn a_speed_that_is_naught_at_full_speed_is_mended_or_refused() {
    let lost = |rows: std::ops::Range<usize>| {
        let mut lap = lap(1.0);
        lap[rows].iter_mut().for_each(|row| row.1 = 0.0);
        circuit(&csv(&lap))
    };
    let sound = circuit(&csv(&lap(1.0)));
    let mended = lost(115..135);
    let said = told(&mended);
    assert!(said.contains("run.csv:117:"), "{said}");
    assert!(said.contains("the speed is lost for 2.1 s and "), "{said}");
    assert!(said.contains(" is taken too fast"), "{said}");
    near(length(&mended), length(&sound), 0.02);
    let said = lost(100..170).faults();
    assert!(
        said.contains("error: the speed is 0 for 7.0 s between"),
        "{said}"
    );
    assert!(said.contains("it was not recorded"), "{said}");
}

#[test]
fn a_leap_of_the_speed_is_no_speed() {
    let mut rows = lap(1.0);
    rows[60].1 = 655.35;
    let said = told(&circuit(&csv(&rows)));
    assert!(said.contains("run.csv:62:"), "{said}");
    assert!(said.contains("the speed leaps from "), "{said}");
    assert!(said.contains("to 655 km/h and is back at once"), "{said}");
}

#[test]
fn a_halt_where_speed_and_acceleration_make_the_road_is_refused() {
    let mut rows = lap(1.0);
    let (at, v, a) = rows[150];
    let later = |t: f64| at + t;
    let stay: Vec<(f64, f64, f64)> = (0..600)
        .map(|tenth| 0.1 * f64::from(tenth))
        .map(|t| {
            (
                later(t),
                (v - 30.0 * t).max(20.0 * (t - 56.0)).clamp(0.0, v),
                a,
            )
        })
        .collect();
    let tail: Vec<(f64, f64, f64)> = rows[151..].iter().map(|r| (r.0 + 60.0, r.1, r.2)).collect();
    rows.truncate(150);
    rows.extend(stay);
    rows.extend(tail);
    let said = circuit(&csv(&rows)).faults();
    assert!(said.contains("the car stands for 5"), "{said}");
    assert!(
        said.contains("cut the file to a run without a halt"),
        "{said}"
    );
}

#[test]
fn clocks_go_over_midnight_and_bare_thousandths_are_asked_about() {
    let clock = |t: f64| {
        let t = (86_390.0 + t) % 86_400.0;
        format!(
            "{:02}:{:02}:{:05.2}",
            (t / 3600.0) as u32,
            (t / 60.0) as u32 % 60,
            t % 60.0
        )
    };
    let with = |heading: &str, time: &dyn Fn(f64) -> String| {
        let mut out = format!("{heading},speed (km/h),lateral (g)\n");
        for (t, v, a) in lap(1.0) {
            let _ = writeln!(out, "{},{v:.2},{a:.3}", time(t));
        }
        circuit(&out)
    };
    let night = with("time", &clock);
    assert_eq!(told(&night), "");
    near(length(&night), 1000.0, 0.01);
    let said = with("time", &|t| format!("{:.0}", 1000.0 * t)).faults();
    assert!(
        said.contains("run.csv:1:1: error: `time` has no unit"),
        "{said}"
    );
    assert!(said.contains("write `time (ms)` in the heading"), "{said}");
}

#[test]
fn speeds_below_zero_throughout_are_told_at_the_heading() {
    let rows: Vec<_> = lap(1.0).into_iter().map(|(t, v, a)| (t, -v, a)).collect();
    let said = circuit(&csv(&rows)).faults();
    assert!(
        said.contains("error: `speed` is below zero in ") && said.contains(", here first"),
        "{said}"
    );
    assert!(said.contains("write speeds without a sign"), "{said}");
}

#[test]
fn the_sign_of_lateral_acceleration_is_listed_where_it_is_assumed() {
    let world = circuit(&csv(&lap(1.0)));
    assert!(
        listed(&world).contains("positive to the left"),
        "{}",
        listed(&world)
    );
    let said = world.edit(
        "track.yaml",
        "log: run.csv",
        "log: {file: run.csv, lateral: left positive}",
    );
    assert!(
        !listed(&said).contains("positive to the left"),
        "{}",
        listed(&said)
    );
}

#[test]
fn angles_of_a_scale_whose_six_is_tightest_are_those_of_its_speeds() {
    let track = |grades: &str, note: &str| {
        venue(&format!(
            "grades: {grades}\nnotes: \"100 {note}L 60 {note}R 90\""
        ))
    };
    let falls = track(
        "{6: 28 km/h, 5: 45 km/h, 4: 58 km/h, 3: 75 km/h, 2: 100 km/h}",
        "6",
    );
    let usual = track("{hairpin: 28 km/h, square: 45 km/h, 6: flat}", "hairpin");
    near(length(&falls), length(&usual), 1e-9);
    let assumed = listed(&falls);
    assert!(assumed.contains("by their speeds: 6 165°"), "{assumed}");
    let assumed = listed(&usual);
    assert!(
        assumed.contains("by their names: hairpin 165°, square 90°"),
        "{assumed}"
    );
    for speed in ["500 km/h", "1 km/h", "66"] {
        let said = track(&format!("{{4: {speed}, 5: 90 km/h}}"), "5").faults();
        assert!(said.contains("track.yaml:5:"), "{said}");
        assert_eq!(said.matches("error").count(), 1, "{said}");
    }
}

#[test]
fn one_grade_without_its_angle_is_one_fault() {
    let said =
        venue("grades: {loop: 31 km/h, 3: 66 km/h}\nnotes: \"100 loop left 60 3R 90\"").faults();
    assert!(
        said.contains("how far a corner of grade `loop` turns is not known"),
        "{said}"
    );
    assert!(said.contains("`loop: {apex: 31 km/h, turn: …}`"), "{said}");
    assert_eq!(said.matches("error").count(), 1, "{said}");
}

#[test]
fn a_grade_that_no_corner_is_of_needs_no_angle() {
    let track = |road: &str| {
        venue(&format!(
            "grades: {{1: 45 km/h, 3: 66 km/h, 6: flat}}\n{road}"
        ))
    };
    for road in [
        "notes: \"100 3L 60 6R 90\"",
        "sketch: {length: 2 km, corners: {1: 0, 3: 6}}",
        "pieces: [{straight: 90 m}, {corner: {grade: 1, turn: 88 deg, direction: left}}]",
        "pieces: [{straight: 90 m}, {corner: {grade: 1, length: 20 m, direction: left}}]",
    ] {
        let listed = listed(&track(road));
        assert!(
            listed.contains("angles of grades by their names: 3 55°"),
            "{listed}"
        );
    }
    for road in [
        "notes: \"100 1+L 60 1R 90\"",
        "sketch: {length: 2 km, corners: {1: 2, 3: 6}}",
        "pieces: [{straight: 90 m}, {corner: {grade: 1, direction: left}}]",
    ] {
        let said = track(road).faults();
        assert!(
            said.contains(
                "track.yaml:5:13: error: how far a corner of grade `1` turns is not known"
            ),
            "{said}"
        );
        assert_eq!(said.matches("error").count(), 1, "{said}");
    }
}

#[test]
fn a_grade_of_the_drivers_scale_is_asked_about_once_for_all_tracks() {
    let scale = "{lowest_rpm: 2500 rpm, grades: {1: {apex: 45 km/h}, 3: 66 km/h}}";
    let study = |notes: &str| {
        let track = format!("name: Oak Run\nkind: stage\nsurface: tarmac\nnotes: {notes}\n");
        World::new()
            .write("oak.yaml", &track)
            .write("elm.yaml", track.replace("Oak", "Elm"))
            .edit("study.yaml", "[track.yaml]", "[oak.yaml, elm.yaml]")
            .edit("study.yaml", "{lowest_rpm: 2500 rpm}", scale)
    };
    let said = study("100 3L 60 1R 90").faults();
    assert!(
        said.contains("study.yaml:4:44: error: how far a corner of grade `1` turns is not known"),
        "{said}"
    );
    assert!(
        said.contains(
            "write it as `1: {apex: 45 km/h, turn: …}`, with the degrees that the road turns by"
        ),
        "{said}"
    );
    assert_eq!(said.matches("error").count(), 1, "{said}");
    assert!(study("100 3L 60 3R 90").rank().status.success());
}

#[test]
fn notes_of_a_circuit_turn_a_full_circle() {
    let notes = |text: &str| {
        venue(&format!("notes: \"{text}\"")).edit("track.yaml", "kind: stage", "kind: circuit")
    };
    let said = told(&notes("100 HpL 60 3R 80 4L 200"));
    assert!(
        said.contains("the corners of this circuit turn 150° to the left"),
        "{said}"
    );
    assert!(!told(&notes("100 SqL 60 SqL 80 SqL 200 2L 60")).contains("turn"));
}

#[test]
fn what_is_wrong_comes_with_the_remedy_that_fits() {
    let rows = "48.2000000,-31.5000000,200.0\n48.2000100,-31.5000000,200.0\n";
    let said = venue("path: road.csv")
        .write("road.csv", rows.repeat(3))
        .faults();
    assert!(
        said.contains("put a line such as `lat,lon,height (m)` above"),
        "{said}"
    );
    let said = venue("path: \"C:\\Users\\road.csv\"").faults();
    assert!(said.contains("single quotes, or a path with `/`"), "{said}");
    let sketch = venue("sketch: {length: 5400, hairpins: 2}");
    let assumed = listed(&sketch);
    assert!(assumed.contains("5400 m: no unit is written"), "{assumed}");
}

#[cfg(unix)]
#[test]
fn a_link_to_nothing_is_told_as_such() {
    let world = venue("path: road.csv");
    std::os::unix::fs::symlink("gone.csv", world.path("road.csv")).unwrap();
    let said = world.faults();
    assert!(
        said.contains("this is a link to a file that is not there"),
        "{said}"
    );
    assert!(!said.contains("did you mean"), "{said}");
}

#[test]
fn pictures_that_were_written_are_named() {
    let world = World::new();
    let output = pullrank()
        .arg("venue")
        .arg(world.path("track.yaml"))
        .arg("--svg")
        .arg(world.path("plans"))
        .output()
        .unwrap();
    let said = world.said(&output.stdout);
    assert!(said.contains("plans/mill-lane.svg"), "{said}");
    assert!(!said.contains("--svg"), "{said}");
}

#[test]
fn a_result_of_several_laps_is_asked_about() {
    let ring = "pieces: [{straight: 300 m}, {corner: {radius: 40 m, turn: 180 deg, direction: left}}, \
                {straight: 300 m}, {corner: {radius: 40 m, turn: 180 deg, direction: left}}]";
    let world = World::new()
        .write(
            "track.yaml",
            format!("name: Fern Ring\nkind: circuit\nsurface: tarmac\nair: {{elevation: 200 m, temperature: 15 C, humidity: 60 %}}\n{ring}\n"),
        );
    let study = std::fs::read_to_string(world.path("study.yaml")).unwrap();
    let world = world.write(
        "study.yaml",
        study + "results: [{venue: Fern Ring, spec: long, time: \"7:30.0\"}]\n",
    );
    let output = pullrank()
        .args(["results", "--draws", "40"])
        .arg(world.path("study.yaml"))
        .output()
        .unwrap();
    let shown = world.said(&output.stdout);
    let said = shown.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(output.status.success(), "{}", world.said(&output.stderr));
    assert!(said.contains("is it the time of several laps?"), "{said}");
}
