//! Tracks from counts.

use super::pieces::lay_out;
use super::scale::{Scale, assume_usual};
use crate::files::yaml::{Item, Map};
use crate::units::{KILOMETRE_PER_HOUR, LENGTH};
use crate::venue::grades::Grades;
use crate::venue::pieces::Layout;
use crate::venue::sketch::{Count, SEED, Sketch};
use crate::venue::{Scales, Surface, plan};

const SKETCH: &[&str] = &[
    "length",
    "hairpins",
    "squares",
    "corners",
    "gears",
    "longest_straight",
    "slope",
    "rolling",
];
/// Apex speed in km/h and turned angle in degrees of a corner by the gear it is taken in, from
/// first to fifth: an ordinary four- or five-speed car (common practice, no source).
const BY_GEAR: [(f64, f64); 5] = [
    (32.0, 150.0),
    (50.0, 80.0),
    (75.0, 50.0),
    (105.0, 30.0),
    (135.0, 20.0),
];

/// Reads a sketch, and lays out its first road.
pub(super) fn from_sketch(
    item: &Item,
    scale: &Scale,
    surface: &Surface,
) -> Option<(Sketch, Layout)> {
    let map = item.mapping(SKETCH)?;
    let metres = |item: Item| item.quantity_or_bare(&LENGTH, "m", 50.0..=200_000.0);
    let length = map.require("length", "5.4 km").and_then(|item| {
        let metres = metres(item)?;
        if item.word().is_some_and(|word| word.parse::<f64>().is_ok()) {
            item.assumed("length", format!("{metres:.0} m: no unit is written"));
        }
        Some(metres)
    });
    let longest = match map.take("longest_straight") {
        Some(item) => Some(item.quantity_or_bare(&LENGTH, "m", 10.0..=20_000.0)?),
        None => None,
    };
    let slope = match map.take("slope") {
        Some(item) => item.slope(-0.3..=0.3)?,
        None => {
            item.assumed("slope", "start and finish at one height");
            0.0
        }
    };
    let rolling = match map.take("rolling") {
        Some(item) => item.slope(0.0..=0.2)?,
        None => 0.0,
    };
    let lateral = plan::nominal_lateral(surface);
    let counts = counts(&map, &scale.grades, lateral)?;
    let counted = |grade: &str| counts.iter().any(|c| c.count > 0 && c.name == grade);
    scale.turned(item, counted)?;
    if counts.is_empty() {
        item.error(
            "a sketch without corners",
            "add `hairpins: 2` or `corners: {3: 12}`",
        );
        return None;
    }
    if map.has("hairpins") || map.has("squares") || map.has("corners") {
        assume_usual(item, &scale.grades, surface);
    }
    let sketch = Sketch {
        length: length?,
        counts,
        lateral,
        longest,
        slope,
        rolling,
    };
    if let Err(error) = sketch.check() {
        item.error(error.to_string(), "check the length and the counts");
        return None;
    }
    ask_passes(item, &sketch);
    let pieces = sketch.road(SEED, 0).ok()?;
    let layout = lay_out(item, &pieces)?;
    Some((sketch, layout))
}

/// Asks about so many corners that hardly any road is left between them: a tally may be of several passes.
fn ask_passes(item: &Item, sketch: &Sketch) {
    /// Roads leave more between two corners (common practice, no source: dense ones 55 m, of which a tally of both
    /// passes leaves 25 m and less); few corners may stand close.
    const BETWEEN: f64 = 35.0;
    const MANY: u32 = 20;
    let corners = sketch.corners();
    let bends: f64 = (sketch.counts.iter())
        .map(|kind| f64::from(kind.count) * kind.length)
        .sum();
    // One long straight leaves no more between the others.
    let (longest, others) = match sketch.longest {
        Some(longest) => (longest, corners),
        None => (0.0, corners + 1),
    };
    let between = (sketch.length - bends - longest) / f64::from(others);
    if corners >= MANY && between < BETWEEN {
        let text = format!(
            "{corners} corners in {:.2} km leave {between:.0} m between two: were they counted over several passes?",
            sketch.length / 1000.0
        );
        item.ask(
            text,
            "count one pass, or give the length of all that was counted",
        );
    }
}

fn counts(map: &Map, grades: &Grades, lateral: f64) -> Option<Vec<Count>> {
    let mut counts = Vec::new();
    let mut sound = true;
    let mut add = |item: &Item, name: &str, (speed, turn): (Option<f64>, f64), scales| match item
        .integer(0..=2000)
    {
        Some(count) => {
            counts.push(Count {
                name: name.to_owned(),
                count: count as u32,
                speed,
                scales,
                length: crate::venue::grades::length(turn, speed, lateral),
            });
        }
        None => sound = false,
    };
    for (key, name) in [("hairpins", "hairpin"), ("squares", "square")] {
        if let Some(item) = map.take(key) {
            let grade = known_grade(&item, name, grades)?;
            add(&item, name, grade, grades.scales());
        }
    }
    for item in map
        .take("corners")
        .and_then(|item| item.entries())
        .unwrap_or_default()
    {
        let grade = known_grade(&item, item.name(), grades)?;
        add(&item, item.name(), grade, grades.scales());
    }
    for item in map
        .take("gears")
        .and_then(|item| item.entries())
        .unwrap_or_default()
    {
        let gear = item
            .name()
            .parse::<usize>()
            .ok()
            .and_then(|gear| BY_GEAR.get(gear.wrapping_sub(1)));
        let Some((speed, turn)) = gear else {
            item.error_at_key(
                format!("`{}` is no gear that corners are sorted by", item.name()),
                "write 1 to 5, as in `gears: {2: 8, 3: 10}`",
            );
            return None;
        };
        let text = format!(
            "corners in gear {} taken at {speed:.0} km/h, turning {turn:.0}°",
            item.name()
        );
        item.assumed("gears", text);
        add(
            &item,
            &format!("gear {}", item.name()),
            (Some(speed * KILOMETRE_PER_HOUR), turn.to_radians()),
            Scales::Usual,
        );
    }
    sound.then_some(counts)
}

fn known_grade(item: &Item, name: &str, grades: &Grades) -> Option<(Option<f64>, f64)> {
    let found = grades.get(name).map(|grade| (grade.speed, grade.turn));
    if found.is_none() {
        let known: Vec<&str> = grades.grades.iter().map(|g| g.name.as_str()).collect();
        item.error_at_key(
            format!("there is no grade `{name}` in this driver's scale"),
            format!("grades known here: {}", known.join(", ")),
        );
    }
    found
}
