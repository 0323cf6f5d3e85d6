//! Everything that a study's pages are made from, worked out once.

use std::path::Path;

use super::rank::keys;
use super::ready::{self, Ready};
use super::{Console, DrawArguments, Failure, inputs};
use crate::files::finding::Findings;
use crate::files::write::Target;
use crate::lap::LapError;
use crate::report::page::{Input, Page};
use crate::report::rank::Answer;
use crate::study::accuracy::{Accuracy, accuracy};
use crate::study::assumed::{Moved, moves};
use crate::study::drops::{self, Drop};
use crate::study::gains::{self, BandGains};
use crate::study::gearing::{Suited, suited};
use crate::study::runs::{Strip, rivals, strip};
use crate::study::schedules::{Schedules, schedules};
use crate::study::trade_offs::{self, TradeOffs};
use crate::study::{self, Certainty, Engines, Outcome, Plan, Setup, SpecRun, Study, season, times};

/// What the command line asks for.
pub struct Asked<'a> {
    /// The study's file or folder.
    pub study: &'a Path,
    /// What is drawn.
    pub drawn: &'a DrawArguments,
    /// The only venue that is wanted.
    pub venue: Option<&'a str>,
    /// The spec that comes first where two are set side by side.
    pub spec: Option<&'a str>,
    /// The file that will be written.
    pub target: Option<&'a Target>,
}

/// A study with everything that was worked out.
pub struct Worked {
    /// What was found while reading.
    pub found: Findings,
    /// The study.
    pub study: Study,
    /// Its specs.
    pub engines: Engines,
    /// What was driven.
    pub outcome: Outcome,
    /// What was drawn.
    pub plan: Plan,
    certainty: Vec<Certainty>,
    season: Option<season::SeasonVerdict>,
    gains: Vec<Option<BandGains>>,
    trade_offs: Vec<Option<TradeOffs>>,
    moves: Vec<Moved>,
    strips: Vec<Option<Strip>>,
    schedules: Vec<Vec<Result<Schedules, LapError>>>,
    accuracy: Vec<Option<Accuracy>>,
    suited: Vec<Vec<Suited>>,
    drops: Vec<(Setup, Vec<Drop>)>,
    /// The study as it was named.
    pub path: String,
}

impl Worked {
    /// Reads a study and works everything out.
    ///
    /// # Errors
    /// An input is at fault, or nothing can be driven.
    pub fn out(asked: &Asked, console: &Console) -> Result<Self, Failure> {
        let (ready, wanted) = Ready::choosing(asked.study, console, |study| {
            if let Some(index) = ready::venue(study, asked.venue)? {
                study.entries = vec![study.entries.swap_remove(index)];
            }
            let names = study.compared.iter();
            let names = names.map(|&spec| study.test_day.specs[spec].name.as_str());
            asked
                .spec
                .map(|name| inputs::named(name, "spec", names))
                .transpose()
        })?;
        let Ready {
            study,
            engines,
            found,
            path,
        } = ready;
        asked
            .target
            .map_or(Ok(()), |target| target.spare(found.files()))?;
        let outcome = study::run(&study, &engines);
        let driven = |venue: &study::VenueRun| !venue.order(SpecRun::time).is_empty();
        if !outcome.venues.iter().any(driven) {
            return Err(Failure::Input(inputs::undriven(
                &study,
                &outcome,
                asked.study,
            )));
        }
        let plan = asked.drawn.plan(&study, &engines, &outcome)?;
        let rounds = 1 + u64::from(season::asks_for_more(&study));
        let progress = console.progress(plan.draws * rounds);
        let step = || progress.step();
        let times = times::drive(&study, &engines, &outcome, &plan, step);
        let season = season::verdict(&study, &engines, &outcome, &times, step);
        progress.finish();
        let certainty = study::certainties(&study, &engines, &outcome, &times);
        let venues = 0..study.entries.len();
        Ok(Self {
            season,
            gains: gains::all(&study, &engines, &outcome),
            trade_offs: trade_offs::all(&study, &engines, &outcome, |_| true),
            moves: moves(&study, &engines, &outcome, &keys(&found)),
            strips: venues
                .clone()
                .map(|index| {
                    let specs = pair(rivals(&outcome, &certainty, index), wanted)?;
                    strip(&study, &engines, &outcome, index, specs)
                })
                .collect(),
            schedules: schedules(&study, &engines, &outcome),
            accuracy: accuracy(&study, &engines, &outcome),
            suited: venues
                .map(|index| suited(&study, &engines, &outcome, index))
                .collect(),
            drops: drops::offered(&study, engines.limit_rpm),
            path,
            found,
            plan,
            certainty,
            study,
            engines,
            outcome,
        })
    }

    /// What a page is made from.
    pub fn page<'a>(&'a self, inputs: &'a [Input], command: &'a str) -> Page<'a> {
        Page {
            answer: Answer {
                study: &self.study,
                engines: &self.engines,
                outcome: &self.outcome,
                gains: &self.gains,
                trade_offs: &self.trade_offs,
                schedules: &self.schedules,
                accuracy: &self.accuracy,
                plan: &self.plan,
                certainty: &self.certainty,
                season: self.season.as_ref(),
                moves: &self.moves,
                first_gear: &[],
                findings: &self.found,
                path: &self.path,
            },
            strips: &self.strips,
            schedules: &self.schedules,
            accuracy: &self.accuracy,
            suited: &self.suited,
            drops: &self.drops,
            season: None,
            spend: None,
            inputs,
            command,
        }
    }

    /// The faults of venues that could not be driven.
    ///
    /// # Errors
    /// There are some.
    pub fn faults(&self, path: &Path) -> Result<(), Failure> {
        let faults = inputs::undriven(&self.study, &self.outcome, path);
        match faults.is_empty() {
            true => Ok(()),
            false => Err(Failure::Input(faults)),
        }
    }
}

/// The two specs that are set side by side; the only one beside itself.
fn pair(rivals: Option<[usize; 2]>, wanted: Option<usize>) -> Option<[usize; 2]> {
    match (rivals, wanted) {
        (Some([first, second]), Some(spec)) if spec == second => Some([second, first]),
        (Some([first, _]), Some(spec)) if spec != first => Some([spec, first]),
        (Some(specs), _) => Some(specs),
        (None, wanted) => Some([wanted.unwrap_or(0); 2]),
    }
}
