//! Cars of a few numbers: a point mass to start from, and curves of simple shape.

use std::collections::BTreeMap;

use pullrank::car::offer::{Purchases, Terms};
use pullrank::car::{
    Car, Differential, Drive, FinalDrive, FirstGear, Gearbox, Habits, Rolling, Rotating, Trim,
    Uncertain,
};
use pullrank::dyno::Curve;
use pullrank::units::RPM_PER_RAD_PER_S;

/// Upper limit of the textbook engines, rpm.
pub const LIMIT_RPM: f64 = 10_000.0;

/// The whole of the tyres in corners and under braking, no lowest rpm, no shift light.
pub const WHOLE: Habits = Habits {
    corner_share: 1.0,
    brake_share: 1.0,
    lowest_rpm: 0.0,
    shift_light_rpm: None,
};

/// A point mass driven by all wheels: one gear of total ratio 1, no losses, no resistance, no
/// load transfer, nothing that turns. What a case needs else, it sets.
pub fn point_mass(mass: f64, grip: f64) -> Car {
    Car {
        name: "point mass".into(),
        drive: Drive::All,
        gearbox: gearbox(&[1.0], 0.0),
        final_drive: FinalDrive {
            ratio: 1.0,
            teeth: None,
            drop_gear: None,
            terms: Terms::default(),
        },
        rev_limit_rpm: LIMIT_RPM,
        trims: vec![Trim {
            name: "as is".into(),
            mass,
            rolling_radius: 0.3,
            tyre: String::new(),
            grip: BTreeMap::from([("tarmac".to_string(), grip)]),
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
        default_launch_rpm: 20.0,
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

/// Gears without loss, all changes taking the same time, first usable at any time.
pub fn gearbox(ratios: &[f64], shift_time: f64) -> Gearbox {
    Gearbox {
        name: None,
        ratios: ratios.to_vec(),
        shift_times: vec![shift_time; ratios.len() - 1],
        first_gear: FirstGear::AnyTime,
        efficiency: vec![1.0],
        terms: Terms::default(),
    }
}

/// The total ratio that puts the limit at a road speed in m/s: forces of textbook engines are then
/// known without a gear.
pub fn geared_for(car: &mut Car, speed: f64) {
    car.final_drive.ratio = LIMIT_RPM / RPM_PER_RAD_PER_S * car.trims[0].rolling_radius / speed;
}

/// Torque from a function of engine speed in rad/s, in points `step` rpm apart from `step` to the
/// limit.
pub fn curve(step: f64, torque: impl Fn(f64) -> f64) -> Curve {
    let count = (LIMIT_RPM / step).round() as usize;
    let rpm: Vec<f64> = (1..=count).map(|i| step * i as f64).collect();
    let torque = rpm.iter().map(|n| torque(n / RPM_PER_RAD_PER_S)).collect();
    Curve::new(rpm, torque).expect("a textbook curve")
}

/// The same torque at all speeds, N·m.
pub fn constant_torque(torque: f64) -> Curve {
    Curve::new(vec![1.0, LIMIT_RPM], vec![torque; 2]).expect("two points")
}

/// The same power at all speeds from 10 rpm up, W.
pub fn constant_power(power: f64) -> Curve {
    curve(10.0, |omega| power / omega)
}

/// The engine torque that gives a wheel force, N, in the car's only gear.
pub fn torque_for(car: &Car, force: f64) -> f64 {
    let total = car.final_drive.ratio * car.gearbox.ratios[0];
    force * car.trims[0].rolling_radius / total
}
