//! The plan of a venue as an SVG picture: the road coloured by how tight it is or how fast a car
//! goes, its corners named, a scale, north where it is known, and the height under it.

use super::{Sheet, kmh};
use crate::report::format::{decimal, thousands};
use crate::report::svg::{Anchor, Picture, Stroke, Style, ticks};
use crate::venue::plan::{self, Spot};
use crate::venue::{Course, Section};

/// Size of the picture, px.
const WIDTH: f64 = 960.0;
const MAP_HEIGHT: f64 = 620.0;
const CHART_HEIGHT: f64 = 190.0;
/// Room for titles above the map, and around the road, px.
const HEAD: f64 = 74.0;
const MARGIN: f64 = 56.0;
/// Radius that is drawn as the tightest and as straight, m.
const RADII: (f64, f64) = (10.0, 250.0);
/// Corners that are named at most.
const NAMES: usize = 14;
/// Least rise that is worth a chart, m.
const FLAT: f64 = 2.0;
/// From dark where the road is tight or the car slow to light where it is not: read in grey as in
/// colour, and by colour-blind readers.
const RAMP: [(u8, u8, u8); 5] = [
    (38, 12, 74),
    (120, 28, 109),
    (187, 55, 84),
    (226, 106, 55),
    (238, 165, 62),
];
/// Shades that the ramp is drawn in.
const SHADES: f64 = 24.0;
const INK: &str = "#222222";
const FAINT: &str = "#666666";

const PLAIN: Style = Style {
    size: 12.0,
    colour: INK,
    anchor: Anchor::Start,
};

/// The plan as SVG.
pub fn svg(sheet: &Sheet) -> String {
    let course = sheet.course;
    let spots = spots(course);
    let hilly = sheet.character.climb + sheet.character.descent > FLAT;
    let height = HEAD + MAP_HEIGHT + if hilly { CHART_HEIGHT } else { 0.0 };
    let mut picture = Picture::new(WIDTH, height);
    let map = Map::fit(&spots);
    let shade = Shade::of(sheet);
    head(&mut picture, sheet, &shade);
    road(&mut picture, &map, &spots, &shade);
    names(&mut picture, &map, &spots, sheet);
    scale(&mut picture, &map);
    if course.bearing.is_some() {
        north(&mut picture);
    }
    if hilly {
        heights(&mut picture, &spots);
    }
    let about = format!(
        "{} km, {}, climbs {} m.",
        decimal(sheet.character.length / 1000.0, 2),
        notice(sheet),
        decimal(sheet.character.climb, 0)
    );
    picture.finish(&format!("Plan of {}", course.name), &about)
}

/// The road seen from above, north up where it is known.
pub(in crate::report) fn spots(course: &Course) -> Vec<Spot> {
    let mut spots = plan::walk(&course.sections, lateral(course), 4.0);
    let (sin, cos) = course.bearing.unwrap_or(0.0).sin_cos();
    for spot in &mut spots {
        (spot.x, spot.y) = (spot.x * cos - spot.y * sin, spot.x * sin + spot.y * cos);
    }
    if course.is_closed() {
        close(&mut spots);
    }
    spots
}

fn lateral(course: &Course) -> f64 {
    course.surfaces.first().map_or(8.0, plan::nominal_lateral)
}

/// Spreads over a loop what its ends miss each other by: small errors of heading add up on the way
/// round, and the picture of a loop is closed.
fn close(spots: &mut [Spot]) {
    let (Some(first), Some(last)) = (spots.first().copied(), spots.last().copied()) else {
        return;
    };
    let length = last.distance.max(1.0);
    if (last.x - first.x).hypot(last.y - first.y) > 0.1 * length {
        return;
    }
    for spot in spots {
        let share = spot.distance / length;
        spot.x -= share * (last.x - first.x);
        spot.y -= share * (last.y - first.y);
        spot.z -= share * (last.z - first.z);
    }
}

/// Least and largest of some values.
fn bounds(values: impl Iterator<Item = f64>) -> (f64, f64) {
    values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), v| {
        (low.min(v), high.max(v))
    })
}

/// From metres to pixels.
struct Map {
    scale: f64,
    west: f64,
    north: f64,
    left: f64,
    top: f64,
}

impl Map {
    fn fit(spots: &[Spot]) -> Self {
        let (west, east) = bounds(spots.iter().map(|s| s.x));
        let (south, north) = bounds(spots.iter().map(|s| s.y));
        let room = (WIDTH - 2.0 * MARGIN, MAP_HEIGHT - 2.0 * MARGIN);
        let scale = (room.0 / (east - west).max(1.0)).min(room.1 / (north - south).max(1.0));
        Self {
            scale,
            west,
            north,
            left: MARGIN + 0.5 * (room.0 - scale * (east - west)),
            top: HEAD + MARGIN + 0.5 * (room.1 - scale * (north - south)),
        }
    }

    fn at(&self, spot: &Spot) -> (f64, f64) {
        (
            self.left + self.scale * (spot.x - self.west),
            self.top + self.scale * (self.north - spot.y),
        )
    }
}

