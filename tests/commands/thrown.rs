//! Recordings as receivers leave them: fixes thrown aside, a walk in before a stand, several runs in one file,
//! heights that are none.

use super::doubts::listed;
use super::drawn::{At, anew, bare, gpx, log_csv, road};

use super::loggers::{logged, told};
use super::roads::{along, length, near, shown};
use super::world::World;

/// A recording, a fix a second at 15 m/s.
fn recorded(points: &[At]) -> World {
    along("road.gpx", &gpx(points))
}

/// Every third point of the road, a second apart at 15 m/s, from so many seconds on.
fn run(from: f64) -> Vec<At> {
    let late = |at: &At| At {
        s: at.s + 15.0 * from,
        ..*at
    };
    road().iter().step_by(3).map(late).collect()
}

/// A stand of so many seconds where a point is, within 0.3 m.
fn stand(at: At, from: f64, seconds: usize) -> impl Iterator<Item = At> {
    (0..seconds).map(move |i| At {
        s: 15.0 * (from + i as f64),
        x: at.x + 0.3 * (i % 2) as f64,
        ..at
    })
}

fn corners(world: &World) -> usize {
    shown(world)["corners"].as_array().unwrap().len()
}

#[test]
fn lone_fixes_thrown_aside_make_no_hairpin() {
    let sound = recorded(&run(0.0));
    for metres in [25.0, 70.0] {
        let mut points = run(0.0);
        points[40].x += metres;
        let thrown = recorded(&points);
        near(length(&thrown), length(&sound), 0.005);
        assert_eq!(corners(&thrown), corners(&sound));
        let said = told(&thrown);
        assert!(said.contains("road.gpx:44:"), "{said}");
        assert!(said.contains("off the line of its neighbours"), "{said}");
        points[80].y -= metres;
        let said = told(&recorded(&points));
        assert!(said.contains("this point and 1 more lie up to"), "{said}");
    }
    assert_eq!(told(&sound), "");
}

#[test]
fn fixes_thrown_aside_together_are_asked_about() {
    let mut points = run(0.0);
    points[40..42].iter_mut().for_each(|at| at.x += 25.0);
    let said = told(&recorded(&points));
    assert!(said.contains("road.gpx:4"), "{said}");
    assert!(
        said.contains(" g, as no car does: points about it may be off the road"),
        "{said}"
    );
}

/// The first fixes walk in from 140 m off, the car stands, drives, stands, and is driven off.
fn cold() -> Vec<At> {
    let points = run(34.0);
    let (first, last) = (points[0], points[points.len() - 1]);
    let off = |i: i32| At {
        s: 15.0 * f64::from(i),
        x: first.x - 20.0 * f64::from(4 - i),
        y: first.y + 28.0 * f64::from(4 - i),
        ..first
    };
    let end = last.s / 15.0 + 1.0;
    let away = |i: i32| At {
        s: 15.0 * (end + 30.0 + f64::from(i)),
        x: last.x + 10.0 * f64::from(i + 1),
        ..last
    };
    let mut all: Vec<At> = (0..4).map(off).collect();
    all.extend(stand(first, 4.0, 30));
    all.extend(points);
    all.extend(stand(last, end, 30));
    all.extend((0..5).map(away));
    all
}

#[test]
fn what_lies_beyond_the_stands_at_its_ends_is_no_road() {
    let sound = recorded(&run(0.0));
    let world = recorded(&cold());
    near(length(&world), length(&sound), 0.005);
    let said = told(&world);
    assert!(
        said.contains("before the stand at its start the recording has 4 more points, "),
        "{said}"
    );
    assert!(said.contains("write `from: 0 m`"), "{said}");
    assert!(
        said.contains("behind the stand at its end the recording has 5 more points, 50 m in "),
        "{said}"
    );
    assert!(!said.contains("on its way"), "{said}");
    let whole = recorded(&cold()).edit(
        "track.yaml",
        "path: road.gpx",
        "path: {file: road.gpx, from: 0 m}",
    );
    assert!((length(&whole) - length(&world) - 138.0).abs() < 20.0);
    // Driven the other way the walk in lies behind its end.
    let turned = recorded(&cold()).edit(
        "track.yaml",
        "path: road.gpx",
        "path: {file: road.gpx, reverse: true}",
    );
    near(length(&turned), length(&sound), 0.005);
    let said = told(&turned);
    assert!(
        said.contains("behind the stand at its end the recording has 4 more points, "),
        "{said}"
    );
}

