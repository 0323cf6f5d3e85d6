//! Laps out of logs: the line they are cut at, their time, and what is no corner in them.

use super::doubts::listed;
use super::drawn::{At, degrees_csv, ring, road};
use super::headings::{bare, printed, seconds};
use super::loggers::told;
use super::roads::{along, shown, venue};
use super::world::World;

/// A row of a log of laps.
struct Logged {
    t: f64,
    s: f64,
    speed: f64,
    at: At,
}

fn along_ring(ring: &[At], s: f64) -> At {
    let (row, share) = ((s / 5.0) as usize % 240, (s / 5.0).fract());
    let (a, b) = (ring[row], ring[(row + 1) % 240]);
    At {
        x: a.x + share * (b.x - a.x),
        y: a.y + share * (b.y - a.y),
        ..a
    }
}

/// Laps of the loop of 1,200 m at speeds of their own, m/s, in rows so many seconds apart.
fn driven(speeds: &[f64], step: f64) -> Vec<Logged> {
    let loop_of = ring();
    let (mut s, mut rows) = (0.0, Vec::new());
    while s < 1200.0 * speeds.len() as f64 {
        let lap = speeds[(s / 1200.0) as usize];
        let speed = lap * (1.0 - 0.3 * (std::f64::consts::TAU * s / 300.0).sin());
        rows.push(Logged {
            t: rows.len() as f64 * step,
            s,
            speed,
            at: along_ring(&loop_of, s % 1200.0),
        });
        s += speed * step;
    }
    rows
}

/// Such laps as a log.
pub(super) fn laps(speeds: &[f64], step: f64) -> String {
    let mut out = "time (s),speed (km/h),lat,lon\n".to_owned();
    for row in driven(speeds, step) {
        let (lat, lon) = row.at.degrees();
        out += &format!("{:.2},{:.2},{lat:.7},{lon:.7}\n", row.t, 3.6 * row.speed);
    }
    out
}

pub(super) fn circuit(log: &str) -> World {
    venue("log: {file: run.csv, lap: fastest}")
        .write("run.csv", log)
        .edit("track.yaml", "kind: stage", "kind: circuit")
}

/// The time of a lap: the mean of one over the speed is 1/√(1 − 0.3²) of the steady one.
fn lap_time(speed: f64) -> f64 {
    1200.0 / speed / (1.0_f64 - 0.09).sqrt()
}

#[test]
fn a_log_from_line_to_line_has_its_laps_whole() {
    let world = circuit(&laps(&[20.0, 24.0], 0.05));
    let found = seconds(&world);
    assert!((found - lap_time(24.0)).abs() < 0.15, "{found}");
    let other = circuit(&laps(&[24.0, 20.0], 0.05));
    assert!((seconds(&other) - found).abs() < 0.15);
}

#[test]
fn the_time_of_a_lap_is_no_count_of_rows() {
    for step in [0.1, 1.0] {
        let found = seconds(&circuit(&laps(&[20.0, 24.0, 22.0, 20.0], step)));
        assert!(
            (found - lap_time(24.0)).abs() < 0.3 * step + 0.05,
            "{step}: {found}"
        );
    }
    // Rows a second apart tell no hundredths, and without positions no tenths.
    let sparse = laps(&[20.0, 24.0, 22.0, 20.0], 1.0);
    let text = printed(&circuit(&sparse));
    let time = text.split_once("Logged in ").unwrap().1;
    let (time, _) = time.split_once(',').unwrap();
    assert_eq!(time.split_once('.').unwrap().1.len(), 1, "{time}");
    let text = printed(&venue("log: run.csv").write("run.csv", bare(&sparse)));
    let (time, _) = text
        .split_once("Logged in ")
        .unwrap()
        .1
        .split_once(',')
        .unwrap();
    assert!(time.contains(':') && !time.contains('.'), "{time}");
}

