//! Height over distance, under the map.

use super::ground::{Map, bounds};
use super::{FAINT, HEAD, INK, SMALL, WIDTH};
use crate::report::format::decimal;
use crate::report::svg::{Anchor, Picture, Stroke, Style, ticks};
use crate::venue::plan::Spot;

/// Height of the chart, px.
pub const HEIGHT: f64 = 190.0;

/// Height over distance.
pub fn heights(picture: &mut Picture, map: &Map, spots: &[Spot]) {
    let (left, right) = (64.0, WIDTH - 24.0);
    let (top, bottom) = (HEAD + map.height + 12.0, HEAD + map.height + HEIGHT - 44.0);
    let length = spots.last().map_or(1.0, |s| s.distance).max(1.0);
    let (low, high) = bounds(spots.iter().map(|s| s.z));
    let room = 0.08 * (high - low).max(1.0);
    let (low, high) = (low - room, high + room);
    let x = |distance: f64| left + (right - left) * distance / length;
    let y = |height: f64| bottom - (bottom - top) * (height - low) / (high - low);
    let line: Vec<(f64, f64)> = spots.iter().map(|s| (x(s.distance), y(s.z))).collect();
    let ends = [(right, bottom), (left, bottom)];
    picture.shape(line.iter().copied().chain(ends), "#e4e4e4");
    for height in ticks(low, high, 4) {
        picture.line(
            [(left, y(height)), (right, y(height))],
            Stroke {
                colour: "#c8c8c8",
                width: 0.8,
            },
        );
        let end = Style {
            anchor: Anchor::End,
            ..SMALL
        };
        picture.text((left - 6.0, y(height) + 4.0), &decimal(height, 0), end);
    }
    let decimals = if length < 4000.0 { 1 } else { 0 };
    for kilometre in ticks(0.0, length / 1000.0, 8) {
        let at = x(1000.0 * kilometre);
        picture.line(
            [(at, bottom), (at, bottom + 4.0)],
            Stroke {
                colour: INK,
                width: 1.0,
            },
        );
        let middle = Style {
            anchor: Anchor::Middle,
            ..SMALL
        };
        picture.text((at, bottom + 16.0), &decimal(kilometre, decimals), middle);
    }
    picture.line(
        line,
        Stroke {
            colour: INK,
            width: 1.8,
        },
    );
    let about = Style {
        size: SMALL.size,
        colour: FAINT,
        anchor: Anchor::Middle,
    };
    picture.text(
        (0.5 * (left + right), bottom + 34.0),
        "km from the start",
        about,
    );
    picture.upright((18.0, 0.5 * (top + bottom)), "m above the start", about);
}
