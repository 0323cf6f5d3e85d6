//! A test day file: the dyno, the weather, specs with their fittings and pulls.

mod airs;
mod alike;
mod dyno;
mod ends;
mod fittings;
mod gear;
mod listing;
mod logged;
mod losses;
mod means;
mod named;
mod order;
mod places;
mod revs;
mod sense;
mod sources;
mod standards;
mod start;
mod stated;
mod sweeps;
mod typed;
mod warmth;
mod weather;
mod zero;

pub use dyno::SPEEDS;
pub use listing::{LOOKED_FOR, Listing};
pub use sense::THROUGH_THE_GEARS;
pub use sources::of_many;
pub use standards::standard;
pub use start::{again, folders_of_pulls, mistaken};

use std::collections::BTreeMap;
use std::path::Path;

use self::fittings::{Context, FoundSpec};
use super::finding::Findings;
use super::kind::{self, FileKind};
use super::source::Source;
use super::yaml::{self, Item, Map};
use crate::dyno::{Spec, TestDay};

const KEYS: &[&str] = &[
    "specs",
    "name",
    "dyno",
    "engine",
    "correct_to",
    "corrected",
    "weather",
    "smoothing",
    "repeatability",
    "currency",
    "as_tested",
    "as_raced",
    "order",
];

/// Most pulls of one day.
const MOST_PULLS: usize = 300;

/// Reads a test day with all the files it names. `None` where one of them has a fault: then at least
/// one error was added.
pub fn read(path: &Path, findings: &mut Findings) -> Option<TestDay> {
    yaml::read(path, findings, test_day)
}

/// As [`read`], from a text already in memory; pull files are looked for beside its path.
pub fn decode(source: Source, findings: &mut Findings) -> Option<TestDay> {
    yaml::decode(source, findings, test_day)
}

fn test_day(root: Item) -> Option<TestDay> {
    kind::expect(&root, FileKind::TestDay, KEYS)?;
    let map = root.mapping(KEYS)?;
    let bench = dyno::bench(&map);
    let engine = dyno::engine(&map);
    let context = Context {
        spec: String::new(),
        settings: bench.settings,
        weather: map
            .take("weather")
            .map(|item| weather::parts(&item))
            .unwrap_or_default(),
        corrected: map
            .take("corrected")
            .and_then(|item| standards::standard(&item)),
        currency: map.take("currency").and_then(|item| item.text()),
        day: None,
        rate: None,
    };
    let mut found = specs(&map, &context);
    let count = found.iter().flat_map(FoundSpec::pulls).count();
    if count > MOST_PULLS {
        let text = format!("{count} pulls in one test day");
        map.item()
            .error(text, format!("at most {MOST_PULLS} are read"));
        return None;
    }
    sense::set_copies_aside(&mut found);
    means::set_aside(&mut found);
    fittings::tell_names_apart(&mut found);
    let repeatability = dyno::repeatability(&map, &bench, &found);
    let standard = standards::resolve(&map, &engine, &found);
    let order = order::of_the_day(&map, &found);
    sweeps::check(&map, &bench, &found);
    alike::choices(&map, &found);
    alike::typed_units(&map, &found);
    gear::several(&map, &found);
    sense::check(&bench.dyno, &engine, &found);
    warmth::check(&engine, &repeatability, &found);
    losses::check(&bench.dyno, &found);
    zero::check(&found);
    if let Some(to) = standard {
        airs::check(&engine, to, &found);
        stated::differ(to, &found);
    }
    let mut day = TestDay {
        dyno: bench.dyno,
        engine,
        correct_to: standard?,
        currency: context.currency,
        specs: found.into_iter().map(FoundSpec::into_spec).collect(),
        order: order?,
        repeatability,
        as_tested: texts(&map, "as_tested"),
        as_raced: texts(&map, "as_raced"),
    };
    standards::settle(&mut day);
    tell_trims(&map, &day);
    // A pull that cannot be read has been named; no curve follows from that.
    if !root.has_errors() {
        check_curves(&root, &day);
    }
    Some(day)
}

