//! What a standard does for the engine at hand: naturally aspirated or boosted, spark or
//! compression ignition.

use super::correction::{CorrectionError, Standard};
use crate::air::Air;
use crate::units::ZERO_CELSIUS;

/// How an engine gets its air.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Breathing {
    /// Naturally aspirated.
    Natural,
    /// Boosted by a blower that the engine drives.
    Supercharged,
    /// Boosted by its exhaust.
    Turbocharged,
}

/// How an engine lights its mixture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Ignition {
    /// By spark.
    Spark,
    /// By compression.
    Compression {
        /// Fuel per litre of displacement and cycle, mg, where known.
        fuel: Option<f64>,
        /// Absolute boost pressure over that of the inlet; 1 where nothing boosts.
        boost_ratio: f64,
    },
}

/// The engine as far as a correction standard asks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Engine {
    /// How it gets its air.
    pub breathing: Breathing,
    /// How it lights its mixture.
    pub ignition: Ignition,
}

/// Why a standard's formula is not used for an engine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NotCorrected {
    /// The standard's formula is for engines that breathe freely.
    Boosted,
    /// The formula for compression ignition needs the fuel per litre and cycle.
    FuelUnknown,
    /// The standard has no formula known here for compression ignition.
    CompressionIgnition,
}

impl Default for Engine {
    /// Naturally aspirated, spark ignition.
    fn default() -> Self {
        Self {
            breathing: Breathing::Natural,
            ignition: Ignition::Spark,
        }
    }
}

impl Engine {
    /// Why a standard's formula is not used for this engine, if it is not: figures are then
    /// compared as read.
    ///
    /// ISO 1585 and its relatives use one formula for spark ignition with and without boost, and
    /// another for compression ignition (from memory). The others are stated here for naturally
    /// aspirated spark ignition alone; a boost held to an absolute pressure makes good most of what
    /// thin air takes, and a full correction would flatter the engine.
    pub fn not_corrected(&self, standard: Standard) -> Option<NotCorrected> {
        if matches!(standard, Standard::Uncorrected | Standard::Unknown) {
            return None;
        }
        match self.ignition {
            Ignition::Compression { fuel, .. } => match (standard.is_iso_family(), fuel) {
                (false, _) => Some(NotCorrected::CompressionIgnition),
                (true, None) => Some(NotCorrected::FuelUnknown),
                (true, Some(_)) => None,
            },
            Ignition::Spark => {
                let free = self.breathing == Breathing::Natural;
                (!free && !standard.is_iso_family()).then_some(NotCorrected::Boosted)
            }
        }
    }

    /// The factor that brings figures as read in `air` to a standard; 1 where its formula is not
    /// used for this engine, `None` for [`Standard::Unknown`].
    pub fn factor(&self, standard: Standard, air: &Air) -> Option<f64> {
        if self.not_corrected(standard).is_some() {
            return Some(1.0);
        }
        self.formula(standard, air)
    }

    /// The standard's own formula, whether or not it should be used for this engine.
    fn formula(&self, standard: Standard, air: &Air) -> Option<f64> {
        match self.ignition {
            Ignition::Compression {
                fuel: Some(fuel),
                boost_ratio,
            } if standard.is_iso_family() => {
                Some(compression_factor(air, self.breathing, fuel, boost_ratio))
            }
            _ => standard.factor(air),
        }
    }

    /// The multiplier that brings figures corrected to one standard to another.
    ///
    /// Through the observed figures: the other's factor over this one's, both in the air of the
    /// pull. Between equal standards it is 1 and needs no weather. What a dyno has applied comes off
    /// again even where the standard is not for the engine.
    ///
    /// # Errors
    /// Weather needed and not known; one side unknown, the other not.
    pub fn bring(
        &self,
        from: Standard,
        to: Standard,
        air: Option<&Air>,
    ) -> Result<f64, CorrectionError> {
        if from == to {
            return Ok(1.0);
        }
        if from == Standard::Unknown || to == Standard::Unknown {
            return Err(CorrectionError::Unknown { from, to });
        }
        let air = air.ok_or(CorrectionError::NoWeather { from, to })?;
        match (self.formula(from, air), self.factor(to, air)) {
            (Some(from), Some(to)) => Ok(to / from),
            _ => Err(CorrectionError::Unknown { from, to }),
        }
    }

    /// What multiplies torque corrected to a standard to give the engine's torque in another air.
    /// 1 for boosted engines, whose boost, not the weather, sets what they breathe.
    pub fn in_air(&self, standard: Standard, air: &Air) -> f64 {
        match self.breathing {
            Breathing::Natural => 1.0 / self.factor(standard.for_venue(), air).unwrap_or(1.0),
            Breathing::Supercharged | Breathing::Turbocharged => 1.0,
        }
    }
}

