//! Workbooks of spreadsheets (.xlsx, .xlsm): each sheet as a text of cells parted by tabs, a line for each of its rows.
//!
//! A sheet goes by a path as if its workbook were a folder: `pulls/day.xlsx/Run 3`. Nothing in a workbook is trusted:
//! every part is unpacked against a limit, and only what is read is unpacked.

mod cells;
mod formats;
mod parts;

#[cfg(test)]
mod tests;

use std::path::{Path, PathBuf};

use self::formats::Formats;
use self::parts::{Parts, Strings};
use super::finding::{Finding, Findings, Position, Severity, quoted};
use super::foreign;
use super::nearest::nearest;
use super::source::{Mark, Source, load, named};
use super::table::Table;

/// Largest workbook that is read, bytes.
pub const LIMIT: u64 = 30 << 20;
/// Most sheets of one workbook.
const MOST_SHEETS: usize = 100;
/// Endings of workbooks that are read.
const ENDINGS: [&str; 2] = ["xlsx", "xlsm"];

/// One sheet of a workbook.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sheet {
    /// Its name, in letters that a path may have.
    pub name: String,
    /// Whether it is hidden in the spreadsheet.
    pub hidden: bool,
    /// Where in the package it is.
    part: String,
}

/// A workbook in memory.
pub struct Workbook {
    path: PathBuf,
    parts: Parts,
    strings: Strings,
    formats: Formats,
    /// Its sheets, in its order; charts are none.
    pub sheets: Vec<Sheet>,
}

/// Whether a path is named as a workbook that can be read.
pub fn is_named_so(path: &Path) -> bool {
    let ending = path.extension().unwrap_or_default();
    ENDINGS.iter().any(|e| ending.eq_ignore_ascii_case(e))
}

/// The workbook and the sheet that a path stands for; `None` where it is no path of a sheet.
pub fn sheet_of(path: &Path) -> Option<(&Path, &str)> {
    let book = path.parent().filter(|book| is_named_so(book))?;
    Some((book, path.file_name()?.to_str()?))
}

/// The file that a path stands for: the workbook of a sheet, else itself.
pub fn file_of(path: &Path) -> &Path {
    sheet_of(path).map_or(path, |(book, _)| book)
}

/// Whether bytes are a workbook that can be read.
pub fn is_one(bytes: &[u8]) -> bool {
    let holds = |name: &[u8]| bytes.windows(name.len()).any(|part| part == name);
    bytes.starts_with(b"PK\x03\x04") && holds(b"xl/workbook.xml")
}

impl Workbook {
    /// Opens a workbook.
    ///
    /// # Errors
    /// One finding that says what is in the way.
    pub fn open(path: &Path) -> Result<Self, Box<Finding>> {
        Self::of(path, load(path, LIMIT)?)
    }

    /// A workbook already in memory.
    ///
    /// # Errors
    /// One finding that says what is in the way.
    pub fn of(path: &Path, bytes: Vec<u8>) -> Result<Self, Box<Finding>> {
        if !is_one(&bytes) {
            let none = || {
                fault(
                    path,
                    "this file is called a workbook and is none",
                    SAVE_AGAIN,
                )
            };
            return Err(Box::new(foreign::fault(path, &bytes).unwrap_or_else(none)));
        }
        let damaged = |why: String| {
            let text = format!("this workbook cannot be read: {why}");
            Box::new(fault(path, &text, SAVE_AGAIN))
        };
        if bytes.len() as u64 > LIMIT {
            return Err(damaged(format!("at most {} MB are read", LIMIT >> 20)));
        }
        let mut parts = Parts::new(bytes).map_err(damaged)?;
        let book = parts.book().map_err(damaged)?;
        let mut sheets: Vec<Sheet> = Vec::new();
        for (name, hidden, part) in book.sheets {
            if sheets.len() == MOST_SHEETS {
                return Err(damaged(format!("it has more than {MOST_SHEETS} sheets")));
            }
            let name = as_name(&name);
            if sheets.iter().any(|sheet| sheet.name == name) {
                return Err(damaged(format!(
                    "two of its sheets are called {}",
                    quoted(&name)
                )));
            }
            sheets.push(Sheet { name, hidden, part });
        }
        let formats = Formats::of(book.styles.as_deref(), book.from_1904).map_err(damaged)?;
        Ok(Self {
            path: path.to_owned(),
            strings: book.strings,
            parts,
            formats,
            sheets,
        })
    }

