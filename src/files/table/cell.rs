//! What one cell holds.

use crate::units::{self, NumberFault};

/// A number in a table whose decimal mark is known.
pub(super) fn cell_number(cell: &str, decimal_comma: bool) -> Result<(f64, &str), NumberFault> {
    let single = cell.matches(',').count() == 1 && !cell.contains('.');
    if !(decimal_comma && single) {
        return units::number(cell);
    }
    // In such a table `1,080` is 1.08, and only here.
    match units::number(&cell.replace(',', ".")) {
        Ok((value, rest)) => Ok((value, &cell[cell.len() - rest.len()..])),
        Err(_) => units::number(cell),
    }
}

/// Whether a cell says that there is no value; spreadsheets draw `####` where a column is too narrow.
pub(super) fn is_gap(cell: &str) -> bool {
    cell.chars()
        .all(|c| ['-', '–', '—', '#', '*', '?'].contains(&c))
        || ["n/a", "na", "nan"]
            .iter()
            .any(|word| word.eq_ignore_ascii_case(cell))
}
