use super::*;

fn si(text: &str, dimension: &'static Dimension) -> f64 {
    read(text, dimension, None)
        .unwrap_or_else(|e| panic!("{text}: {e}"))
        .si
}

/// Conversion factors of NIST Special Publication 811 (2008), appendix B.8, as printed there (from
/// memory); exact ones, bold in that table, to the last digit.
#[test]
fn reference_conversion_factors() {
    for (text, dimension, printed, exact) in [
        ("1 in", &LENGTH, 2.54e-2, true),
        ("1 ft", &LENGTH, 3.048e-1, true),
        ("1 yd", &LENGTH, 9.144e-1, true),
        ("1 mi", &LENGTH, 1.609_344e3, true),
        ("1 lb", &MASS, 4.535_923_7e-1, true),
        ("1 ft2", &AREA, 9.290_304e-2, true),
        ("1 mph", &SPEED, 4.4704e-1, true),
        ("1 km/h", &SPEED, 2.777_778e-1, false),
        ("1 lbf·ft", &TORQUE, 1.355_818, false),
        ("1 lbf·in", &TORQUE, 1.129_848e-1, false),
        ("1 kgf·m", &TORQUE, 9.806_65, true),
        ("1 hp", &POWER, 7.456_999e2, false),
        ("1 metric hp", &POWER, 7.354_988e2, false),
        ("1 inHg", &PRESSURE, 3.386_389e3, false),
        ("1 mmHg", &PRESSURE, 1.333_224e2, false),
        ("1 mbar", &PRESSURE, 1e2, true),
        ("1 psi", &PRESSURE, 6.894_757e3, false),
        ("1 deg", &ANGLE, 1.745_329e-2, false),
        ("1 lb ft2", &INERTIA, 4.214_011e-2, false),
        ("1 lb in2", &INERTIA, 2.926_397e-4, false),
        ("1 lb/ft3", &DENSITY, 1.601_846e1, false),
        ("1 rad/s", &ENGINE_SPEED, 1.0 / 1.047_198e-1, false),
    ] {
        let relative = (si(text, dimension) / printed - 1.0).abs();
        // Seven digits are printed: half a unit of the last one is at most 5e-7 of the value.
        let allowed = if exact { 4.0 * f64::EPSILON } else { 5e-7 };
        assert!(relative <= allowed, "{text}: {relative:e}");
    }
}

/// Fixed points by definition (ITS-90 and SP 811, B.8).
#[test]
fn reference_temperatures() {
    for (text, kelvin) in [
        ("0 °C", 273.15),
        ("32 °F", 273.15),
        ("212 F", 373.15),
        ("-40 C", 233.15),
        ("-40 °F", 233.15),
        ("300 K", 300.0),
    ] {
        assert!((si(text, &TEMPERATURE) - kelvin).abs() < 1e-9, "{text}");
    }
}

/// 29.92 inHg is the standard atmosphere of 1013.25 hPa to its four digits (trade fact, common
/// practice, no source).
#[test]
fn analytic_standard_atmosphere_in_inches() {
    assert!((si("29.92 inHg", &PRESSURE) / 101_325.0 - 1.0).abs() < 1e-4);
}

#[test]
fn every_spelling_people_type_is_understood() {
    for text in [
        "162 lb-ft",
        "162 lb ft",
        "162lbft",
        "162 ft-lb",
        "162 ft lbs",
        "162 lbf·ft",
        "162 lbs-ft",
        "162 lb/ft",
        "162 LB.FT",
        "162 lbf ft",
        "162 ft·lbf",
    ] {
        assert!((si(text, &TORQUE) - 219.642_5).abs() < 1e-3, "{text}");
    }
    for text in [
        "204 Nm",
        "204 N·m",
        "204 N m",
        "204 N.m",
        "204 N-m",
        "204 N*m",
        "204nm",
        "204 newton metres",
        "+204 Nm",
        "204.0 Nm",
        "2.04e2 Nm",
        "204,0 Nm",
    ] {
        assert_eq!(si(text, &TORQUE), 204.0, "{text}");
    }
    for text in [
        "20 kgf·m",
        "20 kgm",
        "20 kg-m",
        "20 mkp",
        "20 mkg",
        "20 kpm",
        "20 kg m",
    ] {
        assert_eq!(si(text, &TORQUE), 20.0 * STANDARD_GRAVITY, "{text}");
    }
    for text in ["150 PS", "150ps", "150 cv", "150 ch", "150 pk"] {
        assert_eq!(si(text, &POWER), 150.0 * METRIC_HORSEPOWER, "{text}");
    }
    for text in ["0.66 m2", "0.66 m²", "0.66 m^2", "0.66 sq m", "0,66 m²"] {
        assert_eq!(si(text, &AREA), 0.66, "{text}");
    }
    for text in ["0.12 kg m2", "0.12 kg·m²", "0.12 kgm^2", "0.12 kg-m2"] {
        assert_eq!(si(text, &INERTIA), 0.12, "{text}");
    }
    for text in [
        "7200 rpm",
        "7200 1/min",
        "7200 min⁻¹",
        "7200 r/min",
        "7200 RPM",
        "7200 U/min",
        "7200 giri/min",
    ] {
        assert_eq!(si(text, &ENGINE_SPEED), 7200.0, "{text}");
    }
    for text in ["110 km/h", "110 kph", "110 kmh", "110 km/hr"] {
        assert_eq!(si(text, &SPEED), 110.0 * KILOMETRE_PER_HOUR, "{text}");
    }
    assert_eq!(si("−3 m", &LENGTH), -3.0);
    assert_eq!(si("13\"", &LENGTH), 13.0 * INCH);
}

