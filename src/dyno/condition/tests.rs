use super::*;
use approx::assert_relative_eq;

/// Torque of an invented engine, N·m.
fn engine(rpm: f64) -> f64 {
    200.0 - 5.0e-6 * (rpm - 5000.0) * (rpm - 5000.0)
}

/// A repeatable scatter between −1 and 1.
fn wobble(i: usize) -> f64 {
    ((i * 7919 + 13) % 1000) as f64 / 500.0 - 1.0
}

/// A log at `rate` Hz: held at 2,500, a sweep at 400 rpm/s to 7,500, held there, back down.
fn log(rate: f64, jitter: f64, noise: f64) -> Rows {
    let mut rows = Rows {
        time: Some(Vec::new()),
        ..Rows::default()
    };
    let count = (20.0 * rate) as usize;
    for i in 0..count {
        let t = i as f64 / rate;
        let rpm = match t {
            t if t < 1.5 => 2500.0,
            t if t < 14.0 => 2500.0 + 400.0 * (t - 1.5),
            t if t < 15.0 => 7500.0,
            t => 7500.0 - 1000.0 * (t - 15.0),
        };
        let pulling = t < 14.0;
        rows.rpm.push(rpm + jitter * wobble(i));
        let torque = if pulling { engine(rpm) } else { -20.0 };
        rows.torque.push(torque + noise * wobble(i + 500));
        if let Some(time) = &mut rows.time {
            time.push(t);
        }
    }
    rows
}

#[test]
fn a_sheet_that_rises_is_left_alone() {
    let rows = Rows {
        rpm: vec![2500.0, 3000.0, 3500.0, 4000.0, 4500.0],
        torque: vec![139.0, 153.0, 166.0, 178.5, 190.0],
        ..Rows::default()
    };
    let pull = condition(&rows, Method::Sweep, Smoothing::WhereNoisy);
    assert_eq!((pull.rpm, pull.torque), (rows.rpm, rows.torque));
    assert_eq!(
        pull.handling,
        Handling {
            rows: 5,
            ..Handling::default()
        }
    );
}

#[test]
fn repeats_and_back_steps_of_a_sheet_are_merged_and_counted() {
    let rows = Rows {
        rpm: vec![2500.0, 3000.0, 3000.0, 4000.0, 3500.0, 4500.0],
        torque: vec![139.0, 152.0, 154.0, 178.5, 166.0, 190.0],
        ..Rows::default()
    };
    let pull = condition(&rows, Method::Sweep, Smoothing::WhereNoisy);
    assert_eq!(pull.rpm, [2500.0, 3000.0, 3500.0, 4000.0, 4500.0]);
    assert_eq!(pull.torque, [139.0, 153.0, 166.0, 178.5, 190.0]);
    assert_eq!((pull.handling.repeats, pull.handling.back_steps), (1, 1));
}

#[test]
fn a_sheet_typed_from_the_top_is_turned_round() {
    let rows = Rows {
        rpm: vec![4500.0, 4000.0, 3000.0],
        torque: vec![190.0, 178.0, 153.0],
        ..Rows::default()
    };
    let pull = condition(&rows, Method::Sweep, Smoothing::WhereNoisy);
    assert_eq!(pull.rpm, [3000.0, 4000.0, 4500.0]);
    assert!(pull.handling.turned_round);
    assert_eq!(pull.handling.back_steps, 0);
}

/// A thinned log is as short as a typed sheet, and its time tells a run down from one.
#[test]
fn a_short_log_of_the_way_down_is_no_sheet() {
    let speeds: Vec<f64> = (0..21).map(|i| 7500.0 - 250.0 * f64::from(i)).collect();
    let rows = |time: Option<Vec<f64>>| Rows {
        torque: speeds.iter().map(|&n| engine(n)).collect(),
        rpm: speeds.clone(),
        time,
        ..Rows::default()
    };
    let read = |rows: &Rows, method| condition(rows, method, Smoothing::Off).handling;
    let later = rows(Some((0..21).map(|i| 0.8 * f64::from(i)).collect()));
    let down = read(&later, Method::Sweep);
    assert!(down.ran_down && !down.turned_round && down.back_steps == 0);
    for typed in [
        read(&rows(None), Method::Sweep),
        read(&later, Method::Steps),
    ] {
        assert!(typed.turned_round && !typed.ran_down);
    }
}

