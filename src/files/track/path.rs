//! A track along a path: a line on a map or a recording, read and surveyed.

use std::path::{Path, PathBuf};

use super::moments::Moments;
use super::told;
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::path::degrees::meant;
use crate::files::path::{self, Line, Lines, Which};
use crate::files::source::Mark;
use crate::files::yaml::{Item, Map};
use crate::units::LENGTH;
use crate::venue::along::Stretch;
use crate::venue::path::clean::PathError;
use crate::venue::path::cut::{Lap, Where};
use crate::venue::path::geodesy::{LatLon, distance};
use crate::venue::path::road::Road;
use crate::venue::path::survey::{Request, survey};
use crate::venue::path::{Fix, Place};
use crate::venue::pieces::Layout;

/// Smoothing over more than this, m, rounds corners of up to twice as much: of recordings with 0.6 m of scatter,
/// smoothed over 14 m, a bend of 14 m came out with 21.
const BLUNT: f64 = 6.0;

const KEYS: &[&str] = &[
    "file",
    "line",
    "reverse",
    "lap",
    "from",
    "to",
    "smoothing",
    "line_allowance",
];
/// A road surveyed from a path.
pub(super) struct Surveyed {
    /// Its sections and places.
    pub layout: Layout,
    /// Its mean height, m, where the path has heights.
    pub height: Option<f64>,
    /// Heading of its start, rad from east, counter-clockwise, where that is known.
    pub bearing: Option<f64>,
    /// It ends where it begins.
    pub closed: bool,
    /// Slopes along it that its layout does not have.
    pub slopes: Vec<Stretch>,
}

/// What the track says of its path.
struct Wanted {
    file: PathBuf,
    which: Which,
    request: Request,
    moments: Moments,
    allowance: f64,
}

/// Reads and surveys the path of a track. Findings about the path's own file carry its name.
pub(super) fn surveyed(item: &Item, closed: bool) -> Option<Surveyed> {
    let wanted = wanted(item, closed)?;
    let mut found = Findings::new();
    let surveyed = survey_file(item, &wanted, &mut found);
    item.opened_for(&found);
    for finding in found {
        item.push(at_name(item, &wanted.file, finding));
    }
    surveyed
}

/// A file that is not there is a fault of the line that names it.
pub(super) fn at_name(item: &Item, file: &Path, finding: Finding) -> Finding {
    let of_file = finding.position.as_ref().is_some_and(|at| at.path == file);
    if file.is_file() || !of_file {
        return finding;
    }
    let name = said(item, "file");
    let text = format!("{}: {}", name.word().unwrap_or_default(), finding.text);
    Finding {
        remedy: finding.remedy,
        ..name.finding(Severity::Error, text)
    }
}

/// What a path or a log says under a key; all of it where it says nothing there.
pub(super) fn said<'a>(item: &Item<'a>, key: &str) -> Item<'a> {
    let entries = item.is_mapping().then(|| item.entries()).flatten();
    let entry = entries.and_then(|all| all.into_iter().find(|entry| entry.name() == key));
    entry.unwrap_or(*item)
}

/// The key that asked for what a path does not have.
pub(super) fn asked<'a>(item: &Item<'a>, error: &PathError, request: &Request) -> Item<'a> {
    let key = match *error {
        PathError::NoLap { .. } => "lap",
        PathError::Beyond { at, .. } if request.from == Some(Where::Distance(at)) => "from",
        PathError::Far { .. } if !matches!(request.to, Some(Where::Near(_))) => "from",
        PathError::Far { .. } if matches!(request.from, Some(Where::Near(_))) => return *item,
        PathError::Beyond { .. } | PathError::Backwards { .. } | PathError::Far { .. } => "to",
        _ => return *item,
    };
    said(item, key)
}

fn wanted(item: &Item, closed: bool) -> Option<Wanted> {
    let mut request = Request {
        closed,
        ..Request::default()
    };
    if !item.is_mapping() {
        let file = item.beside(&item.text()?);
        allowance_assumed(item);
        return Some(Wanted {
            file,
            which: Which::Longest,
            request,
            moments: Moments::default(),
            allowance: 1.0,
        });
    }
    let map = item.mapping(KEYS)?;
    let file = map.require("file", "moor.gpx").and_then(|file| file.text());
    let which = map
        .take("line")
        .map_or(Some(Which::Longest), |line| which(&line));
    if let Some(item) = map.take("reverse") {
        request.reverse = item.yes_no()?;
    }
    if let Some(item) = map.take("lap") {
        request.lap = lap(&item, closed)?;
    }
    let moments = ends(&map, &mut request.from, &mut request.to)?;
    if let Some(item) = map.take("smoothing") {
        request.width = Some(item.quantity_or_bare(&LENGTH, "m", 1.0..=500.0)?);
    }
    let allowance = match map.take("line_allowance") {
        Some(item) => item.number(1.0..=3.0)?,
        None => {
            allowance_assumed(item);
            1.0
        }
    };
    Some(Wanted {
        file: item.beside(&file?),
        which: which?,
        request,
        moments,
        allowance,
    })
}

