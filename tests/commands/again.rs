//! Roads as they come back: written as pieces and read again, leaps and creeping in recordings, known times.

use super::drawn::{At, gpx, road};
use super::headings::{printed, seconds};
use super::loggers::told;
use super::pullrank;
use super::roads::{along, near, shown};
use super::rounds::{circuit, laps};
use super::world::World;

fn corners(world: &World) -> usize {
    shown(world)["corners"].as_array().unwrap().len()
}

#[test]
fn a_road_written_as_pieces_has_the_same_corners() {
    let world = along("road.gpx", &gpx(&road()));
    let output = pullrank()
        .args(["venue", "--pieces"])
        .arg(world.path("track.yaml"))
        .output()
        .unwrap();
    let pieces = world.said(&output.stdout);
    let again = World::new().write("track.yaml", pieces);
    let (whole, read) = (shown(&world), shown(&again));
    assert!(corners(&world) >= 10);
    assert!(
        corners(&world).abs_diff(corners(&again)) <= 1,
        "{}",
        corners(&again)
    );
    let speed = |venue: &serde_json::Value| venue["typical_corner_speed_kmh"].as_f64().unwrap();
    near(speed(&read), speed(&whole), 0.08);
    let turned = |venue: &serde_json::Value| {
        let corners = venue["corners"].as_array().unwrap().iter();
        corners
            .map(|corner| corner["turned_deg"].as_f64().unwrap())
            .sum::<f64>()
    };
    near(turned(&read), turned(&whole), 0.05);
}

#[test]
fn a_leap_of_positions_within_one_row_is_no_bend() {
    let log = laps(&[20.0, 21.0, 20.0], 0.02);
    let half = log.lines().count() / 2;
    // 0.8 m to the south of where they were, for the rest of the log.
    let shifted: String = log
        .lines()
        .enumerate()
        .map(|(row, line)| match row > half {
            true => {
                let cells: Vec<&str> = line.split(',').collect();
                let lat = cells[2].parse::<f64>().unwrap() - 0.8 / 111_250.0;
                format!("{},{},{lat:.7},{}\n", cells[0], cells[1], cells[3])
            }
            false => format!("{line}\n"),
        })
        .collect();
    let (known, leapt) = (circuit(&log), circuit(&shifted));
    let said = told(&leapt);
    assert!(
        said.contains("the positions leap 0.8 m within one row here"),
        "{said}"
    );
    assert!(!told(&known).contains("leap"));
    assert_eq!(corners(&leapt), corners(&known));
    let tightest = |world: &World| {
        let radii = shown(world)["corners"].as_array().unwrap().clone();
        let radii = radii
            .iter()
            .map(|corner| corner["radius_m"].as_f64().unwrap());
        radii.fold(f64::INFINITY, f64::min)
    };
    near(tightest(&leapt), tightest(&known), 0.05);
}

/// From rest with 3 m/s² to 15 m/s, a second apart, along 150 m and into a bend of 60 m; the first points so many
/// metres aside.
fn standing_start(aside: &[f64]) -> Vec<At> {
    let (mut s, mut v) = (0.0_f64, 0.0_f64);
    let point = |i: usize| {
        let off = aside.get(i).copied().unwrap_or_default();
        let turn = ((s - 150.0) / 60.0).clamp(0.0, 1.2);
        let after = (s - 150.0 - 72.0).max(0.0);
        let x = s.min(150.0) + 60.0 * turn.sin() + after * 1.2_f64.cos();
        let y = 60.0 * (1.0 - turn.cos()) + after * 1.2_f64.sin();
        let next = (v + 3.0).min(15.0);
        s += 0.5 * (v + next);
        v = next;
        At {
            s: 15.0 * i as f64,
            x: x - off * turn.sin(),
            y: y + off * turn.cos(),
            z: 200.0,
        }
    };
    (0..40).map(point).collect()
}

#[test]
fn where_a_car_creeps_there_is_no_corner() {
    let shapes: [&[f64]; 3] = [&[0.9], &[1.2, 0.8], &[0.0, 0.4, 0.9, 0.9, 0.6, 0.3, 0.1]];
    for aside in shapes {
        let found = shown(&along("road.gpx", &gpx(&standing_start(aside))))["corners"].take();
        let starts = found.as_array().unwrap().iter();
        let starts: Vec<f64> = starts.map(|c| c["start_m"].as_f64().unwrap()).collect();
        assert_eq!(starts.len(), 1, "{found}");
        assert!((starts[0] - 150.0).abs() < 10.0, "{found}");
    }
}

#[test]
fn a_known_time_that_is_not_used_is_told() {
    for time in ["\"0:21.0\"", "0:21.0", "1:56"] {
        let world = World::new();
        let track = std::fs::read_to_string(world.path("track.yaml")).unwrap();
        let world = world.write("track.yaml", format!("{track}known: {{time: {time}}}\n"));
        let output = pullrank()
            .arg("venue")
            .arg(world.path("track.yaml"))
            .arg("--car")
            .arg(world.path("car.yaml"))
            .output()
            .unwrap();
        let said = world.said(&output.stdout).replace("\n  ", " ");
        let wanted = if time == "1:56" { "1:56" } else { "21.0" };
        assert!(said.contains("not the one by the known time of"), "{said}");
        assert!(said.contains(wanted), "{said}");
    }
}

#[test]
fn a_log_that_is_cut_keeps_its_speeds() {
    let log = laps(&[20.0, 24.0, 20.0], 0.05);
    let text = "log: {file: run.csv, lap: fastest}";
    let whole = circuit(&log);
    let moved = circuit(&log).edit(
        "track.yaml",
        text,
        "log: {file: run.csv, lap: fastest, from: 400 m}",
    );
    assert_eq!(told(&moved), "");
    near(seconds(&moved), seconds(&whole), 0.002);
    let speeds = |world: &World| {
        let corners = shown(world)["corners"].as_array().unwrap().clone();
        let mut speeds: Vec<f64> = corners
            .iter()
            .map(|c| c["speed_kmh"].as_f64().unwrap())
            .collect();
        speeds.sort_by(f64::total_cmp);
        speeds
    };
    assert!(!printed(&moved).contains(", 0 corners at the limit"));
    near(speeds(&moved)[0], speeds(&whole)[0], 0.02);
    // 600 m of a lap at a mean of 24 m/s, from crest to crest of its speed.
    let part = circuit(&log)
        .edit(
            "track.yaml",
            text,
            "log: {file: run.csv, from: 1500 m, to: 2100 m}",
        )
        .edit("track.yaml", "kind: circuit", "kind: stage");
    let truth = 600.0 / 24.0 / (1.0_f64 - 0.09).sqrt();
    near(seconds(&part), truth, 0.02);
}
