//! Losses that rollers measured in a run down and added: what they add to one spec and not to another is no engine's.

use super::fittings::{FoundPull, FoundSpec};
use crate::dyno::{Dyno, MeasuredAt};

/// How many times the losses of one spec those of another may be: oil and tyres warm up over a day (common practice, no
/// source).
const APART: f64 = 1.15;

/// Asks about specs to which far more or less was added than to the others.
pub fn check(dyno: &Dyno, specs: &[FoundSpec]) {
    if dyno.measured_at != MeasuredAt::FlywheelEstimated {
        return;
    }
    let losses = specs.iter().filter_map(|spec| {
        let all: Vec<f64> = spec.counting().filter_map(lost).collect();
        let mean = all.iter().sum::<f64>() / all.len() as f64;
        (!all.is_empty()).then_some((spec, spec.counting().next()?, mean))
    });
    let losses: Vec<_> = losses.collect();
    let by = |a: &&(_, _, f64), b: &&(_, _, f64)| a.2.total_cmp(&b.2);
    let (Some((less, _, least)), Some((more, found, most))) =
        (losses.iter().min_by(by), losses.iter().max_by(by))
    else {
        return;
    };
    if *most <= APART * *least {
        return;
    }
    let text = format!(
        "losses of {:.1} kW in the mean were added for {}, and {:.1} for {}: did the car roll as freely both times?",
        most / 1e3,
        more.name,
        least / 1e3,
        less.name
    );
    let remedy = "a dragging brake, another gear, cold oil or tyres go into these figures: compare what was measured at \
                  the wheels, `dyno: {measures: wheels}`";
    found.ask(text, remedy);
}

/// Losses beside a pull, W, in the mean over its rows.
fn lost(found: &FoundPull) -> Option<f64> {
    found
        .pull
        .channels
        .get("losses")
        .copied()
        .filter(|watt| *watt > 0.0)
}
