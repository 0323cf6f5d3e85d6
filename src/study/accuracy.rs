//! How far the numbers are from those of a finer road.

use rayon::prelude::*;

use super::engines::Engines;
use super::run::{Outcome, SpecRun, time, variant};
use super::setup::Setup;
use super::{Entry, Study};
use crate::lap::Cells;

/// What halving every cell changes at one venue. The step is of fourth order, but kinks of a curve
/// and events are not, so the change itself is given as the error, not a fraction of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accuracy {
    /// Cells the venue is driven in.
    pub cells: usize,
    /// Mean length of a cell, m.
    pub mean_length: f64,
    /// Largest change of a spec's time, s.
    pub time: f64,
    /// Change of the gap between the two quickest specs, s; `None` where fewer than two are driven.
    pub gap: Option<f64>,
}

/// The accuracy at every entry; `None` where nothing could be driven.
pub fn accuracy(study: &Study, engines: &Engines, outcome: &Outcome) -> Vec<Option<Accuracy>> {
    let entries = study.entries.par_iter().enumerate();
    entries
        .map(|(index, entry)| at(study, engines, outcome, index, entry))
        .collect()
}

fn at(
    study: &Study,
    engines: &Engines,
    outcome: &Outcome,
    index: usize,
    entry: &Entry,
) -> Option<Accuracy> {
    let venue = &outcome.venues[index];
    let cells = &venue.road.as_ref().ok()?.cells;
    let finer = cells.halved();
    let drive = |spec: usize, cells: &Cells| {
        time(
            &variant(study, engines, entry, spec, Setup::FITTED),
            entry,
            cells,
        )
        .ok()
    };
    let change = |spec: usize| Some(drive(spec, &finer)? - drive(spec, cells)?);
    let order = venue.order(SpecRun::time);
    let changes: Vec<f64> = order.iter().filter_map(|&(spec, _)| change(spec)).collect();
    let gap = match changes[..] {
        [first, second, ..] => Some((second - first).abs()),
        _ => None,
    };
    Some(Accuracy {
        cells: cells.len(),
        mean_length: cells.length() / cells.len() as f64,
        time: changes.iter().fold(0.0_f64, |worst, c| worst.max(c.abs())),
        gap,
    })
}
