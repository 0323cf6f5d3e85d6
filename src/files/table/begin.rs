//! Where the rows of a table begin: lines about the run above its headings hold numbers too.

use super::cell::is_gap;
use super::layout::{is_data, is_number, is_quantity, names_columns};

/// Lines about a run that hold numbers are hardly more.
const MOST_ABOUT: usize = 30;

/// What a cell holds, as far as that tells rows of a table from lines about the run.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    Empty,
    Number,
    /// A number with its unit.
    Quantity,
    Text,
}

/// Index of the first line of values, or of the end: of the first that has numbers, but where those down to a line
/// that names columns are of another kind than the rows right below it.
pub fn first_row(rows: &[Vec<&str>]) -> usize {
    let Some(first) = rows.iter().position(|row| is_data(row)) else {
        return rows.len();
    };
    let above = rows[..first].iter().rev().find(|row| names_columns(row));
    let named_above = above.map_or(0, |row| filled(row));
    let mut about: Vec<usize> = Vec::new();
    // Columns that are named since the last line with numbers.
    let mut named = 0;
    for at in first..rows.len() {
        let row = &rows[at];
        if names_columns(row) {
            named = named.max(names(row));
        } else if is_data(row) {
            let heads = named >= named_above.max(2) && goes_on(rows, at);
            if heads && about.iter().all(|&line| !is_alike(&rows[line], row)) {
                return at;
            }
            about.push(at);
            named = 0;
        } else if filled(row) > 0 {
            named = 0;
        }
        let bare = about.iter().filter(|&&line| !is_labelled(&rows[line]));
        if bare.count() > 1 || about.len() > MOST_ABOUT {
            return first;
        }
    }
    first
}

fn filled(row: &[&str]) -> usize {
    row.iter().filter(|cell| !cell.is_empty()).count()
}

/// Cells of a line that may name a column.
fn names(row: &[&str]) -> usize {
    row.iter().filter(|cell| !is_gap(cell)).count()
}

/// Whether the next line that holds anything is another row like this one.
fn goes_on(rows: &[Vec<&str>], at: usize) -> bool {
    let mut below = rows[at + 1..].iter().filter(|row| filled(row) > 0);
    below
        .next()
        .is_some_and(|row| is_data(row) && is_alike(row, &rows[at]))
}

/// Whether a row holds numbers wherever one of a table does.
fn is_alike(row: &[&str], of_table: &[&str]) -> bool {
    let mut columns = of_table.iter().map(|cell| kind(cell)).enumerate();
    columns.all(|(column, of)| {
        let own = row.get(column).map_or(Kind::Empty, |cell| kind(cell));
        matches!(of, Kind::Empty | Kind::Text) || own == of
    })
}

/// Whether a line begins with a word, as one about the run does; of others there may be one, as of run numbers.
fn is_labelled(row: &[&str]) -> bool {
    let first = row.iter().find(|cell| !cell.is_empty());
    first.is_some_and(|cell| kind(cell) == Kind::Text && cell.starts_with(char::is_alphabetic))
}

fn kind(cell: &str) -> Kind {
    match cell {
        "" => Kind::Empty,
        _ if is_number(cell, ';') => Kind::Number,
        _ if is_quantity(cell, ';') => Kind::Quantity,
        _ => Kind::Text,
    }
}
