//! What all charts share: a spec's colour and line, names of files, titles for readers and machines.
//!
//! Colours are told apart by the colour-blind and in grey; every spec has a line of its own as well,
//! so that a black and white print can be read.

use plotters::coord::types::RangedCoordf64;
use plotters::prelude::*;

/// A chart as text, and the name of its file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Chart {
    /// File name without a folder.
    pub file: String,
    /// The drawing.
    pub svg: String,
}

/// Drawing units to a pixel: the drawing library places points on whole units, and curves on whole
/// pixels would show steps.
pub const FINE: u32 = 8;

/// Pixels in drawing units.
pub const fn px(pixels: u32) -> u32 {
    pixels * FINE
}

/// Colour of text and axes.
pub const INK: RGBColor = RGBColor(34, 34, 34);

const COLOURS: [RGBColor; 6] = [
    RGBColor(0, 90, 156),
    RGBColor(196, 78, 0),
    RGBColor(0, 122, 92),
    RGBColor(150, 60, 130),
    RGBColor(92, 74, 0),
    RGBColor(70, 70, 70),
];

/// Lengths of dash and gap, pixels; no gap is a whole line.
const LINES: [(i32, i32); 6] = [(1, 0), (10, 5), (3, 4), (16, 4), (6, 8), (22, 8)];

/// A spec's colour.
pub fn ink(spec: usize) -> RGBColor {
    COLOURS[spec % COLOURS.len()]
}

/// The colour of a spec's band.
pub fn faint(spec: usize) -> RGBAColor {
    ink(spec).mix(0.16)
}

/// Draws a line in a spec's colour and manner.
///
/// # Errors
/// The drawing cannot be written.
pub fn stroke<DB: DrawingBackend>(
    plane: &mut ChartContext<DB, Cartesian2d<RangedCoordf64, RangedCoordf64>>,
    points: Vec<(f64, f64)>,
    spec: usize,
) -> Result<(), DrawingAreaErrorKind<DB::ErrorType>> {
    let style = ink(spec).stroke_width(px(2));
    let fine = FINE as i32;
    match LINES[spec % LINES.len()] {
        (_, 0) => {
            plane.draw_series(LineSeries::new(points, style))?;
        }
        (dash, gap) => {
            plane.draw_series(DashedLineSeries::new(
                points,
                dash * fine,
                gap * fine,
                style,
            ))?;
        }
    }
    Ok(())
}

/// A drawing of a size in pixels, shown at that size, with a title and a description for those who
/// do not see it.
pub fn described(svg: &str, (width, height): (u32, u32), title: &str, desc: &str) -> String {
    let Some(open) = svg
        .find("<svg")
        .and_then(|at| Some(at + svg[at..].find('>')? + 1))
    else {
        return svg.to_owned();
    };
    let (head, body) = svg.split_at(open);
    let drawn = format!("width=\"{}\" height=\"{}\"", px(width), px(height));
    let shown = format!("role=\"img\" width=\"{width}\" height=\"{height}\"");
    let head = head.replacen(&drawn, &shown, 1);
    format!(
        "{head}\n<title>{}</title>\n<desc>{}</desc>{body}",
        escaped(title),
        escaped(desc)
    )
}

/// Text that is safe between tags.
pub fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
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
    if slug.is_empty() { "spec" } else { slug }.to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_become_file_names() {
        assert_eq!(slug("Long 4-2-1 / 90 mm"), "long-4-2-1-90-mm");
        assert_eq!(slug("../../etc"), "etc");
        assert_eq!(slug("***"), "spec");
    }

    #[test]
    fn titles_are_inert() {
        let drawn = format!("<svg width=\"{0}\" height=\"{0}\">\n</svg>", px(1));
        let svg = described(&drawn, (1, 1), "a<script>", "b & c");
        assert!(svg.starts_with("<svg role=\"img\" width=\"1\" height=\"1\">"));
        assert!(svg.contains("<title>a&lt;script&gt;</title>") && svg.contains("b &amp; c"));
    }
}
