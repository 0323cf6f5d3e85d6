//! Any file that people write, read for its faults alone.

use std::ffi::OsStr;
use std::path::Path;

use super::finding::{Finding, Findings, Position, Severity};
use super::kind::{FileKind, kind_of};
use super::pulls::Settings;
use super::starter::{self, Blank};
use super::workbook::{self, Workbook};
use super::yaml::decode;
use super::{car, log, path as line, pulls, study, testday, track};
use crate::study::Study;

/// What a path is, and what is wrong with it.
#[derive(Debug)]
pub struct Checked {
    /// What it was taken for, in words; `None` where nothing tells.
    pub what: Option<&'static str>,
    /// Everything found, file by file in the order of their lines.
    pub findings: Findings,
    /// The study, where it is one without a fault.
    pub study: Option<Study>,
}

/// Reads whatever `path` is: a study or its folder, a car, a test day, a track, or a table, GPX or
/// GeoJSON file as one of these would name it.
pub fn check(path: &Path) -> Checked {
    let mut findings = Findings::new();
    let mut study = None;
    let what = match sort_of(path) {
        Sort::Study => {
            study = study::read(path, &mut findings);
            Some("study")
        }
        Sort::Yaml(Some(kind)) => Some(yaml(path, kind, &mut findings)),
        Sort::Yaml(None) => {
            findings.push(unknown(path));
            None
        }
        Sort::Path => {
            line::read(path, &mut findings);
            Some("path")
        }
        Sort::Table => Some(table(path, &mut findings)),
        Sort::Book => Some(book(path, &mut findings)),
    };
    for blank in blanks(&findings) {
        let text = format!("to fill in: {}", blank.with);
        let until = match blank.unused {
            true => "until then unknown: figures compare within this day only",
            false => "until then it is invented",
        };
        let remedy = format!("{until}; take the words FILL IN out once it is yours");
        findings.push(Finding::warning(text).at(blank.position).remedy(remedy));
    }
    Checked {
        what,
        findings,
        study,
    }
}

/// The lines of the files read that a new folder marks as the user's to fill in.
fn blanks(findings: &Findings) -> Vec<Blank> {
    let mut found: Vec<Blank> = Vec::new();
    for file in findings.files() {
        let yaml = file.path.extension().is_some_and(|ending| ending == "yaml");
        let text = file.text.as_deref().filter(|_| yaml).unwrap_or_default();
        let new = starter::blanks_in(&file.path, text).into_iter();
        found.extend(
            new.filter(|blank| !found.contains(blank))
                .collect::<Vec<_>>(),
        );
    }
    found
}

enum Sort {
    Study,
    Yaml(Option<FileKind>),
    Path,
    Table,
    Book,
}

fn sort_of(path: &Path) -> Sort {
    if path.is_dir() {
        return Sort::Study;
    }
    let ending = path.extension().map(|e| e.to_ascii_lowercase());
    match ending.as_ref().and_then(|e| e.to_str()) {
        Some("gpx" | "geojson" | "json") => Sort::Path,
        Some("csv" | "tsv" | "txt" | "dat" | "prn") => Sort::Table,
        _ if workbook::is_named_so(path) => Sort::Book,
        _ => match kind_of(path) {
            Some(FileKind::Study) => Sort::Study,
            kind => Sort::Yaml(kind),
        },
    }
}

fn yaml(path: &Path, kind: FileKind, findings: &mut Findings) -> &'static str {
    match kind {
        FileKind::Study => {
            study::read(path, findings);
            "study"
        }
        FileKind::Car => {
            car::read(path, findings);
            "car"
        }
        FileKind::TestDay => {
            testday::read(path, findings);
            "test day"
        }
        FileKind::Track => {
            track::read(path, findings);
            "track"
        }
    }
}

/// Of a workbook with several tables each is what it reads as.
fn book(path: &Path, findings: &mut Findings) -> &'static str {
    let tables = Workbook::open(path).and_then(|mut book| book.tables());
    match tables {
        Ok(tables) if tables.len() > 1 => {
            for name in tables {
                table(&path.join(name), findings);
            }
            "workbook"
        }
        _ => table(path, findings),
    }
}

/// A table is what it reads as without a fault; one that is nothing gets the faults of a pull.
fn table(path: &Path, findings: &mut Findings) -> &'static str {
    let mut of_pull = Findings::new();
    if pulls::read(path, &Settings::USUAL, &mut of_pull).is_some() {
        findings.append(of_pull);
        return "pull";
    }
    let mut of_log = Findings::new();
    if let Some(log) = log::read(path, &mut of_log).filter(|_| !of_log.has_errors()) {
        track::unnamed(log, &mut of_log);
        findings.append(of_log);
        return "logged run";
    }
    let is_log = log::is_one(path);
    let mut of_line = Findings::new();
    if line::read(path, &mut of_line).is_some() && !of_line.has_errors() {
        findings.append(of_line);
        if let Some(fault) = of_log.iter().find(|fault| is_log && fault.is_error()) {
            findings.push(Finding {
                severity: Severity::Warning,
                text: format!(
                    "as the `log` of a track this file is refused: {}",
                    fault.text
                ),
                ..fault.clone()
            });
        }
        return "path";
    }
    if is_log {
        findings.append(of_log);
        return "logged run";
    }
    findings.append(of_pull);
    "pull"
}

/// A file that cannot be opened, or is no YAML, says why; any other is of no known kind.
fn unknown(path: &Path) -> Finding {
    let mut found = Findings::new();
    let source = super::source::Source::read(path, super::source::YAML_LIMIT, &mut found);
    let is_yaml = |ending: &OsStr| {
        ["yaml", "yml"]
            .iter()
            .any(|e| ending.eq_ignore_ascii_case(e))
    };
    if let Some(source) = source
        && path.extension().is_some_and(is_yaml)
    {
        decode(source, &mut found, |_| Some(()));
    }
    if let Some(finding) = found.into_iter().find(Finding::is_error) {
        return finding;
    }
    Finding::error("this is no study, car, test day or track")
        .at(Position::file(path))
        .remedy("a study has `venues`, a car `ratios` or `gearbox`, a test day `specs`, a track `pieces`")
}
