//! The headings of a table: taken apart, as written, and those that are missing.

use super::layout::{Layout, heading, without_remark};
use super::places::nearest as nearest_heading;
use super::split::cells;
use super::{Column, Table, whole_line};
use crate::files::finding::{Finding, Severity, quoted};
use crate::files::nearest::nearest;
use crate::files::source::{Mark, Source};
use crate::units::{self, Dimension};

/// What to write where a heading has no unit.
pub fn with_unit(name: &str, dimension: &Dimension) -> String {
    let example = format!(
        "write it in the heading, as in `{name} ({})`",
        dimension.units[0].name()
    );
    match dimension.units.len() {
        1 => example,
        _ => format!("{example}, whichever it is: {}", dimension.wants),
    }
}

impl Table {
    /// A heading as written, with its unit where that stands on a line of its own.
    ///
    /// # Panics
    /// Where the table has no such column.
    pub fn heading(&self, column: usize) -> String {
        let Column { unit, mark, .. } = &self.columns[column];
        let cell = self.source.line(mark.line).chars();
        let cell: String = cell
            .skip(mark.column as usize - 1)
            .take(mark.width as usize)
            .collect();
        match unit.as_ref().filter(|unit| !cell.contains(unit.as_str())) {
            Some(unit) => format!("{cell} ({unit})"),
            None => cell,
        }
    }

    /// What to write where the unit of a column is that of something else: one in a row of units may belong to the
    /// column beside.
    pub(super) fn unit_remedy(&self, column: usize, unit: &str) -> String {
        let Column {
            name,
            unit: own,
            mark,
        } = &self.columns[column];
        let line = self.source.line(mark.line);
        let below = self.layout.units.is_some()
            && own.as_ref().is_some_and(|own| !line.contains(own.as_str()));
        match below {
            true => "it stands in the row of units: put each unit right under its heading there, and `-` under those \
                     that have none"
                .to_owned(),
            false => format!("write it in the heading, as in `{name} ({unit})`"),
        }
    }

    /// A fault of the whole table for a column that [`Table::find`] did not find.
    pub fn missing(&self, wanted: &str, names: &[&str]) -> Finding {
        let line = self.layout.header.unwrap_or(0) as u32 + 1;
        let mark = whole_line(line);
        let finding = self.source.finding(
            Severity::Error,
            mark,
            format!("no column of {wanted} in this table"),
        );
        match self.near(names) {
            Some((written, name)) => {
                finding.remedy(format!("is {} meant? write `{name}`", quoted(written)))
            }
            None => finding.remedy(format!("name one of its columns `{}`", names[0])),
        }
    }

    /// The first heading that is nearly one of these names, and that name.
    pub fn near<'n>(&self, names: &[&'n str]) -> Option<(&str, &'n str)> {
        // One letter is near any other.
        let long = |name: &&str| name.chars().count() > 2;
        let all = (0..self.columns.len()).filter(|&column| !self.is_share(column));
        let called = all.map(|column| self.columns[column].name.as_str());
        called.filter(long).find_map(|called| {
            let name = nearest(called, names.iter().copied().filter(long))?;
            Some((called, name))
        })
    }

    /// Whether a column holds per cent or what an engine's own computer calls its load: no quantity of its own,
    /// whatever it is called.
    pub fn is_share(&self, column: usize) -> bool {
        /// Words of such a heading.
        const WORDS: [&str; 6] = ["load", "percent", "pct", "prozent", "procent", "last"];
        let heading = self.heading(column).to_lowercase();
        let mut words = heading.split(|c: char| !c.is_alphanumeric());
        heading.contains('%') || words.any(|word| WORDS.contains(&word))
    }
}

/// The columns that a header line names.
pub fn headings(source: &Source, layout: &Layout, header: usize) -> Vec<Column> {
    let line_number = header as u32 + 1;
    let line = source.line(line_number);
    let units_line = layout
        .units
        .map(|i| source.line(i as u32 + 1))
        .unwrap_or_default();
    let units: Vec<_> = cells(units_line, layout.delimiter).collect();
    let mut ranges: Vec<_> = cells(line, layout.delimiter).collect();
    let remark = |range: &mut std::ops::Range<usize>| {
        let cell = &line[range.clone()];
        let inner = cell
            .strip_prefix('(')
            .and_then(|cell| cell.strip_suffix(')'));
        inner.is_some_and(|inner| units::unit(inner).is_none())
    };
    // Where blanks part the cells, what stands in brackets behind the headings is about all of them.
    if layout.delimiter == ' ' {
        ranges.pop_if(remark);
    }
    // Columns without a unit leave a gap in such a line.
    let short = layout.delimiter == ' ' && units.len() < ranges.len();
    let placed = match short {
        true => nearest_heading(&ranges, &units),
        false => None,
    };
    let unit_of = |column: usize| match &placed {
        Some(placed) => placed.iter().position(|&of| of == column),
        None => Some(column),
    };
    let unit_under = |column: usize| {
        let range = unit_of(column).and_then(|at| units.get(at));
        range.map_or("", |range| &units_line[range.clone()])
    };
    // A title over several columns of units stands above the first of them.
    let mut title = String::new();
    ranges
        .into_iter()
        .enumerate()
        .map(|(column, range)| {
            let (mut name, unit) = heading(&line[range.clone()]);
            let under = without_remark(unit_under(column));
            let under = under.trim_matches(['[', ']', '(', ')', '-', '–', ' ']);
            let unit = if under.is_empty() {
                unit
            } else {
                Some(under.to_owned())
            };
            match name.is_empty() && layout.units.is_some() && unit.is_some() {
                true => name.clone_from(&title),
                false => title.clone_from(&name),
            }
            let column = line[..range.start].chars().count() as u32 + 1;
            let width = line[range].chars().count().max(1) as u32;
            Column {
                name,
                unit,
                mark: Mark {
                    line: line_number,
                    column,
                    width,
                },
            }
        })
        .collect()
}
