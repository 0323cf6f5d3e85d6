//! Names that tell the venues of a study apart: what the study calls them, or what differs between them.

use super::plan::Wanted;
use crate::car::Car;
use crate::files::finding::{Findings, quoted};
use crate::study::Entry;
use crate::units::counted;
use crate::venue::{Condition, Course};

/// What the study calls a venue, or else its track.
pub fn written<'a>(wanted: &'a Wanted, course: &'a Course) -> &'a String {
    let written = wanted.name.as_ref().map(|(name, _)| name);
    written.unwrap_or(&course.name)
}

/// What a venue goes by before others are looked at: its name in the study or its own, and the state it
/// is sure to be in.
pub fn of(wanted: &Wanted, course: &Course) -> String {
    let name = written(wanted, course).clone();
    // As [`Entry::state`].
    let state = course.sure_state().filter(|state| state.factor != 1.0);
    match state {
        Some(state) if !has_word(&name, &state.name) => format!("{name} ({})", state.name),
        _ => name,
    }
}

/// Gives every venue a name that no other has. One that the study gives twice is a fault.
pub fn tell_apart(wanted: &[Wanted], entries: &mut [Entry], car: &Car, findings: &mut Findings) {
    if wanted.len() != entries.len() {
        return;
    }
    for (index, one) in wanted.iter().enumerate() {
        let Some((name, place)) = &one.name else {
            continue;
        };
        let mut earlier = wanted[..index].iter().filter_map(|w| w.name.as_ref());
        if earlier.any(|(other, _)| alike(other, name)) {
            let text = format!("name: two venues of the study are called {}", quoted(name));
            findings.push(place.error(text, "give each a name of its own"));
        }
    }
    for aspect in ASPECTS {
        add(*aspect, wanted, entries, car);
    }
    number(wanted, entries);
}

/// What may differ between venues of one name.
type Aspect = fn(&Entry, &Car) -> String;

/// In the order in which they are looked at.
const ASPECTS: &[Aspect] = &[
    |entry, _| states(&entry.course.conditions),
    |entry, _| entry.course.surfaces[0].name.clone(),
    |entry, car| format!("{} trim", car.trims[entry.trim].name),
    |entry, _| {
        entry
            .laps
            .map_or(String::new(), |n| counted(n as usize, "lap"))
    },
    |entry, _| match entry.passes {
        0 | 1 => String::new(),
        passes => format!("{passes} passes"),
    },
];

/// `dry or wet`: the states that may be, where they are several.
fn states(conditions: &[Condition]) -> String {
    let likely = conditions.iter().filter(|state| state.chance > 0.0);
    let names: Vec<&str> = likely.map(|state| state.name.as_str()).collect();
    match names.len() {
        0 | 1 => String::new(),
        _ => names.join(" or "),
    }
}

/// Adds an aspect to the names of venues that the study does not name, where it differs among those of
/// one name.
fn add(aspect: Aspect, wanted: &[Wanted], entries: &mut [Entry], car: &Car) {
    let names: Vec<String> = entries.iter().map(|entry| entry.name.clone()).collect();
    let aspects: Vec<String> = entries.iter().map(|entry| aspect(entry, car)).collect();
    for (index, entry) in entries.iter_mut().enumerate() {
        let other = (0..names.len())
            .any(|i| alike(&names[i], &names[index]) && aspects[i] != aspects[index]);
        let own = &aspects[index];
        if other && wanted[index].name.is_none() && !own.is_empty() && !has_word(&entry.name, own) {
            entry.name = match entry.name.strip_suffix(')') {
                Some(open) => format!("{open}, {own})"),
                None => format!("{} ({own})", entry.name),
            };
        }
    }
}

/// Numbers the venues that nothing tells apart, those that the study names left as they are.
fn number(wanted: &[Wanted], entries: &mut [Entry]) {
    for index in 0..entries.len() {
        if wanted[index].name.is_some() {
            continue;
        }
        let taken = |name: &str, entries: &[Entry]| {
            let others = entries.iter().zip(wanted).enumerate();
            others
                .filter(|(i, (_, other))| *i < index || *i > index && other.name.is_some())
                .any(|(_, (entry, _))| alike(&entry.name, name))
        };
        let plain = entries[index].name.clone();
        let mut count = 1;
        while taken(&entries[index].name, entries) {
            count += 1;
            entries[index].name = format!("{plain} ({count})");
        }
    }
}

/// Names are told apart in any case of their letters.
fn alike(one: &str, other: &str) -> bool {
    one.to_lowercase() == other.to_lowercase()
}

/// Whether a name says so already, in whole words.
fn has_word(name: &str, word: &str) -> bool {
    let words = |text: &str| {
        let lower = text.to_lowercase();
        let words = lower.split(|c: char| !c.is_alphanumeric());
        let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
        format!(" {} ", words.join(" "))
    };
    words(name).contains(&words(word))
}
