//! A track file: one venue, from pieces, notes, a sketch, a path or a logged run.

mod along;
mod closes;
mod counted;
mod counts;
mod goes_on;
mod ground;
mod hours;
mod lap_times;
mod log;
mod misread;
mod moments;
mod notes;
mod organiser;
mod path;
mod pieces;
mod place;
mod rounds;
mod sampled;
mod scale;
mod scattered;
mod sizes;
mod slow;
mod states;
mod stretch;
mod told;
mod uphill;

pub use ground::conditions;
pub use hours::ask_hours;
pub use place::{known, piece, surface};
pub use scale::{Scale, grades};
pub use states::{said_by_surface, twice};

pub(in crate::files) use log::unnamed;

use std::path::Path;

use super::finding::Findings;
use super::kind::{self, FileKind};
use super::source::Source;
use super::yaml::{self, Item, Map};
use crate::units::{KILOMETRE_PER_HOUR, SPEED};
use crate::venue::along::Along;
use crate::venue::{Course, EventKind, Finish, Section, Start, Surface, plan};

const KEYS: &[&str] = &[
    "name",
    "kind",
    "start",
    "finish",
    "surface",
    "surfaces",
    "air",
    "known",
    "conditions",
    "grades",
    "pieces",
    "path",
    "log",
    "notes",
    "sketch",
    "length",
    "along",
];

/// Where the road comes from: one of these.
const SOURCES: &[&str] = &["pieces", "path", "log", "notes", "sketch"];

/// The words for kinds of event.
pub const KINDS: &[(&str, EventKind)] = &[
    ("stage", EventKind::Stage),
    ("circuit", EventKind::Circuit),
    ("hillclimb", EventKind::Hillclimb),
    ("sprint", EventKind::Sprint),
];

/// Reads a track file. `None` where it has a fault: then at least one error was added.
pub fn read(path: &Path, findings: &mut Findings) -> Option<Course> {
    read_with(path, None, findings)
}

/// As [`read`], with the driver's own scale of grades; the track's goes before it.
pub fn read_with(path: &Path, scale: Option<&Scale>, findings: &mut Findings) -> Option<Course> {
    yaml::read(path, findings, |root| track(root, scale))
}

/// As [`read_with`], from a text already in memory.
pub fn decode(source: Source, scale: Option<&Scale>, findings: &mut Findings) -> Option<Course> {
    yaml::decode(source, findings, |root| track(root, scale))
}

fn track(root: Item, driver: Option<&Scale>) -> Option<Course> {
    kind::expect(&root, FileKind::Track, KEYS)?;
    let map = root.mapping(KEYS)?;
    let name = map
        .require("name", "Mill Lane")
        .and_then(|item| item.title());
    let kind = map
        .require("kind", "stage")
        .and_then(|item| item.one_of(KINDS));
    let own = map.take("grades").and_then(|item| scale::grades(&item));
    let mut scale = own.or_else(|| driver.cloned()).unwrap_or_default();
    let mut course = Course::new(
        name.as_deref().unwrap_or_default(),
        kind.unwrap_or(EventKind::Stage),
    );
    course.surfaces = ground::surfaces(&map);
    scale.grades = scale.grades.at_grip(course.surfaces[0].factor);
    read_ends(&map, kind, &mut course);
    course.conditions = map
        .take("conditions")
        .and_then(|item| conditions(&item))
        .unwrap_or_default();
    course.known = map
        .take("known")
        .and_then(|item| ground::known(&item, &course.conditions));
    let example = "pieces: [{straight: 140 m}, {square: left}]";
    let source = map.either(SOURCES, Some(example));
    let laid = source.and_then(|item| lay(&item, map.has("start"), &scale, &mut course));
    ground::air(&map, laid.unwrap_or_default(), &mut course);
    laid?;
    closes::ask(&root, &map, kind?, &course);
    if let Some(item) = map.take("along") {
        along::apply(&item, &mut course)?;
    }
    ground::assume_named(&map, &course);
    states::ask(&map, &course);
    course.name = name?;
    uphill::ask(&map, &course);
    if let Some((item, source)) = map.take("length").zip(source) {
        organiser::compare(&item, &source, &course)?;
    }
    if let Some((item, known)) = map.take("known").zip(course.known.as_ref())
        && let Some((text, remedy)) = ask_hours(&course, known.time)
    {
        path::said(&item, "time").warning(text, remedy);
    }
    Some(course)
}

