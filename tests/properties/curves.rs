//! Torque curves and the rows they come from.

use pullrank::dyno::condition::{Rows, Smoothing, condition};
use pullrank::dyno::testday::Method;
use pullrank::dyno::{Curve, crossovers};

/// Two curves lead in turns within one cell, however short the lead: the second is lowered until the first
/// leads by a millionth of a N·m at one place only.
#[test]
fn a_lead_that_hardly_is_one_is_found() {
    let shapes: [[f64; 4]; 3] = [
        [100.0, 112.0, 115.0, 104.0],
        [100.0, 101.0, 117.0, 119.0],
        [130.0, 121.0, 108.0, 107.0],
    ];
    let rpm = vec![2000.0, 3000.0, 4000.0, 5000.0];
    let mut found = 0;
    for shape in shapes {
        let first = Curve::new(rpm.clone(), shape.to_vec()).unwrap();
        let level = |raised: f64| {
            let line = |n: &f64| shape[1] + (n - 3000.0) / 1000.0 * (shape[2] - shape[1]) + raised;
            Curve::new(rpm.clone(), rpm.iter().map(line).collect()).unwrap()
        };
        let straight = level(0.0);
        let (at, most) = (0..=100_000)
            .map(|i| 3000.0 + 0.01 * f64::from(i))
            .map(|n| (n, first.torque(n) - straight.torque(n)))
            .max_by(|a, b| a.1.total_cmp(&b.1))
            .unwrap();
        if most < 1e-3 {
            continue;
        }
        let crossings: Vec<f64> = crossovers(&first, &level(most - 1e-6))
            .iter()
            .map(|c| c.rpm)
            .filter(|n| (3000.0..=4000.0).contains(n))
            .collect();
        assert_eq!(crossings.len(), 2, "{shape:?} {crossings:?}");
        assert!(crossings[0] < at && at < crossings[1], "{crossings:?} {at}");
        assert!(crossings[1] - crossings[0] < 5.0, "{crossings:?}");
        found += 1;
    }
    assert_eq!(found, 3);
}

/// Held for 4 s, and known to be held until half a second before it moves on: of 3.5 s the first third is
/// for settling.
#[test]
fn a_held_engine_is_given_a_third_of_the_time_to_settle() {
    let rate = 50.0;
    let mut rows = Rows {
        time: Some(Vec::new()),
        ..Rows::default()
    };
    for i in 0..(5.0 * 5.5 * rate) as usize {
        let t = i as f64 / rate;
        let (step, within) = ((t / 5.5_f64).floor(), t % 5.5);
        rows.rpm
            .push(3000.0 + 500.0 * (step + (within - 4.0).max(0.0) / 1.5));
        rows.torque.push(200.0);
        if let Some(time) = &mut rows.time {
            time.push(t);
        }
    }
    let pull = condition(&rows, Method::Steps, Smoothing::Off);
    let first = pull.used[0] as f64 / rate;
    assert!((first - 3.5 / 3.0).abs() < 0.06, "{first} s");
    let of_first = pull.used.iter().filter(|&&row| (row as f64) < 4.0 * rate);
    let seconds = of_first.count() as f64 / rate;
    assert!((seconds - 3.5 * 2.0 / 3.0).abs() < 0.08, "{seconds} s");
}

/// Fritsch and Butland's slopes know no up and down: a curve and its mirror image mirror each other
/// everywhere, at their ends too, where the slope is limited.
#[test]
fn curves_mirror_each_other() {
    let rpm = [2000.0, 2400.0, 3000.0, 3300.0, 4100.0];
    for torque in [
        [100.0, 104.0, 60.0, 61.0, 90.0],
        [100.0, 101.0, 150.0, 149.0, 148.0],
        [100.0, 140.0, 141.0, 180.0, 181.0],
        [130.0, 129.0, 90.0, 60.0, 62.0],
    ] {
        let curve = |torque: Vec<f64>| Curve::new(rpm.to_vec(), torque).unwrap();
        let upright = curve(torque.to_vec());
        let mirrored = curve(torque.iter().map(|t| 250.0 - t).collect());
        // Turned round too: the last shall be the first.
        let turned = Curve::new(
            rpm.iter().rev().map(|n| 6100.0 - n).collect(),
            torque.iter().rev().copied().collect(),
        )
        .unwrap();
        for i in 0..=420 {
            let n = 2000.0 + 5.0 * f64::from(i);
            let t = upright.torque(n);
            assert!(
                (mirrored.torque(n) - (250.0 - t)).abs() < 1e-9,
                "{torque:?} {n}"
            );
            assert!(
                (turned.torque(6100.0 - n) - t).abs() < 1e-9,
                "{torque:?} {n}"
            );
        }
    }
}
