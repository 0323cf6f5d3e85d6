//! What a track says by distance along its road.

use super::surface_index;
use crate::files::yaml::{Item, Map};
use crate::units::{KILOMETRE_PER_HOUR, LENGTH, SPEED};
use crate::venue::along::{Along, AlongError, Spot, Stretch, course_length};
use crate::venue::{Course, Extent, Section, Surface};

const KEYS: &[&str] = &[
    "from",
    "to",
    "at",
    "surface",
    "cap",
    "slope",
    "line_allowance",
    "crest",
    "name",
    "sector",
];
const FARTHEST: f64 = 1e6;
const FASTEST: f64 = 500.0 * KILOMETRE_PER_HOUR;

/// Reads what is said and says it of the course.
pub(super) fn apply(list: &Item, course: &mut Course) -> Option<()> {
    let items = list.list()?;
    let mut along = Along::default();
    let mut sound = true;
    let length = course_length(course);
    for item in &items {
        let before = (along.stretches.len(), along.spots.len());
        sound &= entry(item, &mut along, &mut course.surfaces).is_some();
        let stretches = along.stretches[before.0..].iter().map(|stretch| stretch.to);
        let spots = along.spots[before.1..].iter().map(|(at, _)| *at);
        let farthest = stretches.chain(spots).fold(0.0, f64::max);
        if let Some(beyond) = AlongError::of(farthest, length) {
            item.error(beyond.to_string(), "check the distances");
            sound = false;
        }
    }
    if !sound {
        return None;
    }
    let graded = |section: &Section| matches!(section.extent, Extent::Turn(_));
    if course.sections.iter().any(graded) {
        let text = "distances count graded corners as long as they are at a usual grip";
        list.assumed("along", text);
    }
    if let Err(error) = along.apply(course) {
        list.error(error.to_string(), "check the distances");
        return None;
    }
    course.along = along;
    Some(())
}

fn entry(item: &Item, along: &mut Along, surfaces: &mut Vec<Surface>) -> Option<()> {
    let map = item.mapping(KEYS)?;
    let distance = |item: Item| item.quantity(&LENGTH, 0.0..=FARTHEST);
    if let Some(at) = map.take("at") {
        let at = distance(at);
        refuse(
            &map,
            &["from", "to", "surface", "cap", "slope", "line_allowance"],
            "a stretch: give `from` and `to`",
        )?;
        let before = along.spots.len();
        spots(&map, at?, along)?;
        if along.spots.len() == before {
            item.error(
                "nothing is said of this place",
                "add `name`, `crest` or `sector`",
            );
            return None;
        }
        return Some(());
    }
    refuse(&map, &["crest", "sector"], "a place: give `at`")?;
    let from = map.require("from", "1.2 km").and_then(distance);
    let to = map.require("to", "1.4 km").and_then(distance);
    let mut stretch = Stretch {
        from: from?,
        to: to?,
        ..Stretch::default()
    };
    if stretch.to <= stretch.from {
        item.error(
            "this stretch ends before it begins",
            "make `to` larger than `from`",
        );
        return None;
    }
    if let Some(item) = map.take("surface") {
        stretch.surface = Some(surface_index(&item.text()?, surfaces));
    }
    if let Some(item) = map.take("cap") {
        stretch.cap = Some(item.quantity(&SPEED, 0.1..=FASTEST)?);
    }
    if let Some(item) = map.take("slope") {
        stretch.slope = Some(item.slope(-0.5..=0.5)?);
    }
    if let Some(item) = map.take("line_allowance") {
        stretch.line_allowance = Some(item.number(1.0..=3.0)?);
    }
    if let Some(item) = map.take("name") {
        stretch.name = Some(item.text()?);
    }
    let what = Stretch {
        from: 0.0,
        to: 0.0,
        ..stretch.clone()
    };
    if what == Stretch::default() {
        item.error(
            "nothing is said of this stretch",
            "add `surface`, `cap`, `slope`, `line_allowance` or `name`",
        );
        return None;
    }
    along.stretches.push(stretch);
    Some(())
}

fn spots(map: &Map, at: f64, along: &mut Along) -> Option<()> {
    if let Some(item) = map.take("crest") {
        along
            .spots
            .push((at, Spot::Crest(item.quantity(&SPEED, 0.1..=FASTEST)?)));
    }
    if let Some(item) = map.take("name") {
        along.spots.push((at, Spot::Name(item.text()?)));
    }
    if let Some(item) = map.take("sector") {
        along.spots.push((at, Spot::Sector(item.text()?)));
    }
    Some(())
}

/// Refuses keys that do not go with the others of an entry.
fn refuse(map: &Map, keys: &[&str], because: &str) -> Option<()> {
    let misplaced = keys.iter().find_map(|key| map.take(key));
    if let Some(item) = &misplaced {
        item.error_at_key(
            format!("`{}` belongs to {because}", item.name()),
            "write two entries",
        );
    }
    misplaced.is_none().then_some(())
}
