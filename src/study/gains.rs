//! Where one spec beats another: the seconds between them, band of engine speed by band.
//!
//! With w what a N·m is worth at each speed ([`Worth`]), band by band the quicker spec wins
//! −½·(w of its own lap + w of the other's)·(its torque − the other's). Second-order effects of the
//! difference cancel in the mean; what is left of the gap (other schedules, places where the lap
//! changes its kind) is the rest.

use rayon::prelude::*;

use super::engines::Engines;
use super::run::{Outcome, SpecRun, variant};
use super::setup::Setup;
use super::unmeasured::{Unmeasured, bands};
use super::{Entry, Study};
use crate::explain::{Point, Worth};
use crate::lap::{Cells, LapError, Limits};
use crate::schedule::{Choice, search};

/// Seconds in one band of engine speed; positive where the quicker spec wins them.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandGain {
    /// Lower edge, rpm.
    pub low_rpm: f64,
    /// Upper edge, rpm.
    pub high_rpm: f64,
    /// Seconds that the quicker spec wins there; negative where it loses them.
    pub seconds: f64,
    /// No pull of one of the two reached it.
    pub unmeasured: bool,
}

/// The gap of two specs at a venue, as geared: the bands, the mass and the rest are the gap.
#[derive(Debug, Clone, PartialEq)]
pub struct BandGains {
    /// Index of the quicker spec.
    pub quicker: usize,
    /// Index of the slower one.
    pub slower: usize,
    /// Bands of 500 rpm, cut where the measured range begins and ends.
    pub bands: Vec<BandGain>,
    /// Seconds that the quicker spec wins by being the lighter; 0 where they weigh the same.
    pub mass: f64,
    /// What is left: changes of gear at other places, and places where the lap changes its kind.
    pub rest: f64,
    /// Seconds by which the quicker spec is quicker.
    pub gap: f64,
    /// Seconds that one of the two would win at engine speeds that its pulls reach and to which no spec is
    /// driven, because those of another end below; the more of both.
    pub beyond: f64,
    at: Vec<(f64, f64)>,
}

impl BandGains {
    /// Splits the gap of two specs at a venue in cells, as geared.
    ///
    /// # Errors
    /// Why one of them cannot be driven.
    pub fn between(
        study: &Study,
        engines: &Engines,
        (entry, cells): (&Entry, &Cells),
        (quicker, slower): (usize, usize),
    ) -> Result<Self, LapError> {
        let of = |spec: usize| worth(study, engines, (entry, cells), spec);
        let (own, other) = (of(quicker)?, of(slower)?);
        let (a, b) = (&engines.list[quicker], &engines.list[slower]);
        let more = |rpm: f64| a.curve.torque(rpm).max(0.0) - b.curve.torque(rpm).max(0.0);
        let won = |(p, q): (&Point, &Point)| (p.rpm, -0.5 * (p.per_nm + q.per_nm) * more(p.rpm));
        let at: Vec<(f64, f64)> = own.points.iter().zip(&other.points).map(won).collect();
        let per_kg = own.derivatives.mass + other.derivatives.mass;
        let mass = -0.5 * per_kg * (a.extra_mass - b.extra_mass);
        let measured = (
            a.curve.first_rpm().max(b.curve.first_rpm()),
            a.curve.last_rpm().min(b.curve.last_rpm()),
        );
        let bands: Vec<BandGain> = bands(measured, engines.limit_rpm)
            .into_iter()
            .map(|(low_rpm, high_rpm)| BandGain {
                low_rpm,
                high_rpm,
                seconds: within(&at, low_rpm, upper(high_rpm, engines.limit_rpm)),
                unmeasured: low_rpm < measured.0 || high_rpm > measured.1,
            })
            .collect();
        let gap = other.time - own.time;
        let further = [(quicker, own.time), (slower, other.time)].map(|(spec, time)| {
            won_beyond(study, engines, (entry, cells), (spec, time)).unwrap_or(0.0)
        });
        let sum: f64 = bands.iter().map(|band| band.seconds).sum();
        Ok(Self {
            quicker,
            slower,
            bands,
            mass,
            rest: gap - sum - mass,
            gap,
            beyond: further[0].max(further[1]),
            at,
        })
    }

