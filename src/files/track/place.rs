//! Where a piece of road stands in its file.

use std::path::Path;

use super::SOURCES;
use crate::files::finding::{Finding, Findings, Position, Severity};
use crate::files::yaml::{self, Item};

/// The line of a piece, counted from 0 as the road is driven; of a road that is not written in
/// pieces, the line that names its source.
pub fn piece(path: &Path, piece: usize) -> Option<Position> {
    let mut place = None;
    // What is wrong with the file was told when it was read.
    yaml::read(path, &mut Findings::new(), |root| {
        let entries = root.entries()?;
        let source = entries.iter().find(|item| SOURCES.contains(&item.name()))?;
        let mut left = piece;
        place = match source.name() {
            "pieces" => nth(source, &mut left),
            _ => Some(source.position()),
        };
        Some(())
    });
    place
}

/// The line of the known time.
pub fn known(path: &Path) -> Option<Position> {
    let mut place = None;
    yaml::read(path, &mut Findings::new(), |root| {
        let entries = root.entries()?;
        let known = entries.iter().find(|item| item.name() == "known")?;
        place = Some(known.position());
        Some(())
    });
    place
}

/// A finding without a text where a track first names a surface, or defines what it is like; `None`
/// where it nowhere does.
pub fn surface(path: &Path, name: &str) -> Option<Finding> {
    let mut place = None;
    yaml::read(path, &mut Findings::new(), |root| {
        place = naming(&root, name);
        Some(())
    });
    place
}

/// The first value under a key that takes a surface, as written or with its state before it.
fn naming(item: &Item, name: &str) -> Option<Finding> {
    if item.is_list() {
        return item.list()?.iter().find_map(|inner| naming(inner, name));
    }
    if item.is_mapping() {
        return item.entries()?.iter().find_map(|inner| naming(inner, name));
    }
    let word = item.word()?;
    let is_named = word == name || word.strip_suffix(name).is_some_and(|b| b.ends_with(' '));
    let takes = matches!(item.name(), "surface" | "like");
    (takes && is_named).then(|| item.finding(Severity::Error, ""))
}

/// The piece that comes after so many others, repeats written out.
fn nth(list: &Item, left: &mut usize) -> Option<Position> {
    for item in list.list()? {
        let kinds = item.entries()?;
        let kind = kinds.first()?;
        if kind.name() != "repeat" {
            if *left == 0 {
                return Some(item.position());
            }
            *left -= 1;
            continue;
        }
        let keys = kind.entries()?;
        let key = |name: &str| keys.iter().find(|item| item.name() == name);
        let times = key("times")?.word()?.parse().ok()?;
        for _ in 0..times {
            if let Some(place) = nth(key("pieces")?, left) {
                return Some(place);
            }
        }
    }
    None
}
