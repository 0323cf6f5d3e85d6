//! What a YAML file is, by its name and the keys in it.

use std::path::Path;

use super::finding::Findings;
use super::source::{Source, YAML_LIMIT};
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

/// What a file is: by its keys, or by its name where it cannot be read; `None` where neither tells.
pub fn kind_of(path: &Path) -> Option<FileKind> {
    by_keys(path).or_else(|| by_name(path))
}

fn by_keys(path: &Path) -> Option<FileKind> {
    // Faults are found again, and reported, when the file is read for what it is.
    let mut ignored = Findings::new();
    let source = Source::read(path, YAML_LIMIT, &mut ignored)?;
    let root = tree::parse(&source, &mut ignored)?;
    let Value::Map(entries) = root.value else {
        return None;
    };
    let has = |key: &str| entries.iter().any(|entry| entry.key == key);
    SIGNS
        .iter()
        .find(|(key, _)| has(key))
        .map(|(_, kind)| *kind)
}

fn by_name(path: &Path) -> Option<FileKind> {
    match path.file_stem()?.to_str()? {
        "study" => Some(FileKind::Study),
        "car" => Some(FileKind::Car),
        "testday" => Some(FileKind::TestDay),
        _ => None,
    }
}
