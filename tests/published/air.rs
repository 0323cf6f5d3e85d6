//! Vapour pressure, moist air and the standard atmosphere.

use approx::assert_relative_eq;
use pullrank::air::{Air, isa_pressure, saturation_pressure};

use super::{number, table};

/// IAPWS-95, IAPWS-IF97, Hyland–Wexler and CIPM-2007: all within 0.15 %, 0 to 50 °C.
#[test]
fn reference_vapour_pressure() {
    let rows = table("air/vapour_pressure.csv");
    assert_eq!(rows.len(), 11);
    for row in rows {
        let ours = saturation_pressure(number(&row, "t_C") + 273.15);
        for column in [
            "IAPWS95_CoolProp_Pa",
            "IAPWS_IF97_Pa",
            "hyland_wexler_ASHRAE_Pa",
            "CIPM2007_psv_Pa",
        ] {
            assert_relative_eq!(ours, number(&row, column), max_relative = 1.5e-3);
        }
        assert_relative_eq!(
            ours,
            number(&row, "Buck1996_18.678_Pa"),
            max_relative = 2e-6
        );
    }
}

/// CIPM-2007 and two libraries. 6e-4 is what an ideal mixture leaves out (compressibility).
#[test]
fn reference_moist_air_density() {
    let rows = table("air/moist_air_density.csv");
    assert_eq!(rows.len(), 12);
    for row in rows {
        let air = Air::new(
            number(&row, "p_Pa"),
            number(&row, "t_C") + 273.15,
            number(&row, "rh_fraction"),
        )
        .unwrap();
        for column in [
            "CIPM2007_kg_m3",
            "CoolProp_HumidAir_kg_m3",
            "psychrolib_kg_m3",
        ] {
            assert_relative_eq!(air.density(), number(&row, column), max_relative = 6e-4);
        }
    }
}

/// ISO 2533 through a general library (ambiance).
#[test]
fn reference_standard_atmosphere() {
    let rows = table("air/isa.csv");
    assert_eq!(rows.len(), 10);
    for row in rows {
        let altitude = number(&row, "H_geopotential_m");
        // The table is by geopotential altitude, `isa` takes an elevation.
        let elevation = 6_356_766.0 * altitude / (6_356_766.0 - altitude);
        let air = Air::isa(elevation);
        assert_relative_eq!(air.pressure, number(&row, "p_Pa"), max_relative = 1e-6);
        assert_relative_eq!(air.temperature, number(&row, "T_K"), max_relative = 1e-9);
        assert_relative_eq!(
            air.density(),
            number(&row, "rho_ambiance1.3.1_kg_m3"),
            max_relative = 2e-6
        );
    }
}

/// A workshop's printed table of pressure drop by altitude, rounded to whole hPa (by its maker, not
/// always to the nearest): within 4 hPa up to 2,500 m.
#[test]
fn reference_workshop_pressure_drop() {
    let rows = table("air/altitude_pressure_drop.csv");
    assert_eq!(rows.len(), 30);
    for row in rows {
        let drop = (101_325.0 - isa_pressure(number(&row, "h_m"))) / 100.0;
        let printed = number(&row, "published_drop_hPa");
        assert!((drop - printed).abs() <= 4.0, "{drop} {printed}");
    }
}

/// Dew point by inverting Hyland–Wexler, wet bulb by ASHRAE's heat balance (PsychroLib); the
/// tolerance is what the two saturation formulas differ by.
#[test]
fn reference_dew_point_and_wet_bulb() {
    let rows = table("air/wet_bulb.csv");
    assert_eq!(rows.len(), 8);
    for row in rows {
        let (p, t) = (number(&row, "p_Pa"), number(&row, "t_C") + 273.15);
        let rh = number(&row, "rh_fraction");
        // Below freezing the library means frost; weather reports mean dew over water (WMO).
        if number(&row, "dew_point_C") > 0.0 {
            let dew = number(&row, "dew_point_C") + 273.15;
            let air = Air::from_dew_point(p, t, dew).unwrap();
            assert!((air.humidity - rh).abs() < 5e-4, "{}", air.humidity);
        }
        let by_wet = Air::from_wet_bulb(p, t, number(&row, "wet_bulb_C") + 273.15).unwrap();
        assert!((by_wet.humidity - rh).abs() < 1e-3, "{}", by_wet.humidity);
    }
}
