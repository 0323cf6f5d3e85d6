//! How sure a season is, in words, and where it was not measured.

use serde::Serialize;

use super::parts;
use crate::report::format::{HELD, decimal, of_draws, percent};
use crate::report::page::words::between;
use crate::report::rank::words::{list, unreached};
use crate::study::season::SeasonVerdict;
use crate::study::{Study, Verdict, Word};
use crate::venue::EventKind;

/// A season's verdict in a sentence.
pub(super) fn sentence(study: &Study, verdict: &Verdict, draws: u64) -> String {
    let (leader, next) = (
        parts::spec(study, verdict.leader),
        parts::spec(study, verdict.next),
    );
    let won = of_draws(verdict.wins[verdict.leader], draws);
    let held = of_draws(HELD, draws);
    let between = between(&verdict.gap, EventKind::Stage);
    let middle = decimal(verdict.gap.median, 1);
    let word = verdict.word.text();
    let level = match verdict.word {
        Word::NothingInIt => " (less than anyone can use)",
        _ => "",
    };
    format!(
        "{word}{level}: {leader} wins {won} draws; beside {next} {held} draws say {between}, \
         {middle} s in the middle."
    )
}

/// How much of a season nobody measured, and where; nothing where that bears on no venue.
pub fn unmeasured(study: &Study, season: &SeasonVerdict) -> Option<String> {
    let venues = venues(study, season);
    let told = season.verdict.word == Word::NotMeasured;
    let at = match venues.is_empty() {
        true if !told => return None,
        true => String::new(),
        false => format!(", too much at {}", list(&venues)),
    };
    Some(format!(
        "{} of what lies between them over the season comes from {}{at}: pull both over the same range.",
        percent(season.unmeasured.share()),
        unreached(study, [season.verdict.leader, season.verdict.next])
    ))
}

fn venues(study: &Study, season: &SeasonVerdict) -> Vec<String> {
    let at = season.not_measured_at.iter();
    once(at.map(|&entry| study.entries[entry].name.as_str()))
}

/// Each name once, in order: a venue that is driven twice is one place.
fn once<'a>(all: impl Iterator<Item = &'a str>) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for name in all {
        if !names.iter().any(|known| known == name) {
            names.push(name.to_owned());
        }
    }
    names
}

/// The same as JSON, beside a verdict.
#[derive(Debug, Serialize)]
pub struct Measured {
    /// Share of what lies between the leader and the next.
    unmeasured_share: f64,
    not_measured_at: Vec<String>,
}

/// How much of a season nobody measured, and where.
pub fn measured(study: &Study, season: &SeasonVerdict) -> Measured {
    Measured {
        unmeasured_share: season.unmeasured.share(),
        not_measured_at: venues(study, season),
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn a_venue_driven_twice_is_named_once() {
        let twice = ["Mill Lane", "Ring", "Mill Lane"];
        assert_eq!(super::once(twice.into_iter()), ["Mill Lane", "Ring"]);
    }
}