/// Lays the road of the course; gives the mean height of its source, where that has heights.
fn lay(item: &Item, says_start: bool, scale: &Scale, course: &mut Course) -> Option<Option<f64>> {
    let closed = course.kind == EventKind::Circuit;
    let mut slopes = Vec::new();
    let (layout, height) = match item.name() {
        "path" => {
            let surveyed = path::surveyed(item, closed)?;
            whole_lap(item, &surveyed, course)?;
            (surveyed.layout, surveyed.height)
        }
        "log" => {
            let known = course.known.as_ref().map(|known| known.time);
            let (surveyed, facts, start) = log::logged(item, closed, known)?;
            whole_lap(item, &surveyed, course)?;
            course.log = Some(facts);
            slow::ask(item, course);
            if let Some(start) = start.filter(|_| !says_start) {
                course.start = start;
            }
            slopes = surveyed.slopes;
            (surveyed.layout, surveyed.height)
        }
        "notes" => (notes::from_notes(item, scale, &mut course.surfaces)?, None),
        "sketch" => {
            let (sketch, layout) = counts::from_sketch(item, scale, &course.surfaces[0])?;
            course.sketch = Some(sketch);
            (layout, None)
        }
        _ => (pieces::layout(item, scale, &mut course.surfaces)?, None),
    };
    course.sections = layout.sections;
    course.places = layout.places;
    course.sectors = layout.sectors;
    let climb = Along {
        stretches: slopes,
        ..Along::default()
    };
    if let Err(error) = climb.apply(course) {
        item.error(error.to_string(), "check the distances of the log");
        return None;
    }
    Some(height)
}

/// A flying lap needs the whole of a loop.
fn whole_lap(item: &Item, surveyed: &path::Surveyed, course: &mut Course) -> Option<()> {
    course.bearing = surveyed.bearing;
    if course.is_closed() && !surveyed.closed {
        item.error(
            "a flying lap is the whole of a circuit",
            "leave out `to`, or write `start: standing`",
        );
        return None;
    }
    Some(())
}

/// How the run begins and ends.
fn read_ends(map: &Map, kind: Option<EventKind>, course: &mut Course) {
    if let Some(item) = map.take("start") {
        let word = item.word().unwrap_or_default();
        course.start = if word.starts_with(|c: char| c.is_ascii_digit() || c == '.') {
            let fastest = 500.0 * KILOMETRE_PER_HOUR;
            item.quantity(&SPEED, 1e-3..=fastest)
                .map_or(Start::Standing, Start::Rolling)
        } else {
            item.one_of(&[("standing", Start::Standing), ("flying", Start::Flying)])
                .unwrap_or(Start::Standing)
        };
        if course.start == Start::Flying && kind.is_some_and(|kind| kind != EventKind::Circuit) {
            item.error(
                "start: only a circuit starts flying, by coming round again",
                "write the speed over the line, as in `start: 40 km/h`, or `standing`",
            );
        }
    }
    if let Some(item) = map.take("finish") {
        let ends = [("flying", Finish::Flying), ("standing", Finish::Standing)];
        course.finish = item.one_of(&ends).unwrap_or(Finish::Flying);
    }
}

/// Length of the road, m: corners that wait for the car as a plan draws them.
fn road_length(course: &Course) -> f64 {
    let of = |section: &Section| plan::length(section, plan::lateral(course, section));
    course.sections.iter().map(of).sum()
}

/// The index of a surface by its name, added where it is new; the state of a surface in its name
/// (`damp gravel`) gives its factor.
fn surface_index(name: &str, surfaces: &mut Vec<Surface>) -> usize {
    surfaces
        .iter()
        .position(|s| s.name == name)
        .unwrap_or_else(|| {
            surfaces.push(ground::surface_of(name));
            surfaces.len() - 1
        })
}

#[cfg(test)]
mod tests;
