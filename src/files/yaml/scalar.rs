//! Typed values: words, whole numbers, shares and quantities with their ranges.

use std::ops::RangeInclusive;

use super::decode::{Item, Map};
use super::parted;
use crate::files::finding::quoted;
use crate::files::nearest::meant_by;
use crate::units::{self, Dimension, Fault, Reading};

/// Longest text of one value, characters.
const LONGEST_TEXT: usize = 1000;
/// Largest number of a bound in the unit that was written.
const LARGEST_BOUND: f64 = 100_000.0;

impl<'a> Item<'a> {
    /// A text that is not empty.
    pub fn text(&self) -> Option<String> {
        let text = self.scalar("a text")?;
        if text.is_empty() {
            self.error(
                format!("{} is an empty text", self.called()),
                "write a text",
            );
            return None;
        }
        if text.contains(|c: char| c.is_control() && c != '\n' && c != '\t') {
            let text = format!("{} has characters that cannot be shown", self.called());
            self.error(text, "type it anew");
            return None;
        }
        if text.chars().count() > LONGEST_TEXT {
            let text = format!("{} is longer than {LONGEST_TEXT} characters", self.called());
            self.error(text, "shorten it");
            return None;
        }
        Some(text.to_owned())
    }

    /// A name: a text on one line.
    pub fn title(&self) -> Option<String> {
        let text = self.text()?;
        Some(text.split_whitespace().collect::<Vec<&str>>().join(" "))
    }

    /// One of a few words, each with its meaning.
    pub fn one_of<T: Clone>(&self, words: &[(&str, T)]) -> Option<T> {
        let list = || words.iter().map(|(w, _)| *w).collect::<Vec<_>>().join(", ");
        let text = self.scalar(&format!("one of {}", list()))?;
        let meant = words.iter().find(|(w, _)| w.eq_ignore_ascii_case(text));
        if meant.is_none() {
            let remedy = match meant_by(text, words.iter().map(|(w, _)| *w)) {
                Some(meant) => format!("{meant} one of {}", list()),
                None => format!("write one of {}", list()),
            };
            self.error(
                format!("{}: {} is not known here", self.called(), quoted(text)),
                remedy,
            );
        }
        meant.map(|(_, value)| value.clone())
    }

    /// `yes` or `no`.
    pub fn yes_no(&self) -> Option<bool> {
        self.one_of(&[
            ("yes", true),
            ("no", false),
            ("true", true),
            ("false", false),
            ("on", true),
            ("off", false),
        ])
    }

    /// A whole number.
    pub fn integer(&self, range: RangeInclusive<i64>) -> Option<i64> {
        let wanted = format!("a whole number from {} to {}", range.start(), range.end());
        let written = self.scalar(&wanted)?;
        let whole = |text: &str| text.replace('−', "-").parse::<i64>();
        let meant = parted::meant(written, |text| {
            whole(text).is_ok_and(|v| range.contains(&v))
        });
        let text = meant.as_deref().unwrap_or(written);
        let Ok(value) = whole(text) else {
            let text = format!("{}: {} is not a whole number", self.called(), quoted(text));
            self.error(text, format!("write {wanted}"));
            return None;
        };
        if !range.contains(&value) {
            let text = format!(
                "{}: {value} is outside {} to {}",
                self.called(),
                range.start(),
                range.end()
            );
            self.error(text, format!("write {wanted}"));
            return None;
        }
        Some(value)
    }

    /// A plain number without a unit.
    pub fn number(&self, range: RangeInclusive<f64>) -> Option<f64> {
        let written = self.scalar("a number")?;
        let meant = parted::meant(written, |text| {
            units::number(text).is_ok_and(|(v, unit)| unit.is_empty() && range.contains(&v))
        });
        let text = meant.as_deref().unwrap_or(written);
        match units::number(text) {
            Ok((value, "")) => self.within(value, text, &range, units::plain),
            Ok((value, unit)) => {
                let text = format!(
                    "{}: {} stands after the number",
                    self.called(),
                    quoted(unit)
                );
                let share = value / 100.0;
                let remedy = match unit == "%" && range.contains(&share) {
                    true => format!("write a number without a unit: `{share}`"),
                    false => "write a number without a unit".to_owned(),
                };
                self.error(text, remedy);
                None
            }
            Err(fault) => self.faulty(&fault.to_string(), "write a number"),
        }
    }

    /// A share: a percentage or a plain fraction.
    pub fn share(&self, range: RangeInclusive<f64>) -> Option<f64> {
        let text = self.scalar("a percentage, as in `90 %`")?;
        let value = match units::read_share(text) {
            Ok(value) => value,
            Err(fault) => {
                return self.faulty(&fault.to_string(), "write a percentage, as in `90 %`");
            }
        };
        let bare = !text.contains('%') && value > *range.end();
        if bare && range.contains(&(value / 100.0)) {
            let remedy = format!(
                "write {} or `{}`",
                quoted(&format!("{text} %")),
                value / 100.0
            );
            self.error(
                format!("{}: {} is more than the whole", self.called(), quoted(text)),
                remedy,
            );
            return None;
        }
        self.within(value, text, &range, |v| {
            format!("{} %", units::plain(v * 100.0))
        })
    }

