//! How sure the ranking is, in words.

use super::words::{list, seconds};
use super::{Answer, Venue};
use crate::dyno::Step;
use crate::report::format::{capital, clock, decimal, percent};
use crate::study::roads::wins as wins_by_road;
use crate::study::{Settle, Verdict, Word};
use crate::venue::EventKind;

/// How many of 100 draws each spec wins, in the order of the specs: `97 : 3`.
pub fn wins(verdict: &Verdict) -> String {
    let of_100: Vec<String> = verdict
        .wins
        .iter()
        .map(|won| decimal(100.0 * won, 0))
        .collect();
    of_100.join(" : ")
}

/// Between what the leader's gap lies in 95 of 100 draws, s: `0.1 to 0.9`.
pub fn interval(verdict: &Verdict, kind: EventKind) -> String {
    format!(
        "{} to {}",
        seconds(verdict.gap.low, kind),
        seconds(verdict.gap.high, kind)
    )
}

/// On how many of the roads that a sketch may be the best spec is the quickest.
pub fn roads(answer: &Answer, venue: &Venue) -> Option<String> {
    let wins = wins_by_road(&venue.run.roads, venue.useful());
    let of = venue.run.roads.len();
    let won: Vec<String> = (0..wins.len())
        .filter(|spec| wins[*spec] > 0)
        .map(|spec| format!("{} on {} of {of}", answer.name(spec), wins[spec]))
        .collect();
    if wins.len() < 2 {
        return None;
    }
    let rest = of - wins.iter().sum::<usize>();
    Some(match (won.is_empty(), rest) {
        (true, _) => format!("Roads with these counts: nothing in it on any of {of}."),
        (false, 0) => format!("Roads with these counts: {}.", list(&won)),
        (false, rest) => format!(
            "Roads with these counts: {}, nothing in it on {rest}.",
            won.join(", ")
        ),
    })
}

/// What a known time says of the driver.
pub fn known(venue: &Venue) -> Option<String> {
    let course = &venue.entry.course;
    let known = course.known.as_ref()?;
    Some(format!(
        "Known time {} at {}: the driver corners at {} of the limit.",
        clock(known.time, course.kind),
        course.name,
        percent(known.corner_share?)
    ))
}

/// The verdict in a sentence, with the draws that failed.
pub fn sentences(answer: &Answer, venue: &Venue) -> Vec<String> {
    let kind = venue.entry.course.kind;
    let mut lines: Vec<String> = roads(answer, venue).into_iter().collect();
    lines.extend(known(venue));
    if let Some(verdict) = venue.verdict() {
        let (leader, next) = (answer.name(verdict.leader), answer.name(verdict.next));
        lines.push(format!(
            "{}: {leader} wins {} of 100 draws; in 95 of 100 it is {} s quicker than {next}, {} s in \
             the middle.",
            capital(verdict.word.text()),
            decimal(100.0 * verdict.wins[verdict.leader], 0),
            interval(verdict, kind),
            seconds(verdict.gap.median, kind),
        ));
        if verdict.word == Word::NotMeasured {
            lines.push(
                "More than a fifth of what lies between them comes from rpm that no pull reached: \
                 pull both over the same range."
                    .to_owned(),
            );
        }
    }
    let Some(certainty) = venue.certainty else {
        return lines;
    };
    if let Some(settle) = &certainty.settle {
        lines.push(settled(answer, settle, kind));
    }
    for (reason, draws) in &certainty.failed {
        let of = answer.plan.draws;
        lines.push(format!("{draws} of {of} draws failed: {reason}."));
    }
    lines
}

/// What would settle it.
fn settled(answer: &Answer, settle: &Settle, kind: EventKind) -> String {
    let pulls = match &settle.step {
        Some(step) => format!("What would settle it: {}.", done(answer, step)),
        None => format!(
            "Two refits more would not settle it; the pulls alone leave ± {} s.",
            seconds(settle.by_pulls, kind)
        ),
    };
    match settle.mover {
        Some((input, share)) => format!(
            "{pulls} Of the inputs that are not known for sure, {} moves the gap most ({} of its \
             variance).",
            input.name(),
            percent(share)
        ),
        None => pulls,
    }
}

/// A step in words: `fit long manifold once more with 3 pulls (1.1 h)`.
pub fn done(answer: &Answer, step: &Step) -> String {
    let specs = &answer.engines.day.specs;
    let names: Vec<String> = step.refit.iter().map(|&s| specs[s].name.clone()).collect();
    let hours = decimal(step.hours, 1);
    let pulls = step.pulls;
    match names.len() {
        0 => format!("{pulls} pulls more on what is fitted ({hours} h)"),
        1 => format!("fit {} once more, {pulls} pulls ({hours} h)", list(&names)),
        _ => format!(
            "fit {} once more, {pulls} pulls each ({hours} h)",
            list(&names)
        ),
    }
}
