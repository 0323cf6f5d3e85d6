//! As driven against at best: what a better schedule of gears would gain, where, and what shifting
//! early costs.

use rayon::prelude::*;

use super::driving::Driving;
use super::engines::Engines;
use super::run::{Outcome, time, variant};
use super::setup::Setup;
use super::{Entry, Study};
use crate::explain::{Advice, advice};
use crate::lap::{Cells, LapError, Variant};
use crate::schedule::Choice;

/// How much earlier than at the light "early" is, rpm.
pub const EARLY_RPM: f64 = 500.0;

/// One spec at one venue, as geared.
#[derive(Debug, Clone, PartialEq)]
pub struct Schedules {
    /// Seconds as the driver shifts.
    pub as_driven: f64,
    /// Seconds with the best schedule.
    pub at_best: f64,
    /// What the best schedule does otherwise and where, the largest gain first.
    pub advice: Vec<Advice>,
    /// Seconds lost by shifting [`EARLY_RPM`] before the light, or before the limit without one.
    pub early: f64,
}

/// Every spec at every entry of a study that was driven, in their orders.
pub fn schedules(
    study: &Study,
    engines: &Engines,
    outcome: &Outcome,
) -> Vec<Vec<Result<Schedules, LapError>>> {
    let entries = study.entries.par_iter().zip(&outcome.venues);
    entries
        .map(|(entry, venue)| {
            let specs = (0..engines.list.len()).into_par_iter();
            specs
                .map(|spec| {
                    let road = venue.road.as_ref().map_err(Clone::clone)?;
                    let variant = variant(study, engines, entry, spec, Setup::FITTED);
                    compare(&variant, entry, &road.cells)
                })
                .collect()
        })
        .collect()
}

/// Drives one variant as its driver does, at best, and with early shifts.
///
/// # Errors
/// Why it cannot be driven.
pub fn compare(variant: &Variant, entry: &Entry, cells: &Cells) -> Result<Schedules, LapError> {
    let drive = |choice| Driving::of(variant, entry, cells, choice);
    let (driven, best) = (drive(Choice::AsDriven)?, drive(Choice::AtBest)?);
    let (now, better) = (driven.side(), best.side());
    let advice = advice(&driven.machine, cells, now.driven, better.driven);
    Ok(Schedules {
        as_driven: driven.lap.time,
        at_best: best.lap.time.min(driven.lap.time),
        advice,
        early: early(variant, entry, cells)?,
    })
}

fn early(variant: &Variant, entry: &Entry, cells: &Cells) -> Result<f64, LapError> {
    let light = variant
        .habits
        .shift_light_rpm
        .unwrap_or(variant.limit_rpm)
        .min(variant.limit_rpm);
    let at = |rpm: f64| {
        let mut other = variant.clone();
        other.habits.shift_light_rpm = Some(rpm);
        time(&other, entry, cells)
    };
    Ok(at(light - EARLY_RPM)? - at(light)?)
}
