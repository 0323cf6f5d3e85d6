//! How long, how tight and how fast pieces are, with what no road is asked about.

use crate::files::finding::quoted;
use crate::files::yaml::{Item, Map};
use crate::units::{ANGLE, KILOMETRE_PER_HOUR, LENGTH, SPEED};

/// Longest piece, and longest that is no question, m.
const LONGEST: f64 = 100_000.0;
const LONG: f64 = 10_000.0;
/// A wider radius slows hardly any car, m: at 1 g that is 500 km/h.
const WIDE: f64 = 2_000.0;
const FASTEST: f64 = 500.0 * KILOMETRE_PER_HOUR;
/// A full turn, rad: more is a slip of the pen.
const MOST_TURN: f64 = std::f64::consts::TAU;
/// Roads that turn further in one corner are spirals, rad (270°).
const FAR: f64 = 0.75 * MOST_TURN;

pub(super) fn length(item: &Item) -> Option<f64> {
    let length = item.quantity_or_bare(&LENGTH, "m", 0.01..=LONGEST)?;
    if length > LONG {
        item.warning(
            format!(
                "{} is {:.1} km in one piece",
                written(item),
                length / 1000.0
            ),
            "check its unit",
        );
    }
    Some(length)
}

pub(super) fn radius(item: &Item) -> Option<f64> {
    let reading = item.reading(&LENGTH, Some("m"), 1.0..=LONGEST)?;
    // A surveyed road that is written as pieces has bends of many thousands of metres.
    if reading.si > WIDE && reading.unit.name() != "m" {
        let text = format!(
            "{} is a radius of {:.1} km: hardly any car slows down for it",
            written(item),
            reading.si / 1000.0
        );
        item.warning(text, "check its unit, or write a straight in its place");
    }
    Some(reading.si)
}

pub(super) fn speed(item: &Item) -> Option<f64> {
    item.quantity(&SPEED, 0.1..=FASTEST)
}

pub(super) fn turn(item: &Item) -> Option<f64> {
    let reading = item.reading(&ANGLE, Some("deg"), 1e-4..=MOST_TURN)?;
    // Nobody writes so small an angle of degrees with a fraction and without their unit.
    if reading.bare && reading.value < MOST_TURN && reading.value.fract() != 0.0 {
        let text = format!("{} is read as degrees, which is no corner", written(item));
        item.warning(text, "write `rad` or `deg` behind it");
    } else if reading.si > FAR {
        let text = format!(
            "{} is more than three quarters of a circle in one corner",
            written(item)
        );
        item.warning(text, "check it and its unit");
    }
    Some(reading.si)
}

fn written(item: &Item) -> String {
    quoted(item.word().unwrap_or_default())
}

/// The length or the turned angle of a corner, whichever is written; both are a fault, as its radius or speed
/// gives the one from the other.
pub(super) fn one_of<'a>(
    map: &Map<'a>,
    keys: [&str; 2],
    example: Option<&str>,
) -> Option<Item<'a>> {
    let [first, second] = keys.map(|key| map.take(key));
    if let (Some(first), Some(second)) = (first, second) {
        second.error_at_key(
            "`length` and `turn` of a corner cannot both be given",
            "keep the length where it was measured along the road, else the angle",
        );
        return Some(first);
    }
    map.either(&keys, example)
}
