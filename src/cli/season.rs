//! `pullrank season STUDY` and `pullrank spend STUDY`.

use std::path::{Path, PathBuf};

use super::{Console, DrawArguments, Failure, Format, FormatArguments, inputs, known};
use crate::files::finding::{Finding, Position};
use crate::files::study as study_file;
use crate::report::season::{self as report, spend};
use crate::study::season::{self, Ground, Leg};
use crate::study::{Engines, Outcome, Study};

/// One spec all season or changes between events: the best plan, and what a compromise costs
#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  pullrank season examples/club-season.yaml")]
pub struct Arguments {
    /// The study file, or a folder that holds one car, one test day and tracks
    study: PathBuf,
    #[command(flatten)]
    drawn: DrawArguments,
    #[command(flatten)]
    format: FormatArguments,
}

/// What to spend the money on: everything that can be bought, by the seconds it wins over the season
#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  pullrank spend examples/club-season.yaml")]
pub struct SpendArguments {
    /// The study file, or a folder that holds one car, one test day and tracks
    study: PathBuf,
    #[command(flatten)]
    drawn: DrawArguments,
    #[command(flatten)]
    format: FormatArguments,
}

/// A study with the laps of its season.
struct Ready {
    study: Study,
    engines: Engines,
    legs: Vec<Leg>,
    roads: Outcome,
}

impl Ready {
    fn read(path: &Path, console: &Console) -> Result<Self, Failure> {
        let (mut study, found) = inputs::read(|found| study_file::read(path, found))?;
        console.findings(&found);
        let engines = Engines::of(&study.test_day, &study.compared, study.car.rev_limit_rpm)
            .map_err(|error| Finding::error(error.to_string()).at(Position::file(path)))?;
        known::solve(&mut study, &engines, path)?;
        let legs = season::legs(&study);
        let roads = season::roads(&study, &engines, &legs);
        Ok(Self {
            study,
            engines,
            legs,
            roads,
        })
    }

    fn ground(&self) -> Ground<'_> {
        Ground {
            study: &self.study,
            engines: &self.engines,
            legs: &self.legs,
            roads: &self.roads,
        }
    }
}

/// Works out a season.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let ready = Ready::read(&arguments.study, console)?;
    let ground = ready.ground();
    let plan = arguments
        .drawn
        .plan(&ready.study, &ready.engines, &ready.roads)?;
    let progress = console.progress(plan.draws);
    let season = season::season(&ground, &plan, || progress.step());
    progress.finish();
    let path = arguments.study.display().to_string();
    let answer = report::Answer {
        study: &ready.study,
        season: &season,
        plan: &plan,
        path: &path,
    };
    console.print(&match arguments.format.format() {
        Format::Json => report::json(&answer),
        Format::Csv => report::csv(&answer),
        Format::Text => report::text(&answer, console.out),
    })
}

/// Works out where to spend.
pub fn run_spend(arguments: &SpendArguments, console: &Console) -> Result<(), Failure> {
    let ready = Ready::read(&arguments.study, console)?;
    let ground = ready.ground();
    let plan = arguments
        .drawn
        .plan(&ready.study, &ready.engines, &ready.roads)?;
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
        Format::Text => spend::text(&answer, console.out),
    })
}
