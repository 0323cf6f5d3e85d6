//! Runs that stand side by side in one table, put one under another.

use std::ops::Range;

use super::Table;
use super::rows::Rows;
use super::split::cells;

/// A table of one run's columns, and the rows of each run with what it is called.
pub type Stacked = (Table, Vec<(String, Range<usize>)>);

impl Table {
    /// Whether a column has neither heading nor figures, as one that sets two runs apart.
    pub fn is_hollow(&self, column: usize) -> bool {
        let heading = &self.columns[column];
        let cells = 0..self.height();
        heading.name.is_empty()
            && heading.unit.is_none()
            && cells.clone().all(|row| self.is_empty(row, column))
    }

    /// What stands above the heading of each of these columns, where one stands above every one and above no
    /// other.
    pub fn titles(&self, columns: &[usize]) -> Option<Vec<String>> {
        let header = self.layout.header?.checked_sub(1)?;
        let line = self.source.line(header as u32 + 1);
        let above: Vec<&str> = cells(line, self.layout.delimiter)
            .map(|range| line[range].trim())
            .collect();
        let titles = columns
            .iter()
            .map(|&column| above.get(column).map(|title| (*title).to_owned()));
        let titles: Vec<String> = titles.collect::<Option<_>>()?;
        let written = above.iter().filter(|title| !title.is_empty()).count();
        let all = titles.iter().all(|title| !title.is_empty());
        (all && written == titles.len()).then_some(titles)
    }

    /// The rows of runs side by side, one run under another: of each, its name and its columns, which are headed as
    /// those of the first. Rows without a figure in the columns behind the first `shared` of a run are none of its.
    pub fn stacked(&self, runs: &[(String, Vec<usize>)], shared: usize) -> Stacked {
        let mut rows = Rows::none_of(&self.rows);
        let mut named = Vec::new();
        for (name, columns) in runs {
            let begin = rows.starts.len();
            let has_figures =
                |row: &usize| columns[shared..].iter().any(|&c| !self.is_empty(*row, c));
            for row in (0..self.height()).filter(has_figures) {
                let of_row = row * self.columns.len();
                let places = columns.iter().map(|column| of_row + column);
                rows.take_over(&self.rows, row, places);
            }
            named.push((name.clone(), begin..rows.starts.len()));
        }
        let first = runs.first().map_or(&[][..], |(_, columns)| columns);
        let table = Self {
            source: self.source.clone(),
            layout: self.layout.clone(),
            columns: first.iter().map(|&c| self.columns[c].clone()).collect(),
            rows,
        };
        (table, named)
    }
}
