//! What loggers call their channels, how fast each is written, and which lap of several is taken.

use std::fmt::Write;

use super::doubts::{circuit, csv, lap, listed};
use super::drawn::{anew, log_csv, road};
use super::loggers::{logged, told};
use super::roads::{length, near, shown};
use super::world::World;

fn corners(world: &World) -> usize {
    shown(world)["corners"].as_array().unwrap().len()
}

/// The lap with other headings, and rows made of its own.
fn rows(heading: &str, row: impl Fn(f64, f64, f64) -> String) -> String {
    let mut out = format!("{heading}\n");
    for (t, v, a) in lap(1.0) {
        let _ = writeln!(out, "{}", row(t, v, a));
    }
    out
}

#[test]
fn acceleration_across_the_road_is_read_by_its_usual_names() {
    let known = circuit(&csv(&lap(1.0)));
    assert_eq!(corners(&known), 4);
    for heading in [
        "Lateral acc (g)",
        "Lateral Acc. (g)",
        "Acc Y (g)",
        "G Lat",
        "lat. accel [g]",
    ] {
        let world = circuit(&csv(&lap(1.0)).replacen("lateral (g)", heading, 1));
        assert_eq!(
            shown(&world)["corners"],
            shown(&known)["corners"],
            "{heading}"
        );
        assert!(
            listed(&world).contains("acceleration across the road is positive"),
            "{heading}"
        );
    }
    let other = circuit(&csv(&lap(1.0)).replacen("lateral (g)", "Lateral acc corrected (g)", 1));
    let said = listed(&other);
    assert!(
        said.contains("and `Lateral acc corrected` is not read"),
        "{said}"
    );
}

#[test]
fn a_row_of_units_may_hold_units_of_columns_that_nobody_reads() {
    let known = shown(&circuit(&csv(&lap(1.0))))["corners"].take();
    for units in [
        "s;km/h;g;deg/s;rpm;",
        "s;km/h;g;°/s;U/min;#",
        "[s];[km/h];[g];[V];[rpm];[-]",
    ] {
        let log = rows(
            &format!("Time;Speed;Lateral acc;Pitch rate;RPM;Marker\n{units}"),
            |t, v, a| format!("{t:.2};{v:.2};{a:.3};0.1;4200;1"),
        );
        assert_eq!(shown(&circuit(&log))["corners"], known, "{units}");
    }
    // Clock times are read as they stand, whatever their unit is called.
    let clock = |t: f64| format!("{}:{:05.2}", (t / 60.0).floor(), t % 60.0);
    let log = rows("Time;Speed;Lateral acc\n[min:s];[km/h];[g]", |t, v, a| {
        format!("{};{v:.2};{a:.3}", clock(t)).replace('.', ",")
    });
    assert_eq!(shown(&circuit(&log))["corners"], known);
    // Headings under a line about the run are no units.
    let log = rows("Run two;invented driver;dry\nTime;Speed;Note", |t, v, _| {
        format!("{t:.2};{v:.2} km/h;x")
    });
    assert!(length(&circuit(&log)) > 900.0);
}

/// Three rows more between every two of a log with positions: time and speed alone.
fn between(log: &str, speeds: bool) -> String {
    let number =
        |line: &str, cell: usize| line.split(',').nth(cell).unwrap().parse::<f64>().unwrap();
    let lines: Vec<&str> = log.lines().collect();
    let mut out = format!("{}\n", lines[0]);
    for pair in lines[1..].windows(2) {
        let at = |cell: usize, share: f64| {
            let (a, b) = (number(pair[0], cell), number(pair[1], cell));
            a + share * (b - a)
        };
        match speeds {
            true => out += &format!("{}\n", pair[0]),
            false => {
                let cells: Vec<&str> = pair[0].split(',').collect();
                out += &format!("{},,{},{}\n", cells[0], cells[2], cells[3]);
            }
        }
        for share in [0.25, 0.5, 0.75] {
            let speed = match speeds || share == 0.5 {
                true => format!("{:.2}", at(1, share)),
                false => String::new(),
            };
            out += &format!("{:.3},{speed},,\n", at(0, share));
        }
    }
    out + lines[lines.len() - 1] + "\n"
}

#[test]
fn channels_of_several_rates_share_a_table() {
    let log = log_csv(&road());
    let known = logged(&log);
    let world = logged(&between(&log, true));
    assert_eq!(told(&world), told(&known));
    near(length(&world), length(&known), 0.005);
    assert_eq!(corners(&world), corners(&known));
    let said = listed(&world);
    assert!(
        said.contains("positions in one row of 4: the rows between them are left out"),
        "{said}"
    );
    // Speeds and positions in rows of their own.
    let apart = logged(&between(&log, false));
    near(length(&apart), length(&known), 0.005);
    assert_eq!(corners(&apart), corners(&known));
    let said = listed(&apart);
    assert!(
        said.contains("`speed` is filled in one row of 4: interpolated"),
        "{said}"
    );
    // One empty cell in a full column is a fault as ever.
    let empty = anew(&log, |row, line| match row {
        30 => line.rsplit_once(',').unwrap().0.to_owned() + ",",
        _ => line.to_owned(),
    });
    assert!(logged(&empty).faults().contains("run.csv:31:"));
}

