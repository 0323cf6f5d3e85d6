//! Tables of points: latitude and longitude, or x and y in metres.

use super::degrees::degrees;
use super::hemisphere::{self, Axis};
use super::{Line, clock, fixless, instant};
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::source::Source;
use crate::files::table::Table;
use crate::units::{ANGLE, LENGTH, TIME};
use crate::venue::path::geodesy::LatLon;
use crate::venue::path::{Fix, Place};

/// Names of a column of latitudes.
pub(in crate::files) const LAT: &[&str] = &[
    "lat",
    "latitude",
    "gps lat",
    "gps latitude",
    "breite",
    "breitengrad",
];
/// Names of a column of longitudes.
pub(in crate::files) const LON: &[&str] = &[
    "lon",
    "longitude",
    "long",
    "lng",
    "gps lon",
    "gps longitude",
    "länge",
    "laenge",
    "längengrad",
    "laengengrad",
];
/// Names of a column of metres to the east.
pub(super) const X: &[&str] = &["x", "east", "easting"];
/// Names of a column of metres to the north.
pub(super) const Y: &[&str] = &["y", "north", "northing"];
/// Names of a column of heights.
pub(in crate::files) const HEIGHT: &[&str] = &[
    "height",
    "elevation",
    "ele",
    "altitude",
    "alt",
    "z",
    "gps height",
    "gps altitude",
    "höhe",
    "hoehe",
    // Of surveyors, and reduced to a datum.
    "level",
    "rl",
    "reduced level",
];
/// Names of a column of times.
pub(in crate::files) const TIMES: &[&str] = &[
    "time",
    "time of day",
    "t",
    "seconds",
    "timestamp",
    "utc",
    "utc time",
    "elapsed time",
    "lap time",
    "zeit",
    "temps",
    "tempo",
    "tiempo",
    "tijd",
    "tid",
    "čas",
    "czas",
    "aika",
];

/// The points of a table, as one line, and the file again.
pub(super) fn line(source: Source, findings: &mut Findings) -> Option<(Line, Source)> {
    let mut table = Table::parse(source, findings)?;
    fixless::leave_out(&mut table, findings);
    fixless::leave_out_between(&mut table, findings);
    let times = times(&table, findings);
    let fixes = fixes(&table, findings)?;
    let timed = fixes.into_iter().zip(times?);
    let fixes = timed.map(|(fix, time)| Fix { time, ..fix }).collect();
    let rows = (0..table.height())
        .map(|row| table.mark(row, 0).line)
        .collect();
    let line = Line {
        fixes,
        rows,
        ..Line::default()
    };
    Some((line, table.into_source()))
}

/// Whether a table has columns of positions.
pub(in crate::files) fn has_places(table: &Table) -> bool {
    table.find(LAT).is_some() && table.find(LON).is_some()
        || table.find(X).is_some() && table.find(Y).is_some()
}

/// The points of a table, without their times.
pub(in crate::files) fn fixes(table: &Table, findings: &mut Findings) -> Option<Vec<Fix>> {
    let places = places(table, findings)?;
    let heights = match table.find(HEIGHT) {
        Some(column) => {
            in_metres(table, column, ("height", "heights"), findings);
            table.with_gaps(column, &LENGTH, Some("m"), findings)?
        }
        None => vec![None; places.len()],
    };
    let fix = |(place, height)| Fix {
        place,
        height,
        time: None,
    };
    Some(places.into_iter().zip(heights).map(fix).collect())
}

/// Lists a column without a unit as one of metres.
fn in_metres(table: &Table, column: usize, (key, what): (&str, &str), findings: &mut Findings) {
    if table.written_unit(column).is_none() {
        let text = format!("{what} in metres (no unit is written)");
        findings.push(table.assumed(key, table.columns[column].mark, text));
    }
}

/// Asks about points without a unit that are whole numbers, as those are that were clicked on a picture.
fn ask_picture(table: &Table, (x, y): (usize, usize), findings: &mut Findings) {
    /// Fewer points are typed by hand.
    const MANY: usize = 20;
    let whole = |column: usize| {
        let mut rows = 0..table.height();
        rows.all(|row| table.cell(row, column).parse::<u32>().is_ok())
    };
    let bare = table.written_unit(x).is_none() && table.written_unit(y).is_none();
    if bare && table.height() >= MANY && whole(x) && whole(y) {
        let mark = table.columns[x].mark;
        let text = "x and y are whole numbers without a unit: clicked on a picture?";
        let finding = table.finding(Severity::Warning, mark, text).deciding();
        findings.push(finding.remedy(
            "points of a picture times its scale, m for each, are metres, and its y runs down: turn its sign round; then, \
             or if they are metres as they stand, head them `x (m),y (m)`",
        ));
    }
}

