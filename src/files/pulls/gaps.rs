//! Rows in which nothing was read.

use super::columns::Columns;
use super::tell::lines;
use crate::files::finding::{Findings, Severity};
use crate::files::table::Table;
use crate::units::counted;

/// More than this share of the rows is no slip of a logger.
const MOST: f64 = 0.2;

/// The table without the rows that lack a figure a pull is made of, where those are few, which is told; `None`
/// where none is left out.
pub fn left_out(table: &Table, columns: &Columns, findings: &mut Findings) -> Option<Table> {
    let read = [
        columns.rpm,
        columns.speed,
        columns.torque,
        columns.power,
        columns.brake,
        columns.time,
    ];
    let read: Vec<usize> = read.into_iter().flatten().collect();
    // A row without engine speed is something else, and told where it is read.
    let turns = |row: usize| {
        let column = columns.rpm.or(columns.speed).unwrap_or(0);
        table
            .cell(row, column)
            .starts_with(|c: char| c.is_ascii_digit())
    };
    let lacks = |row: usize| {
        read.iter()
            .copied()
            .find(|&column| table.is_empty(row, column))
    };
    let found: Vec<(usize, usize)> = (0..table.height())
        .filter(|&row| turns(row))
        .filter_map(|row| Some((row, lacks(row)?)))
        .collect();
    let &(row, column) = found.first()?;
    if found.len() as f64 > MOST * table.height() as f64 {
        return None;
    }
    let rows: Vec<usize> = found.iter().map(|(row, _)| *row).collect();
    let mark = table.mark(row, column);
    let text = format!(
        "{} without a figure left out: {}",
        counted(rows.len(), "row"),
        lines(table, &rows)
    );
    // Over one that is alone the curve hardly misses anything.
    let several = rows.windows(2).any(|pair| pair[1] == pair[0] + 1);
    findings.push(match several {
        true => table
            .finding(Severity::Warning, mark, text)
            .remedy("write the values where they are known"),
        false => table.assumed("rows", mark, format!("{text}{}", table.of_file())),
    });
    let mut whole = table.clone();
    whole.leave_out(&rows);
    Some(whole)
}
