//! A road that is part of a recording, named by times.

use super::drawn::{gpx, log_csv, road};
use super::loggers::{logged, told};
use super::roads::{along, length, near};
use super::world::World;

fn part(what: &str) -> World {
    let what = format!("path: {{file: road.gpx, {what}}}");
    along("road.gpx", &gpx(&road())).edit("track.yaml", "path: road.gpx", &what)
}

#[test]
fn a_path_begins_and_ends_at_times_of_its_clock() {
    // 15 m/s from 10:00:00 on.
    for what in [
        "from: 10:00:20, to: 10:01:40",
        "from: 20 s, to: 100 s",
        "from: \"0:20\", to: \"1:40\"",
    ] {
        near(length(&part(what)), 1200.0, 0.005);
    }
    near(length(&part("from: 10:00:20")), 1700.0, 0.005);
    // Distances count from where the part begins.
    near(length(&part("from: 10:00:20, to: 1 km")), 1000.0, 0.005);
}

#[test]
fn a_time_of_another_zone_is_asked_about() {
    let said = part("from: 12:00:20, to: 12:01:40").faults();
    assert!(
        said.contains(
            "`12:00:20` is not in this recording: its clock runs from 10:00:00 to 10:02:13"
        ) && said.contains("is its clock 2 h behind, as one of UTC is? then write 10:00:20"),
        "{said}"
    );
    let said = part("from: 10:30:00").faults();
    assert!(
        said.contains("write the time as the recording has it"),
        "{said}"
    );
    let said = part("from: 10:01:40, to: 10:00:20").faults();
    assert!(said.contains("`from` is the earlier of the two"), "{said}");
    let bare = format!("<gpx><trk><trkseg>{}</trkseg></trk></gpx>", {
        let points = road();
        points
            .iter()
            .map(|at| {
                let (lat, lon) = at.degrees();
                format!("<trkpt lat=\"{lat:.7}\" lon=\"{lon:.7}\"/>\n")
            })
            .collect::<String>()
    });
    let said = along("road.gpx", &bare)
        .edit(
            "track.yaml",
            "path: road.gpx",
            "path: {file: road.gpx, from: 10:00:20}",
        )
        .faults();
    assert!(said.contains("this recording has no times"), "{said}");
}

#[test]
fn nothing_is_said_of_rows_before_and_after_the_part() {
    // The same road once more, with a pause and a speed that no car has before it.
    let once = log_csv(&road());
    let (heading, rows) = once.split_once('\n').unwrap();
    let later = |by: f64, clock: bool| -> String {
        rows.lines()
            .map(|row| {
                let (time, rest) = row.split_once(',').unwrap();
                let t = time.parse::<f64>().unwrap() + by;
                let time = match clock {
                    true => format!(
                        "{:02.0}:{:02.0}:{:06.3}",
                        (t / 3600.0).floor(),
                        (t / 60.0).floor() % 60.0,
                        t % 60.0
                    ),
                    false => format!("{t:.3}"),
                };
                format!("{time},{rest}\n")
            })
            .collect()
    };
    let plain = format!("{heading}\n0.000,990.0,1.0,1.0\n{}", later(900.0, false));
    let of = |log: &str, from: &str, to: &str| {
        let what = format!("log: {{file: run.csv, from: {from}, to: {to}}}");
        logged(log).edit("track.yaml", "log: run.csv", &what)
    };
    let last = |log: &str| {
        log.lines()
            .last()
            .unwrap()
            .split(',')
            .next()
            .unwrap()
            .to_owned()
    };
    let whole = logged(&once);
    let part = of(&plain, "900 s", &format!("{} s", last(&plain)));
    near(length(&part), length(&whole), 1e-6);
    assert_eq!(told(&part), told(&whole));
    let by_clock = format!(
        "{heading}\n09:00:00.000,990.0,1.0,1.0\n{}",
        later(36_000.0, true)
    );
    let part = of(&by_clock, "10:00:00", &last(&by_clock));
    near(length(&part), length(&whole), 1e-6);
    assert_eq!(told(&part), told(&whole));
}
