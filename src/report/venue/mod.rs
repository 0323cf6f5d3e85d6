//! What venues are like: text, JSON, the plan as a picture, pieces to edit.

pub mod pieces;
pub mod plan;
mod text;

pub use text::text;

use serde::Serialize;

use super::{csv, json};
use crate::files::finding::Findings;
use crate::units::KILOMETRE_PER_HOUR;
use crate::venue::Course;
use crate::venue::character::{Character, RADII};
use crate::venue::log::gears::Comparison;
use crate::venue::log::revs::Turned;

/// A venue with what is known of it.
#[derive(Debug)]
pub struct Sheet<'a> {
    /// The venue.
    pub course: &'a Course,
    /// What it is like.
    pub character: &'a Character,
    /// A lap of a car, where one was named.
    pub driven: Option<Driven<'a>>,
    /// What was found while reading it.
    pub findings: &'a Findings,
}

/// A car's lap over a venue.
#[derive(Debug, Clone)]
pub struct Driven<'a> {
    /// The car.
    pub car: &'a str,
    /// The trim.
    pub trim: &'a str,
    /// The engine spec.
    pub spec: &'a str,
    /// Seconds.
    pub time: f64,
    /// Length driven, m.
    pub length: f64,
    /// Distance and speed along the lap, m and m/s.
    pub speeds: Vec<(f64, f64)>,
    /// The car file's gears against those of the log.
    pub gears: Option<Fitting>,
}

/// The gears of a log, and the figures with which the car file would make them.
#[derive(Debug, Clone)]
pub struct Fitting {
    /// Gear by gear.
    pub found: Comparison,
    /// Final drive.
    pub final_drive: f64,
    /// Rolling radius, m.
    pub radius: f64,
}

pub(super) fn kmh(speed: f64) -> f64 {
    speed / KILOMETRE_PER_HOUR
}

#[derive(Serialize)]
struct Body<'a> {
    venues: Vec<Venue<'a>>,
}

#[derive(Serialize)]
struct Venue<'a> {
    name: &'a str,
    kind: &'static str,
    length_m: f64,
    climb_m: f64,
    descent_m: f64,
    corners: Vec<Corner<'a>>,
    corners_by_radius: Vec<Group>,
    longest_straight_m: Option<f64>,
    typical_straight_m: Option<f64>,
    typical_corner_speed_kmh: Option<f64>,
    fingerprint: Fingerprint,
    sectors: Vec<&'a str>,
    conditions: Vec<Condition<'a>>,
    driven: Option<Lap<'a>>,
    /// Seconds per band of engine speed, as logged.
    engine_speed: Vec<Band>,
    findings: &'a Findings,
}

#[derive(Serialize)]
struct Band {
    from_rpm: f64,
    time_s: f64,
}

#[derive(Serialize)]
struct Corner<'a> {
    name: &'a str,
    start_m: f64,
    length_m: f64,
    radius_m: f64,
    turned_deg: f64,
    direction: Option<&'static str>,
    speed_kmh: f64,
}

#[derive(Serialize)]
struct Group {
    radius_below_m: Option<f64>,
    count: usize,
}

#[derive(Serialize)]
struct Fingerprint {
    corner_speed_kmh: f64,
    straight_m: f64,
    longest_straight_m: f64,
    corners_per_km: f64,
    tight_corners_per_km: f64,
    cornering_share: f64,
    climb_per_km_m: f64,
}

#[derive(Serialize)]
struct Condition<'a> {
    name: &'a str,
    grip_factor: f64,
    chance: f64,
}

#[derive(Serialize)]
struct Lap<'a> {
    car: &'a str,
    trim: &'a str,
    spec: &'a str,
    time_s: f64,
    mean_speed_kmh: f64,
}

/// The venues as JSON.
pub fn json(sheets: &[Sheet]) -> String {
    json::document(
        "venue",
        &Body {
            venues: sheets.iter().map(venue).collect(),
        },
    )
}

