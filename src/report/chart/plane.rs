//! Axes: from values to pixels, with grid, marks and labels.

use super::canvas::Canvas;
use super::{FAINT, GRID, INK};
use crate::report::svg::{Anchor, ticks};

/// One axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Axis {
    /// Values at its ends.
    pub ends: (f64, f64),
    /// Pixels there.
    pub pixels: (f64, f64),
}

impl Axis {
    /// From values to pixels.
    pub fn new(ends: (f64, f64), pixels: (f64, f64)) -> Self {
        Self { ends, pixels }
    }

    /// The pixel of a value.
    pub fn at(&self, value: f64) -> f64 {
        let (low, high) = self.ends;
        let (from, to) = self.pixels;
        from + (to - from) * (value - low) / (high - low)
    }

    /// The same, kept between the ends.
    pub fn within(&self, value: f64) -> f64 {
        self.at(value.clamp(self.ends.0.min(self.ends.1), self.ends.0.max(self.ends.1)))
    }

    /// Decimals that tell its marks apart, at least `least`.
    pub fn places(&self, count: usize, least: usize) -> usize {
        match self.ticks(count)[..] {
            [first, second, ..] => {
                least.max((-(second - first).log10() - 1e-6).ceil().max(0.0) as usize)
            }
            _ => least,
        }
    }

    /// Round values for its marks, some `count`.
    pub fn ticks(&self, count: usize) -> Vec<f64> {
        ticks(self.ends.0, self.ends.1, count)
    }
}

/// Two axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// From left to right.
    pub x: Axis,
    /// From bottom to top.
    pub y: Axis,
}

impl Plane {
    /// A point in pixels.
    pub fn at(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.x.at(x), self.y.at(y))
    }

    /// Points in pixels.
    pub fn all(&self, points: impl IntoIterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
        points.into_iter().map(|point| self.at(point)).collect()
    }

    /// Lines across at the marks of the y axis, labelled at the left, with what they say above.
    pub fn rows(
        &self,
        canvas: &mut Canvas,
        title: &str,
        count: usize,
        label: impl Fn(f64) -> String,
    ) {
        let (left, right) = self.x.pixels;
        for value in self.y.ticks(count) {
            let y = self.y.at(value);
            canvas.rule((left, y), (right, y), GRID, 1.0);
            canvas.note((left - 6.0, y + 4.0), &label(value), Anchor::End);
        }
        canvas.note((2.0, self.y.pixels.1 - 8.0), title, Anchor::Start);
    }

    /// Lines upwards at the marks of the x axis.
    pub fn columns(&self, canvas: &mut Canvas, count: usize) {
        let (bottom, top) = self.y.pixels;
        for value in self.x.ticks(count) {
            let x = self.x.at(value);
            canvas.rule((x, bottom), (x, top), GRID, 1.0);
        }
    }

    /// Labels of the x axis under the plane, with what they say under them.
    pub fn foot(
        &self,
        canvas: &mut Canvas,
        title: &str,
        count: usize,
        label: impl Fn(f64) -> String,
    ) {
        let (left, right) = self.x.pixels;
        let y = self.y.pixels.0;
        canvas.rule((left, y), (right, y), FAINT, 1.0);
        for value in self.x.ticks(count) {
            let x = self.x.at(value);
            canvas.rule((x, y), (x, y + 4.0), FAINT, 1.0);
            canvas.note((x, y + 16.0), &label(value), Anchor::Middle);
        }
        canvas.note((0.5 * (left + right), y + 32.0), title, Anchor::Middle);
    }

    /// The line at zero.
    pub fn zero(&self, canvas: &mut Canvas) {
        let (left, right) = self.x.pixels;
        let y = self.y.at(0.0);
        canvas.rule((left, y), (right, y), INK, 1.2);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_have_as_many_decimals_as_tell_them_apart() {
        let axis = |high| Axis::new((0.0, high), (0.0, 100.0));
        assert_eq!(axis(0.02).places(5, 2), 3);
        assert_eq!(axis(0.1).places(5, 2), 2);
        assert_eq!(axis(0.5).places(5, 0), 1);
        assert_eq!(axis(5000.0).places(5, 0), 0);
    }
}
