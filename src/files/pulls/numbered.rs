//! Columns that number the pulls of a file.

use super::FEWEST_POINTS;
use crate::files::finding::{Findings, quoted};
use crate::files::table::{Table, folded};

const PULL: [&str; 5] = ["pull", "pull number", "run", "run number", "sweep"];

/// Headings that number pulls as well as other things: only where they part the rows as pulls do.
const NUMBERS: [&str; 14] = [
    "pull no",
    "run no",
    "run #",
    "run nr",
    "run id",
    "test",
    "test no",
    "test number",
    "test #",
    "session",
    "messung",
    "lauf",
    "lauf nr",
    "essai",
];
/// What changes from number to number while an engine is pulled once.
const OTHERS: [&str; 12] = [
    "gear",
    "gang",
    "rapport",
    "marcia",
    "marcha",
    "bieg",
    "versnelling",
    "växel",
    "lap",
    "step",
    "stufe",
    "stage",
];
/// Pulls begin within this share of one engine speed; gears are changed further up.
const BEGIN: f64 = 0.15;

/// The column that numbers the pulls; one that goes by another name is listed.
pub fn column(table: &Table, rpm: Option<usize>, findings: &mut Findings) -> Option<usize> {
    let named = table.find(&NUMBERS).filter(|&column| {
        let lengths = blocks(table, column).into_iter().map(|rows| rows.len());
        lengths.clone().all(|length| length >= FEWEST_POINTS) && lengths.count() > 1
    });
    table.find(&PULL).or(named).or_else(|| {
        let rpm = rpm?;
        let mut all = 0..table.columns.len();
        let found = all.find(|&column| column != rpm && counts(table, column, rpm))?;
        let heading = &table.columns[found];
        let text = format!("{} numbers the pulls", quoted(&heading.name));
        findings.push(table.assumed("pull", heading.mark, text));
        Some(found)
    })
}

/// Which pull each row is of; one that is numbered in its first row alone is told by that.
pub fn labels(table: &Table, column: usize) -> Vec<&str> {
    let mut labels: Vec<&str> = (0..table.height())
        .map(|row| table.cell(row, column))
        .collect();
    let numbered = || labels.iter().filter(|label| !label.is_empty());
    let begins = !labels.first().is_none_or(|label| label.is_empty());
    let blocks = labels.chunk_by(|a, b| a == b);
    let once = blocks
        .filter(|block| !block[0].is_empty())
        .all(|block| block.len() == 1);
    if begins && once && numbered().count() < labels.len() {
        for row in 1..labels.len() {
            if labels[row].is_empty() {
                labels[row] = labels[row - 1];
            }
        }
    }
    labels
}

/// The rows of each run of one label in a column.
fn blocks(table: &Table, column: usize) -> Vec<Vec<usize>> {
    let labels = labels(table, column);
    let rows: Vec<usize> = (0..labels.len()).collect();
    let alike = |&a: &usize, &b: &usize| labels[a] == labels[b];
    rows.chunk_by(alike).map(<[usize]>::to_vec).collect()
}

/// Whether a column counts on by one, and engine speed begins anew each time about where it began before.
fn counts(table: &Table, column: usize, rpm: usize) -> bool {
    let name = folded(&table.columns[column].name);
    if OTHERS.iter().any(|other| name.contains(other)) {
        return false;
    }
    let blocks = blocks(table, column);
    let number = |rows: &Vec<usize>| table.cell(rows[0], column).parse::<u16>().ok();
    let numbers: Option<Vec<u16>> = blocks.iter().map(number).collect();
    let on = |numbers: Vec<u16>| {
        numbers
            .windows(2)
            .all(|pair| pair[1] == pair[0].saturating_add(1))
    };
    if blocks.len() < 2
        || blocks.iter().any(|rows| rows.len() < FEWEST_POINTS)
        || !numbers.is_some_and(on)
    {
        return false;
    }
    let speed = |row: usize| super::columns::values(table, rpm, &[row]).map(|values| values[0]);
    let ends = |rows: &Vec<usize>| Some((speed(rows[0])?, speed(rows[rows.len() - 1])?));
    let Some(ends) = blocks.iter().map(ends).collect::<Option<Vec<(f64, f64)>>>() else {
        return false;
    };
    let first = ends[0].0;
    ends.iter()
        .all(|(begin, end)| (begin - first).abs() < BEGIN * first && begin < end)
}
