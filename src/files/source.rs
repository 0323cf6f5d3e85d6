//! Reading a text file whole: only regular files, only so large, only text.

mod pages;

use std::fs::File;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

use super::finding::{Excerpt, Finding, Findings, Position, Severity, quoted};
use super::foreign;
use super::nearest::nearest;
use super::opened::Opened;
use super::workbook;

/// Largest YAML file that is read, bytes.
pub const YAML_LIMIT: u64 = 4 << 20;
/// Largest table or path that is read, bytes.
pub const TABLE_LIMIT: u64 = 150 << 20;

/// A text file in memory.
#[derive(Debug, Clone)]
pub struct Source {
    /// Where it came from.
    pub path: PathBuf,
    /// Its text, without a byte-order mark.
    pub text: String,
    /// Where every [`STRIDE`]th line begins: an index of every line of a large table would weigh
    /// as much as the table.
    line_starts: Vec<usize>,
}

/// Lines between two entries of the index.
const STRIDE: usize = 256;

impl Source {
    /// A source from a text already in memory.
    pub fn new(path: impl Into<PathBuf>, text: impl Into<String>) -> Self {
        let text = text.into();
        let line_starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(i, _)| i + 1))
            .step_by(STRIDE)
            .collect();
        Self {
            path: path.into(),
            text,
            line_starts,
        }
    }

    /// Reads a file of at most `limit` bytes as text: UTF-8 with or without a byte-order mark, or
    /// UTF-16. What cannot be read becomes one finding.
    pub fn read(path: &Path, limit: u64, findings: &mut Findings) -> Option<Self> {
        let bytes = Self::load(path, limit, findings)?;
        let size = bytes.len();
        let source = Self::from_bytes(path, bytes, findings)?;
        findings.opened(Opened::new(path, size, &source.text));
        Some(source)
    }

    /// As [`Source::read`], for tables: see [`Source::table_from_bytes`]. A sheet of a workbook is one too.
    pub fn read_table(path: &Path, limit: u64, findings: &mut Findings) -> Option<Self> {
        let bytes = Self::load(workbook::file_of(path), limit, findings)?;
        let size = bytes.len();
        let source = match workbook::is_one(&bytes) || workbook::sheet_of(path).is_some() {
            true => workbook::read(path, bytes, findings)?,
            false => Self::table_from_bytes(path, bytes, findings)?,
        };
        findings.opened(Opened::new(path, size, &source.text));
        Some(source)
    }

    fn load(path: &Path, limit: u64, findings: &mut Findings) -> Option<Vec<u8>> {
        load(path, limit)
            .map_err(|finding| findings.push(*finding))
            .ok()
    }

    /// The text of a file already in memory: UTF-8 with or without a byte-order mark, or UTF-16.
    pub fn from_bytes(path: &Path, bytes: Vec<u8>, findings: &mut Findings) -> Option<Self> {
        if let Some(fault) = foreign::fault(path, &bytes) {
            findings.push(fault);
            return None;
        }
        match decode(path, bytes) {
            Ok(text) => Some(Self::new(path, text)),
            Err(finding) => {
                findings.push(*finding);
                None
            }
        }
    }

    /// As [`Source::from_bytes`], for tables: what is neither is taken for Windows-1252, in which
    /// older loggers and spreadsheets write `°` and `ü`, or where words tell it for Windows-1250.
    pub fn table_from_bytes(path: &Path, bytes: Vec<u8>, findings: &mut Findings) -> Option<Self> {
        let bytes = match std::str::from_utf8(&bytes) {
            Err(_) if wide(&bytes).is_none() && foreign::fault(path, &bytes).is_none() => {
                pages::text(&bytes).into_bytes()
            }
            _ => bytes,
        };
        Self::from_bytes(path, bytes, findings)
    }

    /// A line by its number from 1, without its end; empty where there is none.
    pub fn line(&self, number: u32) -> &str {
        let Some(index) = (number as usize).checked_sub(1) else {
            return "";
        };
        let Some(&start) = self.line_starts.get(index / STRIDE) else {
            return "";
        };
        let line = self.text[start..].split('\n').nth(index % STRIDE);
        line.unwrap_or_default().trim_end_matches('\r')
    }

    /// A finding at a place in this file, with the line itself.
    pub fn finding(&self, severity: Severity, mark: Mark, text: impl Into<String>) -> Finding {
        let position = Position {
            path: self.path.clone(),
            line: mark.line,
            column: mark.column,
        };
        let mut finding = Finding::new(severity, text).at(position);
        if mark.line > 0 {
            const LONGEST: usize = 4096;
            let line = self.line(mark.line);
            let cut = line
                .char_indices()
                .nth(LONGEST)
                .map_or(line.len(), |(i, _)| i);
            finding.excerpt = Some(Excerpt {
                line: line[..cut].to_owned(),
                width: mark.width,
            });
        }
        finding
    }
}

