//! `pullrank results STUDY`.

use std::path::PathBuf;

use super::{Console, DrawArguments, Failure, Format, FormatArguments, inputs, known};
use crate::files::finding::{Finding, Findings, Position};
use crate::files::study as study_file;
use crate::report::results::{self as report, Answer};
use crate::study::{self, Engines, results};

/// After the event: predicted against driven, the driver's shares fitted again
#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  pullrank results examples/club-season.yaml")]
pub struct Arguments {
    /// The study file with `results`
    study: PathBuf,
    #[command(flatten)]
    drawn: DrawArguments,
    #[command(flatten)]
    format: FormatArguments,
}

/// Looks at the results of a study.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let (mut study, found) = inputs::read(|found| study_file::read(&arguments.study, found))?;
    console.findings(&found);
    if study.rules.results.is_empty() {
        let mut faults = Findings::new();
        let fault = Finding::error("no result is written")
            .at(Position::file(&arguments.study))
            .remedy("add `results: [{venue: Mill Lane, spec: long manifold, time: \"4:41.0\"}]`");
        faults.push(fault);
        return Err(Failure::Input(faults));
    }
    let engines = Engines::of(&study.test_day, &study.compared, study.car.rev_limit_rpm)
        .map_err(|error| Finding::error(error.to_string()).at(Position::file(&arguments.study)))?;
    known::solve(&mut study, &engines, &arguments.study)?;
    let outcome = study::run(&study, &engines);
    let plan = arguments.drawn.plan(&study, &engines, &outcome)?;
    let progress = console.progress(plan.draws);
    let review = results::review(&study, &engines, &plan, || progress.step());
    progress.finish();
    let answer = Answer {
        study: &study,
        engines: &engines,
        review: &review,
        plan: &plan,
    };
    console.print(&match arguments.format.format() {
        Format::Json => report::json(&answer),
        Format::Csv => report::csv(&answer),
        Format::Text => report::text(&answer, console.out),
    })
}