#[test]
fn the_highest_speed_is_no_corner() {
    // From a corner at 40 km/h onto a limiter at 100 km/h and down again, five times.
    let lap = |t: f64| (40.0 + 18.0 * t).min(100.0).min(40.0 + 30.0 * (12.0 - t));
    let rows = (0..600).map(|row| {
        let t = 0.1 * f64::from(row);
        let noise = 0.2 * f64::from(row % 3) - 0.2;
        format!("{t:.1},{:.1}\n", lap(t % 12.0) + noise)
    });
    let log: String = std::iter::once("time (s),speed (km/h)\n".to_owned())
        .chain(rows)
        .collect();
    let world = venue("log: run.csv").write("run.csv", &log);
    let said = told(&world);
    assert!(said.contains("run.csv:3"), "{said}");
    assert!(
        said.contains("warning: the speed stays at its highest, 100 km/h, for "),
        "{said}"
    );
    for corner in shown(&world)["corners"].as_array().unwrap() {
        assert!(corner["speed_kmh"].as_f64().unwrap() < 90.0, "{corner}");
    }
}

#[test]
fn other_ways_to_write_degrees_are_named() {
    let with = |lat: &dyn Fn(f64) -> String| -> String {
        let line = |line: &str| match line.split_once(',') {
            Some(("lat", _)) | None => format!("{line}\n"),
            Some((a, b)) => {
                let (a, b): (f64, f64) = (a.parse().unwrap(), b.parse().unwrap());
                format!("{},{}\n", lat(a), lat(b))
            }
        };
        degrees_csv(&road()).lines().map(line).collect()
    };
    let said = |text: &str| along("road.csv", text).faults();
    let parted = |d: f64| format!("{:.5}", 100.0 * d.trunc() + 60.0 * d.fract());
    let found = said(&with(&parted));
    assert!(
        found.contains("road.csv:2:1: error: latitude 5206.0000"),
        "{found}"
    );
    assert!(
        found.contains("(ddmm.mmmm)? write them as in `52°6.00000'`"),
        "{found}"
    );
    let found = said(&with(&|d| format!("{:.0}", 1e7 * d)));
    assert!(
        found.contains(
            "are these ten-millionths of a degree? divide them by 10,000,000, as in `52.1"
        ),
        "{found}"
    );
    let found = said(&with(&|d| format!("{:.6}", 60.0 * d)));
    assert!(
        found.contains("minutes of arc? divide them by 60, as in `52.1"),
        "{found}"
    );
    // One wrong point is one.
    let found = said(&degrees_csv(&road()).replacen("52.1", "5206.1", 1));
    assert!(found.contains("check this point"), "{found}");
}

#[test]
fn latitudes_of_a_log_that_are_none_are_told_before_its_speeds() {
    let parted = |d: f64| 100.0 * d.trunc() + 60.0 * d.fract();
    let with = |heading: &str, row: &dyn Fn(f64, f64) -> String| {
        let text = super::drawn::anew(&super::drawn::log_csv(&road()), |_, line| {
            let cells: Vec<&str> = line.split(',').collect();
            match (cells[2].parse(), cells[3].parse()) {
                (Ok(lat), Ok(lon)) => format!("{},{},{}", cells[0], cells[1], row(lat, lon)),
                _ => format!("{},{},{heading}", cells[0], cells[1]),
            }
        });
        venue("log: run.csv").write("run.csv", &text)
    };
    let letters = |a: f64, b: f64| format!("{:.5},N,{:.5},W", parted(a), parted(b.abs()));
    let plain = |a: f64, b: f64| format!("{:.5},{:.5}", parted(a), parted(b));
    for said in [
        with("lat,lon", &plain).faults(),
        with("lat,N/S,lon,E/W", &letters).faults(),
    ] {
        let text = "error: latitude 5206.0000 is beyond 90°";
        assert!(said.contains(text), "{said}");
        assert!(
            said.contains("(ddmm.mmmm)? write them as in `52°6.00000'`"),
            "{said}"
        );
        assert_eq!(said.matches("error:").count(), 1, "{said}");
    }
    // The letters are the signs of degrees, and no engine speed.
    let letters = |a: f64, b: f64| format!("{a:.7},N,{:.7},W", b.abs());
    let said = printed(&with("lat,N/S,lon,E/W", &letters));
    assert!(said.contains("`E/W` tells hemispheres"), "{said}");
}