/// Up and down again in a few rows: the way down is not averaged in.
#[test]
fn the_way_down_of_a_short_log_is_left_out() {
    let up = (0..21).map(|i| 2500.0 + 250.0 * f64::from(i));
    let down = (1..12).map(|i| 7500.0 - 250.0 * f64::from(i));
    let mut rows = Rows::default();
    for rpm in up {
        rows.rpm.push(rpm);
        rows.torque.push(engine(rpm));
    }
    for rpm in down {
        rows.rpm.push(rpm);
        rows.torque.push(engine(rpm) + 8.0);
    }
    let pull = condition(&rows, Method::Sweep, Smoothing::Off);
    assert_eq!(pull.rpm.len(), 21);
    assert_relative_eq!(pull.torque[15], engine(pull.rpm[15]));
    assert_eq!((pull.handling.outside, pull.handling.back_steps), (11, 0));
    assert_eq!(pull.handling.way_down, 11);
    // A sheet of steps went through its speeds twice on purpose.
    let steps = condition(&rows, Method::Steps, Smoothing::Off);
    assert_eq!((steps.handling.outside, steps.handling.back_steps), (0, 11));
    assert_eq!(steps.handling.way_down, 0);
    // An engine that is let run out gives nothing on its way down.
    let mut out = rows.clone();
    out.torque[21..]
        .iter_mut()
        .for_each(|torque| *torque = -8.0);
    let out = condition(&out, Method::Sweep, Smoothing::Off);
    assert_eq!((out.handling.outside, out.handling.way_down), (11, 0));
    // One speed typed too early is no way down.
    rows.rpm.truncate(21);
    rows.torque.truncate(21);
    rows.rpm.swap(18, 20);
    let pull = condition(&rows, Method::Sweep, Smoothing::Off);
    assert_eq!(pull.handling.outside, 0);
}

#[test]
fn the_sweep_is_cut_out_of_a_log_at_any_rate() {
    for rate in [10.0, 50.0, 200.0] {
        let pull = condition(&log(rate, 8.0, 0.6), Method::Sweep, Smoothing::WhereNoisy);
        assert!(!pull.handling.ran_down);
        assert!(pull.rpm[0] < 2560.0, "{rate} {}", pull.rpm[0]);
        let last = pull.rpm[pull.rpm.len() - 1];
        assert!((7420.0..7515.0).contains(&last), "{rate} {last}");
        for (rpm, torque) in pull.rpm.iter().zip(&pull.torque) {
            assert_relative_eq!(*torque, engine(*rpm), max_relative = 5e-3);
        }
        for (rpm, gain) in pull.rpm.iter().zip(&pull.acceleration) {
            if (2700.0..7300.0).contains(rpm) {
                assert_relative_eq!(*gain, 400.0, max_relative = 0.08);
            }
        }
        assert!(pull.handling.outside > 0);
    }
}

#[test]
fn a_log_of_the_way_down_alone_is_known_as_such() {
    let mut rows = log(50.0, 8.0, 0.6);
    rows.rpm.reverse();
    rows.torque.reverse();
    // Leaves the fall (of the reversed rise) and nothing before it.
    rows.rpm.drain(..250);
    rows.torque.drain(..250);
    if let Some(time) = &mut rows.time {
        time.truncate(rows.rpm.len());
    }
    let pull = condition(&rows, Method::Sweep, Smoothing::WhereNoisy);
    assert!(pull.handling.ran_down);
    assert!(pull.rpm[pull.rpm.len() - 1] > 7300.0);
    let middle = pull.acceleration[pull.acceleration.len() / 2];
    assert_relative_eq!(middle, -400.0, max_relative = 0.08);
}

#[test]
fn spikes_are_named_and_left_out() {
    let mut rows = log(50.0, 2.0, 0.3);
    for (row, torque, rpm) in [
        (200, 260.0, None),
        (301, 20.0, None),
        (402, 190.0, Some(9900.0)),
    ] {
        rows.torque[row] = torque;
        if let Some(rpm) = rpm {
            rows.rpm[row] = rpm;
        }
    }
    let pull = condition(&rows, Method::Sweep, Smoothing::WhereNoisy);
    assert_eq!(pull.handling.spikes, [200, 301, 402]);
    for (rpm, torque) in pull.rpm.iter().zip(&pull.torque) {
        assert_relative_eq!(*torque, engine(*rpm), max_relative = 5e-3);
    }
}

