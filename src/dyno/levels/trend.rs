//! A drift that the pulls of a day show against what is usual: heat that soaks in, fuel that ages, a part that wears.

use super::fit_with;
use super::model::Prior;
use super::t_quantile;
use crate::dyno::design::Design;

/// Chance that a day that drifts as usual shows one.
const FALSE_ALARM: f64 = 0.01;
/// Drift an hour that is nothing out of the ordinary where the pulls alone are asked, one standard deviation: thirty times
/// the usual, so that it holds back nothing that pulls show.
const ANY: f64 = 0.1;
/// Fewest repeats that tell one: one goes into the drift, another into first pulls, and one is left over.
const FEWEST: usize = 3;

/// A drift beyond what is usual.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trend {
    /// Per hour, as the pulls alone show it.
    pub per_hour: f64,
    /// Its standard error.
    pub error: f64,
}

/// The drift of a day where the usual one would hardly ever show so: by the pulls alone it lies outside what its
/// error and the usual drift make together.
pub fn of(design: &Design, y: &[f64], prior: &Prior) -> Option<Trend> {
    let repeats = design.len() - design.fittings();
    if repeats < FEWEST {
        return None;
    }
    let alone = Prior {
        effects: [prior.effects[0], ANY * ANY],
        ..*prior
    };
    let (per_hour, error) = fit_with(design.clone(), y, &alone).drift;
    // One of the repeats goes into the drift, another into first pulls.
    let df = (repeats - 2) as f64 + prior.pull.1;
    let limit = t_quantile(1.0 - 0.5 * FALSE_ALARM, df);
    let usual = (error * error + prior.effects[1]).sqrt();
    (per_hour.abs() > limit * usual).then_some(Trend { per_hour, error })
}

impl Trend {
    /// The prior under which such a drift is one standard deviation.
    pub fn believed(&self, prior: &Prior) -> Prior {
        let [first, usual] = prior.effects;
        Prior {
            effects: [first, usual.max(self.per_hour * self.per_hour)],
            ..*prior
        }
    }
}