#[test]
fn headings_may_be_german() {
    let english = circuit(&laps(&[20.0, 24.0, 22.0], 0.1));
    let text = laps(&[20.0, 24.0, 22.0], 0.1)
        .replace(',', ";")
        .replace('.', ",");
    let head = "time (s);speed (km/h);lat;lon";
    assert!(text.starts_with(head), "{text}");
    let text = text.replacen(
        head,
        "Zeit [s];Geschwindigkeit [km/h];Breite [°];Länge [°]",
        1,
    );
    let german = circuit(&text);
    assert!((seconds(&german) - seconds(&english)).abs() < 1e-9);
}

#[test]
fn heights_beside_distance_or_speed_are_the_climb() {
    let log = |unit: &str, metres: f64| {
        let mut text = format!("time (s),speed (km/h),lateral (g),altitude ({unit})\n");
        for row in 0..600 {
            let t = 0.1 * f64::from(row);
            let speed = 18.0 + 6.0 * (0.5 * t).cos();
            let across = speed * speed * 0.02 * (0.25 * t).sin() / 9.81;
            // 8 % over half of the way, then level: 18 m/s in the mean.
            let height = 300.0 + 1.44 * t.min(30.0) + [0.3, -0.2, 0.1][row as usize % 3];
            text += &format!(
                "{t:.1},{:.2},{across:.3},{:.1}\n",
                3.6 * speed,
                height / metres
            );
        }
        venue("log: run.csv").write("run.csv", &text)
    };
    for world in [log("m", 1.0), log("ft", 0.3048)] {
        let found = shown(&world);
        let (climb, fall) = (&found["climb_m"], &found["descent_m"]);
        assert!((climb.as_f64().unwrap() - 43.2).abs() < 1.5, "{climb}");
        assert!(fall.as_f64().unwrap() < 1.5, "{fall}");
        let said = printed(&world);
        assert!(!said.contains("level road"), "{said}");
    }
    // All alike they tell nothing.
    let flat = log("m", 1e9);
    assert!(printed(&flat).contains("a level road"));
}

/// The ring is driven at 0.1 g, then at 1 g, and on snow at 0.24 g.
#[test]
fn a_recce_is_no_run_for_the_clock() {
    let said = |speed: f64, surface: &str| {
        let log = laps(&[speed, speed, speed], 0.1);
        told(&circuit(&log).edit("track.yaml", "surface: tarmac", surface))
    };
    let slow = said(16.0, "surface: tarmac");
    assert!(slow.contains("was it driven for the clock?"), "{slow}");
    assert!(slow.contains("as in `path: run.csv`"), "{slow}");
    for (speed, surface) in [(50.0, "surface: tarmac"), (24.0, "surface: snow")] {
        let said = said(speed, surface);
        assert!(!said.contains("for the clock"), "{said}");
    }
}

#[test]
fn a_halt_has_one_word() {
    let mut halted = String::new();
    let mut stood = 0.0;
    for line in super::drawn::log_csv(&road()).lines() {
        let (time, rest) = line.split_once(',').unwrap();
        let Ok(time) = time.parse::<f64>() else {
            halted += &format!("{line}\n");
            continue;
        };
        if stood == 0.0 && time > 70.0 {
            let place = rest.split_once(',').unwrap().1;
            for tenth in 0..200 {
                let t = 0.1 * f64::from(tenth);
                let speed = (40.0 - 30.0 * t).max(30.0 * (t - 18.5)).max(0.0);
                halted += &format!("{:.3},{speed:.1},{place}\n", time + t);
            }
            stood = 20.0;
        }
        halted += &format!("{:.3},{rest}\n", time + stood);
    }
    let said = told(&venue("log: run.csv").write("run.csv", &halted));
    assert_eq!(said.matches("stands").count(), 1, "{said}");
    assert!(said.contains("amid the run"), "{said}");
    assert!(!said.contains("nothing needs doing"), "{said}");
}

