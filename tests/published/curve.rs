//! The interpolant, its peaks and crossings against a general library's PCHIP.

use approx::assert_relative_eq;
use pullrank::dyno::{Curve, crossovers};

use super::{number, table};

/// The curves of `tests/reference/dyno/pchip.py`.
fn curve(name: &str) -> Curve {
    let even: Vec<f64> = (0..11).map(|i| 2500.0 + 500.0 * f64::from(i)).collect();
    let (rpm, torque): (Vec<f64>, Vec<f64>) = match name {
        "long" => (
            even,
            vec![
                139.0, 153.0, 166.0, 178.5, 190.0, 199.0, 204.0, 203.0, 198.0, 188.5, 174.5,
            ],
        ),
        "short" => (
            even,
            vec![
                132.0, 145.0, 157.0, 170.5, 184.5, 196.5, 205.0, 206.5, 202.0, 192.5, 178.0,
            ],
        ),
        "uneven" => (
            vec![
                1800.0, 2150.0, 2230.0, 3000.0, 3900.0, 4000.0, 5100.0, 6600.0, 6650.0,
            ],
            vec![88.0, 101.5, 103.0, 120.0, 120.0, 131.0, 140.5, 122.0, 119.0],
        ),
        "wavy" => (
            vec![2000.0, 2500.0, 3000.0, 3500.0, 4000.0, 4500.0, 5000.0],
            vec![100.0, 118.0, 112.0, 131.0, 131.0, 125.0, 127.0],
        ),
        "two" => (vec![3000.0, 6000.0], vec![150.0, 120.0]),
        other => panic!("no curve {other}"),
    };
    Curve::new(rpm, torque).unwrap()
}

/// Values between the points: the same interpolant to rounding.
#[test]
fn reference_interpolant() {
    let rows = table("dyno/pchip_values.csv");
    assert_eq!(rows.len(), 5 * 43);
    for row in rows {
        let ours = curve(&row["curve"]).torque(number(&row, "rpm"));
        assert_relative_eq!(ours, number(&row, "torque"), max_relative = 1e-13);
    }
}

/// Peak power to 1 mrpm of where the library's minimiser stops, mean power and crossings to
/// rounding.
#[test]
fn reference_peaks_means_and_crossings() {
    let mut crossings: Vec<(String, f64)> = Vec::new();
    for row in table("dyno/pchip_scalars.csv") {
        let value = number(&row, "value");
        match row["what"].as_str() {
            "crossing_rpm" => crossings.push((row["curve"].clone(), value)),
            what => {
                let curve = curve(&row["curve"]);
                let (ours, tolerance) = match what {
                    "peak_power_rpm" => (curve.peak_power().rpm, 1e-6),
                    "peak_power_w" => (curve.peak_power().value, 1e-12),
                    "mean_power_3200_6400_w" => (curve.mean_power(3200.0, 6400.0).unwrap(), 1e-13),
                    other => panic!("{other}"),
                };
                assert_relative_eq!(ours, value, max_relative = tolerance);
            }
        }
    }
    let raised = Curve::new(
        curve("wavy").points().map(|p| p.0).collect(),
        curve("wavy").points().map(|p| p.1 + 9.3).collect(),
    )
    .unwrap();
    let ours: Vec<f64> = crossovers(&curve("long"), &curve("short"))
        .into_iter()
        .chain(crossovers(&raised, &curve("two")))
        .map(|c| c.rpm)
        .collect();
    assert_eq!(ours.len(), 4);
    assert_eq!(crossings.len(), 4);
    for (ours, (_, theirs)) in ours.iter().zip(&crossings) {
        assert_relative_eq!(*ours, *theirs, max_relative = 1e-11);
    }
}
