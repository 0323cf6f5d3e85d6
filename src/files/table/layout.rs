//! How a table is laid out: its delimiter, decimal mark, and the lines that head its columns.

use super::begin::first_row;
use super::split::cells;
use crate::files::path::degrees::degrees;
use crate::files::path::hemisphere;
use crate::units::{self, ACCELERATION, POWER, TORQUE, YAW_RATE};

/// Delimiters that are tried, likeliest to be meant first.
const DELIMITERS: [char; 3] = ['\t', ';', ','];
/// Lines looked at to find the layout.
const LOOKED_AT: usize = 400;
/// What loggers write in a row of units beside the units that are read, in small letters.
const OTHER_UNITS: &[&str] = &[
    "-", "–", "%", "#", "λ", "v", "mv", "a", "hz", "deg c", "degc", "l/h", "kg/h", "deg/s2",
    "deg/s^2", "°/s2", "°/s²", "rad/s2", "rad/s^2", "rad/s²",
];
/// How words in headings end, by which a line of them is told from one about the run.
const MEASURED: &[&str] = &[
    "rpm",
    "speed",
    "revs",
    "torque",
    "power",
    "time",
    "distance",
    "latitude",
    "longitude",
    "drehzahl",
    "moment",
    "leistung",
    "couple",
    "puissance",
    "giri",
];
/// A unit is hardly longer.
const LONGEST_UNIT: usize = 8;

/// What was found out about a table before its cells are read.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Between two cells.
    pub delimiter: char,
    /// Whether decimals are parted by a comma.
    pub decimal_comma: bool,
    /// Index of the line that names the columns.
    pub header: Option<usize>,
    /// Index of a line of units under it.
    pub units: Option<usize>,
    /// Index of the first line of values.
    pub first: usize,
    /// Whether there is a line of values, as far as was looked.
    pub rows: bool,
}

/// The layout of a text, from its first lines.
pub fn layout(text: &str) -> Layout {
    let lines: Vec<&str> = text.lines().take(LOOKED_AT).collect();
    let delimiter = delimiter(&lines);
    let rows: Vec<Vec<&str>> = lines.iter().map(|line| row(line, delimiter)).collect();
    let data = first_row(&rows);
    let mut named = (0..data).rev().filter(|&i| names_columns(&rows[i]));
    let mut header = named.next();
    let mut units = None;
    if let Some(last) = header
        && let Some(before) = named.next()
        && rows[before].len() >= rows[last].len()
        && is_units(&rows[last], &rows[before])
        && (delimiter != ' ' || heads_by_blanks(&lines, (before, last)))
    {
        units = Some(last);
        header = Some(before);
    }
    let first = units.or(header).map_or(data, |i| i + 1);
    Layout {
        delimiter,
        decimal_comma: decimal_comma(&rows, delimiter),
        header,
        units,
        first,
        rows: data < rows.len(),
    }
}

/// Lines of numbers from which what parts them can be seen.
const TELLING: usize = 5;

/// Whether bars part the cells of a table that has none of the delimiters.
pub fn parted_by_bars(text: &str) -> bool {
    let lines = text.lines().take(LOOKED_AT);
    let number = |cell: &str| !cell.trim().is_empty() && is_number(cell.trim(), ';');
    let parted = |line: &&str| {
        let cells: Vec<&str> = line.trim().trim_matches('|').split('|').collect();
        cells.len() >= 2 && cells.into_iter().all(number)
    };
    lines.filter(parted).count() >= TELLING
}

/// A heading that fits the first numbers of a table without one: degrees are written to many places.
pub fn likely_heading(text: &str) -> &'static str {
    const PLACES: usize = 4;
    let line = text
        .lines()
        .find(|line| !is_blank(line))
        .unwrap_or_default();
    let cells: Vec<&str> = line.split([',', ';', '\t']).map(str::trim).collect();
    let degrees = |cell: &&str, most: f64| {
        let places = cell
            .split_once('.')
            .map_or(0, |(_, decimals)| decimals.len());
        places >= PLACES && cell.parse::<f64>().is_ok_and(|angle| angle.abs() <= most)
    };
    match cells.as_slice() {
        [lat, lon] if degrees(lat, 90.0) && degrees(lon, 180.0) => "lat,lon",
        [lat, lon, ..] if degrees(lat, 90.0) && degrees(lon, 180.0) => "lat,lon,height (m)",
        _ => "rpm,torque (Nm)",
    }
}

