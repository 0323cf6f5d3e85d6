//! A small writer of SVG pictures: shapes in pixels, text escaped, a title and a description.

use std::fmt::Write;

/// Where a text stands about its point.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// Its start.
    Start,
    /// Its middle.
    Middle,
    /// Its end.
    End,
}

/// A picture under construction.
#[derive(Debug)]
pub struct Picture {
    width: f64,
    height: f64,
    body: String,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke<'a> {
    /// Colour.
    pub colour: &'a str,
    /// Width, px.
    pub width: f64,
}

/// How a text is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Style<'a> {
    /// Size, px.
    pub size: f64,
    /// Colour.
    pub colour: &'a str,
    /// Where it stands about its point.
    pub anchor: Anchor,
}

impl Picture {
    /// A white picture of a size in px.
    pub fn new(width: f64, height: f64) -> Self {
        Self {
            width,
            height,
            body: String::new(),
        }
    }

    /// Makes the picture so high, px.
    pub fn set_height(&mut self, height: f64) {
        self.height = height;
    }

    /// Lines from point to point, round at their ends and joints.
    pub fn line(&mut self, points: impl IntoIterator<Item = (f64, f64)>, stroke: Stroke) {
        let points: Vec<String> = points
            .into_iter()
            .map(|(x, y)| format!("{},{}", short(x), short(y)))
            .collect();
        let _ = writeln!(
            self.body,
            "<polyline points=\"{}\" fill=\"none\" stroke=\"{}\" stroke-width=\"{}\"/>",
            points.join(" "),
            stroke.colour,
            short(stroke.width)
        );
    }

    /// A filled shape.
    pub fn shape(&mut self, points: impl IntoIterator<Item = (f64, f64)>, colour: &str) {
        let points: Vec<String> = points
            .into_iter()
            .map(|(x, y)| format!("{},{}", short(x), short(y)))
            .collect();
        let _ = writeln!(
            self.body,
            "<polygon points=\"{}\" fill=\"{colour}\"/>",
            points.join(" ")
        );
    }

    /// A filled rectangle.
    pub fn rectangle(&mut self, (x, y): (f64, f64), (width, height): (f64, f64), colour: &str) {
        let _ = writeln!(
            self.body,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\" fill=\"{colour}\"/>",
            short(x),
            short(y),
            short(width),
            short(height)
        );
    }

    /// A circle, filled, with a rim.
    pub fn circle(&mut self, (x, y): (f64, f64), radius: f64, fill: &str, rim: Stroke) {
        let _ = writeln!(
            self.body,
            "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"{fill}\" stroke=\"{}\" stroke-width=\"{}\"/>",
            short(x),
            short(y),
            short(radius),
            rim.colour,
            short(rim.width)
        );
    }

    /// Elements that are SVG already, their text escaped.
    pub fn raw(&mut self, elements: &str) {
        self.body.push_str(elements);
        self.body.push('\n');
    }

    /// A text on its base line.
    pub fn text(&mut self, (x, y): (f64, f64), text: &str, style: Style) {
        let anchor = match style.anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        };
        let _ = writeln!(
            self.body,
            "<text x=\"{}\" y=\"{}\" font-size=\"{}\" fill=\"{}\"{anchor}>{}</text>",
            short(x),
            short(y),
            short(style.size),
            style.colour,
            escaped(text)
        );
    }

    /// A text that reads upwards, about a point on its base line.
    pub fn upright(&mut self, (x, y): (f64, f64), text: &str, style: Style) {
        let (x, y) = (short(x), short(y));
        let _ = writeln!(
            self.body,
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" fill=\"{}\" text-anchor=\"middle\" \
             transform=\"rotate(-90 {x} {y})\">{}</text>",
            short(style.size),
            style.colour,
            escaped(text)
        );
    }

    /// The picture as SVG, with a title and a description for readers who do not see it.
    pub fn finish(self, title: &str, description: &str) -> String {
        self.with("", title, description)
    }

    /// As [`Picture::finish`], with an id: title and description are named from it.
    pub fn named(self, id: &str, title: &str, description: &str) -> String {
        self.with(id, title, description)
    }

    fn with(self, id: &str, title: &str, description: &str) -> String {
        let (width, height) = (short(self.width), short(self.height));
        let name = match id {
            "" => String::new(),
            id => format!(" id=\"{id}\" aria-labelledby=\"{id}-t {id}-d\""),
        };
        let part = |letter: &str| match id {
            "" => String::new(),
            id => format!(" id=\"{id}-{letter}\""),
        };
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" \
             width=\"{width}\" height=\"{height}\" role=\"img\"{name} font-family=\"sans-serif\" \
             stroke-linecap=\"round\" stroke-linejoin=\"round\">\n<title{}>{}</title>\n<desc{}>{}</desc>\n\
             <rect width=\"{width}\" height=\"{height}\" fill=\"#ffffff\"/>\n{}</svg>\n",
            part("t"),
            escaped(title),
            part("d"),
            escaped(description),
            self.body
        )
    }
}

/// A coordinate to a tenth of a pixel.
fn short(value: f64) -> String {
    let text = super::format::decimal(value, 1);
    text.strip_suffix(".0").map(str::to_owned).unwrap_or(text)
}

/// Text as XML takes it; characters that XML has no place for become blanks.
pub fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c if c.is_control() || c == '\u{fffe}' || c == '\u{ffff}' => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// Round numbers between two bounds, some `count` of them, for the labels of an axis.
pub fn ticks(low: f64, high: f64, count: usize) -> Vec<f64> {
    let raw = (high - low) / count.max(1) as f64;
    if raw.is_nan() || raw <= 0.0 || !raw.is_finite() {
        return Vec::new();
    }
    let size = 10f64.powf(raw.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .iter()
        .map(|k| k * size)
        .find(|s| *s >= raw)
        .unwrap_or(10.0 * size);
    let first = (low / step).ceil() as i64;
    let last = (high / step).floor() as i64;
    (first..=last).map(|k| k as f64 * step).collect()
}

/// A round length for the scale of a map, no longer than `most` m, and its words.
pub fn round_length(most: f64) -> (f64, String) {
    let size = 10f64.powf(most.log10().floor());
    let mut round = [5.0, 2.0, 1.0].iter().map(|k| k * size);
    let length = round.find(|l| *l <= most).unwrap_or(size);
    let words = match length {
        l if l >= 1000.0 => format!("{} km", l / 1000.0),
        l => format!("{l} m"),
    };
    (length, words)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_cannot_break_out_of_the_picture() {
        let mut picture = Picture::new(10.0, 10.0);
        let style = Style {
            size: 12.0,
            colour: "#000",
            anchor: Anchor::Start,
        };
        picture.text((0.0, 0.0), "<script>\"&'\u{7}", style);
        let svg = picture.finish("a<b", "c&d");
        assert!(!svg.contains("<script>") && svg.contains("&lt;script&gt;&quot;&amp;&#39; <"));
        assert!(svg.contains("<title>a&lt;b</title>"));
    }

    #[test]
    fn ticks_are_round_and_within() {
        assert_eq!(ticks(0.0, 12.3, 6), [0.0, 5.0, 10.0]);
        assert_eq!(ticks(-61.0, 9.0, 4), [-60.0, -40.0, -20.0, 0.0]);
        assert!(ticks(1.0, 1.0, 4).is_empty());
    }
}