/// The same with the laps counted from a line 300 m behind the first row's, and positions that are new every so
/// many rows.
fn counted(speeds: &[f64], hold: usize) -> String {
    let rows = driven(speeds, 0.1);
    let mut out = "lap,time (s),speed (km/h),lat,lon\n".to_owned();
    for (index, row) in rows.iter().enumerate() {
        let number = 1 + ((row.s + 900.0) / 1200.0) as usize;
        let (lat, lon) = rows[index / hold * hold].at.degrees();
        let (t, speed) = (row.t, 3.6 * row.speed);
        out += &format!("{number},{t:.2},{speed:.2},{lat:.7},{lon:.7}\n");
    }
    out
}

#[test]
fn laps_that_the_logger_counted_are_those_where_positions_are_too() {
    let log = counted(&[20.0, 24.0, 30.0, 24.0], 1);
    // From its line: 900 m of one lap and 300 m of the next.
    for (lap, before, after) in [(2, 20.0, 24.0), (3, 24.0, 30.0)] {
        let wanted = 0.75 * lap_time(before) + 0.25 * lap_time(after);
        let world = circuit(&log).edit("track.yaml", "lap: fastest", &format!("lap: {lap}"));
        let found = seconds(&world);
        assert!((found - wanted).abs() < 0.3, "{lap}: {found} {wanted}");
    }
    let said = circuit(&log)
        .edit("track.yaml", "lap: fastest", "lap: 7")
        .faults();
    assert!(said.contains("there is no lap 7 in this log"), "{said}");
}

#[test]
fn positions_that_are_held_over_rows_are_told() {
    let said = told(&circuit(&counted(&[20.0, 24.0, 22.0], 10)));
    assert!(
        said.contains("the positions are new every 1.0 s, the rows every 0.10 s"),
        "{said}"
    );
    let said = told(&circuit(&counted(&[20.0, 24.0, 22.0], 1)));
    assert!(!said.contains("the positions are new"), "{said}");
}

/// Half the ring, a stand of a minute and the rest, with heights that are off by 2 m to either side in turn.
fn with_a_stand() -> String {
    let ring = ring();
    let mut out = "time (s),speed (km/h),lat,lon,height (m)\n".to_owned();
    let (mut s, mut stood) = (0.0, 0);
    for row in 0.. {
        if s > 1150.0 {
            break;
        }
        let waits = s >= 600.0 && stood < 600;
        stood += u32::from(waits);
        let away: f64 = s - 600.0;
        let speed = match waits {
            true => 0.0,
            false => (8.0 * away.abs() + 1.0).sqrt().min(20.0),
        };
        let at = along_ring(&ring, s);
        let (lat, lon) = at.degrees();
        let z = at.z + if row % 2 == 0 { 2.0 } else { -2.0 };
        let t = 0.1 * f64::from(row);
        out += &format!("{t:.2},{:.2},{lat:.7},{lon:.7},{z:.2}\n", 3.6 * speed);
        s += 0.1 * speed;
    }
    out
}

#[test]
fn what_lies_beyond_the_end_that_is_wanted_is_not_told() {
    let log = |end: &str| {
        venue(&format!("log: {{file: run.csv, to: {end}}}")).write("run.csv", with_a_stand())
    };
    let (short, long) = (told(&log("500 m")), told(&log("1100 m")));
    assert!(!short.contains("stands for"), "{short}");
    assert!(
        long.contains("the car stands for 60 s from this row"),
        "{long}"
    );
}

#[test]
fn heights_of_a_log_that_scatter_are_listed() {
    let listed = listed(&venue("log: run.csv").write("run.csv", with_a_stand()));
    assert!(
        listed.contains("the slopes of heights that scatter by "),
        "{listed}"
    );
}
