//! Delimited tables as loggers and spreadsheets write them.
//!
//! The delimiter (comma, semicolon, tab or blanks) and the decimal mark are found from the numbers
//! themselves; lines before the header, comment lines and a row of units are told apart from
//! values. Every cell keeps its place, so that a fault names its line and column.
//!
//! ```
//! use pullrank::files::finding::Findings;
//! use pullrank::files::source::Source;
//! use pullrank::files::table::Table;
//! use pullrank::units::{ENGINE_SPEED, TORQUE};
//!
//! let mut findings = Findings::new();
//! let source = Source::new("long-1.csv", "Drehzahl;Torque (lb-ft)\n2500;102,5\n3000;112,8\n");
//! let table = Table::parse(source, &mut findings).unwrap();
//! let speed = table.find(&["rpm", "engine speed", "drehzahl"]).unwrap();
//! let torque = table.find(&["torque"]).unwrap();
//! let rpm = table.numbers(speed, &ENGINE_SPEED, Some("rpm"), &mut findings).unwrap();
//! let torque = table.numbers(torque, &TORQUE, None, &mut findings).unwrap();
//! assert_eq!(rpm, [2500.0, 3000.0]);
//! assert!((torque[0] - 138.97).abs() < 0.01);
//! ```

mod abreast;
mod assumed;
mod begin;
mod cell;
mod headings;
mod layout;
mod order;
mod places;
mod rows;
mod seldom;
mod split;
mod summary;
mod thousands;
mod twins;

#[cfg(test)]
mod tests;

use std::borrow::Cow;
use std::path::Path;

pub use self::abreast::Stacked;
use self::cell::{cell_number, is_gap};
use self::headings::headings;
use self::layout::{Layout, layout};
pub use self::order::{each_once, in_order};
use self::rows::{Rows, rows};
use self::thousands::Thousands;
use self::twins::told;
use super::finding::{Finding, Findings, Severity, quoted};
use super::path::hemisphere;
use super::source::{Mark, Source, TABLE_LIMIT};
use crate::units::{self, ANGLE, Dimension, NumberFault, Unit};
pub use seldom::filled;

/// Headings of engine speed.
pub const ENGINE_SPEEDS: &[&str] = &[
    "rpm",
    "engine speed",
    "engine rpm",
    "revs",
    "engine revs",
    "n",
    "drehzahl",
    "motordrehzahl",
    "giri",
    "giri/min",
    "toerental",
    "toeren",
    "régime",
    "regime",
    "régimen",
    "varvtal",
    "obroty",
];
/// Faulty cells of one column, and faulty rows of one table, that are listed.
const LISTED: usize = 5;

/// A table in memory.
#[derive(Debug, Clone)]
pub struct Table {
    source: Source,
    layout: Layout,
    /// The columns in the order of the file.
    pub columns: Vec<Column>,
    rows: Rows,
}

/// One column: its heading, taken apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Name without the unit, as written.
    pub name: String,
    /// Unit, as written.
    pub unit: Option<String>,
    /// Where the heading is.
    pub mark: Mark,
}

impl Table {
    /// Reads a table from a file. What stops it is one finding.
    pub fn read(path: &Path, findings: &mut Findings) -> Option<Self> {
        Self::parse(Source::read_table(path, TABLE_LIMIT, findings)?, findings)
    }

    /// A table from a text already in memory.
    pub fn parse(source: Source, findings: &mut Findings) -> Option<Self> {
        let fault = |text: &str| source.finding(Severity::Error, Mark::default(), text);
        if source.text.trim().is_empty() {
            let finding = fault("this file is empty");
            findings.push(finding.remedy(
                "it wants a line that names the columns, as in `rpm,torque (Nm)`, and a row for each point \
                 under it: export it again",
            ));
            return None;
        }
        let layout = layout(&source.text);
        // A title may hold what parts cells where the rows do not.
        let bars = !layout.rows && layout::parted_by_bars(&source.text);
        let Some(header) = layout.header.filter(|_| !bars) else {
            let finding = match bars {
                true => fault("the cells of this table are parted by `|`")
                    .remedy("part them by commas, semicolons or tabs"),
                false => {
                    let line = layout::likely_heading(&source.text);
                    fault("no line names the columns")
                        .remedy(format!("put a line such as `{line}` above the numbers"))
                }
            };
            findings.push(finding);
            return None;
        };
        let columns = headings(&source, &layout, header);
        let rows = rows(&source, &layout, columns.len(), findings)?;
        if rows.starts.is_empty() {
            let finding = fault("there are no numbers under the header");
            findings.push(finding.remedy("put one row for each point under it"));
            return None;
        }
        let mut table = Self {
            source,
            layout,
            columns,
            rows,
        };
        table.leave_summaries_out(findings);
        Some(table)
    }

    /// The file it was read from.
    pub fn into_source(self) -> Source {
        self.source
    }

    /// How many rows it has.
    pub fn height(&self) -> usize {
        self.rows.starts.len()
    }

