//! What the columns of a log say and mean: units that cannot be, clocks, places before a fix.

use super::drawn::{At, degrees_csv, log_csv, ring, road};
use super::loggers::{logged, told};
use super::pullrank;
use super::roads::{along, length, near, shown, venue};
use super::world::World;

/// The rows of a log with another first cell.
fn with_times(log: &str, heading: &str, cell: impl Fn(f64) -> String) -> String {
    let line = |line: &str| {
        let (time, rest) = line.split_once(',').unwrap();
        let time = time.parse().map_or(heading.to_owned(), &cell);
        format!("{time},{rest}\n")
    };
    log.lines().map(line).collect()
}

/// The same without positions.
pub(super) fn bare(log: &str) -> String {
    let cells = |line: &str| line.splitn(3, ',').take(2).collect::<Vec<_>>().join(",") + "\n";
    log.lines().map(cells).collect()
}

/// What `check` says of one file, and its exit code.
fn check(world: &World, name: &str) -> (String, Option<i32>) {
    let output = pullrank()
        .arg("check")
        .arg(world.path(name))
        .output()
        .unwrap();
    (world.said(&output.stdout), output.status.code())
}

/// What `venue` prints, on one line.
pub(super) fn printed(world: &World) -> String {
    let output = pullrank()
        .arg("venue")
        .arg(world.path("track.yaml"))
        .output()
        .unwrap();
    world.said(&output.stdout).replace("\n  ", " ")
}

/// The time that the log took.
pub(super) fn seconds(world: &World) -> f64 {
    let text = printed(world);
    let (_, time) = text.split_once("Logged in ").unwrap();
    let (time, _) = time.split_once(',').unwrap();
    let (minutes, seconds) = time.split_once(':').unwrap_or(("0", time));
    60.0 * minutes.parse::<f64>().unwrap() + seconds.parse::<f64>().unwrap()
}

/// The assumptions that `venue` lists.
fn assumed(world: &World) -> String {
    let text = printed(world);
    text.split_once("Assumed:").unwrap().1.to_owned()
}

/// Half past one minute to two, so that the run goes over full minutes and a full hour.
fn of_day(t: f64) -> String {
    let t = t + 13.0 * 3600.0 + 58.0 * 60.0 + 30.0;
    let (hours, minutes) = ((t / 3600.0).floor(), (t / 60.0).floor() % 60.0);
    format!("{hours:02.0}{minutes:02.0}{:06.3}", t % 60.0 - 0.0005)
}

#[test]
fn times_of_day_in_one_number_are_no_seconds() {
    let log = log_csv(&road());
    let sound = logged(&log);
    for heading in ["time", "time (hhmmss.ss)"] {
        let world = logged(&with_times(&log, heading, of_day));
        assert_eq!(told(&world), told(&sound), "{heading}");
        near(seconds(&world), seconds(&sound), 1e-4);
    }
    let world = logged(&bare(&with_times(&log, "time", of_day)));
    let blind = logged(&bare(&log));
    near(length(&world), length(&blind), 1e-4);
    let said = assumed(&world);
    assert!(
        said.contains("the times are hours, minutes and seconds in one number (hhmmss.ss)"),
        "{said}"
    );
    assert!(!assumed(&blind).contains("hhmmss"));
    let said = logged(&with_times(&log, "time (s)", of_day)).faults();
    assert!(
        said.contains("run.csv:1:1: error: `time` holds hours, minutes"),
        "{said}"
    );
    assert!(
        said.contains("write `time` in the heading, without a unit"),
        "{said}"
    );
}

#[test]
fn rows_of_whole_seconds_lie_evenly_in_them() {
    // Ten rows a second, so that each second has its ten.
    let log = log_csv(&road());
    let tenths: String = log
        .lines()
        .enumerate()
        .map(|(row, line)| match (row, line.split_once(',')) {
            (1.., Some((_, rest))) => format!("{:.1},{rest}\n", 0.4 * (row - 1) as f64),
            _ => format!("{line}\n"),
        })
        .collect();
    let tenths = bare(&tenths);
    let sound = logged(&tenths);
    let whole = logged(&with_times(&tenths, "time", |t| {
        format!("{:.0}", t.floor())
    }));
    near(length(&whole), length(&sound), 0.005);
    let said = assumed(&whole);
    assert!(said.contains("the times are whole seconds, "), "{said}");
}

