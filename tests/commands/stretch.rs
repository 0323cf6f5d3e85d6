//! Parts of a log by its distances, and logs that go on behind the finish.

use super::drawn::{bare, log_csv, road};
use super::loggers::{logged, told};
use super::pullrank;
use super::roads::{length, near};
use super::world::World;

fn part(log: &str, what: &str) -> World {
    logged(log).edit(
        "track.yaml",
        "log: run.csv",
        &format!("log: {{file: run.csv, {what}}}"),
    )
}

/// The start that the pieces of a venue say, km/h.
fn entry(world: &World) -> f64 {
    let track = world.path("track.yaml");
    let output = pullrank()
        .args(["venue", "--pieces"])
        .arg(track)
        .output()
        .unwrap();
    let pieces = String::from_utf8(output.stdout).unwrap();
    let start = pieces.lines().find_map(|line| line.strip_prefix("start: "));
    start
        .and_then(|start| start.split(' ').next())
        .and_then(|speed| speed.parse().ok())
        .unwrap_or_else(|| panic!("{pieces}"))
}

/// Rows are some two metres apart.
#[test]
fn a_log_without_positions_begins_and_ends_at_its_distances() {
    let log = bare(&log_csv(&road()));
    let whole = length(&logged(&log));
    near(length(&part(&log, "to: 500 m")), 500.0, 0.01);
    near(length(&part(&log, "from: 300 m")), whole - 300.0, 0.01);
    near(length(&part(&log, "from: 300 m, to: 1.2 km")), 900.0, 0.01);
    // From a time on distances count from there.
    near(length(&part(&log, "from: 20 s, to: 500 m")), 500.0, 0.01);
}

#[test]
fn what_is_not_along_a_log_without_positions_is_refused() {
    let log = bare(&log_csv(&road()));
    for (what, said) in [
        ("to: 50 km", "50000 m is beyond the end of the path at"),
        (
            "from: 500 m, to: 300 m",
            "the finish at 300 m is not after the start at 500 m",
        ),
        ("to: {lat: 45.1, lon: 7.1}", "this log has no positions\n"),
    ] {
        let found = part(&log, what).faults();
        assert!(found.contains(said), "{what}: {found}");
    }
}

/// A part of a log is entered at the speed that the log has there, not at that of its first row.
#[test]
fn a_part_of_a_log_is_entered_at_the_speed_of_its_own_start() {
    let log = log_csv(&road());
    let rolls: String = log
        .lines()
        .enumerate()
        .map(|(row, line)| {
            let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
            if (1..40).contains(&row) {
                cells[1] = format!("{:.2}", 20.0 + row as f64);
            }
            cells.join(",") + "\n"
        })
        .collect();
    for log in [rolls.clone(), bare(&rolls)] {
        near(entry(&logged(&log)), 21.0, 0.03);
        let speed = entry(&part(&log, "from: 500 m"));
        assert!((42.0..=60.0).contains(&speed), "{speed}");
    }
}

/// A run over the road of 2 km in some 133 s, then 40 s of rolling to the paddock.
#[test]
fn a_log_that_goes_on_behind_the_known_time_is_asked_about() {
    let run = bare(&log_csv(&road()));
    let last: f64 = run
        .lines()
        .last()
        .unwrap()
        .split(',')
        .next()
        .unwrap()
        .parse()
        .unwrap();
    let after: String = (1..=400)
        .map(|tenth| {
            let t = f64::from(tenth) / 10.0;
            format!("{:.3},{:.2}\n", last + t, (42.0 - 10.0 * t).max(12.0))
        })
        .collect();
    let known = format!("known: {{time: {last:.1} s}}\nlog: run.csv");
    let of = |log: &str| logged(log).edit("track.yaml", "log: run.csv", &known);
    let question = "the log goes on for 40 s and";
    let world = of(&format!("{run}{after}"));
    let said = told(&world);
    assert!(
        said.contains(question) && said.contains("end the road there, as in `log: {file: …, to: "),
        "{said}"
    );
    // As it advises.
    let (_, to) = said.split_once("file: …, ").unwrap();
    let (to, _) = to.split_once('}').unwrap();
    let cut = world.edit(
        "track.yaml",
        "log: run.csv",
        &format!("log: {{file: run.csv, {to}}}"),
    );
    assert!(!told(&cut).contains("the log goes on"), "{}", told(&cut));
    near(length(&cut), length(&logged(&run)), 0.002);
    assert!(!told(&of(&run)).contains("the log goes on"));
}