/// Whether a line holds no cells: blank, or a comment.
pub fn is_blank(line: &str) -> bool {
    let line = line.trim();
    line.is_empty() || line.starts_with(['#', '%']) || line.starts_with("//")
}

/// Whether all cells of a line are empty, or it is drawn below the headings.
pub fn is_hollow(line: &str, delimiter: char) -> bool {
    let nothing = |c: char| c == delimiter || c == '"' || c.is_whitespace();
    let drawn = line.contains("---") || line.contains("===");
    line.chars()
        .all(|c| nothing(c) || drawn && ['-', '='].contains(&c))
}

fn row(line: &str, delimiter: char) -> Vec<&str> {
    if is_blank(line) {
        return Vec::new();
    }
    cells(line, delimiter).map(|range| &line[range]).collect()
}

/// The first two words of a line.
fn first_two(line: &str) -> Option<(&str, &str)> {
    let mut words = line.split_whitespace();
    words.next().zip(words.next())
}

/// Whether blanks alone part the cells of most lines that begin with a number: another follows, and more may
/// be in words.
fn by_blanks(lines: &[&str]) -> bool {
    let number = |cell: &str| is_number(cell, ';') && !cell.ends_with(',');
    let begins = |line: &str| line.trim_start().starts_with(|c: char| c.is_ascii_digit());
    let begun = || lines.iter().filter(|line| begins(line));
    let parted = |line: &&&str| {
        let two = first_two(line).filter(|_| !line.contains(['\t', ';', '|']));
        two.is_some_and(|(first, second)| number(first) && number(second))
    };
    // Thousands may be parted by blanks within a cell.
    let three = |cell: &str| cell.chars().take_while(char::is_ascii_digit).count() == 3;
    let grouped = |line: &&str| first_two(line).is_none_or(|(a, b)| a.len() <= 3 && three(b));
    let those = begun().filter(parted).count();
    those >= TELLING && 2 * those > begun().count() && !begun().all(grouped)
}

/// The delimiter under which the lines hold the largest share of numbers, with their units or without; a blank where blanks alone part them.
fn delimiter(lines: &[&str]) -> char {
    if by_blanks(lines) {
        return ' ';
    }
    let score = |delimiter: char| -> f64 {
        let share = |line: &&str| {
            let row = row(line, delimiter);
            if row.len() < 2 {
                return 0.0;
            }
            let figure = |cell: &&&str| is_number(cell, delimiter) || is_quantity(cell, delimiter);
            row.iter().filter(figure).count() as f64 / row.len() as f64
        };
        lines.iter().map(share).sum()
    };
    let scored = DELIMITERS.map(|d| (d, score(d)));
    let best = scored.iter().map(|(_, s)| *s).fold(0.0, f64::max);
    if best > 0.0 {
        let found = scored.iter().find(|(_, s)| *s == best);
        return found.map_or(',', |(d, _)| *d);
    }
    // No numbers at all: what the first line that has any of them has most of.
    let most = |line: &&str| {
        DELIMITERS
            .into_iter()
            .max_by_key(|d| line.matches(*d).count())
    };
    let parted = |line: &&&str| line.contains(DELIMITERS);
    lines.iter().find(parted).and_then(most).unwrap_or(',')
}

pub(super) fn is_number(cell: &str, delimiter: char) -> bool {
    number_and_rest(cell, delimiter).is_some_and(|rest| rest.is_empty()) || degrees(cell).is_some()
}

/// Whether a cell is a number, or one with its unit behind it.
pub(super) fn is_quantity(cell: &str, delimiter: char) -> bool {
    number_and_rest(cell, delimiter)
        .is_some_and(|rest| rest.is_empty() || units::unit(rest.trim()).is_some())
}