#[test]
fn times_in_thousandths_and_distances_in_kilometres_are_named() {
    let log = bare(&log_csv(&road()));
    let world = logged(&with_times(&log, "time (s)", |t| {
        format!("{:.0}", 1000.0 * t)
    }));
    let said = world.faults();
    assert!(
        said.contains("run.csv:1:1: error: `time` is in s by its heading, and its rows are "),
        "{said}"
    );
    assert!(said.contains("write `time (ms)` in the heading"), "{said}");
    let (checked, code) = check(&world, "run.csv");
    assert_eq!(code, Some(1), "{checked}");
    assert!(
        checked.contains("write `time (ms)` in the heading"),
        "{checked}"
    );
    // Every row of the log is 5 m on.
    let mut row = -1.0;
    let mut with_distances = |heading: &str, timed: bool| -> String {
        let line = |line: &str| {
            let (time, speed) = line.split_once(',').unwrap();
            let distance = match time.parse::<f64>() {
                Ok(_) => format!("{:.4}", 0.005 * row),
                Err(_) => heading.to_owned(),
            };
            row += 1.0;
            match timed {
                true => format!("{time},{distance},{speed}\n"),
                false => format!("{distance},{speed}\n"),
            }
        };
        let out = log.lines().map(line).collect();
        row = -1.0;
        out
    };
    let with_both = logged(&with_distances("distance (m)", true));
    let said = with_both.faults();
    assert!(said.contains("the distances 0.00 km"), "{said}");
    assert!(
        said.contains("write `distance (km)` in the heading"),
        "{said}"
    );
    let (checked, code) = check(&with_both, "run.csv");
    assert_eq!(code, Some(1), "{checked}");
    let said = logged(&with_distances("distance", false)).faults();
    assert!(
        said.contains("run.csv:1:1: error: `distance` has no unit and is taken as m"),
        "{said}"
    );
    assert!(
        said.contains("write `distance (km)` in the heading"),
        "{said}"
    );
    let sound = logged(&with_distances("distance (km)", false));
    near(length(&sound), 1995.0, 0.01);
    let metres = with_distances("distance (km)", false);
    let metres: String = metres
        .lines()
        .map(|line| match line.split_once(',') {
            Some((km, rest)) => match km.parse::<f64>() {
                Ok(km) => format!("{:.1},{rest}\n", 1000.0 * km),
                Err(_) => format!("distance,{rest}\n"),
            },
            None => String::new(),
        })
        .collect();
    let said = assumed(&logged(&metres));
    assert!(
        said.contains("the distances of the log are in metres"),
        "{said}"
    );
}

/// Laps of a loop turn by 360°; in mph under km/h by 1.609 times as much.
#[test]
fn a_lap_that_turns_too_far_names_the_unit_of_its_speed() {
    let lap = |speed: f64| -> World {
        let turn = std::f64::consts::TAU / 1200.0;
        let rows = (0..=600).map(|row| {
            let (v, s) = (
                20.0 + 5.0 * (std::f64::consts::TAU * f64::from(row) / 600.0).sin(),
                2.0 * f64::from(row),
            );
            let lateral = v * v * turn * (1.0 + 0.8 * (2.0 * turn * s).cos()) / 9.806_65;
            (v, lateral)
        });
        let mut t = 0.0;
        let mut log = "time (s),speed (km/h),lateral (g)\n".to_owned();
        for (v, lateral) in rows {
            log += &format!("{t:.3},{:.2},{lateral:.4}\n", speed * v);
            t += 2.0 / v;
        }
        venue("log: run.csv").write("run.csv", log).edit(
            "track.yaml",
            "kind: stage",
            "kind: circuit",
        )
    };
    assert!(!told(&lap(3.6)).contains("in all"));
    let said = told(&lap(3.6 / 1.609_344));
    assert!(said.contains("of this lap turn 5"), "{said}");
    assert!(
        said.contains("with speeds in mph: write `speed (mph)` if they are"),
        "{said}"
    );
}

