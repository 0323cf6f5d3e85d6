//! Sheets of a workbook in which there are pulls.

use std::path::{Path, PathBuf};

use super::columns;
use crate::files::finding::Findings;
use crate::files::table::Table;
use crate::files::workbook::{Workbook, sheet_of};

/// The sheets of a workbook in which there are pulls, by their paths, and the others, each with why it is left out.
pub struct Sheets {
    /// Those with pulls.
    pub pulls: Vec<PathBuf>,
    /// The others.
    pub others: Vec<(PathBuf, &'static str)>,
}

/// Looks through the sheets of a workbook; `None` where it cannot be read.
pub fn sheets(path: &Path) -> Option<Sheets> {
    let mut found = Sheets {
        pulls: Vec::new(),
        others: Vec::new(),
    };
    let mut book = Workbook::open(path).ok()?;
    for sheet in book.sheets.clone() {
        let at = path.join(&sheet.name);
        if sheet.hidden {
            found.others.push((at, "a hidden sheet"));
            continue;
        }
        let mut silent = Findings::new();
        let source = book.source(&sheet.name, &mut silent);
        let table =
            source.map(|source| (source.text.is_empty(), Table::parse(source, &mut silent)));
        match table {
            Ok((true, _)) => {}
            Ok((_, None)) => found.others.push((at, "no table is in it")),
            Ok((_, Some(table))) if columns::none(&table) => {
                found.others.push((at, "no pull is in it"))
            }
            // What is wrong with it is told when it is read.
            Ok(_) | Err(_) => found.pulls.push(at),
        }
    }
    Some(found)
}

/// What pulls of a file are called: by its name without its ending, with that of the sheet.
pub(super) fn name(path: &Path) -> String {
    let stem = |path: &Path| {
        let stem = path.file_stem().unwrap_or_default();
        stem.to_string_lossy().into_owned()
    };
    match sheet_of(path) {
        Some((book, sheet)) => format!("{} {sheet}", stem(book)),
        None => stem(path),
    }
}
