//! The list of what was found while reading.

use std::path::PathBuf;

use serde::ser::{Serialize, Serializer};

use super::{Finding, Severity};
use crate::files::opened::Opened;

/// Everything found while reading, over any number of files.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Findings {
    list: Vec<Finding>,
    opened: Vec<Opened>,
}

impl Findings {
    /// Nothing found.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds one, unless it was told a moment ago: readers may look at one place more than once.
    pub fn push(&mut self, finding: Finding) {
        const LAST: usize = 16;
        let from = self.list.len().saturating_sub(LAST);
        if !self.list[from..].contains(&finding) {
            self.list.push(finding);
        }
    }

    /// Adds all of another list.
    pub fn append(&mut self, other: Findings) {
        self.opened_for(&other);
        self.list.extend(other.list);
    }

    /// Notes a file that was read; of one that is read again, the first time counts.
    pub fn opened(&mut self, file: Opened) {
        if !self.opened.iter().any(|known| known.path == file.path) {
            self.opened.push(file);
        }
    }

    /// Notes the files that were read for another list.
    pub fn opened_for(&mut self, other: &Findings) {
        let files = other.opened.iter().cloned();
        files.for_each(|file| self.opened(file));
    }

    /// The files that were read, in the order in which they were.
    pub fn files(&self) -> &[Opened] {
        &self.opened
    }

    /// Whether anything stops the work.
    pub fn has_errors(&self) -> bool {
        self.errors() > 0
    }

    /// How many faults there are.
    pub fn errors(&self) -> usize {
        self.of(Severity::Error).count()
    }

    /// Those of one severity.
    pub fn of(&self, severity: Severity) -> impl Iterator<Item = &Finding> {
        self.list.iter().filter(move |f| f.severity == severity)
    }

    /// Whether the value of a key is assumed, as nobody wrote one.
    pub fn assumes(&self, key: &str) -> bool {
        let mut assumed = self.of(Severity::Assumed);
        assumed.any(|found| found.key.as_deref() == Some(key))
    }

    /// All of them.
    pub fn iter(&self) -> std::slice::Iter<'_, Finding> {
        self.list.iter()
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.list.len()
    }

    /// Whether nothing was found.
    pub fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// Orders by file, in the order the files were met, then by line and column; what belongs to
    /// no file comes last.
    pub fn sort(&mut self) {
        let mut files: Vec<PathBuf> = Vec::new();
        for position in self.list.iter().filter_map(|f| f.position.as_ref()) {
            if !files.contains(&position.path) {
                files.push(position.path.clone());
            }
        }
        let rank = |f: &Finding| match &f.position {
            Some(p) => {
                let file = files.iter().position(|path| *path == p.path);
                (file.unwrap_or(files.len()), p.line, p.column)
            }
            None => (files.len(), 0, 0),
        };
        self.list.sort_by_cached_key(rank);
    }
}

impl IntoIterator for Findings {
    type Item = Finding;
    type IntoIter = std::vec::IntoIter<Finding>;
    fn into_iter(self) -> Self::IntoIter {
        self.list.into_iter()
    }
}

impl<'a> IntoIterator for &'a Findings {
    type Item = &'a Finding;
    type IntoIter = std::slice::Iter<'a, Finding>;
    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

impl Serialize for Findings {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq(&self.list)
    }
}
