//! Words and numbers that the parts of the answer share.

use super::{Answer, Lead, Venue};
use crate::report::car::final_drive;
use crate::report::format::{clock, decimal, decimals, drive_word, thousands};
use crate::report::setup;
use crate::study::assumed::Moved;
use crate::study::unmeasured::shorter;
use crate::study::{Setup, Study};
use crate::venue::EventKind;

/// A difference in seconds at a kind of event, without its unit.
pub fn seconds(value: f64, kind: EventKind) -> String {
    decimal(value, decimals(kind))
}

/// As [`seconds`]; nothing where it rounds to nothing.
pub fn some_seconds(value: f64, kind: EventKind) -> Option<String> {
    let text = seconds(value, kind);
    text.bytes()
        .any(|digit| matches!(digit, b'1'..=b'9'))
        .then_some(text)
}

/// A gap in the trade's unit: `0.5 s (0.08 s/km)` on a stage, `0.11 s a lap`, `0.09 s a run`.
pub fn gap(gap: f64, venue: &Venue) -> String {
    let kind = venue.entry.course.kind;
    match kind {
        EventKind::Stage => {
            let per_km = gap / (venue.run.length / 1000.0);
            format!("{} s ({} s/km)", seconds(gap, kind), decimal(per_km, 2))
        }
        _ => format!("{} s a {}", seconds(gap, kind), drive_word(kind)),
    }
}

/// The engine speeds that what lies between two specs hangs on where it was not measured.
pub fn unreached(study: &Study, pair: [usize; 2]) -> String {
    let short = shorter(study, pair).into_iter();
    let short: Vec<String> = short
        .map(|spec| study.test_day.specs[study.compared[spec]].name.clone())
        .collect();
    match short.as_slice() {
        [] => "rpm that no pull reached".to_owned(),
        specs => format!(
            "rpm that the pulls of {} did not reach",
            specs.join(" or of ")
        ),
    }
}

/// What the longer pulls of two specs would win above the rpm to which the shorter hold both; nothing where
/// neither is held.
pub fn held_back(answer: &Answer, venue: &Venue) -> Option<String> {
    let gains = venue.gains.filter(|gains| gains.beyond > 0.0)?;
    let kind = venue.entry.course.kind;
    let pair = [gains.quicker, gains.slower];
    // The one whose own pulls reach no further holds the other, unless a third spec holds both.
    let goes_on = |spec: &usize| answer.engines.as_far_as(*spec).is_some();
    let (further, held): (Vec<usize>, Vec<usize>) = pair.into_iter().partition(goes_on);
    let (&[long], &[short]) = (further.as_slice(), held.as_slice()) else {
        return None;
    };
    Some(format!(
        "All are held to {} rpm, for the pulls of {} end at {}; driven as far as its own pulls reach, {} would win \
         another {} s.",
        thousands(answer.engines.limit_rpm),
        answer.name(short),
        thousands(answer.engines.list[short].curve.last_rpm()),
        answer.name(long),
        some_seconds(gains.beyond, kind)?
    ))
}

/// Whether anyone could use a lead.
pub fn counts(lead: &Lead, venue: &Venue) -> bool {
    lead.gap >= venue.useful()
}

/// A gearing in words: `9/41, close five-speed`; of what is fitted the final drive.
pub fn gearing(answer: &Answer, setup: Setup) -> String {
    setup::short(&answer.study.car, setup)
}

/// The gear set by its name, or by its count of gears.
pub fn gearbox_name(answer: &Answer, setup: Setup) -> String {
    setup::gear_set(&answer.study.car, setup)
}

/// Both in full: `9/38 (4.22), 4 gears`.
pub fn gearing_in_full(answer: &Answer, setup: Setup) -> String {
    let drive = setup.final_drive(&answer.study.car);
    format!("{}, {}", final_drive(drive), gearbox_name(answer, setup))
}

/// What an assumption moves: `Quillgarth Hill by 0.01 s`, of a single spec `0:42.91 at Quillgarth Hill by 0.35 s`;
/// nothing where that rounds to nothing.
pub fn what_it_moves(answer: &Answer, moved: &Moved) -> Option<String> {
    let entry = &answer.study.entries[moved.entry];
    let kind = entry.course.kind;
    let by = some_seconds(moved.by.abs(), kind)?;
    let alone = match &answer.outcome.venues[moved.entry].specs[..] {
        [only] => only.time(),
        _ => None,
    };
    Some(match alone {
        Some(time) => format!("{} at {} by {by} s", clock(time, kind), entry.name),
        None => format!("{} by {by} s", entry.name),
    })
}

/// Words in a row: `a`, `a and b`, `a, b and c`.
pub fn list(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [only] => only.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_stand_in_a_row() {
        let words: Vec<String> = ["a", "b", "c"].map(String::from).to_vec();
        assert_eq!(list(&words[..0]), "");
        assert_eq!(list(&words[..1]), "a");
        assert_eq!(list(&words[..2]), "a and b");
        assert_eq!(list(&words), "a, b and c");
    }
}
