//! `pullrank season STUDY` and `pullrank spend STUDY`.

use std::path::{Path, PathBuf};

use super::rank::keys;
use super::ready::Ready;
use super::{Console, DrawArguments, Failure, Format, FormatArguments};
use crate::files::finding::shell::shell_path;
use crate::report::format::next;
use crate::report::season::{self as report, spend};
use crate::study::Outcome;
use crate::study::season::{self, Ground, Leg};

/// One spec all season or changes between events, and their cost
#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  pullrank season examples/club-season.yaml")]
pub struct Arguments {
    /// The study file, or a folder with it or with its car, day and tracks
    study: PathBuf,
    #[command(flatten)]
    drawn: DrawArguments,
    #[command(flatten)]
    format: FormatArguments,
}

/// Draws for the list of purchases, which are driven anew for each of them; of gearings as many.
pub const SPENT: u64 = 400;

/// What to spend money on: all that is on offer by seconds won
#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  pullrank spend examples/club-season.yaml")]
pub struct SpendArguments {
    /// The study file, or a folder with it or with its car, day and tracks
    study: PathBuf,
    #[command(flatten)]
    drawn: DrawArguments,
    #[command(flatten)]
    format: FormatArguments,
}

/// A study with the laps of its season.
struct Laid {
    ready: Ready,
    legs: Vec<Leg>,
    roads: Outcome,
}

impl Laid {
    fn read(path: &Path, console: &Console) -> Result<Self, Failure> {
        let ready = Ready::read(path, console)?;
        let legs = season::legs(&ready.study);
        let roads = season::roads(&ready.study, &ready.engines, &legs);
        Ok(Self { ready, legs, roads })
    }

    fn ground(&self) -> Ground<'_> {
        Ground {
            study: &self.ready.study,
            engines: &self.ready.engines,
            legs: &self.legs,
            roads: &self.roads,
        }
    }
}

/// Works out a season.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let laid = Laid::read(&arguments.study, console)?;
    let (ready, ground) = (&laid.ready, laid.ground());
    let plan = arguments
        .drawn
        .plan(&ready.study, &ready.engines, &laid.roads)?;
    let progress = console.progress(plan.draws);
    let season = season::season(&ground, &plan, || progress.step());
    progress.finish();
    let moves = season::assumed_moves(&ground, &season, &keys(&ready.found));
    let answer = report::Answer {
        study: &ready.study,
        season: &season,
        moves: &moves,
        findings: &ready.found,
        plan: &plan,
        path: &ready.path,
    };
    console.print(&match arguments.format.format() {
        Format::Json => report::json(&answer),
        Format::Csv => report::csv(&answer),
        Format::Text => report::text(&answer, console.out),
    })
}

/// Works out where to spend.
pub fn run_spend(arguments: &SpendArguments, console: &Console) -> Result<(), Failure> {
    let laid = Laid::read(&arguments.study, console)?;
    let (ready, ground) = (&laid.ready, laid.ground());
    let plan = arguments
        .drawn
        .plan_or(SPENT, &ready.study, &ready.engines, &laid.roads)?;
    let progress = console.progress(plan.draws * season::driven_with_draws(&ready.study));
    let money = season::money(&ground, &plan, || progress.step());
    progress.finish();
    let answer = spend::Answer {
        study: &ready.study,
        money: &money,
        plan: &plan,
        useful: season::season_useful(&ground),
    };
    console.print(&match arguments.format.format() {
        Format::Json => spend::json(&answer),
        Format::Csv => spend::csv(&answer),
        Format::Text => {
            let path = shell_path(&ready.path);
            spend::text(&answer, console.out)
                + &next(&format!(
                    "pullrank gearing {path} shows which gears suit which venue."
                ))
        }
    })
}
