//! What commands share when they take their inputs.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use super::Failure;
use crate::files::finding::{Finding, Findings, Position};
use crate::files::folder;
use crate::files::kind::FileKind;
use crate::files::nearest::{meant_by, nearest};
use crate::files::study as study_file;
use crate::files::testday;
use crate::files::write::WriteError;
use crate::lap::LapError;
use crate::study::{Entry, Outcome, Study};

/// Reads with `read`: what was read and what was found on the way.
///
/// # Errors
/// An input is at fault.
pub fn read<T>(read: impl FnOnce(&mut Findings) -> Option<T>) -> Result<(T, Findings), Failure> {
    let mut findings = Findings::new();
    match read(&mut findings) {
        Some(value) if !findings.has_errors() => Ok((value, findings)),
        _ => Err(Failure::Input(findings)),
    }
}

/// The file of a kind that a folder stands for, otherwise the path itself.
///
/// # Errors
/// The folder stands for none.
pub fn in_folder(path: &Path, kind: FileKind) -> Result<PathBuf, Failure> {
    if !path.is_dir() {
        return Ok(path.to_owned());
    }
    folder::stands_for(path, kind).map_err(|finding| {
        let pulls = match kind {
            FileKind::TestDay => testday::mistaken(&path.join("testday.yaml")),
            _ => None,
        };
        pulls.unwrap_or(*finding).into()
    })
}

/// Which of the names is meant: written in full, in any case, or by the only one that contains it.
///
/// # Errors
/// None is, or several could be.
pub fn named<'a>(
    wanted: &str,
    what: &str,
    names: impl Iterator<Item = &'a str> + Clone,
) -> Result<usize, Failure> {
    let folded = wanted.to_lowercase();
    if let Some(index) = names.clone().position(|name| name.to_lowercase() == folded) {
        return Ok(index);
    }
    let found: Vec<usize> = names
        .clone()
        .enumerate()
        .filter(|(_, name)| name.to_lowercase().contains(&folded))
        .map(|(index, _)| index)
        .collect();
    if let [only] = found[..] {
        return Ok(only);
    }
    Err(unfit(wanted, what, found.len(), names))
}

/// Why a name is none that is known, where so many fit.
pub fn unfit<'a>(
    wanted: &str,
    what: &str,
    fitting: usize,
    names: impl Iterator<Item = &'a str> + Clone,
) -> Failure {
    let known: Vec<&str> = names.clone().collect();
    let fault = match fitting {
        0 => format!("there is no {what} `{wanted}`"),
        _ => format!("more than one {what} fits `{wanted}`"),
    };
    let hint = meant_by(wanted, names.clone()).or_else(|| by_word(wanted, names));
    let hint = hint.filter(|_| fitting == 0);
    let hint = hint.map(|hint| format!("; {hint}")).unwrap_or_default();
    Failure::CommandLine(format!("{fault}{hint} (known: {})", known.join(", ")))
}

/// The question whether the only name was meant that has a word much like what is wanted.
fn by_word<'a>(wanted: &str, names: impl Iterator<Item = &'a str>) -> Option<String> {
    const SHORTEST: usize = 4;
    let near = |name: &&str| {
        let words = name.split(|c: char| !c.is_alphanumeric());
        let long = words.filter(|word| word.chars().count() >= SHORTEST);
        wanted.chars().count() >= SHORTEST && nearest(wanted, long).is_some()
    };
    let found: Vec<&str> = names.filter(near).collect();
    match found[..] {
        [only] => Some(format!("did you mean `{only}`?")),
        _ => None,
    }
}

/// A study in which nothing can be driven has no answer: its reasons are faults.
///
/// # Errors
/// The reasons, where no venue can be driven with any spec.
pub fn all_failed(study: &Study, outcome: &Outcome, path: &Path) -> Result<(), Failure> {
    let mut faults = Findings::new();
    for (index, (entry, venue)) in study.entries.iter().zip(&outcome.venues).enumerate() {
        match venue
            .specs
            .iter()
            .find_map(|run| run.as_geared.as_ref().err())
        {
            Some(error) if venue.specs.iter().all(|run| run.as_geared.is_err()) => {
                let text = format!("{}: {error}", entry.name);
                let at = place_of(error, entry, index, path);
                let at = at.unwrap_or_else(|| Position::file(path));
                faults.push(Finding::error(text).at(at).remedy(remedy(error)));
            }
            _ => return Ok(()),
        }
    }
    if faults.is_empty() {
        Ok(())
    } else {
        Err(Failure::Input(faults))
    }
}

