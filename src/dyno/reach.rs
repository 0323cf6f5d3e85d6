//! How far up the pulls of each spec reach.

use super::reduce::Reduced;
use super::testday::TestDay;

/// Pulls that end farther below others were cut, or lifted off, rpm: at the 300 to 500 rpm/s of usual sweeps two
/// that end by the same hand or limiter are 0.2 s apart, some 100 rpm (common practice, no source).
const SHORT_RPM: f64 = 150.0;

/// The top of a spec's curve that not all of its pulls reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThinTop {
    /// Index of the spec.
    pub spec: usize,
    /// Where its shortest pull ends, rpm.
    pub above_rpm: f64,
    /// How many of its pulls go on.
    pub reach: usize,
    /// How many it has.
    pub pulls: usize,
}

/// A spec whose pulls a limiter ended while others went on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// Index of the spec.
    pub spec: usize,
    /// Where the limiter cut in, rpm: the highest of its pulls.
    pub at_rpm: f64,
    /// Where its curve ends, rpm.
    pub last_rpm: f64,
    /// Where the longest curve ends, rpm.
    pub others_rpm: f64,
}

impl Reduced {
    /// Above which engine speed fewer pulls of a spec tell of it than below, spec by spec where it is so.
    pub fn thin_tops(&self) -> Vec<ThinTop> {
        let last = |pull: &usize| self.pulls[*pull].curve.last_rpm();
        let specs = self.specs.iter().enumerate();
        specs
            .filter_map(|(index, spec)| {
                let shortest = spec.pulls.iter().map(last).fold(f64::INFINITY, f64::min);
                let beyond = |pull: &&usize| last(pull) > shortest + SHORT_RPM;
                (spec.curve.last_rpm() > shortest + SHORT_RPM).then(|| ThinTop {
                    spec: index,
                    above_rpm: shortest,
                    reach: spec.pulls.iter().filter(beyond).count(),
                    pulls: spec.pulls.len(),
                })
            })
            .collect()
    }

    /// The specs that a limiter kept from being measured as far as others, on the day they were pulled.
    pub fn cut(&self, day: &TestDay) -> Vec<Cut> {
        let last = |spec: usize| self.specs[spec].curve.last_rpm();
        let others_rpm = (0..self.specs.len()).map(last).fold(0.0, f64::max);
        let short = |spec: &usize| others_rpm - last(*spec) > SHORT_RPM;
        let cut = |spec: usize| {
            let pulls = day.specs[spec].counted();
            let at = pulls.filter_map(|(_, pull)| pull.handling.limited);
            Some(Cut {
                spec,
                at_rpm: at.max_by(f64::total_cmp)?,
                last_rpm: last(spec),
                others_rpm,
            })
        };
        (0..self.specs.len())
            .filter(short)
            .filter_map(cut)
            .collect()
    }
}
