//! On which kind of road one spec gives way to another.

mod chart;

pub use chart::chart;

use std::fmt::Write;

use serde::Serialize;

use super::csv::{number, table};
use super::format::{capital, decimal, signed, wrap};
use super::json::document;
use super::paint::Paint;
use super::rank::words::unreached;
use super::table::{Grid, Side};
use crate::study::flip::{Map, SPEEDS, STRAIGHTS, Spot};
use crate::study::{Engines, Study, Word};
use crate::units::KILOMETRE_PER_HOUR;

/// Everything that was worked out about roads.
#[derive(Debug)]
pub struct Answer<'a> {
    /// The study.
    pub study: &'a Study,
    /// Its specs.
    pub engines: &'a Engines,
    /// The map.
    pub map: &'a Map,
}

impl Answer<'_> {
    fn name(&self, first: bool) -> &str {
        let spec = if first {
            self.map.specs.0
        } else {
            self.map.specs.1
        };
        &self.engines.list[spec].name
    }

    /// Who leads by a gap, and by how much: `long manifold by 0.09 s/km`.
    fn lead(&self, gap: Option<f64>, not_measured: bool) -> String {
        match gap {
            _ if not_measured => Word::NotMeasured.text().to_owned(),
            None => "cannot be driven".to_owned(),
            Some(gap) if gap.abs() < self.map.useful => "nothing to speak of".to_owned(),
            Some(gap) => format!("{} by {} s/km", self.name(gap > 0.0), decimal(gap.abs(), 2)),
        }
    }
}

/// The map for people.
pub fn text(answer: &Answer, paint: Paint) -> String {
    let map = answer.map;
    let mut out = String::new();
    let title = format!(
        "{} against {} on level {}, {} trim: seconds per km by which {} is quicker",
        capital(answer.name(true)),
        answer.name(false),
        map.surface,
        answer.study.car.trims[map.trim].name,
        answer.name(true),
    );
    out.push_str(&paint.strong(wrap(&title, "  ").trim_end()));
    out.push('\n');
    out.push_str(&wrap(&first(answer), "  "));
    if let Some(line) = guessed(answer) {
        out.push_str(&wrap(&line, "  "));
    }
    out.push('\n');
    let _ = writeln!(out, "{:>14}typical straight, m", "");
    let straights: Vec<String> = STRAIGHTS.iter().map(|s| decimal(*s, 0)).collect();
    let mut columns = vec![("corner\nkm/h", Side::Right)];
    columns.extend(straights.iter().map(|s| (s.as_str(), Side::Right)));
    let mut grid = Grid::new(&columns);
    for (speed, row) in SPEEDS.iter().zip(map.spots.chunks(STRAIGHTS.len())) {
        let mut cells = vec![decimal(*speed, 0)];
        cells.extend(row.iter().map(|spot| cell(spot, map.useful)));
        grid.row(&cells);
    }
    out.push_str(&grid.text(0));
    out.push('\n');
    out.push_str(&venues(answer));
    out.push_str(&elsewhere(answer));
    out.push_str(&wrap(NOTE, "  "));
    out
}

const NOTE: &str = "Roads of the map have corners and straights spread about the typical ones as roads \
                    have; hills, surfaces in patches and one long straight are not in it, so a venue that \
                    has them is better driven: write it down as pieces, path, log, notes or sketch.";

fn cell(spot: &Spot, useful: f64) -> String {
    let text = match spot.gap {
        None => "no lap".to_owned(),
        Some(gap) if gap.abs() < useful => "=".to_owned(),
        Some(gap) => signed(gap, 2),
    };
    match spot.not_measured {
        true => format!("?{text}"),
        false => text,
    }
}

/// What the marks of roads say that hang on rpm which one of the two was not pulled over; nothing where there are
/// none.
fn guessed(answer: &Answer) -> Option<String> {
    let map = answer.map;
    map.spots.iter().any(|spot| spot.not_measured).then(|| {
        let (first, second) = map.specs;
        format!(
            "`?` is not measured: too much of what lies between the two comes from {}. Pull both over the same range.",
            unreached(answer.study, [first, second])
        )
    })
}