    /// A slope as the tangent of its angle, rising positive.
    pub fn slope(&self, range: RangeInclusive<f64>) -> Option<f64> {
        let wanted = "write a slope in %, as in `-4 %`, or an angle, as in `3 deg`";
        let text = self.scalar("a slope, as in `-4 %`")?;
        match units::read_slope(text) {
            Ok(value) => self.within(value, text, &range, |v| {
                format!("{} %", units::plain(v * 100.0))
            }),
            Err(fault) => self.faulty(&fault.to_string(), wanted),
        }
    }

    /// A quantity with its unit, in SI (engine speed in rpm), within a range in the same unit.
    pub fn quantity(
        &self,
        dimension: &'static Dimension,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.reading(dimension, None, range).map(|r| r.si)
    }

    /// A quantity whose unit may be left out, because only `unit` would be sane.
    pub fn quantity_or_bare(
        &self,
        dimension: &'static Dimension,
        unit: &str,
        range: RangeInclusive<f64>,
    ) -> Option<f64> {
        self.reading(dimension, Some(unit), range).map(|r| r.si)
    }

    /// An engine speed, rpm, with or without its unit.
    pub fn rpm(&self, range: RangeInclusive<f64>) -> Option<f64> {
        self.quantity_or_bare(&units::ENGINE_SPEED, "rpm", range)
    }

    /// A quantity with the unit it was written in.
    pub fn reading(
        &self,
        dimension: &'static Dimension,
        bare: Option<&str>,
        range: RangeInclusive<f64>,
    ) -> Option<Reading> {
        let wanted = format!(
            "{}, as in `{}`",
            dimension.with_article(),
            dimension.example
        );
        let written = self.scalar(&wanted)?;
        let meant = parted::meant(written, |text| {
            let sound = |r: Reading| range.contains(&r.si) && r.si.abs() >= least(dimension);
            units::read(text, dimension, bare).is_ok_and(sound)
        });
        let text = meant.as_deref().unwrap_or(written);
        let reading = match units::read(text, dimension, bare) {
            Ok(reading) => reading,
            Err(fault) => {
                let remedy = remedy(&fault, dimension, &range);
                return self.faulty(&fault.to_string(), &remedy);
            }
        };
        let (unit, top) = (reading.unit, *range.end());
        self.within(reading.si, text, &range, |si| {
            // Bounds are easier to read in the usual unit than as many thousands of a small one.
            let unit = match unit.from_si(top).abs() > LARGEST_BOUND {
                true => &dimension.units[0],
                false => unit,
            };
            format!("{} {}", units::plain(unit.from_si(si)), unit.name())
        })?;
        Some(reading)
    }

    fn faulty<T>(&self, fault: &str, remedy: &str) -> Option<T> {
        self.error(format!("{}: {fault}", self.called()), remedy);
        None
    }

    /// The value where the range holds it; `show` writes a bound as the user would.
    fn within(
        &self,
        value: f64,
        written: &str,
        range: &RangeInclusive<f64>,
        show: impl Fn(f64) -> String,
    ) -> Option<f64> {
        if range.contains(&value) {
            return Some(value);
        }
        let what = if value <= 0.0 && *range.start() > 0.0 {
            "must be above zero".to_owned()
        } else if value < *range.start() {
            format!("is below {}", show(*range.start()))
        } else {
            format!("is above {}", show(*range.end()))
        };
        let remedy = format!(
            "it must lie between {} and {}",
            show(*range.start()),
            show(*range.end())
        );
        self.error(
            format!("{}: {} {what}", self.called(), quoted(written)),
            remedy,
        );
        None
    }
}

impl<'a> Map<'a> {
    /// The quantity under a key, or `default` (SI), listed as assumed where the key is not written;
    /// `label` is what people call it.
    pub fn quantity_or(
        &self,
        key: &str,
        label: &str,
        dimension: &'static Dimension,
        range: RangeInclusive<f64>,
        default: f64,
    ) -> f64 {
        let Some(item) = self.take(key) else {
            let unit = &dimension.units[0];
            let value = units::plain(unit.from_si(default));
            self.assumed(key, format!("{label} {value} {}", unit.name()));
            return default;
        };
        item.quantity(dimension, range).unwrap_or(default)
    }

    /// The share under a key, or `default`, listed as assumed where the key is not written; `label`
    /// is what people call it.
    pub fn share_or(
        &self,
        key: &str,
        label: &str,
        range: RangeInclusive<f64>,
        default: f64,
    ) -> f64 {
        let Some(item) = self.take(key) else {
            self.assumed(key, format!("{label} {} %", units::plain(default * 100.0)));
            return default;
        };
        item.share(range).unwrap_or(default)
    }
}

/// Below what a quantity is none that anybody writes with three decimals: an engine hardly turns at 100 rpm.
fn least(dimension: &Dimension) -> f64 {
    match std::ptr::eq(dimension, &units::ENGINE_SPEED) {
        true => 100.0,
        false => 0.0,
    }
}

/// What would be right: for a number without a unit, with the first unit that gives a sane value.
fn remedy(fault: &Fault, dimension: &Dimension, range: &RangeInclusive<f64>) -> String {
    let Fault::NoUnit(text) = fault else {
        return fault.remedy(dimension);
    };
    let value = units::number(text).map(|(value, _)| value);
    let sane = |u: &&units::Unit| value.as_ref().is_ok_and(|v| range.contains(&u.to_si(*v)));
    let example = match dimension.units.iter().find(sane) {
        Some(unit) => format!("`{text} {}`", unit.name()),
        None => format!("`{}`", dimension.example),
    };
    format!(
        "write it with its unit: {}, as in {example}",
        dimension.wants
    )
}
