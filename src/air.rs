//! The air: what an engine breathes and a body pushes through. A leaf that `dyno` and `venue` share.
//!
//! Saturation pressure over water after Buck (1996), density as an ideal mixture of dry air and
//! water vapour, the standard atmosphere after ISO 2533. Against CIPM-2007 the ideal mixture is
//! 0.04 % light: it leaves out compressibility.

use crate::units::{STANDARD_GRAVITY, ZERO_CELSIUS};

/// Specific gas constant of dry air, J/(kg·K). ISO 2533.
const GAS_DRY: f64 = 287.052_87;
/// Specific gas constant of water vapour, J/(kg·K): 8.314 463 / 0.018 015 27.
const GAS_VAPOUR: f64 = 461.523;
/// Molar mass of water over that of dry air, ASHRAE.
const MOLAR_RATIO: f64 = 0.621_945;
/// Sea-level temperature, pressure and temperature gradient of the standard atmosphere
/// (K, Pa, K/m). ISO 2533.
const ISA_TEMPERATURE: f64 = 288.15;
const ISA_PRESSURE: f64 = 101_325.0;
const ISA_LAPSE: f64 = 0.0065;
/// Nominal earth radius of ISO 2533, m: turns an elevation into a geopotential altitude.
const ISA_RADIUS: f64 = 6_356_766.0;

/// Why three numbers are no air an engine runs in.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum AirError {
    /// Pressure outside 50 to 110 kPa, in Pa.
    #[error("a pressure of {:.1} hPa: barometers show 500 to 1100 hPa", .0 / 100.0)]
    Pressure(f64),
    /// Temperature outside −50 to 60 °C, in K.
    #[error("a temperature of {:.1} °C: expected −50 to 60 °C", .0 - ZERO_CELSIUS)]
    Temperature(f64),
    /// Relative humidity outside 0 to 1.
    #[error("a relative humidity of {:.0} %: expected 0 to 100 %", .0 * 100.0)]
    Humidity(f64),
    /// Dew point above the temperature, both in K.
    #[error("a dew point of {:.1} °C above the temperature of {:.1} °C", .dew_point - ZERO_CELSIUS, .temperature - ZERO_CELSIUS)]
    DewPoint {
        /// Dew point, K.
        dew_point: f64,
        /// Air temperature, K.
        temperature: f64,
    },
    /// A wet bulb that reads above the dry one, or so low that no vapour is left, both in K.
    #[error("a wet bulb of {:.1} °C at a temperature of {:.1} °C cannot be", .wet_bulb - ZERO_CELSIUS, .temperature - ZERO_CELSIUS)]
    WetBulb {
        /// Wet-bulb temperature, K.
        wet_bulb: f64,
        /// Air temperature, K.
        temperature: f64,
    },
}

/// A state of moist air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Total (barometric) pressure at the place, Pa.
    pub pressure: f64,
    /// Temperature, K.
    pub temperature: f64,
    /// Relative humidity, 0 to 1.
    pub humidity: f64,
}

impl Air {
    /// Air from pressure (Pa), temperature (K) and relative humidity (0 to 1).
    ///
    /// # Errors
    /// A value outside what barometers, thermometers and hygrometers show, or not a number.
    pub fn new(pressure: f64, temperature: f64, humidity: f64) -> Result<Self, AirError> {
        if !(50_000.0..=110_000.0).contains(&pressure) {
            return Err(AirError::Pressure(pressure));
        }
        if !(223.15..=333.15).contains(&temperature) {
            return Err(AirError::Temperature(temperature));
        }
        if !(0.0..=1.0).contains(&humidity) {
            return Err(AirError::Humidity(humidity));
        }
        Ok(Self {
            pressure,
            temperature,
            humidity,
        })
    }

    /// Air from pressure (Pa), temperature (K) and dew point (K).
    ///
    /// # Errors
    /// As [`Air::new`], and a dew point above the temperature.
    pub fn from_dew_point(
        pressure: f64,
        temperature: f64,
        dew_point: f64,
    ) -> Result<Self, AirError> {
        let dry = Self::new(pressure, temperature, 0.0)?;
        if !(200.0..=temperature).contains(&dew_point) {
            return Err(AirError::DewPoint {
                dew_point,
                temperature,
            });
        }
        let humidity = saturation_pressure(dew_point) / saturation_pressure(temperature);
        Ok(Self { humidity, ..dry })
    }

    /// Air from pressure (Pa), dry-bulb and ventilated wet-bulb temperature (K).
    ///
    /// The heat balance of adiabatic saturation, ASHRAE Handbook of Fundamentals, chapter
    /// "Psychrometrics" (from memory, checked against a library in the tests):
    /// W = ((2501 − 2.326 t_w)·W_s(t_w) − 1.006 (t − t_w)) / (2501 + 1.86 t − 4.186 t_w), t in °C.
    ///
    /// # Errors
    /// As [`Air::new`], and a wet bulb above the dry one or too low to leave any vapour.
    pub fn from_wet_bulb(pressure: f64, temperature: f64, wet_bulb: f64) -> Result<Self, AirError> {
        let dry = Self::new(pressure, temperature, 0.0)?;
        let (t, t_w) = (temperature - ZERO_CELSIUS, wet_bulb - ZERO_CELSIUS);
        let saturation = saturation_pressure(wet_bulb);
        let saturated = MOLAR_RATIO * saturation / (pressure - saturation);
        let ratio = ((2501.0 - 2.326 * t_w) * saturated - 1.006 * (t - t_w))
            / (2501.0 + 1.86 * t - 4.186 * t_w);
        let vapour = pressure * ratio / (MOLAR_RATIO + ratio);
        let humidity = vapour / saturation_pressure(temperature);
        if !(0.0..=1.0).contains(&humidity) || wet_bulb > temperature {
            return Err(AirError::WetBulb {
                wet_bulb,
                temperature,
            });
        }
        Ok(Self { humidity, ..dry })
    }