/// Where the line runs, in a sentence.
fn first(answer: &Answer) -> String {
    let map = answer.map;
    let marked = map.spots.iter().any(|spot| spot.not_measured);
    let mut known = map.spots.iter().filter(|spot| !spot.not_measured);
    let line: Vec<&Spot> = map.line.iter().filter(|spot| !spot.not_measured).collect();
    if line.is_empty() {
        let ahead = |first: bool| {
            let mut gaps = known.clone().filter_map(|spot| spot.gap);
            gaps.any(|gap| gap.abs() >= map.useful && (gap > 0.0) == first)
        };
        if marked && ahead(true) && ahead(false) {
            return "The lead changes hands where nothing was measured.".to_owned();
        }
        return match known.find_map(|spot| spot.gap) {
            Some(gap) if marked => format!(
                "{} wherever the map was measured.",
                capital(answer.name(gap > 0.0))
            ),
            Some(gap) => format!(
                "{} on every road of the map.",
                capital(answer.name(gap > 0.0))
            ),
            None if marked => "Not measured on any road of the map: neither is ahead.".to_owned(),
            None => "No road of the map can be driven.".to_owned(),
        };
    }
    let points = line.iter().step_by(line.len().div_ceil(4));
    let told: Vec<String> = points
        .map(|point| {
            format!(
                "{} m at {} km/h",
                decimal(point.straight, 0),
                decimal(point.corner_speed / KILOMETRE_PER_HOUR, 0)
            )
        })
        .collect();
    format!(
        "The lead changes hands at a typical straight and corner of {}. `=` is less than {} s/km, which \
         nobody can use.",
        told.join(", "),
        decimal(map.useful, 2)
    )
}

/// The venues of the study on the map.
fn venues(answer: &Answer) -> String {
    let mut grid = Grid::new(&[
        ("", Side::Left),
        ("corner\nkm/h", Side::Right),
        ("straight\nm", Side::Right),
        ("by the map", Side::Left),
        ("on its own road", Side::Left),
    ]);
    for placed in &answer.map.venues {
        grid.row(&[
            answer.study.entries[placed.entry].name.clone(),
            decimal(placed.spot.corner_speed / KILOMETRE_PER_HOUR, 0),
            decimal(placed.spot.straight, 0),
            answer.lead(placed.spot.gap, placed.spot.not_measured),
            answer.lead(placed.driven, placed.not_measured),
        ]);
    }
    grid.text(0)
}

/// The venues that the map of one trim leaves out; empty where there are none.
fn elsewhere(answer: &Answer) -> String {
    let entries = answer.study.entries.iter();
    let others: Vec<&str> = entries
        .filter(|entry| entry.trim != answer.map.trim)
        .map(|entry| entry.name.as_str())
        .collect();
    match others.first() {
        None => String::new(),
        Some(first) => wrap(
            &format!(
                "Not on this map, driven in another trim: {}; `--venue \"{first}\"` draws theirs.",
                others.join(", ")
            ),
            "  ",
        ),
    }
}

#[derive(Serialize)]
struct Body<'a> {
    study: &'a str,
    first: &'a str,
    second: &'a str,
    trim: &'a str,
    surface: &'a str,
    useful_s_per_km: f64,
    roads: Vec<SpotBody>,
    line: Vec<SpotBody>,
    venues: Vec<PlacedBody<'a>>,
}

#[derive(Serialize)]
struct SpotBody {
    corner_speed_m_s: f64,
    straight_m: f64,
    first_quicker_s_per_km: Option<f64>,
    /// Too much of it comes from rpm that one of the two was not pulled over.
    not_measured: bool,
}

#[derive(Serialize)]
struct PlacedBody<'a> {
    venue: &'a str,
    #[serde(flatten)]
    by_the_map: SpotBody,
    on_its_own_road_s_per_km: Option<f64>,
    not_measured_on_its_own_road: bool,
}

fn spot(spot: &Spot) -> SpotBody {
    SpotBody {
        corner_speed_m_s: spot.corner_speed,
        straight_m: spot.straight,
        first_quicker_s_per_km: spot.gap,
        not_measured: spot.not_measured,
    }
}

/// The map as JSON.
pub fn json(answer: &Answer) -> String {
    let (study, map) = (answer.study, answer.map);
    document(
        "roads",
        &Body {
            study: &study.name,
            first: answer.name(true),
            second: answer.name(false),
            trim: &study.car.trims[map.trim].name,
            surface: &map.surface,
            useful_s_per_km: map.useful,
            roads: map.spots.iter().map(spot).collect(),
            line: map.line.iter().map(spot).collect(),
            venues: map
                .venues
                .iter()
                .map(|placed| PlacedBody {
                    venue: &study.entries[placed.entry].name,
                    by_the_map: spot(&placed.spot),
                    on_its_own_road_s_per_km: placed.driven,
                    not_measured_on_its_own_road: placed.not_measured,
                })
                .collect(),
        },
    )
}

/// A row per road.
pub fn csv(answer: &Answer) -> String {
    let header = [
        "what",
        "corner_speed_m_s",
        "straight_m",
        "first_quicker_s_per_km",
        "not_measured",
    ];
    let row = |what: &str, spot: &Spot| {
        vec![
            what.to_owned(),
            decimal(spot.corner_speed, 3),
            decimal(spot.straight, 2),
            number(spot.gap, 4),
            spot.not_measured.to_string(),
        ]
    };
    let map = answer.map;
    let roads = map.spots.iter().map(|spot| row("road", spot));
    let line = map.line.iter().map(|spot| row("line", spot));
    let venues = map.venues.iter().map(|placed| {
        let name = &answer.study.entries[placed.entry].name;
        row(name, &placed.spot)
    });
    table(&header, roads.chain(line).chain(venues))
}