/// Heading of the start of a road.
pub(super) fn bearing(road: &Road) -> f64 {
    road.steps.first().map_or(0.0, |step| step.heading)
}

fn allowance_assumed(item: &Item) {
    let text = "the driver's line is the path itself: its radii are not opened (line allowance 1)";
    item.assumed("line_allowance", text);
}

fn which(item: &Item) -> Option<Which> {
    match item
        .scalar("the name or the number of a line in the file")?
        .parse()
    {
        Ok(number) => Some(Which::Number(number)),
        Err(_) => item.text().map(Which::Name),
    }
}

pub(super) fn lap(item: &Item, closed: bool) -> Option<Lap> {
    if !closed {
        let text =
            "only a circuit is driven in laps: of other kinds the whole recording is the road";
        let remedy = "write `kind: circuit`, or leave `lap` out and cut with `from` and `to`";
        item.error_at_key(text, remedy);
        return None;
    }
    if item.word() == Some("fastest") {
        return Some(Lap::Fastest);
    }
    item.integer(1..=10_000)
        .map(|number| Lap::Number(number as usize))
}

/// Where a road begins and ends along its recording: places, and in what is returned times.
pub(super) fn ends(map: &Map, from: &mut Option<Where>, to: &mut Option<Where>) -> Option<Moments> {
    let mut moments = Moments::default();
    for (key, place) in [("from", from), ("to", to)] {
        if let Some(item) = map.take(key).filter(|item| !moments.takes(key, item)) {
            *place = Some(place_of(&item)?);
        }
    }
    Some(moments)
}

/// A place along the path: a distance, or a position that it passes.
fn place_of(item: &Item) -> Option<Where> {
    if !item.is_mapping() {
        let named = item
            .word()
            .filter(|word| !word.contains(|c: char| c.is_ascii_digit()));
        if let Some(name) = named {
            item.error(
                format!("{} is no distance along the road", quoted(name)),
                "write a distance, as in `1.2 km`, a time, as in `10:42:15`, or a place, as in `{lat: 45.1234, lon: 7.1234}`; the recording has \
                 those of its way points",
            );
            return None;
        }
        return item.quantity(&LENGTH, 0.0..=1e6).map(Where::Distance);
    }
    let map = item.mapping(&["lat", "lon", "x", "y"])?;
    if map.has("x") || map.has("y") {
        let metres = |item: Item| item.quantity_or_bare(&LENGTH, "m", -1e7..=1e7);
        let (x, y) = (
            map.require("x", "120 m").and_then(metres),
            map.require("y", "40 m").and_then(metres),
        );
        return Some(Where::Near(Place::Plane(x?, y?)));
    }
    let lat = map
        .require("lat", "45.1234")
        .and_then(|item| item.number(-90.0..=90.0));
    let lon = map
        .require("lon", "7.1234")
        .and_then(|item| item.number(-360.0..=360.0));
    Some(Where::Near(Place::LatLon(LatLon {
        lat: lat?,
        lon: lon?,
    })))
}

/// How many times as long the line of a path is with latitude and longitude changed over; `None` where that
/// cannot be, or it has none.
pub(super) fn swapped(item: &Item) -> Option<f64> {
    let file = said(item, "file").word()?;
    let line = said(item, "line");
    let which = match line.name() {
        "line" => which(&line)?,
        _ => Which::Longest,
    };
    // What is wrong with the file was told when it was surveyed.
    let lines = path::read(&item.beside(file), &mut Findings::new())?;
    let line = lines.choose(&which).ok()?;
    let places: Option<Vec<LatLon>> = line
        .fixes
        .iter()
        .map(|fix| match fix.place {
            Place::LatLon(at) if at.lon.abs() <= 90.0 => Some(at),
            _ => None,
        })
        .collect();
    let places = places?;
    let other = |at: LatLon| LatLon {
        lat: at.lon,
        lon: at.lat,
    };
    let pairs = || places.windows(2).map(|pair| (pair[0], pair[1]));
    let as_read: f64 = pairs().map(|(from, to)| distance(from, to)).sum();
    let changed: f64 = pairs()
        .map(|(from, to)| distance(other(from), other(to)))
        .sum();
    (as_read > 0.0).then(|| changed / as_read)
}

