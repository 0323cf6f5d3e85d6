//! Single rows that no engine can have read: a counter that ran over, a tachometer that lost its signal.

use super::columns::Columns;
use super::tell::tell_spikes;
use super::{FASTEST, MOST_TORQUE, Values};
use crate::files::finding::Findings;
use crate::files::table::Table;

/// Share of the rows that may be so; one always.
const MOST: f64 = 0.01;
/// Share by which engine speeds on both sides may differ: what was lost between them is hardly anything.
const AGREE: f64 = 0.05;
/// Share of both below which engine speed was lost in a sheet; rows of a log are looked at where its sweep is cut out.
const LOST: f64 = 0.5;
/// Rows from which a file is a log.
const LOGGED: usize = 40;

/// The table without such rows, which are told; `None` where none is left out.
pub(super) fn left_out(
    table: &Table,
    columns: &Columns,
    values: &Values,
    findings: &mut Findings,
) -> Option<Table> {
    let (rpm, torque) = (&values.rpm, &values.torque);
    let high = |row: usize| {
        let sane = torque[row].is_finite() && torque[row].abs() <= MOST_TORQUE;
        rpm[row] > FASTEST || !sane
    };
    let low = |row: usize| rpm.len() < LOGGED && rpm[row] < LOST * rpm[row - 1].min(rpm[row + 1]);
    let inner = 1..rpm.len().saturating_sub(1);
    let rows: Vec<usize> = inner.filter(|&row| high(row) || low(row)).collect();
    let agrees = |&row: &usize| {
        let (before, after) = (rpm[row - 1], rpm[row + 1]);
        (before - after).abs() <= AGREE * before.max(after) && !high(row - 1) && !high(row + 1)
    };
    let all = (0..rpm.len()).filter(|&row| high(row)).count();
    let few = rows.len() as f64 <= (MOST * rpm.len() as f64).max(1.0);
    // Those at the ends have one neighbour alone, and are refused.
    let only = all == rows.iter().filter(|&&row| high(row)).count();
    if rows.is_empty() || !few || !only || !rows.iter().all(agrees) {
        return None;
    }
    tell_spikes(table, columns, &rows, findings);
    let mut whole = table.clone();
    whole.leave_out(&rows);
    Some(whole)
}

#[cfg(test)]
mod tests {
    use crate::files::finding::Findings;
    use crate::files::pulls::{Settings, parse};
    use crate::files::source::Source;
    use crate::files::table::Table;

    fn said(rows: usize, change: impl Fn(usize, f64) -> f64) -> (bool, String) {
        let row = |i: usize| {
            let rpm = 2500.0 + 100.0 * i as f64 * 46.0 / rows as f64;
            let torque = 200.0 - 50.0 * ((rpm - 5200.0) / 2600.0).powi(2);
            format!("{:.0},{torque:.2}\n", change(i, rpm))
        };
        let text: String = (0..rows).map(row).collect();
        let text = format!("rpm,torque (Nm)\n{text}");
        let mut findings = Findings::new();
        let table = Table::parse(Source::new("long-1.csv", text), &mut findings).unwrap();
        let read = parse(&table, "long-1", &Settings::USUAL, &mut findings);
        let said: Vec<&str> = findings.iter().map(|f| f.text.as_str()).collect();
        (read.is_some(), said.join("; "))
    }

    #[test]
    fn single_overflows_and_losses_are_left_out_with_their_rows() {
        let one = |bad: f64| move |i: usize, rpm: f64| if i == 20 { bad } else { rpm };
        for (rows, bad) in [(46, 65535.0), (46, 32767.0), (400, 65535.0), (38, 0.0)] {
            let (read, said) = said(rows, one(bad));
            assert!(read, "{bad}: {said}");
            assert_eq!(said, "1 row left out as spikes: line 22", "{bad}");
        }
        let far = |i: usize, rpm: f64| if i == 100 || i == 200 { 65535.0 } else { rpm };
        assert_eq!(said(400, far).1, "2 rows left out as spikes: line 102, 202");
    }

    #[test]
    fn many_two_together_and_the_last_are_refused() {
        for bad in [
            (|i| i == 20 || i == 21) as fn(usize) -> bool,
            |i| i % 10 == 5,
            |i| i == 45,
        ] {
            let (read, said) = said(46, |i, rpm| if bad(i) { 65535.0 } else { rpm });
            assert!(!read && said.contains("65535 rpm"), "{said}");
        }
    }
}