/// What stands behind the number that a cell begins with.
fn number_and_rest(cell: &str, delimiter: char) -> Option<String> {
    let comma = delimiter != ',' && cell.contains(',') && !cell.contains('.');
    let plain = if comma {
        cell.replace(',', ".")
    } else {
        cell.to_owned()
    };
    match units::number(&plain) {
        Ok((_, rest)) => Some(rest.to_owned()),
        Err(_) => {
            let (number, unit) = units::apart(cell);
            units::grouped(number).map(|_| unit.to_owned())
        }
    }
}

/// Whether a line holds values.
pub(super) fn is_data(row: &[&str]) -> bool {
    let numbers = row.iter().filter(|cell| is_number(cell, ';')).count();
    let filled = || row.iter().filter(|cell| !cell.is_empty());
    let count = filled().count();
    // Units in the cells themselves: a line that describes the run has words between them.
    numbers >= 2 && numbers * 2 >= count
        || count >= 2 && filled().all(|cell| is_quantity(cell, ';'))
}

/// Whether a line may name columns.
pub(super) fn names_columns(row: &[&str]) -> bool {
    // A line drawn below the headings names none.
    let filled = || row.iter().filter(|cell| !cell.is_empty());
    let drawn = |cell: &&str| cell.chars().all(|c| ['-', '=', '_'].contains(&c));
    filled().count() >= 2 && !filled().all(drawn) && !row.iter().any(|cell| is_number(cell, ';'))
}

/// Words at which a heading of something measured ends.
fn is_measured(cell: &str) -> bool {
    let cell = cell.to_lowercase();
    let mut words = cell.split(|c: char| !c.is_alphanumeric());
    words.any(|word| MEASURED.iter().any(|end| word.ends_with(end)))
}

/// Whether of two lines of a table parted by blanks the upper heads it, and is no title of as many words: it
/// stands right above the other, parted as that is, or every word of it is measured.
fn heads_by_blanks(lines: &[&str], (before, last): (usize, usize)) -> bool {
    let between = &lines[before + 1..last];
    let wide = |line: &str| line.trim().contains("  ");
    let close = between
        .iter()
        .all(|line| is_hollow(line, ' ') && !line.trim().is_empty());
    let parted_alike = wide(lines[before]) && wide(lines[last]);
    let mut words = lines[before].split_whitespace();
    close && (parted_alike || words.all(is_measured))
}

/// A cell of units without what stands in brackets behind one, as in `deg/s (left +)`.
pub fn without_remark(cell: &str) -> &str {
    match cell.split_once(" (") {
        Some((unit, remark)) if remark.trim_end().ends_with(')') => unit.trim_end(),
        _ => cell,
    }
}

/// A row of units below another: most are known, and the others, of columns that nobody reads, are short.
fn is_units(row: &[&str], above: &[&str]) -> bool {
    let bare = |cell: &&str| {
        let cell = without_remark(cell);
        cell.trim_matches(['[', ']', '(', ')'])
            .trim()
            .to_lowercase()
    };
    let filled: Vec<String> = row
        .iter()
        .map(bare)
        .filter(|cell| !cell.is_empty())
        .collect();
    let known = |cell: &&String| {
        let placed = cell.chars().count() > 1 && hemisphere::letter(cell).is_some();
        let moved = [&ACCELERATION, &YAW_RATE].map(|dimension| dimension.unit(cell).is_some());
        OTHER_UNITS.contains(&cell.as_str())
            || units::unit(cell).is_some()
            || moved.contains(&true)
            || placed
    };
    let short = |cell: &String| {
        cell.chars().count() <= LONGEST_UNIT
            && !cell.contains(|c: char| c.is_ascii_digit() || c == ' ')
    };
    let others: Vec<&String> = filled.iter().filter(|cell| !known(cell)).collect();
    // Headings below a line about the run can be units too, as `rpm` and `Nm` are.
    others.is_empty()
        || 3 * others.len() <= filled.len()
            && others.into_iter().all(short)
            && above.iter().any(|cell| is_measured(cell))
}

