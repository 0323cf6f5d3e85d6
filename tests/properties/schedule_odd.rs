//! Odd cars and roads: a sensible time or a clear error, and soon.

use pullrank::car::{Car, FirstGear, Habits};
use pullrank::dyno::Curve;
use pullrank::lap::{Cells, LapError, Limits};
use pullrank::schedule::{Choice, FollowSchedule, Found, search};
use pullrank::venue::{Course, Finish, Section, Start};

use crate::support::cars::{WHOLE, gearbox, point_mass};
use crate::support::roads::{bend, ring, road, straight};
use crate::support::runs::Driver;

/// Labels that a sweep of a lap may advance through a cell, on the average.
const MANY: usize = 200;
/// Labels that a whole search of a car that hunts for gears may advance through a cell: half of what they
/// are where all that hardly differ are kept.
const HUNTING: usize = 1_500_000;
/// Sweeps that a closed lap may ask for in each gear.
const SWEEPS: usize = 4;

/// Ratios from 3 to 1.
fn hatch(gears: usize, shift_time: f64) -> Car {
    let mut car = point_mass(900.0, 0.9);
    let ratios: Vec<f64> = (0..gears)
        .map(|k| 3.0 * 3f64.powf(-(k as f64) / (gears.max(2) - 1) as f64))
        .collect();
    car.gearbox = gearbox(&ratios, shift_time);
    car.final_drive.ratio = 4.0;
    car.rev_limit_rpm = 7000.0;
    car.default_launch_rpm = 4000.0;
    car.drag_area = 0.6;
    car.rolling.f0 = Some(0.015);
    car
}

fn lane() -> Course {
    let sections = vec![
        straight(150.0),
        bend(20.0, 12.0),
        straight(250.0),
        bend(40.0, 60.0),
        straight(100.0),
    ];
    road(Start::Standing, Finish::Flying, sections)
}

/// At best, with a bounded number of labels; as driven never faster.
fn quick(car: &Car, habits: Habits, course: &Course) -> Result<Found, LapError> {
    let engine = Curve::new(vec![1000.0, 4500.0, 7000.0], vec![110.0, 150.0, 120.0]).unwrap();
    let driver = Driver {
        habits,
        ..Driver::of(car, &engine)
    };
    let variant = driver.variant();
    let machine = variant.compile(course)?;
    let cells = Cells::new(course, variant.nominal(course)?, 1.0)?;
    let limits = Limits::new(&machine, &cells)?;
    let best = search(&machine, &cells, &limits, Choice::AtBest)?;
    let sweeps = match cells.closed {
        true => SWEEPS * machine.gears.len(),
        false => 1,
    };
    let labels = best.work / cells.len() / sweeps;
    assert!(labels < MANY, "{labels} labels a cell");
    let driven = search(&machine, &cells, &limits, Choice::AsDriven)?;
    assert!(best.lap.time <= driven.lap.time + 1e-9);
    assert!(best.lap.time.is_finite() && best.lap.time > 0.0);
    let _ = FollowSchedule::new(&best.schedule, cells.len());
    Ok(best)
}

#[test]
fn reject_launch_above_the_limit() {
    let mut car = hatch(4, 0.3);
    car.default_launch_rpm = 7500.0;
    let error = quick(&car, WHOLE, &lane()).unwrap_err();
    assert!(matches!(error, LapError::Launch { .. }), "{error}");
}

#[test]
fn property_a_road_too_tight_for_second_is_driven_in_first() {
    let corners = vec![bend(300.0, 1.5)];
    let tight = road(Start::Standing, Finish::Flying, corners);
    let found = quick(&hatch(4, 0.3), WHOLE, &tight).unwrap();
    assert!(found.schedule.changes.is_empty(), "{:?}", found.schedule);
}

#[test]
fn property_one_gear_and_ten() {
    let one = quick(&hatch(1, 0.3), WHOLE, &lane()).unwrap();
    let up = one.schedule.changes.iter().filter(|c| c.gear > 0).count();
    assert_eq!(up, 0);
    let ten = quick(&hatch(10, 0.05), WHOLE, &lane()).unwrap();
    assert!(ten.lap.time < one.lap.time);
    let eleven = quick(&hatch(11, 0.05), WHOLE, &lane()).unwrap_err();
    assert_eq!(eleven, LapError::TooManyGears(11));
}

/// With longer changes a lap is never faster, and each change costs at most its own length.
#[test]
fn property_changes_of_no_time_and_of_three_seconds() {
    let times: Vec<f64> = [0.0, 0.1, 0.3, 1.0, 3.0]
        .iter()
        .map(|&t| quick(&hatch(5, t), WHOLE, &lane()).unwrap().lap.time)
        .collect();
    for pair in times.windows(2) {
        assert!(pair[1] >= pair[0] - 1e-4, "{times:?}");
    }
}

#[test]
fn property_grip_too_low_for_second() {
    let mut car = hatch(4, 0.3);
    car.gearbox.first_gear = FirstGear::StartOnly;
    for (grip, road) in [(0.05, 0.0), (0.03, 0.02), (0.02, 0.0)] {
        car.trims[0].grip.insert("tarmac".into(), grip);
        let mut course = lane();
        course.sections.iter_mut().for_each(|s| s.slope = road);
        match quick(&car, WHOLE, &course) {
            Ok(_) | Err(LapError::Stalled { .. } | LapError::NoBrakes { .. }) => {}
            Err(error) => panic!("{error}"),
        }
    }
}

#[test]
fn property_five_hundred_dips_of_braking() {
    let dips: Vec<Section> = (0..500)
        .flat_map(|i| {
            let cap = 20.0 - 0.4 * f64::from(i % 3);
            let dip = Section {
                cap: Some(cap),
                ..straight(0.5)
            };
            [straight(4.0 + f64::from(i % 5)), dip]
        })
        .collect();
    let course = road(Start::Standing, Finish::Flying, dips);
    quick(&hatch(5, 0.3), WHOLE, &course).unwrap();
}

/// A heavy car on a ring of steep hills changes up and down all the way round. With shifts of seconds one
/// could be under way from every metre of a hill: those that are kept are bounded.
#[test]
fn a_weak_car_that_hunts_between_its_gears() {
    for (shift_time, hills, steep, changes) in
        [(0.3, 18, 0.3, 6), (1.5, 12, 0.12, 2), (3.0, 6, 0.15, 1)]
    {
        let mut car = hatch(6, shift_time);
        car.trims[0].mass = 3000.0;
        let hill = |i: u32| Section {
            slope: match i % 6 {
                1 | 3 => steep,
                5 => -steep,
                _ => 0.01,
            },
            ..straight(60.0 + 10.0 * f64::from(i % 5))
        };
        let mut sections: Vec<Section> = (0..hills).map(hill).collect();
        sections.push(bend(15.0, 12.0));
        let course = ring(sections);
        let found = quick(&car, WHOLE, &course).unwrap();
        assert!(found.work < HUNTING, "{} labels", found.work);
        let light = quick(&hatch(6, shift_time), WHOLE, &course).unwrap();
        assert!(found.lap.time > light.lap.time, "{}", found.lap.time);
        let schedule = found.schedule;
        assert!(schedule.changes.len() >= changes, "{schedule:?}");
    }
}
