//! Times done: at which venue of the study, and in which of its states.

use super::plan::Place;
use super::season::{Said, among, said};
use crate::files::aside::set_aside;
use crate::files::finding::{Finding, Findings, quoted};
use crate::files::nearest::meant_by;
use crate::files::track::{ask_hours, said_by_surface};
use crate::files::yaml::Item;
use crate::study::Entry;
use crate::units::TIME;
use crate::venue::Condition;

/// Words in the place of a time for a run that has none.
const NO_TIME: &[&str] = &[
    "dnf", "dns", "dsq", "dq", "ret", "retired", "nc", "none", "n/a", "-", "–", "—",
];

/// Most other venues whose states are listed.
const LISTED: usize = 3;

/// How many names a venue may have.
const NAMES: usize = 3;

/// A time done, as written.
#[derive(Debug)]
pub struct Driven {
    venue: Said,
    /// The spec that was fitted, where that is said.
    pub spec: Option<Said>,
    condition: Option<Said>,
    /// The time, s.
    pub time: f64,
    /// Why it does not count, where it does not.
    pub set_aside: Option<String>,
    time_at: Place,
}

impl Driven {
    /// `{venue: Mill Lane, spec: long manifold, time: "4:41.0", conditions: wet}`.
    pub fn read(item: &Item) -> Option<Self> {
        let map = item.mapping(&["venue", "spec", "time", "conditions", "set_aside"])?;
        let venue = map.require("venue", "Mill Lane").and_then(|i| said(&i));
        let item = map.require("time", "\"4:41.0\"");
        let time_at = item.as_ref().map(Place::of);
        let time = item.and_then(|i| time(&i));
        Some(Self {
            spec: map.take("spec").and_then(|item| said(&item)),
            condition: map.take("conditions").and_then(|item| said(&item)),
            set_aside: map
                .take("set_aside")
                .and_then(|item| set_aside(&item, "result")),
            venue: venue?,
            time: time?,
            time_at: time_at?,
        })
    }

    /// Whether one of the venues is called so.
    pub fn names_one_of(&self, entries: &[Entry]) -> bool {
        entries.iter().any(|entry| self.nearness(entry).is_some())
    }

    /// Whether a venue is meant, by what the study or its track calls it: the lower, the nearer. Names with other
    /// capitals come behind all others.
    fn nearness(&self, entry: &Entry) -> Option<usize> {
        let (written, names) = (&self.venue.0, names_of(entry));
        let folded = || {
            let written = written.to_lowercase();
            names.iter().position(|name| name.to_lowercase() == written)
        };
        let exact = names.iter().position(|name| name == written);
        exact.or_else(|| folded().map(|place| NAMES + place))
    }

    /// Every venue that may be meant, those before others whose own name is written; a fault where there is none.
    pub fn candidates(&self, entries: &[Entry], findings: &mut Findings) -> Option<Vec<usize>> {
        let nearness = |i: usize| self.nearness(&entries[i]);
        let mut found: Vec<usize> = (0..entries.len())
            .filter(|&i| nearness(i).is_some())
            .collect();
        // Where one is written as it is, those with other capitals are others.
        let exact = |i: usize| nearness(i).is_some_and(|place| place < NAMES);
        if found.iter().any(|&i| exact(i)) {
            found.retain(|&i| exact(i));
        }
        found.sort_by_key(|&i| nearness(i));
        if found.is_empty() {
            let names: Vec<&str> = entries.iter().map(|e| e.name.as_str()).collect();
            among(&self.venue, "venue", &names, findings)?;
        }
        Some(found)
    }

    /// The venue among the candidates whose states fit, and the state it was in; `None` after a fault.
    pub fn driven(
        &self,
        candidates: &[usize],
        entries: &[Entry],
        findings: &mut Findings,
    ) -> Option<(usize, Option<String>)> {
        let driven = match &self.condition {
            Some(said) => self.in_state(said, candidates, entries, findings),
            None => self.in_no_state(candidates, entries, findings),
        }?;
        self.ask_which(driven.0, candidates, entries, findings);
        if let Some((text, remedy)) = ask_hours(&entries[driven.0].course, self.time) {
            findings.push(self.time_at.warning(text, remedy));
        }
        Some(driven)
    }

    /// Asks which of several venues was meant that differ by what no result says.
    fn ask_which(
        &self,
        taken: usize,
        candidates: &[usize],
        entries: &[Entry],
        findings: &mut Findings,
    ) {
        let (written, place) = &self.venue;
        let meant = &entries[taken];
        let alike = |other: &Entry| {
            (other.trim, other.laps, &other.course) == (meant.trim, meant.laps, &meant.course)
        };
        let unsure = |i: &&usize| {
            let other = &entries[**i];
            other.course.conditions == meant.course.conditions && !alike(other)
        };
        let Some(other) = candidates.iter().find(unsure) else {
            return;
        };
        if meant.name.to_lowercase() == written.to_lowercase() {
            return;
        }
        let (other, meant) = (&entries[*other].name, &meant.name);
        let text = format!(
            "{} may be {} or {}: taken for the former",
            quoted(written),
            quoted(meant),
            quoted(other)
        );
        findings.push(place.warning(text, format!("write which it was, as in `venue: {meant}`")));
    }

