//! Correction standards: what an engine would have made in one agreed air.
//!
//! The factor multiplies measured torque and power. With p the total and p_d the dry pressure in
//! hPa and t in °C:
//!
//! | standard | factor | reference air |
//! |---|---|---|
//! | SAE J1349 | 1.180·(990/p_d)·√((t + 273)/298) − 0.180 | 990 hPa dry, 25 °C |
//! | SAE J607 ("STD") | (1013.2/p_d)·√((t_F + 459.7)/519.7) | 29.92 inHg dry, 60 °F |
//! | ISO 1585, UN R85, 80/1269/EEC, JIS D 1001 | (990/p_d)^1.2·((t + 273)/298)^0.6 | 990 hPa dry, 298 K |
//! | DIN 70020 | (1013/p)·√((t + 273)/293), or p_d for p | 1013 hPa, 20 °C |
//!
//! The standards' texts were not opened. J1349, J607, 80/1269/EEC and DIN 70020 are as public
//! technical articles quote them; that ISO 1585 and UN R85 use the formula of 80/1269/EEC, that
//! JIS D 1001:1993 equals ISO 1585, and all limits of validity are from memory. Sources disagree on
//! whether DIN 70020 means total or dry pressure: both are offered, total is the usual one.
//! The 0.180 of J1349 is the rounded friction share of a mechanical efficiency of 0.85.

use crate::air::Air;
use crate::units::{INCH_OF_MERCURY, ZERO_CELSIUS};

/// A correction standard: what pulls are brought to before they are compared.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Standard {
    /// SAE J1349, net power.
    SaeJ1349,
    /// The older SAE standard atmosphere of J607, often printed as "STD".
    SaeJ607,
    /// ISO 1585, net power of road vehicle engines.
    Iso1585,
    /// UN Regulation No. 85.
    UnR85,
    /// Directive 80/1269/EEC.
    Eec80_1269,
    /// DIN 70020, total pressure, 1013 hPa and 20 °C.
    Din70020,
    /// DIN 70020 read as dry pressure.
    Din70020Dry,
    /// JIS D 1001.
    JisD1001,
    /// As read, no correction.
    Uncorrected,
    /// Already corrected, nobody knows to what; accepted only where all of the day is.
    Unknown,
}

/// The standards that have a formula.
pub const STANDARDS: [Standard; 8] = [
    Standard::SaeJ1349,
    Standard::SaeJ607,
    Standard::Iso1585,
    Standard::UnR85,
    Standard::Eec80_1269,
    Standard::Din70020,
    Standard::Din70020Dry,
    Standard::JisD1001,
];

/// A limit of validity that an air exceeds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outside {
    /// What is outside.
    pub what: Limited,
    /// The value found: K, Pa or a plain factor.
    pub value: f64,
    /// The lowest value the standard allows.
    pub low: f64,
    /// The highest value the standard allows.
    pub high: f64,
}

/// What a standard limits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limited {
    /// The temperature of the intake air, K.
    Temperature,
    /// The dry pressure, Pa.
    DryPressure,
    /// The factor itself.
    Factor,
}

/// Why figures cannot be brought to a standard.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum CorrectionError {
    /// The weather of the pull is needed and not known.
    #[error("bringing {} to {} needs the weather of the pull", from.spoken(), to.spoken())]
    NoWeather {
        /// What the figures are corrected to.
        from: Standard,
        /// What they should be corrected to.
        to: Standard,
    },
    /// One side is unknown, the other is not.
    #[error("figures corrected to {} cannot be brought to {}", from.name(), to.name())]
    Unknown {
        /// What the figures are corrected to.
        from: Standard,
        /// What they should be corrected to.
        to: Standard,
    },
}

impl Standard {
    /// The name as the trade writes it.
    pub fn name(self) -> &'static str {
        match self {
            Self::SaeJ1349 => "SAE J1349",
            Self::SaeJ607 => "SAE J607",
            Self::Iso1585 => "ISO 1585",
            Self::UnR85 => "UN R85",
            Self::Eec80_1269 => "80/1269/EEC",
            Self::Din70020 => "DIN 70020",
            Self::Din70020Dry => "DIN 70020 dry",
            Self::JisD1001 => "JIS D 1001",
            Self::Uncorrected => "none",
            Self::Unknown => "unknown",
        }
    }

    /// The name in a sentence.
    fn spoken(self) -> &'static str {
        match self {
            Self::Uncorrected => "figures as read",
            named => named.name(),
        }
    }

    /// The factor that brings figures as read in `air` to this standard: 1 for
    /// [`Standard::Uncorrected`], `None` for [`Standard::Unknown`].
    pub fn factor(self, air: &Air) -> Option<f64> {
        let dry = air.dry_pressure() / 100.0;
        // The standards count kelvins from −273 °C.
        let kelvin = air.temperature - ZERO_CELSIUS + 273.0;
        Some(match self {
            Self::SaeJ1349 => 1.180 * (990.0 / dry) * (kelvin / 298.0).sqrt() - 0.180,
            Self::SaeJ607 => {
                let fahrenheit = (air.temperature - ZERO_CELSIUS) * 1.8 + 32.0;
                J607_PRESSURE / dry * ((fahrenheit + 459.7) / 519.7).sqrt()
            }
            Self::Iso1585 | Self::UnR85 | Self::Eec80_1269 | Self::JisD1001 => {
                (990.0 / dry).powf(1.2) * (kelvin / 298.0).powf(0.6)
            }
            Self::Din70020 => 1013.0 / (air.pressure / 100.0) * (kelvin / 293.0).sqrt(),
            Self::Din70020Dry => 1013.0 / dry * (kelvin / 293.0).sqrt(),
            Self::Uncorrected => 1.0,
            Self::Unknown => return None,
        })
    }

    /// The standard whose factor tells the engine's torque in a venue's air: this one, or DIN 70020
    /// where figures are uncorrected or corrected to something unknown.
    pub fn for_venue(self) -> Self {
        match self {
            Self::Uncorrected | Self::Unknown => Self::Din70020,
            known => known,
        }
    }

    /// Whether it is ISO 1585 or one of those that use its formula.
    pub fn is_iso_family(self) -> bool {
        matches!(
            self,
            Self::Iso1585 | Self::UnR85 | Self::Eec80_1269 | Self::JisD1001
        )
    }

    /// The limits of validity that an air exceeds; the figures stay usable, with a warning.
    ///
    /// ISO 1585 and its relatives: 288 to 308 K, 80 to 110 kPa dry, factor 0.93 to 1.07. SAE J1349:
    /// 15 to 35 °C, 90 to 105 kPa dry. Both from memory; the others state none that is known here.
    pub fn outside(self, air: &Air) -> Vec<Outside> {
        let factor = self.factor(air).unwrap_or(1.0);
        let kelvin = air.temperature - ZERO_CELSIUS + 273.0;
        let limits: &[(Limited, f64, f64, f64)] = match self {
            Self::Iso1585 | Self::UnR85 | Self::Eec80_1269 | Self::JisD1001 => &[
                (Limited::Temperature, kelvin, 288.0, 308.0),
                (Limited::DryPressure, air.dry_pressure(), 80e3, 110e3),
                (Limited::Factor, factor, 0.93, 1.07),
            ],
            Self::SaeJ1349 => &[
                (Limited::Temperature, kelvin, 288.0, 308.0),
                (Limited::DryPressure, air.dry_pressure(), 90e3, 105e3),
            ],
            _ => &[],
        };
        limits
            .iter()
            .filter(|(_, value, low, high)| !(low..=high).contains(&value))
            .map(|&(what, value, low, high)| Outside {
                what,
                value,
                low,
                high,
            })
            .collect()
    }
}