    /// The sheets that are not hidden.
    pub fn shown(&self) -> Vec<String> {
        let shown = self.sheets.iter().filter(|sheet| !sheet.hidden);
        shown.map(|sheet| sheet.name.clone()).collect()
    }

    /// A sheet as a table of text.
    ///
    /// # Errors
    /// There is no such sheet, or it cannot be read.
    pub fn source(&mut self, name: &str, findings: &mut Findings) -> Result<Source, Box<Finding>> {
        let Some(sheet) = self.sheets.iter().find(|sheet| sheet.name == name) else {
            let text = format!("there is no sheet {} in this workbook", quoted(name));
            let names = || self.sheets.iter().map(|sheet| sheet.name.as_str());
            let remedy = match (nearest(name, names()), named(names())) {
                (Some(name), _) => format!("did you mean {}?", quoted(name)),
                (None, Some(there)) => format!("its sheets are {there}"),
                (None, None) => "it has none".to_owned(),
            };
            return Err(Box::new(fault(&self.path, &text, &remedy)));
        };
        let path = self.path.join(&sheet.name);
        let xml = self.parts.text(&sheet.part);
        let made = xml.and_then(|xml| cells::text(&xml, &self.strings, &self.formats));
        let made = made.map_err(|why| {
            let text = format!("this sheet cannot be read: {why}");
            Box::new(fault(&path, &text, SAVE_AGAIN))
        })?;
        let source = Source::new(path, made.text);
        if let Some((first, count)) = made.hidden {
            let mark = Mark {
                line: first,
                ..Mark::default()
            };
            let text = format!(
                "{} of this sheet from this one on are hidden in the spreadsheet, and are read",
                crate::units::counted(count, "row")
            );
            let finding = source.finding(Severity::Warning, mark, text);
            findings.push(finding.remedy("delete them there if they do not count, else show them"));
        }
        Ok(source)
    }

    /// The sheets that are not hidden and hold a table.
    ///
    /// # Errors
    /// One of them cannot be read.
    pub fn tables(&mut self) -> Result<Vec<String>, Box<Finding>> {
        let mut tables = Vec::new();
        for name in self.shown() {
            let mut silent = Findings::new();
            let source = self.source(&name, &mut silent)?;
            if Table::parse(source, &mut silent).is_some() {
                tables.push(name);
            }
        }
        Ok(tables)
    }

    /// The one sheet that holds a table.
    ///
    /// # Errors
    /// None does, or several do.
    pub fn only_table(&mut self, findings: &mut Findings) -> Result<Source, Box<Finding>> {
        let shown = self.shown();
        if let [only] = shown.as_slice() {
            return self.source(only, findings);
        }
        let tables = self.tables()?;
        let there = named(tables.iter().map(String::as_str)).unwrap_or_default();
        match tables.as_slice() {
            [only] => self.source(only, findings),
            [] => Err(Box::new(fault(
                &self.path,
                "no sheet of this workbook holds a table",
                "it wants a row that names the columns, and a row for each point under it; hidden sheets are not read",
            ))),
            [first, ..] => {
                let file = self.path.file_name().unwrap_or_default().to_string_lossy();
                let text = format!("several sheets of this workbook hold tables: {there}");
                let remedy =
                    format!("say which one is meant, as in `{{file: {file}, sheet: {first}}}`");
                Err(Box::new(fault(&self.path, &text, &remedy)))
            }
        }
    }
}

/// The sheet of a workbook that a path stands for, or its only table.
pub(super) fn read(path: &Path, bytes: Vec<u8>, findings: &mut Findings) -> Option<Source> {
    let source = Workbook::of(file_of(path), bytes).and_then(|mut book| match sheet_of(path) {
        Some((_, sheet)) => book.source(sheet, findings),
        None => book.only_table(findings),
    });
    source.map_err(|finding| findings.push(*finding)).ok()
}

const SAVE_AGAIN: &str = "open it in a spreadsheet and save it again as .xlsx, or the table as CSV";

fn fault(path: &Path, text: &str, remedy: &str) -> Finding {
    Finding::error(text).at(Position::file(path)).remedy(remedy)
}

/// The name of a sheet in letters that stand for no other place in a path.
fn as_name(name: &str) -> String {
    let letter = |c: char| match c {
        '/' | '\\' | ':' => '_',
        c if c.is_control() => '_',
        c => c,
    };
    match name.trim() {
        "" | "." | ".." => "_".to_owned(),
        name => name.chars().take(255).map(letter).collect(),
    }
}
