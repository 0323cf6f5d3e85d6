//! Times of day in one number, hours, minutes and seconds side by side, as receivers write them:
//! `140059.90` (field 1 of the sentences of NMEA 0183, hhmmss.ss; from memory).

use super::points::over_midnight;
use crate::files::finding::{Findings, Severity, quoted};
use crate::files::table::Table;

/// Rows before and after a full minute are at most so many usual rows apart, or this, s.
const NEAR: f64 = 3.0;
/// So large a number has its hours, and so many digits has one with zeros before it.
const HOURS: f64 = 10_000.0;
const DIGITS: usize = 6;

/// Seconds since midnight of a number that is hhmmss.ss.
fn seconds(number: f64) -> Option<f64> {
    let (hours, minutes) = (
        (number / 10_000.0).floor(),
        (number / 100.0).floor() % 100.0,
    );
    let rest = number % 100.0;
    let sound = number >= 0.0 && hours < 24.0 && minutes < 60.0 && rest < 60.0;
    sound.then_some(3600.0 * hours + 60.0 * minutes + rest)
}

/// The same times in seconds, where the numbers can be nothing else: no row has 60 or more in its
/// seconds or minutes, and at full minutes they jump by 40 more than the rows are apart.
fn unparted(numbers: &[Option<f64>]) -> Option<Vec<Option<f64>>> {
    let read = numbers.iter().map(|number| match number {
        Some(number) => seconds(*number).map(Some),
        None => Some(None),
    });
    let read: Vec<Option<f64>> = read.collect::<Option<_>>()?;
    let pairs: Vec<(f64, f64)> = numbers
        .iter()
        .copied()
        .zip(read.iter().copied())
        .filter_map(|(number, seconds)| number.zip(seconds))
        .collect();
    let mut steps: Vec<f64> = pairs.windows(2).map(|pair| pair[1].1 - pair[0].1).collect();
    steps.retain(|step| *step > 0.0);
    steps.sort_by(f64::total_cmp);
    let near = NEAR * steps.get(steps.len() / 2)?.max(1.0 / NEAR);
    let minute = |pair: &[(f64, f64)]| {
        let (raw, step) = (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1);
        (0.0..=near).contains(&step) && raw > step + 39.0
    };
    pairs.windows(2).any(minute).then_some(read)
}

/// Whether the first time has its hours.
fn has_hours(cell: &str, numbers: &[Option<f64>]) -> bool {
    let digits = cell.trim().bytes().take_while(u8::is_ascii_digit).count();
    digits == DIGITS || numbers.iter().flatten().any(|number| *number >= HOURS)
}

/// Whether a heading names the format.
pub(super) fn is_named(unit: Option<&str>) -> bool {
    let letters: String = unit
        .unwrap_or_default()
        .chars()
        .filter(|c| c.is_alphabetic())
        .collect();
    letters.to_ascii_lowercase().starts_with("hhmmss")
}

/// Times under a heading that names the format.
pub(super) fn named(
    table: &Table,
    column: usize,
    findings: &mut Findings,
) -> Option<Vec<Option<f64>>> {
    let mut times = Vec::with_capacity(table.height());
    for row in 0..table.height() {
        let cell = table.cell(row, column).trim();
        let time = cell.replace(',', ".").parse().ok().and_then(seconds);
        if time.is_none() && !cell.is_empty() {
            let text = format!("{} is no time of day in one number", quoted(cell));
            let finding = table.finding(Severity::Error, table.mark(row, column), text);
            findings
                .push(finding.remedy(
                    "write hours, minutes and seconds as in `140059.90`, or `14:00:59.90`",
                ));
            return None;
        }
        times.push(time);
    }
    over_midnight(&mut times);
    table.alone_as_written(column, findings).then_some(times)
}

/// Reads times of day in one number for what they are, and says so; `None` where the heading says that
/// they are in seconds.
pub(super) fn in_one_number(
    table: &Table,
    column: usize,
    numbers: Vec<Option<f64>>,
    findings: &mut Findings,
) -> Option<Vec<Option<f64>>> {
    let first = (0..table.height()).find(|&row| !table.cell(row, column).is_empty());
    let cell = first.map_or("", |row| table.cell(row, column));
    if cell.contains(':') || !has_hours(cell, &numbers) {
        return Some(numbers);
    }
    let Some(mut times) = unparted(&numbers) else {
        return Some(numbers);
    };
    let heading = &table.columns[column];
    let format = "hours, minutes and seconds in one number (hhmmss.ss)";
    if table.written_unit(column).is_some() {
        let text = format!(
            "{} holds {format}: it jumps by 40 at every full minute",
            quoted(&heading.name)
        );
        let finding = table.finding(Severity::Error, heading.mark, text);
        findings.push(finding.remedy(format!(
            "write `{}` in the heading, without a unit",
            heading.name
        )));
        return None;
    }
    let text = format!("the times are {format}");
    findings.push(table.assumed("time", heading.mark, text));
    over_midnight(&mut times);
    Some(times)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(numbers: &[f64]) -> Option<Vec<f64>> {
        let numbers: Vec<Option<f64>> = numbers.iter().copied().map(Some).collect();
        unparted(&numbers).map(|times| times.into_iter().flatten().collect())
    }

    #[test]
    fn full_minutes_tell_times_of_day_from_seconds() {
        let day = of(&[135_959.8, 135_959.9, 140_000.0, 140_000.1]).unwrap();
        for (found, wanted) in day.iter().zip([50_399.8, 50_399.9, 50_400.0, 50_400.1]) {
            assert!((found - wanted).abs() < 1e-6, "{found} for {wanted}");
        }
        assert_eq!(
            of(&[10_058.0, 10_059.0, 10_100.0]),
            Some(vec![3658.0, 3659.0, 3660.0])
        );
        // Within one minute both are the same, and seconds go on beyond 59.
        assert_eq!(of(&[140_001.0, 140_002.0, 140_003.0]), None);
        assert_eq!(of(&[140_059.0, 140_060.0, 140_061.0]), None);
        // A pause over the full minute tells neither.
        let paused = [140_050.0, 140_051.0, 140_052.0, 140_110.0, 140_111.0];
        assert_eq!(of(&paused), None);
        assert_eq!(of(&[250_059.0, 250_100.0]), None);
    }
}
