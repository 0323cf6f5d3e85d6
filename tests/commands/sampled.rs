//! Logs whose rows are few, or off, or counted by lap: what they show of corners and times.

use std::fmt::Write;

use super::doubts::{circuit, csv, lap, listed};
use super::drawn::{At, metres_csv, road};
use super::loggers::{draws, logged, told};
use super::pullrank;
use super::roads::along;
use super::world::World;

/// A run along the road at 25 m/s, a row every so many fifths of a second, each position off by up to so many
/// metres.
fn run(every: usize, off: f64) -> String {
    let mut draw = draws();
    let mut out = String::from("time (s),speed (km/h),x (m),y (m)\n");
    for (row, at) in road().iter().take(399).enumerate().step_by(every) {
        let (x, y) = (at.x + off * draw(), at.y + off * draw());
        let _ = writeln!(out, "{:.1},90.0,{x:.2},{y:.2}", 0.2 * row as f64);
    }
    out
}

#[test]
fn a_time_is_that_from_the_first_row_to_the_last() {
    for (every, wanted) in [(1, "1:19.6"), (2, "1:19.6"), (5, "1:19")] {
        let listed = listed(&logged(&run(every, 0.0)));
        assert!(listed.contains(&format!("Logged in {wanted},")), "{listed}");
    }
}

/// Its corners turn within 113 m from one side to the other.
#[test]
fn rows_too_far_apart_for_the_corners_between_them_are_told() {
    let said = told(&logged(&run(10, 0.0)));
    assert!(
        said.contains("run.csv: warning: rows stand up to "),
        "{said}"
    );
    assert!(said.contains("log five rows a second or more"), "{said}");
    assert!(!told(&logged(&run(1, 0.0))).contains("rows stand"));
}

#[test]
fn positions_that_scatter_are_told() {
    let wanted = "run.csv: warning: the positions scatter by ";
    let said = told(&logged(&run(2, 2.5)));
    assert!(said.contains(wanted), "{said}");
    assert!(!told(&logged(&run(2, 0.1))).contains(wanted));
}

/// Time, speed, acceleration and number of each row of four laps.
pub(super) fn numbered() -> Vec<(f64, f64, f64, usize)> {
    let mut s = 0.0;
    let row = |(t, v, a): (f64, f64, f64)| {
        let number = (s / 1000.0) as usize + 1;
        s += 0.1 * v / 3.6;
        (t, v, a, number)
    };
    lap(4.0).into_iter().map(row).collect()
}

/// As a log, each time less so much of that of its lap's start.
pub(super) fn with_laps(restarts: f64) -> String {
    let rows = numbered();
    let mut out = String::from("time (s),speed (km/h),lateral (g),lap\n");
    for (t, v, a, number) in &rows {
        let start = rows.iter().find(|row| row.3 == *number).unwrap().0;
        let _ = writeln!(out, "{:.2},{v:.2},{a:.3},{number}", t - restarts * start);
    }
    out
}

fn asked(text: &str, log: &str) -> World {
    circuit(log).edit("track.yaml", "log: run.csv", text)
}

#[test]
fn a_lap_by_its_column_ends_where_the_next_begins() {
    let rows = numbered();
    let start = |number: usize| rows.iter().find(|row| row.3 == number).unwrap().0;
    let time = start(3) - start(2);
    assert!((30.0..60.0).contains(&time));
    let listed = listed(&asked("log: {file: run.csv, lap: 2}", &with_laps(0.0)));
    assert!(
        listed.contains(&format!("Logged in {time:.1},")),
        "{listed}"
    );
}

#[test]
fn a_lap_that_was_chosen_is_not_asked_about() {
    let log = with_laps(0.0);
    let said = told(&asked("log: run.csv", &log));
    assert!(
        said.contains("the log holds 4 laps (1 ") && said.contains(" is taken"),
        "{said}"
    );
    let chosen = asked("log: {file: run.csv, lap: fastest}", &log);
    assert_eq!(told(&chosen), "");
    let listed = listed(&chosen);
    assert!(
        listed.contains(", the fastest of those that are whole, of 4"),
        "{listed}"
    );
}

#[test]
fn a_clock_that_restarts_with_each_lap_runs_on() {
    let text = "log: {file: run.csv, lap: fastest}";
    let (through, anew) = (asked(text, &with_laps(0.0)), asked(text, &with_laps(1.0)));
    assert_eq!(told(&anew), "");
    let logged = |world: &World| {
        let said = listed(world);
        let at = said.find("Logged in").unwrap();
        said[at..].split(';').next().unwrap().to_owned()
    };
    assert_eq!(logged(&anew), logged(&through));
    let said = listed(&anew);
    assert!(
        said.contains("the clock restarts with each lap, first in line "),
        "{said}"
    );
    let headed = with_laps(1.0).replacen("time", "Lap time", 1);
    assert_eq!(logged(&asked(text, &headed)), logged(&through));
}

#[test]
fn acceleration_without_its_sign_is_named() {
    let one_way = lap(1.8);
    let said = told(&circuit(&csv(&one_way)));
    assert!(
        said.contains("is never of the other sign in this log"),
        "{said}"
    );
    assert!(!said.contains("write `speed"), "{said}");
    let mut noisy = one_way;
    noisy[3].2 = -0.02;
    assert!(!told(&circuit(&csv(&noisy))).contains("never of the other sign"));
}

/// The speed of its halves is the same, and they bend to two sides.
#[test]
fn a_figure_of_eight_is_one_lap() {
    let mut s = 0.0;
    let mut rows = lap(2.0);
    for row in &mut rows {
        if s >= 1000.0 {
            row.2 = -row.2;
        }
        s += 0.1 * row.1 / 3.6;
    }
    assert_eq!(told(&circuit(&csv(&rows))), "");
}

#[test]
fn heights_are_asked_about_where_a_car_stalls_on_them() {
    let steep = |at: At| At {
        z: 0.6 * at.s,
        ..at
    };
    let points: Vec<At> = road().into_iter().map(steep).collect();
    let world = along("road.csv", &metres_csv(&points)).edit(
        "track.yaml",
        "surface: tarmac",
        "surface: gravel",
    );
    let output = pullrank()
        .args(["venue", "--car", "cars/rowan-coupe"])
        .arg(world.path("track.yaml"))
        .output()
        .unwrap();
    let said = world.said(&output.stderr);
    assert!(!output.status.success(), "{said}");
    assert!(said.contains("the car cannot pull on"), "{said}");
    assert!(said.contains("the heights make slopes of up to"), "{said}");
}
