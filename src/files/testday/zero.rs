//! What a dyno reads while the engine idles: a zero that moved between specs goes into all of one's torque.

use super::fittings::{FoundPull, FoundSpec};

/// How far such readings of two specs may lie apart, N·m, and as a share of torque (common practice, no source).
const APART: f64 = 2.0;
const SHARE: f64 = 0.01;

/// Asks about the two specs whose readings at idle differ most.
pub fn check(specs: &[FoundSpec]) {
    let read = specs.iter().filter_map(|spec| {
        let idle: Vec<f64> = spec
            .counting()
            .filter_map(|found| found.pull.handling.idle)
            .collect();
        let mean = idle.iter().sum::<f64>() / idle.len() as f64;
        (!idle.is_empty()).then_some((spec, spec.counting().next()?, mean))
    });
    let read: Vec<(&FoundSpec, &FoundPull, f64)> = read.collect();
    let by = |a: &&(&FoundSpec, &FoundPull, f64), b: &&(&FoundSpec, &FoundPull, f64)| {
        a.2.total_cmp(&b.2)
    };
    let (Some(first), Some(most)) = (read.iter().min_by(by), read.iter().max_by(by)) else {
        return;
    };
    let torque = first.1.pull.torque.iter().copied().fold(0.0, f64::max);
    let apart = most.2 - first.2;
    if apart <= APART.max(SHARE * torque) {
        return;
    }
    let text = format!(
        "{} reads {:.1} N·m while the engine idles, and {} {:.1}: has the zero of the load cell moved?",
        most.0.name, most.2, first.0.name, first.2
    );
    let remedy = format!(
        "if so set it again and pull again; until then take off what each reads: `zero: {:.1} Nm` beside the pulls of {}, \
         `zero: {:.1} Nm` beside those of {}",
        most.2, most.0.name, first.2, first.0.name
    );
    most.1.ask(text, remedy);
}
