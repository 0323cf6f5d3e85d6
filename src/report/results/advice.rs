//! What to look at, or to write, where a result is not as predicted.

use super::super::format::{clock, decimal, percent};
use super::super::states;
use super::Answer;
use crate::study::results::{CornersBy, Fitted, Reviewed};
use crate::study::season::EventResult;
use crate::study::{Engines, Entry, Study};
use crate::venue::EventKind;

/// A time is of so many laps where it is within this share of so many predicted ones.
const NEAR: f64 = 0.15;
/// Beyond this such shares meet each other.
const SEVERAL: f64 = 3.4;
/// Minutes read as hours: a time within this factor of 60 predicted ones.
const HOURS: (f64, f64) = (60.0, 1.5);

/// What to say of a result, where there is something.
pub(super) fn advice(answer: &Answer, event: &Reviewed) -> Option<String> {
    if event.result.set_aside.is_some() {
        return None;
    }
    let asked = hours(event).or_else(|| laps(answer, event));
    asked
        .map(|asked| format!("{}: {asked}", answer.run_of(event)))
        .or_else(|| in_state(answer, event))
        .or_else(|| beyond(answer, event))
        .or_else(|| elsewhere(answer, event))
}

/// A run as nobody takes it for another: `Ring, wet, 1:28.06 with mid`.
pub(super) fn run_of(study: &Study, engines: &Engines, result: &EventResult) -> String {
    let entry = &study.entries[result.entry];
    let spec = match engines.list.len() {
        1 => String::new(),
        _ => format!(" with {}", engines.list[result.spec].name),
    };
    let time = clock(result.time, entry.course.kind);
    let place = place_of(entry, result.condition.as_ref());
    format!("{place}, {time}{spec}")
}

/// A venue with the state a run was done in, but for a state that is sure and stands in its name.
pub(super) fn place_of(entry: &Entry, condition: Option<&String>) -> String {
    match condition.filter(|_| entry.state().is_none()) {
        Some(state) => format!("{}, {state}", entry.name),
        None => entry.name.clone(),
    }
}

/// What a time is asked that is one of minutes and seconds read as hours and minutes.
fn hours(event: &Reviewed) -> Option<String> {
    let times = event.result.time / event.predicted?;
    let meant = event.result.time / HOURS.0;
    ((times / HOURS.0).ln().abs() < HOURS.1.ln()).then(|| {
        format!(
            "{times:.0} times as long as predicted: minutes and seconds, read as hours and minutes? Write `{}`.",
            clock(meant, EventKind::Stage)
        )
    })
}

/// What a time that holds several laps of a circuit is asked; of more than a few their number cannot be told
/// from a predicted lap.
fn laps(answer: &Answer, event: &Reviewed) -> Option<String> {
    let kind = answer.study.entries[event.result.entry].course.kind;
    let times = event.result.time / event.predicted.filter(|_| kind == EventKind::Circuit)?;
    let laps = times.round();
    let number = match times > SEVERAL {
        true => "several".to_owned(),
        false if laps >= 2.0 && (times / laps - 1.0).abs() < NEAR => laps.to_string(),
        false => return None,
    };
    Some(format!(
        "{times:.1} times as long as the lap that is predicted: is it the time of {number} laps? Write that \
         of one."
    ))
}

/// What the grip of a state that is not the dry would explain, where what tells of the corners is of another state:
/// that state's log, known time or share stays what it is.
fn in_state(answer: &Answer, event: &Reviewed) -> Option<String> {
    let grip = event.state.filter(|grip| grip.moves())?;
    let entry = &answer.study.entries[event.result.entry];
    let state = event.result.condition.as_ref()?;
    let (factor, taken) = (decimal(grip.factor, 2), decimal(grip.taken, 2));
    let write = states::with_grip(&entry.course.conditions, state, grip.factor);
    let driver = match (event.corners_by, event.share, event.speeds_off(entry)) {
        (CornersBy::Share, Fitted::Share(share), _) => format!(
            "the driver cornered at {} of the limit there",
            percent(share)
        ),
        (.., Some(times)) => format!(
            "the driver cornered at {} of what the grip gives",
            percent(times)
        ),
        _ => "it was no clean run".to_owned(),
    };
    let run = answer.run_of(event);
    let stays = match event.corners_by {
        CornersBy::Share => {
            format!("; no corner share is taken from a time in the {state} until then.")
        }
        _ => "; what the dry tells of the corners stays as it is.".to_owned(),
    };
    Some(match grip.assumed {
        true => format!(
            "{run}: it comes out where the {state} has {factor} of the grip in the dry, and {taken} was assumed: write \
             `{write}`. Else {driver}{stays}"
        ),
        false => format!(
            "{run}: either {driver}, or the {state} has {factor} of the grip in the dry in place of the {taken} that is \
             written: then write `{write}`. What the dry tells of the corners stays as it is."
        ),
    })
}

/// Grip over that in the dry of the state that a result was done in, and of the one that its venue's corners are
/// told of.
fn grips(event: &Reviewed, entry: &Entry) -> (f64, f64) {
    let course = &entry.course;
    let name = event.result.condition.as_ref();
    let state = course.conditions.iter().find(|s| Some(&s.name) == name);
    let known = course.known.as_ref().map_or(1.0, |known| known.grip);
    (state.map_or(1.0, |state| state.factor), known)
}

/// What to write where the corners of a venue hang on more than the share of the study.
fn elsewhere(answer: &Answer, event: &Reviewed) -> Option<String> {
    let entry = &answer.study.entries[event.result.entry];
    let times = percent(event.speeds_off(entry)?);
    let state = event.result.condition.as_ref();
    let state = state.map_or(String::new(), |state| format!(", conditions: {state}"));
    let write = format!(
        "`known: {{time: \"{}\", spec: {}{state}}}`",
        clock(event.result.time, entry.course.kind),
        answer.engines.list[event.result.spec].name
    );
    let (own, told) = grips(event, entry);
    // A time in another state takes no place of what the dry says.
    if own != told && own != 1.0 {
        return None;
    }
    let known = entry.course.known.as_ref();
    let other = known.and_then(|known| known.condition.as_ref());
    if let Some(other) = other.filter(|_| own != told) {
        return Some(format!(
            "{}: its `known` time was done in the {other}, and this result asks for {times} of the speeds it gives: \
             either the {other} has another grip, or it was driven otherwise. Write {write} in its place and that time \
             among the `results`: they then say what grip the {other} had.",
            entry.name
        ));
    }
    Some(match event.corners_by {
        CornersBy::Share => return None,
        CornersBy::Known => format!(
            "{}: its `known` time settles how its corners are driven, and this result asks for {times} of those \
             speeds: where it tells more, write {write} in its place.",
            entry.name
        ),
        CornersBy::Speeds => format!(
            "{}: its corners have speeds of their own, and this result asks for {times} of them; another \
             `corner_share` leaves them as they are: write {write} into its track.",
            entry.name
        ),
    })
}

/// What no share explains.
fn beyond(answer: &Answer, event: &Reviewed) -> Option<String> {
    let run = answer.run_of(event);
    match event.share {
        Fitted::Quicker => Some(format!(
            "{run}: quicker than with all of the grip in corners: look at grip, mass, the length of the road, and the \
             clock."
        )),
        Fitted::Slower => Some(format!(
            "{run}: slower than at 75 % of the limit speed: was it a clean run, in this state, with this spec? Else \
             look at grip and corner speeds."
        )),
        _ => None,
    }
}
