//! Numbers as people read them: rounded to what is known, minus zero never shown.

use crate::venue::EventKind;

/// A number with a fixed count of decimals; what rounds to zero has no sign.
pub fn decimal(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    if text.starts_with('-') && text.bytes().all(|b| !matches!(b, b'1'..=b'9')) {
        text[1..].to_owned()
    } else {
        text
    }
}

/// A number with a sign; what rounds to zero has none.
pub fn signed(value: f64, decimals: usize) -> String {
    let text = decimal(value, decimals);
    if value > 0.0 && text.bytes().any(|b| matches!(b, b'1'..=b'9')) {
        format!("+{text}")
    } else {
        text
    }
}

/// A whole number with thousands apart: `5,230`.
pub fn thousands(value: f64) -> String {
    let text = decimal(value, 0);
    let (sign, digits) = match text.strip_prefix('-') {
        Some(digits) => ("-", digits),
        None => ("", text.as_str()),
    };
    let mut out = String::new();
    for (i, digit) in digits.chars().enumerate() {
        if i > 0 && (digits.len() - i).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    format!("{sign}{out}")
}

/// Engine speed to the nearest 10 rpm, as a crossing or a peak is known.
pub fn rpm(value: f64) -> String {
    format!("{} rpm", thousands((value / 10.0).round() * 10.0))
}

/// Engine speed to the nearest 50 rpm, as a flat peak is known.
pub fn rpm_fifty(value: f64) -> String {
    format!("{} rpm", thousands((value / 50.0).round() * 50.0))
}

/// Engine speed to 50 rpm and never above it: what may be held must not pass a limit.
pub fn rpm_at_most(value: f64) -> String {
    format!("{} rpm", thousands(((value + 1.0) / 50.0).floor() * 50.0))
}

/// Engine speed to the nearest 100 rpm, as a driver reads it.
pub fn rpm_coarse(value: f64) -> String {
    format!("{} rpm", thousands((value / 100.0).round() * 100.0))
}

/// A share as a whole percentage.
pub fn percent(share: f64) -> String {
    format!("{} %", decimal(100.0 * share, 0))
}

/// Share of the draws that an interval holds.
pub const HELD: f64 = 0.95;

/// Of how many draws shares are told: of a hundred, or of all where there are fewer.
pub fn told_of(draws: u64) -> u64 {
    draws.clamp(1, 100)
}

/// A share of the draws as so many of a hundred: `97 of 100`; of all where there are fewer.
pub fn of_draws(share: f64, draws: u64) -> String {
    let of = told_of(draws);
    format!("{} of {of}", decimal(share * of as f64, 0))
}

/// A time as the trade writes it, `4:41.0` or `58.31`: tenths on stages, hundredths elsewhere.
pub fn clock(seconds: f64, kind: EventKind) -> String {
    clock_to(seconds, decimals(kind))
}

/// The same with no more decimals than a time has that is known within so many seconds.
pub fn clock_within(seconds: f64, within: f64, kind: EventKind) -> String {
    // A time between rows up to half a second apart is that of its rows to a tenth.
    let known = match within {
        0.0..0.02 => 2,
        0.02..0.51 => 1,
        _ => 0,
    };
    clock_to(seconds, decimals(kind).min(known))
}

fn clock_to(seconds: f64, decimals: usize) -> String {
    let unit = 10f64.powi(decimals as i32);
    let ticks = (seconds * unit).round();
    let minutes = (ticks / (60.0 * unit)).floor();
    let rest = (ticks - minutes * 60.0 * unit) / unit;
    if minutes > 0.0 {
        let width = if decimals > 0 { 3 + decimals } else { 2 };
        format!("{minutes:.0}:{rest:0width$.decimals$}")
    } else {
        format!("{rest:.decimals$}")
    }
}

/// Decimals of a time at a kind of event.
pub fn decimals(kind: EventKind) -> usize {
    match kind {
        EventKind::Stage => 1,
        EventKind::Circuit | EventKind::Hillclimb | EventKind::Sprint => 2,
    }
}

/// What one drive over the venue is called.
pub fn drive_word(kind: EventKind) -> &'static str {
    match kind {
        EventKind::Stage => "stage",
        EventKind::Circuit => "lap",
        EventKind::Hillclimb | EventKind::Sprint => "run",
    }
}

