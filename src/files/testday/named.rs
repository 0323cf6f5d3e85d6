//! Files that entries of a spec name one by one: a folder or a pattern that catches them too leaves them
//! to those entries.

use std::path::{Path, PathBuf};

use super::listing;
use super::sources::PULL_KEYS;
use crate::files::workbook::sheet_of;
use crate::files::yaml::Item;

/// A file that an entry names, alone.
struct One {
    /// Where it is, links followed.
    file: PathBuf,
    /// Whether it stands over names alone, as an entry with keys does: these say more.
    keyed: bool,
    /// The pulls of it that are meant; empty where all of them.
    pulls: Vec<String>,
}

/// What the entries of one list name alone.
#[derive(Default)]
pub struct Named(Vec<One>);

impl Named {
    /// What the entries under `pulls:` name.
    pub fn among(entries: &[Item]) -> Self {
        Self(entries.iter().filter_map(one).collect())
    }

    /// This list with another.
    pub fn and(mut self, other: Self) -> Self {
        self.0.extend(other.0);
        self
    }

    /// This list for the other fittings of a spec: it takes their files from folders and patterns alone.
    pub fn by_name(mut self) -> Self {
        for one in &mut self.0 {
            one.keyed = false;
        }
        self
    }

    /// Whether a file is left to an entry that names it, for one that names it so.
    pub fn takes(&self, file: &Path, entry: Entry) -> bool {
        self.over(file, entry).any(|one| one.pulls.is_empty())
    }

    /// The same of one pull of a file.
    pub fn takes_pull(&self, file: &Path, label: &str, entry: Entry) -> bool {
        let mut over = self.over(file, entry);
        over.any(|one| one.pulls.iter().any(|pull| pull == label))
    }

    fn over(&self, file: &Path, entry: Entry) -> impl Iterator<Item = &One> {
        let file = real(file);
        let book = sheet_of(&file).map(|(book, _)| book.to_owned());
        let above = move |one: &&One| match entry {
            Entry::Many => true,
            Entry::Name => one.keyed,
            Entry::Keyed => false,
        };
        self.0
            .iter()
            .filter(above)
            .filter(move |one| one.file == file || Some(&one.file) == book.as_ref())
    }
}

/// How an entry names its files.
#[derive(Clone, Copy)]
pub enum Entry {
    /// A folder or a pattern.
    Many,
    /// One file, by its name alone.
    Name,
    /// One file, under the key `file`.
    Keyed,
}

impl Entry {
    /// The kind of an entry with the item of its file.
    pub fn of(item: &Item, file: &Item, written: &str) -> Self {
        match (listing::is_one(file, written), item.is_mapping()) {
            (false, _) => Self::Many,
            (true, false) => Self::Name,
            (true, true) => Self::Keyed,
        }
    }
}

fn one(entry: &Item) -> Option<One> {
    let map = entry.is_mapping().then(|| entry.mapping(PULL_KEYS));
    let map = map.flatten();
    let file = match &map {
        Some(map) => map.take("file")?,
        None => *entry,
    };
    let written = file.word()?;
    listing::is_one(&file, written).then_some(())?;
    let sheet = map.as_ref().and_then(|map| map.take("sheet"));
    let sheet = sheet.and_then(|sheet| Some(sheet.word()?.to_owned()));
    // Who names some pulls of a file leaves its others to who else names it.
    let pulls = map.as_ref().and_then(|map| map.take("pull"));
    let pulls = pulls.map(|item| item.one_or_more()).unwrap_or_default();
    Some(One {
        file: real(&file.beside(&of_sheet(written, sheet.as_deref()))),
        keyed: map.is_some(),
        pulls: pulls
            .iter()
            .filter_map(|pull| Some(pull.word()?.to_owned()))
            .collect(),
    })
}

/// The path of a sheet of a workbook, where one is named.
pub fn of_sheet(written: &str, sheet: Option<&str>) -> String {
    match sheet {
        Some(sheet) => format!("{written}/{sheet}"),
        None => written.to_owned(),
    }
}

fn real(path: &Path) -> PathBuf {
    if let Some((book, sheet)) = sheet_of(path) {
        return real(book).join(sheet);
    }
    path.canonicalize().unwrap_or_else(|_| path.to_owned())
}
