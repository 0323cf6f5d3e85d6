//! `pullrank results STUDY`.

use std::path::PathBuf;

use super::ready::Ready;
use super::{Console, DrawArguments, Failure, Format, FormatArguments};
use crate::files::finding::shell::shell_path;
use crate::files::finding::{Finding, Position};
use crate::report::format::next;
use crate::report::results::{self as report, Answer};
use crate::study::results::{Fitted, Kind, Review, Reviewed};
use crate::study::{self, Study, results};

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
        Format::Text => report::text(&answer, console.out) + &next(&step(&study, &review, &path)),
    })
}

/// What to do next.
fn step(study: &Study, review: &Review, path: &str) -> String {
    let held = |event: &Reviewed| {
        let entry = &study.entries[event.result.entry];
        event.speeds_off(entry).is_some()
    };
    let beyond = |event: &Reviewed| {
        let beyond = matches!(event.share, Fitted::Quicker | Fitted::Slower);
        event.result.set_aside.is_none() && (event.predicted.is_none() || beyond)
    };
    if !review.odd.is_empty() {
        return "answer what is asked above; until then the shares rest on all of these times."
            .to_owned();
    }
    if review.kinds.iter().any(Kind::moves) {
        return format!(
            "write the shares into the study, then pullrank rank {path} predicts with them."
        );
    }
    let grip = |event: &Reviewed| event.state.is_some_and(|state| state.moves());
    if review.events.iter().any(grip) {
        return format!(
            "write the grip named above into the tracks where it was assumed, then pullrank rank {path} predicts with it."
        );
    }
    if review.events.iter().any(held) {
        return format!(
            "write the known times into the tracks, then pullrank rank {path} predicts with them."
        );
    }
    if !review.kinds.is_empty() {
        return "keep the shares as they are; another result says more.".to_owned();
    }
    match review.events.iter().any(beyond) {
        true => format!(
            "look at what is named above, and at clock, road and spec; pullrank check {path} lists what was \
             assumed."
        ),
        false => format!("pullrank rank {path} predicts the next event; its result says more."),
    }
}
