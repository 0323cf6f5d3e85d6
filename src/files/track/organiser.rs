//! The length that an organiser states, beside that of the road as it was read.

use super::{path, road_length};
use crate::files::yaml::Item;
use crate::units::{LENGTH, MILE};
use crate::venue::Course;

/// Measured wheels, maps and recordings of one road differ by so much (common practice, no source).
const SAME: f64 = 0.03;
/// Notes leave out parts of a road, and their corners are as long as angles that are often assumed (common
/// practice, no source).
const SAME_NOTES: f64 = 0.15;

/// Compares the stated length with the road from `source`, and asks about another one.
pub(super) fn compare(item: &Item, source: &Item, course: &Course) -> Option<()> {
    let said = item.quantity(&LENGTH, 10.0..=200_000.0)?;
    if source.name() == "sketch" {
        item.error_at_key(
            "`length` of a track is compared with its road, and a sketch makes its road by its own",
            "keep the `length` in `sketch` alone",
        );
        return None;
    }
    let read = road_length(course);
    let same = |length: f64, within: f64| (length / said - 1.0).abs() <= within;
    let within = match source.name() {
        "notes" => SAME_NOTES,
        _ => SAME,
    };
    if same(read, within) {
        return Some(());
    }
    let [read_km, said_km] = [read, said].map(|metres| metres / 1000.0);
    let swapped = (source.name() == "path")
        .then(|| path::swapped(source))
        .flatten();
    let swapped = swapped
        .map(|times| times * read)
        .filter(|&other| same(other, SAME));
    let laps = (said / read).round();
    let remedy = if let Some(other) = swapped {
        format!(
            "with latitude and longitude changed over it is {:.2} km: change their headings over",
            other / 1000.0
        )
    } else if same(read / MILE * 1000.0, SAME) {
        format!(
            "are these miles? write `length: {} mi`",
            item.word().map_or("", figure)
        )
    } else if same(read * MILE / 1000.0, SAME) {
        "are the lengths of the road miles, written as kilometres?".to_owned()
    } else if course.is_closed() && laps >= 2.0 && same(laps * read, SAME) {
        format!("is it the length of {laps:.0} laps? write that of one")
    } else if read > said {
        format!(
            "does the road as read begin before the start, or go on beyond the finish? {}",
            cut(source)
        )
    } else {
        "has it another start or finish, or is a part of the road missing?".to_owned()
    };
    let text =
        format!("the road as read is {read_km:.2} km long, and `length` says {said_km:.2} km");
    item.ask(text, format!("{remedy}; nothing is changed by `length`"));
    Some(())
}

/// The figure of a length, without its unit.
fn figure(word: &str) -> &str {
    word.trim_end_matches(|c: char| !c.is_ascii_digit())
}

/// How a road that is too long is cut.
fn cut(source: &Item) -> String {
    match source.name() {
        "path" => "cut it with `path: {file: …, from: …, to: …}`".to_owned(),
        name => format!("check `{name}`"),
    }
}
