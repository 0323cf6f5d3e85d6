//! What a YAML file is, by its name and the keys in it.

use std::path::Path;

use super::finding::{Finding, Findings, Severity};
use super::source::{Mark, Source, YAML_LIMIT};
use super::yaml::Item;
use super::yaml::tree::{self, Value};

/// The kinds of YAML file there are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FileKind {
    /// A study: car, test day, venues.
    Study,
    /// A car.
    Car,
    /// A test day.
    TestDay,
    /// A track.
    Track,
}

impl FileKind {
    /// Every kind.
    pub const ALL: [Self; 4] = [Self::Study, Self::Car, Self::TestDay, Self::Track];

    /// The word for it in names of files and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Self::Study => "study",
            Self::Car => "car",
            Self::TestDay => "testday",
            Self::Track => "track",
        }
    }

    /// What people call such a file.
    pub fn called(self) -> &'static str {
        match self {
            Self::TestDay => "test-day",
            other => other.word(),
        }
    }
}

/// Keys that only one kind of file has.
const SIGNS: [(&str, FileKind); 17] = [
    ("venues", FileKind::Study),
    ("testday", FileKind::Study),
    ("specs", FileKind::TestDay),
    ("dyno", FileKind::TestDay),
    ("correct_to", FileKind::TestDay),
    ("pieces", FileKind::Track),
    ("path", FileKind::Track),
    ("log", FileKind::Track),
    ("notes", FileKind::Track),
    ("sketch", FileKind::Track),
    ("surface", FileKind::Track),
    ("kind", FileKind::Track),
    ("gearbox", FileKind::Car),
    ("final_drive", FileKind::Car),
    ("ratios", FileKind::Car),
    ("drive", FileKind::Car),
    ("trims", FileKind::Car),
];

/// What a file is: by its keys, or by its name where they do not say; `None` where neither tells.
pub fn kind_of(path: &Path) -> Option<FileKind> {
    by_keys(path).or_else(|| by_name(path))
}

fn by_keys(path: &Path) -> Option<FileKind> {
    // Faults are found again, and reported, when the file is read for what it is.
    let mut ignored = Findings::new();
    let source = Source::read(path, YAML_LIMIT, &mut ignored)?;
    let root = tree::parse(&source, &mut ignored);
    let has = |key: &str| match root.as_ref().map(|root| &root.value) {
        Some(Value::Map(entries)) => entries.iter().any(|entry| entry.key == key),
        _ => begins_a_line(&source.text, key),
    };
    SIGNS
        .iter()
        .find(|(key, _)| has(key))
        .map(|(_, kind)| *kind)
}

/// Whether a text that is no YAML, as a slip makes it, has a line of its outermost keys for this one.
fn begins_a_line(text: &str, key: &str) -> bool {
    let says = |line: &&str| !line.trim().is_empty() && !line.trim_start().starts_with('#');
    let mut lines = text.lines().filter(says);
    let indent = |line: &str| line.len() - line.trim_start().len();
    let outermost = lines.clone().next().map_or(0, indent);
    lines.any(|line| {
        let behind = line.trim_start().strip_prefix(key);
        let behind = behind.filter(|_| indent(line) == outermost);
        behind.is_some_and(|behind| behind.trim_start().starts_with([':', '{', '[']))
    })
}

/// Gives up on a file of another kind than the one that is asked for, whose keys would all be
/// faults; `known` are the keys of the one that is.
pub fn expect(root: &Item, wanted: FileKind, known: &[&str]) -> Option<()> {
    let keys: Vec<&str> = match root.is_mapping() {
        true => root.entries()?.iter().map(Item::name).collect(),
        false => return Some(()),
    };
    let signs = |of: &dyn Fn(FileKind) -> bool| {
        let sign = |(key, kind): &&(&str, FileKind)| of(*kind) && keys.contains(key);
        SIGNS.iter().find(sign)
    };
    if signs(&|kind| kind == wanted).is_some() {
        return Some(());
    }
    let elsewhere = |key: &str| keys.contains(&key) && !known.contains(&key);
    let looks_like = SIGNS.iter().find(|(key, _)| elsewhere(key));
    let (like, remedy) = match looks_like {
        Some((_, kind)) => (kind.called(), format!("name a {} file", wanted.called())),
        None if elsewhere("type") && (elsewhere("features") || elsewhere("coordinates")) => {
            ("GeoJSON", PATH.to_owned())
        }
        None => return Some(()),
    };
    let text = format!(
        "this looks like a {like} file, and a {} file is asked for",
        wanted.called()
    );
    root.error(text, remedy);
    None
}

const PATH: &str = "a track names it, as in `path: FILE`";

/// What a file is that is no YAML at all, by its ending or its first letter.
pub fn no_yaml(source: &Source) -> Option<Finding> {
    let ending = source.path.extension().unwrap_or_default();
    let is_table = ["csv", "tsv"]
        .iter()
        .any(|e| ending.eq_ignore_ascii_case(e));
    let (what, remedy) = if is_table {
        let remedy = "a test day names it as `pulls: FILE`, a track as `log: FILE` or `path: FILE`";
        ("a table", remedy)
    } else if source.text.trim_start().starts_with('<') {
        ("XML, as GPX is", PATH)
    } else {
        return None;
    };
    let text = format!("this file is {what}, and one with keys is asked for");
    let finding = source.finding(Severity::Error, Mark::default(), text);
    Some(finding.remedy(remedy))
}

fn by_name(path: &Path) -> Option<FileKind> {
    match path.file_stem()?.to_str()? {
        "study" => Some(FileKind::Study),
        "car" => Some(FileKind::Car),
        "testday" => Some(FileKind::TestDay),
        _ => None,
    }
}