/// ISO 1585 and UN R85 for compression ignition: f_a^f_m with f_m = 0.036·q/r − 1.14 for q/r from
/// 37.2 to 65 mg/(l·cycle), held constant outside, and f_a = (99/p_d)·(T/298)^0.7 unboosted or
/// mechanically boosted, (99/p_d)^0.7·(T/298)^1.5 turbocharged, p_d in kPa (exponents of f_a from
/// memory, the rest as an engine maker's manual prints it).
pub fn compression_factor(air: &Air, breathing: Breathing, fuel: f64, boost_ratio: f64) -> f64 {
    let pressure = 99e3 / air.dry_pressure();
    let temperature = (air.temperature - ZERO_CELSIUS + 273.0) / 298.0;
    let atmospheric = match breathing {
        Breathing::Natural | Breathing::Supercharged => pressure * temperature.powf(0.7),
        Breathing::Turbocharged => pressure.powf(0.7) * temperature.powf(1.5),
    };
    atmospheric.powf(0.036 * (fuel / boost_ratio).clamp(37.2, 65.0) - 1.14)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::dyno::STANDARDS;
    use approx::assert_relative_eq;

    fn mild() -> Air {
        Air::new(100_900.0, 291.15, 0.55).unwrap()
    }

    #[test]
    fn analytic_there_and_back_through_any_standard() {
        let engine = Engine::default();
        let (air, observed) = (mild(), 163.2);
        for from in STANDARDS {
            for to in STANDARDS {
                let there = engine.bring(from, to, Some(&air)).unwrap();
                let back = engine.bring(to, from, Some(&air)).unwrap();
                assert_relative_eq!(there * back, 1.0, max_relative = 1e-15);
            }
            let down = engine.bring(from, Standard::Uncorrected, Some(&air));
            let up = engine.bring(Standard::Uncorrected, from, Some(&air));
            let again = observed * down.unwrap() * up.unwrap();
            assert_relative_eq!(again, observed, max_relative = 1e-12);
        }
    }

    #[test]
    fn equal_standards_need_no_weather_and_unequal_ones_do() {
        let engine = Engine::default();
        let air = mild();
        let (din, std, unknown) = (Standard::Din70020, Standard::SaeJ607, Standard::Unknown);
        assert_eq!(engine.bring(din, din, None), Ok(1.0));
        assert_eq!(engine.bring(unknown, unknown, None), Ok(1.0));
        assert!(engine.bring(std, din, None).is_err());
        assert!(engine.bring(unknown, din, Some(&air)).is_err());
        assert!(engine.bring(din, unknown, Some(&air)).is_err());
    }

    #[test]
    fn analytic_the_venue_is_the_way_back() {
        let (engine, air) = (Engine::default(), mild());
        let factor = Standard::Iso1585.factor(&air).unwrap();
        assert_relative_eq!(engine.in_air(Standard::Iso1585, &air), 1.0 / factor);
        let din = Standard::Din70020.factor(&air).unwrap();
        for without in [Standard::Unknown, Standard::Uncorrected] {
            assert_relative_eq!(engine.in_air(without, &air), 1.0 / din);
        }
    }

    #[test]
    fn boosted_engines_get_the_iso_rule_or_none() {
        let turbo = Engine {
            breathing: Breathing::Turbocharged,
            ..Engine::default()
        };
        let air = mild();
        assert_eq!(
            turbo.not_corrected(Standard::SaeJ1349),
            Some(NotCorrected::Boosted)
        );
        assert_eq!(turbo.factor(Standard::SaeJ1349, &air), Some(1.0));
        assert_eq!(turbo.not_corrected(Standard::UnR85), None);
        assert_eq!(
            turbo.factor(Standard::UnR85, &air),
            Standard::UnR85.factor(&air)
        );
        assert_eq!(turbo.in_air(Standard::UnR85, &Air::isa(1500.0)), 1.0);
        let off = turbo.bring(Standard::SaeJ1349, Standard::Uncorrected, Some(&air));
        let applied = Standard::SaeJ1349.factor(&air).unwrap();
        assert_relative_eq!(off.unwrap(), 1.0 / applied);
        let free = Engine::default().in_air(Standard::UnR85, &Air::isa(1500.0));
        assert!((0.8..0.9).contains(&free), "{free}");
    }

    /// The engine factor of UN R85 is 0.2 up to 37.2 and 1.2 from 65 mg/(l·cycle) on.
    #[test]
    fn reference_compression_ignition_exponent() {
        let air = Air::new(95_000.0, 303.15, 0.0).unwrap();
        let natural = |fuel| compression_factor(&air, Breathing::Natural, fuel, 1.0);
        let atmospheric = 99.0f64 / 95.0 * (303.0f64 / 298.0).powf(0.7);
        assert_relative_eq!(
            natural(20.0),
            atmospheric.powf(0.1992),
            max_relative = 1e-12
        );
        assert_relative_eq!(natural(80.0), atmospheric.powf(1.2), max_relative = 1e-12);
        let boosted = compression_factor(&air, Breathing::Turbocharged, 100.0, 2.0);
        let turbo = (99.0f64 / 95.0).powf(0.7) * (303.0f64 / 298.0).powf(1.5);
        assert_relative_eq!(boosted, turbo.powf(0.66), max_relative = 1e-12);
        let diesel = |fuel| Engine {
            breathing: Breathing::Natural,
            ignition: Ignition::Compression {
                fuel,
                boost_ratio: 1.0,
            },
        };
        assert_eq!(
            diesel(None).not_corrected(Standard::Iso1585),
            Some(NotCorrected::FuelUnknown)
        );
        assert_eq!(
            diesel(Some(50.0)).not_corrected(Standard::SaeJ1349),
            Some(NotCorrected::CompressionIgnition)
        );
        let factor = diesel(Some(80.0)).factor(Standard::Iso1585, &air).unwrap();
        assert_relative_eq!(factor, natural(80.0));
    }
}