    /// The venue where its state is said.
    fn in_state(
        &self,
        said: &Said,
        candidates: &[usize],
        entries: &[Entry],
        findings: &mut Findings,
    ) -> Option<(usize, Option<String>)> {
        let states = |i: usize| entries[i].course.conditions.iter();
        let known = distinct(candidates.iter().flat_map(|&i| states(i)));
        // A road that is always wet is in no state beside that of its surface.
        let always = |&i: &usize| {
            let course = &entries[i].course;
            course.conditions.is_empty() && said_by_surface(course, &said.0)
        };
        if !known.contains(&said.0.as_str())
            && let Some(always) = candidates.iter().copied().find(always)
        {
            return Some((always, None));
        }
        let Some(found) = known.iter().copied().find(|name| *name == said.0) else {
            findings.push(self.no_state(said, &known, entries));
            return None;
        };
        let fits = |chance: f64| {
            let has = |i: usize| states(i).any(|s| s.name == found && s.chance >= chance);
            candidates.iter().copied().find(|&i| has(i))
        };
        // A venue that was surely in this state goes before one that may have been in others.
        let sure = |i: &usize| {
            entries[*i]
                .course
                .sure_state()
                .is_some_and(|s| s.name == found)
        };
        let entry = candidates.iter().copied().find(sure);
        let entry = entry
            .or_else(|| fits(f64::MIN_POSITIVE))
            .or_else(|| fits(0.0))?;
        Some((entry, Some(found.to_owned())))
    }

    /// The fault of a state that the venue has not among those that are `known` of it.
    fn no_state(&self, (name, place): &Said, known: &[&str], entries: &[Entry]) -> Finding {
        let venue = &self.venue.0;
        let text = format!("there is no condition {} at {venue}", quoted(name));
        if !known.is_empty() {
            let listed = || format!("it has: {}", known.join(", "));
            let remedy = meant_by(name, known.iter().copied()).unwrap_or_else(listed);
            return place.error(text, remedy);
        }
        let states = |entry: &Entry| distinct(entry.course.conditions.iter()).join(", ");
        let others = entries.iter().filter(|e| !e.course.conditions.is_empty());
        let others: Vec<String> = others
            .take(LISTED)
            .map(|entry| format!("; {} has {}", entry.name, states(entry)))
            .collect();
        let remedy = format!(
            "give {venue} `conditions: {{{name}: …}}` under `venues`, or leave `conditions` out here{}",
            others.concat()
        );
        place.error(format!("{text}: it has no conditions"), remedy)
    }

    /// The venue where nothing is said of its state: one without states before the others, of which the
    /// result does not tell.
    fn in_no_state(
        &self,
        candidates: &[usize],
        entries: &[Entry],
        findings: &mut Findings,
    ) -> Option<(usize, Option<String>)> {
        let course = |i: usize| &entries[i].course;
        let plain = |i: &usize| course(*i).conditions.is_empty();
        if let Some(plain) = candidates.iter().copied().find(plain) {
            return Some((plain, None));
        }
        let mixed = |i: &usize| course(*i).sure_state().is_none();
        let first = candidates.iter().copied().find(mixed);
        let entry = first.or_else(|| candidates.first().copied())?;
        let states = candidates.iter().flat_map(|&i| &course(i).conditions);
        let names = distinct(states.filter(|state| state.chance > 0.0));
        let sure = course(entry).sure_state();
        if let [.., last] = names[..]
            && names.len() > 1
        {
            let (venue, place) = &self.venue;
            let taken = sure.map_or("on its surfaces as written".to_owned(), |state| {
                format!("in the {}", state.name)
            });
            let text = format!(
                "no `conditions` of a result at {venue}, which may be {}: taken for one {taken}",
                names.join(" or ")
            );
            let remedy = format!("write which it was, as in `conditions: {last}`");
            findings.push(place.warning(text, remedy));
        }
        Some((entry, sure.map(|state| state.name.clone())))
    }
}

/// What a venue may be called: by the name that no other has, as the study has it, as its track has it.
fn names_of(entry: &Entry) -> [&str; NAMES] {
    [&entry.name, &entry.called, &entry.course.name]
}

/// The names of states, each once.
fn distinct<'a>(states: impl Iterator<Item = &'a Condition>) -> Vec<&'a str> {
    let mut names: Vec<&str> = Vec::new();
    for state in states {
        if !names.contains(&state.name.as_str()) {
            names.push(&state.name);
        }
    }
    names
}

/// The time of a run that was finished.
fn time(item: &Item) -> Option<f64> {
    let written = item.word().unwrap_or_default();
    if NO_TIME.contains(&written.trim().to_lowercase().as_str()) {
        item.error(
            format!("time: {} is no time", quoted(written)),
            "leave out a run without a time; a time is written `\"4:41.0\"`",
        );
        return None;
    }
    item.quantity_or_bare(&TIME, "s", 1.0..=36_000.0)
}
