//! Tyre designations to a rolling radius.
//!
//! Overall diameter D of a size code W/A R d is the nominal rim diameter plus twice the section
//! height, the height rounded to whole millimetres (halves up) as the tyre standards do. A radial
//! tyre rolls 3.05·D at its nominal load, pressure and 60 km/h; a cross-ply tyre 2.99·D. Both
//! factors and the five radii in the tests are from a public reprint of a vehicle-design text; the
//! rim diameters are those of ETRTO and ISO 4000-1 (15 and 16 inch read in a dealer's worked
//! examples, the others from memory).

use std::f64::consts::PI;

/// Rolling circumference over overall diameter, radial tyre.
pub const RADIAL: f64 = 3.05;
/// Rolling circumference over overall diameter, cross-ply tyre.
pub const CROSS_PLY: f64 = 2.99;
/// Section height, per cent of the width, of a size without an aspect number (common practice).
pub const FULL_PROFILE: f64 = 80.0;

/// What a tyre designation says.
#[derive(Debug, Clone, PartialEq)]
pub enum Designation {
    /// A size code such as `185/60R13`.
    Metric {
        /// Nominal section width, mm.
        width: f64,
        /// Section height, per cent of the width; `None` where the code has no aspect number.
        aspect: Option<f64>,
        /// Nominal rim diameter code, inches.
        rim: f64,
        /// Radial, as against cross-ply.
        radial: bool,
    },
    /// A race size that gives the overall diameter, such as `180/550-13` or `8.0/20.0-13`.
    Race {
        /// Overall diameter, m.
        diameter: f64,
    },
}

/// A tyre by its designation, with the load index and speed symbol where they are written.
#[derive(Debug, Clone, PartialEq)]
pub struct Tyre {
    /// The size.
    pub designation: Designation,
    /// Load index.
    pub load_index: Option<u32>,
    /// Speed symbol.
    pub speed_symbol: Option<char>,
}

/// Why a text is no tyre designation.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum TyreError {
    /// Not in any of the known forms.
    #[error("this is no tyre size known here")]
    Form,
    /// A rim for which the standards have no nominal diameter.
    #[error("a rim of {0} inches is not one of 10 to 22")]
    Rim(f64),
    /// Width or aspect that no car tyre has.
    #[error("no car tyre has {what} {value}")]
    Range {
        /// Which number.
        what: &'static str,
        /// Its value.
        value: f64,
    },
    /// The three figures of a size, parted otherwise.
    #[error("the figures of a tyre size, parted otherwise: `{0}`?")]
    Parted(String),
    /// A speed symbol nobody uses.
    #[error("`{0}` is no speed symbol")]
    Symbol(String),
}

impl Tyre {
    /// Reads a designation: `185/60R13`, `185/60 R 13 80H`, `185/60VR13`, `155R13`, `155-13`,
    /// `180/550-13`, `180/550R13` or, in inches, `8.0/20.0-13`.
    ///
    /// # Errors
    /// See [`TyreError`].
    pub fn parse(text: &str) -> Result<Self, TyreError> {
        let text = text.trim().to_uppercase().replace('×', "X");
        Self::read(&text).map_err(|error| parted(&text).map_or(error, TyreError::Parted))
    }

    fn read(text: &str) -> Result<Self, TyreError> {
        let (width, rest) = leading_number(text).ok_or(TyreError::Form)?;
        let (second, rest) = match rest.trim_start().strip_prefix('/') {
            Some(rest) => {
                let (value, rest) = leading_number(rest.trim_start()).ok_or(TyreError::Form)?;
                (Some(value), rest)
            }
            None => (None, rest),
        };
        let (letters, rest) = construction(rest)?;
        let (rim, tail) = leading_number(rest.trim_start()).ok_or(TyreError::Form)?;
        let (load_index, symbol) = service(tail)?;
        let designation = match second {
            // A section is never taller than 95 % of its width; a larger number is a diameter.
            Some(second) if width < 30.0 => race(width * 25.4, second * 25.4, rim)?,
            Some(second) if second > 100.0 => race(width, second, rim)?,
            aspect => metric(width, aspect, rim, letters.radial)?,
        };
        let speed_symbol = symbol.or(letters.symbol);
        Ok(Self {
            designation,
            load_index,
            speed_symbol,
        })
    }