    /// The column with one of these names; case, blanks, hyphens and underscores do not count. Of
    /// several, the one whose name comes first in `names`.
    pub fn find(&self, names: &[&str]) -> Option<usize> {
        names.iter().find_map(|name| {
            let wanted = folded(name);
            self.columns.iter().position(|c| folded(&c.name) == wanted)
        })
    }

    /// The lines above the first row that head no column, and those below the last, with their places.
    pub fn notes(&self) -> impl Iterator<Item = (Mark, &str)> {
        let foot = self.rows.foot;
        let Layout {
            header,
            units,
            first,
            ..
        } = self.layout;
        let lines = self.source.text.lines().enumerate();
        let beside = lines.filter(move |(i, _)| *i < first || *i >= foot);
        let rest = beside.filter(move |(i, _)| Some(*i) != header && Some(*i) != units);
        rest.map(|(i, line)| (whole_line(i as u32 + 1), line))
    }

    /// Whether decimals are parted by a comma.
    pub fn decimal_comma(&self) -> bool {
        self.layout.decimal_comma
    }

    /// A cell as written.
    ///
    /// # Panics
    /// Where the table has no such row or column.
    pub fn cell(&self, row: usize, column: usize) -> &str {
        &self.source.text[self.rows.range(row * self.columns.len() + column)]
    }

    /// The place of a cell.
    ///
    /// # Panics
    /// Where the table has no such row or column.
    pub fn mark(&self, row: usize, column: usize) -> Mark {
        let cell = self.rows.range(row * self.columns.len() + column);
        let (row_start, line) = self.rows.starts[row];
        let before = &self.source.text[row_start as usize..cell.start];
        let width = self.source.text[cell].chars().count();
        let column = before.chars().count() as u32 + 1;
        Mark {
            line,
            column,
            width: width.max(1) as u32,
        }
    }

    /// A finding at a place of this table.
    pub fn finding(&self, severity: Severity, mark: Mark, text: impl Into<String>) -> Finding {
        self.source.finding(severity, mark, text)
    }

    /// The values of a column in SI (engine speed in rpm). Empty cells, text and numbers that are
    /// not finite are faults; the first few are listed. `bare` names the unit of a column whose
    /// heading has none, where only one is sane.
    pub fn numbers(
        &self,
        column: usize,
        dimension: &'static Dimension,
        bare: Option<&str>,
        findings: &mut Findings,
    ) -> Option<Vec<f64>> {
        let values = self.values(column, dimension, bare, false, findings)?;
        Some(values.into_iter().flatten().collect())
    }

    /// As [`Table::numbers`], with `None` for cells that are empty or say so (`-`, `n/a`, `NaN`).
    pub fn with_gaps(
        &self,
        column: usize,
        dimension: &'static Dimension,
        bare: Option<&str>,
        findings: &mut Findings,
    ) -> Option<Vec<Option<f64>>> {
        self.values(column, dimension, bare, true, findings)
    }

    fn values(
        &self,
        column: usize,
        dimension: &'static Dimension,
        bare: Option<&str>,
        gaps: bool,
        findings: &mut Findings,
    ) -> Option<Vec<Option<f64>>> {
        let unit = match self.unit(column, dimension, bare) {
            Ok(unit) => unit,
            Err(finding) => {
                findings.push(*finding);
                return None;
            }
        };
        let parted = self.thousands_by_points(column, dimension);
        let parted = parted.and_then(|points| Ok((self.thousands(column, dimension)?, points)));
        let thousands = match parted {
            Ok((commas, points)) => Thousands { commas, points },
            Err(finding) => {
                findings.push(*finding);
                return None;
            }
        };
        let mut values = Vec::with_capacity(self.height());
        let mut faults = Vec::new();
        for row in 0..self.height() {
            if gaps && is_gap(self.cell(row, column)) {
                values.push(None);
                continue;
            }
            match self.value(row, column, dimension, unit, thousands) {
                Ok(value) => values.push(Some(value)),
                Err(finding) => faults.push(*finding),
            }
            if faults.len() > LISTED {
                break;
            }
        }
        if !list_some(faults.into_iter(), findings) {
            return None;
        }
        let most = values
            .iter()
            .flatten()
            .fold(0.0, |m: f64, v| m.max(v.abs()));
        let differs = |twin: usize, row: usize| {
            let unit = self.unit(twin, dimension, bare).ok()?;
            let own = values[row]?;
            let other = self.value(row, twin, dimension, unit, thousands).ok()?;
            Some((other - own).abs() > self.may_differ(twin, column) * most)
        };
        self.alone(column, differs, findings).then_some(values)
    }