#[test]
fn a_stage_that_is_recorded_twice_is_asked_about() {
    let first = run(0.0);
    let (start, end) = (first[0], first[first.len() - 1]);
    // Back to the start by a road of its own, 400 m to one side.
    let side = |at: At| At {
        y: at.y - 400.0,
        ..at
    };
    let (a, b) = (side(end), side(start));
    let mut places = first.clone();
    for (from, to) in [(end, a), (a, b), (b, start)] {
        let far = (to.x - from.x).hypot(to.y - from.y);
        let steps = (far / 15.0).ceil();
        places.extend((1..steps as usize).map(|i| {
            let share = i as f64 / steps;
            At {
                x: from.x + share * (to.x - from.x),
                y: from.y + share * (to.y - from.y),
                ..start
            }
        }));
    }
    places.extend(&first);
    for (second, at) in places.iter_mut().enumerate() {
        at.s = 15.0 * second as f64;
    }
    let said = told(&recorded(&places));
    assert!(
        said.contains(" km the path goes over its road from 0.00 to "),
        "{said}"
    );
    let (_, rest) = said.split_once("write `path: {file: …, to: ").unwrap();
    let kilometres = rest.split(' ').next().unwrap();
    let said = format!("path: {{file: road.gpx, to: {kilometres} km}}");
    let once = recorded(&places).edit("track.yaml", "path: road.gpx", &said);
    near(length(&once), length(&recorded(&first)), 0.03);
    assert!(!told(&once).contains("again"));
    assert!(!told(&recorded(&first)).contains("again"));
}

#[test]
fn heights_that_are_all_alike_are_none() {
    let flat: Vec<At> = run(0.0).iter().map(|at| At { z: 0.0, ..*at }).collect();
    let said = told(&recorded(&flat));
    assert!(
        said.contains("a level road: the heights are all 0 m, as where nobody knows them"),
        "{said}"
    );
}

#[test]
fn a_recording_is_no_map() {
    let turn = |i: i32| {
        let along = 40.0 * f64::from(i);
        let (x, y) = (along.min(400.0), (along - 400.0).max(0.0));
        let s = 15.0 * f64::from(i);
        At { s, x, y, z: 200.0 }
    };
    let said = told(&recorded(&(0..20).map(turn).collect::<Vec<_>>()));
    assert!(
        said.contains("the recording is too coarse 0.40 km"),
        "{said}"
    );
    assert!(said.contains("record more points a second"), "{said}");
}

/// Up the road, a stand, down again, a stand, and up.
#[test]
fn a_place_that_is_passed_again_and_again_is_that_of_the_first_run() {
    let up = run(0.0);
    let (first, last) = (up[0], up[up.len() - 1]);
    let seconds = up.len() as f64;
    let mut points = up.clone();
    points.extend(stand(last, seconds, 40));
    let back = up.iter().rev().enumerate().map(|(i, at)| At {
        s: 15.0 * (seconds + 40.0 + i as f64),
        y: at.y + 1.0,
        ..*at
    });
    points.extend(back);
    points.extend(stand(first, 2.0 * seconds + 40.0, 40));
    points.extend(run(2.0 * seconds + 80.0));
    let [from, to] = [up[2], up[up.len() - 3]].map(|at| {
        let (lat, lon) = at.degrees();
        format!("{{lat: {lat:.6}, lon: {lon:.6}}}")
    });
    let wanted = format!("path: {{file: road.gpx, from: {from}, to: {to}}}");
    let world = recorded(&points).edit("track.yaml", "path: road.gpx", &wanted);
    near(length(&world), length(&recorded(&up)) - 60.0, 0.01);
    let said = listed(&world);
    assert!(
        said.contains("the path passes `to` 2 times: the first is taken"),
        "{said}"
    );
    // Nothing is told of where it turns about, beyond `to`.
    assert!(!told(&world).contains("too coarse"), "{}", told(&world));
}

#[test]
fn minus_one_is_no_speed() {
    let log = log_csv(&road());
    let with = |value: &str| {
        anew(&log, |row, line| match (60..64).contains(&row) {
            true => {
                let mut cells: Vec<&str> = line.split(',').collect();
                cells[1] = value;
                cells.join(",")
            }
            false => line.to_owned(),
        })
    };
    let world = logged(&with("-1"));
    let said = told(&world);
    assert!(
        said.contains("is -1 in 4 of 400 rows, here first, as phones write where they know none"),
        "{said}"
    );
    near(length(&world), length(&logged(&log)), 0.001);
    // A phone that waits at the line knows no speed, and neither does the car move.
    let waits = |speed: &str| {
        anew(&log, |row, line| {
            let mut cells: Vec<String> = line.split(',').map(str::to_owned).collect();
            match row {
                1..=40 => cells[1] = speed.to_owned(),
                41..=50 => cells[1] = format!("{:.1}", 4.0 * (row - 40) as f64),
                _ => {}
            }
            cells.join(",")
        })
    };
    let start = |log: &str| {
        let world = logged(&bare(log));
        let mut command = super::pullrank();
        let track = world.path("track.yaml");
        let output = command.args(["venue", "--pieces"]).arg(track).output();
        let pieces = String::from_utf8(output.unwrap().stdout).unwrap();
        assert!(pieces.contains("pieces:"), "{pieces}");
        let mut lines = pieces.lines();
        lines
            .find(|line| line.starts_with("start: "))
            .map(str::to_owned)
    };
    assert_eq!(start(&waits("0")), None);
    assert_eq!(start(&waits("-1")), None);
    let said = logged(&with("-8")).faults();
    assert!(said.contains("write speeds without a sign"), "{said}");
}
