//! `pullrank roads STUDY`.

use std::path::PathBuf;

use super::ready::{self, Ready};
use super::{Console, Failure, Format, FormatArguments, inputs};
use crate::files::finding::shell::shell_path;
use crate::files::write::{Existing, Target};
use crate::report::format::next;
use crate::report::roads::{self as report, Answer};
use crate::study::flip;

/// On which kinds of road, measured or not, one spec beats another
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  pullrank roads examples/club-season.yaml\n  \
                        pullrank roads examples/club-season.yaml --venue skarrow\n  \
                        pullrank roads examples/club-season.yaml --svg charts"
)]
pub struct Arguments {
    /// The study file, or a folder with it or with its car, day and tracks
    study: PathBuf,
    /// In the trim, on the surface and with the driver's habits of this venue instead of the first
    #[arg(long, value_name = "NAME")]
    venue: Option<String>,
    /// The spec to compare with, instead of the first
    #[arg(long, value_name = "NAME")]
    spec: Option<String>,
    /// The spec it is compared to, instead of the next
    #[arg(long, value_name = "NAME")]
    against: Option<String>,
    /// Write the map as a chart into a folder too
    #[arg(long, value_name = "DIR")]
    svg: Option<PathBuf>,
    /// Write over a chart that is there
    #[arg(long, requires = "svg")]
    force: bool,
    #[command(flatten)]
    format: FormatArguments,
}

/// Draws the map of two specs.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let folder = arguments.svg.as_deref().map(inputs::charts_folder);
    let folder = folder.transpose()?;
    let (ready, like) = Ready::choosing(&arguments.study, console, |study| {
        ready::venue(study, arguments.venue.as_deref())
    })?;
    let like = like.unwrap_or(0);
    let path = shell_path(&ready.path);
    let Ready {
        study,
        engines,
        found,
        ..
    } = ready;
    let specs = || engines.list.iter().map(|spec| spec.name.as_str());
    let named = |name: &Option<String>| match name {
        Some(name) => inputs::named(name, "spec", specs()).map(Some),
        None => Ok(None),
    };
    let (first, second) = (named(&arguments.spec)?, named(&arguments.against)?);
    let other = |spec: usize| (0..engines.list.len()).find(|&i| i != spec);
    let first = first.unwrap_or_else(|| usize::from(second == Some(0)));
    let Some(second) = second.or_else(|| other(first)).filter(|&s| s != first) else {
        return Err(Failure::CommandLine(
            "two different specs are needed: name them in the study, or with --spec and --against"
                .to_owned(),
        ));
    };
    if first >= engines.list.len() {
        return Err(Failure::CommandLine("the study has one spec".to_owned()));
    }
    let map = flip::map(&study, &engines, (first, second), like);
    let answer = Answer {
        study: &study,
        engines: &engines,
        map: &map,
    };
    if let Some(folder) = &folder {
        let existing = match arguments.force {
            true => Existing::Replace,
            false => Existing::Keep,
        };
        let chart = report::chart(&answer);
        let target = Target::open(&folder.join(chart.file), existing)?;
        target.spare(found.files())?;
        target.write(chart.svg.as_bytes())?;
    }
    console.print(&match arguments.format.format() {
        Format::Json => report::json(&answer),
        Format::Csv => report::csv(&answer),
        Format::Text => {
            let step = format!(
                "count a road's corners into a track file with a `sketch`; pullrank rank {path} then \
                 ranks it too."
            );
            report::text(&answer, console.out) + &next(&step)
        }
    })
}
