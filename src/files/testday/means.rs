//! Files that are the mean of pulls beside them: no pull of their own, and all the surer by nothing.

use super::fittings::{FoundPull, FoundSpec};
use crate::dyno::Curve;

/// How far a mean may lie off those it is of, ln: figures rounded to a tenth of a N·m.
const ROUNDED: f64 = 0.0006;
/// How far pulls lie off each other at least, ln, for a mean of them to be told from one more: twice what
/// rounding moves, and a third of what pulls usually repeat within.
const APART: f64 = 0.001;
/// Share of that within which the mean lies: a pull of its own lies as far off as those do, and so near by chance at all
/// engine speeds never.
const NEARER: f64 = 0.25;
/// Engine speeds at which it is looked.
const STEPS: usize = 25;
/// Words in a file's name that say a mean.
const WORDS: [&str; 7] = [
    "avg",
    "average",
    "mean",
    "mittel",
    "moyenne",
    "media",
    "gemiddeld",
];

/// Sets aside the pulls that are the mean of all others of their fitting, and warns of those that are only called so.
pub fn set_aside(specs: &mut [FoundSpec]) {
    for fitting in specs.iter_mut().flat_map(|spec| &mut spec.fittings) {
        let all: Vec<usize> = (0..fitting.pulls.len())
            .filter(|&at| fitting.pulls[at].pull.counts())
            .collect();
        let called: Vec<usize> = all
            .iter()
            .copied()
            .filter(|&at| is_called_mean(&fitting.pulls[at].pull.name))
            .collect();
        let is_mean = |&at: &usize| {
            let others = all.iter().filter(|&&other| other != at);
            let others: Option<Vec<Curve>> =
                others.map(|&other| curve(&fitting.pulls[other])).collect();
            let own = curve(&fitting.pulls[at]);
            let fewest = if called.contains(&at) { 2 } else { 3 };
            own.zip(others)
                .is_some_and(|(own, others)| others.len() >= fewest && is_mean_of(&own, &others))
        };
        let mean = all.iter().copied().find(is_mean);
        if let Some(at) = mean {
            let found = &mut fitting.pulls[at];
            let text = format!(
                "{}: the mean of the pulls beside it, so it is not counted",
                found.pull.name
            );
            found
                .item
                .warning(text, "take it out: pulls are counted one by one");
            found.pull.set_aside = Some("the mean of others".to_owned());
        } else if let (Some(&at), true) = (called.first(), called.len() < all.len()) {
            let found = &fitting.pulls[at];
            let text = format!(
                "{}: a mean by its name, beside single pulls: it is counted as one pull",
                found.pull.name
            );
            let remedy = "give each of the pulls it is of; of those it shares with the others nothing is known twice";
            found.item.warning(text, remedy);
        }
    }
}

fn is_called_mean(name: &str) -> bool {
    let name = name.to_lowercase();
    let mut words = name.split(|c: char| !c.is_alphanumeric());
    words.any(|word| WORDS.contains(&word))
}

fn curve(found: &FoundPull) -> Option<Curve> {
    Curve::new(found.pull.rpm.clone(), found.pull.torque.clone()).ok()
}

/// Whether a curve is the mean of others that do not lie on each other themselves.
fn is_mean_of(own: &Curve, others: &[Curve]) -> bool {
    let from = others
        .iter()
        .map(Curve::first_rpm)
        .fold(own.first_rpm(), f64::max);
    let to = others
        .iter()
        .map(Curve::last_rpm)
        .fold(own.last_rpm(), f64::min);
    if from >= to {
        return false;
    }
    let (mut off, mut apart) = (0.0_f64, 0.0_f64);
    for step in 0..=STEPS {
        let rpm = from + (to - from) * step as f64 / STEPS as f64;
        let all = others.iter().map(|other| other.torque(rpm));
        let mean = all.clone().sum::<f64>() / others.len() as f64;
        off = off.max((own.torque(rpm) / mean).ln().abs());
        apart = all.fold(apart, |apart, torque| apart.max((torque / mean).ln().abs()));
    }
    off < ROUNDED && apart > APART && off < NEARER * apart
}