fn venue<'a>(sheet: &'a Sheet<'a>) -> Venue<'a> {
    let Sheet {
        course, character, ..
    } = sheet;
    let print = character.fingerprint();
    let counts = character.by_radius();
    let group = |(bound, count): (&f64, &usize)| Group {
        radius_below_m: bound.is_finite().then_some(*bound),
        count: *count,
    };
    Venue {
        name: &course.name,
        kind: super::format::kind_word(course.kind),
        length_m: character.length,
        climb_m: character.climb,
        descent_m: character.descent,
        corners: character.corners.iter().map(corner).collect(),
        corners_by_radius: RADII.iter().zip(&counts).map(group).collect(),
        longest_straight_m: character.longest().map(|s| s.length),
        typical_straight_m: character.typical_straight(),
        typical_corner_speed_kmh: character.typical_corner_speed().map(kmh),
        fingerprint: Fingerprint {
            corner_speed_kmh: kmh(print.corner_speed),
            straight_m: print.straight,
            longest_straight_m: print.longest,
            corners_per_km: print.corners_per_km,
            tight_corners_per_km: print.tight_per_km,
            cornering_share: print.cornering,
            climb_per_km_m: print.climb_per_km,
        },
        sectors: course.sectors.iter().map(|s| s.name.as_str()).collect(),
        conditions: course
            .conditions
            .iter()
            .map(|c| Condition {
                name: &c.name,
                grip_factor: c.factor,
                chance: c.chance,
            })
            .collect(),
        driven: sheet.driven.as_ref().map(|lap| Lap {
            car: lap.car,
            trim: lap.trim,
            spec: lap.spec,
            time_s: lap.time,
            mean_speed_kmh: kmh(lap.length / lap.time),
        }),
        engine_speed: turned(course),
        findings: sheet.findings,
    }
}

fn turned(course: &Course) -> Vec<Band> {
    let bands = course.log.iter().flat_map(|log| &log.turned);
    let band = |band: &Turned| Band {
        from_rpm: band.from_rpm,
        time_s: band.seconds,
    };
    bands.map(band).collect()
}

fn corner(corner: &crate::venue::character::Corner) -> Corner<'_> {
    Corner {
        name: &corner.name,
        start_m: corner.start,
        length_m: corner.length,
        radius_m: corner.radius,
        turned_deg: corner.turned.to_degrees(),
        direction: corner.side.map(side_word),
        speed_kmh: kmh(corner.speed),
    }
}

/// `left` or `right`.
pub(super) fn side_word(side: crate::venue::pieces::Side) -> &'static str {
    match side {
        crate::venue::pieces::Side::Left => "left",
        crate::venue::pieces::Side::Right => "right",
    }
}

/// The corners of the venues as a table.
pub fn csv(sheets: &[Sheet]) -> String {
    let header = [
        "venue",
        "corner",
        "start_m",
        "length_m",
        "radius_m",
        "turned_deg",
        "direction",
        "speed_kmh",
    ];
    let rows = sheets.iter().flat_map(|sheet| {
        sheet.character.corners.iter().map(|c| {
            let number = |value: f64, decimals| csv::number(Some(value), decimals);
            vec![
                sheet.course.name.clone(),
                c.name.clone(),
                number(c.start, 1),
                number(c.length, 1),
                number(c.radius, 1),
                number(c.turned.to_degrees(), 1),
                c.side.map(side_word).unwrap_or_default().to_owned(),
                number(kmh(c.speed), 1),
            ]
        })
    });
    csv::table(&header, rows)
}

/// A name that files can have: letters, digits and hyphens.
pub fn file_stem(name: &str) -> String {
    let words = name.to_lowercase();
    let words = words
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty());
    let stem = words.collect::<Vec<_>>().join("-");
    if stem.is_empty() {
        "venue".to_owned()
    } else {
        stem
    }
}
