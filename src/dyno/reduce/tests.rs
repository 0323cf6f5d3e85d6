use super::*;
use crate::air::Air;
use crate::dyno::{Engine, Fitting, Handling, MeasuredAt, Repeatability};
use approx::assert_relative_eq;
use std::collections::BTreeMap;

fn pull(rpm: &[f64], torque: &[f64]) -> Pull {
    Pull {
        name: "typed in".to_owned(),
        rpm: rpm.to_vec(),
        torque: torque.to_vec(),
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

fn day(fittings: Vec<Vec<Pull>>) -> TestDay {
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
        repeatability: Repeatability::common(MeasuredAt::Flywheel, false),
        as_tested: BTreeMap::new(),
        as_raced: BTreeMap::new(),
        order: (0..fittings.len()).map(|i| (0, i)).collect(),
        specs: vec![Spec {
            name: "A".to_owned(),
            parts: BTreeMap::new(),
            retuned: None,
            price: None,
            mass: None,
            swap_time: None,
            allowed_in: Vec::new(),
            fittings: fittings
                .into_iter()
                .map(|pulls| Fitting { day: None, pulls })
                .collect(),
        }],
    }
}

const RPM: [f64; 4] = [2500.0, 4000.0, 5500.0, 7000.0];

#[test]
fn a_single_pull_keeps_its_own_points() {
    let torque = [120.0, 150.0, 160.0, 140.0];
    let reduced = day(vec![vec![pull(&RPM, &torque)]]).reduce().unwrap();
    let points: Vec<_> = reduced.specs[0].curve.points().collect();
    for (i, (rpm, value)) in points.into_iter().enumerate() {
        assert_eq!(rpm, RPM[i]);
        assert_relative_eq!(value, torque[i], max_relative = 1e-14);
    }
}

#[test]
fn analytic_a_fitting_counts_once_however_many_pulls_it_has() {
    let level = |t: f64| pull(&RPM, &[t; 4]);
    let reduced = day(vec![
        vec![level(100.0), level(100.0), level(100.0)],
        vec![level(121.0)],
    ])
    .reduce()
    .unwrap();
    // Means of logarithms: √(100·121) = 110.
    let spec = &reduced.specs[0];
    for (_, torque) in spec.curve.scaled(spec.day_shift.exp()).points() {
        assert_relative_eq!(torque, 110.0, max_relative = 1e-12);
    }
}

#[test]
fn no_step_where_one_pull_ends() {
    let line = |from: f64, to: f64, scale: f64| {
        let rpm: Vec<f64> = (0..=20)
            .map(|i| from + (to - from) * f64::from(i) / 20.0)
            .collect();
        let torque: Vec<f64> = rpm.iter().map(|n| scale * (100.0 + n / 100.0)).collect();
        pull(&rpm, &torque)
    };
    let reduced = day(vec![vec![
        line(2510.0, 7010.0, 1.0),
        line(2440.0, 6400.0, 1.05),
        line(2560.0, 7060.0, 1.0),
    ]])
    .reduce()
    .unwrap();
    let spec = &reduced.specs[0];
    assert_relative_eq!(spec.curve.first_rpm(), 2510.0);
    assert_relative_eq!(spec.curve.last_rpm(), 7010.0);
    let mean = 1.05f64.powf(1.0 / 3.0);
    for (rpm, torque) in spec.curve.scaled(spec.day_shift.exp()).points() {
        assert_relative_eq!(torque, mean * (100.0 + rpm / 100.0), max_relative = 1e-6);
    }
}

#[test]
fn analytic_spinning_up_is_added_in_the_air_of_the_pull() {
    let mut made = pull(&RPM, &[150.0; 4]);
    let air = Air::new(98_000.0, 303.15, 0.4).unwrap();
    made.air = Some(air);
    made.corrected = Standard::Uncorrected;
    let mut day = day(vec![vec![made]]);
    day.dyno.engine_inertia = Some(0.12);
    day.dyno.sweep_rate = Some(300.0);
    let factor = Standard::Din70020.factor(&air).unwrap();
    // 0.12 kg·m² at 300 rpm/s is 3.77 N·m.
    let wanted = (150.0 + 0.12 * 300.0 * std::f64::consts::PI / 30.0) * factor;
    let curve = day.reduce().unwrap().specs[0].curve.clone();
    assert_relative_eq!(curve.torque(4000.0), wanted, max_relative = 1e-12);
    // As read is what the file says.
    let as_read = day.reduce().unwrap().peak_as_read(0);
    let highest = 150.0 * RPM[3] / RPM_PER_RAD_PER_S;
    assert_relative_eq!(as_read, highest, max_relative = 1e-12);
    day.dyno.method = Method::Steps;
    // A time column of a sheet of steps tells nothing of spinning up.
    day.specs[0].fittings[0].pulls[0].acceleration = vec![60.0; 4];
    let curve = day.reduce().unwrap().specs[0].curve.clone();
    assert_relative_eq!(curve.torque(4000.0), 150.0 * factor, max_relative = 1e-12);
}

#[test]
fn pulls_that_cannot_be_compared_are_refused() {
    let mut other = pull(&RPM, &[150.0; 4]);
    other.corrected = Standard::SaeJ607;
    let error = day(vec![vec![other]]).reduce().unwrap_err();
    assert!(matches!(error, ReduceError::Correction { .. }));
    let low = pull(&RPM, &[150.0, 150.0, 0.0, 150.0]);
    let error = day(vec![vec![low]]).reduce().unwrap_err();
    assert!(matches!(error, ReduceError::NotPositive { rpm, .. } if rpm == 5500.0));
    let apart = vec![
        pull(&[2000.0, 3000.0], &[100.0; 2]),
        pull(&[4000.0, 5000.0], &[100.0; 2]),
    ];
    let error = day(vec![apart]).reduce().unwrap_err();
    assert!(matches!(error, ReduceError::Apart { .. }));
    let mut aside = pull(&RPM, &[150.0; 4]);
    aside.set_aside = Some("leaking plug lead".to_owned());
    let error = day(vec![vec![aside]]).reduce().unwrap_err();
    assert!(matches!(error, ReduceError::NoPulls { .. }));
}

/// Two points make a curve.
#[test]
fn a_pull_of_two_points_is_a_line() {
    let two = pull(&[3000.0, 6000.0], &[200.0, 180.0]);
    let reduced = day(vec![vec![two]]).reduce().unwrap();
    assert_relative_eq!(reduced.specs[0].curve.torque(4500.0), 190.0);
}

/// Power still rises where a pull stops: its own highest is not that of the spec.
#[test]
fn pulls_that_stop_short_of_the_peak_tell_nothing_of_power_as_read() {
    let whole = pull(&RPM, &[150.0; 4]);
    let mut short = pull(&RPM[..3], &[150.0; 3]);
    short.name = "short".to_owned();
    let reduced = day(vec![vec![whole.clone(), whole.clone(), short]])
        .reduce()
        .unwrap();
    let highest = 150.0 * RPM[3] / RPM_PER_RAD_PER_S;
    assert_relative_eq!(reduced.peak_as_read(0), highest, max_relative = 1e-9);
}