/// What the colour says.
enum Shade<'a> {
    /// Radius by distance of the end of each section, m.
    Radius(Vec<(f64, f64)>),
    /// Speed by distance, with the slowest and the fastest, m/s.
    Speed(&'a [(f64, f64)], f64, f64),
}

impl<'a> Shade<'a> {
    fn of(sheet: &'a Sheet) -> Self {
        if let Some(driven) = &sheet.driven {
            let (low, high) = bounds(driven.speeds.iter().map(|s| s.1));
            return Self::Speed(&driven.speeds, low, high);
        }
        let lateral = lateral(sheet.course);
        let mut at = 0.0;
        let by_end = sheet.course.sections.iter().map(|section: &Section| {
            at += plan::length(section, lateral);
            (at, 1.0 / plan::tightness(section, lateral).max(1e-9))
        });
        Self::Radius(by_end.collect())
    }

    /// 0 for tight or slow to 1 for straight or fast.
    fn at(&self, distance: f64) -> f64 {
        let found = |list: &[(f64, f64)]| {
            let i = list.partition_point(|(end, _)| *end < distance);
            list.get(i).or(list.last()).map_or(0.0, |(_, value)| *value)
        };
        match self {
            Self::Radius(by_end) => {
                let radius = found(by_end).clamp(RADII.0, RADII.1);
                (radius / RADII.0).ln() / (RADII.1 / RADII.0).ln()
            }
            Self::Speed(speeds, low, high) => {
                ((found(speeds) - low) / (high - low).max(0.1)).clamp(0.0, 1.0)
            }
        }
    }

    fn labels(&self) -> (String, String) {
        match self {
            Self::Radius(_) => (
                format!("radius {:.0} m and less", RADII.0),
                format!("{:.0} m to straight", RADII.1),
            ),
            Self::Speed(_, low, high) => (
                format!("{} km/h", decimal(kmh(*low), 0)),
                format!("{} km/h", decimal(kmh(*high), 0)),
            ),
        }
    }
}

fn colour(share: f64) -> String {
    let place = share.clamp(0.0, 1.0) * (RAMP.len() - 1) as f64;
    let i = (place as usize).min(RAMP.len() - 2);
    let part = place - i as f64;
    let mix = |a: u8, b: u8| (f64::from(a) + part * (f64::from(b) - f64::from(a))).round() as u8;
    let (a, b) = (RAMP[i], RAMP[i + 1]);
    format!(
        "#{:02x}{:02x}{:02x}",
        mix(a.0, b.0),
        mix(a.1, b.1),
        mix(a.2, b.2)
    )
}

/// Title, what to notice, and the key of the colours.
fn head(picture: &mut Picture, sheet: &Sheet, shade: &Shade) {
    let length = decimal(sheet.character.length / 1000.0, 2);
    let title = format!("{}, {length} km", sheet.course.name);
    picture.text(
        (24.0, 34.0),
        &title,
        Style {
            size: 20.0,
            ..PLAIN
        },
    );
    let line = notice(sheet);
    picture.text(
        (24.0, 56.0),
        &line,
        Style {
            size: 13.0,
            colour: FAINT,
            ..PLAIN
        },
    );
    let (slow, fast) = shade.labels();
    let (left, right, top) = (WIDTH - 300.0, WIDTH - 24.0, 22.0);
    let step = (right - left) / SHADES;
    for i in 0..SHADES as usize {
        let share = i as f64 / (SHADES - 1.0);
        picture.rectangle(
            (left + i as f64 * step, top),
            (step + 0.5, 10.0),
            &colour(share),
        );
    }
    let small = Style {
        size: 11.0,
        ..PLAIN
    };
    picture.text((left, top + 24.0), &slow, small);
    picture.text(
        (right, top + 24.0),
        &fast,
        Style {
            anchor: Anchor::End,
            ..small
        },
    );
}

/// One line on what to notice.
fn notice(sheet: &Sheet) -> String {
    let corners = sheet.character.corners.len();
    let longest = sheet.character.longest().map_or(0.0, |s| s.length);
    let what = match sheet.driven {
        Some(_) => "dark where the car is slow",
        None => "dark where the road is tight",
    };
    format!(
        "{corners} corners, longest straight {} m; {what}",
        thousands(longest)
    )
}

fn road(picture: &mut Picture, map: &Map, spots: &[Spot], shade: &Shade) {
    // Steps of one shade are one line, so that joints do not show.
    let level = |spot: &Spot| (shade.at(spot.distance) * SHADES).round();
    let mut i = 1;
    while i < spots.len() {
        let here = level(&spots[i]);
        let mut points = vec![map.at(&spots[i - 1])];
        while i < spots.len() && level(&spots[i]) == here {
            points.push(map.at(&spots[i]));
            i += 1;
        }
        let share = here / SHADES;
        picture.line(
            points,
            Stroke {
                colour: &colour(share),
                width: 6.0 - 2.5 * share,
            },
        );
    }
    let rim = Stroke {
        colour: INK,
        width: 2.0,
    };
    if let (Some(first), Some(last)) = (spots.first(), spots.last()) {
        let open = (last.x - first.x).hypot(last.y - first.y) * map.scale > 12.0;
        if open {
            picture.circle(map.at(last), 5.0, "#ffffff", rim);
        }
        picture.circle(map.at(first), 5.0, INK, rim);
    }
}

