//! A folder that is a study: one car, one test day, tracks.

use std::path::{Path, PathBuf};

use super::plan::{self, Named, Place, Plan, Wanted};
use crate::files::finding::Findings;
use crate::files::kind::{FileKind, kind_of};

/// Most files that are looked at.
const MOST_FILES: usize = 500;

/// The plan of a folder. A study file in it goes before everything else.
pub fn plan(folder: &Path, findings: &mut Findings) -> Option<Plan> {
    let place = Place::whole(folder);
    let files = match yaml_files(folder) {
        Ok(files) => files,
        Err(error) => {
            let text = format!("this folder cannot be read: {error}");
            findings.push(place.error(text, "give a study file"));
            return None;
        }
    };
    let mut of = Sorted::default();
    for file in files {
        match kind_of(&file) {
            Some(FileKind::Study) => of.studies.push(file),
            Some(FileKind::Car) => of.cars.push(file),
            Some(FileKind::TestDay) => of.test_days.push(file),
            Some(FileKind::Track) => of.tracks.push(file),
            None => {
                let text = "this is no car, test day, track or study, and is left out";
                findings.push(Place::whole(&file).warning(text, "move it elsewhere"));
            }
        }
    }
    let studies = std::mem::take(&mut of.studies);
    if !studies.is_empty() {
        return plan::read(&only(studies, "study", &place, findings)?, findings);
    }
    of.into_plan(folder, &place, findings)
}

/// The YAML files of a folder by what they are.
#[derive(Default)]
struct Sorted {
    studies: Vec<PathBuf>,
    cars: Vec<PathBuf>,
    test_days: Vec<PathBuf>,
    tracks: Vec<PathBuf>,
}

impl Sorted {
    fn into_plan(self, folder: &Path, place: &Place, findings: &mut Findings) -> Option<Plan> {
        let car = only(self.cars, "car", place, findings).map(Named::found);
        let test_day = only(self.test_days, "test day", place, findings).map(Named::found);
        let wanted = self
            .tracks
            .into_iter()
            .map(|track| Wanted::plain(Named::found(track)));
        let name = folder
            .file_name()
            .map(|name| name.to_string_lossy().into_owned());
        Some(Plan {
            path: folder.to_owned(),
            name: name.unwrap_or_else(|| "study".to_owned()),
            car,
            test_day,
            specs: None,
            driver: Default::default(),
            wanted: wanted.collect(),
            season: Default::default(),
        })
    }
}

/// The one file of a kind; none or several are a fault.
fn only(
    mut files: Vec<PathBuf>,
    what: &str,
    place: &Place,
    findings: &mut Findings,
) -> Option<PathBuf> {
    match files.len() {
        1 => files.pop(),
        0 => {
            findings.push(place.error(
                format!("this folder has no {what}"),
                format!("add a {what} file"),
            ));
            None
        }
        _ => {
            let names: Vec<String> = files.iter().map(|f| f.display().to_string()).collect();
            let text = format!("this folder has more than one {what}: {}", names.join(", "));
            findings.push(place.error(text, "write a study file that names the one that is meant"));
            None
        }
    }
}

/// The YAML files of a folder and of the folders in it, in the order of their names.
fn yaml_files(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
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
        files.extend(
            entries(&folder)
                .unwrap_or_default()
                .into_iter()
                .filter(|p| is_yaml(p)),
        );
    }
    files.truncate(MOST_FILES);
    Ok(files)
}

fn entries(folder: &Path) -> std::io::Result<Vec<PathBuf>> {
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
