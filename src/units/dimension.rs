//! Dimensions, the units they are written in, and reading one quantity.

use super::number::{NumberFault, number};
use super::table::{ANGLE, DIMENSIONS, TIME};

/// One unit: how it is spelled and what one of it is in SI.
#[derive(Debug)]
pub struct Unit {
    /// Spellings; the first is the one shown. Compared without case, spaces, dots and hyphens.
    pub spellings: &'static [&'static str],
    /// SI value of one unit.
    pub factor: f64,
    /// SI value at zero of this unit (temperatures).
    pub offset: f64,
}

impl Unit {
    /// A number of these units in SI.
    pub fn to_si(&self, value: f64) -> f64 {
        value * self.factor + self.offset
    }

    /// An SI value as a number of these units.
    pub fn from_si(&self, si: f64) -> f64 {
        (si - self.offset) / self.factor
    }

    /// The spelling shown to people.
    pub fn name(&self) -> &'static str {
        self.spellings[0]
    }
}

/// What a number measures.
#[derive(Debug)]
pub struct Dimension {
    /// Name in the middle of a sentence.
    pub name: &'static str,
    /// The units to suggest, for people.
    pub wants: &'static str,
    /// A typical value as written.
    pub example: &'static str,
    /// The units it is read in; the first is the one shown.
    pub units: &'static [Unit],
}

impl Dimension {
    /// The unit of this dimension that `text` spells.
    pub fn unit(&self, text: &str) -> Option<&'static Unit> {
        let wanted = folded(text);
        if wanted.is_empty() {
            return None;
        }
        self.units
            .iter()
            .find(|u| u.spellings.iter().any(|s| folded(s) == wanted))
    }

    /// Name with its article, for people.
    pub fn with_article(&self) -> String {
        let vowel = self.name.starts_with(['a', 'e', 'i', 'o', 'u']);
        format!("{} {}", if vowel { "an" } else { "a" }, self.name)
    }
}

/// A quantity that was read.
#[derive(Debug, Clone, Copy)]
pub struct Reading {
    /// Value in SI (engine speed in rpm).
    pub si: f64,
    /// Value as written.
    pub value: f64,
    /// Unit as written, or the one a bare number was read in.
    pub unit: &'static Unit,
    /// Whether no unit was written.
    pub bare: bool,
}

/// Why a text is not a quantity of the dimension that was wanted.
#[derive(Debug, Clone, thiserror::Error)]
pub enum Fault {
    /// No number, an infinite one, or one that can be read in two ways.
    #[error(transparent)]
    Number(#[from] NumberFault),
    /// A number without a unit where one is needed.
    #[error("`{0}` has no unit")]
    NoUnit(String),
    /// A unit of another dimension.
    #[error("`{written}` is {}", .dimension.with_article())]
    OtherDimension {
        /// As written.
        written: String,
        /// What the unit measures.
        dimension: &'static Dimension,
    },
    /// A unit nobody knows.
    #[error("`{unit}` in `{written}` is not a unit known here")]
    UnknownUnit {
        /// As written.
        written: String,
        /// The unit in it.
        unit: String,
    },
    /// A percentage where a quantity is wanted.
    #[error("`{0}` is a percentage")]
    Percentage(String),
    /// A clock time with parts that do not fit.
    #[error("`{0}` is not a clock time")]
    Clock(String),
    /// Minutes, seconds and their parts without a colon.
    #[error("`{written}` is not a time as it is read here")]
    Parted {
        /// As written.
        written: String,
        /// With its colon.
        clock: String,
    },
}

impl Fault {
    /// What would be right, for a quantity of `dimension`.
    pub fn remedy(&self, dimension: &Dimension) -> String {
        let general = format!(
            "{} wants {}, as in `{}`",
            dimension.name, dimension.wants, dimension.example
        );
        match self {
            Self::Number(NumberFault::Ambiguous {
                decimal, grouped, ..
            }) => {
                format!("write {decimal} or {grouped}")
            }
            Self::Number(NumberFault::Grouped { plain, .. }) => format!("write {plain}"),
            Self::Parted { clock, .. } => format!("write \"{clock}\""),
            Self::Clock(_) => "write minutes and seconds as in `4:41.0`".to_owned(),
            _ => general,
        }
    }
}

/// Reads a quantity of `dimension`; `bare` names the unit of a number written without one, where
/// only one is sane.
///
/// # Errors
/// See [`Fault`].
pub fn read(
    text: &str,
    dimension: &'static Dimension,
    bare: Option<&str>,
) -> Result<Reading, Fault> {
    let text = text.trim();
    if std::ptr::eq(dimension, &TIME) && text.contains(':') {
        let si = clock(text).ok_or_else(|| Fault::Clock(text.to_owned()))?;
        return Ok(Reading {
            si,
            value: si,
            unit: &TIME.units[0],
            bare: false,
        });
    }
    if std::ptr::eq(dimension, &TIME)
        && let Some(clock) = parted_clock(text)
    {
        let written = text.to_owned();
        return Err(Fault::Parted { written, clock });
    }
    let (value, rest) = number(text)?;
    let (unit, is_bare) = if rest.is_empty() {
        let unit = bare.and_then(|b| dimension.unit(b));
        (unit.ok_or_else(|| Fault::NoUnit(text.to_owned()))?, true)
    } else {
        (known_unit(text, rest, dimension)?, false)
    };
    let si = unit.to_si(value);
    if !si.is_finite() {
        return Err(NumberFault::NotFinite(text.to_owned()).into());
    }
    Ok(Reading {
        si,
        value,
        unit,
        bare: is_bare,
    })
}

fn known_unit(
    text: &str,
    written: &str,
    dimension: &'static Dimension,
) -> Result<&'static Unit, Fault> {
    if let Some(unit) = dimension.unit(written) {
        return Ok(unit);
    }
    if written == "%" {
        return Err(Fault::Percentage(text.to_owned()));
    }
    Err(match unit(written) {
        Some((_, dimension)) => Fault::OtherDimension {
            written: text.to_owned(),
            dimension,
        },
        None => Fault::UnknownUnit {
            written: text.to_owned(),
            unit: written.to_owned(),
        },
    })
}

