//! The pulls of a starter: copies of folders, or invented ones.

use std::path::{Path, PathBuf};

use super::GearSpeed;
use crate::files::finding::shell::shell_path;
use crate::files::finding::{Finding, Findings, Position, quoted};
use crate::files::pulls::{self, Settings};
use crate::files::source::{TABLE_LIMIT, load};
use crate::files::testday::{LOOKED_FOR, Listing, again, folders_of_pulls, of_many};
use crate::files::workbook::{file_of, is_named_so};

/// Most tables that are copied.
const MOST_FILES: usize = 300;
/// Most folders that are named in a remedy.
const MOST_NAMED: usize = 6;

/// A spec with its tables.
#[derive(Debug)]
pub struct Pulled {
    /// What the spec is called.
    pub name: String,
    /// Names of its files and what is in them.
    pub files: Vec<(String, Vec<u8>)>,
}

const INVENTED: [(&str, [&str; 3]); 2] = [
    (
        "long",
        [
            include_str!("pulls/long-1.csv"),
            include_str!("pulls/long-2.csv"),
            include_str!("pulls/long-3.csv"),
        ],
    ),
    (
        "short",
        [
            include_str!("pulls/short-1.csv"),
            include_str!("pulls/short-2.csv"),
            include_str!("pulls/short-3.csv"),
        ],
    ),
];

/// Two specs that no engine ever had.
pub fn invented() -> Vec<Pulled> {
    let spec = |(name, tables): &(&str, [&str; 3])| Pulled {
        name: (*name).to_owned(),
        files: tables
            .iter()
            .zip(1..)
            .map(|(table, i)| (format!("invented-{i}.csv"), table.as_bytes().to_vec()))
            .collect(),
    };
    INVENTED.iter().map(spec).collect()
}

/// The tables of each folder; `None` where one cannot be a spec or be read.
pub fn read(
    folders: &[PathBuf],
    speed: Option<&GearSpeed>,
    findings: &mut Findings,
) -> Option<Vec<Pulled>> {
    let settings = Settings {
        speed_per_1000_rpm: speed.map(|speed| speed.si),
        ..Settings::USUAL
    };
    let before = findings.errors();
    let mut found: Vec<Pulled> = Vec::new();
    for folder in folders {
        let Some(spec) = spec(folder, &settings, findings) else {
            continue;
        };
        // Folders of another system may not tell capitals apart.
        let alike = |other: &Pulled| other.name.to_lowercase() == spec.name.to_lowercase();
        if found.iter().any(alike) {
            let text = format!("two of these are called {}", quoted(&spec.name));
            findings.push(fault(
                folder,
                &text,
                "each is a spec: give it a name of its own",
            ));
            continue;
        }
        found.push(spec);
    }
    let names: Vec<String> = found.iter().map(|spec| spec.name.clone()).collect();
    for (name, of) in names
        .iter()
        .filter_map(|name| Some((name, again(name, &names)?)))
    {
        let text = format!(
            "{} is a spec of its own here: is it {} fitted again?",
            quoted(name),
            quoted(of)
        );
        let remedy = format!(
            "if so write it as a fitting of {of} in car/testday.yaml, and no spec: `fittings: [{{pulls: pulls/{of}}}, {{pulls: \
             pulls/{name}}}]`"
        );
        findings.push(Finding::warning(text).remedy(remedy));
    }
    let files: usize = found.iter().map(|spec| spec.files.len()).sum();
    if files > MOST_FILES {
        let text = format!("{files} tables in these folders");
        findings.push(Finding::error(text).remedy(format!("at most {MOST_FILES} are copied")));
    }
    (findings.errors() == before).then_some(found)
}

fn fault(path: &Path, text: &str, remedy: &str) -> Finding {
    Finding::error(text).at(Position::file(path)).remedy(remedy)
}

