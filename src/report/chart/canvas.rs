//! A drawing in pixels with what specs look like built in.

use super::{FAINT, INK, LETTERS, Size, dashes, hatching, ink, series};
use crate::report::svg::{Anchor, Picture, Stroke, Style};

/// A drawing for one size.
#[derive(Debug)]
pub struct Canvas {
    picture: Picture,
    id: String,
    /// What it is drawn for.
    pub size: Size,
    /// Width, px.
    pub width: f64,
    /// Height, px.
    pub height: f64,
}

impl Canvas {
    /// An empty drawing of a height, px, whose ids begin with `id`, with the hatching of so many
    /// specs.
    pub fn new(id: &str, size: Size, height: f64, specs: usize) -> Self {
        let id = format!("{id}-{}", size.word());
        let mut picture = Picture::new(size.width(), height);
        for spec in 0..specs.min(6) {
            if let Some((distance, angle)) = hatching(spec) {
                let colour = ink(spec);
                let d = distance;
                picture.raw(&format!(
                    "<pattern id=\"{id}-h{spec}\" width=\"{d}\" height=\"{d}\" \
                     patternUnits=\"userSpaceOnUse\" patternTransform=\"rotate({angle})\">\
                     <rect width=\"{d}\" height=\"{d}\" fill=\"#ffffff\"/>\
                     <path d=\"M0 0H{d}\" stroke=\"{colour}\" stroke-width=\"3\"/></pattern>"
                ));
            }
        }
        Self {
            picture,
            id,
            size,
            width: size.width(),
            height,
        }
    }

    /// Makes the drawing so high, px: its key may have taken more rows than one.
    pub fn set_height(&mut self, height: f64) {
        self.height = height;
        self.picture.set_height(height);
    }

    /// Begins a group that the page can hide with a spec.
    pub fn open_spec(&mut self, spec: usize) {
        self.picture.raw(&format!("<g class=\"spec-{spec}\">"));
    }

    /// Begins a group of a class.
    pub fn open(&mut self, class: &str) {
        self.picture.raw(&format!("<g class=\"{class}\">"));
    }

    /// Ends a group.
    pub fn close(&mut self) {
        self.picture.raw("</g>");
    }

    /// A line in a spec's colour and manner.
    pub fn curve(&mut self, points: &[(f64, f64)], spec: usize) {
        self.path(points, ink(spec), 2.2, dashes(spec));
    }

    /// A shape in a spec's colour, pale.
    pub fn pale(&mut self, points: &[(f64, f64)], spec: usize) {
        self.picture.raw(&series::area(points, ink(spec), 0.14));
    }

    /// A line of a colour and width; `dash` may be empty.
    pub fn path(&mut self, points: &[(f64, f64)], colour: &str, width: f64, dash: &str) {
        self.picture.raw(&series::line(points, colour, width, dash));
    }

    /// A bar filled in a spec's manner; negative heights and widths go the other way.
    pub fn bar(&mut self, (x, y): (f64, f64), (width, height): (f64, f64), spec: usize) {
        let (x, width) = (x.min(x + width), width.abs());
        let (y, height) = (y.min(y + height), height.abs());
        let fill = match hatching(spec) {
            Some(_) => format!("url(#{}-h{})", self.id, spec % 6),
            None => ink(spec).to_owned(),
        };
        self.picture.raw(&format!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{fill}\" stroke=\"{}\" \
             stroke-width=\"1\"/>",
            tenth(x),
            tenth(y),
            tenth(width),
            tenth(height),
            ink(spec)
        ));
    }

    /// An empty bar with a thin outline.
    pub fn outline(&mut self, (x, y): (f64, f64), (width, height): (f64, f64)) {
        self.picture.raw(&format!(
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"none\" stroke=\"{FAINT}\" \
             stroke-width=\"0.8\"/>",
            tenth(x),
            tenth(y),
            tenth(width),
            tenth(height)
        ));
    }

    /// A grey ground.
    pub fn ground(&mut self, (x, y): (f64, f64), (width, height): (f64, f64), colour: &str) {
        self.picture.rectangle((x, y), (width, height), colour);
    }

    /// A thin straight line.
    pub fn rule(&mut self, from: (f64, f64), to: (f64, f64), colour: &str, width: f64) {
        self.picture.line([from, to], Stroke { colour, width });
    }

    /// A ring or, filled, a dot.
    pub fn dot(&mut self, at: (f64, f64), radius: f64, fill: &str, rim: &str) {
        self.picture.circle(
            at,
            radius,
            fill,
            Stroke {
                colour: rim,
                width: 1.8,
            },
        );
    }

    /// A spec's mark: every spec has a shape of its own.
    pub fn mark(&mut self, (x, y): (f64, f64), spec: usize) {
        let colour = ink(spec);
        let r = 5.0;
        match spec % 6 {
            0 => self.dot((x, y), r, colour, colour),
            1 => self.closed(
                &[
                    (x, y - r - 1.0),
                    (x + r + 1.0, y),
                    (x, y + r + 1.0),
                    (x - r - 1.0, y),
                ],
                "#ffffff",
                colour,
            ),
            2 => self.closed(
                &[(x - r, y + r), (x + r, y + r), (x, y - r)],
                colour,
                colour,
            ),
            3 => self.closed(
                &[
                    (x - r, y - r),
                    (x + r, y - r),
                    (x + r, y + r),
                    (x - r, y + r),
                ],
                "#ffffff",
                colour,
            ),
            4 => self.closed(
                &[(x - r, y - r), (x + r, y - r), (x, y + r)],
                colour,
                colour,
            ),
            _ => self.dot((x, y), r, "#ffffff", colour),
        }
    }

    fn closed(&mut self, points: &[(f64, f64)], fill: &str, rim: &str) {
        self.picture.raw(&format!(
            "<polygon points=\"{}\" fill=\"{fill}\" stroke=\"{rim}\" stroke-width=\"1.8\"/>",
            joined(points)
        ));
    }

    /// Text on its base line.
    pub fn text(&mut self, at: (f64, f64), text: &str, anchor: Anchor) {
        self.letters(at, text, anchor, LETTERS, INK);
    }

    /// Text that stands back.
    pub fn note(&mut self, at: (f64, f64), text: &str, anchor: Anchor) {
        self.letters(at, text, anchor, LETTERS - 1.0, FAINT);
    }

    /// Text of a size and colour.
    pub fn letters(&mut self, at: (f64, f64), text: &str, anchor: Anchor, size: f64, colour: &str) {
        let style = Style {
            size,
            colour,
            anchor,
        };
        self.picture.text(at, text, style);
    }

    /// Elements as they are.
    pub fn raw(&mut self, element: &str) {
        self.picture.raw(element);
    }

    /// The drawing with its title and description.
    pub fn finish(self, title: &str, description: &str) -> String {
        self.picture.named(&self.id, title, description)
    }
}

/// A coordinate to a tenth of a pixel.
pub(super) fn tenth(value: f64) -> String {
    let text = crate::report::format::decimal(value, 1);
    text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
}

fn joined(points: &[(f64, f64)]) -> String {
    let points: Vec<String> = points
        .iter()
        .map(|(x, y)| format!("{},{}", tenth(*x), tenth(*y)))
        .collect();
    points.join(" ")
}
