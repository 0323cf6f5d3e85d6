//! Power correction against printed tables and worked values.

use approx::assert_relative_eq;
use pullrank::air::Air;
use pullrank::dyno::{Breathing, Standard, compression_factor};

use super::{number, table};

/// 29.92 inHg over the 101.325 kPa that the table's STD column was computed with.
const STD_PRESSURE: f64 = 29.92 * 3.386_389 / 101.325;

const COLUMNS: [(&str, Standard, f64); 5] = [
    ("SAE_J1349", Standard::SaeJ1349, 1.0),
    ("ISO1585_SI_NA", Standard::Iso1585, 1.0),
    ("DIN70020_total_p", Standard::Din70020, 1.0),
    ("DIN70020_dry_p", Standard::Din70020Dry, 1.0),
    ("STD_J607", Standard::SaeJ607, STD_PRESSURE),
];

/// An air with the row's dry pressure itself, so that no vapour formula enters.
fn with_dry_pressure(row: &std::collections::BTreeMap<String, String>) -> (Air, Air) {
    let t = number(row, "t_C") + 273.15;
    let dry = Air::new(number(row, "p_dry_kPa") * 1e3, t, 0.0).unwrap();
    let total = Air::new(number(row, "p_total_kPa") * 1e3, t, 0.0).unwrap();
    (dry, total)
}

/// Every standard to 5 digits from the row's dry pressure.
#[test]
fn reference_factors_from_dry_pressure() {
    let rows = table("dyno/power_correction.csv");
    assert_eq!(rows.len(), 12);
    for row in rows {
        let (dry, total) = with_dry_pressure(&row);
        for (column, standard, scale) in COLUMNS {
            let air = if standard == Standard::Din70020 {
                &total
            } else {
                &dry
            };
            let ours = standard.factor(air).unwrap();
            assert_relative_eq!(ours, scale * number(&row, column), max_relative = 5e-6);
        }
        // 2.14/0.036 mg/(l·cycle) makes the exponent 1: the atmospheric factor alone.
        let atmospheric = compression_factor(&dry, Breathing::Natural, 2.14 / 0.036, 1.0);
        let column = number(&row, "fa_CI_NA_exp0.7");
        assert_relative_eq!(atmospheric, column, max_relative = 5e-6);
        for alike in [Standard::UnR85, Standard::Eec80_1269, Standard::JisD1001] {
            assert_eq!(alike.factor(&dry), Standard::Iso1585.factor(&dry));
        }
    }
}

/// The same from relative humidity: what the two vapour formulas differ by stays below 1e-4.
#[test]
fn reference_factors_from_humidity_and_limits() {
    let mut outside = 0;
    for row in table("dyno/power_correction.csv") {
        let air = Air::new(
            number(&row, "p_total_kPa") * 1e3,
            number(&row, "t_C") + 273.15,
            // The row given by its vapour pressure alone has 1 kPa.
            row["rh_pct"].parse().map_or_else(
                |_| number(&row, "p_vapour_kPa") / 3.168_531,
                |percent: f64| percent / 100.0,
            ),
        )
        .unwrap();
        for (column, standard, scale) in COLUMNS {
            let ours = standard.factor(&air).unwrap();
            assert_relative_eq!(ours, scale * number(&row, column), max_relative = 1e-4);
        }
        let within = Standard::Iso1585.outside(&air).is_empty();
        assert_eq!(
            within,
            row["ISO1585_within_limits"] == "yes",
            "{}",
            row["case"]
        );
        outside += usize::from(!within);
    }
    assert_eq!(outside, 4);
}

/// SAE J1349 takes dry air of 90 to 105 kPa and 15 to 35 °C (from memory).
#[test]
fn limits_of_j1349() {
    let outside = |kilopascals: f64, celsius: f64| {
        let air = Air::new(1e3 * kilopascals, 273.15 + celsius, 0.0).unwrap();
        Standard::SaeJ1349.outside(&air).len()
    };
    for (kilopascals, celsius, wanted) in [
        (89.9, 25.0, 1),
        (90.1, 25.0, 0),
        (104.9, 25.0, 0),
        (105.1, 25.0, 1),
        (99.0, 14.5, 1),
        (99.0, 15.5, 0),
        (99.0, 34.5, 0),
        (99.0, 35.5, 1),
        (89.0, 40.0, 2),
    ] {
        assert_eq!(
            outside(kilopascals, celsius),
            wanted,
            "{kilopascals} kPa, {celsius} °C"
        );
    }
}

/// 110 factors as a workshop prints them, (990/p)·√((t + 273)/298): what J1349 multiplies by 1.180.
#[test]
fn reference_workshop_table() {
    let rows = table("dyno/correction_table.csv");
    assert_eq!(rows.len(), 110);
    for row in rows {
        let air = Air::new(
            number(&row, "p_hPa") * 100.0,
            number(&row, "t_C") + 273.15,
            0.0,
        )
        .unwrap();
        let indicated = (Standard::SaeJ1349.factor(&air).unwrap() + 0.180) / 1.180;
        let printed = number(&row, "published_KH");
        assert!(
            (indicated - printed).abs() <= 5.05e-5,
            "{indicated} {printed}"
        );
    }
}

/// Two factors published with their humidity, as 29.92 inHg and 60 °F dry: 85 °F, 85 %, 28.85 inHg
/// is 1.1005; 55 °F, 35 %, 30.10 inHg is 0.994 (public article on dyno correction).
#[test]
fn reference_published_humidity_pair() {
    for (fahrenheit, humidity, inches, printed) in
        [(85.0, 0.85, 28.85, 1.1005), (55.0, 0.35, 30.10, 0.994)]
    {
        let temperature = (fahrenheit - 32.0) / 1.8 + 273.15;
        let air = Air::new(inches * 3386.389, temperature, humidity).unwrap();
        let ours = Standard::SaeJ607.factor(&air).unwrap();
        assert_relative_eq!(ours, printed, max_relative = 1e-3);
        let forgotten = Air {
            humidity: 0.0,
            ..air
        };
        let without = Standard::SaeJ607.factor(&forgotten).unwrap();
        assert!(
            (without / printed - 1.0).abs() > 4e-3,
            "humidity must matter"
        );
    }
}

/// Standards on the same day: STD over J1349 1.040091 (with 101.325 kPa), DIN over ISO 1.031926.
#[test]
fn reference_standards_differ_by_three_to_four_percent() {
    let air = Air::new(99_000.0, 298.15, 0.0).unwrap();
    let factor = |s: Standard| s.factor(&air).unwrap();
    assert_relative_eq!(
        factor(Standard::SaeJ607) / factor(Standard::SaeJ1349) / STD_PRESSURE,
        1.040091,
        max_relative = 2e-6
    );
    assert_relative_eq!(
        factor(Standard::Din70020) / factor(Standard::Iso1585),
        1.031926,
        max_relative = 1e-6
    );
}
