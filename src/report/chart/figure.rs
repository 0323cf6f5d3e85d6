//! A chart with everything that belongs to it: what to notice, a description, drawings for phone and
//! desk, and the table behind it.

use serde::Serialize;

use super::text::lines;
use super::{Chart, INK, Plane, Size, slug};
use crate::report::format::capital;
use crate::report::svg::{Anchor, Picture, Style};
use crate::report::table::{Grid, Side};

/// A chart of a page.
#[derive(Debug, Clone, Serialize)]
pub struct Figure {
    /// Id on the page, and name of its file.
    pub id: String,
    /// What to notice.
    pub title: String,
    /// The drawings, for phone and desk.
    pub drawings: Vec<Drawing>,
    /// What was drawn, in figures.
    pub table: Table,
    /// The rows of the table are read off along the x axis.
    pub reads: bool,
}

/// One drawing.
#[derive(Debug, Clone, Serialize)]
pub struct Drawing {
    /// `phone` or `desk`.
    pub size: &'static str,
    /// The drawing.
    pub svg: String,
    /// Where the x axis begins and ends, px and in its unit: `left right low high`.
    pub axis: String,
}

/// A table behind a chart.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Table {
    /// Titles of the columns, with units.
    pub head: Vec<String>,
    /// Which columns hold words; the others hold numbers.
    pub words: Vec<bool>,
    /// Rows.
    pub rows: Vec<Row>,
}

/// A row of a table.
#[derive(Debug, Clone, Serialize)]
pub struct Row {
    /// Where on the x axis of the chart it stands.
    pub at: Option<f64>,
    /// One cell a column.
    pub cells: Vec<String>,
}

impl Table {
    /// A table without rows.
    pub fn new(head: impl IntoIterator<Item = impl ToString>) -> Self {
        Self {
            head: head.into_iter().map(|title| title.to_string()).collect(),
            words: Vec::new(),
            rows: Vec::new(),
        }
    }

    /// A table for people as a table of a page.
    pub fn of(grid: &Grid) -> Self {
        let mut table = Self::new(grid.titles());
        table.words = grid
            .sides()
            .iter()
            .map(|side| *side == Side::Left)
            .collect();
        grid.rows().iter().for_each(|row| table.row(row.clone()));
        table
    }

    /// Adds a row.
    pub fn row(&mut self, cells: Vec<String>) {
        self.rows.push(Row { at: None, cells });
    }

    /// Adds a row that stands at a place of the x axis.
    pub fn row_at(&mut self, at: f64, cells: Vec<String>) {
        self.rows.push(Row {
            at: Some(at),
            cells,
        });
    }
}

impl Figure {
    /// Draws a chart at both sizes; `draw` gives the drawing and, where values are read off along
    /// it, its plane.
    pub fn new(
        id: &str,
        title: String,
        table: Table,
        draw: impl Fn(Size) -> (String, Option<Plane>),
    ) -> Self {
        let mut reads = false;
        let drawings = Size::ALL.map(|size| {
            let (svg, plane) = draw(size);
            reads = plane.is_some();
            let axis = plane.map(|plane| {
                let ((left, right), (low, high)) = (plane.x.pixels, plane.x.ends);
                format!("{left:.1} {right:.1} {low} {high}")
            });
            Drawing {
                size: size.word(),
                svg,
                axis: axis.unwrap_or_default(),
            }
        });
        Self {
            id: id.to_owned(),
            title: capital(&title),
            drawings: drawings.into(),
            table,
            reads,
        }
    }

    /// The chart alone, as it goes into a file: its title over the drawing for a desk.
    pub fn chart(&self) -> Chart {
        let desk = &self.drawings[self.drawings.len() - 1];
        Chart {
            file: format!("{}.svg", slug(&self.id)),
            svg: alone(&desk.svg, &self.title),
        }
    }
}

/// A drawing with its title over it, in lines.
pub fn alone(svg: &str, title: &str) -> String {
    const SIZE: f64 = 16.0;
    let side = |name: &str| -> f64 {
        let from = svg
            .find(&format!(" {name}=\""))
            .map(|at| at + name.len() + 3);
        let text = from.and_then(|at| svg[at..].split('"').next());
        text.and_then(|text| text.parse().ok()).unwrap_or(0.0)
    };
    let (width, height) = (side("width"), side("height"));
    let head = lines(title, SIZE, width - 24.0);
    let top = 14.0 + 21.0 * head.len() as f64;
    let mut picture = Picture::new(width, top + height);
    for (i, line) in head.iter().enumerate() {
        let style = Style {
            size: SIZE,
            colour: INK,
            anchor: Anchor::Start,
        };
        picture.text((12.0, 24.0 + 21.0 * i as f64), line, style);
    }
    picture.raw(&svg.replacen("<svg", &format!("<svg y=\"{top}\""), 1));
    picture.finish(title, "The title over the drawing that follows.")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_chart_alone_has_its_title_and_the_room_for_it() {
        let inner = Picture::new(720.0, 100.0).finish("inner <b>", "desc");
        let svg = alone(&inner, &"word ".repeat(60));
        assert!(svg.starts_with("<svg"));
        let height: f64 = svg
            .split("height=\"")
            .nth(1)
            .unwrap()
            .split('"')
            .next()
            .unwrap()
            .parse()
            .unwrap();
        assert!(height > 150.0, "{height}");
        assert!(svg.contains("<svg y=\"") && svg.contains("inner &lt;b&gt;"));
    }
}