/// Laps one after another, each driven faster by a factor, with their numbers; the first rows left out.
fn raced(factors: &[f64], out: usize) -> String {
    let mut text = String::from("time (s),speed (km/h),lateral (g),lap\n");
    let (mut s, mut time, mut before) = (0.0, 0.0, 0.0);
    for (row, (t, v, a)) in lap(factors.len() as f64).into_iter().enumerate() {
        let number = ((s / 1000.0) as usize).min(factors.len() - 1);
        let faster = factors[number];
        time += (t - before) / faster;
        before = t;
        s += 0.1 * v / 3.6;
        if row >= out {
            let _ = writeln!(
                text,
                "{time:.3},{:.2},{:.3},{}",
                v * faster,
                a * faster * faster,
                number + 1
            );
        }
    }
    text
}

#[test]
fn the_first_and_the_last_lap_count_where_they_are_whole() {
    let taken = |factors: &[f64], out: usize| {
        let world = circuit(&raced(factors, out)).edit(
            "track.yaml",
            "log: run.csv",
            "log: {file: run.csv, lap: fastest}",
        );
        listed(&world)
    };
    assert!(taken(&[1.1, 1.0, 1.05, 1.0], 0).contains("lap 1, the fastest, of 4"));
    assert!(taken(&[1.0, 1.0, 1.05, 1.1], 0).contains("lap 4, the fastest, of 4"));
    assert!(
        taken(&[1.1, 1.0, 1.05, 1.0], 40)
            .contains("lap 3, the fastest of those that are whole, of 4")
    );
}

#[test]
fn a_circuit_whose_halves_are_alike_is_one_lap_where_laps_are_counted() {
    let mut s = 0.0;
    let mut counted = String::from("time (s),speed (km/h),lap\n");
    let mut plain = String::from("time (s),speed (km/h)\n");
    for (t, v, _) in lap(4.0) {
        let _ = writeln!(counted, "{t:.2},{v:.2},{}", (s / 2000.0) as usize + 1);
        if s < 2000.0 {
            let _ = writeln!(plain, "{t:.2},{v:.2}");
        }
        s += 0.1 * v / 3.6;
    }
    let world =
        circuit(&counted).edit("track.yaml", "log: run.csv", "log: {file: run.csv, lap: 2}");
    assert!(!told(&world).contains("repeat"), "{}", told(&world));
    let said = told(&circuit(&plain));
    assert!(
        said.contains("the speed seems to repeat itself every "),
        "{said}"
    );
    assert!(said.contains("the halves of one lap are alike"), "{said}");
}

#[test]
fn a_yaw_rate_shows_the_road_where_nothing_else_does() {
    let known = circuit(&csv(&lap(1.0)));
    // Acceleration over speed, by v·ψ' of plane motion.
    let rate = |v: f64, a: f64| a * 9.806_65 / (v / 3.6);
    let degrees = rows("time (s),speed (km/h),Yaw rate (deg/s)", |t, v, a| {
        format!("{t:.2},{v:.2},{:.3}", rate(v, a).to_degrees())
    });
    let radians = rows("time (s),speed (km/h),yaw rate (rad/s)", |t, v, a| {
        format!("{t:.2},{v:.2},{:.5}", rate(v, a))
    });
    for log in [&degrees, &radians, &degrees.replacen(" (deg/s)", "", 1)] {
        let world = circuit(log);
        assert_eq!(told(&world), "");
        assert_eq!(corners(&world), 4);
        let turned = |world: &World| {
            let corners = shown(world)["corners"].as_array().unwrap().clone();
            corners
                .iter()
                .map(|corner| corner["turned_deg"].as_f64().unwrap())
                .sum::<f64>()
        };
        near(turned(&world), turned(&known), 0.02);
        assert!(listed(&world).contains("the yaw rate is positive to the left"));
    }
    let said = listed(&circuit(&degrees.replacen(" (deg/s)", "", 1)));
    assert!(
        said.contains("`Yaw rate` in deg/s (no unit is written)"),
        "{said}"
    );
    let wrong = degrees.replacen("deg/s", "rad/s", 1);
    let said = circuit(&wrong).faults();
    assert!(
        said.contains("is it in deg/s? write `Yaw rate (deg/s)`"),
        "{said}"
    );
    let said = told(&circuit(&radians.replacen("rad/s", "deg/s", 1)));
    assert!(
        said.contains("is it in rad/s? write `yaw rate (rad/s)`"),
        "{said}"
    );
}

/// A receiver that lost its place for a second amid a run, and a speed that wavers about zero on the line.
#[test]
fn rows_without_a_position_are_left_out_and_a_wavering_speed_stands() {
    let whole = log_csv(&road());
    let known = shown(&logged(&whole))["corners"].take();
    let lost = anew(&whole, |row, line| {
        let placed = !(100..108).contains(&row);
        let cell = |(column, cell): (usize, &str)| match column >= 2 && !placed {
            true => String::new(),
            false => cell.to_owned(),
        };
        let cells: Vec<String> = line.split(',').enumerate().map(cell).collect();
        cells.join(",")
    });
    let world = logged(&lost);
    let said = listed(&world);
    assert!(said.contains("no position in 8 rows: left out"), "{said}");
    assert_eq!(
        shown(&world)["corners"].as_array().unwrap().len(),
        known.as_array().unwrap().len()
    );
    let wavers = |lowest: f64| {
        rows("time (s),speed (km/h),lateral (g)", |t, v, a| {
            let v = if t == 0.0 { lowest } else { v };
            format!("{t:.2},{v:.2},{a:.3}")
        })
    };
    let said = listed(&circuit(&wavers(-0.4)));
    assert!(
        said.contains("`speed` of down to -0.4 km/h: standing"),
        "{said}"
    );
    let said = circuit(&wavers(-9.0)).faults();
    assert!(
        said.contains("run.csv:2:6: error: `speed` is below zero in 1 of "),
        "{said}"
    );
}
