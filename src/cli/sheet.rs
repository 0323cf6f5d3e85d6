//! `pullrank sheet STUDY --venue NAME`.

use std::path::{Path, PathBuf};

use super::worked::{Asked, Worked};
use super::{Console, DrawArguments, Failure, inputs};
use crate::files::write::{Existing, Target};
use crate::report::page::sheet;

/// One page for the driver: gears out of corners, where to shift
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  pullrank sheet examples/club-season.yaml --venue threnlow\n  \
                        pullrank sheet examples/club-season.yaml --venue vennick -o sheet.html\n\n\
                  Not pace notes: learn it before, read nothing on the stage."
)]
pub struct Arguments {
    /// The study file, or a folder with it or with its car, day and tracks
    study: PathBuf,
    /// The venue
    #[arg(long, value_name = "NAME")]
    venue: String,
    /// The spec that is fitted [default: the one that is ahead]
    #[arg(long, value_name = "NAME")]
    spec: Option<String>,
    /// The file to write, as .html or .txt [default: text to standard output]
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// Write over a file that is there
    #[arg(long, requires = "output")]
    force: bool,
    #[command(flatten)]
    drawn: DrawArguments,
}

/// What a file is written as.
fn is_html(path: &Path) -> Result<bool, Failure> {
    let ending = path.extension().and_then(|e| e.to_str()).unwrap_or("");
    match ending.to_lowercase().as_str() {
        "html" | "htm" => Ok(true),
        "txt" | "text" => Ok(false),
        _ => Err(Failure::CommandLine(format!(
            "{}: end the name in .html or .txt",
            path.display()
        ))),
    }
}

/// Writes the driver's sheet.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let existing = match arguments.force {
        true => Existing::Replace,
        false => Existing::Keep,
    };
    let target = match &arguments.output {
        Some(path) => Some((is_html(path)?, Target::open(path, existing)?)),
        None => None,
    };
    let asked = Asked {
        study: &arguments.study,
        drawn: &arguments.drawn,
        venue: Some(&arguments.venue),
        spec: arguments.spec.as_deref(),
        target: target.as_ref().map(|(_, target)| target),
    };
    let worked = Worked::out(&asked, console)?;
    let page = worked.page(&[], "");
    match target {
        Some((true, target)) => {
            let html = sheet::html(&page, 0).map_err(inputs::template)?;
            target.write(html.as_bytes())?;
        }
        Some((false, target)) => target.write(sheet::text(&page, 0).as_bytes())?,
        None => console.print(&sheet::text(&page, 0))?,
    }
    worked.faults(&arguments.study)
}