    /// Dry standard air (ISO 2533) at an elevation in m above the sea, up to 11 km.
    pub fn isa(elevation: f64) -> Self {
        let altitude = geopotential(elevation);
        Self {
            pressure: isa_pressure(altitude),
            temperature: ISA_TEMPERATURE - ISA_LAPSE * altitude,
            humidity: 0.0,
        }
    }

    /// Partial pressure of the water vapour, Pa.
    pub fn vapour_pressure(&self) -> f64 {
        self.humidity * saturation_pressure(self.temperature)
    }

    /// Partial pressure of the dry air, Pa.
    pub fn dry_pressure(&self) -> f64 {
        self.pressure - self.vapour_pressure()
    }

    /// Density, kg/m³.
    pub fn density(&self) -> f64 {
        (self.dry_pressure() / GAS_DRY + self.vapour_pressure() / GAS_VAPOUR) / self.temperature
    }
}

/// Saturation pressure of water vapour over liquid water, Pa, at a temperature in K.
///
/// A. L. Buck, 1996 revision of "New equations for computing vapor pressure and enhancement
/// factor", J. Appl. Meteorol. 20 (1981) 1527–1532. Within 0.1 % of the IAPWS formulations from
/// 0 to 50 °C. Over water below freezing too, as hygrometers are calibrated.
pub fn saturation_pressure(temperature: f64) -> f64 {
    let t = temperature - ZERO_CELSIUS;
    611.21 * ((18.678 - t / 234.5) * t / (257.14 + t)).exp()
}

/// Geopotential altitude, m, of an elevation in m (ISO 2533).
pub fn geopotential(elevation: f64) -> f64 {
    ISA_RADIUS * elevation / (ISA_RADIUS + elevation)
}

/// Pressure of the standard atmosphere, Pa, at a geopotential altitude in m (ISO 2533, up to
/// 11 km).
pub fn isa_pressure(altitude: f64) -> f64 {
    let exponent = STANDARD_GRAVITY / (ISA_LAPSE * GAS_DRY);
    ISA_PRESSURE * (1.0 - ISA_LAPSE * altitude / ISA_TEMPERATURE).powf(exponent)
}

/// Pressure at a place, Pa, from the pressure a weather report reduces to sea level, Pa, and the
/// elevation in m.
///
/// The reduction is the standard atmosphere's (what aviation calls QNH): the reported pressure
/// fixes how far the standard column is shifted.
pub fn station_pressure(sea_level: f64, elevation: f64) -> f64 {
    let exponent = ISA_LAPSE * GAS_DRY / STANDARD_GRAVITY;
    let shift = (sea_level / ISA_PRESSURE).powf(exponent);
    let drop = ISA_LAPSE * geopotential(elevation) / ISA_TEMPERATURE;
    ISA_PRESSURE * (shift - drop).powf(1.0 / exponent)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn analytic_dew_point_at_the_temperature_is_saturated() {
        let air = Air::from_dew_point(101_325.0, 293.15, 293.15).unwrap();
        assert_relative_eq!(air.humidity, 1.0);
    }

    #[test]
    fn analytic_wet_bulb_at_the_dry_bulb_is_saturated() {
        let air = Air::from_wet_bulb(101_325.0, 293.15, 293.15).unwrap();
        assert_relative_eq!(air.humidity, 1.0);
    }

    #[test]
    fn analytic_station_pressure_undoes_the_standard_atmosphere() {
        for elevation in [-300.0, 0.0, 310.0, 1500.0] {
            let here = station_pressure(101_325.0, elevation);
            assert_relative_eq!(here, Air::isa(elevation).pressure, max_relative = 1e-12);
        }
        // A metre of air near the ground weighs about 12 Pa, whatever the day's pressure.
        let drop = 102_500.0 - station_pressure(102_500.0, 100.0);
        assert!((1195.0..1225.0).contains(&drop), "{drop}");
    }

    #[test]
    fn values_no_instrument_shows_are_refused() {
        assert_eq!(
            Air::new(2_990.0, 293.0, 0.5),
            Err(AirError::Pressure(2_990.0))
        );
        assert!(Air::new(f64::NAN, 293.0, 0.5).is_err());
        assert_eq!(Air::new(1e5, 400.0, 0.5), Err(AirError::Temperature(400.0)));
        assert_eq!(Air::new(1e5, 293.0, 1.5), Err(AirError::Humidity(1.5)));
        assert!(Air::from_dew_point(1e5, 293.0, 295.0).is_err());
        assert!(Air::from_wet_bulb(1e5, 293.0, 295.0).is_err());
        assert!(Air::from_wet_bulb(1e5, 313.0, 280.0).is_err());
    }
}