/// A box on the picture, px.
#[derive(Debug, Clone, Copy)]
struct Frame {
    left: f64,
    top: f64,
    right: f64,
    bottom: f64,
}

impl Frame {
    /// About a text whose base line begins at a point. No font is at hand: sans-serif at 12 px is
    /// some 6.6 px a letter.
    fn around((x, y): (f64, f64), text: &str) -> Self {
        let width = text.chars().count() as f64 * 6.6;
        Self {
            left: x,
            top: y - 11.0,
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

    fn inside(&self) -> bool {
        self.left >= 4.0
            && self.right <= WIDTH - 4.0
            && self.top >= HEAD
            && self.bottom <= HEAD + MAP_HEIGHT - 30.0
    }
}

/// Names beside the corners that matter most, none over another or over the road.
fn names(picture: &mut Picture, map: &Map, spots: &[Spot], sheet: &Sheet) {
    let mut corners: Vec<_> = sheet.character.corners.iter().collect();
    corners.sort_by(|a, b| a.speed.total_cmp(&b.speed));
    let mut taken: Vec<Frame> = spots
        .iter()
        .map(|spot| Frame::about(map.at(spot), 4.0))
        .collect();
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
        let (x, y) = map.at(spot);
        let width = name.chars().count() as f64 * 6.6;
        let around = [
            (x + 10.0, y + 4.0),
            (x - 10.0 - width, y + 4.0),
            (x - 0.5 * width, y - 12.0),
            (x - 0.5 * width, y + 20.0),
            (x + 8.0, y - 10.0),
            (x - 8.0 - width, y + 18.0),
            (x + 22.0, y + 4.0),
            (x - 22.0 - width, y + 4.0),
            (x - 0.5 * width, y - 26.0),
            (x - 0.5 * width, y + 34.0),
        ];
        let free = around.into_iter().find(|place| {
            let frame = Frame::around(*place, &name);
            frame.inside() && !taken.iter().any(|other| frame.meets(other))
        });
        if let Some(place) = free {
            taken.push(Frame::around(place, &name));
            picture.text(place, &name, PLAIN);
        }
    }
}

/// A round length of the map, as a bar.
fn scale(picture: &mut Picture, map: &Map) {
    let most = 160.0 / map.scale;
    let size = 10f64.powf(most.log10().floor());
    let length = [5.0, 2.0, 1.0]
        .iter()
        .map(|k| k * size)
        .find(|l| *l <= most)
        .unwrap_or(size);
    let (x, y) = (24.0, HEAD + MAP_HEIGHT - 16.0);
    let end = x + length * map.scale;
    let stroke = Stroke {
        colour: INK,
        width: 1.5,
    };
    picture.line([(x, y - 5.0), (x, y), (end, y), (end, y - 5.0)], stroke);
    let text = match length {
        l if l >= 1000.0 => format!("{} km", l / 1000.0),
        l => format!("{l} m"),
    };
    picture.text((end + 8.0, y + 2.0), &text, PLAIN);
}

fn north(picture: &mut Picture) {
    let (x, y) = (WIDTH - 36.0, HEAD + 24.0);
    let stroke = Stroke {
        colour: INK,
        width: 1.5,
    };
    picture.line([(x, y + 26.0), (x, y)], stroke);
    picture.line([(x - 5.0, y + 9.0), (x, y), (x + 5.0, y + 9.0)], stroke);
    picture.text(
        (x, y - 6.0),
        "N",
        Style {
            anchor: Anchor::Middle,
            ..PLAIN
        },
    );
}

/// Height over distance.
fn heights(picture: &mut Picture, spots: &[Spot]) {
    let (left, right) = (64.0, WIDTH - 24.0);
    let (top, bottom) = (
        HEAD + MAP_HEIGHT + 12.0,
        HEAD + MAP_HEIGHT + CHART_HEIGHT - 44.0,
    );
    let length = spots.last().map_or(1.0, |s| s.distance).max(1.0);
    let (low, high) = bounds(spots.iter().map(|s| s.z));
    let room = 0.08 * (high - low).max(1.0);
    let (low, high) = (low - room, high + room);
    let x = |distance: f64| left + (right - left) * distance / length;
    let y = |height: f64| bottom - (bottom - top) * (height - low) / (high - low);
    let line: Vec<(f64, f64)> = spots.iter().map(|s| (x(s.distance), y(s.z))).collect();
    let ends = [(right, bottom), (left, bottom)];
    picture.shape(line.iter().copied().chain(ends), "#e4e4e4");
    let small = Style {
        size: 11.0,
        ..PLAIN
    };
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
            ..small
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
            ..small
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
        size: 11.0,
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
