//! How sure the ranking is, in words.

use std::fmt::Write;

use super::words::{list, seconds, unreached};
use super::{Answer, Venue};
use crate::dyno::Step;
use crate::report::format::{HELD, capital, clock, decimal, of_draws, percent, rpm};
use crate::report::page::words::between;
use crate::report::states::with_grip;
use crate::study::roads::wins as wins_by_road;
use crate::study::state_grip::moves;
use crate::study::verdict::Range;
use crate::study::{Certainty, Settle, Verdict, Word};
use crate::venue::EventKind;

/// How many of so many draws each spec wins, in the order of the specs: `97 : 3`.
pub fn wins(verdict: &Verdict, of: u64) -> String {
    let won = verdict.wins.iter();
    let won: Vec<String> = won.map(|won| decimal(of as f64 * won, 0)).collect();
    won.join(" : ")
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
    let corners = match known.speeds {
        Some(times) => format!("{} of the corner speeds it gives", percent(times)),
        None => format!("{} of the limit", percent(known.corner_share?)),
    };
    let mut line = format!(
        "Known time {} at {}: the driver corners at {corners}",
        clock(known.time, course.kind),
        venue.name()
    );
    let found = known
        .grip_for_speeds
        .filter(|&grip| moves(grip, known.grip));
    if let Some((grip, state)) = found.zip(known.condition.as_ref()) {
        let _ = write!(
            line,
            ", or the {state} has {} of the grip in the dry in place of {}: then leave the driver's speeds as they \
             are and write `{}` without `known`",
            decimal(grip, 2),
            decimal(known.grip, 2),
            with_grip(&course.conditions, state, grip)
        );
    }
    line.push('.');
    Some(line)
}

/// The verdict in a sentence; nothing where the draws do not say.
pub fn verdict(answer: &Answer, venue: &Venue) -> Option<String> {
    let kind = venue.entry.course.kind;
    let verdict = venue.verdict()?;
    let (leader, next) = (answer.name(verdict.leader), answer.name(verdict.next));
    let word = capital(verdict.word.text());
    let of_draws = |share: f64| of_draws(share, answer.plan.draws);
    let within = ahead(&verdict.gap, kind);
    let mut line = match verdict.word {
        Word::NothingInIt => format!(
            "{word}: in {} draws {leader} and {next} lie within {} s; against {next}, \
             {leader} is {within} in {}.",
            of_draws(verdict.level),
            seconds(venue.useful(), kind),
            of_draws(HELD),
        ),
        _ => format!(
            "{word}: {leader} wins {} draws; against {next} it is {within} in {}, {} s in the middle.",
            of_draws(verdict.wins[verdict.leader]),
            of_draws(HELD),
            seconds(verdict.gap.median, kind),
        ),
    };
    if verdict.word == Word::NotMeasured {
        let pair = [verdict.leader, verdict.next];
        let _ = write!(
            line,
            " More than a fifth of what lies between them comes from {}: pull both over the same range.",
            unreached(answer.study, pair)
        );
    }
    Some(line)
}

/// How far the leader is ahead in 95 of 100 draws; nobody is ahead whose interval reaches level.
fn ahead(gap: &Range, kind: EventKind) -> String {
    let text = between(gap, kind);
    match text.ends_with(" s") {
        true => format!("{text} ahead"),
        false => text,
    }
}

/// What the first pulls change, what would settle it, and which draws failed.
pub fn sentences(answer: &Answer, venue: &Venue) -> Vec<String> {
    let kind = venue.entry.course.kind;
    let mut lines: Vec<String> = roads(answer, venue).into_iter().collect();
    lines.extend(known(venue));
    let Some(certainty) = venue.certainty else {
        return lines;
    };
    if let Some(line) = without_first(answer, certainty, kind) {
        lines.push(line);
    }
    if let Some(line) = turning(answer, certainty) {
        lines.push(line);
    }
    if let Some(settle) = &certainty.settle {
        lines.push(settled(answer, settle, kind));
    }
    for (reason, draws) in &certainty.failed {
        let of = answer.plan.draws;
        lines.push(format!("{draws} of {of} draws failed: {reason}."));
    }
    lines
}

/// What would turn the order round.
fn turning(answer: &Answer, certainty: &Certainty) -> Option<String> {
    let ((quicker, slower), found) = certainty.break_even.as_ref()?;
    let mut ways = Vec::new();
    if let Some(share) = found.torque {
        ways.push(format!(
            "{} making {} % more torque throughout",
            answer.name(*slower),
            decimal(100.0 * share, if share < 0.00095 { 2 } else { 1 })
        ));
    }
    let cross = answer.engines.crossings(*quicker, *slower);
    if let (Some(by), [only]) = (found.crossing, &cross[..]) {
        let (then, now) = (rpm(only.rpm + by), rpm(only.rpm));
        ways.push(format!("the curves crossing at {then} in place of {now}"));
    }
    if let Some(share) = found.corner_share {
        ways.push(format!(
            "corners taken at {} of the limit speed",
            percent(share)
        ));
    }
    (!ways.is_empty()).then(|| format!("What alone would draw the two level: {}.", ways.join("; ")))
}

/// The verdict with the first pull after each change left out.
fn without_first(answer: &Answer, certainty: &Certainty, kind: EventKind) -> Option<String> {
    let (with, without) = (
        certainty.verdict.as_ref()?,
        certainty.without_first.as_ref()?,
    );
    let gap = seconds(without.gap.median, kind);
    let leader = answer.name(without.leader);
    let same = with.word == without.word && with.leader == without.leader;
    let word = match (same, without.word == with.word) {
        (true, _) => format!("still {}", without.word.text()),
        (false, true) => format!("{}, but {leader} leads", without.word.text()),
        (false, false) => without.word.text().to_owned(),
    };
    Some(format!(
        "Without the first pull after each change: {word}, {gap} s to {leader} in the middle."
    ))
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
