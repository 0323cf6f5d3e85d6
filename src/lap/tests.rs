//! Closed forms of motion along a line, on textbook cars made of a few numbers.

use std::collections::BTreeMap;

use approx::assert_relative_eq;

use super::*;
use crate::car::offer::{Purchases, Terms};
use crate::car::*;
use crate::dyno::Curve;
use crate::units::STANDARD_GRAVITY as G;
use crate::venue::*;

/// A point mass: one gear, no losses, no load transfer, no rotating parts unless set.
pub(crate) fn point_mass(mass: f64, mu: f64) -> Car {
    Car {
        name: "point mass".into(),
        drive: Drive::All,
        gearbox: Gearbox {
            name: None,
            ratios: vec![1.0],
            shift_times: vec![],
            first_gear: FirstGear::AnyTime,
            efficiency: vec![1.0],
            terms: Terms::default(),
        },
        final_drive: FinalDrive {
            ratio: 1.0,
            teeth: None,
            drop_gear: None,
            terms: Terms::default(),
        },
        rev_limit_rpm: 9000.0,
        trims: vec![Trim {
            name: "as is".into(),
            mass,
            rolling_radius: 0.3,
            tyre: String::new(),
            grip: BTreeMap::from([("tarmac".to_string(), mu)]),
        }],
        front_share: 0.5,
        wheelbase: 2.5,
        track_width: 1.4,
        cg_height: 0.0,
        drag_area: 0.0,
        lift_area: 0.0,
        rolling: Rolling {
            f0: Some(0.0),
            f1: 0.0,
            f2: 0.0,
        },
        differential: Differential::Spool,
        roll_share: 0.5,
        rotating: Rotating::None,
        launch_rpm: BTreeMap::new(),
        default_launch_rpm: 1.0,
        engine: None,
        final_drive_options: vec![],
        gearbox_options: vec![],
        purchases: Purchases::default(),
        uncertain: Uncertain {
            mass: 0.0,
            drag_area: 0.0,
            grip: 0.0,
            shift_time: 0.0,
            rolling_radius: 0.0,
            air_density: 0.0,
        },
    }
}

pub(crate) const WHOLE: Habits = Habits {
    corner_share: 1.0,
    brake_share: 1.0,
    lowest_rpm: 0.0,
    shift_light_rpm: None,
};

fn section(length: f64, curvature: f64) -> Section {
    let bend = if curvature == 0.0 {
        Bend::Straight
    } else {
        Bend::Radius { curvature }
    };
    Section {
        extent: Extent::Length(length),
        bend,
        ..Section::default()
    }
}

pub(crate) fn course(start: Start, finish: Finish, sections: Vec<Section>) -> Course {
    let kind = if start == Start::Flying {
        EventKind::Circuit
    } else {
        EventKind::Sprint
    };
    Course {
        start,
        finish,
        sections,
        ..Course::new("textbook", kind)
    }
}

pub(crate) fn time(car: &Car, curve: &Curve, course: &Course, spacing: f64) -> (f64, Tape) {
    let variant = Variant::fitted(car, &car.trims[0], WHOLE, curve, 1.225);
    let machine = variant.compile(course).unwrap();
    let cells = Cells::new(course, variant.nominal(course).unwrap(), spacing).unwrap();
    let limits = Limits::new(&machine, &cells).unwrap();
    let mut tape = Tape::default();
    let lap = lap(&machine, &cells, &limits, &mut PlainRule, &mut tape).unwrap();
    assert_relative_eq!(lap.time, tape.time(), max_relative = 1e-12);
    (lap.time, tape)
}

fn strong() -> Curve {
    Curve::new(vec![1.0, 9000.0], vec![1e6, 1e6]).unwrap()
}

#[test]
fn analytic_circle_lap() {
    let car = point_mass(1000.0, 1.0);
    let ring = course(
        Start::Flying,
        Finish::Flying,
        vec![section(60.0 * std::f64::consts::PI, 1.0 / 30.0)],
    );
    assert_relative_eq!(
        time(&car, &strong(), &ring, 1.0).0,
        10.989556,
        max_relative = 1e-6
    );
}

#[test]
fn analytic_friction_circle_from_rest() {
    let car = point_mass(1000.0, 1.0);
    let quarter = 39.269_908_17;
    let arc = course(
        Start::Standing,
        Finish::Flying,
        vec![section(quarter, 1.0 / 50.0)],
    );
    let exact = 1.311_028_777_146_06 * (50.0 / G).sqrt();
    for n in [50.0, 100.0, 200.0, 400.0, 800.0] {
        let t = time(&car, &strong(), &arc, quarter / n).0;
        println!("{n} {t} {:e}", (t - exact) / exact);
    }
    let t = time(&car, &strong(), &arc, 0.02).0;
    assert_relative_eq!(t, exact, max_relative = 1e-5);
}

#[test]
fn analytic_stadium() {
    let mut car = point_mass(1000.0, 1.0);
    car.default_launch_rpm = 9000.0;
    let half = section(50.0 * std::f64::consts::PI, 1.0 / 50.0);
    let ring = course(
        Start::Flying,
        Finish::Flying,
        vec![section(400.0, 0.0), half.clone(), section(400.0, 0.0), half],
    );
    for (power, exact) in [(80e3, 37.465387), (100e3, 36.549218), (150e3, 34.988114)] {
        let rpm: Vec<f64> = (10..=900).map(|i| i as f64 * 10.0).collect();
        let torque = rpm
            .iter()
            .map(|n| power / (n / crate::units::RPM_PER_RAD_PER_S))
            .collect();
        let curve = Curve::new(rpm, torque).unwrap();
        car.final_drive.ratio = 9000.0 / (60.0 / 0.3 * crate::units::RPM_PER_RAD_PER_S);
        for ds in [8.0, 4.0, 2.0, 1.0, 0.5] {
            let t = time(&car, &curve, &ring, ds).0;
            println!("{power} {ds} {t} {:e}", t - exact);
        }
        assert_relative_eq!(time(&car, &curve, &ring, 0.5).0, exact, max_relative = 1e-5);
    }
}