/// A place in a source: line and column from 1, and how many characters are meant. All zero means
/// the whole file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Mark {
    /// Line, from 1.
    pub line: u32,
    /// Column, from 1.
    pub column: u32,
    /// Width, characters.
    pub width: u32,
}

/// The bytes of a regular file, refused before reading where it is something else or too large.
///
/// # Errors
/// One finding that says what is in the way.
pub fn load(path: &Path, limit: u64) -> Result<Vec<u8>, Box<Finding>> {
    let at = Position::file(path);
    let fault = |text: String| Box::new(Finding::error(text).at(at.clone()));
    let about = std::fs::metadata(path).map_err(|e| Box::new(unreadable(path, &e)))?;
    check_kind(&about).map_err(|text| fault(text.to_owned()))?;
    let file = File::open(path).map_err(|e| Box::new(unreadable(path, &e)))?;
    // The path may have changed hands since it was looked at.
    let about = file
        .metadata()
        .map_err(|e| Box::new(unreadable(path, &e)))?;
    check_kind(&about).map_err(|text| fault(text.to_owned()))?;
    let too_large = |size: u64| {
        fault(format!(
            "this file has {} MB; at most {} MB are read",
            size.div_ceil(1 << 20),
            limit >> 20
        ))
    };
    if about.len() > limit {
        return Err(too_large(about.len()));
    }
    let mut bytes = Vec::with_capacity(about.len() as usize);
    file.take(limit + 1)
        .read_to_end(&mut bytes)
        .map_err(|e| Box::new(unreadable(path, &e)))?;
    if bytes.len() as u64 > limit {
        return Err(too_large(bytes.len() as u64));
    }
    Ok(bytes)
}

fn check_kind(about: &std::fs::Metadata) -> Result<(), &'static str> {
    if about.is_dir() {
        Err("this is a folder, and a file is wanted")
    } else if !about.is_file() {
        Err("this is no ordinary file (a pipe, a socket or a device) and is not read")
    } else {
        Ok(())
    }
}

fn unreadable(path: &Path, error: &io::Error) -> Finding {
    let at = Position::file(path);
    match error.kind() {
        io::ErrorKind::NotFound if path.is_symlink() => {
            Finding::error("this is a link to a file that is not there")
                .at(at)
                .remedy("put the file where the link leads, or the file itself in its place")
        }
        io::ErrorKind::NotFound => {
            let finding = Finding::error("there is no such file").at(at);
            let names = beside(path);
            match path.file_name().and_then(|name| name.to_str()) {
                Some(name) => match nearest(name, names.iter().map(String::as_str)) {
                    Some(name) => finding.remedy(format!("did you mean {}?", quoted(name))),
                    None => match named(like(&names, path)) {
                        Some(there) => finding.remedy(format!("there are {there}")),
                        None => finding,
                    },
                },
                None => finding,
            }
        }
        io::ErrorKind::PermissionDenied => {
            Finding::error("this file may not be read: permission denied").at(at)
        }
        _ => Finding::error(format!("this file cannot be read: {error}")).at(at),
    }
}

/// The names of what stands beside a path, in order.
fn beside(path: &Path) -> Vec<String> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty());
    let listing = std::fs::read_dir(folder.unwrap_or(Path::new(".")));
    let mut names: Vec<String> = listing
        .into_iter()
        .flatten()
        .take(1000)
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .collect();
    names.sort();
    names
}

/// Of some names those that end as a path does.
fn like<'a>(names: &'a [String], path: &'a Path) -> impl Iterator<Item = &'a str> {
    let names = names.iter().map(String::as_str);
    names.filter(|name| Path::new(name).extension() == path.extension() && !name.starts_with('.'))
}

/// The first few of some names, in words; `None` where there is none.
pub fn named<'a>(names: impl Iterator<Item = &'a str>) -> Option<String> {
    const SHOWN: usize = 6;
    let names: Vec<String> = names.take(SHOWN + 1).map(quoted).collect();
    match names.len() {
        0 => None,
        1..=SHOWN => Some(names.join(", ")),
        _ => Some(format!("{} and more", names[..SHOWN].join(", "))),
    }
}