/// Of 20 logs of a thousand rows with normal noise of 1.5 % none loses a row; one 40 % off is a spike.
#[test]
fn normal_noise_is_no_spike() {
    let mut seed = 1_u64;
    let mut uniform = || {
        // Knuth, The Art of Computer Programming 2 (from memory): a linear congruence of 64 bits.
        seed = seed
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((seed >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    };
    for _ in 0..20 {
        let mut rows = log(50.0, 2.0, 0.0);
        for torque in &mut rows.torque {
            let (a, b) = (uniform(), uniform());
            let normal = (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos();
            *torque *= 1.0 + 0.015 * normal;
        }
        let spikes = |rows: &Rows| {
            let pull = condition(rows, Method::Sweep, Smoothing::WhereNoisy);
            pull.handling.spikes
        };
        assert_eq!(spikes(&rows), [] as [usize; 0]);
        rows.torque[301] = 1.4 * engine(rows.rpm[301]);
        assert_eq!(spikes(&rows), [301]);
    }
}

#[test]
fn rows_off_full_throttle_do_not_count() {
    let mut rows = log(50.0, 2.0, 0.3);
    let throttle = (0..rows.rpm.len())
        .map(|i| if i < 120 { 40.0 } else { 100.0 })
        .collect();
    for torque in &mut rows.torque[..120] {
        *torque *= 0.4;
    }
    rows.throttle = Some(throttle);
    let pull = condition(&rows, Method::Sweep, Smoothing::WhereNoisy);
    assert_relative_eq!(pull.torque[0], engine(pull.rpm[0]), max_relative = 5e-3);
}

#[test]
fn smoothing_is_off_for_data_that_is_smooth_and_said_where_it_is_not() {
    let quiet = condition(&log(50.0, 0.0, 0.0), Method::Sweep, Smoothing::WhereNoisy);
    assert_eq!(quiet.handling.smoothed, None);
    let loud = log(20.0, 4.0, 4.0);
    let smoothed = condition(&loud, Method::Sweep, Smoothing::WhereNoisy);
    assert_eq!(smoothed.handling.smoothed, Some(SMOOTHING_RPM));
    let raw = condition(&loud, Method::Sweep, Smoothing::Off);
    assert_eq!(raw.handling.smoothed, None);
    let error = |pull: &Conditioned| {
        let squares = pull.rpm.iter().zip(&pull.torque);
        let sum: f64 = squares.map(|(n, t)| (t - engine(*n)).powi(2)).sum();
        (sum / pull.rpm.len() as f64).sqrt()
    };
    assert!(error(&smoothed) < 0.5 * error(&raw));
}

/// Tricube weights reproduce straight lines.
#[test]
fn analytic_smoothing_keeps_a_straight_line() {
    let rpm: Vec<f64> = (0..50).map(|i| 2500.0 + 37.0 * f64::from(i)).collect();
    let torque: Vec<f64> = rpm.iter().map(|n| 100.0 + n / 50.0).collect();
    for (a, b) in smooth(&rpm, &torque, 200.0).iter().zip(&torque) {
        assert_relative_eq!(a, b, max_relative = 1e-12);
    }
}

/// The middle one, or the mean of the two in the middle.
#[test]
fn medians_of_few_and_of_many() {
    let of = |values: &[f64]| median(values.iter().copied());
    assert_eq!(of(&[3.0]), 3.0);
    assert_eq!(of(&[9.0, 1.0]), 5.0);
    assert_eq!(of(&[9.0, 1.0, 2.0]), 2.0);
    assert_eq!(of(&[4.0, 9.0, 1.0, 2.0]), 3.0);
    assert_eq!(of(&[7.0, 4.0, 9.0, 1.0, 2.0]), 4.0);
    assert!(of(&[]).is_nan());
}

#[test]
fn nothing_in_nothing_out() {
    let pull = condition(&Rows::default(), Method::Sweep, Smoothing::WhereNoisy);
    assert!(pull.rpm.is_empty());
}

/// A step test at `rate` Hz: 4 s held at each of 3,000 to 7,000 by 500, 1.5 s between, torque low
/// while the engine gains speed.
fn steps(rate: f64) -> Rows {
    let mut rows = Rows {
        time: Some(Vec::new()),
        ..Rows::default()
    };
    for i in 0..(9.0 * 5.5 * rate) as usize {
        let t = i as f64 / rate;
        let (step, within) = ((t / 5.5).floor(), t % 5.5);
        let moving = (within - 4.0).max(0.0);
        let rpm = 3000.0 + 500.0 * step + moving / 1.5 * 500.0;
        let low = if moving > 0.0 || within < 0.8 {
            8.0
        } else {
            0.0
        };
        rows.rpm.push(rpm + 6.0 * wobble(i));
        rows.torque.push(engine(rpm) - low + 0.5 * wobble(i + 500));
        if let Some(time) = &mut rows.time {
            time.push(t);
        }
    }
    rows
}

#[test]
fn a_logged_step_test_gives_one_settled_point_a_step() {
    for rate in [10.0, 50.0, 200.0] {
        let pull = condition(&steps(rate), Method::Steps, Smoothing::WhereNoisy);
        assert_eq!(pull.rpm.len(), 9, "{rate} {:?}", pull.rpm);
        for (k, (rpm, torque)) in pull.rpm.iter().zip(&pull.torque).enumerate() {
            let wanted = 3000.0 + 500.0 * k as f64;
            assert!((rpm - wanted).abs() < 10.0, "{rate} {rpm}");
            assert_relative_eq!(*torque, engine(wanted), max_relative = 3e-3);
        }
        assert_eq!(pull.acceleration, [0.0; 9]);
        assert!(pull.handling.outside > 0 && pull.handling.smoothed.is_none());
        let as_sweep = condition(&steps(rate), Method::Sweep, Smoothing::WhereNoisy);
        assert_eq!(as_sweep.handling.stood, 9, "{rate}");
    }
    let swept = condition(&log(50.0, 8.0, 1.0), Method::Sweep, Smoothing::WhereNoisy);
    assert_eq!(swept.handling.stood, 0);
}

/// Slow logs and what is written down have few rows of each step, with and without a time.
#[test]
fn a_few_rows_a_step_are_one_point_each() {
    for few in [2, 3, 5] {
        for timed in [true, false] {
            let mut rows = Rows::default();
            let mut time = Vec::new();
            for (k, rpm) in (0..9).map(|k| (k, 3000.0 + 500.0 * f64::from(k))) {
                for row in 0..few {
                    rows.rpm.push(rpm + 6.0 * wobble(k as usize * few + row));
                    rows.torque.push(engine(rpm));
                    time.push((k as usize * (few + 1) + row) as f64);
                }
            }
            rows.time = timed.then_some(time);
            let pull = condition(&rows, Method::Steps, Smoothing::WhereNoisy);
            assert_eq!(pull.rpm.len(), 9, "{few} {timed} {:?}", pull.rpm);
            for (k, torque) in pull.torque.iter().enumerate() {
                let wanted = engine(3000.0 + 500.0 * k as f64);
                assert_relative_eq!(*torque, wanted, max_relative = 1e-9);
            }
            let swept = condition(&rows, Method::Sweep, Smoothing::WhereNoisy);
            assert_eq!(swept.handling.stood, 9, "{few} {timed}");
            assert!(swept.handling.spikes.is_empty());
        }
    }
    assert_eq!(most_rows(&steps(1.0)), 5);
}

/// As a person writes a step test down: 46 speeds, one row each.
#[test]
fn a_step_test_of_one_row_a_step_is_read_as_it_stands() {
    let rpm: Vec<f64> = (0..46).map(|i| 2500.0 + 100.0 * f64::from(i)).collect();
    let torque: Vec<f64> = rpm.iter().map(|&n| engine(n)).collect();
    let rows = Rows {
        rpm: rpm.clone(),
        torque: torque.clone(),
        ..Rows::default()
    };
    let made = condition(&rows, Method::Steps, Smoothing::WhereNoisy);
    assert_eq!((made.rpm, made.torque), (rpm, torque));
}

/// A sheet of as many rows as a log has, up in steps of 100 rpm and down again.
#[test]
fn a_long_sheet_that_comes_back_is_no_log() {
    let up: Vec<f64> = (0..46).map(|k| 2500.0 + 100.0 * f64::from(k)).collect();
    for twice in [0, 1] {
        let rpm: Vec<f64> = up
            .iter()
            .chain(up.iter().rev().skip(1 - twice))
            .copied()
            .collect();
        let torque = rpm.iter().map(|rpm| engine(*rpm)).collect();
        let rows = Rows {
            rpm,
            torque,
            ..Rows::default()
        };
        let pull = condition(&rows, Method::Steps, Smoothing::WhereNoisy);
        assert_eq!(pull.rpm, up, "{twice}");
        assert!(!pull.handling.logged);
    }
}

#[test]
fn one_point_has_no_slope() {
    assert_eq!(slope([(3.0, 5.0)].into_iter()), 0.0);
    assert_eq!(slope([(3.0, 5.0), (5.0, 9.0)].into_iter()), 2.0);
}

/// Steps held from the first row on, of seven rows each: the mean is that of all but the first third.
#[test]
fn a_step_that_is_held_from_the_first_row_counts_from_its_settling() {
    let steps = [2500.0, 3500.0, 4500.0, 5500.0, 6500.0];
    let rows = Rows {
        time: Some((0..35).map(|i| 0.3 * f64::from(i)).collect()),
        rpm: (0..35).map(|i| steps[i / 7] + (i % 7) as f64).collect(),
        torque: (0..35).map(|i| 150.0 + (i % 7) as f64).collect(),
        ..Rows::default()
    };
    let pull = condition(&rows, Method::Steps, Smoothing::Off);
    for (made, step) in pull.rpm.iter().zip(steps) {
        // Rows 2 to 6 of the seven, all but those at which the next step begins.
        assert!((made - step - 4.0).abs() <= 1.0, "{:?}", pull.rpm);
    }
    assert_eq!(pull.rpm.len(), 5);
    for torque in pull.torque {
        assert!((torque - 154.0).abs() <= 1.0, "{torque}");
    }
}
