//! `pullrank results STUDY`.

use std::path::PathBuf;

use super::ready::Ready;
use super::{Console, DrawArguments, Failure, Format, FormatArguments};
use crate::files::finding::shell::shell_path;
use crate::files::finding::{Finding, Position};
use crate::report::format::next;
use crate::report::results::{self as report, Answer};
use crate::study::results::{Fitted, Kind, Reviewed};
use crate::study::{self, results};

/// After the event: predicted against driven, the driver refitted
#[derive(Debug, clap::Args)]
#[command(after_help = "Example:\n  pullrank results examples/club-season.yaml")]
pub struct Arguments {
    /// The study file with `results`, or the folder that holds it
    study: PathBuf,
    #[command(flatten)]
    drawn: DrawArguments,
    #[command(flatten)]
    format: FormatArguments,
}

/// Looks at the results of a study.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let ready = Ready::choosing(&arguments.study, console, |study| {
        if !study.rules.results.is_empty() {
            return Ok(());
        }
        let fault = Finding::error("no result is written")
            .at(Position::file(&arguments.study))
            .remedy("add `results: [{venue: Mill Lane, spec: long manifold, time: \"4:41.0\"}]`");
        Err(fault.into())
    });
    let (ready, ()) = ready?;
    let path = shell_path(&ready.path);
    let Ready { study, engines, .. } = ready;
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
        Format::Text => {
            let held = |event: &Reviewed| {
                let entry = &study.entries[event.result.entry];
                event.speeds_off(entry).is_some()
            };
            let beyond = |event: &Reviewed| {
                event.predicted.is_none() || matches!(event.share, Fitted::Quicker | Fitted::Slower)
            };
            let moves = review.kinds.iter().any(Kind::moves);
            let step = match moves {
                true => format!(
                    "write the shares into the study, then pullrank rank {path} predicts with them."
                ),
                false if review.events.iter().any(held) => format!(
                    "write the known times into the tracks, then pullrank rank {path} predicts with them."
                ),
                false if !review.kinds.is_empty() => {
                    "keep the shares as they are; another result says more.".to_owned()
                }
                false if !review.events.iter().any(beyond) => format!(
                    "pullrank rank {path} predicts the next event; its result says more."
                ),
                false => format!(
                    "look at what is named above, and at clock, road and spec; pullrank check \
                     {path} lists what was assumed."
                ),
            };
            report::text(&answer, console.out) + &next(&step)
        }
    })
}