/// A fault for each venue that cannot be driven, with the reason of the first spec that fails.
pub fn undriven(study: &Study, outcome: &Outcome, path: &Path) -> Findings {
    let mut faults = Findings::new();
    for (index, (entry, venue)) in study.entries.iter().zip(&outcome.venues).enumerate() {
        let failed = venue.specs.iter().enumerate();
        let failed = failed.filter_map(|(i, run)| Some((i, run.as_geared.as_ref().err()?)));
        let failed: Vec<(usize, &LapError)> = failed.collect();
        let Some((spec, error)) = failed.first() else {
            continue;
        };
        let who = match failed.len() == venue.specs.len() {
            true => String::new(),
            false => format!(" with {}", study.test_day.specs[study.compared[*spec]].name),
        };
        let fault = Finding::error(format!("{}{who}: {error}", entry.name));
        let at = place_of(error, entry, index, path).unwrap_or_else(|| Position::file(path));
        faults.push(fault.at(at).remedy(remedy(error)));
    }
    faults
}

/// The line of the track where a car cannot go on.
fn place_of(error: &LapError, entry: &Entry, index: usize, study: &Path) -> Option<Position> {
    let (LapError::Stalled { place, .. } | LapError::NoBrakes { place, .. }) = error else {
        return None;
    };
    let places = &entry.course.places;
    let piece = places.iter().position(|known| known.name == *place)?;
    study_file::piece(study, index, piece)
}

/// What would make a lap possible.
pub fn remedy(error: &LapError) -> &'static str {
    match error {
        LapError::Stalled { .. } | LapError::NoBrakes { .. } => {
            "check the slope and the surface there, the car's grip on it and its gearing"
        }
        LapError::EntryTooFast { .. } => "lower `start` in the track file",
        LapError::Launch { .. } => "set `launch` in the car file",
        LapError::Lowest { .. } => {
            "check `rev_limit` in the car file, and `lowest_rpm` under `driver` in the study"
        }
        LapError::NoGrip(_) => "add it to the tyre in the car file, as in `grip: {gravel: 0.60}`",
        _ => "check the track and the car",
    }
}

/// The folder for charts, which must be there.
///
/// # Errors
/// It is not.
pub fn charts_folder(folder: &Path) -> Result<PathBuf, Failure> {
    if folder.is_dir() {
        return Ok(folder.to_owned());
    }
    let finding = Finding::error("there is no such folder for charts")
        .at(Position::file(folder))
        .remedy("make the folder first");
    Err(finding.into())
}

/// The folder for pictures, made where only it is missing.
///
/// # Errors
/// It is no folder, the one it belongs in is missing, or the system refuses.
pub fn made_folder(folder: &Path) -> Result<(), Failure> {
    let fault = |text: &str, remedy: &str| {
        let finding = Finding::error(text).at(Position::file(folder));
        Failure::from(finding.remedy(remedy))
    };
    match std::fs::create_dir(folder) {
        Ok(()) => Ok(()),
        Err(_) if folder.is_dir() => Ok(()),
        Err(error) => Err(match error.kind() {
            ErrorKind::AlreadyExists => fault(
                "this is no folder, and pictures go into one",
                "give the name of a folder",
            ),
            ErrorKind::NotFound => fault(
                "the folder that this one belongs in is missing",
                "make that one first",
            ),
            _ => WriteError {
                path: folder.to_owned(),
                cause: error.into(),
            }
            .into(),
        }),
    }
}

/// A template that cannot be filled is a fault of the program, not of an input.
pub fn template(error: impl std::error::Error) -> Failure {
    Finding::error(format!("the page cannot be made: {error}")).into()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn find(wanted: &str) -> Result<usize, String> {
        let names = ["long manifold", "short manifold", "open airbox"];
        named(wanted, "spec", names.into_iter()).map_err(|failure| match failure {
            Failure::CommandLine(text) => text,
            other => format!("{other:?}"),
        })
    }

    #[test]
    fn a_name_is_found_in_full_or_by_a_part_that_only_it_has() {
        assert_eq!(find("Open Airbox"), Ok(2));
        assert_eq!(find("short"), Ok(1));
        assert!(
            find("manifold")
                .unwrap_err()
                .starts_with("more than one spec fits")
        );
        let unknown = find("lomg manifold").unwrap_err();
        assert!(unknown.contains("did you mean"), "{unknown}");
    }
}