/// The unit that `text` spells, of whatever dimension.
pub fn unit(text: &str) -> Option<(&'static Unit, &'static Dimension)> {
    DIMENSIONS
        .iter()
        .find_map(|&dimension| dimension.unit(text).map(|unit| (unit, dimension)))
}

/// A share as a percentage or a plain fraction: `53 %` and `0.53` are the same.
///
/// # Errors
/// No number, or a unit other than `%`.
pub fn read_share(text: &str) -> Result<f64, Fault> {
    let text = text.trim();
    let (value, rest) = number(text)?;
    match rest {
        "" => Ok(value),
        "%" | "percent" | "pct" | "per cent" => Ok(value / 100.0),
        _ => Err(match unit(rest) {
            Some((_, dimension)) => Fault::OtherDimension {
                written: text.to_owned(),
                dimension,
            },
            None => Fault::UnknownUnit {
                written: text.to_owned(),
                unit: rest.to_owned(),
            },
        }),
    }
}

/// A slope as the tangent of its angle, from a percentage, an angle or a fraction such as
/// `1 in 8` or `1:8`.
///
/// # Errors
/// No number, no unit, or one that measures something else.
pub fn read_slope(text: &str) -> Result<f64, Fault> {
    let text = text.trim();
    let (value, rest) = number(text)?;
    let run = rest.strip_prefix("in ").or_else(|| rest.strip_prefix(':'));
    if let Some(run) = run.map(str::trim)
        && let Ok((run, "")) = number(run)
        && run != 0.0
    {
        return Ok(value / run);
    }
    match rest {
        "%" | "percent" | "pct" | "per cent" => Ok(value / 100.0),
        "" => Err(Fault::NoUnit(text.to_owned())),
        _ => {
            let slope = ANGLE.unit(rest).map(|u| u.to_si(value).tan());
            slope.map_or_else(
                || known_unit(text, rest, &ANGLE).map(|u| u.to_si(value)),
                Ok,
            )
        }
    }
}

/// A time written with colons, `4:41.0` or `1:02:03`, in seconds.
pub fn clock(text: &str) -> Option<f64> {
    let parts: Vec<&str> = text.trim().split(':').collect();
    if !(2..=3).contains(&parts.len()) {
        return None;
    }
    let mut total = 0.0;
    for (i, part) in parts.iter().enumerate() {
        let last = i + 1 == parts.len();
        let digits = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
        let (whole, decimals) = part.split_once(['.', ',']).unwrap_or((part, "0"));
        if !digits(whole) || !digits(decimals) || (!last && part.len() != whole.len()) {
            return None;
        }
        let value: f64 = format!("{whole}.{decimals}").parse().ok()?;
        if i > 0 && value >= 60.0 {
            return None;
        }
        total = total * 60.0 + value;
    }
    total.is_finite().then_some(total)
}

/// Minutes, seconds and parts of a second as they are written without a colon, with one: `4.41.0`,
/// `4m41.0s`, `4'41"0`. `1.234.567` is none: seconds have two digits.
fn parted_clock(text: &str) -> Option<String> {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let text = text.trim().trim_end_matches(['s', '"', ' ']);
    let (minutes, rest) = text.split_once(['.', ',', '\'', 'm', ' '])?;
    let rest = rest.trim_start();
    let (seconds, parts) = rest.split_once(['.', ',', '"'])?;
    let fits = digits(minutes)
        && minutes.len() <= 2
        && seconds.len() == 2
        && digits(seconds)
        && *seconds < *"60"
        && digits(parts)
        && parts.len() <= 3;
    fits.then(|| format!("{minutes}:{seconds}.{parts}"))
}

/// A spelling without what people vary: case, spaces, dots, hyphens, raised digits.
fn folded(text: &str) -> String {
    text.chars()
        .filter_map(|c| match c {
            ' ' | '\u{a0}' | '\u{202f}' | '.' | '·' | '⋅' | '•' | '∙' | '*' | '×' | '-' | '‑'
            | '_' | '^' => None,
            '²' => Some('2'),
            '³' => Some('3'),
            'º' | '˚' => Some('°'),
            '⁻' => None,
            '¹' => Some('1'),
            'Κ' | 'K' => Some('k'),
            _ => Some(c),
        })
        .flat_map(char::to_lowercase)
        .collect()
}
