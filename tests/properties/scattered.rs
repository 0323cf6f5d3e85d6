//! Recordings whose errors are new at each fix, as of receivers that smooth nothing.

use pullrank::venue::log::{Request, read as read_log};
use pullrank::venue::path::survey::survey;

use super::logs::{course, run};
use super::recorder::Receiver;
use super::recordings::{ROADS, World, climb, error, read, request, road, surveyed};

/// Errors of so many metres, forgotten at once.
fn receiver(sigma: f64) -> Receiver {
    Receiver {
        sigma,
        sigma_height: 1.0,
        memory: 1e-3,
    }
}

/// What is told of recordings that scatter is from here.
#[test]
fn a_fix_a_second_with_new_errors_gives_the_time_roughly() {
    let world = World::new();
    for (sigma, quick, slow) in [
        (0.7, 4.0, 4.0),
        (1.2, 4.0, 4.0),
        (2.0, 3.0, 11.0),
        (3.0, 12.0, 28.5),
    ] {
        for name in ROADS {
            let course = road(name);
            let lap = world.drive(&course);
            let moments = lap.moments(1.0, 1.0);
            let fixes = |seed| receiver(sigma).fixes(&moments, seed);
            let off = (0..20).map(|seed| error(&world, &course, &fixes(seed), lap.time));
            let mut off: Vec<f64> = off.collect();
            off.sort_by(f64::total_cmp);
            let told = format!(
                "{name} off by {sigma} m: {:+.1} to {:+.1} %",
                off[0], off[19]
            );
            println!("{told}");
            assert!(off[0] > -quick && off[19] < slow, "{told}");
        }
    }
}

/// Where positions jitter the speeds tell how a corner begins and ends.
#[test]
fn positions_of_a_log_that_jitter_leave_its_time() {
    let world = World::new();
    for name in ["examples/roads/ambrel-ring.yaml", "tracks/vennick.yaml"] {
        let road = read(name);
        let lap = world.drive(&road);
        let moments = lap.moments(10.0, 1.0);
        for sigma in [0.05, 0.1, 0.2, 0.4] {
            for seed in 0..4 {
                let mut log = run(&moments, seed);
                log.fixes = Some(receiver(sigma).fixes(&moments, seed));
                log.lateral = None;
                let request = Request {
                    closed: true,
                    ..Request::default()
                };
                let logged = read_log(&log, &request).unwrap();
                let off = 100.0 * (world.drive(&course(&road, &logged)).time / lap.time - 1.0);
                let grip = logged.shown.grip.unwrap_or(0.0) / (1.08 * 0.97 * 0.97);
                let told = format!("{name}, {sigma} m: {off:+.2} %, grip {grip:.2}");
                println!("{told}");
                assert!(off.abs() < 1.0, "{told}");
            }
        }
    }
}

/// Heights of 1 m and 3 m that err anew at each fix: the hills stay.
#[test]
fn heights_that_err_anew_keep_the_climb() {
    let world = World::new();
    let course = road("examples/roads/quessmoor.yaml");
    let lap = world.drive(&course);
    for (rate, sigma_height, lost) in [
        (1.0, 1.0, -7.0),
        (1.0, 3.0, -13.0),
        (10.0, 1.0, -7.0),
        (10.0, 3.0, -13.0),
    ] {
        let receiver = Receiver {
            sigma: 0.3,
            sigma_height,
            memory: 1e-3,
        };
        let moments = lap.moments(rate, 1.0);
        let mut extra: Vec<f64> = (0..20)
            .map(|seed| {
                let survey = survey(&receiver.fixes(&moments, seed), &request(&course)).unwrap();
                100.0 * (climb(&surveyed(&course, &survey)) / climb(&course) - 1.0)
            })
            .collect();
        extra.sort_by(f64::total_cmp);
        let told = format!(
            "climb at {rate} Hz, errors of {sigma_height} m: {:+.1} to {:+.1} %",
            extra[0], extra[19]
        );
        println!("{told}");
        assert!(extra[0] > lost && extra[19] < 3.0, "{told}");
    }
}

/// One lap a fix a second may be too short to tell how far its points scatter; all laps do.
#[test]
fn all_laps_tell_how_far_the_points_of_one_scatter() {
    let world = World::new();
    let course = road("tracks/vennick.yaml");
    let moments = world.drive(&course).moments(1.0, 4.0);
    for seed in 0..5 {
        let survey = survey(&receiver(0.8).fixes(&moments, seed), &request(&course)).unwrap();
        let found = survey.road.scatter;
        assert!((0.5..1.1).contains(&found), "{seed}: {found}");
    }
}
