//! `pullrank new DIR`.

use std::path::PathBuf;

use super::{Console, Failure, inputs};
use crate::files::finding::Findings;
use crate::files::starter::{self, GearSpeed, Starter};
use crate::files::testday::SPEEDS;
use crate::files::write;
use crate::report::starter::{self as report, Sheet};
use crate::units::{self, SPEED};

/// A folder to start from: a study that runs, every key explained
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Without --pulls two invented specs stand in, and the car and the roads are invented \
                  too.\n\n\
                  Examples:\n  pullrank new my-study\n  \
                  pullrank new my-study --pulls dyno/long dyno/short"
)]
pub struct Arguments {
    /// The folder to make; one that is there must be empty
    #[arg(value_name = "DIR")]
    folder: PathBuf,
    /// Folders of pulls, or tables, each a spec of that name; they are copied
    #[arg(long, value_name = "FOLDER", num_args = 1.., action = clap::ArgAction::Append)]
    pulls: Vec<PathBuf>,
    /// What 1,000 rpm are in the gear used, where pulls have road speed in place of rpm
    #[arg(long, value_name = "SPEED", value_parser = speed, requires = "pulls")]
    speed_per_1000_rpm: Option<GearSpeed>,
}

/// A road speed with its unit.
fn speed(text: &str) -> Result<GearSpeed, String> {
    let wanted = "write a speed with its unit, as in \"26.1 km/h\"";
    let si = units::read(text, &SPEED, None).map(|reading| reading.si);
    si.ok()
        .filter(|si| SPEEDS.contains(si))
        .map(|si| GearSpeed {
            written: text.trim().to_owned(),
            si,
        })
        .ok_or_else(|| wanted.to_owned())
}

/// Makes the folder.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let folder = &arguments.folder;
    let name = folder.file_name().unwrap_or_default().to_string_lossy();
    let (starter, found) = match arguments.pulls.as_slice() {
        [] => (Starter::invented(&name), Findings::new()),
        pulls => {
            let speed = arguments.speed_per_1000_rpm.as_ref();
            inputs::read(|found| Starter::of_pulls(&name, pulls, speed, found))?
        }
    };
    let files: Vec<(PathBuf, Vec<u8>)> = starter
        .parts
        .iter()
        .map(|part| (part.path.clone(), part.bytes.clone()))
        .collect();
    write::folder(folder, &files, |written| {
        let faults: Findings = starter::faults(written, folder);
        match faults.is_empty() {
            true => Ok(()),
            false => Err(Failure::Input(faults)),
        }
    })?;
    console.findings(&found);
    let sheet = Sheet {
        folder: folder.display().to_string(),
        specs: &starter.specs,
        copied: starter.copied,
        blanks: starter
            .blanks(folder)
            .into_iter()
            .map(|blank| (blank.position, blank.with))
            .collect(),
    };
    console.print(&report::text(&sheet, console.out))
}
