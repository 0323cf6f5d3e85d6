//! How numbers of a workbook are meant: plain, per cent, times and dates.

use quick_xml::events::Event;

use super::parts::{attribute, walk};

/// Most formats of cells: spreadsheets have 64,000.
const MOST: usize = 100_000;
/// Days from the start of the calendar of workbooks to 1970, where day 1 is in 1900 and where day 0 is in 1904.
const FROM_1900: i64 = 25_569;
const FROM_1904: i64 = 24_107;
/// Day number behind the last of the calendar, 9999-12-31.
const END: f64 = 2_958_466.0;
const SECONDS_A_DAY: f64 = 86_400.0;

/// How a number is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Format {
    /// As it is.
    Plain,
    /// A hundred times as large, with `%`.
    Percent,
    /// The day of a calendar.
    Date,
    /// The time of a day.
    Time,
    /// Hours, minutes and seconds that went by, which may be more than a day.
    Elapsed,
    /// Both.
    DateTime,
}

/// The formats of a workbook's cells.
pub struct Formats {
    of_cells: Vec<Format>,
    start: i64,
}

impl Formats {
    /// From the part of styles.
    pub fn of(styles: Option<&str>, from_1904: bool) -> Result<Self, String> {
        let mut own: Vec<(u32, Format)> = Vec::new();
        let mut of_cells = Vec::new();
        let mut in_cells = false;
        if let Some(xml) = styles {
            walk(xml, |event, _| {
                let (element, open) = match event {
                    Event::Start(element) => (element, true),
                    Event::Empty(element) => (element, false),
                    Event::End(element) => {
                        in_cells &= element.local_name().as_ref() != "cellXfs";
                        return Ok(());
                    }
                    _ => return Ok(()),
                };
                let number = |name| attribute(element, name).and_then(|id| id.parse().ok());
                match element.local_name().as_ref() {
                    "numFmt" => {
                        let code = attribute(element, "formatCode");
                        own.extend(number("numFmtId").zip(code.map(|code| of_code(&code))));
                    }
                    "cellXfs" => in_cells = open,
                    "xf" if in_cells => {
                        let id = number("numFmtId").unwrap_or(0);
                        let format = own.iter().find(|(own, _)| *own == id);
                        of_cells.push(format.map_or_else(|| built_in(id), |(_, format)| *format));
                    }
                    _ => {}
                }
                // A cell's format is looked for among them.
                match own.len() > 1000 || of_cells.len() > MOST {
                    true => Err("it holds more formats than a spreadsheet makes".to_owned()),
                    false => Ok(()),
                }
            })?;
        }
        Ok(Self {
            of_cells,
            start: if from_1904 { FROM_1904 } else { FROM_1900 },
        })
    }

    /// A number of a cell as text, by the number of its format.
    pub fn shown(&self, written: &str, format: Option<usize>) -> Option<String> {
        let format = format.and_then(|index| self.of_cells.get(index));
        let value: f64 = written
            .trim()
            .parse()
            .ok()
            .filter(|v: &f64| v.is_finite())?;
        Some(match format.copied().unwrap_or(Format::Plain) {
            Format::Percent => format!("{}%", plain(100.0 * value)),
            Format::Plain => plain(value),
            _ if !(0.0..END).contains(&value) => plain(value),
            Format::Elapsed => clock(value),
            Format::Time => clock(value.fract()),
            Format::Date if value.fract() == 0.0 => self.date(value.floor()),
            Format::Date | Format::DateTime => {
                // The last part of a thousandth of a second may be a new day.
                let seconds = (value * SECONDS_A_DAY * 1e3).round() / 1e3;
                let day = (seconds / SECONDS_A_DAY).floor();
                format!(
                    "{} {}",
                    self.date(day),
                    clock(seconds / SECONDS_A_DAY - day)
                )
            }
        })
    }

    /// A day of the calendar, `2024-05-01`.
    fn date(&self, day: f64) -> String {
        // The calendar from 1900 has a 29 February in that year, which was none.
        let early = i64::from(self.start == FROM_1900 && day < 60.0);
        // Days from 1 March of the year 0, in eras of 400 years (after the calendar's own cycle).
        let days = day as i64 + early - self.start + 719_468;
        let era = days.div_euclid(146_097);
        let of_era = days.rem_euclid(146_097);
        let year = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
        let of_year = of_era - (365 * year + year / 4 - year / 100);
        let month = (5 * of_year + 2) / 153;
        let date = of_year - (153 * month + 2) / 5 + 1;
        let (year, month) = match month < 10 {
            true => (year + 400 * era, month + 3),
            false => (year + 400 * era + 1, month - 9),
        };
        format!("{year:04}-{month:02}-{date:02}")
    }
}

/// Days as hours, minutes and seconds.
fn clock(days: f64) -> String {
    let thousandths = (days * SECONDS_A_DAY * 1e3).round() as u64;
    let (seconds, rest) = (thousandths / 1000, thousandths % 1000);
    let (hours, minutes, seconds) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    match rest {
        0 => format!("{hours}:{minutes:02}:{seconds:02}"),
        _ => format!("{hours}:{minutes:02}:{seconds:02}.{rest:03}"),
    }
}

/// A number to the 15 figures that spreadsheets keep, so that none is read as thousands with a point between.
pub fn plain(value: f64) -> String {
    let rounded: f64 = format!("{value:.14e}").parse().unwrap_or(value);
    let size = rounded.abs();
    let mut text = match size == 0.0 || (1e-9..1e15).contains(&size) {
        true => format!("{rounded}"),
        false => format!("{rounded:e}"),
    };
    if crate::units::grouped_by_points(text.trim_start_matches('-')).is_some() {
        text.push('0');
    }
    text
}

/// Formats that every workbook has, by their numbers (ECMA-376, part 1, 18.8.30, from memory).
fn built_in(id: u32) -> Format {
    match id {
        9 | 10 => Format::Percent,
        14..=17 => Format::Date,
        18..=21 => Format::Time,
        22 => Format::DateTime,
        45..=47 => Format::Elapsed,
        _ => Format::Plain,
    }
}

/// The format that a code spells, such as `0.0%` or `hh:mm:ss.000`.
fn of_code(code: &str) -> Format {
    let mut letters = String::new();
    let mut elapsed = false;
    let mut rest = code.chars();
    while let Some(c) = rest.next() {
        match c {
            ';' => break,
            '\\' | '_' | '*' => {
                rest.next();
            }
            '"' => {
                let _ = rest.by_ref().find(|c| *c == '"');
            }
            '[' => {
                let inner: String = rest.by_ref().take_while(|c| *c != ']').collect();
                let inner = inner.to_lowercase();
                let counts = |c| !inner.is_empty() && inner.chars().all(|i| i == c);
                if ['h', 'm', 's'].into_iter().any(counts) {
                    elapsed = true;
                }
            }
            c => letters.extend(c.to_lowercase()),
        }
    }
    if letters.trim() == "general" {
        return Format::Plain;
    }
    let clock = letters.contains(['h', 's']);
    // A month where no clock stands beside it.
    let date = letters.contains(['y', 'd']) || letters.contains('m') && !clock && !elapsed;
    match (date, clock) {
        _ if letters.contains('%') => Format::Percent,
        (true, true) => Format::DateTime,
        (true, false) => Format::Date,
        _ if elapsed => Format::Elapsed,
        // Minutes and seconds alone are laps.
        (false, true) if !letters.contains('h') => Format::Elapsed,
        (false, true) => Format::Time,
        (false, false) => Format::Plain,
    }
}