fn spec(folder: &Path, settings: &Settings, findings: &mut Findings) -> Option<Pulled> {
    if folder.is_file() {
        return alone(folder, settings, findings);
    }
    if !folder.is_dir() {
        let remedy = "name a folder for each spec, with its pulls in it, or a table";
        findings.push(fault(
            folder,
            "this is neither a folder nor a table",
            remedy,
        ));
        return None;
    }
    let whole = std::fs::canonicalize(folder).ok();
    let name = whole.as_deref().unwrap_or(folder).file_name();
    let Some(name) = name.and_then(|name| name.to_str()) else {
        let remedy = "give it a name in letters";
        findings.push(fault(
            folder,
            "this folder's name cannot be a spec's",
            remedy,
        ));
        return None;
    };
    let mut listing = Listing::of(folder);
    let tables = std::mem::take(&mut listing.tables);
    if tables.is_empty() {
        let inner = folders_of_pulls(folder);
        let names = inner
            .iter()
            .take(MOST_NAMED)
            .map(|path| shell_path(&path.display().to_string()));
        let names: Vec<String> = names.collect();
        let remedy = match (names.is_empty(), listing.told("it")) {
            (true, None) => LOOKED_FOR.to_owned(),
            (true, Some(told)) => format!("{LOOKED_FOR}; {told}"),
            (false, _) => format!(
                "a spec is a folder with its pulls in it: give `--pulls {}`",
                names.join(" ")
            ),
        };
        findings.push(fault(folder, "no pull in this folder", &remedy));
        return None;
    }
    // Every table is read, so that the faults of all are told.
    let (strays, tables): (Vec<PathBuf>, Vec<PathBuf>) =
        tables.into_iter().partition(|table| pulls::is_none(table));
    let copied_or_told = match tables.is_empty() {
        true => &strays,
        false => {
            strays
                .iter()
                .for_each(|path| listing.leave_out(path, pulls::why_none(path)));
            &tables
        }
    };
    let files: Vec<Option<(String, Vec<u8>)>> = copied_or_told
        .iter()
        .map(|table| copied(table, settings, findings))
        .collect();
    if let Some(text) = listing.told("the copies") {
        findings.push(
            Finding::warning(text)
                .at(Position::file(folder))
                .remedy(LOOKED_FOR),
        );
    }
    Some(Pulled {
        name: name.to_owned(),
        files: once(files.into_iter().collect::<Option<_>>()?),
    })
}

/// Each file once: several sheets are of one workbook.
fn once(files: Vec<(String, Vec<u8>)>) -> Vec<(String, Vec<u8>)> {
    let mut kept: Vec<(String, Vec<u8>)> = Vec::new();
    for file in files {
        if kept.iter().all(|(name, _)| *name != file.0) {
            kept.push(file);
        }
    }
    kept
}

/// A spec of one table, called as that is.
fn alone(table: &Path, settings: &Settings, findings: &mut Findings) -> Option<Pulled> {
    let sheets = match is_named_so(table) {
        true => pulls::sheets(table).filter(|found| !found.pulls.is_empty()),
        false => None,
    };
    let tables = sheets.map_or_else(|| vec![table.to_owned()], |found| found.pulls);
    let files: Vec<Option<(String, Vec<u8>)>> = tables
        .iter()
        .map(|table| copied(table, settings, findings))
        .collect();
    let files = once(files.into_iter().collect::<Option<_>>()?);
    let stem = table.file_stem().and_then(|stem| stem.to_str());
    Some(Pulled {
        name: stem.unwrap_or(&files[0].0).to_owned(),
        files,
    })
}

/// What to do where there is no test day yet to write into.
fn at_the_start(finding: Finding) -> Finding {
    let remedy = match finding.text.as_str() {
        pulls::ROAD_SPEED_ALONE => {
            "say what 1,000 rpm are in the gear used, as in `--speed-per-1000-rpm \"26.1 km/h\"`"
        }
        pulls::BRAKE_ALONE => {
            "start without --pulls, put the tables into a folder for each spec under car/pulls, and write \
             `brake: {constant: 4500, power: bhp}` under `dyno` in car/testday.yaml"
        }
        _ => return finding,
    };
    finding.remedy(remedy)
}

/// The bytes of a table that reads as pulls.
fn copied(table: &Path, settings: &Settings, findings: &mut Findings) -> Option<(String, Vec<u8>)> {
    let mut found = Findings::new();
    let read = pulls::read(table, settings, &mut found);
    for finding in found.into_iter().filter(Finding::is_error) {
        findings.push(of_many(at_the_start(finding)));
    }
    read?;
    let table = file_of(table);
    let Some(name) = table.file_name().and_then(|name| name.to_str()) else {
        findings.push(fault(table, "this name is not in letters", "rename it"));
        return None;
    };
    match load(table, TABLE_LIMIT) {
        Ok(bytes) => Some((name.to_owned(), bytes)),
        Err(finding) => {
            findings.push(*finding);
            None
        }
    }
}
