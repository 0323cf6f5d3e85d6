//! What does not depend on the unit does not change by a bit: powers of two leave every digit alone.

use proptest::prelude::*;
use pullrank::car::Rotating;
use pullrank::dyno::Curve;
use pullrank::lap::LapError;
use pullrank::venue::{Bend, Course, Extent, Start};

use crate::support::random::{Entry, course, entry, settled};
use crate::support::runs::{DENSITY, Driver};

fn stronger(curve: &Curve, factor: f64) -> Curve {
    let (rpm, torque) = curve.points().map(|(n, t)| (n, factor * t)).unzip();
    Curve::new(rpm, torque).expect("the same points")
}

fn heavier(rotating: &Rotating, factor: f64) -> Rotating {
    match rotating {
        Rotating::Inertias {
            engine,
            wheels,
            gearbox,
            shaft,
        } => Rotating::Inertias {
            engine: factor * engine,
            wheels: factor * wheels,
            gearbox: gearbox.iter().map(|i| factor * i).collect(),
            shaft: factor * shaft,
        },
        same => same.clone(),
    }
}

fn time(entry: &Entry, course: &Course, density: f64, spacing: f64) -> Result<f64, LapError> {
    let driver = Driver {
        car: &entry.car,
        curve: &entry.curve,
        habits: entry.habits,
        density,
    };
    Ok(driver.try_drive(course, spacing)?.time())
}

/// Mass, torque, air density and inertia twice as large: every acceleration is the same.
fn doubled(entry: &Entry) -> Entry {
    let mut twice = entry.clone();
    twice.car.trims[0].mass *= 2.0;
    twice.car.rotating = heavier(&entry.car.rotating, 2.0);
    twice.curve = stronger(&entry.curve, 2.0);
    twice
}

/// Every length four times, every speed twice as large at the same accelerations and engine speeds:
/// the wheels twice the size, the air a quarter as dense.
fn enlarged(entry: &Entry, course: &Course) -> (Entry, Course) {
    let mut large = entry.clone();
    large.car.trims[0].rolling_radius *= 2.0;
    large.car.rotating = heavier(&entry.car.rotating, 4.0);
    large.curve = stronger(&entry.curve, 2.0);
    large.car.rolling.f1 /= 2.0;
    large.car.rolling.f2 /= 4.0;
    large
        .car
        .gearbox
        .shift_times
        .iter_mut()
        .for_each(|t| *t *= 2.0);
    let mut road = course.clone();
    if let Start::Rolling(v) = road.start {
        road.start = Start::Rolling(2.0 * v);
    }
    for section in &mut road.sections {
        if let Extent::Length(length) = section.extent {
            section.extent = Extent::Length(4.0 * length);
        }
        section.bend = match section.bend {
            Bend::Straight => Bend::Straight,
            Bend::Radius { curvature } => Bend::Radius {
                curvature: curvature / 4.0,
            },
            Bend::Measured {
                speed,
                direction,
                scales,
            } => Bend::Measured {
                speed: 2.0 * speed,
                direction,
                scales,
            },
        };
        section.cap = section.cap.map(|v| 2.0 * v);
    }
    (large, road)
}

proptest! {
    #![proptest_config(settled(400))]

    #[test]
    fn property_twice_the_mass_and_force_is_the_same_lap(entry in entry(), course in course(0.1, 0.5)) {
        let one = time(&entry, &course, DENSITY, 1.0);
        let two = time(&doubled(&entry), &course, 2.0 * DENSITY, 1.0);
        prop_assert_eq!(one, two);
    }

    #[test]
    fn property_twice_the_speed_takes_twice_as_long(entry in entry(), course in course(0.1, 0.5)) {
        let mut entry = entry;
        entry.car.rolling.f1 = 1e-4;
        entry.car.rolling.f2 = 3e-6;
        let (large, road) = enlarged(&entry, &course);
        let one = time(&entry, &course, DENSITY, 1.0);
        let two = time(&large, &road, DENSITY / 4.0, 4.0);
        if let (Ok(one), Ok(two)) = (&one, &two) {
            prop_assert_eq!(2.0 * one, *two);
        } else {
            prop_assert_eq!(one.is_ok(), two.is_ok());
        }
    }
}
