//! What was given in place of a test day, and the day that would be right.

use std::path::{Path, PathBuf};

use super::listing::{Listing, is_table};
use crate::files::finding::{Finding, Position, quoted};

/// Most specs of a day that is proposed.
const MOST: usize = 8;

/// What is wrong where `path` is no test day: the table of a pull, or missing from a folder that holds
/// folders of pulls. `None` where it may be one.
pub fn mistaken(path: &Path) -> Option<Finding> {
    let file = path.file_name().unwrap_or_default().to_string_lossy();
    if is_table(path) {
        let finding = Finding::error("this is the table of a pull, not a test day");
        let remedy = format!(
            "name it in a testday.yaml beside it: `specs: [{{name: long, pulls: {}}}]`",
            plain(&file)
        );
        return Some(finding.at(Position::file(path)).remedy(remedy));
    }
    let folder = path.parent()?;
    if path.exists() || !folder.is_dir() {
        return None;
    }
    let names: Vec<String> = folders_of_pulls(folder)
        .iter()
        .map(|spec| {
            spec.file_name()
                .unwrap_or_default()
                .to_string_lossy()
                .into_owned()
        })
        .collect();
    let is_again = |name: &&String| again(name, &names).is_some();
    let specs: Vec<String> = names
        .iter()
        .filter(|name| !is_again(name))
        .take(MOST)
        .map(|name| {
            let refits = names
                .iter()
                .filter(|other| again(other, &names) == Some(name));
            let fittings: Vec<String> = [name]
                .into_iter()
                .chain(refits)
                .map(|name| format!("{{pulls: {}}}", plain(name)))
                .collect();
            match fittings.len() {
                1 => format!("{{name: {0}, pulls: {0}}}", plain(name)),
                _ => format!(
                    "{{name: {}, fittings: [{}]}}",
                    plain(name),
                    fittings.join(", ")
                ),
            }
        })
        .collect();
    if specs.is_empty() {
        return None;
    }
    let finding = Finding::error(format!("this folder has pulls and no {}", quoted(&file)));
    let remedy = format!(
        "write one: `specs: [{}]`, with the `weather` of the day and the `parts` of each spec",
        specs.join(", ")
    );
    Some(finding.at(Position::file(folder)).remedy(remedy))
}

/// The one of these names that another says again, as `long` of `long 2`, `long_again` and `long refit`.
pub fn again<'n>(name: &str, names: &'n [String]) -> Option<&'n String> {
    const WORDS: [&str; 12] = [
        "2", "3", "4", "ii", "iii", "again", "refit", "refitted", "repeat", "bis", "wieder",
        "opnieuw",
    ];
    let lower = name.to_lowercase();
    let rest = |word: &&str| {
        lower
            .strip_suffix(*word)?
            .strip_suffix([' ', '_', '-', '.'])
    };
    let rest = WORDS.iter().find_map(rest)?;
    let of = names.iter().find(|other| other.to_lowercase() == rest)?;
    // `long 2 again` is of `long`.
    again(of, names).or(Some(of))
}

/// The folders in a folder that hold tables, by name.
pub fn folders_of_pulls(folder: &Path) -> Vec<PathBuf> {
    let listing = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let mut found: Vec<PathBuf> = listing
        .take(1000)
        .map(|entry| entry.path())
        .filter(|path| path.is_dir() && !Listing::of(path).tables.is_empty())
        .collect();
    found.sort();
    found
}

/// A name as it can stand in YAML.
fn plain(name: &str) -> String {
    let simple = |c: char| c.is_alphanumeric() || "-_. /".contains(c);
    match name.chars().all(simple) {
        true => name.to_owned(),
        false => format!("{name:?}"),
    }
}
