//! A case that a textbook answers: `cargo run --example textbook_lap`.
//!
//! A point mass with 100 kW at any speed and endless grip, from 10 m/s over 400 m of level road
//! without resistance. Power is force times speed, so v³ = v₀³ + 3Px/m and
//! t = m(v² − v₀²)/2P (any text on mechanics). Cars, curves and roads are put together in code,
//! without a file.

use std::collections::BTreeMap;

use pullrank::car::offer::{Purchases, Terms};
use pullrank::car::{
    Car, Differential, Drive, FinalDrive, FirstGear, Gearbox, Habits, Rolling, Rotating, Trim,
    Uncertain,
};
use pullrank::dyno::Curve;
use pullrank::lap::{Cells, Limits, PlainRule, Tape, Variant, lap};
use pullrank::units::RPM_PER_RAD_PER_S;
use pullrank::venue::{Course, EventKind, Extent, Section, Start};

const MASS: f64 = 1200.0;
const POWER: f64 = 100e3;
const ENTRY: f64 = 10.0;
const LENGTH: f64 = 400.0;
const LIMIT_RPM: f64 = 10_000.0;
const RADIUS: f64 = 0.3;

/// One gear that reaches its limit at 60 m/s; nothing is lost, nothing turns, nothing resists.
fn point_mass() -> Car {
    Car {
        name: "point mass".into(),
        drive: Drive::All,
        gearbox: Gearbox {
            name: None,
            ratios: vec![1.0],
            shift_times: Vec::new(),
            first_gear: FirstGear::AnyTime,
            efficiency: vec![1.0],
            terms: Terms::default(),
        },
        final_drive: FinalDrive {
            ratio: LIMIT_RPM / RPM_PER_RAD_PER_S * RADIUS / 60.0,
            teeth: None,
            drop_gear: None,
            terms: Terms::default(),
        },
        rev_limit_rpm: LIMIT_RPM,
        trims: vec![Trim {
            name: "as is".into(),
            mass: MASS,
            rolling_radius: RADIUS,
            tyre: String::new(),
            grip: BTreeMap::from([("tarmac".to_owned(), 1e6)]),
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
        final_drive_options: Vec::new(),
        gearbox_options: Vec::new(),
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

/// The same power every 10 rpm.
fn constant_power() -> Result<Curve, Box<dyn std::error::Error>> {
    let rpm: Vec<f64> = (1..=1000).map(|i| 10.0 * f64::from(i)).collect();
    let torque = rpm.iter().map(|n| POWER / (n / RPM_PER_RAD_PER_S));
    let torque = torque.collect();
    Ok(Curve::new(rpm, torque)?)
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let (car, curve) = (point_mass(), constant_power()?);
    let road = Course {
        start: Start::Rolling(ENTRY),
        sections: vec![Section {
            extent: Extent::Length(LENGTH),
            ..Section::default()
        }],
        ..Course::new("level straight", EventKind::Sprint)
    };
    let habits = Habits {
        corner_share: 1.0,
        brake_share: 1.0,
        lowest_rpm: 0.0,
        shift_light_rpm: None,
    };
    let variant = Variant::fitted(&car, &car.trims[0], habits, &curve, 1.225);
    let machine = variant.compile(&road)?;
    let cells = Cells::new(&road, variant.nominal(&road)?, 1.0)?;
    let limits = Limits::new(&machine, &cells)?;
    let driven = lap(
        &machine,
        &cells,
        &limits,
        &mut PlainRule,
        &mut Tape::default(),
    )?;

    let exit = (ENTRY.powi(3) + 3.0 * POWER * LENGTH / MASS).cbrt();
    let textbook = MASS * (exit * exit - ENTRY * ENTRY) / (2.0 * POWER);
    println!("textbook  {textbook:.5} s");
    println!("pullrank  {:.5} s", driven.time);
    let off = (driven.time / textbook - 1.0).abs();
    println!("apart by  {off:.1e} of it");
    if off > 1e-5 {
        return Err("the lap is not the textbook's".into());
    }
    Ok(())
}
