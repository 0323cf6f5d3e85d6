//! Two specs over one venue, run by run from corner to corner, as the car is geared.

use super::driving::Driving;
use super::engines::Engines;
use super::run::{Outcome, SpecRun, variant};
use super::setup::Setup;
use super::{Certainty, Study};
use crate::explain::runs::{corner_before, slower};
use crate::explain::{Exit, Run, Step, exits, runs, trace};
use crate::schedule::Choice;

/// Distance between the points of a trace, m.
const SPACING: f64 = 12.0;

/// What each spec does at a venue beside the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Strip {
    /// The two specs.
    pub specs: [usize; 2],
    /// The runs in the order of the road; a gain is the first spec's.
    pub runs: Vec<Run>,
    /// Where each of the two leaves a corner at full throttle, and the corner, in driving order.
    pub exits: [Vec<(Exit, String)>; 2],
    /// Road speed at which each gear reaches the limit, m/s.
    pub limit_speeds: Vec<f64>,
    /// Speed and engine speed of each along the road.
    pub traces: [Vec<Step>; 2],
}

/// Two specs at a venue by its index.
///
/// # None
/// One of them cannot be driven there.
pub fn strip(
    study: &Study,
    engines: &Engines,
    outcome: &Outcome,
    index: usize,
    specs: [usize; 2],
) -> Option<Strip> {
    let entry = &study.entries[index];
    let cells = &outcome.venues[index].road.as_ref().ok()?.cells;
    let drive = |spec| {
        let variant = variant(study, engines, entry, spec, Setup::FITTED);
        Driving::of(&variant, entry, cells, Choice::AsDriven).ok()
    };
    let driven = [drive(specs[0])?, drive(specs[1])?];
    let course = &entry.course;
    let corner = |cell: usize| {
        let section = &course.sections[cells.cells[cell].section as usize];
        let place = &course.places[section.place];
        // A chicane may stand on a straight, by its name.
        place.corner || section.cap.is_some() && place.named
    };
    Some(Strip {
        specs,
        runs: runs(cells, corner, driven[0].side(), driven[1].side()),
        exits: [&driven[0], &driven[1]].map(|one| {
            let found = exits(&one.tape.records, &one.revs()).into_iter();
            let mut left: Vec<(Exit, String)> = Vec::new();
            for exit in found {
                let at = slower(cells, exit.cell as usize);
                let name = corner_before(cells, corner, at);
                // A corner of many sections is left once.
                if left.last().is_some_and(|(_, before)| *before == name) && corner(at) {
                    left.pop();
                }
                left.push((exit, name));
            }
            left
        }),
        limit_speeds: {
            let per_speed = driven[0].revs().rpm_per_speed;
            per_speed
                .iter()
                .map(|rpm| engines.rev_limit_rpm / rpm)
                .collect()
        },
        traces: [&driven[0], &driven[1]]
            .map(|one| trace(&one.tape.records, &one.revs(), cells, SPACING)),
    })
}

/// The two specs that a venue's answer is about: the leader of the verdict and the next, otherwise
/// the two quickest.
///
/// # None
/// Fewer than two can be driven.
pub fn rivals(outcome: &Outcome, certainty: &[Certainty], index: usize) -> Option<[usize; 2]> {
    let verdict = certainty.get(index).and_then(|c| c.verdict.as_ref());
    if let Some(verdict) = verdict {
        return Some([verdict.leader, verdict.next]);
    }
    match outcome.venues[index].order(SpecRun::time)[..] {
        [(first, _), (second, _), ..] => Some([first, second]),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::run;
    use super::super::tests::{engines, entry, study};
    use super::*;
    use crate::venue::Start;
    use approx::assert_relative_eq;

    /// Differences of the runs are the gap, whichever spec comes first.
    #[test]
    fn runs_add_up_to_the_gap() {
        let (study, engines) = (study(vec![entry("tarmac")]), engines());
        let outcome = run(&study, &engines);
        let order = outcome.venues[0].order(SpecRun::time);
        let [(a, first), (b, second)] = order[..] else {
            panic!("two specs")
        };
        let one = strip(&study, &engines, &outcome, 0, [a, b]).unwrap();
        let other = strip(&study, &engines, &outcome, 0, [b, a]).unwrap();
        let sum: f64 = one.runs.iter().map(Run::gain).sum();
        assert_relative_eq!(sum, second - first, epsilon = 1e-9);
        let times: f64 = one.runs.iter().map(|run| run.times[0]).sum();
        assert_relative_eq!(times, first, epsilon = 1e-9);
        for (run, turned) in one.runs.iter().zip(&other.runs) {
            assert_relative_eq!(run.gain(), -turned.gain(), epsilon = 1e-9);
        }
        let length: f64 = one.runs.iter().map(|run| run.length).sum();
        assert_relative_eq!(length, outcome.venues[0].length, max_relative = 1e-9);
    }

    /// A flying lap begins at its slowest corner; its runs are told from the line on.
    #[test]
    fn a_flying_lap_is_told_in_the_order_of_the_road() {
        let mut lap = entry("tarmac");
        lap.course.start = Start::Flying;
        let (study, engines) = (study(vec![lap]), engines());
        let outcome = run(&study, &engines);
        let strip = strip(&study, &engines, &outcome, 0, [0, 1]).unwrap();
        assert!(
            strip
                .runs
                .windows(2)
                .all(|pair| pair[0].from < pair[1].from)
        );
        let gap =
            outcome.venues[0].specs[1].time().unwrap() - outcome.venues[0].specs[0].time().unwrap();
        let sum: f64 = strip.runs.iter().map(Run::gain).sum();
        assert_relative_eq!(sum, gap, epsilon = 1e-9);
        for trace in &strip.traces {
            assert!(
                trace
                    .windows(2)
                    .all(|pair| pair[0].distance <= pair[1].distance)
            );
        }
    }
}
