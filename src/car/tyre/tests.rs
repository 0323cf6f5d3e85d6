//! Tyres as they are written on their sides.

use super::*;

fn radius(text: &str) -> f64 {
    Tyre::parse(text).unwrap().rolling_radius()
}

/// Rolling radii printed in a public reprint of a vehicle-design text, m.
#[test]
fn reference_published_rolling_radii() {
    for (size, published) in [
        ("145/70R12", 0.247),
        ("155/80R12", 0.268),
        ("165/70R13", 0.273),
        ("175/70R13", 0.280),
        ("185/60R14", 0.281),
    ] {
        let rounded = (radius(size) * 1000.0).round() / 1000.0;
        assert_eq!(rounded, published, "{size}");
    }
}

/// 31 sizes by the standards' rule, computed apart from this crate.
#[test]
fn reference_standard_sizes() {
    let table = include_str!("../../../tests/reference/tyres/sizes.csv");
    let mut count = 0;
    for line in table.lines().skip(1).filter(|l| !l.is_empty()) {
        let cells: Vec<&str> = line.split(',').collect();
        let tyre = Tyre::parse(cells[0]).unwrap();
        let (diameter, rolling): (f64, f64) =
            (cells[8].parse().unwrap(), cells[10].parse().unwrap());
        assert_eq!(tyre.diameter() * 1000.0, diameter, "{}", cells[0]);
        assert!(
            (tyre.rolling_radius() - rolling).abs() <= 0.5e-5,
            "{}",
            cells[0]
        );
        count += 1;
    }
    assert!(count >= 29, "{count} sizes");
}

/// Speed symbols as tyre sellers print them.
#[test]
fn reference_speed_symbols() {
    let table = include_str!("../../../tests/reference/tyres/speed_symbols.csv");
    for line in table.lines().skip(1).filter(|l| !l.is_empty()) {
        let cells: Vec<&str> = line.split(',').collect();
        let speed = symbol_speed(cells[0].chars().next().unwrap()).unwrap();
        let printed: f64 = cells[1].parse().unwrap();
        assert!((speed * 3.6 - printed).abs() < 1e-9, "{line}");
    }
}

#[test]
fn reads_what_is_moulded_on_the_side() {
    let plain = Tyre::parse("185/60R13").unwrap();
    for text in [
        "185/60 R 13",
        "185/60r13",
        " 185/60R13 ",
        "185/60R13 80",
        "185/60R13 XL",
    ] {
        assert_eq!(
            Tyre::parse(text).unwrap().designation,
            plain.designation,
            "{text}"
        );
    }
    let rated = Tyre::parse("185/60R13 80H").unwrap();
    assert_eq!(
        (rated.load_index, rated.speed_symbol),
        (Some(80), Some('H'))
    );
    assert!((rated.rated_speed().unwrap() * 3.6 - 210.0).abs() < 1e-9);
    assert_eq!(Tyre::parse("185/60VR13").unwrap().speed_symbol, Some('V'));
    assert_eq!(
        Tyre::parse("205/45ZR16 83W").unwrap().speed_symbol,
        Some('W')
    );
}

/// Full-profile sizes: 80 % of the width (common practice), 155R13 about 578 mm (memory).
#[test]
fn full_profile_sizes_take_four_fifths() {
    let tyre = Tyre::parse("155R13").unwrap();
    assert!(tyre.is_full_profile());
    assert_eq!(tyre.diameter(), 0.578);
    assert!(Tyre::parse("155-13").unwrap().rolling_radius() < tyre.rolling_radius());
}

#[test]
fn race_sizes_give_the_diameter() {
    assert_eq!(Tyre::parse("180/550-13").unwrap().diameter(), 0.55);
    assert_eq!(Tyre::parse("180/550R13").unwrap().diameter(), 0.55);
    let inches = Tyre::parse("8.0/20.0-13").unwrap().diameter();
    assert!((inches - 20.0 * 0.0254).abs() < 1e-12);
    assert!((radius("180/550-13") - 3.05 * 0.55 / (2.0 * PI)).abs() < 1e-15);
}

/// The smallest that are read, and what is smaller still.
#[test]
fn race_sizes_have_room_for_their_rim() {
    for size in ["4.0/20.0-13", "180/550-10", "180/410-15"] {
        assert!(Tyre::parse(size).is_ok(), "{size}");
    }
    assert!(Tyre::parse("3.9/20.0-13").is_err());
    assert_eq!(Tyre::parse("180/550-9"), Err(TyreError::Rim(9.0)));
    assert_eq!(Tyre::parse("180/400-16"), Err(TyreError::Rim(16.0)));
}

#[test]
fn refuses_what_is_no_tyre() {
    for text in [
        "",
        "185",
        "185/60",
        "185/60R",
        "185x60R13",
        "185/60Q13",
        "R13",
        "185/60R13 80H9",
    ] {
        assert!(Tyre::parse(text).is_err(), "{text}");
    }
    assert_eq!(Tyre::parse("185/60R9"), Err(TyreError::Rim(9.0)));
    assert_eq!(
        Tyre::parse("1850/60R13").unwrap_err().to_string(),
        "no car tyre has a section width in mm of 1850"
    );
    assert!(Tyre::parse("185/10R13").is_err());
    assert_eq!(
        Tyre::parse("185/60 R13 80I"),
        Err(TyreError::Symbol("I".to_owned()))
    );
}

#[test]
fn figures_parted_otherwise_are_told_as_a_size() {
    let meant = Err(TyreError::Parted("185/60R13".to_owned()));
    for text in [
        "185-60-13",
        "185 60 13",
        "185/60/13",
        "185x60x13",
        "P185/60R13",
    ] {
        assert_eq!(Tyre::parse(text), meant, "{text}");
    }
    let other = Tyre::parse("12-34-56").unwrap_err();
    assert!(!matches!(other, TyreError::Parted(_)), "{other}");
}

#[test]
fn a_rolled_out_distance_is_a_circumference() {
    assert!((radius_of_rolled_out(1.757) - 0.279_635).abs() < 1e-6);
}

/// Widths from 100 mm on are tyres; a second number beyond 100 is no share of the width.
#[test]
fn narrow_tyres_and_tall_numbers() {
    assert!(Tyre::parse("105/70R14").is_ok());
    let what = |text: &str| match Tyre::parse(text) {
        Err(TyreError::Range { what, .. }) => what,
        other => panic!("{text}: {other:?}"),
    };
    assert_eq!(what("95/70R14"), "a section width in mm of");
    assert_eq!(what("195/105R15"), "an overall diameter in mm of");
}

/// `ZR` is a radial as `R` is, and rolls as far.
#[test]
fn a_radial_for_high_speeds_rolls_as_other_radials_do() {
    let [plain, fast, cross] = ["205/45R16", "205/45ZR16", "205/45-16"]
        .map(|text| Tyre::parse(text).unwrap().rolling_radius());
    assert_eq!(plain, fast);
    assert!(cross < plain, "{cross} {plain}");
}
