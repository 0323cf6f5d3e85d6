//! Time in band at one venue, and between two specs the torque and the seconds won in each.

use super::{Answer, BAND_RPM, Venue};
use crate::explain::bands::{self, Band};
use crate::report::format::{decimal, decimals, signed, thousands};
use crate::report::table::{Grid, Side};
use crate::study::{BandGains, Reading};

/// Time in band, full throttle apart; with two specs also the torque between them, and the seconds
/// that the quicker wins.
pub fn table(answer: &Answer, venue: &Venue, readings: &[(usize, &Reading)]) -> String {
    let all: Vec<Vec<Band>> = readings
        .iter()
        .map(|(_, reading)| bands::bands(&reading.spans, BAND_RPM).bands)
        .collect();
    let edges = all.iter().flatten().map(|band| band.low_rpm);
    let low = edges.clone().fold(f64::INFINITY, f64::min);
    let high = edges.fold(0.0, f64::max);
    let pair = match readings {
        [(a, _), (b, _)] => Some((*a, *b)),
        _ => None,
    };
    let places = decimals(venue.entry.course.kind) + 1;
    let mut grid = grid(answer, venue, readings, pair.is_some());
    let mut edge = low;
    while edge <= high {
        let top = edge + BAND_RPM;
        let mut cells = vec![format!("{} to {}", thousands(edge), thousands(top))];
        for bands in &all {
            let band = bands.iter().find(|band| band.low_rpm == edge);
            cells.push(decimal(band.map_or(0.0, |b| b.time), 1));
            cells.push(decimal(band.map_or(0.0, |b| b.full), 1));
        }
        if let Some((a, b)) = pair {
            cells.push(torque_between(answer, a, b, edge));
        }
        if let Some(gains) = venue.gains {
            let from = if edge <= low { 0.0 } else { edge };
            let to = if top > high { f64::INFINITY } else { top };
            cells.push(signed(gains.within(from, to), places));
        }
        grid.row(&cells);
        edge = top;
    }
    if let Some(gains) = venue.gains {
        let blanks = 2 * readings.len() + usize::from(pair.is_some());
        left_over(&mut grid, gains, blanks, places);
    }
    grid.text(0)
}

fn grid(answer: &Answer, venue: &Venue, readings: &[(usize, &Reading)], pair: bool) -> Grid {
    let mut titles = vec!["rpm band".to_owned()];
    for (spec, _) in readings {
        titles.push(format!("{}\nseconds", answer.name(*spec)));
        titles.push("at full\nthrottle".to_owned());
    }
    if pair {
        titles.push("first less\nsecond, N·m".to_owned());
    }
    if let Some(gains) = venue.gains {
        titles.push(format!("{}\nwins, s", answer.name(gains.quicker)));
    }
    let side = |i| if i == 0 { Side::Left } else { Side::Right };
    let columns: Vec<(&str, Side)> = titles
        .iter()
        .enumerate()
        .map(|(i, title)| (title.as_str(), side(i)))
        .collect();
    Grid::new(&columns)
}

/// What of the gap lies in no band.
fn left_over(grid: &mut Grid, gains: &BandGains, blanks: usize, places: usize) {
    let rows = [("by weight", gains.mass), ("rest", gains.rest)];
    for (name, seconds) in rows.into_iter().filter(|r| r.0 == "rest" || r.1 != 0.0) {
        let mut cells = vec![name.to_owned()];
        cells.resize(1 + blanks, String::new());
        cells.push(signed(seconds, places));
        grid.row(&cells);
    }
}

/// Mean torque of one spec over a band less another's, where both were measured.
fn torque_between(answer: &Answer, a: usize, b: usize, edge: f64) -> String {
    let (a, b) = (&answer.engines.list[a].curve, &answer.engines.list[b].curve);
    let low = edge.max(a.first_rpm()).max(b.first_rpm());
    let high = (edge + BAND_RPM).min(a.last_rpm()).min(b.last_rpm());
    match (a.mean_torque(low, high), b.mean_torque(low, high)) {
        (Some(a), Some(b)) => signed(a - b, 1),
        _ => "not measured".to_owned(),
    }
}
