//! The answer to a study: which spec at which venue, by how much, and why.

mod accuracy;
mod band_table;
mod csv;
mod detail;
pub(super) mod gears;
mod json;
mod over_season;
mod overview;
mod sure;
mod sure_json;
pub(super) mod trade;
mod why;
pub(super) mod words;
mod worth_json;

pub use accuracy::accuracy;
pub use csv::{bands as bands_csv, csv, trade_offs as trade_offs_csv};
pub use detail::detail;
pub use json::json;
pub use overview::overview;
pub(super) use overview::{next, summary};
pub(super) use sure::{done, known, roads};
pub use trade::all as trade_offs;
pub(super) use why::why;

use crate::files::finding::Findings;
use crate::lap::LapError;
use crate::study::accuracy::Accuracy;
use crate::study::assumed::Moved;
use crate::study::first_gear::Otherwise;
use crate::study::schedules::Schedules;
use crate::study::season::SeasonVerdict;
use crate::study::{
    BandGains, Certainty, Engines, Entry, Outcome, Plan, SpecRun, Study, TradeOffs, VenueRun,
    Verdict, useful,
};

/// Width of the rpm bands that are shown, rpm.
pub(super) const BAND_RPM: f64 = 500.0;

/// Everything that was worked out for a study.
#[derive(Debug)]
pub struct Answer<'a> {
    /// The study.
    pub study: &'a Study,
    /// Its specs.
    pub engines: &'a Engines,
    /// What was driven.
    pub outcome: &'a Outcome,
    /// Per venue, the gap of its two quickest specs band by band.
    pub gains: &'a [Option<BandGains>],
    /// Per venue, what changes to the car are worth to its quickest spec.
    pub trade_offs: &'a [Option<TradeOffs>],
    /// Per venue and spec, as driven beside at best.
    pub schedules: &'a [Vec<Result<Schedules, LapError>>],
    /// Per venue, how far its numbers are from those of a finer road; empty where nobody asked.
    pub accuracy: &'a [Option<Accuracy>],
    /// What was drawn.
    pub plan: &'a Plan,
    /// Per venue, how sure its ranking is.
    pub certainty: &'a [Certainty],
    /// How sure the ranking is over all events as they count.
    pub season: Option<&'a SeasonVerdict>,
    /// What the assumptions could move, the largest first.
    pub moves: &'a [Moved],
    /// Per venue, what first gear would change where nobody says its use; empty where somebody does.
    pub first_gear: &'a [Option<Otherwise>],
    /// Everything found while reading.
    pub findings: &'a Findings,
    /// The study as it was named on the command line.
    pub path: &'a str,
}

/// One venue of an answer.
#[derive(Debug, Clone, Copy)]
pub(super) struct Venue<'a> {
    pub entry: &'a Entry,
    pub run: &'a VenueRun,
    pub gains: Option<&'a BandGains>,
    pub trade_offs: Option<&'a TradeOffs>,
    pub schedules: &'a [Result<Schedules, LapError>],
    pub accuracy: Option<&'a Accuracy>,
    pub certainty: Option<&'a Certainty>,
    pub first_gear: Option<&'a Otherwise>,
}

/// Two specs and what lies between them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Lead {
    pub quicker: usize,
    pub slower: usize,
    pub time: f64,
    pub gap: f64,
}

impl<'a> Answer<'a> {
    pub(super) fn venues(&self) -> impl Iterator<Item = Venue<'a>> {
        let (study, outcome) = (self.study, self.outcome);
        let (gains, trade_offs, certainty) = (self.gains, self.trade_offs, self.certainty);
        let (schedules, accuracy) = (self.schedules, self.accuracy);
        let first_gear = self.first_gear;
        (0..study.entries.len()).map(move |index| Venue {
            entry: &study.entries[index],
            run: &outcome.venues[index],
            gains: gains.get(index).and_then(Option::as_ref),
            trade_offs: trade_offs.get(index).and_then(Option::as_ref),
            schedules: schedules.get(index).map_or(&[], Vec::as_slice),
            accuracy: accuracy.get(index).and_then(Option::as_ref),
            certainty: certainty.get(index),
            first_gear: first_gear.get(index).and_then(Option::as_ref),
        })
    }

    pub(super) fn venue(&self, index: usize) -> Option<Venue<'a>> {
        self.venues().nth(index)
    }

    pub(super) fn name(&self, spec: usize) -> &'a str {
        &self.engines.list[spec].name
    }
}

impl<'a> Venue<'a> {
    /// How sure the ranking is as geared; nothing where the draws do not say.
    pub(super) fn verdict(&self) -> Option<&'a Verdict> {
        self.certainty?.verdict.as_ref()
    }

    /// The quickest spec and the next, by a time.
    pub(super) fn lead(&self, time: impl Fn(&SpecRun) -> Option<f64>) -> Option<Lead> {
        let order = self.run.order(time);
        let (first, second) = (order.first()?, order.get(1)?);
        Some(Lead {
            quicker: first.0,
            slower: second.0,
            time: first.1,
            gap: second.1 - first.1,
        })
    }

    /// The smallest difference that anyone can use here, s.
    pub(super) fn useful(&self) -> f64 {
        useful(self.entry.course.kind, self.run.length)
    }

    pub(super) fn name(&self) -> &'a str {
        &self.entry.name
    }
}
