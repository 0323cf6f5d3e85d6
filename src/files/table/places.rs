//! Prints in which every column has its place across the line, so that a cell may be empty: blanks alone part them.

use std::ops::Range;

use super::split::cells;

/// Rows with all their cells from which the places of the columns can be seen.
const TELLING: usize = 5;

/// Where the columns of a print stand, as bytes of a line.
pub struct Places(Vec<Range<usize>>);

impl Places {
    /// The places of so many columns; `None` where rows with all cells are few, or their columns overlap.
    pub fn of<'t>(lines: impl Iterator<Item = &'t str>, width: usize) -> Option<Self> {
        let mut places: Vec<Range<usize>> = Vec::new();
        let mut full = 0;
        for line in lines.filter(|line| is_fixed(line)) {
            let row: Vec<Range<usize>> = cells(line, ' ').collect();
            if row.len() != width {
                continue;
            }
            full += 1;
            match places.is_empty() {
                true => places = row,
                false => {
                    for (place, cell) in places.iter_mut().zip(row) {
                        *place = place.start.min(cell.start)..place.end.max(cell.end);
                    }
                }
            }
        }
        let apart = places.windows(2).all(|pair| pair[0].end < pair[1].start);
        (full >= TELLING && apart).then_some(Self(places))
    }

    /// The cells of a line that lacks some, column by column; `None` where one of them stands under no column alone.
    pub fn cells(&self, line: &str) -> Option<Vec<Range<usize>>> {
        if !is_fixed(line) {
            return None;
        }
        let end = line.trim_end().len();
        let mut row = vec![end..end; self.0.len()];
        for cell in cells(line, ' ') {
            // One letter more than any full row has may be the hundred before two figures.
            let holds =
                |place: &&Range<usize>| cell.start + 1 >= place.start && cell.end <= place.end + 1;
            let meets = |place: &&Range<usize>| place.start < cell.end && cell.start < place.end;
            let all = || self.0.iter().filter(meets);
            let column = self
                .0
                .iter()
                .position(|place| meets(&place) && holds(&place))?;
            if all().count() > 1 {
                return None;
            }
            if !row[column].is_empty() {
                return None;
            }
            row[column] = cell;
        }
        Some(row)
    }
}

/// Whether a place across the line is one of bytes.
fn is_fixed(line: &str) -> bool {
    line.is_ascii() && !line.contains('\t')
}

/// Which heading each cell of a line under the headings stands nearest to; `None` where two stand nearest to one.
pub fn nearest(headings: &[Range<usize>], under: &[Range<usize>]) -> Option<Vec<usize>> {
    let between = |a: &Range<usize>, b: &Range<usize>| {
        a.start
            .saturating_sub(b.end)
            .max(b.start.saturating_sub(a.end))
    };
    let middle = |of: &Range<usize>| of.start + of.end;
    let found: Option<Vec<usize>> = under
        .iter()
        .map(|cell| {
            let off = |&column: &usize| {
                let heading = &headings[column];
                (
                    between(heading, cell),
                    middle(heading).abs_diff(middle(cell)),
                )
            };
            (0..headings.len()).min_by_key(off)
        })
        .collect();
    found.filter(|found| found.is_sorted_by(|a, b| a < b))
}
