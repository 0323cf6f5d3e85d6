//! Lines and areas through many points, drawn by plotters. It places whole units, so it draws on a grid
//! of tenths of a pixel, which is scaled back.

use plotters::prelude::{
    Color, IntoDrawingArea, PathElement, Polygon, RGBColor, SVGBackend, ShapeStyle,
};

/// Units a pixel.
const FINE: f64 = 10.0;
/// Room for any drawing, units: points beyond it would be moved to its edge.
const ROOM: (u32, u32) = (40_000, 40_000);

/// A line of a colour (`#rrggbb`) and width, px, through points in px; `dash` has dashes and gaps in
/// px and may be empty.
pub fn line(points: &[(f64, f64)], colour: &str, width: f64, dash: &str) -> String {
    let style = ShapeStyle {
        color: rgb(colour).to_rgba(),
        filled: false,
        stroke_width: (FINE * width).round() as u32,
    };
    let dash: Vec<String> = dash
        .split_whitespace()
        .filter_map(|part| part.parse::<f64>().ok())
        .map(|part| (FINE * part).to_string())
        .collect();
    let dash = match dash.is_empty() {
        true => String::new(),
        false => format!(" stroke-dasharray=\"{}\"", dash.join(" ")),
    };
    let root = |text: &mut String| {
        let area = SVGBackend::with_string(text, ROOM).into_drawing_area();
        area.draw(&PathElement::new(fine(points), style))
            .and_then(|()| area.present())
            .is_ok()
    };
    scaled(&drawn(root), &dash)
}

/// An area of a colour and opacity within points in px.
pub fn area(points: &[(f64, f64)], colour: &str, opacity: f64) -> String {
    let root = |text: &mut String| {
        let area = SVGBackend::with_string(text, ROOM).into_drawing_area();
        area.draw(&Polygon::new(fine(points), rgb(colour).mix(opacity)))
            .and_then(|()| area.present())
            .is_ok()
    };
    scaled(&drawn(root), "")
}

fn fine(points: &[(f64, f64)]) -> Vec<(i32, i32)> {
    let unit = |value: f64| (FINE * value).round() as i32;
    points.iter().map(|(x, y)| (unit(*x), unit(*y))).collect()
}

/// The elements of a drawing without the document around them; nothing where it failed.
fn drawn(draw: impl FnOnce(&mut String) -> bool) -> String {
    let mut text = String::new();
    if !draw(&mut text) {
        return String::new();
    }
    let inner = text
        .split_once("<svg")
        .and_then(|(_, rest)| rest.split_once('>'))
        .and_then(|(_, rest)| rest.rsplit_once("</svg>"));
    inner.map_or(String::new(), |(inner, _)| inner.trim().to_owned())
}

fn scaled(elements: &str, attributes: &str) -> String {
    format!(
        "<g transform=\"scale({})\"{attributes}>{elements}</g>",
        1.0 / FINE
    )
}

/// `#rrggbb`; anything else is black.
fn rgb(colour: &str) -> RGBColor {
    let part = |from: usize| {
        let digits = colour.get(from..from + 2)?;
        u8::from_str_radix(digits, 16).ok()
    };
    RGBColor(
        part(1).unwrap_or(0),
        part(3).unwrap_or(0),
        part(5).unwrap_or(0),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_placed_to_a_tenth_of_a_pixel() {
        let text = line(&[(0.0, 1.25), (10.04, 2.5)], "#005a9c", 2.2, "8 4");
        assert!(
            text.starts_with("<g transform=\"scale(0.1)\" stroke-dasharray=\"80 40\">"),
            "{text}"
        );
        assert!(text.contains("points=\"0,13 100,25"), "{text}");
        assert!(
            text.contains("#005A9C") && text.contains("stroke-width=\"22\""),
            "{text}"
        );
        assert!(!text.contains("svg"), "{text}");
    }

    #[test]
    fn areas_are_pale() {
        let text = area(&[(0.0, 0.0), (1.0, 0.0), (1.0, 1.0)], "#b84900", 0.14);
        assert!(
            text.contains("<polygon") && text.contains("opacity=\"0.14\""),
            "{text}"
        );
    }
}