/// Text from bytes.
fn decode(path: &Path, bytes: Vec<u8>) -> Result<String, Box<Finding>> {
    match wide(&bytes) {
        Some(order) => utf16(
            path,
            bytes.strip_prefix(&order.mark()).unwrap_or(&bytes),
            order,
        ),
        None => utf8(path, bytes),
    }
    .and_then(|text| no_zeros(path, text))
    .map(with_line_feeds)
}

/// Which byte of a UTF-16 character comes first.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Order {
    LowFirst,
    HighFirst,
}

impl Order {
    fn mark(self) -> [u8; 2] {
        match self {
            Self::LowFirst => [0xff, 0xfe],
            Self::HighFirst => [0xfe, 0xff],
        }
    }

    fn unit(self, pair: [u8; 2]) -> u16 {
        match self {
            Self::LowFirst => u16::from_le_bytes(pair),
            Self::HighFirst => u16::from_be_bytes(pair),
        }
    }
}

/// Whether bytes are UTF-16: they say so, or begin with two Latin letters written in it.
fn wide(bytes: &[u8]) -> Option<Order> {
    match bytes {
        [0xff, 0xfe, ..] => Some(Order::LowFirst),
        [0xfe, 0xff, ..] => Some(Order::HighFirst),
        [a, 0, b, 0, ..] if *a > 0 && *b > 0 => Some(Order::LowFirst),
        [0, a, 0, b, ..] if *a > 0 && *b > 0 => Some(Order::HighFirst),
        _ => None,
    }
}

/// Whether a file begins as text and goes on in zero bytes, as where a copy broke off.
pub fn is_torn(bytes: &[u8]) -> bool {
    let begins = bytes.first_chunk::<4>();
    let text = begins.is_some_and(|four| !four.contains(&0)) && wide(bytes).is_none();
    text && bytes.contains(&0)
}

fn utf16(path: &Path, bytes: &[u8], order: Order) -> Result<String, Box<Finding>> {
    let fault = |what: &str| {
        let finding = Finding::error(what).at(Position::file(path));
        Box::new(finding.remedy("save the file as UTF-8"))
    };
    if bytes.len() % 2 == 1 {
        return Err(fault(
            "this file begins as UTF-16 text and ends in half a character",
        ));
    }
    let units = bytes
        .chunks_exact(2)
        .map(|pair| order.unit([pair[0], pair[1]]));
    char::decode_utf16(units)
        .collect::<Result<String, _>>()
        .map_err(|_| fault("this file begins as UTF-16 text but is not all UTF-16"))
}

fn utf8(path: &Path, mut bytes: Vec<u8>) -> Result<String, Box<Finding>> {
    if bytes.starts_with(b"\xef\xbb\xbf") {
        bytes.drain(..3);
    }
    String::from_utf8(bytes).map_err(|error| {
        let good = error.utf8_error().valid_up_to();
        let bytes = error.as_bytes();
        let before = String::from_utf8_lossy(&bytes[..good]);
        let line = before.matches('\n').count() as u32 + 1;
        let tail = before.rsplit('\n').next().unwrap_or_default();
        let column = tail.chars().count() as u32 + 1;
        let end = bytes[good..]
            .iter()
            .position(|b| *b == b'\n')
            .map_or(bytes.len(), |n| good + n);
        let shown = String::from_utf8_lossy(&bytes[good - tail.len()..end.min(good + 80)]);
        let position = Position {
            path: path.to_owned(),
            line,
            column,
        };
        let text = format!("the byte {:#04x} here is not UTF-8 text", bytes[good]);
        let mut finding = Finding::error(text).at(position).remedy(
            "save the file as UTF-8 (older editors and loggers write `°` and `ü` otherwise)",
        );
        let shown = shown.trim_end_matches(['\n', '\r']).to_owned();
        finding.excerpt = Some(Excerpt {
            line: shown,
            width: 1,
        });
        Box::new(finding)
    })
}

fn no_zeros(path: &Path, text: String) -> Result<String, Box<Finding>> {
    let Some(at) = text.find('\0') else {
        return Ok(text);
    };
    let line = text[..at].matches('\n').count() as u32 + 1;
    let position = Position {
        path: path.to_owned(),
        line,
        column: 0,
    };
    Err(Box::new(
        Finding::error("there are zero bytes in this file: it is not text")
            .at(position)
            .remedy("save the file as text in UTF-8"),
    ))
}

/// Line ends of any system as line feeds, so that every reader counts the same lines.
fn with_line_feeds(text: String) -> String {
    if text.contains('\r') {
        text.replace("\r\n", "\n").replace('\r', "\n")
    } else {
        text
    }
}

#[cfg(test)]
mod tests;
