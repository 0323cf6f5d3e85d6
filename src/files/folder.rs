//! Folders of YAML files, sorted by what each file is.

use std::io;
use std::path::{Path, PathBuf};

use super::finding::{Finding, Position};
use super::kind::{FileKind, kind_of};
use super::source::named;

/// Most files that are looked at.
const MOST_FILES: usize = 500;

/// The YAML files of a folder and of the folders in it, by what they are, each in the order of
/// their names.
#[derive(Debug, Default)]
pub struct Sorted {
    /// Studies.
    pub studies: Vec<PathBuf>,
    /// Cars.
    pub cars: Vec<PathBuf>,
    /// Test days.
    pub test_days: Vec<PathBuf>,
    /// Tracks.
    pub tracks: Vec<PathBuf>,
    /// Those that are none of these.
    pub others: Vec<PathBuf>,
}

/// Looks through a folder.
///
/// # Errors
/// It cannot be listed.
pub fn sorted(folder: &Path) -> io::Result<Sorted> {
    let mut of = Sorted::default();
    for file in yaml_files(folder)? {
        let list = match kind_of(&file) {
            Some(FileKind::Study) => &mut of.studies,
            Some(FileKind::Car) => &mut of.cars,
            Some(FileKind::TestDay) => &mut of.test_days,
            Some(FileKind::Track) => &mut of.tracks,
            None => &mut of.others,
        };
        list.push(file);
    }
    Ok(of)
}

/// The file of a kind that a folder stands for: the one with the usual name, otherwise the only one
/// of its kind.
///
/// # Errors
/// None is, or several could be: which there are.
pub fn stands_for(folder: &Path, kind: FileKind) -> Result<PathBuf, Box<Finding>> {
    let usual = folder.join(format!("{}.yaml", kind.word()));
    if usual.exists() {
        return Ok(usual);
    }
    let of = sorted(folder).unwrap_or_default();
    let found = match kind {
        FileKind::Study => &of.studies,
        FileKind::Car => &of.cars,
        FileKind::TestDay => &of.test_days,
        FileKind::Track => &of.tracks,
    };
    let what = kind.called();
    let fault = |text: String, remedy: String| {
        let finding = Finding::error(text).at(Position::file(folder));
        Box::new(finding.remedy(remedy))
    };
    match found.as_slice() {
        [only] => Ok(only.clone()),
        [] => {
            let lists = [&of.studies, &of.cars, &of.test_days, &of.tracks, &of.others];
            let remedy = match listed(folder, lists.into_iter().flatten()) {
                Some(there) => format!("its files are {there}"),
                None => "`pullrank new my-study` makes one with a file of each kind".to_owned(),
            };
            Err(fault(format!("this folder has no {what} file"), remedy))
        }
        several => {
            let there = listed(folder, several.iter()).unwrap_or_default();
            let text = format!("this folder has more than one {what} file: {there}");
            Err(fault(text, "name the one that is meant".to_owned()))
        }
    }
}

/// The YAML files of a folder in words, by their paths from it; `None` where there is none.
pub fn files_in(folder: &Path) -> Option<String> {
    listed(folder, yaml_files(folder).ok()?.iter())
}

fn listed<'a>(folder: &Path, files: impl Iterator<Item = &'a PathBuf>) -> Option<String> {
    let names: Vec<String> = files
        .map(|file| {
            file.strip_prefix(folder)
                .unwrap_or(file)
                .display()
                .to_string()
        })
        .collect();
    named(names.iter().map(String::as_str))
}

fn yaml_files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    let mut inner = Vec::new();
    for path in entries(folder)? {
        if path.is_dir() {
            inner.push(path);
        } else if is_yaml(&path) {
            files.push(path);
        }
    }
    for folder in inner {
        // A folder in it that cannot be read is not asked for.
        let found = entries(&folder).unwrap_or_default().into_iter();
        files.extend(found.filter(|path| is_yaml(path)));
    }
    files.truncate(MOST_FILES);
    Ok(files)
}

fn entries(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let listing = std::fs::read_dir(folder)?;
    let mut paths: Vec<PathBuf> = listing
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .collect();
    paths.retain(|path| {
        !path
            .file_name()
            .is_some_and(|n| n.to_string_lossy().starts_with('.'))
    });
    paths.sort();
    Ok(paths)
}

fn is_yaml(path: &Path) -> bool {
    path.extension()
        .is_some_and(|e| e.eq_ignore_ascii_case("yaml") || e.eq_ignore_ascii_case("yml"))
}