    /// Overall diameter, m.
    pub fn diameter(&self) -> f64 {
        match self.designation {
            Designation::Metric {
                width, aspect, rim, ..
            } => {
                // Divided last: 165 × 70 % is 115.5 exactly and rounds up.
                let height = (width * aspect.unwrap_or(FULL_PROFILE) / 100.0 + 0.5).floor();
                (nominal_rim(rim).unwrap_or(rim * 25.4) + 2.0 * height) / 1000.0
            }
            Designation::Race { diameter } => diameter,
        }
    }

    /// Radius at which it rolls, m: rolling circumference over 2π.
    pub fn rolling_radius(&self) -> f64 {
        let factor = match self.designation {
            Designation::Metric { radial: false, .. } => CROSS_PLY,
            _ => RADIAL,
        };
        factor * self.diameter() / (2.0 * PI)
    }

    /// Whether the section height is the full-profile rule's guess.
    pub fn is_full_profile(&self) -> bool {
        matches!(self.designation, Designation::Metric { aspect: None, .. })
    }

    /// Speed of its speed symbol, m/s.
    pub fn rated_speed(&self) -> Option<f64> {
        self.speed_symbol.and_then(symbol_speed)
    }
}

/// The size that is meant by its three figures in order, whatever stands between them: `185-60-13`.
fn parted(text: &str) -> Option<String> {
    let figures = text.split(|c: char| !(c.is_ascii_digit() || c == '.'));
    let figures: Vec<&str> = figures.filter(|figure| !figure.is_empty()).collect();
    let [width, aspect, rim, ..] = figures[..] else {
        return None;
    };
    let meant = format!("{width}/{aspect}R{rim}");
    // A letter that means something, or a sound size with something wrong behind it, is another fault.
    let parts = |c: char| c.is_ascii_digit() || " -/X.RP".contains(c);
    if !text.chars().all(parts) || text.replace(' ', "").starts_with(&meant) {
        return None;
    }
    let is_size = Tyre::read(&meant).is_ok_and(|tyre| {
        matches!(
            tyre.designation,
            Designation::Metric {
                aspect: Some(_),
                ..
            }
        )
    });
    is_size.then_some(meant)
}

/// The rolling radius of a distance rolled in one turn, both in m.
pub fn radius_of_rolled_out(distance: f64) -> f64 {
    distance / (2.0 * PI)
}

/// Speed of a speed symbol, m/s. Public pages of tyre sellers; H stands between U and V.
pub fn symbol_speed(symbol: char) -> Option<f64> {
    let kilometres_per_hour = match symbol.to_ascii_uppercase() {
        'F' => 80.0,
        'G' => 90.0,
        'J' => 100.0,
        'K' => 110.0,
        'L' => 120.0,
        'M' => 130.0,
        'N' => 140.0,
        'P' => 150.0,
        'Q' => 160.0,
        'R' => 170.0,
        'S' => 180.0,
        'T' => 190.0,
        'U' => 200.0,
        'H' => 210.0,
        'V' => 240.0,
        'W' => 270.0,
        'Y' => 300.0,
        _ => return None,
    };
    Some(kilometres_per_hour * crate::units::KILOMETRE_PER_HOUR)
}

/// Nominal rim diameters by rim code, inches and mm.
const RIMS: [(f64, f64); 13] = [
    (10.0, 254.0),
    (11.0, 279.0),
    (12.0, 305.0),
    (13.0, 330.0),
    (14.0, 356.0),
    (15.0, 381.0),
    (16.0, 406.0),
    (17.0, 432.0),
    (18.0, 457.0),
    (19.0, 483.0),
    (20.0, 508.0),
    (21.0, 533.0),
    (22.0, 559.0),
];