fn places(table: &Table, findings: &mut Findings) -> Option<Vec<Place>> {
    if let (Some(lat), Some(lon)) = (table.find(LAT), table.find(LON)) {
        let column = lat;
        let lat = angles(table, lat, &hemisphere::LATITUDES, findings);
        let lon = angles(table, lon, &hemisphere::LONGITUDES, findings);
        if let (Some(lat), Some(lon)) = (&lat, &lon)
            && is_rounded(lat)
            && is_rounded(lon)
        {
            findings.push(rounded(table, column));
            return None;
        }
        let place = |(lat, lon): (f64, f64)| Place::LatLon(LatLon { lat, lon });
        return Some(lat?.into_iter().zip(lon?).map(place).collect());
    }
    if let (Some(x), Some(y)) = (table.find(X), table.find(Y)) {
        in_metres(table, x, ("x", "distances east and north"), findings);
        ask_picture(table, (x, y), findings);
        let x = table.numbers(x, &LENGTH, Some("m"), findings);
        let y = table.numbers(y, &LENGTH, Some("m"), findings);
        return Some(
            x?.into_iter()
                .zip(y?)
                .map(|(x, y)| Place::Plane(x, y))
                .collect(),
        );
    }
    let missing = table.missing("latitude and longitude, or x and y,", LAT);
    findings.push(match as_pieces(table) {
        Some(remedy) => missing.remedy(remedy),
        None => missing,
    });
    None
}

/// What lists of a road's axis call its elements, and how many lines of them tell such a list.
const ELEMENTS: [&str; 9] = [
    "straight",
    "line",
    "tangent",
    "arc",
    "curve",
    "clothoid",
    "spiral",
    "gerade",
    "klothoide",
];
const FEWEST_ELEMENTS: usize = 3;

/// How to write a table of straights and corners that somebody measured; `None` of another one.
fn as_pieces(table: &Table) -> Option<String> {
    let names: Vec<String> = table
        .columns
        .iter()
        .map(|c| c.name.to_lowercase())
        .collect();
    let speaks = |words: &[&str]| {
        let of = |name: &String| words.iter().any(|word| name.contains(word));
        names.iter().any(of)
    };
    let chord = speaks(&["chord", "offset", "sehne"]);
    let bends = speaks(&[
        "radius", "radii", "diameter", "ø", "angle", "turn", "winkel",
    ]);
    let parts = speaks(&[
        "length",
        "straight",
        "part",
        "element",
        "piece",
        "corner",
        "direction",
        "hand",
        "side",
        "l/r",
        "länge",
    ]);
    // A list of an axis in columns of blanks is none of the table's rows.
    let listed = || {
        let element = |line: &str| {
            let mut words = line.split_whitespace().map(str::to_lowercase);
            words.any(|word| ELEMENTS.contains(&word.as_str()))
                && line.contains(|c: char| c.is_ascii_digit())
        };
        table.notes().filter(|(_, line)| element(line)).count() >= FEWEST_ELEMENTS
    };
    if !(chord || bends && parts || listed()) {
        return None;
    }
    let mut remedy = "this looks like a road piece by piece, and `path` takes points: write each row under `pieces`, as in \
                      `- straight: 120 m` or `- corner: {radius: 30 m, turn: 90 deg, direction: left}`"
        .to_owned();
    if speaks(&["diameter", "ø"]) {
        remedy.push_str("; the radius is half of a diameter");
    }
    if chord {
        remedy.push_str(
            "; the radius is chord²/(8·offset) + offset/2, all in m, and the corner turns by 57.3·length/radius degrees",
        );
    }
    Some(remedy)
}

/// A column of degrees with the signs of their hemispheres.
fn angles(table: &Table, column: usize, axis: &Axis, findings: &mut Findings) -> Option<Vec<f64>> {
    let mut angles = as_written(table, column, findings)?;
    hemisphere::signed(table, column, axis, &mut angles, findings)?;
    Some(angles)
}

