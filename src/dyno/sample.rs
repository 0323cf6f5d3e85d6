//! Small days for the tests of this room.

use std::collections::BTreeMap;

use super::{
    Dyno, Engine, Fitting, Handling, MeasuredAt, Method, Pull, Repeatability, Spec, Standard,
    TestDay,
};

/// Engine speeds of a sample pull, rpm.
pub fn speeds() -> Vec<f64> {
    (0..=50).map(|i| 2500.0 + 100.0 * f64::from(i)).collect()
}

/// Two invented curves that cross at 5,000 rpm, N·m.
pub fn torque(spec: usize, rpm: f64) -> f64 {
    let base = 200.0 - 5e-6 * (rpm - 5000.0).powi(2);
    match spec {
        0 => base,
        _ => base * (1.0 + 1.6e-5 * (rpm - 5000.0)),
    }
}

/// A pull whose torque is given at each engine speed.
pub fn pull(torque: impl Fn(f64) -> f64) -> Pull {
    let rpm = speeds();
    Pull {
        name: "sample".to_owned(),
        torque: rpm.iter().map(|n| torque(*n)).collect(),
        rpm,
        acceleration: Vec::new(),
        sweep_rate: None,
        air: None,
        corrected: Standard::Din70020,
        clock: None,
        set_aside: None,
        handling: Handling::default(),
        channels: BTreeMap::new(),
    }
}

/// A day of fittings in order, each with its spec and its pulls.
pub fn day(fittings: Vec<(usize, Vec<Pull>)>) -> TestDay {
    let count = fittings.iter().map(|f| f.0 + 1).max().unwrap_or(0);
    let mut specs: Vec<Spec> = (0..count)
        .map(|i| Spec {
            name: format!("spec {i}"),
            parts: BTreeMap::new(),
            retuned: None,
            price: None,
            mass: None,
            swap_time: None,
            allowed_in: Vec::new(),
            fittings: Vec::new(),
        })
        .collect();
    let mut order = Vec::new();
    for (spec, pulls) in fittings {
        order.push((spec, specs[spec].fittings.len()));
        specs[spec].fittings.push(Fitting { day: None, pulls });
    }
    TestDay {
        dyno: Dyno {
            measured_at: MeasuredAt::Flywheel,
            method: Method::Sweep,
            sweep_rate: None,
            engine_inertia: None,
        },
        engine: Engine::default(),
        correct_to: Standard::Din70020,
        currency: None,
        specs,
        order,
        repeatability: Repeatability::common(MeasuredAt::Flywheel, false),
        as_tested: BTreeMap::new(),
        as_raced: BTreeMap::new(),
    }
}

/// A repeatable scatter between −1 and 1, without a pattern a model would find.
pub fn wobble(i: usize) -> f64 {
    ((i * 7919 + 13) % 1000) as f64 / 500.0 - 1.0
}

/// A day of plain pulls: spec and count of each fitting; levels and waves of the usual size.
pub fn plain(fittings: &[(usize, usize)]) -> TestDay {
    let mut number = 0;
    let fittings = fittings
        .iter()
        .map(|&(spec, count)| {
            let pulls = (0..count).map(|_| {
                number += 1;
                let (level, turn) = (0.004 * wobble(number), 3.0 * wobble(number + 77));
                pull(|rpm| {
                    let wave = 0.002 * ((rpm / 900.0) + turn).sin();
                    torque(spec, rpm) * (1.0 + level + wave)
                })
            });
            (spec, pulls.collect())
        })
        .collect();
    day(fittings)
}

/// Two specs of three pulls each; one pull of the second is down by `share` from 5,000 to 5,600 rpm.
pub fn misfiring(share: f64) -> TestDay {
    let mut day = plain(&[(0, 3), (1, 3)]);
    let pull = &mut day.specs[1].fittings[0].pulls[2];
    for (rpm, torque) in pull.rpm.iter().zip(&mut pull.torque) {
        if (5000.0..=5600.0).contains(rpm) {
            *torque *= 1.0 - share;
        }
    }
    day
}