/// Nominal rim diameter of a rim code, mm.
fn nominal_rim(code: f64) -> Option<f64> {
    RIMS.iter()
        .find(|(rim, _)| *rim == code)
        .map(|(_, diameter)| *diameter)
}

fn metric(
    width: f64,
    aspect: Option<f64>,
    rim: f64,
    radial: bool,
) -> Result<Designation, TyreError> {
    in_range("a section width in mm of", width, 100.0, 400.0)?;
    if let Some(aspect) = aspect {
        in_range("an aspect number of", aspect, 20.0, 100.0)?;
    }
    nominal_rim(rim).ok_or(TyreError::Rim(rim))?;
    Ok(Designation::Metric {
        width,
        aspect,
        rim,
        radial,
    })
}

fn race(width: f64, diameter: f64, rim: f64) -> Result<Designation, TyreError> {
    in_range("a section width in mm of", width, 100.0, 500.0)?;
    in_range("an overall diameter in mm of", diameter, 400.0, 900.0)?;
    if !(10.0..=22.0).contains(&rim) || diameter <= rim * 25.4 {
        return Err(TyreError::Rim(rim));
    }
    Ok(Designation::Race {
        diameter: diameter / 1000.0,
    })
}

fn in_range(what: &'static str, value: f64, low: f64, high: f64) -> Result<(), TyreError> {
    if (low..=high).contains(&value) {
        Ok(())
    } else {
        Err(TyreError::Range { what, value })
    }
}

/// What stands between the section and the rim.
struct Construction {
    radial: bool,
    symbol: Option<char>,
}

/// `R`, `HR`, `ZR`, `-`, `B` or `D`, and what follows.
fn construction(text: &str) -> Result<(Construction, &str), TyreError> {
    let text = text.trim_start();
    let length = text
        .find(|c: char| !(c.is_ascii_alphabetic() || c == '-'))
        .unwrap_or(text.len());
    let (letters, rest) = text.split_at(length);
    let construction = match letters {
        "R" => Construction {
            radial: true,
            symbol: None,
        },
        "-" | "B" | "D" => Construction {
            radial: false,
            symbol: None,
        },
        // Z stands for "above 240 km/h" and says no speed of its own.
        "ZR" => Construction {
            radial: true,
            symbol: None,
        },
        _ => match letters
            .strip_suffix('R')
            .map(|l| l.chars().collect::<Vec<_>>())
            .as_deref()
        {
            Some([symbol]) => {
                symbol_speed(*symbol).ok_or_else(|| TyreError::Symbol(symbol.to_string()))?;
                Construction {
                    radial: true,
                    symbol: Some(*symbol),
                }
            }
            _ => return Err(TyreError::Form),
        },
    };
    Ok((construction, rest))
}

/// The load index and speed symbol at the end, such as ` 80H`, and `XL` or `REINFORCED` words.
fn service(tail: &str) -> Result<(Option<u32>, Option<char>), TyreError> {
    let mut found = (None, None);
    for word in tail.split_whitespace() {
        if matches!(word, "XL" | "RF" | "REINF" | "REINFORCED" | "TL" | "C") {
            continue;
        }
        let (number, symbol) = word.split_at(
            word.find(|c: char| !c.is_ascii_digit())
                .unwrap_or(word.len()),
        );
        if !number.is_empty() {
            let index: u32 = number.parse().map_err(|_| TyreError::Form)?;
            in_range("a load index of", f64::from(index), 40.0, 130.0)?;
            found.0 = Some(index);
        }
        let mut letters = symbol.chars();
        match (letters.next(), letters.next()) {
            (None, _) => {}
            (Some(letter), None) if symbol_speed(letter).is_some() => found.1 = Some(letter),
            _ => return Err(TyreError::Symbol(symbol.to_owned())),
        }
    }
    Ok(found)
}

fn leading_number(text: &str) -> Option<(f64, &str)> {
    let length = text
        .find(|c: char| !(c.is_ascii_digit() || c == '.'))
        .unwrap_or(text.len());
    let (number, rest) = text.split_at(length);
    Some((number.parse().ok()?, rest))
}

#[cfg(test)]
mod tests;