/// Whether degrees of one road have three decimals or fewer: a thousandth is 111 m, and no corner is left.
fn is_rounded(angles: &[f64]) -> bool {
    /// Fewer points were typed by hand, and are what somebody knows; no road reaches over so many degrees.
    const MANY: usize = 20;
    const WIDE: f64 = 2.0;
    let whole = |angle: &f64| (1e3 * angle - (1e3 * angle).round()).abs() < 1e-6;
    let near = |angle: &f64| (angle - angles[0]).abs() < WIDE;
    angles.len() >= MANY && angles.iter().all(whole) && angles.iter().all(near)
}

/// The fault of positions that were rounded.
fn rounded(table: &Table, column: usize) -> Finding {
    let heading = &table.columns[column];
    let text = format!(
        "{} has three decimals at most, so its positions lie 111 m apart: rounded on the way here",
        quoted(&heading.name)
    );
    let finding = table.finding(Severity::Error, heading.mark, text);
    finding.remedy(
        "export them again with six decimals or more, without a spreadsheet between, or give the road as notes or pieces",
    )
}

/// A column of degrees, as numbers or in parts of sixty.
fn as_written(table: &Table, column: usize, findings: &mut Findings) -> Option<Vec<f64>> {
    if degrees(table.cell(0, column)).is_none() {
        let angles = table.numbers(column, &ANGLE, Some("deg"), findings)?;
        return Some(angles.into_iter().map(f64::to_degrees).collect());
    }
    let mut angles = Vec::with_capacity(table.height());
    for row in 0..table.height() {
        let cell = table.cell(row, column);
        let Some(angle) = degrees(cell) else {
            let text = format!("{} is no angle as in the rows above", quoted(cell));
            let finding = table.finding(Severity::Error, table.mark(row, column), text);
            findings
                .push(finding.remedy("write every row as in `48°12.30'N`, or all as `48.2050`"));
            return None;
        };
        angles.push(angle);
    }
    table.alone_as_written(column, findings).then_some(angles)
}

/// Times in seconds from any start: numbers, clock times or dates with times.
pub(in crate::files) fn times(table: &Table, findings: &mut Findings) -> Option<Vec<Option<f64>>> {
    let Some(column) = table.find(TIMES) else {
        return Some(vec![None; table.height()]);
    };
    let dated = |row: usize| {
        let cell = table.cell(row, column).trim();
        cell.split_once(['T', 't', ' ']).is_some_and(|(date, _)| {
            date.matches('-').count() == 2 && date.starts_with(|c: char| c.is_ascii_digit())
        })
    };
    let first = (0..table.height()).find(|&row| !table.cell(row, column).is_empty());
    if clock::is_named(table.columns[column].unit.as_deref()) {
        return clock::named(table, column, findings);
    }
    if !first.is_some_and(dated) {
        let times = table.with_gaps(column, &TIME, Some("s"), findings)?;
        let mut times = clock::in_one_number(table, column, times, findings)?;
        if first.is_some_and(|row| table.cell(row, column).matches(':').count() == 2) {
            over_midnight(&mut times);
        }
        return Some(times);
    }
    let mut times = Vec::with_capacity(table.height());
    for row in 0..table.height() {
        let cell = table.cell(row, column);
        let time = instant(cell);
        if time.is_none() && !cell.is_empty() {
            if !table.told(row, findings) {
                let text = format!("{} is no date and time of the calendar", quoted(cell));
                let finding = table.finding(Severity::Error, table.mark(row, column), text);
                findings.push(finding.remedy("write it as in `2024-05-01T10:20:30Z`"));
            }
            return None;
        }
        times.push(time);
    }
    table.alone_as_written(column, findings).then_some(times)
}

/// Clock times that begin anew at midnight go on from the day before.
pub(super) fn over_midnight(times: &mut [Option<f64>]) {
    const DAY: f64 = 86_400.0;
    let (mut days, mut last) = (0.0, f64::NEG_INFINITY);
    for time in times.iter_mut().flatten() {
        if *time < last - 0.5 * DAY {
            days += 1.0;
        }
        last = *time;
        *time += days * DAY;
    }
}
