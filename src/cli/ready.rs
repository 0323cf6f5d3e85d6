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
    let Some(wanted) = name else {
        return Ok(None);
    };
    let entries = study.entries.iter();
    let names = entries.map(|entry| [&entry.name, &entry.called, &entry.course.name]);
    let names: Vec<[&str; 3]> = names.map(|names| names.map(String::as_str)).collect();
    match called(&names, wanted)[..] {
        [only] => Ok(Some(only)),
        ref found => {
            let own = names.iter().map(|[own, ..]| *own);
            Err(inputs::unfit(wanted, "venue", found.len(), own))
        }
    }
}

/// The venues that may be meant by a name or a part of it: each goes by a name of its own, by what the study calls
/// it and by what its track does. These go before what tells it from others.
fn called(names: &[[&str; 3]], wanted: &str) -> Vec<usize> {
    let folded = wanted.to_lowercase();
    let among = |which: usize, fits: &dyn Fn(&str) -> bool| -> Vec<usize> {
        let fitting = |i: &usize| fits(&names[*i][which].to_lowercase());
        (0..names.len()).filter(fitting).collect()
    };
    let whole = [0, 1, 2].map(|which| among(which, &|name| name == folded));
    let part = [1, 2, 0].map(|which| among(which, &|name| name.contains(&folded)));
    let found = whole.into_iter().chain(part).find(|some| !some.is_empty());
    found.unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn venues_are_found_by_any_of_their_names_before_what_tells_them_apart() {
        let names = [
            ["Mill spring (wet)", "Mill spring", "Mill Lanes"],
            ["Mill autumn", "Mill autumn", "Mill Lanes"],
            ["Wet Moor", "Wet Moor", "Wet Moor"],
            ["Ring (8 laps)", "Ring", "Ring"],
            ["Ring (10 laps)", "Ring", "Ring"],
        ];
        for (wanted, found) in [
            ("mill spring", vec![0]),
            ("Mill spring (wet)", vec![0]),
            ("autumn", vec![1]),
            ("wet", vec![2]),
            ("10 laps", vec![4]),
            ("mill lanes", vec![0, 1]),
            ("lanes", vec![0, 1]),
            ("ring", vec![3, 4]),
            ("moss", vec![]),
        ] {
            assert_eq!(called(&names, wanted), found, "{wanted}");
        }
    }
}