/// The specs, names unique.
fn specs<'a>(map: &Map<'a>, context: &Context<'a>) -> Vec<FoundSpec<'a>> {
    let example = "[{name: long manifold, pulls: pulls/long-*.csv}]";
    let Some(item) = map.require("specs", example) else {
        return Vec::new();
    };
    if !item.is_list() {
        item.error(
            "specs is a list, one entry for each state of the engine",
            format!("write `specs: {example}`, or a `- name:` line for each under it"),
        );
        return Vec::new();
    }
    let list = item.list().unwrap_or_default();
    if list.is_empty() {
        map.item()
            .error("no spec in `specs`", format!("write `specs: {example}`"));
    }
    let mut found: Vec<FoundSpec<'a>> = Vec::new();
    for item in &list {
        let Some(spec) = fittings::spec(item, context) else {
            continue;
        };
        if found.iter().any(|other| other.name == spec.name) {
            item.error(
                format!("two specs are called `{}`", spec.name),
                "give each spec a name of its own",
            );
        }
        found.push(spec);
    }
    found
}

/// Keys of the user's own with their texts.
fn texts(map: &Map, key: &str) -> BTreeMap<String, String> {
    let entries = map.take(key).and_then(|item| item.entries());
    entries
        .unwrap_or_default()
        .iter()
        .filter_map(|entry| Some((entry.name().to_owned(), entry.text()?)))
        .collect()
}

/// What changes power and belongs to the car, on the dyno and at the event; whether specs were tuned
/// anew.
fn tell_trims(map: &Map, day: &TestDay) {
    if day.as_raced.is_empty() {
        let text = "silencer, filter and fuel at the event as they were on the dyno";
        map.assumed("as_raced", text);
    }
    for (what, raced) in &day.as_raced {
        let tested = day.as_tested.get(what).map_or("not said", String::as_str);
        if tested != raced
            && let Some(item) = map.take("as_raced")
        {
            item.warning(
                format!("{what}: {tested} on the dyno, {raced} at the event"),
                "every curve of the day shifts with it, most likely not by the same amount",
            );
        }
    }
    let unsaid: Vec<&str> = day
        .specs
        .iter()
        .filter(|spec| spec.retuned.is_none())
        .map(|spec| spec.name.as_str())
        .collect();
    if !unsaid.is_empty() && day.specs.len() > 1 {
        let who = match unsaid.len() == day.specs.len() {
            true => "none says".to_owned(),
            false => format!("{} do not say", unsaid.join(", ")),
        };
        let text = format!("ignition and mixture set for each spec ({who} `retuned`)");
        map.assumed("retuned", text);
    }
}

/// Curves can be made, and any two specs share some engine speeds.
fn check_curves(root: &Item, day: &TestDay) {
    let reduced = match day.reduce() {
        Ok(reduced) => reduced,
        Err(error) => {
            let remedy = "correct the pull, or set it aside: `set_aside: why`";
            return root.error(error.to_string(), remedy);
        }
    };
    let range = |i: usize| {
        let curve = &reduced.specs[i].curve;
        (curve.first_rpm(), curve.last_rpm())
    };
    for a in 0..reduced.specs.len() {
        for b in 0..a {
            let ((from_a, to_a), (from_b, to_b)) = (range(a), range(b));
            if from_a.max(from_b) >= to_a.min(to_b) {
                let name = |spec: &Spec| spec.name.clone();
                let text = format!(
                    "{} ({from_b:.0} to {to_b:.0} rpm) and {} ({from_a:.0} to {to_a:.0} rpm) share \
                     no engine speeds",
                    name(&day.specs[b]),
                    name(&day.specs[a]),
                );
                root.error(text, "pull both over the same range");
            }
        }
    }
}

#[cfg(test)]
mod tests;
