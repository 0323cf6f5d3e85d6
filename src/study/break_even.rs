//! How far an input may be off before the order of two specs turns round at a venue.

use super::engines::Engines;
use super::run::{time, variant};
use super::setup::Setup;
use super::{Entry, Study};
use crate::dyno::Curve;
use crate::lap::Cells;

/// Torque of the slower spec is raised by at most this share.
const MOST_TORQUE: f64 = 0.05;
/// The difference of two curves is moved by at most so many rpm.
const MOST_RPM: f64 = 1500.0;
/// Corner shares between which the order is looked for.
const SHARES: (f64, f64) = (0.75, 1.0);
/// Halvings of a bracket.
const HALVINGS: usize = 8;
/// Distance between the points of a moved curve, rpm.
const GRID_RPM: f64 = 50.0;

/// What would turn the order of two specs round, all else being as taken; `None` where nothing within
/// reach does.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct BreakEven {
    /// Share by which the slower spec's torque would have to be higher everywhere.
    pub torque: Option<f64>,
    /// By how many rpm the crossing would have to lie higher, the curves' difference moved with it;
    /// below zero lower.
    pub crossing: Option<f64>,
    /// The driver's corner share.
    pub corner_share: Option<f64>,
}

/// Finds it for two specs as geared, the quicker one first.
pub fn break_even(
    study: &Study,
    engines: &Engines,
    (entry, cells): (&Entry, &Cells),
    (quicker, slower): (usize, usize),
) -> BreakEven {
    let lap = |entry: &Entry, spec: usize, curve: &Curve| {
        let mut variant = variant(study, engines, entry, spec, Setup::FITTED);
        variant.curve = curve;
        time(&variant, entry, cells).ok()
    };
    let (a, b) = (&engines.list[quicker].curve, &engines.list[slower].curve);
    let Some(best) = lap(entry, quicker, a) else {
        return BreakEven::default();
    };
    let other = |curve: Option<Curve>| Some(lap(entry, slower, &curve?)? - best);
    let torque = |share: f64| other(scaled(b, 1.0 + share));
    let crossing = |by: f64| other(moved(a, b, by, engines.limit_rpm));
    let share = |share: f64| {
        let mut entry = entry.clone();
        entry.habits.corner_share = share;
        Some(lap(&entry, slower, b)? - lap(&entry, quicker, a)?)
    };
    let now = entry.habits.corner_share;
    let nearest = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) if b.abs() < a.abs() => Some(b),
        (a, b) => a.or(b),
    };
    let shares = nearest(
        turn(&|x| share(now + x), SHARES.0 - now),
        turn(&|x| share(now + x), SHARES.1 - now),
    );
    BreakEven {
        torque: turn(&torque, MOST_TORQUE),
        crossing: nearest(turn(&crossing, MOST_RPM), turn(&crossing, -MOST_RPM)),
        corner_share: shares.map(|by| now + by),
    }
}

/// Where a gap that is above zero at 0 reaches zero on the way to `most`, looked for in four steps and
/// then halved.
fn turn(gap: &dyn Fn(f64) -> Option<f64>, most: f64) -> Option<f64> {
    const STEPS: usize = 4;
    if gap(0.0)? <= 0.0 || most == 0.0 {
        return None;
    }
    let at = |i: usize| most * i as f64 / STEPS as f64;
    let beyond = (1..=STEPS).find(|&i| gap(at(i)).is_some_and(|gap| gap <= 0.0))?;
    let (mut before, mut after) = (at(beyond - 1), at(beyond));
    for _ in 0..HALVINGS {
        let middle = 0.5 * (before + after);
        if gap(middle)? > 0.0 {
            before = middle;
        } else {
            after = middle;
        }
    }
    Some(0.5 * (before + after))
}

fn scaled(curve: &Curve, factor: f64) -> Option<Curve> {
    let (rpm, torque) = curve.points().map(|(n, t)| (n, t * factor)).unzip();
    Curve::new(rpm, torque).ok()
}

/// The second curve as it would be, were its difference from the first to lie `by` rpm higher.
fn moved(first: &Curve, second: &Curve, by: f64, limit_rpm: f64) -> Option<Curve> {
    let low = first.first_rpm().max(second.first_rpm());
    let count = ((limit_rpm - low) / GRID_RPM).ceil().max(2.0) as usize;
    let rpm: Vec<f64> = (0..=count).map(|i| low + GRID_RPM * i as f64).collect();
    let torque = rpm
        .iter()
        .map(|&n| {
            let from = (n - by).clamp(low, limit_rpm);
            first.torque(n) + second.torque(from) - first.torque(from)
        })
        .collect();
    Curve::new(rpm, torque).ok()
}

#[cfg(test)]
mod tests {
    use super::super::run::{SpecRun, cells, run};
    use super::super::tests::{engines, entry, study};
    use super::*;

    #[test]
    fn analytic_turning_points() {
        let gap = |x: f64| Some(0.3 - x);
        let found = turn(&gap, 1.0).unwrap();
        assert!((found - 0.3).abs() < 0.002, "{found}");
        assert_eq!(turn(&gap, 0.2), None);
        assert_eq!(turn(&gap, -1.0), None);
        assert_eq!(turn(&|_| Some(-1.0), 1.0), None);
        assert_eq!(turn(&|_| None, 1.0), None);
    }

    /// Driven with the torque it says, the two specs draw level.
    #[test]
    fn at_the_break_even_the_two_are_level() {
        let (study, engines) = (study(vec![entry("tarmac")]), engines());
        let outcome = run(&study, &engines);
        let order = outcome.venues[0].order(SpecRun::time);
        let (quicker, slower) = (order[0], order[1]);
        let entry = &study.entries[0];
        let cells = cells(&study, &engines, entry).unwrap();
        let found = break_even(&study, &engines, (entry, &cells), (quicker.0, slower.0));
        let share = found.torque.expect("within five percent");
        let drive = |curve: &Curve| {
            let mut variant = variant(&study, &engines, entry, slower.0, Setup::FITTED);
            variant.curve = curve;
            time(&variant, entry, &cells).unwrap() - quicker.1
        };
        let own = &engines.list[slower.0].curve;
        let gap = slower.1 - quicker.1;
        let left = drive(&scaled(own, 1.0 + share).unwrap());
        assert!(left.abs() < 0.05 * gap, "{left} of {gap}");
        assert!(drive(&scaled(own, 1.0 + 0.9 * share).unwrap()) > 0.0);
        // A curve that is not moved is itself.
        let same = moved(&engines.list[quicker.0].curve, own, 0.0, 7200.0).unwrap();
        assert!(drive(&same) > 0.9 * gap);
    }
}
