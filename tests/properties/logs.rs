//! Laps driven by a simulated car, logged, and read back as venues. The roads are invented; the
//! truth is the road itself.

use pullrank::units::{RPM_PER_RAD_PER_S, STANDARD_GRAVITY};
use pullrank::venue::log::{Logged, Request, Run, gears, read as read_log};
use pullrank::venue::path::geodesy::LatLon;
use pullrank::venue::path::survey::{self, survey};
use pullrank::venue::path::{Fix, Place};
use pullrank::venue::{Course, Start};

use super::recorder::{Moment, Normal, Receiver, to_degrees};
use super::recordings::{World, read, surveyed};

/// What a logger keeps of a lap, with the errors of a good one.
pub(super) fn run(moments: &[Moment], seed: u64) -> Run {
    let mut noise = Normal::new(seed);
    let mut with = |value: fn(&Moment) -> f64, sigma: f64| -> Vec<f64> {
        moments
            .iter()
            .map(|m| value(m) + sigma * noise.next())
            .collect()
    };
    Run {
        time: moments.iter().map(|m| m.time).collect(),
        speed: with(|m| m.speed, 0.1)
            .into_iter()
            .map(|v| v.max(0.0))
            .collect(),
        rpm: Some(with(|m| m.rpm, 15.0)),
        lateral: Some(with(|m| m.lateral, 0.02 * STANDARD_GRAVITY)),
        ..Run::default()
    }
}

pub(super) fn course(like: &Course, logged: &Logged) -> Course {
    let layout = logged.layout.clone();
    Course {
        sections: layout.sections,
        places: layout.places,
        ..like.clone()
    }
}

fn off(world: &World, road: &Course, run: &Run, truth: f64) -> f64 {
    let request = Request {
        closed: road.is_closed(),
        ..Request::default()
    };
    let logged = read_log(run, &request).unwrap();
    100.0 * (world.drive(&course(road, &logged)).time / truth - 1.0)
}

/// The fewer things a logger kept, the less is known of the road; the time holds all the same.
#[test]
fn a_logged_lap_gives_its_time_whatever_was_logged() {
    let world = World::new();
    for (name, allowed) in [
        ("examples/roads/ambrel-ring.yaml", 1.0),
        ("tracks/vennick.yaml", 1.5),
    ] {
        let road = read(name);
        let lap = world.drive(&road);
        let moments = lap.moments(20.0, 1.0);
        for seed in 0..3 {
            let receiver = Receiver {
                sigma: 0.8,
                sigma_height: 1.0,
                memory: 10.0,
            };
            let mut everything = run(&moments, seed);
            everything.fixes = Some(receiver.fixes(&moments, seed));
            let lateral = run(&moments, seed);
            let speed = Run {
                lateral: None,
                ..lateral.clone()
            };
            for (what, log) in [
                ("positions", everything),
                ("lateral g", lateral),
                ("speed", speed),
            ] {
                let off = off(&world, &road, &log, lap.time);
                println!("{name} by {what}: {off:+.2} %");
                assert!(off.abs() < allowed, "{name} by {what}: {off:+.2} %");
            }
        }
    }
}

/// Where the line is says nothing of how fast a lap is: it may lie at the exit of a corner, or within one.
#[test]
fn a_logged_lap_takes_as_long_wherever_its_line_is() {
    let world = World::new();
    let road = read("examples/roads/ambrel-ring.yaml");
    let lap = world.drive(&road);
    let moments = lap.moments(20.0, 1.0);
    // Driven slower than the car grips: a corner whose speed is lost is quicker.
    const SLOWER: f64 = 0.93;
    let mut whole = run(&moments, 1);
    whole.time.iter_mut().for_each(|t| *t /= SLOWER);
    whole.speed.iter_mut().for_each(|v| *v *= SLOWER);
    let lateral = whole.lateral.as_mut().unwrap();
    lateral.iter_mut().for_each(|a| *a *= SLOWER * SLOWER);
    let slowest = |a: &usize, b: &usize| whole.speed[*a].total_cmp(&whole.speed[*b]);
    let apex = (0..moments.len()).min_by(slowest).unwrap();
    // About the apex of the slowest corner the exit is less than a second behind.
    let rows = [apex, apex + 4, apex + 8, apex + 12, apex + 16, apex + 24];
    for by_speed in [false, true] {
        let time = |row: usize| {
            let mut log = whole.clone();
            let rest = log.time[row..].iter().map(|t| t - log.time[row]);
            let begun = log.time[..row]
                .iter()
                .map(|t| t + lap.time / SLOWER - log.time[row]);
            log.time = rest.chain(begun).collect();
            log.speed.rotate_left(row);
            log.rpm.as_mut().unwrap().rotate_left(row);
            log.lateral.as_mut().unwrap().rotate_left(row);
            if by_speed {
                log.lateral = None;
            }
            100.0 + off(&world, &road, &log, lap.time)
        };
        let usual = time(0);
        for row in rows {
            let here = time(row % moments.len());
            println!("by speed {by_speed}, line at {row}: {here:.2} %, {usual:.2} %");
            assert!(
                (here - usual).abs() < 0.3,
                "by speed {by_speed}, line at {row}: {here:.2} %, {usual:.2} %"
            );
        }
    }
}