fn survey_file(item: &Item, wanted: &Wanted, findings: &mut Findings) -> Option<Surveyed> {
    let lines = path::read(&wanted.file, findings)?;
    let line = match lines.choose(&wanted.which) {
        Ok(line) => line,
        Err((text, remedy)) => {
            let file = wanted.file.file_name().unwrap_or_default();
            let text = format!("{}: {text}", file.display());
            said(item, "line").error(text, remedy);
            return None;
        }
    };
    if let Some(finding) = lines.several(&wanted.which) {
        findings.push(finding);
    }
    let times: Vec<Option<f64>> = line.fixes.iter().map(|fix| fix.time).collect();
    let line = &line.part(wanted.moments.rows(item, &times)?);
    let survey = match survey(&line.fixes, &wanted.request) {
        Ok(survey) => survey,
        Err(error) => {
            findings.push(refusal(item, &lines, line, &error, &wanted.request));
            return None;
        }
    };
    told::tell(item, &lines, line, &survey);
    told::tell_order(item, line, wanted.request.reverse);
    if !wanted.request.closed && wanted.request.to.is_none() {
        told::ends_where_it_begins(item, line);
    }
    if wanted.request.width.is_none() {
        let width = survey.road.width;
        let text = if width < 2.0 {
            "the path taken as it is drawn, nearly without smoothing".to_owned()
        } else {
            let wider = 2.0 * width;
            let blunt = match survey.corners.iter().any(|corner| corner.radius < wider) {
                true if width > BLUNT => {
                    format!("; corners of less than {wider:.0} m may be tighter than they look")
                }
                _ => String::new(),
            };
            format!("the path smoothed over {width:.0} m, chosen from its points{blunt}")
        };
        item.assumed("smoothing", text);
    }
    Some(Surveyed {
        layout: survey.layout(wanted.allowance),
        height: survey.height,
        bearing: Some(bearing(&survey.road)),
        closed: survey.road.closed,
        slopes: Vec::new(),
    })
}

/// Why a path was refused, at its place.
fn refusal(
    item: &Item,
    lines: &Lines,
    line: &Line,
    error: &PathError,
    request: &Request,
) -> Finding {
    let at_fix = |fix: usize| {
        let mark = lines.mark(line, fix);
        let text = if mark.line > 0 {
            error.to_string()
        } else {
            format!("point {}: {error}", fix + 1)
        };
        lines.source.finding(Severity::Error, mark, text)
    };
    let finding = match error.fix() {
        Some(fix) => at_fix(fix),
        None if matches!(error, PathError::TooFew(_)) => {
            lines
                .source
                .finding(Severity::Error, Mark::default(), error.to_string())
        }
        None => asked(item, error, request).finding(Severity::Error, error.to_string()),
    };
    finding.remedy(remedy(error, &line.fixes))
}

/// What would make a path right.
pub(super) fn remedy(error: &PathError, fixes: &[Fix]) -> String {
    let degrees = |fix: &Fix| match fix.place {
        Place::LatLon(at) => Some(at),
        Place::Plane(..) => None,
    };
    let meant = || meant(&fixes.iter().filter_map(degrees).collect::<Vec<_>>());
    match error {
        PathError::Latitude { swapped: false, .. } | PathError::Longitude { .. } => meant(),
        _ => None,
    }
    .unwrap_or_else(|| usual_remedy(error).to_owned())
}

fn usual_remedy(error: &PathError) -> &'static str {
    match error {
        PathError::TooFew(_) => "draw or record more points along the road",
        PathError::Latitude { swapped: true, .. } => {
            "change the two over: GeoJSON has longitude first, tables go by their headings"
        }
        PathError::Jump { .. } => {
            "take out what does not belong to the road, or put points along it; parts of a day belong \
             in files of their own"
        }
        PathError::Height { .. } => "check this point, and the unit of the heights",
        PathError::Long { .. } => "keep the road that is driven in a file of its own",
        PathError::Tangled => {
            "take out points that do not belong to the road, or draw it with more"
        }
        PathError::Open { .. } => {
            "a circuit ends where it starts: record or draw the whole of a lap"
        }
        PathError::Far { .. } => "give a position on the road itself",
        PathError::Beyond { .. } | PathError::Backwards { .. } => "check `from` and `to`",
        PathError::NoLap { .. } => "choose a lap that is there, or `fastest`",
        _ => "check this point",
    }
}
