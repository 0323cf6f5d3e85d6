//! `pullrank gearing STUDY`.

use std::path::PathBuf;

use super::{Console, Failure, Format, FormatArguments, inputs, known};
use crate::files::finding::{Finding, Position};
use crate::files::study as study_file;
use crate::report::gearing::{self as report, Answer};
use crate::study::{self, Engines, gearing};

/// Which final drive and gear set suits each spec at each venue, and what to mind with it
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  pullrank gearing examples/club-season.yaml\n  \
                        pullrank gearing examples/club-season.yaml --venue vennick"
)]
pub struct Arguments {
    /// The study file, or a folder that holds one car, one test day and tracks
    study: PathBuf,
    /// Show every gearing at one venue
    #[arg(long, value_name = "NAME")]
    venue: Option<String>,
    #[command(flatten)]
    format: FormatArguments,
}

/// Compares the gearings of a study.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let (mut study, found) = inputs::read(|found| study_file::read(&arguments.study, found))?;
    let chosen = match &arguments.venue {
        Some(name) => {
            let names = study.entries.iter().map(|e| e.course.name.as_str());
            Some(inputs::named(name, "venue", names)?)
        }
        None => None,
    };
    console.findings(&found);
    let engines = Engines::of(&study.test_day, &study.compared, study.car.rev_limit_rpm)
        .map_err(|error| Finding::error(error.to_string()).at(Position::file(&arguments.study)))?;
    known::solve(&mut study, &engines, &arguments.study)?;
    let outcome = study::run(&study, &engines);
    inputs::all_failed(&study, &outcome, &arguments.study)?;
    let suited: Vec<_> = (0..study.entries.len())
        .map(|index| gearing::suited(&study, &engines, &outcome, index))
        .collect();
    let answer = Answer {
        study: &study,
        engines: &engines,
        outcome: &outcome,
        suited: &suited,
    };
    console.print(&match (arguments.format.format(), chosen) {
        (Format::Json, _) => report::json(&answer),
        (Format::Csv, _) => report::csv(&answer),
        (Format::Text, Some(venue)) => report::detail(&answer, venue, console.out),
        (Format::Text, None) => report::overview(&answer, console.out),
    })
}