#[test]
fn a_standing_start_and_a_wait_before_it_are_told_from_the_road() {
    let world = World::new();
    let hill = read("tracks/quillgarth-hill.yaml");
    let lap = world.drive(&hill);
    let mut log = run(&lap.moments(20.0, 1.0), 1);
    // Half a minute on the line before the start.
    let waiting = 600;
    log.time.iter_mut().for_each(|t| *t += 30.0);
    log.time.splice(0..0, (0..waiting).map(|i| i as f64 / 20.0));
    log.speed.splice(0..0, std::iter::repeat_n(0.0, waiting));
    for column in [&mut log.rpm, &mut log.lateral].into_iter().flatten() {
        column.splice(0..0, std::iter::repeat_n(0.0, waiting));
    }
    let logged = read_log(&log, &Request::default()).unwrap();
    assert!(logged.standing);
    assert!(
        (logged.time - lap.time).abs() < 0.5,
        "{} {}",
        logged.time,
        lap.time
    );
    let level = Course {
        start: Start::Standing,
        ..course(&hill, &logged)
    };
    assert!((level.known_length() - hill.known_length()).abs() < 10.0);
}

#[test]
fn a_log_shows_grip_and_gears() {
    let world = World::new();
    let road = read("examples/roads/ambrel-ring.yaml");
    let moments = world.drive(&road).moments(20.0, 2.0);
    let log = run(&moments, 7);
    let logged = read_log(
        &log,
        &Request {
            closed: true,
            ..Request::default()
        },
    )
    .unwrap();
    // Driven at 0.97 of the limit speed on a grip of 1.08 · 0.972.
    let driven = 1.08 * 0.972 * 0.97 * 0.97;
    let grip = logged.shown.grip.unwrap();
    println!("grip {grip:.3}, driven {driven:.3}");
    assert!((grip / driven - 1.0).abs() < 0.05, "{grip} {driven}");
    assert!(logged.shown.corner_share.unwrap() > 0.95);

    let seen = gears::seen(log.rpm.as_ref().unwrap(), &log.speed);
    let radius = world
        .car()
        .trims
        .iter()
        .find(|t| t.name == "circuit")
        .unwrap()
        .rolling_radius;
    let of = |ratio: &f64| ratio * world.car().final_drive.ratio / radius * RPM_PER_RAD_PER_S;
    let file: Vec<f64> = world.car().gearbox.ratios.iter().map(of).collect();
    let right = gears::compare(&seen, &file).unwrap();
    println!("{right:?}");
    assert!((right.scale - 1.0).abs() < 0.005 && right.odd.is_empty());
    // A tyre 4 % too large in the file.
    let tyre: Vec<f64> = file.iter().map(|r| r / 1.04).collect();
    let wrong = gears::compare(&seen, &tyre).unwrap();
    assert!(
        (wrong.scale - 1.04).abs() < 0.005 && wrong.odd.is_empty(),
        "{wrong:?}"
    );
    // Third gear typed 5 % too short.
    let mut typed = file.clone();
    typed[2] *= 1.05;
    let wrong = gears::compare(&seen, &typed).unwrap();
    assert!(
        (wrong.scale - 1.0).abs() < 0.005 && wrong.odd == [3],
        "{wrong:?}"
    );
}

/// Positions in degrees say what positions in metres say.
#[test]
fn degrees_and_metres_give_the_same_road() {
    let world = World::new();
    let road = read("tracks/vennick.yaml");
    let lap = world.drive(&road);
    let receiver = Receiver {
        sigma: 0.5,
        sigma_height: 1.0,
        memory: 10.0,
    };
    let metres = receiver.fixes(&lap.moments(10.0, 1.0), 1);
    let request = survey::Request {
        closed: true,
        ..Default::default()
    };
    let time = |fixes: &[Fix]| {
        world
            .drive(&surveyed(&road, &survey(fixes, &request).unwrap()))
            .time
    };
    let plain = time(&metres);
    // Also over the antimeridian and far to the north.
    for origin in [(48.0, -31.0), (-17.0, 179.998), (70.0, 25.0)] {
        let places = to_degrees(
            &metres,
            LatLon {
                lat: origin.0,
                lon: origin.1,
            },
        );
        let fixes: Vec<Fix> = metres
            .iter()
            .zip(places)
            .map(|(fix, LatLon { lat, lon })| {
                let lon = if lon > 180.0 { lon - 360.0 } else { lon };
                Fix {
                    place: Place::LatLon(LatLon { lat, lon }),
                    ..*fix
                }
            })
            .collect();
        let degrees = time(&fixes);
        assert!(
            (degrees / plain - 1.0).abs() < 1e-4,
            "{origin:?}: {degrees} {plain}"
        );
    }
}