#[test]
fn no_spelling_stands_for_two_units() {
    for dimension in DIMENSIONS {
        for unit in dimension.units {
            for spelling in unit.spellings {
                let found = dimension.unit(spelling);
                assert!(found.is_some_and(|u| std::ptr::eq(u, unit)), "{spelling}");
            }
        }
    }
    // Across dimensions too, so that a wrong unit is called what it is.
    for (i, one) in DIMENSIONS.iter().enumerate() {
        for other in &DIMENSIONS[i + 1..] {
            for spelling in one.units.iter().flat_map(|u| u.spellings) {
                assert!(
                    other.unit(spelling).is_none(),
                    "{spelling}: {} and {}",
                    one.name,
                    other.name
                );
            }
        }
    }
}

#[test]
fn numbers_that_can_be_read_in_two_ways_are_refused() {
    let fault = |text| number(text).unwrap_err();
    assert!(matches!(fault("1,080 kg"), NumberFault::Ambiguous { .. }));
    assert!(matches!(fault("1 080 kg"), NumberFault::Grouped { .. }));
    assert!(matches!(fault("1,080.5 kg"), NumberFault::Grouped { .. }));
    assert!(matches!(fault("1.080,5 kg"), NumberFault::Grouped { .. }));
    assert!(matches!(fault("1'080 kg"), NumberFault::Grouped { .. }));
    assert_eq!(number("0,350 s"), Ok((0.35, "s")));
    assert_eq!(number("10,80 kg"), Ok((10.8, "kg")));
    assert_eq!(number("1080,250 kg"), Ok((1080.25, "kg")));
    assert_eq!(number("5. kg"), Ok((5.0, "kg")));
    assert_eq!(number(".5 kg"), Ok((0.5, "kg")));
    let plain = |text| match fault(text) {
        NumberFault::Grouped { plain, .. } => plain,
        other => panic!("{other:?}"),
    };
    assert_eq!(plain("1.080,5"), "1080.5");
    assert_eq!(plain("1,080.5"), "1080.5");
    assert_eq!(plain("1.080.500"), "1080500");
    assert_eq!(plain("1 080"), "1080");
}

#[test]
fn times_without_their_colon_are_told_with_it() {
    let clock = |text| match read(text, &TIME, Some("s")) {
        Err(Fault::Parted { clock, .. }) => Some(clock),
        _ => None,
    };
    for written in ["4.41.0", "4,41,0", "4'41\"0", "4m41.0s", "4 41.0"] {
        assert_eq!(clock(written).as_deref(), Some("4:41.0"), "{written}");
    }
    for other in [
        "4:41.0",
        "41.05",
        "1.234.567",
        "4.71.0",
        "0.35 s",
        "2 min",
        "1.5 min",
    ] {
        assert_eq!(clock(other), None, "{other}");
    }
}

#[test]
fn what_is_no_finite_number_is_refused() {
    for text in [
        "nan",
        ".nan",
        "NaN kg",
        "inf",
        "-.inf",
        "+Infinity",
        "∞ m",
        "1e999",
        "-1e999 kg",
    ] {
        assert!(
            matches!(number(text), Err(NumberFault::NotFinite(_))),
            "{text}"
        );
    }
    for text in ["", "kg", "-", "+ 5", "e5", "..", "one"] {
        assert!(
            matches!(number(text), Err(NumberFault::NoNumber(_))),
            "{text}"
        );
    }
    assert!(matches!(
        read("1e308 km", &LENGTH, None),
        Err(Fault::Number(NumberFault::NotFinite(_)))
    ));
}

