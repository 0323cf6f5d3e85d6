//! `pullrank check PATH…`.

use std::path::{Path, PathBuf};

use super::{Console, Failure, inputs, known, ready};
use crate::files::check::{self as file_check};
use crate::files::finding::{Finding, Findings, Position};
use crate::report::check::{self as report, Checked};
use crate::report::results::asked;
use crate::study::results::odd;
use crate::study::{self, Setup, Study};

/// Every fault of any files at once, in the order to mend them
#[derive(Debug, clap::Args)]
#[command(
    after_help = "A study is read with all the files it names, and driven once.\n\n\
                  Example: pullrank check examples/club-season.yaml cars/plum-hatch/pulls/long-1.csv"
)]
pub struct Arguments {
    /// Files or folders of any kind
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,
    /// Write JSON to standard output
    #[arg(long)]
    json: bool,
}

/// Checks everything that is named. The findings are the result and go to standard output.
pub fn run(arguments: &Arguments, console: &Console) -> Result<(), Failure> {
    let checked: Vec<Checked> = arguments.paths.iter().map(|path| check(path)).collect();
    console.print(&match arguments.json {
        true => report::json(&checked),
        false => report::text(&checked, console.out),
    })?;
    match checked.iter().any(|one| one.findings.has_errors()) {
        true => Err(Failure::Input(Findings::new())),
        false => Ok(()),
    }
}

fn check(path: &Path) -> Checked {
    let file_check::Checked {
        what,
        mut findings,
        study,
    } = file_check::check(path);
    if let Some(study) = study {
        findings.append(drive(&study, path));
    }
    Checked {
        path: path.display().to_string(),
        what,
        findings,
    }
}

/// What only shows on the road: laps that cannot be driven.
fn drive(study: &Study, path: &Path) -> Findings {
    match ready::engines(study, path) {
        Ok(engines) => {
            let mut study = study.clone();
            let mut faults = known::unsolved(&mut study, &engines, path);
            faults.append(inputs::undriven(
                &study,
                &study::run::run_once(&study, &engines, vec![Setup::FITTED]),
                path,
            ));
            for one in asked(&study, &engines, &odd::of(&study, &engines)) {
                let found = Finding::warning(one.text).at(Position::file(path));
                faults.push(found.remedy(one.remedy));
            }
            faults
        }
        Err(finding) => {
            let mut found = Findings::new();
            found.push(*finding);
            found
        }
    }
}