/// A comma is the decimal mark where it parts no cells and no number has a point, or where points stand before
/// groups of three figures alone and some comma does not.
fn decimal_comma(rows: &[Vec<&str>], delimiter: char) -> bool {
    if delimiter == ',' {
        return false;
    }
    let numbers = || {
        let cells = rows.iter().flatten();
        cells.filter(|c| is_quantity(c, delimiter) || units::grouped_by_points(c).is_some())
    };
    let commas = || numbers().filter(|cell| cell.contains(','));
    let mut points = numbers().filter(|cell| cell.contains('.')).peekable();
    match points.peek() {
        None => commas().next().is_some(),
        Some(_) => {
            commas().any(|cell| units::grouped(cell).is_none())
                && points.all(|cell| units::grouped_by_points(cell).is_some())
        }
    }
}

/// Names of time.
const TIMES: [&str; 5] = ["time", "elapsed time", "zeit", "temps", "t"];
/// What spells a unit, tonnes, and yet names the column where it heads one alone.
const TIME_SYMBOL: &str = "t";

/// The name of a column and its unit, from a heading such as `Torque (N·m)`, `torque [lb-ft]`,
/// `Power_kW` or `Speed km/h`.
pub fn heading(cell: &str) -> (String, Option<String>) {
    let cell = cell.trim();
    if let Some((start, inner)) = bracketed(cell) {
        let name = cell[..start].trim().trim_end_matches('_');
        if is_remark(inner) && [&TORQUE, &POWER].iter().any(|of| of.unit(name).is_some()) {
            return (cell.to_owned(), Some(name.to_owned()));
        }
        let name = if name.is_empty() { inner } else { name };
        return (
            name.to_owned(),
            (!inner.is_empty()).then(|| inner.to_owned()),
        );
    }
    if units::unit(cell).is_some() && !cell.eq_ignore_ascii_case(TIME_SYMBOL) {
        return (cell.to_owned(), Some(cell.to_owned()));
    }
    for (i, mark) in cell
        .char_indices()
        .filter(|(_, c)| matches!(c, '_' | '/' | ' ' | ','))
    {
        let (name, unit) = (cell[..i].trim(), cell[i + mark.len_utf8()..].trim());
        // After a blank a single letter is more likely part of the name than a unit, but for the second.
        let seconds = unit == "s" && TIMES.iter().any(|time| time.eq_ignore_ascii_case(name));
        let word = unit.chars().count() > 1 && unit != "min" && unit != "in";
        let plausible = mark != ' ' || word || seconds;
        let placed = hemisphere::letter(unit).is_some() && hemisphere::is_place(name);
        if placed || !name.is_empty() && plausible && units::unit(unit).is_some() {
            let name = name.strip_suffix(" in").unwrap_or(name);
            return (name.to_owned(), Some(unit.to_owned()));
        }
    }
    (cell.to_owned(), None)
}

/// Whether what stands in the bracket behind a unit is neither one nor a scale: `Nm (at the wheels)`, not `kW (x10)`.
fn is_remark(inner: &str) -> bool {
    let scale = inner.trim_start_matches(['x', 'X', '×', '*', '/', ' ']);
    !scale.starts_with(|c: char| c.is_ascii_digit()) && units::unit(inner).is_none()
}

/// Where the name of a heading ends at a bracket, and what stands in the one that holds a unit, else in the first.
fn bracketed(cell: &str) -> Option<(usize, &str)> {
    let mut found: Vec<(usize, &str)> = Vec::new();
    for (open, close) in [('(', ')'), ('[', ']'), ('{', '}')] {
        for (start, _) in cell.match_indices(open) {
            if let Some(length) = cell[start..].find(close) {
                found.push((start, cell[start + 1..start + length].trim()));
            }
        }
    }
    let first = *found.first()?;
    let name = found.iter().map(|(start, _)| *start).min()?;
    let placed = |inner: &str| {
        hemisphere::letter(inner).is_some() && hemisphere::is_place(cell[..name].trim())
    };
    let unit = found.iter().find(|(_, inner)| placed(inner));
    let unit = unit.or_else(|| found.iter().find(|(_, inner)| units::unit(inner).is_some()));
    Some(unit.map_or(first, |(_, inner)| (name, *inner)))
}