#[test]
fn a_wrong_unit_is_called_what_it_is() {
    let said = |text, dimension| {
        let fault: Fault = read(text, dimension, None).unwrap_err();
        format!("{fault}; {}", fault.remedy(dimension))
    };
    assert_eq!(
        said("900 mm", &MASS),
        "`900 mm` is a length; mass wants kg or lb, as in `960 kg`"
    );
    assert_eq!(
        said("7200 rpm", &SPEED),
        "`7200 rpm` is an engine speed; speed wants km/h, mph or m/s, as in `110 km/h`"
    );
    assert_eq!(
        said("5 %", &LENGTH),
        "`5 %` is a percentage; length wants mm, m, km, in, ft or mi, as in `140 m`"
    );
    assert_eq!(
        said("140", &LENGTH),
        "`140` has no unit; length wants mm, m, km, in, ft or mi, as in `140 m`"
    );
    assert_eq!(
        said("9 parsec", &LENGTH),
        "`parsec` in `9 parsec` is not a unit known here; length wants mm, m, km, in, ft or mi, as in `140 m`"
    );
    assert_eq!(
        said("4:61", &TIME),
        "`4:61` is not a clock time; write minutes and seconds as in `4:41.0`"
    );
}

#[test]
fn a_bare_number_needs_leave() {
    assert!(matches!(
        read("7200", &ENGINE_SPEED, None),
        Err(Fault::NoUnit(_))
    ));
    let reading = read("7200", &ENGINE_SPEED, Some("rpm")).unwrap();
    assert!(reading.bare && reading.si == 7200.0);
    assert_eq!(
        read("120 rev/s", &ENGINE_SPEED, Some("rpm")).unwrap().si,
        7200.0
    );
}

#[test]
fn clock_times() {
    for (text, seconds) in [
        ("4:41.0", 281.0),
        ("4:41,5", 281.5),
        ("1:02:03", 3723.0),
        ("0:07.25", 7.25),
        ("90:00", 5400.0),
    ] {
        assert_eq!(clock(text), Some(seconds), "{text}");
        assert_eq!(si(text, &TIME), seconds);
    }
    for text in [
        "4:61", "4:60:00", "4", ":30", "4:", "-1:30", "4.5:30", "1:2:3:4", "a:b", "4:3e1",
    ] {
        assert_eq!(clock(text), None, "{text}");
    }
}

#[test]
fn shares_and_slopes() {
    assert_eq!(read_share("53 %").unwrap(), 0.53);
    assert_eq!(read_share("0.53").unwrap(), 0.53);
    assert_eq!(read_share("53%").unwrap(), 0.53);
    assert!(matches!(
        read_share("53 kg"),
        Err(Fault::OtherDimension { .. })
    ));
    assert_eq!(read_slope("-4 %").unwrap(), -0.04);
    assert_eq!(read_slope("1 in 8").unwrap(), 0.125);
    assert_eq!(read_slope("-1:8").unwrap(), -0.125);
    assert!((read_slope("45 deg").unwrap() - 1.0).abs() < 1e-12);
    assert!(matches!(read_slope("3"), Err(Fault::NoUnit(_))));
    assert!(matches!(
        read_slope("3 m"),
        Err(Fault::OtherDimension { .. })
    ));
    assert!(read_slope("1 in 0").is_err());
}

#[test]
fn units_go_there_and_back() {
    for dimension in DIMENSIONS {
        for unit in dimension.units {
            for value in [-40.0, 0.0, 0.3, 1013.25] {
                let back = unit.from_si(unit.to_si(value));
                assert!(
                    (back - value).abs()
                        <= 1e-12 * (1.0 + value.abs() + (unit.offset / unit.factor).abs()),
                    "{}",
                    unit.name()
                );
            }
        }
    }
}

#[test]
fn plain_numbers_for_people() {
    for (value, text) in [
        (0.0, "0"),
        (0.35, "0.35"),
        (0.123_456, "0.123"),
        (7200.0, "7200"),
        (44_092.5, "44092"),
        (110.23, "110"),
        (2.4, "2.4"),
        (0.005, "0.005"),
        (-3.0, "-3"),
    ] {
        assert_eq!(plain(value), text);
    }
}
