//! Why one spec beats another: the seconds each wins where its curve is the stronger one.
//!
//! With M the curve that takes the stronger of both everywhere, the gap splits exactly:
//! T(B) − T(A) = [T(B) − T(M)] − [T(A) − T(M)], what A wins where it is stronger, less what B wins
//! where B is. All three are driven.

use rayon::prelude::*;

use super::engines::{Engines, SpecCurve};
use super::run::{Outcome, SpecRun, cells, time, variant};
use super::setup::Setup;
use super::{Entry, Study};
use crate::dyno::{Curve, CurveError, crossovers};

/// Distance between the points of the stronger-of-both curve, rpm.
const GRID_RPM: f64 = 25.0;

/// The gap of two specs split by who is stronger.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gains {
    /// Seconds the quicker spec wins where its torque is the higher.
    pub quicker: f64,
    /// Seconds the slower spec wins back where its torque is the higher.
    pub slower: f64,
}

impl Gains {
    /// Splits the gap of two specs at a venue, as geared; each is its index and its time.
    ///
    /// # None
    /// The lap with the stronger of both cannot be driven.
    pub fn between(
        study: &Study,
        engines: &Engines,
        entry: &Entry,
        quicker: (usize, f64),
        slower: (usize, f64),
    ) -> Option<Self> {
        let (a, b) = (&engines.list[quicker.0], &engines.list[slower.0]);
        let both = stronger_of(a, b, engines.limit_rpm).ok()?;
        let cells = cells(study, engines, entry).ok()?;
        let mut variant = variant(study, engines, entry, quicker.0, Setup::FITTED);
        variant.curve = &both.curve;
        let best = time(&variant, entry, &cells).ok()?;
        Some(Self {
            quicker: slower.1 - best,
            slower: quicker.1 - best,
        })
    }
}

/// The gap of the two quickest specs at each venue, as geared, split.
pub fn all(study: &Study, engines: &Engines, outcome: &Outcome) -> Vec<Option<Gains>> {
    study
        .entries
        .par_iter()
        .zip(&outcome.venues)
        .map(|(entry, venue)| {
            let order = venue.order(SpecRun::time);
            Gains::between(study, engines, entry, *order.first()?, *order.get(1)?)
        })
        .collect()
}

/// The engine that has the stronger torque of two at every speed up to `limit_rpm`; its parts weigh
/// as the first one's do.
///
/// # Errors
/// Never for curves of positive length.
pub fn stronger_of(
    first: &SpecCurve,
    second: &SpecCurve,
    limit_rpm: f64,
) -> Result<SpecCurve, CurveError> {
    let (a, b) = (&first.curve, &second.curve);
    let mut rpm: Vec<f64> = a.points().chain(b.points()).map(|(rpm, _)| rpm).collect();
    rpm.extend(crossovers(a, b).iter().map(|c| c.rpm));
    let low = a.first_rpm().min(b.first_rpm());
    let count = ((limit_rpm - low) / GRID_RPM).max(1.0).ceil() as usize;
    rpm.extend((0..=count).map(|i| low + (limit_rpm - low) * i as f64 / count as f64));
    rpm.sort_by(f64::total_cmp);
    // Points closer than this would make a slope out of rounding.
    rpm.dedup_by(|a, b| *a - *b < 0.01);
    let torque = rpm.iter().map(|&n| a.torque(n).max(b.torque(n))).collect();
    Ok(SpecCurve {
        name: format!("stronger of {} and {}", first.name, second.name),
        curve: Curve::new(rpm, torque)?,
        extra_mass: first.extra_mass,
        price: None,
    })
}
