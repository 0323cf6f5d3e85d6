//! Tables without lines: words to the left, numbers to the right, two spaces between.

use comfy_table::presets::NOTHING;
use comfy_table::{Cell, CellAlignment, Row, Table};

use super::format::WIDTH;

/// How a column is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// Widest cell, characters: a longer name is cut, so that the rows stay rows.
const WIDEST: usize = 44;

/// A table under construction.
#[derive(Debug)]
pub struct Grid {
    table: Table,
    sides: Vec<Side>,
    titles: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Grid {
    /// A table with these columns; a title may have several lines.
    pub fn new(columns: &[(&str, Side)]) -> Self {
        let mut table = Table::new();
        table.load_style(NOTHING);
        let sides: Vec<Side> = columns.iter().map(|c| c.1).collect();
        let titles: Vec<&str> = columns.iter().map(|c| c.0).collect();
        let plain = titles.iter().map(|title| title.replace('\n', " "));
        let plain: Vec<String> = plain.map(|title| title.trim().to_owned()).collect();
        let tallest = titles.iter().map(|t| t.lines().count()).max().unwrap_or(1);
        // Titles stand on the rows they head.
        let titles: Vec<String> = titles
            .iter()
            .map(|t| format!("{}{t}", "\n".repeat(tallest - t.lines().count().max(1))))
            .collect();
        table.set_header(row(&sides, &titles));
        for column in table.column_iter_mut() {
            column.set_padding((0, 2));
        }
        Self {
            table,
            sides,
            titles: plain,
            rows: Vec::new(),
        }
    }

    /// Adds a row.
    pub fn row(&mut self, cells: &[String]) {
        self.table.add_row(row(&self.sides, cells));
        self.rows.push(cells.to_vec());
    }

    /// The titles of the columns, each on one line.
    pub fn titles(&self) -> &[String] {
        &self.titles
    }

    /// How the columns are set.
    pub fn sides(&self) -> &[Side] {
        &self.sides
    }

    /// The rows as they were given.
    pub fn rows(&self) -> &[Vec<String>] {
        &self.rows
    }

    /// The table, each line indented.
    pub fn text(&self, indent: usize) -> String {
        let margin = " ".repeat(indent);
        let mut out = String::new();
        for line in self.lines(WIDTH.saturating_sub(indent)) {
            out.push_str(format!("{margin}{line}").trim_end());
            out.push('\n');
        }
        out
    }
}

impl Grid {
    /// The lines; columns move together where that keeps them within `width` characters.
    fn lines(&self, width: usize) -> Vec<String> {
        let lines: Vec<String> = self.table.lines().collect();
        let wide = |line: &String| line.trim_end().chars().count() > width;
        if !lines.iter().any(wide) {
            return lines;
        }
        let mut table = self.table.clone();
        for column in table.column_iter_mut() {
            column.set_padding((0, 1));
        }
        table.lines().collect()
    }
}

fn row(sides: &[Side], cells: &[impl AsRef<str>]) -> Row {
    sides
        .iter()
        .zip(cells)
        .map(|(side, text)| {
            Cell::new(cut(text.as_ref())).set_alignment(match side {
                Side::Left => CellAlignment::Left,
                Side::Right => CellAlignment::Right,
            })
        })
        .collect::<Vec<Cell>>()
        .into()
}

/// The text with each line no wider than [`WIDEST`].
fn cut(text: &str) -> String {
    let line = |line: &str| match line.char_indices().nth(WIDEST) {
        Some((end, _)) => format!("{}…", &line[..end]),
        None => line.to_owned(),
    };
    text.split('\n')
        .map(line)
        .collect::<Vec<String>>()
        .join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_line_up_and_no_line_ends_in_blanks() {
        let mut grid = Grid::new(&[("gear", Side::Left), ("km/h\nat limit", Side::Right)]);
        grid.row(&["1st".into(), "58".into()]);
        grid.row(&["4th".into(), "197".into()]);
        assert_eq!(
            grid.text(1),
            "           km/h\n gear  at limit\n 1st         58\n 4th        197\n"
        );
    }

    #[test]
    fn columns_move_together_before_a_line_is_too_long() {
        let columns = [("a", Side::Left), ("b", Side::Left), ("c", Side::Left)];
        let mut grid = Grid::new(&columns);
        grid.row(&["x".repeat(33), "y".repeat(33), "z".repeat(31)]);
        let widest = |text: String| text.lines().map(|l| l.chars().count()).max();
        assert_eq!(widest(grid.text(0)), Some(99));
        assert!(widest(grid.text(0)) <= Some(WIDTH));
    }

    #[test]
    fn a_long_name_does_not_push_the_table_apart() {
        let mut grid = Grid::new(&[("", Side::Left), ("s", Side::Right)]);
        grid.row(&["ä".repeat(300), "1.2".into()]);
        let text = grid.text(0);
        assert!(text.lines().all(|line| line.chars().count() < 60), "{text}");
    }
}