#[test]
fn rows_before_a_fix_are_left_out() {
    let naught = |text: &str| -> String {
        let line = |(row, line): (usize, &str)| {
            let cells: Vec<&str> = line.split(',').collect();
            let (rest, _) = cells.split_at(cells.len() - 2);
            match row {
                1..20 => [rest, &["0", "0.0"]].concat().join(",") + "\n",
                _ => format!("{line}\n"),
            }
        };
        text.lines().enumerate().map(line).collect()
    };
    let log = log_csv(&road());
    let said = told(&logged(&naught(&log)));
    assert!(
        said.contains("run.csv:2:13: warning: 19 rows from here on at latitude 0 and longitude 0"),
        "{said}"
    );
    near(length(&logged(&naught(&log))), 1995.0 - 95.0, 0.01);
    let world = along("road.csv", &naught(&degrees_csv(&road())));
    let said = told(&world);
    assert!(
        said.contains("road.csv:2:1: warning: 19 rows from here on"),
        "{said}"
    );
    near(length(&world), 2000.0 - 95.0, 0.01);
    // A road there is one.
    let there = |at: &At| format!("{:.7},{:.7}\n", at.y / 111_250.0, at.x / 111_250.0);
    let rows = ring().iter().map(there).collect::<String>();
    let world = along("road.csv", &format!("lat,lon\n{rows}"));
    assert!(!told(&world).contains("left out"));
}

#[test]
fn acceleration_that_shows_no_corner_is_left_out() {
    let log = bare(&log_csv(&road()));
    let rows = log.lines().enumerate().map(|(row, line)| match row {
        0 => format!("{line},lateral g (g)\n"),
        _ => format!("{line},0.00\n"),
    });
    let world = logged(&rows.collect::<String>());
    let said = told(&world);
    assert!(
        said.contains("warning: `lateral g` never passes 0.00 g: left out"),
        "{said}"
    );
    assert!(said.contains("look why the logger shows none"), "{said}");
    let corners = |world: &World| shown(world)["corners"].as_array().unwrap().len();
    assert_eq!(corners(&world), corners(&logged(&log)));
}

#[test]
fn what_tells_of_bends_and_is_not_read_is_named() {
    let log = bare(&log_csv(&road()));
    let rows = log.lines().enumerate().map(|(row, line)| match row {
        0 => format!("{line},heading (deg)\n"),
        _ => format!("{line},{:.2}\n", (row as f64 / 7.0).sin()),
    });
    let said = assumed(&logged(&rows.collect::<String>()));
    assert!(said.contains("and `heading` is not read"), "{said}");
    assert!(!assumed(&logged(&log)).contains("not read"));
}

#[test]
fn a_bare_file_is_checked_as_the_road_it_would_be() {
    let log = log_csv(&road());
    let (said, code) = check(&logged(&log), "run.csv");
    assert_eq!(code, Some(0), "{said}");
    assert!(said.contains("logged run, no fault found"), "{said}");
    // As a path it may do.
    let wrong = log.replacen("[km/h]", "[m/s]", 1);
    let (said, code) = check(&logged(&wrong), "run.csv");
    assert_eq!(code, Some(0), "{said}");
    assert!(
        said.contains("as the `log` of a track this file is refused: the speeds over"),
        "{said}"
    );
    // Only the road shows that it stands.
    let halted: String = bare(&log)
        .lines()
        .map(|line| match line.split_once(',') {
            Some((time, speed)) => match time.parse::<f64>() {
                Ok(t) if (60.0..70.0).contains(&t) => {
                    let slow = (40.0 - 12.0 * (t - 60.0)).max(12.0 * (t - 66.5)).max(0.0);
                    format!("{time},{slow:.1}\n")
                }
                _ => format!("{time},{speed}\n"),
            },
            None => String::new(),
        })
        .collect();
    let (said, code) = check(&logged(&halted), "run.csv");
    assert_eq!(code, Some(1), "{said}");
    assert!(said.contains("the car stands for "), "{said}");
}