    /// Seconds that the quicker spec wins from one engine speed up to another, rpm.
    pub fn within(&self, low_rpm: f64, high_rpm: f64) -> f64 {
        within(&self.at, low_rpm, high_rpm)
    }

    /// Seconds that the quicker spec wins at the speeds where it wins any.
    pub fn won(&self) -> f64 {
        self.at.iter().map(|(_, seconds)| seconds.max(0.0)).sum()
    }

    /// Seconds that it loses at the others.
    pub fn lost(&self) -> f64 {
        self.at.iter().map(|(_, seconds)| (-seconds).max(0.0)).sum()
    }

    /// How much of what lies between the two was never measured. What one of them would win where only its
    /// own pulls reach is as much a guess: the other might as well, or not.
    pub fn unmeasured(&self) -> Unmeasured {
        let sum = |keep: &dyn Fn(&BandGain) -> bool| -> f64 {
            let kept = self.bands.iter().filter(|band| keep(band));
            kept.map(|band| band.seconds.abs()).sum()
        };
        Unmeasured {
            outside: sum(&|band| band.unmeasured) + self.beyond,
            all: sum(&|_| true) + self.beyond,
        }
    }
}

/// Whether too much of what lies between two specs at a venue in cells, as geared, was never measured to name one of
/// them: `useful` is the smallest difference that anyone can use there, s. `false` where one cannot be driven.
pub fn not_measured(
    study: &Study,
    engines: &Engines,
    place: (&Entry, &Cells),
    pair: (usize, usize),
    useful: f64,
) -> bool {
    BandGains::between(study, engines, place, pair)
        .is_ok_and(|split| split.unmeasured().is_too_much(useful))
}

/// Seconds that a spec would win were it driven as far as its own pulls reach, of its `time` as it is driven
/// beside the others; 0 where that is as far. `None` where it cannot be driven so.
fn won_beyond(
    study: &Study,
    engines: &Engines,
    (entry, cells): (&Entry, &Cells),
    (spec, time): (usize, f64),
) -> Option<f64> {
    let Some(further) = engines.as_far_as(spec) else {
        return Some(0.0);
    };
    let variant = variant(study, &further, entry, spec, Setup::FITTED);
    let found = super::run::time(&variant, entry, cells).ok()?;
    Some((time - found).max(0.0))
}

/// The last band holds whatever lies at the limit or above it.
fn upper(high_rpm: f64, limit_rpm: f64) -> f64 {
    if high_rpm >= limit_rpm {
        f64::INFINITY
    } else {
        high_rpm
    }
}

fn within(at: &[(f64, f64)], low_rpm: f64, high_rpm: f64) -> f64 {
    let inside = at
        .iter()
        .filter(|(rpm, _)| (low_rpm..high_rpm).contains(rpm));
    inside.map(|(_, seconds)| seconds).sum()
}

/// What everything is worth on the lap of a spec at a venue in cells, as geared and driven.
///
/// # Errors
/// Why it cannot be driven.
pub fn worth(
    study: &Study,
    engines: &Engines,
    (entry, cells): (&Entry, &Cells),
    spec: usize,
) -> Result<Worth, LapError> {
    let variant = variant(study, engines, entry, spec, Setup::FITTED);
    let machine = variant.compile(&entry.course)?;
    let limits = Limits::new(&machine, cells)?;
    let found = search(&machine, cells, &limits, Choice::AsDriven)?;
    Worth::of(&variant, (&machine, cells, &limits), &found.schedule)
}

/// The gap of the two quickest specs at each venue, as geared, split; nothing where there are not two
/// that can be driven.
pub fn all(study: &Study, engines: &Engines, outcome: &Outcome) -> Vec<Option<BandGains>> {
    let entries = study.entries.par_iter().zip(&outcome.venues);
    entries
        .map(|(entry, venue)| {
            let order = venue.order(SpecRun::time);
            let pair = (order.first()?.0, order.get(1)?.0);
            let cells = &venue.road.as_ref().ok()?.cells;
            BandGains::between(study, engines, (entry, cells), pair).ok()
        })
        .collect()
}
