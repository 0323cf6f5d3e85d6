//! A folder that is a study: one car, one test day, tracks; or a study file with them.

use std::path::{Path, PathBuf};

use super::plan::{self, Named, Place, Plan, Wanted};
use crate::files::finding::shell::shell_path;
use crate::files::finding::{Finding, Findings};
use crate::files::folder::{Sorted, sorted};
use crate::files::testday;

const MANY: &str = "write a study file that names the one that is meant";
const NO_CAR: &str =
    "add car.yaml; five lines are enough: `mass`, `drive`, `tyre`, `ratios` and `final_drive`";
const NO_TEST_DAY: &str = "add testday.yaml, as in `specs: [{name: long, pulls: pulls/long}]`";

/// The plan of a folder. A study file in it goes before everything else.
pub fn plan(folder: &Path, findings: &mut Findings) -> Option<Plan> {
    let place = Place::whole(folder);
    let mut of = match sorted(folder) {
        Ok(of) => of,
        Err(error) => {
            let text = format!("this folder cannot be read: {error}");
            findings.push(place.error(text, "give a study file"));
            return None;
        }
    };
    for file in &of.others {
        let text = "this is no car, test day, track or study, and is left out";
        findings.push(Place::whole(file).warning(text, "move it elsewhere"));
    }
    let studies = std::mem::take(&mut of.studies);
    if !studies.is_empty() {
        return plan::read(&meant(studies, folder, &place, findings)?, findings);
    }
    if let Some(finding) = no_study(folder, &of) {
        findings.push(finding);
        return None;
    }
    into_plan(of, folder, &place, findings)
}

/// The study that a folder stands for: the only one, or `study.yaml` of several.
fn meant(
    studies: Vec<PathBuf>,
    folder: &Path,
    place: &Place,
    findings: &mut Findings,
) -> Option<PathBuf> {
    let usual = |path: &&PathBuf| {
        path.parent() == Some(folder) && path.file_stem().is_some_and(|stem| stem == "study")
    };
    if let Some(study) = studies.iter().find(usual) {
        return Some(study.clone());
    }
    let remedy = "name the one that is meant, or call it study.yaml";
    only(studies, "study", (remedy, remedy), place, findings)
}

/// A folder without a car and a test day is no study: what would make it one.
fn no_study(folder: &Path, of: &Sorted) -> Option<Finding> {
    if !of.cars.is_empty() || !of.test_days.is_empty() {
        return None;
    }
    let place = Place::whole(folder);
    let pulls = testday::folders_of_pulls(folder);
    if let [first, ..] = pulls.as_slice() {
        let all: Vec<String> = pulls
            .iter()
            .map(|path| shell_path(&path.display().to_string()))
            .collect();
        let text = format!(
            "this folder has pulls (in {}), and neither a car nor a test day",
            first.file_name().unwrap_or_default().to_string_lossy()
        );
        let remedy = format!(
            "start a study with them: `pullrank new my-study --pulls {}`",
            all.join(" ")
        );
        return Some(place.error(text, remedy));
    }
    let text = match of.tracks.is_empty() {
        true => "this folder has no study, car, test day or track",
        false => "this folder has tracks, and neither a car nor a test day",
    };
    Some(place.error(text, "`pullrank new my-study` makes one that runs"))
}

fn into_plan(of: Sorted, folder: &Path, place: &Place, findings: &mut Findings) -> Option<Plan> {
    let proposed = testday::mistaken(&folder.join("testday.yaml"))
        .filter(|_| of.test_days.is_empty())
        .and_then(|finding| finding.remedy);
    let no_day = proposed.as_deref().unwrap_or(NO_TEST_DAY);
    let car = only(of.cars, "car", (NO_CAR, MANY), place, findings).map(Named::found);
    let test_day =
        only(of.test_days, "test day", (no_day, MANY), place, findings).map(Named::found);
    let wanted = of.tracks.into_iter();
    let wanted = wanted.map(|track| Wanted::plain(Named::found(track)));
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

/// The one file of a kind; none or several are a fault, each with its remedy.
fn only(
    mut files: Vec<PathBuf>,
    what: &str,
    (none, many): (&str, &str),
    place: &Place,
    findings: &mut Findings,
) -> Option<PathBuf> {
    match files.len() {
        1 => files.pop(),
        0 => {
            findings.push(place.error(format!("this folder has no {what}"), none));
            None
        }
        _ => {
            let names: Vec<String> = files.iter().map(|f| f.display().to_string()).collect();
            let text = format!("this folder has more than one {what}: {}", names.join(", "));
            findings.push(place.error(text, many));
            None
        }
    }
}