/// A kind of event in a word.
pub fn kind_word(kind: EventKind) -> &'static str {
    match kind {
        EventKind::Stage => "stage",
        EventKind::Circuit => "circuit",
        EventKind::Hillclimb => "hillclimb",
        EventKind::Sprint => "sprint",
    }
}

/// A gear by its place in the box: `2nd`.
pub fn gear(index: usize) -> String {
    match index + 1 {
        1 => "1st".to_owned(),
        2 => "2nd".to_owned(),
        3 => "3rd".to_owned(),
        n => format!("{n}th"),
    }
}

/// Text with its first letter in capitals, for the start of a sentence.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => String::new(),
    }
}

/// Widest line of text for people.
pub const WIDTH: usize = 100;

/// Text broken at blanks so that no line is wider than [`WIDTH`] where that can be; a number stays
/// with what follows it. Lines after the first begin with `indent`. Each line ends.
pub fn wrap(text: &str, indent: &str) -> String {
    wrap_after("", text, indent)
}

/// As [`wrap`], the first line beginning with `first`.
pub fn wrap_after(first: &str, text: &str, indent: &str) -> String {
    let mut out = first.to_owned();
    let mut width = first.chars().count();
    let mut begun = false;
    for word in unbroken(text) {
        let length = word.chars().count();
        if begun && width + 1 + length > WIDTH {
            out.push('\n');
            out.push_str(indent);
            width = indent.chars().count();
        } else if begun {
            out.push(' ');
            width += 1;
        }
        begun = true;
        out.push_str(&word);
        width += length;
    }
    out.push('\n');
    out
}

/// The words of a text, a number and its unit as one.
fn unbroken(text: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in text.split(' ').filter(|word| !word.is_empty()) {
        match words.last_mut() {
            Some(last) if last.ends_with(|c: char| c.is_ascii_digit()) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

/// What to do next, a line for people at the end of an answer.
pub fn next(step: &str) -> String {
    wrap(&format!("Next: {step}"), "  ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn engine_speeds_to_hold_stay_below_the_limit() {
        assert_eq!(rpm_at_most(7554.0), "7,550 rpm");
        assert_eq!(rpm_at_most(7200.0 - 1e-9), "7,200 rpm");
        assert_eq!(rpm_at_most(7199.0), "7,200 rpm");
        assert_eq!(rpm_at_most(7190.0), "7,150 rpm");
    }

    #[test]
    fn zero_has_no_sign() {
        assert_eq!(decimal(-0.04, 1), "0.0");
        assert_eq!(signed(-0.004, 2), "0.00");
        assert_eq!(signed(0.004, 2), "0.00");
        assert_eq!(signed(0.05, 1), "+0.1");
        assert_eq!(signed(-0.26, 1), "-0.3");
    }

    #[test]
    fn thousands_stand_apart() {
        assert_eq!(thousands(999.4), "999");
        assert_eq!(thousands(999.5), "1,000");
        assert_eq!(thousands(-1_234_567.0), "-1,234,567");
        assert_eq!(rpm(5233.0), "5,230 rpm");
        assert_eq!(rpm_coarse(7050.1), "7,100 rpm");
    }

    #[test]
    fn long_text_is_broken_at_blanks() {
        let text = wrap(&"word ".repeat(60), "  ");
        assert!(
            text.lines()
                .all(|line| line.len() <= WIDTH && !line.ends_with(' '))
        );
        assert!(text.lines().skip(1).all(|line| line.starts_with("  word")));
        assert_eq!(text.matches("word").count(), 60);
        assert_eq!(wrap("one", "  "), "one\n");
        let text = wrap(&"12 km/h ".repeat(60), "  ");
        assert!(text.lines().all(|line| line.ends_with("km/h")), "{text}");
    }

    #[test]
    fn a_clock_carries_over() {
        assert_eq!(clock(281.04, EventKind::Stage), "4:41.0");
        assert_eq!(clock(119.96, EventKind::Stage), "2:00.0");
        assert_eq!(clock(59.994, EventKind::Circuit), "59.99");
        assert_eq!(clock(59.996, EventKind::Circuit), "1:00.00");
        assert_eq!(clock(61.5, EventKind::Sprint), "1:01.50");
    }
}
