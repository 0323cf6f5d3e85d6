//! A study as every command starts with it: read, its engines made, its known times put to use.

use std::path::Path;

use super::{Console, Failure, inputs, known};
use crate::files::finding::{Finding, Findings, Position};
use crate::files::study as study_file;
use crate::study::{Engines, Study};

/// A study that can be driven.
pub struct Ready {
    /// The study, with the driver's shares solved where a time is known.
    pub study: Study,
    /// Its specs.
    pub engines: Engines,
    /// What was found while reading; already told.
    pub found: Findings,
    /// The study as it was named, for people.
    pub path: String,
}

impl Ready {
    /// Reads a study's file or folder.
    ///
    /// # Errors
    /// An input is at fault.
    pub fn read(path: &Path, console: &Console) -> Result<Self, Failure> {
        Self::choosing(path, console, |_| Ok(())).map(|(ready, ())| ready)
    }

    /// As [`Ready::read`]; `choose` finds what the command line names before anything is told or
    /// worked out, and may leave out venues.
    ///
    /// # Errors
    /// An input is at fault, or the command line names what the study does not have.
    pub fn choosing<T>(
        path: &Path,
        console: &Console,
        choose: impl FnOnce(&mut Study) -> Result<T, Failure>,
    ) -> Result<(Self, T), Failure> {
        let (mut study, found) = inputs::read(|found| study_file::read(path, found))?;
        let chosen = choose(&mut study)?;
        console.findings(&found);
        let engines = engines(&study, path).map_err(|finding| Failure::from(*finding))?;
        known::solve(&mut study, &engines, path)?;
        let ready = Self {
            study,
            engines,
            found,
            path: path.display().to_string(),
        };
        Ok((ready, chosen))
    }
}

/// The specs of a study.
///
/// # Errors
/// No curve can be made of the pulls of one.
pub fn engines(study: &Study, path: &Path) -> Result<Engines, Box<Finding>> {
    Engines::of(&study.test_day, &study.compared, study.car.rev_limit_rpm)
        .map_err(|error| Box::new(Finding::error(error.to_string()).at(Position::file(path))))
}

/// The venue that the command line names, where it names one.
///
/// # Errors
/// The study has no such venue, or several.
pub fn venue(study: &Study, name: Option<&str>) -> Result<Option<usize>, Failure> {
    let names = study.entries.iter().map(|e| e.name.as_str());
    name.map(|name| inputs::named(name, "venue", names))
        .transpose()
}
