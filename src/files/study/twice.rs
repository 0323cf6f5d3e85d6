//! What a study names twice, most likely by a slip.

use super::plan::{Plan, Wanted};
use crate::files::finding::{Findings, quoted};
use crate::study::Entry;

/// Warns of the same venue in the same trim twice, and of two venues with one name.
pub fn check(plan: &Plan, entries: &[Entry], findings: &mut Findings) {
    if plan.wanted.len() != entries.len() {
        return;
    }
    for (index, (wanted, entry)) in plan.wanted.iter().zip(entries).enumerate() {
        let name = &entry.course.name;
        let earlier = plan.wanted.iter().zip(&entries[..index]);
        let told = |other: &Wanted| wanted.name.is_some() || other.name.is_some();
        let mut named = earlier.filter(|(w, other)| other.course.name == *name && !told(w));
        let Some((other, of)) = named.next() else {
            continue;
        };
        let place = &wanted.track.place;
        if !same_file(wanted, other) {
            let text = format!("two venues are called {}", quoted(name));
            findings.push(place.warning(
                text,
                "give each a `name` of its own here, or in its track file",
            ));
        } else if of.trim == entry.trim && of.course.conditions == entry.course.conditions {
            let text = format!(
                "{} stands in the study twice, and counts twice",
                quoted(name)
            );
            let remedy = "write it once, with `passes: 2` or `laps`; twice only for another trim";
            findings.push(place.warning(text, remedy));
        }
    }
}

fn same_file(one: &Wanted, other: &Wanted) -> bool {
    let whole = |wanted: &Wanted| std::fs::canonicalize(&wanted.track.path).ok();
    one.track.path == other.track.path || whole(one).is_some() && whole(one) == whole(other)
}
