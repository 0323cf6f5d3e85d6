//! Names beside the road, none over another or over the road.

use super::super::Sheet;
use super::ground::Map;
use super::{FAINT, HEAD, PLAIN, WIDTH};
use crate::report::svg::{Picture, Stroke};
use crate::venue::plan::Spot;
use crate::venue::simplify::is_given;

/// Corners that are named at most.
const NAMES: usize = 14;
/// Width of a letter, px.
const LETTER: f64 = 7.2;

/// A box on the picture, px.
#[derive(Debug, Clone, Copy)]
struct Frame {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

/// Where the arrow to the north stands.
const NORTH: Frame = Frame {
    left: WIDTH - 46.0,
    top: HEAD,
    right: WIDTH - 26.0,
    bottom: HEAD + 54.0,
};

impl Frame {
    /// About a text whose base line begins at a point. No font is at hand: sans-serif at 13 px is
    /// some 7.2 px a letter.
    fn around((x, y): (f64, f64), text: &str) -> Self {
        let width = text.chars().count() as f64 * LETTER;
        Self {
            left: x,
            top: y - 12.0,
            right: x + width,
            bottom: y + 3.0,
        }
    }

    fn about((x, y): (f64, f64), reach: f64) -> Self {
        Self {
            left: x - reach,
            top: y - reach,
            right: x + reach,
            bottom: y + reach,
        }
    }

    fn meets(&self, other: &Frame) -> bool {
        self.left < other.right
            && other.left < self.right
            && self.top < other.bottom
            && other.top < self.bottom
    }

    fn inside(&self, map: &Map) -> bool {
        self.left >= 4.0
            && self.right <= WIDTH - 4.0
            && self.top >= HEAD
            && self.bottom <= HEAD + map.height - 30.0
    }
}

/// Names beside the corners that matter most, those that a person gave first; none over another or
/// over the road.
pub fn names(picture: &mut Picture, map: &Map, spots: &[Spot], sheet: &Sheet) {
    let mut corners: Vec<_> = sheet.character.corners.iter().collect();
    corners.sort_by(|a, b| a.speed.total_cmp(&b.speed));
    corners.sort_by_key(|corner| !is_given(&corner.name));
    let mut taken: Vec<Frame> = spots
        .iter()
        .map(|spot| Frame::about(map.at(spot), 4.0))
        .collect();
    if sheet.course.bearing.is_some() {
        taken.push(NORTH);
    }
    let start = spots.first().map(|spot| (spot, "start".to_owned()));
    let wanted = corners.into_iter().take(NAMES).filter_map(|corner| {
        let middle = corner.start + 0.5 * corner.length;
        let i = spots.partition_point(|s| s.distance < middle);
        spots
            .get(i)
            .or(spots.last())
            .map(|spot| (spot, corner.name.clone()))
    });
    for (spot, name) in start.into_iter().chain(wanted) {
        let at = map.at(spot);
        let width = name.chars().count() as f64 * LETTER;
        let free = around(at, width).find(|(place, _)| {
            let frame = Frame::around(*place, &name);
            frame.inside(map) && !taken.iter().any(|other| frame.meets(other))
        });
        let Some((place, lead)) = free else { continue };
        taken.push(Frame::around(place, &name));
        if let Some(end) = lead {
            let stroke = Stroke {
                colour: FAINT,
                width: 0.8,
            };
            let short = (at.0 + 0.9 * (end.0 - at.0), at.1 + 0.9 * (end.1 - at.1));
            picture.line([at, short], stroke);
            let along = |share: f64| {
                let between = |a: f64, b: f64| a + share * (b - a);
                (between(at.0, end.0), between(at.1, end.1))
            };
            taken.extend([0.3, 0.6, 0.9].map(|share| Frame::about(along(share), 3.0)));
        }
        picture.text(place, &name, PLAIN);
    }
}

/// Places for a name of a width about a point, the nearest first; from far ones a line leads to the
/// point.
fn around(
    (x, y): (f64, f64),
    width: f64,
) -> impl Iterator<Item = ((f64, f64), Option<(f64, f64)>)> {
    // To the right, the left, above, below, and between them.
    const SIDES: [(f64, f64); 8] = [
        (1.0, 0.0),
        (-1.0, 0.0),
        (0.0, -1.0),
        (0.0, 1.0),
        (0.7, -0.7),
        (-0.7, 0.7),
        (0.7, 0.7),
        (-0.7, -0.7),
    ];
    [10.0, 24.0, 42.0].into_iter().flat_map(move |reach| {
        SIDES.into_iter().map(move |(right, down)| {
            let end = (x + reach * right, y + reach * down);
            let left = match right {
                r if r > 0.0 => end.0 + 2.0,
                r if r < 0.0 => end.0 - 2.0 - width,
                _ => end.0 - 0.5 * width,
            };
            let base = end.1 + 4.0 + 6.0 * down;
            ((left, base), (reach > 20.0).then_some(end))
        })
    })
}
