//! `pullrank gearing STUDY`.

use std::path::PathBuf;

use super::{Console, Failure, Format, FormatArguments, inputs, known};
use crate::files::finding::{Finding, Position};
use crate::files::study as study_file;
use crate::report::gearing::{self as report, Answer, InFull};
use crate::study::ideal::Bench;
use crate::study::run::{run_with, variant};
use crate::study::{Engines, Outcome, Setup, SpecRun, Study, corners, gearing};

/// Which final drive, gear set and tyre size suits each spec at each venue, and what to mind with it
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
    let outcome = run_with(&study, &engines, Setup::offered_on_tyres(&study.car));
    inputs::all_failed(&study, &outcome, &arguments.study)?;
    let suited: Vec<_> = (0..study.entries.len())
        .map(|index| gearing::suited(&study, &engines, &outcome, index))
        .collect();
    let in_full = chosen.and_then(|index| in_full(&study, &engines, &outcome, index));
    let answer = Answer {
        study: &study,
        engines: &engines,
        outcome: &outcome,
        suited: &suited,
        in_full: in_full.as_ref(),
    };
    console.print(&match (arguments.format.format(), chosen) {
        (Format::Json, _) => report::json(&answer),
        (Format::Csv, _) => report::csv(&answer),
        (Format::Text, Some(venue)) => report::detail(&answer, venue, console.out),
        (Format::Text, None) => report::overview(&answer, console.out),
    })
}

/// The quickest spec of a venue with the gears that would suit it best and the seconds with them, and
/// with other tyres.
fn in_full(study: &Study, engines: &Engines, outcome: &Outcome, index: usize) -> Option<InFull> {
    let venue = &outcome.venues[index];
    let (spec, _) = *venue.order(SpecRun::time).first()?;
    let bench = Bench {
        study,
        engines,
        entry: &study.entries[index],
        cells: &venue.road.as_ref().ok()?.cells,
        spec,
    };
    let (gears, time) = bench.gears()?;
    let setup = outcome.offered[venue.specs[spec].best?];
    let geared = variant(study, engines, bench.entry, spec, setup);
    Some(InFull {
        spec,
        gears: gears.ratios,
        time,
        tyres: bench.tyres(),
        corners: corners::corner_gears(&geared, bench.entry, bench.cells).ok()?,
    })
}
