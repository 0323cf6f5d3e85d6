//! The one room where charts are drawn: what a spec looks like, axes and their labels, titles and
//! descriptions, the table behind each chart, drawings for a phone and for a desk.
//!
//! A spec keeps its colour, its line and its hatching in every chart. Colours are told apart by the
//! colour-blind; lines and hatching also in grey.

mod canvas;
mod figure;
mod key;
mod plane;
mod series;
mod text;

pub use canvas::Canvas;
pub use figure::{Figure, Row, Table, alone};
pub use key::{Sample, key};
pub use plane::{Axis, Plane};
pub use text::{cut, isolated, lines, width};

/// A chart as text, and the name of its file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// File name without a folder.
    pub file: String,
    /// The drawing.
    pub svg: String,
}

/// What a chart is drawn for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Size {
    /// A phone held upright.
    Phone,
    /// A desk, and paper.
    Desk,
}

impl Size {
    /// Both, the smaller first.
    pub const ALL: [Self; 2] = [Self::Phone, Self::Desk];

    /// Width of the drawing, px.
    pub fn width(self) -> f64 {
        match self {
            Self::Phone => 340.0,
            Self::Desk => 720.0,
        }
    }

    /// One of two values.
    pub fn pick<T>(self, phone: T, desk: T) -> T {
        match self {
            Self::Phone => phone,
            Self::Desk => desk,
        }
    }

    /// Ending of ids and names of classes.
    pub fn word(self) -> &'static str {
        self.pick("phone", "desk")
    }
}

/// Colour of text and axes.
pub const INK: &str = "#222222";
/// Colour of what stands back: second lines of text, marks of an axis.
pub const FAINT: &str = "#5c5c5c";
/// Colour of the grid.
pub const GRID: &str = "#dcdcdc";
/// Size of letters, px.
pub const LETTERS: f64 = 12.0;

const COLOURS: [&str; 6] = [
    "#005a9c", "#b84900", "#007a5c", "#963c82", "#5c4a00", "#464646",
];

/// Dashes and gaps of a spec's line, px; the first is a whole line.
const DASHES: [&str; 6] = ["", "8 4", "2 3", "13 4", "5 6", "18 6"];

/// A spec's colour.
pub fn ink(spec: usize) -> &'static str {
    COLOURS[spec % COLOURS.len()]
}

/// Dashes and gaps of a spec's line; empty for a whole line.
pub fn dashes(spec: usize) -> &'static str {
    DASHES[spec % DASHES.len()]
}

/// Distance and angle of the lines that a spec's bars are hatched with, px and degrees; nothing for
/// the first, whose bars are filled.
pub fn hatching(spec: usize) -> Option<(f64, f64)> {
    match spec % COLOURS.len() {
        0 => None,
        1 => Some((4.5, 45.0)),
        2 => Some((4.5, -45.0)),
        3 => Some((4.0, 90.0)),
        4 => Some((4.0, 0.0)),
        _ => Some((7.0, 45.0)),
    }
}

/// A name as part of a file name: letters and digits, everything else a hyphen.
pub fn slug(name: &str) -> String {
    let mut slug = String::new();
    for c in name.chars().take(60) {
        if c.is_alphanumeric() {
            slug.extend(c.to_lowercase());
        } else if !slug.ends_with('-') {
            slug.push('-');
        }
    }
    let slug = slug.trim_matches('-');
    if slug.is_empty() { "chart" } else { slug }.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_become_file_names() {
        assert_eq!(slug("Long 4-2-1 / 90 mm"), "long-4-2-1-90-mm");
        assert_eq!(slug("../../etc"), "etc");
        assert_eq!(slug("***"), "chart");
    }

    /// Relative luminance and contrast of WCAG 2.1, definitions of "relative luminance" and
    /// "contrast ratio".
    fn contrast_on_white(colour: &str) -> f64 {
        let part = |at: usize| {
            let value = f64::from(u8::from_str_radix(&colour[at..at + 2], 16).unwrap()) / 255.0;
            if value <= 0.04045 {
                value / 12.92
            } else {
                ((value + 0.055) / 1.055).powf(2.4)
            }
        };
        1.05 / (0.05 + 0.2126 * part(1) + 0.7152 * part(3) + 0.0722 * part(5))
    }

    #[test]
    fn letters_in_every_colour_can_be_read_on_white() {
        for colour in COLOURS.iter().chain([&INK, &FAINT]) {
            let contrast = contrast_on_white(colour);
            assert!(contrast >= 4.5, "{colour}: {contrast:.2}");
        }
    }

    #[test]
    fn specs_differ_in_line_and_in_hatching_as_well() {
        for a in 0..6 {
            for b in 0..a {
                assert_ne!(ink(a), ink(b));
                assert_ne!(dashes(a), dashes(b));
                assert_ne!(hatching(a), hatching(b));
            }
        }
    }
}
