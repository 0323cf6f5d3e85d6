//! Where a piece of road stands in its file.

use std::path::Path;

use super::SOURCES;
use crate::files::finding::{Findings, Position};
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
