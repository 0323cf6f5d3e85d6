//! `pullrank rank STUDY`.

use std::path::PathBuf;

use super::ready::{self, Ready};
use super::{Console, DrawArguments, Failure, Format, FormatArguments, inputs};
use crate::files::finding::{Findings, Severity};
use crate::report::rank::{self as report, Answer};
use crate::study::accuracy::accuracy;
use crate::study::first_gear::otherwise;
use crate::study::schedules::schedules;
use crate::study::{self, SpecRun, assumed, gains, season, times, trade_offs};

/// Rank engine specs at each venue: by how much, how surely, why
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  pullrank rank examples/club-season.yaml\n  \
                        pullrank rank examples/club-season.yaml --venue threnlow"
)]
pub struct Arguments {
    /// The study file, or a folder with it or with its car, day and tracks
    study: PathBuf,
    /// Show one venue in full
    #[arg(long, value_name = "NAME")]
    venue: Option<String>,
    /// Show every venue in full, with seconds in each rpm band
    #[arg(long)]
    bands: bool,
    /// Show what changes to the car are worth at every venue
    #[arg(long, conflicts_with_all = ["bands", "venue"])]
    trade_offs: bool,
    /// Also print what a road cut more finely would change
    #[arg(long)]
    accuracy: bool,
    #[command(flatten)]
    drawn: DrawArguments,
    #[command(flatten)]
    format: FormatArguments,
}

/// Ranks the specs of a study.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let (ready, chosen) = Ready::choosing(&arguments.study, console, |study| {
        ready::venue(study, arguments.venue.as_deref())
    })?;
    let Ready {
        study,
        engines,
        found,
        path,
    } = ready;
    let outcome = study::run(&study, &engines);
    let faults = inputs::undriven(&study, &outcome, &arguments.study);
    if outcome
        .venues
        .iter()
        .all(|venue| venue.order(SpecRun::time).is_empty())
    {
        return Err(Failure::Input(faults));
    }
    let plan = arguments.drawn.plan(&study, &engines, &outcome)?;
    let rounds = 1 + u64::from(season::asks_for_more(&study));
    let progress = console.progress(plan.draws * rounds);
    let step = || progress.step();
    let times = times::drive(&study, &engines, &outcome, &plan, step);
    let season = season::verdict(&study, &engines, &outcome, &times, step);
    progress.finish();
    let certainty = study::certainties(&study, &engines, &outcome, &times);
    let gains = gains::all(&study, &engines, &outcome);
    let format = arguments.format.format();
    let wanted = |venue: usize| match (format, chosen) {
        (Format::Csv, _) => arguments.trade_offs,
        (Format::Text, Some(chosen)) => venue == chosen,
        (Format::Text, None) => arguments.trade_offs || arguments.bands,
        (Format::Json, _) => true,
    };
    let trade_offs = trade_offs::all(&study, &engines, &outcome, wanted);
    let moves = assumed::moves(&study, &engines, &outcome, &keys(&found));
    let first_gear = match format == Format::Text && found.assumes("first_gear") {
        true => (0..study.entries.len())
            .map(|index| wanted(index).then(|| otherwise(&study, &engines, &outcome, index))?)
            .collect(),
        false => Vec::new(),
    };
    let schedules = schedules(&study, &engines, &outcome);
    let accuracy = match arguments.accuracy {
        true => accuracy(&study, &engines, &outcome),
        false => Vec::new(),
    };
    let answer = Answer {
        study: &study,
        engines: &engines,
        outcome: &outcome,
        gains: &gains,
        trade_offs: &trade_offs,
        schedules: &schedules,
        accuracy: &accuracy,
        plan: &plan,
        certainty: &certainty,
        season: season.as_ref(),
        moves: &moves,
        first_gear: &first_gear,
        findings: &found,
        path: &path,
    };
    let mut out = match (format, chosen) {
        (Format::Json, _) => report::json(&answer),
        (Format::Csv, _) if arguments.trade_offs => report::trade_offs_csv(&answer),
        (Format::Csv, _) if arguments.bands => report::bands_csv(&answer),
        (Format::Csv, _) => report::csv(&answer),
        (Format::Text, Some(venue)) => report::detail(&answer, venue, true, console.out),
        (Format::Text, None) if arguments.trade_offs => report::trade_offs(&answer),
        (Format::Text, None) if arguments.bands => (0..study.entries.len())
            .map(|venue| report::detail(&answer, venue, false, console.out))
            .collect::<Vec<String>>()
            .join("\n"),
        (Format::Text, None) => report::overview(&answer, console.out),
    };
    if arguments.accuracy && format == Format::Text {
        out.push('\n');
        out.push_str(&report::accuracy(&answer));
    }
    console.print(&out)?;
    if faults.is_empty() {
        return Ok(());
    }
    Err(Failure::Input(faults))
}

/// The keys that were assumed, each once.
pub fn keys(found: &Findings) -> Vec<&str> {
    let mut keys: Vec<&str> = found
        .of(Severity::Assumed)
        .filter_map(|f| f.key.as_deref())
        .collect();
    keys.sort_unstable();
    keys.dedup();
    keys
}
