//! A car for the tests of this room and of those above it.

use super::offer::{Purchases, Terms};
use super::*;

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
