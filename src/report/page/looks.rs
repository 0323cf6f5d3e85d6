//! What specs and venues look like on the page: names, looks, bands.

use crate::report::chart::isolated;
use crate::report::rank::{Answer, Venue};
use crate::report::torque::{Line, speeds};

/// Which look a spec has: its place in the test day, so that every page of a day shows it alike.
pub fn look(answer: &Answer, spec: usize) -> usize {
    answer.study.compared[spec]
}

/// A spec's name, safe among other words.
pub fn name(answer: &Answer, spec: usize) -> String {
    isolated(answer.name(spec))
}

/// Most looks that the charts of a study need.
pub fn looks(answer: &Answer) -> usize {
    let most = answer.study.compared.iter().max();
    most.map_or(0, |most| most + 1)
}

/// A venue's name, safe among other words.
pub fn venue_name(venue: &Venue) -> String {
    isolated(venue.name())
}

/// A spec's torque with its band, as far as it was measured and the engine is driven.
pub fn line(answer: &Answer, spec: usize) -> Line {
    let engines = answer.engines;
    let curve = &engines.list[spec].curve;
    let row = engines.rows[spec];
    let at = |n: f64| {
        let torque = engines.day.torque(row, n);
        (n, [torque.value, torque.low, torque.high])
    };
    Line {
        look: look(answer, spec),
        name: answer.name(spec).to_owned(),
        points: speeds(curve.first_rpm(), curve.last_rpm())
            .into_iter()
            .map(at)
            .collect(),
    }
}
