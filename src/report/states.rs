//! A word on venues of which one state is shown and others count.

use super::format::decimal;
use super::rank::words::list;
use crate::study::Entry;
use crate::units;
use crate::venue::Condition;

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

/// The states of a venue as its track has them, one of them with another grip over that in the dry:
/// `conditions: {dry: 60 %, wet: {chance: 40 %, factor: 0.69}}`.
pub fn with_grip(states: &[Condition], name: &str, factor: f64) -> String {
    let chance = |share: f64| format!("{} %", units::plain(100.0 * share));
    let gripping = |share: f64, factor: f64| {
        let factor = decimal(factor, 2);
        format!("{{chance: {}, factor: {factor}}}", chance(share))
    };
    let mut told: Vec<String> = states
        .iter()
        .map(
            |state| match (state.name == name, state.assumed || state.factor == 1.0) {
                (true, _) => format!("{name}: {}", gripping(state.chance, factor)),
                (false, true) => format!("{}: {}", state.name, chance(state.chance)),
                (false, false) => {
                    format!("{}: {}", state.name, gripping(state.chance, state.factor))
                }
            },
        )
        .collect();
    if states.is_empty() {
        told.push(format!("dry: {}", chance(1.0)));
    }
    if states.iter().all(|state| state.name != name) {
        told.push(format!("{name}: {}", gripping(0.0, factor)));
    }
    format!("conditions: {{{}}}", told.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_grip_is_written_among_the_states_that_there_are() {
        let state = |name: &str, factor: f64, chance: f64| Condition {
            name: name.to_owned(),
            factor,
            chance,
            assumed: factor == 0.75,
        };
        let two = [state("dry", 1.0, 0.6), state("wet", 0.75, 0.4)];
        assert_eq!(
            with_grip(&two, "wet", 0.694),
            "conditions: {dry: 60 %, wet: {chance: 40 %, factor: 0.69}}"
        );
        assert_eq!(
            with_grip(&[], "wet", 0.7),
            "conditions: {dry: 100 %, wet: {chance: 0 %, factor: 0.70}}"
        );
        let three = [
            state("dry", 1.0, 0.335),
            state("frost", 0.5, 0.29),
            state("wet", 0.75, 0.375),
        ];
        assert_eq!(
            with_grip(&three, "damp", 0.8),
            "conditions: {dry: 33.5 %, frost: {chance: 29 %, factor: 0.50}, wet: 37.5 %, damp: {chance: 0 %, factor: \
             0.80}}"
        );
    }
}