    fn value(
        &self,
        row: usize,
        column: usize,
        dimension: &'static Dimension,
        unit: &Unit,
        thousands: Thousands,
    ) -> Result<f64, Box<Finding>> {
        let cell = self.cell(row, column);
        let (number, own) = units::apart(cell);
        if let Some(value) = thousands.whole(number) {
            return Ok(dimension.unit(own).unwrap_or(unit).to_si(value));
        }
        let fault = |text: String, remedy: String| {
            let name = quoted(&self.columns[column].name);
            let text = format!("{name} in row {}: {text}", row + 1);
            let mark = self.mark(row, column);
            Box::new(self.finding(Severity::Error, mark, text).remedy(remedy))
        };
        match cell_number(cell, self.layout.decimal_comma) {
            Ok((value, "")) => Ok(unit.to_si(value)),
            Ok(_) => units::read(&self.with_point(cell), dimension, None)
                .map(|reading| reading.si)
                .map_err(|e| fault(e.to_string(), e.remedy(dimension))),
            Err(NumberFault::NoNumber(_)) => {
                let again = cell == self.columns[column].name && row > 0;
                let (text, remedy) = match cell {
                    "" => (
                        "the cell is empty".to_owned(),
                        "write the value or take the row out",
                    ),
                    _ if again => (
                        format!("the heading {} again", quoted(cell)),
                        "keep one heading; where several pulls follow each other, number them in a \
                         column named `pull`",
                    ),
                    _ => (
                        format!("{} is not a number", quoted(cell)),
                        "write the value or take the row out",
                    ),
                };
                Err(fault(text, remedy.to_owned()))
            }
            Err(e) => Err(fault(e.to_string(), "write a plain number".to_owned())),
        }
    }

    /// A cell with a point for its decimal mark.
    fn with_point<'a>(&self, cell: &'a str) -> Cow<'a, str> {
        match self.layout.decimal_comma && cell.matches(',').count() == 1 {
            true => Cow::Owned(cell.replace(',', ".")),
            false => Cow::Borrowed(cell),
        }
    }

    /// The column whose unit says what it is, where there is one alone, as under `km/h` or `engine_rpm`.
    pub fn only_in(&self, dimension: &Dimension) -> Option<usize> {
        let is_one = |unit: &str| dimension.unit(unit).is_some();
        let all = 0..self.columns.len();
        let mut found = all.filter(|&column| self.written_unit(column).is_some_and(is_one));
        found.next().filter(|_| found.next().is_none())
    }

    /// The unit of a column as written, in its heading or its first cell.
    pub fn written_unit(&self, column: usize) -> Option<&str> {
        let heading = self.columns[column].unit.as_deref();
        heading.or_else(|| self.unit_in_cells(column))
    }

    /// The unit that the first cell of a column has behind its number.
    fn unit_in_cells(&self, column: usize) -> Option<&str> {
        let (_, unit) = units::apart(self.cell(0, column));
        Some(unit).filter(|unit| !unit.is_empty())
    }

    /// The unit of a column: that of its heading or of its first cell, or `bare`.
    fn unit(
        &self,
        column: usize,
        dimension: &'static Dimension,
        bare: Option<&str>,
    ) -> Result<&'static Unit, Box<Finding>> {
        let Column { name, mark, .. } = &self.columns[column];
        let unit = dimension.units[0].name();
        let fault = |text: String, remedy: String| {
            Box::new(self.finding(Severity::Error, *mark, text).remedy(remedy))
        };
        let Some(written) = self.written_unit(column).or(bare) else {
            let remedy = headings::with_unit(name, dimension);
            let text = format!("the column {} has no unit", quoted(name));
            return Err(fault(text, remedy));
        };
        let of_place = || hemisphere::letter(written).is_some() || hemisphere::names_both(written);
        let degrees = || (std::ptr::eq(dimension, &ANGLE) && of_place()).then(|| &ANGLE.units[0]);
        dimension.unit(written).or_else(degrees).ok_or_else(|| {
            let (what, remedy) = match units::unit(written) {
                Some((_, other)) => (
                    format!("is {}", other.with_article()),
                    self.unit_remedy(column, unit),
                ),
                None => (
                    "is not a unit known here".to_owned(),
                    format!(
                        "{} is read in {}: if the figures are in one of them write that, else convert them",
                        dimension.name, dimension.wants
                    ),
                ),
            };
            let wanted = dimension.with_article();
            let text = format!("{} {what}; {} is {wanted}", quoted(written), quoted(name));
            fault(text, remedy)
        })
    }
}

fn whole_line(line: u32) -> Mark {
    Mark {
        line,
        ..Mark::default()
    }
}

/// Lists the first few of many like faults, of each row only one; whether there was none.
fn list_some(faults: impl Iterator<Item = Finding>, findings: &mut Findings) -> bool {
    let mut sound = true;
    for (count, mut finding) in faults.take(LISTED + 1).enumerate() {
        sound = false;
        if told(&finding, findings) {
            continue;
        }
        if count == LISTED {
            finding.text = format!("{} (and more rows like it)", finding.text);
        }
        findings.push(finding);
    }
    sound
}

/// A heading as it is compared: in small letters, without blanks, hyphens, underscores and points.
pub fn folded(name: &str) -> String {
    name.chars()
        .filter(|c| !matches!(c, ' ' | '-' | '_' | '.'))
        .flat_map(char::to_lowercase)
        .collect()
}
