//! `pullrank report STUDY`.

use std::path::{Path, PathBuf};

use super::worked::{Asked, Worked};
use super::{Console, DrawArguments, Failure, inputs};
use crate::files::write::{Existing, Target};
use crate::report::page::{self, Input};

/// Largest file whose text goes into the page, bytes.
const LARGEST: u64 = 200_000;

/// The whole answer as one file that opens in any browser: charts, reasons, inputs
#[derive(Debug, clap::Args)]
#[command(after_help = "Example: pullrank report examples/club-season.yaml -o report.html")]
pub struct Arguments {
    /// The study file, or a folder that holds one car, one test day and tracks
    study: PathBuf,
    /// The file to write
    #[arg(short, long, value_name = "FILE")]
    output: PathBuf,
    /// Write each chart alone into a folder too
    #[arg(long, value_name = "DIR")]
    svg: Option<PathBuf>,
    /// Write over files that are there
    #[arg(long)]
    force: bool,
    #[command(flatten)]
    drawn: DrawArguments,
}

/// Writes the report of a study.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let existing = match arguments.force {
        true => Existing::Replace,
        false => Existing::Keep,
    };
    let folder = arguments
        .svg
        .as_deref()
        .map(inputs::charts_folder)
        .transpose()?;
    let target = Target::open(&arguments.output, existing)?;
    let asked = Asked {
        study: &arguments.study,
        drawn: &arguments.drawn,
        venue: None,
        spec: None,
    };
    let worked = Worked::out(&asked, console)?;
    let files: Vec<Input> = worked
        .found
        .files()
        .iter()
        .map(|path| input(path))
        .collect();
    let command = command(arguments);
    let page = worked.page(&files, &command);
    if let Some(folder) = &folder {
        let charts = page::charts(&page).into_iter();
        let opened: Vec<(Target, String)> = charts
            .map(|chart| Ok((Target::open(&folder.join(chart.file), existing)?, chart.svg)))
            .collect::<Result<_, Failure>>()?;
        for (target, svg) in opened {
            target.write(svg.as_bytes())?;
        }
    }
    let html = page::html(&page).map_err(inputs::template)?;
    target.write(html.as_bytes())?;
    console.print(&format!(
        "{}: {} kB, opens in any browser.\n",
        arguments.output.display(),
        html.len().div_ceil(1000)
    ))?;
    worked.faults(&arguments.study)
}

/// The command line that makes the page again.
fn command(arguments: &Arguments) -> String {
    use crate::report::format::shell_word;
    let output = arguments.output.file_name().unwrap_or_default();
    let output = output.to_string_lossy();
    let mut text = format!(
        "pullrank report {} -o {}",
        shell_word(&arguments.study.display().to_string()),
        shell_word(&output),
    );
    text.push_str(&arguments.drawn.words());
    text
}

/// A file with its text, as it is now.
fn input(path: &Path) -> Input {
    let size = std::fs::metadata(path).map_or(0, |data| data.len());
    let text = match size <= LARGEST {
        true => std::fs::read_to_string(path).ok(),
        false => None,
    };
    Input {
        name: path.display().to_string(),
        size: size as usize,
        text,
    }
}
