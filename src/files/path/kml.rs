//! What KML has beside GPX (OGC 12-007r2, KML 2.3; from memory): the points of a line in one text, longitude first,
//! recordings as lists of times and points, and names and parts in elements round the lines.

use super::{Line, instant, parts};
use crate::venue::path::geodesy::LatLon;
use crate::venue::path::{Fix, Place};

/// What of the open elements is not yet done with.
#[derive(Default)]
pub(super) struct Open {
    /// How many lines there were when each placemark, or line of several parts, began; and the placemark's name.
    begun: Vec<(usize, Option<String>)>,
    /// Times of the recording that is being read, s.
    times: Vec<Option<f64>>,
    /// Which of its points are unknown: no coordinates stand in their elements.
    unknown: Vec<usize>,
    /// Its heights are not those above the sea.
    relative: bool,
}

impl Open {
    /// A placemark, or a line of several parts, begins behind so many lines.
    pub fn begin(&mut self, lines: usize) {
        self.begun.push((lines, None));
    }

    /// The name of the placemark that is open.
    pub fn name(&mut self, name: &str) {
        if let Some((_, of)) = self.begun.last_mut() {
            *of = Some(name.to_owned()).filter(|name| !name.is_empty());
        }
    }

    /// A time of a recording; `false` where it is none.
    pub fn time(&mut self, text: &str) -> bool {
        self.times.push(instant(text));
        text.is_empty() || self.times.last().is_some_and(Option::is_some)
    }

    /// A point of a recording that is unknown, behind so many that are known.
    pub fn unknown(&mut self, known: usize) {
        self.unknown.push(known + self.unknown.len());
    }

    /// What the heights of a line are above.
    pub fn altitude(&mut self, mode: &str) {
        self.relative = mode.starts_with("relative");
    }

    /// A line ends: its times are those of its points.
    pub fn end_line(&mut self, line: Option<&mut Line>) {
        let (mut times, relative) = (std::mem::take(&mut self.times), self.relative);
        self.relative = false;
        let unknown = std::mem::take(&mut self.unknown);
        let mut row = 0..;
        times.retain(|_| {
            unknown
                .binary_search(&row.next().unwrap_or_default())
                .is_err()
        });
        let Some(line) = line else { return };
        if times.len() == line.fixes.len() {
            for (fix, time) in line.fixes.iter_mut().zip(times) {
                fix.time = time;
            }
        }
        if relative {
            line.fixes.iter_mut().for_each(|fix| fix.height = None);
        }
    }

    /// A placemark ends: its lines have its name.
    pub fn end_placemark(&mut self, lines: &mut [Line]) {
        let Some((first, name)) = self.begun.pop() else {
            return;
        };
        for line in lines.iter_mut().skip(first) {
            line.name = line.name.take().or(name.clone());
        }
    }

    /// A line of several parts ends: recordings go on after a pause, lines as they lie.
    pub fn end_parts(&mut self, lines: &mut Vec<Line>) {
        let Some((first, _)) = self.begun.pop() else {
            return;
        };
        if lines.len() <= first + 1 {
            return;
        }
        let found = lines.split_off(first).into_iter().map(|line| line.fixes);
        let found: Vec<Vec<Fix>> = found.filter(|fixes| !fixes.is_empty()).collect();
        let recorded = found.iter().flatten().any(|fix| fix.time.is_some());
        let (fixes, order) = match recorded {
            true => (found.concat(), None),
            false => parts::chain(found),
        };
        lines.push(Line {
            fixes,
            order,
            ..Line::default()
        });
    }
}

/// A point of the text of a line, `7.1234,45.1234,310`, or of a recording, `7.1234 45.1234 310`.
pub(super) fn point(text: &str, between: char) -> Option<Fix> {
    let mut numbers = text.split(between).map(|number| {
        let number: Option<f64> = number.trim().parse().ok();
        number.filter(|number| number.is_finite())
    });
    let (lon, lat) = (numbers.next()??, numbers.next()??);
    let height = match numbers.next() {
        Some(height) => Some(height?),
        None => None,
    };
    let place = Place::LatLon(LatLon { lat, lon });
    (numbers.next().is_none()).then_some(Fix {
        place,
        height,
        time: None,
    })
}
