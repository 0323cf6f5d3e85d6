//! `pullrank gearing STUDY`.

use std::path::PathBuf;

use super::ready::{self, Ready};
use super::season::SPENT;
use super::{Console, DrawArguments, Failure, Format, FormatArguments, inputs};
use crate::files::finding::shell::shell_path;
use crate::report::format::next;
use crate::report::gearing::{self as report, Answer, InFull};
use crate::study::gearing::sure::{not_measured, sure};
use crate::study::ideal::Bench;
use crate::study::run::{run_with, variant};
use crate::study::{Engines, Outcome, Setup, SpecRun, Study, corners, gearing};

/// Which final drive, gears and tyre size suit each spec, by venue
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  pullrank gearing examples/club-season.yaml\n  \
                        pullrank gearing examples/club-season.yaml --venue vennick"
)]
pub struct Arguments {
    /// The study file, or a folder with it or with its car, day and tracks
    study: PathBuf,
    /// Show every gearing at one venue
    #[arg(long, value_name = "NAME")]
    venue: Option<String>,
    #[command(flatten)]
    drawn: DrawArguments,
    #[command(flatten)]
    format: FormatArguments,
}

/// Compares the gearings of a study.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let (ready, chosen) = Ready::choosing(&arguments.study, console, |study| {
        ready::venue(study, arguments.venue.as_deref())
    })?;
    let path = shell_path(&ready.path);
    let assumed = ready.found.assumes("first_gear");
    let Ready { study, engines, .. } = ready;
    let outcome = run_with(&study, &engines, Setup::offered_on_tyres(&study.car));
    inputs::all_failed(&study, &outcome, &arguments.study)?;
    let suited: Vec<_> = (0..study.entries.len())
        .map(|index| gearing::suited(&study, &engines, &outcome, index))
        .collect();
    let plan = arguments.drawn.plan_or(SPENT, &study, &engines, &outcome)?;
    // Tables for machines hold no interval.
    let drawn = arguments.format.format() != Format::Csv;
    let wanted = |index| drawn && chosen.is_none_or(|only| only == index);
    let guessed = not_measured(&study, &engines, &outcome, &suited);
    let worked_out = (&outcome, &suited[..], &guessed[..]);
    let sure = sure(&study, &engines, worked_out, &plan, wanted);
    let in_full = chosen.and_then(|index| in_full(&study, &engines, &outcome, index));
    let first_gear = match assumed {
        true => gearing::with_first_gear(&study, &engines, &suited),
        false => Vec::new(),
    };
    let answer = Answer {
        first_gear: &first_gear,
        study: &study,
        engines: &engines,
        outcome: &outcome,
        suited: &suited,
        not_measured: &guessed,
        sure: &sure,
        plan: &plan,
        in_full: in_full.as_ref(),
    };
    console.print(&match (arguments.format.format(), chosen) {
        (Format::Json, _) => report::json(&answer),
        (Format::Csv, _) => report::csv(&answer),
        (Format::Text, Some(venue)) => {
            report::detail(&answer, venue, console.out)
                + &next(&format!(
                    "pullrank spend {path} sets it beside what else could be bought."
                ))
        }
        (Format::Text, None) => {
            report::overview(&answer, console.out)
                + &next(&format!(
                    "pullrank gearing {path} --venue NAME shows every gearing there."
                ))
        }
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
