//! Rows without a position: what a receiver wrote before it knew where it was, and what faster channels wrote
//! between two fixes.

use super::points::{LAT, LON, TIMES, X, Y};
use crate::files::finding::{Findings, Severity};
use crate::files::table::Table;
use crate::units::counted;

/// A road as near to latitude and longitude 0 as this, degrees, may pass there.
const THERE: f64 = 1.0;

/// Leaves out rows at latitude 0 and longitude 0 of a table whose other rows are elsewhere, and says so.
pub(in crate::files) fn leave_out(table: &mut Table, findings: &mut Findings) {
    let (Some(lat), Some(lon)) = (table.find(LAT), table.find(LON)) else {
        return;
    };
    let number = |row: usize, column: usize| -> Option<f64> {
        table
            .cell(row, column)
            .trim()
            .replace(',', ".")
            .parse()
            .ok()
    };
    let naught = |row: usize| number(row, lat) == Some(0.0) && number(row, lon) == Some(0.0);
    let rows: Vec<usize> = (0..table.height()).filter(|&row| naught(row)).collect();
    let (Some(&first), Some(other)) = (rows.first(), (0..table.height()).find(|&row| !naught(row)))
    else {
        return;
    };
    let far = |column: usize| number(other, column).is_none_or(|angle| angle.abs() > THERE);
    if !(far(lat) || far(lon)) {
        return;
    }
    let text = format!(
        "{} from here on at latitude 0 and longitude 0, which receivers write without a fix: left out",
        counted(rows.len(), "row")
    );
    let finding = table.finding(Severity::Warning, table.mark(first, lat), text);
    findings.push(
        finding.remedy("nothing needs doing where the run that is meant lies in the other rows"),
    );
    table.leave_out(&rows);
}

/// Leaves out rows between two fixes, of a table whose positions are filled in one row of several, and says so;
/// which they were.
pub(in crate::files) fn leave_out_between(
    table: &mut Table,
    findings: &mut Findings,
) -> Vec<usize> {
    let pairs = [(LAT, LON), (X, Y)].map(|(a, b)| table.find(a).zip(table.find(b)));
    let Some((a, b)) = pairs.into_iter().flatten().next() else {
        return Vec::new();
    };
    let Some(seldom) = table.seldom(a).filter(|_| table.seldom(b).is_some()) else {
        return leave_out_lost(table, (a, b), findings);
    };
    let empty = |&row: &usize| table.is_empty(row, a) || table.is_empty(row, b);
    let rows: Vec<usize> = (0..table.height()).filter(empty).collect();
    let text = format!(
        "positions in one row of {}: the rows between them are left out",
        seldom.every
    );
    findings.push(table.assumed("rows", table.columns[a].mark, text));
    table.leave_out(&rows);
    rows
}

/// The same of the rows of a recording in which the receiver knew no place, amid others or before them.
fn leave_out_lost(
    table: &mut Table,
    (a, b): (usize, usize),
    findings: &mut Findings,
) -> Vec<usize> {
    let lost = |&row: &usize| table.is_empty(row, a) && table.is_empty(row, b);
    let rows: Vec<usize> = (0..table.height()).filter(lost).collect();
    let Some(&first) = rows.first() else {
        return rows;
    };
    let timed = table.find(TIMES).is_some();
    if !timed || 2 * rows.len() > table.height() {
        return Vec::new();
    }
    let text = format!("no position in {}: left out", counted(rows.len(), "row"));
    findings.push(table.assumed("rows", table.mark(first, a), text));
    table.leave_out(&rows);
    rows
}
