//! Where changing gear takes no time, more never hurts.

use proptest::prelude::*;
use pullrank::car::FirstGear;
use pullrank::dyno::Curve;
use pullrank::lap::{Cells, LapError, Limits};
use pullrank::schedule::{Choice, search};
use pullrank::venue::{Course, EventKind, Start};

use crate::support::cars::{gearbox, point_mass};
use crate::support::random::{Entry, course, entry, settled};
use crate::support::roads::{rolling, straight};
use crate::support::runs::{DENSITY, Driver};

/// Time of the fastest schedule; measured corners stay what `nominal` says they were driven with.
fn best(entry: &Entry, nominal: &Entry, course: &Course) -> Result<f64, LapError> {
    let driver = |e| Driver {
        habits: nominal.habits,
        density: DENSITY,
        ..Driver::of(e, &entry.curve)
    };
    let machine = driver(&entry.car).variant().compile(course)?;
    let nominal = driver(&nominal.car).variant().nominal(course)?;
    let cells = Cells::new(course, nominal, 1.0)?;
    let limits = Limits::new(&machine, &cells)?;
    Ok(search(&machine, &cells, &limits, Choice::AtBest)?.lap.time)
}

/// The entry's torque at its limit as the top of a parabola, times a factor: gears then have one
/// crossing, which the candidates of the search contain.
fn with_torque(entry: &Entry, factor: impl Fn(f64) -> f64) -> Entry {
    let limit = entry.car.rev_limit_rpm;
    let top = entry.curve.torque(limit);
    let rpm: Vec<f64> = (1..500).map(|i| 25.0 * f64::from(i)).collect();
    let torque = rpm.iter().map(|&n| {
        let away = (n - 0.65 * limit) / limit;
        top * (1.0 - away * away) * factor(n)
    });
    Entry {
        curve: Curve::new(rpm.clone(), torque.collect()).expect("rising speeds"),
        ..entry.clone()
    }
}

/// What the time is stated to be good for at 1 m, s.
const STATED: f64 = 1e-3;

/// A lap is not slower but by what the cells leave open.
fn not_slower(more: Result<f64, LapError>, less: Result<f64, LapError>) -> Result<(), String> {
    match (more, less) {
        (Ok(more), Ok(less)) if more > less + STATED => {
            Err(format!("{more} {less} {}", more - less))
        }
        (Err(more), Ok(less)) => Err(format!("{more}, but {less}")),
        _ => Ok(()),
    }
}

/// A hole in the torque above 4,000 rpm: for a while the next gear pulls more, and then no more.
#[test]
fn property_no_light_beats_the_best_choice_over_a_hole_in_the_torque() {
    let mut car = point_mass(900.0, 1.5);
    car.gearbox = gearbox(&[3.0, 2.0, 1.4], 0.0);
    car.final_drive.ratio = 4.0;
    car.rev_limit_rpm = 7000.0;
    let rpm = vec![1000.0, 4000.0, 4500.0, 7000.0];
    let engine = Curve::new(rpm, vec![150.0, 150.0, 80.0, 80.0]).expect("rising speeds");
    let road = rolling(10.0, vec![straight(250.0)]);
    let time = |light: Option<f64>, choice| {
        let mut driver = Driver::of(&car, &engine);
        driver.habits.shift_light_rpm = light;
        let variant = driver.variant();
        let machine = variant.compile(&road).expect("a machine");
        let cells = Cells::new(&road, variant.nominal(&road).expect("grip"), 1.0).expect("a road");
        let limits = Limits::new(&machine, &cells).expect("brakes");
        let found = search(&machine, &cells, &limits, choice);
        found.expect("a lap").lap.time
    };
    let best = time(None, Choice::AtBest);
    let lights = (0..16).map(|i| 3000.0 + 250.0 * f64::from(i));
    let lights: Vec<f64> = lights
        .map(|rpm| time(Some(rpm), Choice::AsDriven) - best)
        .collect();
    assert!(lights.iter().all(|more| *more > -2e-4), "{lights:?}");
    // The hole is worth jumping over, by much.
    assert!(lights[15] > 0.05, "{lights:?}");
}

/// Changes without loss of time, first gear at any time, a launch without the engine's best revs (it
/// ends with the first braking), and a run from rest: a flying lap without braking has no schedule. No lowest
/// revs: whether to change down from them is asked once a metre, which a car that crawls on a climb its tyres do
/// not hold feels for the rest of it (0.2 s of 92 s).
fn tame(mut entry: Entry, course: Course) -> (Entry, Course) {
    entry.car.gearbox.shift_times.fill(0.0);
    entry.car.gearbox.first_gear = FirstGear::AnyTime;
    entry.car.default_launch_rpm = 1000.0;
    entry.habits.lowest_rpm = 0.0;
    let run = Course {
        start: Start::Standing,
        kind: EventKind::Stage,
        ..course
    };
    (entry, run)
}

proptest! {
    #![proptest_config(settled(300))]

    #[test]
    fn property_more_torque_is_never_slower(
        entry in entry(),
        course in course(0.08, 0.5),
        more in 1.0..1.1,
    ) {
        let (entry, course) = tame(entry, course);
        let strong = with_torque(&entry, |_| more);
        let entry = with_torque(&entry, |_| 1.0);
        let order = not_slower(best(&strong, &entry, &course), best(&entry, &entry, &course));
        prop_assert_eq!(order, Ok(()));
    }

    #[test]
    fn property_more_torque_above_some_speed_is_never_slower(
        entry in entry(),
        course in course(0.08, 0.5),
        from in 1000.0..8000.0,
    ) {
        let (entry, course) = tame(entry, course);
        let strong = with_torque(&entry, |n: f64| {
            1.0 + 0.05 * f64::clamp((n - from) / 1000.0, 0.0, 1.0)
        });
        let entry = with_torque(&entry, |_| 1.0);
        let order = not_slower(best(&strong, &entry, &course), best(&entry, &entry, &course));
        prop_assert_eq!(order, Ok(()));
    }

    #[test]
    fn property_more_grip_is_never_slower(
        entry in entry(),
        course in course(0.08, 0.5),
        more in 1.0..1.1,
    ) {
        let (entry, course) = tame(with_torque(&entry, |_| 1.0), course);
        let mut sure = entry.clone();
        sure.car.trims[0].grip.values_mut().for_each(|mu| *mu *= more);
        let order = not_slower(best(&sure, &entry, &course), best(&entry, &entry, &course));
        prop_assert_eq!(order, Ok(()));
    }
}

proptest! {
    #![proptest_config(settled(250))]

    #[test]
    fn property_the_best_schedule_is_never_slower_than_the_rule(
        entry in entry(),
        course in course(0.08, 0.5),
    ) {
        let driver = Driver { habits: entry.habits, ..Driver::of(&entry.car, &entry.curve) };
        if let Ok(run) = driver.try_drive(&course, 2.0) {
            let found = search(&run.machine, &run.cells, &run.limits, Choice::AtBest);
            match found {
                Ok(found) => prop_assert!(found.lap.time <= run.time() + STATED, "{} {}", found.lap.time, run.time()),
                Err(error) => prop_assert!(false, "{error}"),
            }
        }
    }
}
