//! Logs that read well and do not fit the road: another column under a heading, a speed that runs off, rows
//! out of order; laps that nothing tells apart; and the corners that a log shows.

use super::doubts::{circuit, csv, lap};
use super::drawn::{gpx, log_csv, road};
use super::loggers::told;
use super::pullrank;
use super::roads::{along, length, near, shown, venue};

#[test]
fn a_lap_that_hardly_bends_is_no_lap() {
    // Along the road in place of across it: it brakes and drives, and bends nowhere.
    let mut rows = lap(1.0);
    let mut wave = (0..rows.len()).map(|row| 0.3 * (row as f64 / 9.0).sin());
    rows.iter_mut()
        .for_each(|row| row.2 = wave.next().unwrap_or(0.0));
    let said = told(&circuit(&csv(&rows)));
    assert!(said.contains("the corners of this lap bend by "), "{said}");
    assert!(said.contains("a loop bends by 360° and more"), "{said}");
    assert_eq!(told(&circuit(&csv(&lap(1.0)))), "");
}

#[test]
fn a_speed_that_runs_off_is_told_by_the_positions() {
    let run = |factor: f64| {
        let log = log_csv(&road());
        let rows = log.lines().map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            match cells[1].parse::<f64>() {
                Ok(speed) => format!(
                    "{},{:.2},{},{}\n",
                    cells[0],
                    factor * speed,
                    cells[2],
                    cells[3]
                ),
                Err(_) => format!("{line}\n"),
            }
        });
        venue("log: run.csv").write("run.csv", rows.collect::<String>())
    };
    assert_eq!(told(&run(1.0)), "");
    let said = told(&run(1.05));
    assert!(
        said.contains("run.csv:1:6: warning: the speeds over the times make "),
        "{said}"
    );
    assert!(said.contains(" % more"), "{said}");
    assert!(said.contains("or take 0.9"), "{said}");
    let said = told(&run(0.95));
    assert!(
        said.contains(" % less") && said.contains("or take 1.0"),
        "{said}"
    );
}

#[test]
fn points_out_of_order_are_put_in_the_order_of_their_times() {
    let points = road();
    let mut shuffled = points.clone();
    shuffled[150..170].reverse();
    let sound = along("road.gpx", &gpx(&points));
    let world = along("road.gpx", &gpx(&shuffled));
    near(length(&world), length(&sound), 1e-6);
    let corners = |world| shown(world)["corners"].as_array().unwrap().len();
    assert_eq!(corners(&world), corners(&sound));
    let said = told(&world);
    assert!(
        said.contains("road.gpx:155:")
            && said.contains("points are not in the order of their times"),
        "{said}"
    );
}

/// 90° over 40 m are 25.5 m.
#[test]
fn corners_of_a_log_have_the_radius_that_names_them() {
    let corners = shown(&circuit(&csv(&lap(1.0))))["corners"].take();
    let corners = corners.as_array().unwrap();
    assert_eq!(corners.len(), 4);
    for corner in corners {
        let radius = corner["radius_m"].as_f64().unwrap();
        assert!((24.0..28.0).contains(&radius), "{corner}");
        let name = corner["name"].as_str().unwrap();
        assert!(
            name.starts_with(&format!("R{radius:.0} ")) || name.starts_with("square"),
            "{name} {radius}"
        );
    }
}

/// Figures without a unit are metres, which is listed; with one there is nothing to list.
#[test]
fn heights_without_a_unit_are_listed_as_metres() {
    let listed = |heading: &str| {
        let points = road();
        let rows = points.iter().map(|at| {
            let (lat, lon) = at.degrees();
            format!("{lat:.7},{lon:.7},{:.1}\n", at.z)
        });
        let text = format!("lat,lon,{heading}\n{}", rows.collect::<String>());
        let world = along("road.csv", &text);
        let output = pullrank()
            .arg("venue")
            .arg(world.path("track.yaml"))
            .output()
            .unwrap();
        let said = String::from_utf8(output.stdout).unwrap();
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    assert!(listed("altitude").contains("heights in metres (no unit is written)"));
    assert!(!listed("altitude (m)").contains("no unit is written"));
    assert!(listed("Level").contains("heights in metres (no unit is written)"));
}

/// Laps at speeds of their own, so that no speed repeats itself, straights with errors of both signs.
fn uneven(speeds: &[f64]) -> Vec<(f64, f64, f64)> {
    let mut rows = Vec::new();
    let mut start = 0.0;
    for faster in speeds {
        let one = lap(1.0);
        let error = |row: usize| if row.is_multiple_of(2) { 0.004 } else { -0.004 };
        rows.extend(one.iter().enumerate().map(|(row, (t, v, a))| {
            (
                start + t / faster,
                v * faster,
                a * faster * faster + error(row),
            )
        }));
        start += (one[one.len() - 1].0 + 0.1) / faster;
    }
    rows
}

#[test]
fn a_lap_is_chosen_only_where_something_tells_laps_apart() {
    let uneven = uneven(&[1.0, 0.72, 1.2]);
    let said = told(&circuit(&csv(&uneven)));
    assert!(said.contains(" in all, as 3 laps do"), "{said}");
    let choosing = |lap: &str, rows: &[(f64, f64, f64)]| {
        let wanted = format!("log: {{file: run.csv, lap: {lap}}}");
        circuit(&csv(rows)).edit("track.yaml", "log: run.csv", &wanted)
    };
    for rows in [&uneven, &lap(3.0)] {
        for lap in ["fastest", "1"] {
            let said = choosing(lap, rows).faults();
            assert!(
                said.contains("error: no lap of this log can be told: it seems to hold "),
                "{said}"
            );
        }
    }
    for lap_taken in ["fastest", "1"] {
        assert_eq!(told(&choosing(lap_taken, &lap(1.0))), "");
    }
}
