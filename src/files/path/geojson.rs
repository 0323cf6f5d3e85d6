//! GeoJSON (RFC 7946): lines in degrees, longitude first.

use geojson::{Feature, GeoJson, Geometry, GeometryValue, Position};

use super::{Line, parts};
use crate::files::finding::{Findings, Severity};
use crate::files::source::{Mark, Source};
use crate::venue::path::geodesy::LatLon;
use crate::venue::path::{Fix, Place};

/// Largest text, bytes: its numbers take many times its room in memory.
const LARGEST: usize = 20 << 20;

/// The lines of a GeoJSON file: line strings, rings of polygons, and line strings in several parts.
pub(super) fn lines(source: &Source, findings: &mut Findings) -> Option<Vec<Line>> {
    if source.text.len() > LARGEST {
        let text = format!("at most {} MB of GeoJSON are read", LARGEST >> 20);
        let finding = source.finding(Severity::Error, Mark::default(), text);
        findings.push(finding.remedy("keep the line that is driven in a file of its own"));
        return None;
    }
    let parsed: GeoJson = match source.text.parse() {
        Ok(parsed) => parsed,
        Err(error) => {
            let text = format!("this is not sound GeoJSON: {error}");
            findings.push(source.finding(Severity::Error, mark_of(source, &error), text));
            return None;
        }
    };
    let mut lines = Vec::new();
    match parsed {
        GeoJson::Geometry(geometry) => add(&geometry, None, &mut lines),
        GeoJson::Feature(feature) => add_feature(&feature, &mut lines),
        GeoJson::FeatureCollection(collection) => {
            collection
                .features
                .iter()
                .for_each(|feature| add_feature(feature, &mut lines));
        }
    }
    if let Some(point) = lines
        .iter()
        .flat_map(|line| &line.fixes)
        .position(is_metric)
    {
        let text = format!("point {} is far outside degrees", point + 1);
        let finding = source.finding(Severity::Error, Mark::default(), text);
        findings.push(finding.remedy(
            "GeoJSON holds longitude and latitude in degrees; write metres as a table of x and y",
        ));
        return None;
    }
    Some(lines)
}

/// Where the parser stopped, where it says so; it counts bytes, and people count letters.
fn mark_of(source: &Source, error: &geojson::Error) -> Mark {
    let geojson::Error::MalformedGeoJson(error) = error else {
        return Mark::default();
    };
    let line = error.line() as u32;
    let letters = source.line(line).char_indices();
    let before = letters.take_while(|(byte, _)| byte + 1 < error.column());
    Mark {
        line,
        column: before.count() as u32 + 1,
        width: 1,
    }
}

fn is_metric(fix: &Fix) -> bool {
    matches!(fix.place, Place::LatLon(LatLon { lat, lon }) if lat.abs() > 1000.0 || lon.abs() > 1000.0)
}

fn add_feature(feature: &Feature, lines: &mut Vec<Line>) {
    let name = feature.property("name").and_then(|name| name.as_str());
    if let Some(geometry) = &feature.geometry {
        add(geometry, name, lines);
    }
}

fn add(geometry: &Geometry, name: Option<&str>, lines: &mut Vec<Line>) {
    let mut put = |fixes: Vec<Fix>, order| {
        lines.push(Line {
            name: name.map(str::to_owned),
            fixes,
            order,
            ..Line::default()
        });
    };
    let mut push = |fixes| put(fixes, None);
    match &geometry.value {
        GeometryValue::LineString { coordinates } => push(fixes(coordinates)),
        GeometryValue::MultiLineString { coordinates } => {
            let (fixes, order) = parts::chain(coordinates.iter().map(|part| fixes(part)).collect());
            put(fixes, order);
        }
        GeometryValue::Polygon { coordinates } => {
            coordinates
                .first()
                .into_iter()
                .for_each(|ring| push(fixes(ring)));
        }
        GeometryValue::GeometryCollection { geometries } => {
            geometries
                .iter()
                .for_each(|geometry| add(geometry, name, lines));
        }
        _ => {}
    }
}

fn fixes(positions: &[Position]) -> Vec<Fix> {
    let fix = |position: &Position| {
        let [lon, lat, rest @ ..] = position.as_slice() else {
            return None;
        };
        let place = Place::LatLon(LatLon {
            lat: *lat,
            lon: *lon,
        });
        Some(Fix {
            place,
            height: rest.first().copied(),
            time: None,
        })
    };
    positions.iter().filter_map(fix).collect()
}
