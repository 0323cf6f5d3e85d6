//! Pulls that stop long before the others of their spec, and pulls that stand with another spec's.
//!
//! Nothing here is corrected: each warning is a question.

use super::fittings::{FoundPull, FoundSpec};
use crate::dyno::Curve;
use crate::files::finding::Severity;

/// Share of the highest engine speed of a spec's pulls below which one was hardly meant to end.
const STOPS: f64 = 0.85;
/// How far a pull lies off every other of its spec, ln τ, from which it is asked about: they repeat within
/// a third of that.
const UNLIKE: f64 = 0.01;
/// How far off it may lie at most: further off it is in another unit, which is asked about elsewhere.
const MOST: f64 = 0.1;
/// Times as near it lies to a pull of another spec, and how near: no further than pulls repeat.
const NEARER: f64 = 3.0;
/// Share of that, root mean square, which it lies off one of its own in the median where the two part over a stretch
/// alone: there one of them misfires.
const IN_PART: f64 = 0.3;

/// Asks about pulls that end early, but for specs that have been `told` of something else, and the first pull that
/// may be another spec's.
pub fn check(specs: &[FoundSpec], told: &[String]) {
    let untold = |spec: &&FoundSpec| !told.contains(&spec.name);
    specs.iter().filter(untold).for_each(stopped);
    stray(specs);
}

fn stopped(spec: &FoundSpec) {
    let end = |found: &FoundPull| found.pull.rpm.iter().copied().fold(0.0, f64::max);
    let furthest = spec.counting().map(end).fold(0.0, f64::max);
    // Of one that counts in part its test day says where it ends.
    let whole = |found: &&FoundPull| found.pull.handling.counts.is_none();
    for found in spec
        .counting()
        .filter(whole)
        .filter(|found| end(found) < STOPS * furthest)
    {
        let text = format!(
            "{} stops at {:.0} rpm, others of {} go on to {furthest:.0}: was it aborted?",
            found.pull.name,
            end(found),
            spec.name
        );
        let remedy = "if so set it aside in the test day, as in `{file: long-2.csv, set_aside: aborted}`: it \
                      counts as far as it goes";
        found.tell(Severity::Warning, text, remedy);
    }
}

/// A pull that is like none of its own spec and like one of another, in the same air.
fn stray(specs: &[FoundSpec]) {
    let curves: Vec<(usize, &FoundPull, Curve)> = specs
        .iter()
        .enumerate()
        .flat_map(|(index, spec)| spec.counting().map(move |found| (index, found)))
        .filter_map(|(index, found)| {
            let pull = &found.pull;
            let curve = Curve::new(pull.rpm.clone(), pull.torque.clone()).ok()?;
            Some((index, found, curve))
        })
        .collect();
    for (spec, found, curve) in &curves {
        let nearest = |own: bool| {
            let others = curves.iter().filter(|(index, other, _)| {
                (index == spec) == own && !std::ptr::eq(*other, *found) && alike(other, found)
            });
            let apart = others.filter_map(|other| Some((other, apart(curve, &other.2)?)));
            apart.min_by(|a, b| a.1.0.total_cmp(&b.1.0))
        };
        let (Some((_, (own, usual))), Some((other, (near, _)))) = (nearest(true), nearest(false))
        else {
            continue;
        };
        let in_part = usual < IN_PART * own;
        if !(UNLIKE..MOST).contains(&own) || near > UNLIKE || NEARER * near > own || in_part {
            continue;
        }
        let (mine, theirs) = (&specs[*spec].name, &specs[other.0].name);
        let text = format!(
            "{}: {:.1} % off every other pull of {mine}, {:.1} % off {} of {theirs}: is it one of {theirs}?",
            found.pull.name,
            100.0 * own,
            100.0 * near,
            other.1.pull.name
        );
        let remedy = format!(
            "if so name it under {theirs}; if {mine} was pulled otherwise that time, set it aside: `set_aside: why`"
        );
        return found.ask(text, remedy);
    }
}

/// Whether nothing but the engine is known to differ.
fn alike(one: &FoundPull, other: &FoundPull) -> bool {
    one.pull.air == other.pull.air && one.pull.corrected == other.pull.corrected
}

/// How far two curves lie apart over the engine speeds they share, ln τ: root mean square, and in the median; `None`
/// where they share too few to tell.
fn apart(one: &Curve, other: &Curve) -> Option<(f64, f64)> {
    const STEPS: usize = 50;
    let from = one.first_rpm().max(other.first_rpm());
    let to = one.last_rpm().min(other.last_rpm());
    let whole = one.last_rpm() - one.first_rpm();
    let at = (0..=STEPS).map(|i| from + (to - from) * i as f64 / STEPS as f64);
    let mut off: Vec<f64> = at
        .map(|rpm| (one.torque(rpm) / other.torque(rpm)).ln().abs())
        .collect();
    off.sort_by(f64::total_cmp);
    let squares: f64 = off.iter().map(|log| log * log).sum();
    let rms = (squares / off.len() as f64).sqrt();
    (to - from > 0.5 * whole && rms.is_finite()).then(|| (rms, off[STEPS / 2]))
}
