//! Which tyre sizes are read, and what tyres carry.

use pullrank::car::load::{static_load, too_much};
use pullrank::car::tyre::{Tyre, TyreError, radius_of_rolled_out};

use crate::support::cars::point_mass;

/// The narrowest and widest of what is sold (common practice, no source), and a profile as high as wide.
#[test]
fn sizes_at_the_edges_are_read_and_those_beyond_refused() {
    for size in [
        "105/70R14",
        "395/30R20",
        "165/100R14",
        "165/20R14",
        "19.0/30.0-15",
        "300/890-20",
        "300/405-13",
    ] {
        assert!(Tyre::parse(size).is_ok(), "{size}");
    }
    for (size, what, value) in [
        ("95/70R14", "a section width in mm of", 95.0),
        ("405/30R20", "a section width in mm of", 405.0),
        ("165/15R14", "an aspect number of", 15.0),
        ("165/105R14", "an overall diameter in mm of", 105.0),
        ("300/920-20", "an overall diameter in mm of", 920.0),
        ("300/390-13", "an overall diameter in mm of", 390.0),
        ("31.0/30.0-15", "a section width in mm of", 31.0),
        ("510/700-15", "a section width in mm of", 510.0),
    ] {
        match Tyre::parse(size) {
            Err(TyreError::Range {
                what: of,
                value: said,
            }) => assert_eq!((of, said), (what, value), "{size}"),
            other => panic!("{size}: {other:?}"),
        }
    }
}

/// Two turns of a wheel of 0.3 m roll out 2·2π·0.3 m.
#[test]
fn a_turn_rolls_out_a_circumference() {
    assert!((radius_of_rolled_out(0.6 * std::f64::consts::PI) - 0.3).abs() < 1e-12);
}

/// 60 % of 1,000 kg on an axle are 300 kg a wheel, in front or behind; load index 75 carries 387 kg.
#[test]
fn the_heavier_axle_is_what_the_tyres_must_carry() {
    let mut car = point_mass(1000.0, 1.0);
    for front in [0.6, 0.4] {
        car.front_share = front;
        assert!((static_load(&car, &car.trims[0]) - 300.0).abs() < 1e-9);
    }
    car.front_share = 0.5;
    for (mass, tyre, said) in [
        (1548.0, "185/60R13 75H", None),
        (1552.0, "185/60R13 75H", Some((387.0, 388.0))),
        (1552.0, "185/60R13 76H", None),
        (9000.0, "185/60R13", None),
    ] {
        car.trims[0].mass = mass;
        car.trims[0].tyre = tyre.into();
        assert_eq!(too_much(&car, &car.trims[0]), said, "{tyre} {mass}");
    }
}
