//! The plan of a venue as an SVG picture: the road coloured by how tight it is or how fast a car
//! goes, its corners named, a scale, north where it is known, and the height under it.

mod ground;
mod heights;
mod names;
mod shade;

pub use self::ground::spots;

use self::ground::Map;
use self::shade::{SHADES, Shade, colour};
use super::Sheet;
use crate::report::format::{decimal, thousands};
use crate::report::svg::{Anchor, Picture, Stroke, Style, round_length};
use crate::venue::plan::Spot;

/// Width of the picture, px: with its letters large enough to read on a phone.
const WIDTH: f64 = 720.0;
/// Room for titles above the map, and around the road, px.
const HEAD: f64 = 84.0;
const MARGIN: f64 = 56.0;
/// Least rise that is worth a chart, m.
const FLAT: f64 = 2.0;
const INK: &str = "#222222";
const FAINT: &str = "#666666";

const PLAIN: Style = Style {
    size: 13.0,
    colour: INK,
    anchor: Anchor::Start,
};
const SMALL: Style = Style {
    size: 12.0,
    ..PLAIN
};

/// The plan as SVG.
pub fn svg(sheet: &Sheet) -> String {
    let course = sheet.course;
    let spots = spots(course);
    let hilly = sheet.character.climb + sheet.character.descent > FLAT;
    let map = Map::fit(&spots);
    let under = if hilly { heights::HEIGHT } else { 0.0 };
    let mut picture = Picture::new(WIDTH, HEAD + map.height + under);
    let shade = Shade::of(sheet);
    head(&mut picture, sheet, &shade);
    road(&mut picture, &map, &spots, &shade);
    names::names(&mut picture, &map, &spots, sheet);
    scale(&mut picture, &map);
    if course.bearing.is_some() {
        north(&mut picture);
    }
    if hilly {
        heights::heights(&mut picture, &map, &spots);
    }
    let about = format!(
        "{} km, {}, climbs {} m.",
        decimal(sheet.character.length / 1000.0, 2),
        notice(sheet),
        decimal(sheet.character.climb, 0)
    );
    picture.finish(&format!("Plan of {}", course.name), &about)
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
        (24.0, 64.0),
        &line,
        Style {
            size: 13.0,
            colour: FAINT,
            ..PLAIN
        },
    );
    let (slow, fast) = shade.labels();
    let (left, right, top) = (WIDTH - 250.0, WIDTH - 24.0, 22.0);
    let step = (right - left) / SHADES;
    for i in 0..SHADES as usize {
        let share = i as f64 / (SHADES - 1.0);
        picture.rectangle(
            (left + i as f64 * step, top),
            (step + 0.5, 10.0),
            &colour(share),
        );
    }
    picture.text((left, top + 25.0), &slow, SMALL);
    picture.text(
        (right, top + 25.0),
        &fast,
        Style {
            anchor: Anchor::End,
            ..SMALL
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
    let one = match sheet.course.sketch {
        Some(_) => "one road of many with these ",
        None => "",
    };
    format!(
        "{one}{corners} corners, longest straight {} m; {what}",
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

/// A round length of the map, as a bar.
fn scale(picture: &mut Picture, map: &Map) {
    let (length, text) = round_length(160.0 / map.scale);
    let (x, y) = (24.0, HEAD + map.height - 16.0);
    let end = x + length * map.scale;
    let stroke = Stroke {
        colour: INK,
        width: 1.5,
    };
    picture.line([(x, y - 5.0), (x, y), (end, y), (end, y - 5.0)], stroke);
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