/// 29.92 inHg in hPa.
const J607_PRESSURE: f64 = 29.92 * INCH_OF_MERCURY / 100.0;

/// What a factor printed by a dyno turns out to be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PrintedFactor {
    /// What the named standard gives in that air.
    AsNamed,
    /// What another standard gives.
    Of(Standard),
    /// J1349 in its inHg and °F form with 505 misprinted for 537 (= 77 °F + 460) under the root.
    Misprint505,
    /// None of these; the named standard's factor is given.
    Unexplained(f64),
}

/// Compares a factor a dyno printed with what its named standard gives in that air, and looks for
/// what it may be instead. Factors count as equal within 0.2 %, what reading a barometer to 1 hPa
/// and a thermometer to 1 K leaves.
///
/// `None` where the named standard has no factor.
pub fn recognise(printed: f64, named: Standard, air: &Air) -> Option<PrintedFactor> {
    let off = |factor: f64| (printed / factor - 1.0).abs();
    let own = named.factor(air)?;
    if off(own) <= AGREES {
        return Some(PrintedFactor::AsNamed);
    }
    let misprint = (Standard::SaeJ1349.factor(air)? + 0.180) * (537.0f64 / 505.0).sqrt() - 0.180;
    let others = STANDARDS
        .into_iter()
        .filter_map(|other| Some((PrintedFactor::Of(other), off(other.factor(air)?))));
    let nearest = others
        .chain([(PrintedFactor::Misprint505, off(misprint))])
        .filter(|(_, off)| *off <= AGREES)
        .min_by(|a, b| a.1.total_cmp(&b.1));
    Some(nearest.map_or(PrintedFactor::Unexplained(own), |(what, _)| what))
}

/// Factors count as equal within this, relative.
const AGREES: f64 = 2e-3;

#[cfg(test)]
mod tests {
    use super::*;

    fn mild() -> Air {
        Air::new(100_900.0, 291.15, 0.55).unwrap()
    }

    /// Common practice, no source: an ordinary day moves the figure by half a percent to a few
    /// percent.
    #[test]
    fn trade_fact_an_ordinary_day_moves_the_figure_a_little() {
        for standard in STANDARDS {
            let mut shifts = Vec::new();
            for hectopascal in [990.0, 1000.0, 1010.0, 1020.0, 1030.0] {
                for celsius in [8.0, 13.0, 18.0, 23.0, 28.0] {
                    let air = Air::new(hectopascal * 100.0, celsius + 273.15, 0.6).unwrap();
                    shifts.push((standard.factor(&air).unwrap() - 1.0).abs());
                }
            }
            shifts.sort_by(f64::total_cmp);
            let (median, most) = (shifts[12], shifts[24]);
            assert!((0.005..0.035).contains(&median), "{standard:?} {median}");
            assert!((0.02..0.08).contains(&most), "{standard:?} {most}");
        }
    }

    #[test]
    fn a_printed_factor_is_told_apart() {
        let air = mild();
        let own = Standard::SaeJ1349.factor(&air).unwrap();
        let named = |printed| recognise(printed, Standard::SaeJ1349, &air).unwrap();
        assert_eq!(named(own + 0.001), PrintedFactor::AsNamed);
        let std = Standard::SaeJ607.factor(&air).unwrap();
        assert_eq!(named(std), PrintedFactor::Of(Standard::SaeJ607));
        // The same formula with 505 for 537: √(537/505) is 3.1 %.
        let misprinted =
            1.180 * (99_000.0 / air.dry_pressure()) * (524.07f64 / 505.0).sqrt() - 0.180;
        assert_eq!(named(misprinted), PrintedFactor::Misprint505);
        assert!(matches!(named(1.2), PrintedFactor::Unexplained(_)));
        assert_eq!(recognise(1.0, Standard::Unknown, &air), None);
    }
}
