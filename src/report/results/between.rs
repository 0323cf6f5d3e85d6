//! What runs with several specs at one venue say of the gap between them, beside the predicted one.

use crate::report::format::{decimal, decimals, signed};
use crate::study::results::{Review, Reviewed};
use crate::study::{Engines, Study};
use crate::units::counted;

/// Share of a time by which a driven gap may lie off the predicted one unsaid: drivers repeat themselves no better
/// (common practice, no source).
const APART: f64 = 0.005;

/// A line for each venue and state at which two specs were driven and lie apart by another gap than predicted.
pub fn lines(study: &Study, engines: &Engines, review: &Review) -> Vec<String> {
    let mut lines = Vec::new();
    let mut told: Vec<(usize, &Option<String>)> = Vec::new();
    for event in counting(review) {
        let place = (event.result.entry, &event.result.condition);
        if told.contains(&place) {
            continue;
        }
        told.push(place);
        let here: Vec<&Reviewed> = counting(review)
            .filter(|other| (other.result.entry, &other.result.condition) == place)
            .collect();
        lines.extend(line(study, engines, &here));
    }
    lines
}

fn counting(review: &Review) -> impl Iterator<Item = &Reviewed> {
    let events = review.events.iter();
    events.filter(|event| event.result.set_aside.is_none() && event.predicted.is_some())
}

/// Mean of a spec's driven times, of its predicted ones, and how many there are.
fn of_spec(here: &[&Reviewed], spec: usize) -> Option<(f64, f64, usize)> {
    let own = here.iter().filter(|event| event.result.spec == spec);
    let runs: Vec<(f64, f64)> = own
        .filter_map(|event| Some((event.result.time, event.predicted?)))
        .collect();
    let n = runs.len() as f64;
    let driven = runs.iter().map(|run| run.0).sum::<f64>() / n;
    let predicted = runs.iter().map(|run| run.1).sum::<f64>() / n;
    (!runs.is_empty()).then_some((driven, predicted, runs.len()))
}

fn line(study: &Study, engines: &Engines, here: &[&Reviewed]) -> Option<String> {
    let first = here.first()?.result.spec;
    let second = here
        .iter()
        .map(|event| event.result.spec)
        .find(|spec| *spec != first)?;
    let (one, other) = (of_spec(here, first)?, of_spec(here, second)?);
    let (driven, predicted) = (other.0 - one.0, other.1 - one.1);
    if (driven - predicted).abs() < APART * one.0 {
        return None;
    }
    let entry = &study.entries[here[0].result.entry];
    let places = decimals(entry.course.kind);
    let name = |spec: usize| &engines.list[spec].name;
    let ((quick, slow), sign) = match driven > 0.0 {
        true => ((first, second), 1.0),
        false => ((second, first), -1.0),
    };
    Some(format!(
        "{}: {} was driven {} s quicker than {} ({} and {}), where {} s is predicted: tyres, the road, the weather or the \
         driver made the rest, and these runs do not tell it from the spec.",
        entry.name,
        name(quick),
        decimal(driven.abs(), places),
        name(slow),
        counted(one.2, "run"),
        other.2,
        signed(sign * predicted, places)
    ))
}
