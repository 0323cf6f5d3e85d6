//! A word on venues of which one state is shown and others count.

use super::rank::words::list;
use crate::study::Entry;

/// In which state venues that may be in several are shown; `None` where none may.
pub fn shown<'a>(entries: impl IntoIterator<Item = &'a Entry>) -> Option<String> {
    let mut groups: Vec<(Shown, Vec<String>)> = Vec::new();
    for entry in entries {
        let Some(shown) = Shown::of(entry) else {
            continue;
        };
        match groups.iter_mut().find(|(known, _)| *known == shown) {
            Some((_, venues)) => venues.push(entry.name.clone()),
            None => groups.push((shown, vec![entry.name.clone()])),
        }
    }
    let told = groups.iter().map(|(shown, venues)| shown.told(venues));
    let told: Vec<String> = told.collect();
    (!told.is_empty()).then(|| format!("{}.", told.join("; ")))
}

/// What is shown of a venue in several states.
#[derive(PartialEq)]
struct Shown {
    /// The state that its surfaces are written in, where it has one.
    state: Option<String>,
    /// The others that may be.
    others: Vec<String>,
}

impl Shown {
    fn of(entry: &Entry) -> Option<Self> {
        let course = &entry.course;
        if course.sure_state().is_some() || course.conditions.is_empty() {
            return None;
        }
        let likely = course.conditions.iter().filter(|state| state.chance > 0.0);
        let (shown, others): (Vec<_>, Vec<_>) = likely.partition(|state| state.factor == 1.0);
        Some(Self {
            state: shown.first().map(|state| state.name.clone()),
            others: others.iter().map(|state| state.name.clone()).collect(),
        })
    }

    fn told(&self, venues: &[String]) -> String {
        let at = list(venues);
        let (how, more) = match &self.state {
            Some(state) => (format!("in the {state}"), " too"),
            None => ("on surfaces as written".to_owned(), ""),
        };
        let chance = match self.others.len() {
            1 => "its chance",
            _ => "their chances",
        };
        let others = list(&self.others);
        format!("Shown at {at}: times {how}; the season counts {others}{more}, by {chance}")
    }
}
