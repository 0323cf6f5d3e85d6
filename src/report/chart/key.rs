//! The key of a chart: what each spec looks like, and its name.

use super::{Canvas, LETTERS, cut, dashes, ink, isolated, width};
use crate::report::svg::Anchor;

/// What of a spec a chart shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sample {
    /// Its line.
    Line,
    /// Its bars.
    Bar,
    /// Its mark.
    Mark,
}

/// Width of a sample, px.
fn wide(sample: Sample) -> f64 {
    match sample {
        Sample::Line => 30.0,
        Sample::Bar => 22.0,
        Sample::Mark => 12.0,
    }
}

/// Samples with their names, in a row where there is room, otherwise one under another; gives the
/// height that took, px. Each name comes with its look.
pub fn key(
    canvas: &mut Canvas,
    (left, top): (f64, f64),
    sample: Sample,
    names: &[(usize, String)],
) -> f64 {
    let room = canvas.width - left - 8.0;
    let sampled = wide(sample);
    let (mut x, mut y) = (left, top);
    for (look, name) in names {
        let name = cut(&isolated(name), LETTERS, room - sampled - 6.0);
        let all = sampled + 6.0 + width(&name, LETTERS) + 16.0;
        if x > left && x + all > left + room {
            (x, y) = (left, y + 18.0);
        }
        let middle = y - 4.0;
        match sample {
            Sample::Line => {
                let line = [(x, middle), (x + sampled, middle)];
                canvas.path(&line, ink(*look), 2.2, dashes(*look));
            }
            Sample::Bar => canvas.bar((x, middle - 5.0), (sampled, 10.0), *look),
            Sample::Mark => canvas.mark((x + 6.0, middle), *look),
        }
        let at = (x + sampled + 6.0, y);
        canvas.letters(at, &name, Anchor::Start, LETTERS, ink(*look));
        x += all;
    }
    y - top + 18.0
}
