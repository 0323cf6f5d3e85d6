//! Positions of a log that are nowhere on earth.

use crate::files::finding::{Findings, Severity};
use crate::files::path::{degrees, points};
use crate::files::table::Table;
use crate::venue::path::clean::PathError;
use crate::venue::path::geodesy::LatLon;
use crate::venue::path::{Fix, Place};

/// Refuses latitudes and longitudes of which most are none, before speeds are held against them.
pub(super) fn on_earth(table: &Table, fixes: &[Fix], findings: &mut Findings) -> Option<()> {
    let place = |fix: &Fix| match fix.place {
        Place::LatLon(at) => Some(at),
        Place::Plane(..) => None,
    };
    let places: Vec<LatLon> = fixes.iter().filter_map(place).collect();
    let faults = || {
        let places = places.iter().enumerate();
        places.filter_map(|(row, at)| Some((row, PathError::off_earth(row, *at)?)))
    };
    let Some((row, error)) = faults().next() else {
        return Some(());
    };
    if 2 * faults().count() < places.len() {
        return Some(());
    }
    let column = match error {
        PathError::Latitude { .. } => table.find(points::LAT),
        _ => table.find(points::LON),
    };
    let remedy = match error {
        PathError::Latitude { swapped: true, .. } => "change the two headings over".to_owned(),
        _ => degrees::meant(&places)
            .unwrap_or_else(|| "check the columns of latitude and longitude".to_owned()),
    };
    let mark = table.mark(row, column.unwrap_or_default());
    let finding = table.finding(Severity::Error, mark, error.to_string());
    findings.push(finding.remedy(remedy));
    None
}
