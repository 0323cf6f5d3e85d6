//! The tables of a folder or a pattern, and what is left out of them.

use std::cmp::Ordering;
use std::fs;
use std::path::{Path, PathBuf};

use crate::files::finding::quoted;
use crate::files::pulls;
use crate::files::workbook::{is_named_so, sheet_of};
use crate::files::yaml::Item;

/// Most files of one pattern.
const MOST_FILES: usize = 200;
/// What makes a name a pattern.
const WILD: [char; 3] = ['*', '?', '['];
/// Endings of the files that a folder of pulls is searched for.
const ENDINGS: [&str; 7] = ["csv", "txt", "tsv", "dat", "prn", "xlsx", "xlsm"];
/// The same in words.
pub const LOOKED_FOR: &str = "files ending in .csv, .txt, .tsv, .dat, .prn or .xlsx are looked for";
/// What systems leave in the folders they show.
const SHADOWS: [&str; 2] = ["thumbs.db", "desktop.ini"];

/// What a folder or a pattern names.
#[derive(Debug, Default)]
pub struct Listing {
    /// Tables in the order people count: `long-2` before `long-10`.
    pub tables: Vec<PathBuf>,
    /// What is no table, each by its name with the reason.
    pub left_out: Vec<String>,
}

impl Listing {
    /// The tables of a folder.
    pub fn of(folder: &Path) -> Self {
        let entries = fs::read_dir(folder).into_iter().flatten().flatten();
        let mut paths: Vec<PathBuf> = entries.map(|entry| entry.path()).collect();
        paths.sort_by(|a, b| natural(&a.to_string_lossy(), &b.to_string_lossy()));
        let mut listing = Self::default();
        for path in paths {
            if is_table(&path) {
                listing.tables.push(path);
            } else if let Some(why) = left_out(&path) {
                listing.leave_out(&path, why);
            }
        }
        listing.with_sheets()
    }

    /// With the sheets that hold pulls for each workbook; one that cannot be read, or holds none, is told of when it
    /// is read itself.
    fn with_sheets(mut self) -> Self {
        for path in std::mem::take(&mut self.tables) {
            let found = match is_named_so(&path) && path.is_file() {
                true => pulls::sheets(&path).filter(|found| !found.pulls.is_empty()),
                false => None,
            };
            let Some(found) = found else {
                self.tables.push(path);
                continue;
            };
            self.tables.extend(found.pulls);
            for (sheet, why) in found.others {
                self.leave_out(&sheet, why);
            }
        }
        self
    }

    /// Notes a file that is not read.
    pub fn leave_out(&mut self, path: &Path, why: &str) {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        let name = match sheet_of(path).and_then(|(book, _)| book.file_name()) {
            Some(book) => format!("{}, sheet {name}", book.to_string_lossy()),
            None => name.into_owned(),
        };
        self.left_out.push(format!("{} ({why})", quoted(&name)));
    }

    /// What is left out, in one sentence; `None` where nothing is.
    pub fn told(&self, of: &str) -> Option<String> {
        const SHOWN: usize = 6;
        let more = self.left_out.len().saturating_sub(SHOWN);
        let shown = self.left_out[..self.left_out.len() - more].join(", ");
        let more = match more {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        (!self.left_out.is_empty()).then(|| format!("left out of {of}: {shown}{more}"))
    }
}

/// Why a thing in a folder of pulls is left out, where a person should know; `None` of a folder and
/// of what systems and spreadsheets leave behind.
fn left_out(path: &Path) -> Option<&'static str> {
    let name = path.file_name()?.to_string_lossy().to_lowercase();
    if is_shadow(&name) || SHADOWS.contains(&name.as_str()) {
        return None;
    }
    match fs::metadata(path) {
        Ok(about) if about.is_file() && is_workbook(path) => {
            Some("a workbook: save it as .xlsx or CSV")
        }
        Ok(about) if about.is_file() => Some("not a table"),
        Ok(about) if about.is_dir() => ends_as_table(path).then_some("a folder"),
        Ok(_) => Some("no ordinary file"),
        Err(_) => Some("a link that leads nowhere"),
    }
}

/// Whether a file is one that pulls are looked for in.
pub fn is_table(path: &Path) -> bool {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    ends_as_table(path) && !is_shadow(&name) && path.is_file()
}

fn ends_as_table(path: &Path) -> bool {
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    ENDINGS.iter().any(|e| e.eq_ignore_ascii_case(&ending))
}

/// Whether a file is named as those of spreadsheets are that are not read.
fn is_workbook(path: &Path) -> bool {
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    let known = ["xls", "xlsb", "ods"];
    known.iter().any(|e| e.eq_ignore_ascii_case(&ending))
}

/// What file systems and spreadsheets leave beside the files they open.
fn is_shadow(name: &str) -> bool {
    name.starts_with(['.', '~'])
}

/// Whether a name stands for one file, rather than for a folder or a pattern.
pub fn is_one(file: &Item, written: &str) -> bool {
    let path = file.beside(written);
    !path.is_dir() && (path.exists() || !written.contains(WILD))
}

/// The files that a folder, a pattern or a name stands for; `None` after a fault.
pub fn named(file: &Item, written: &str) -> Option<Listing> {
    let path = file.beside(written);
    let listing = if path.is_dir() {
        Listing::of(&path)
    } else if written.contains(WILD) && !path.exists() {
        matching(file, written)?
    } else {
        let alone = Listing {
            tables: vec![path],
            ..Listing::default()
        };
        return Some(alone.with_sheets());
    };
    if listing.tables.is_empty() {
        let text = format!("no pull file in {}", quoted(written));
        let slashed = written.replace('\\', "/");
        let remedy = match listing.told(&quoted(written)) {
            None if slashed != written => {
                format!("folders are parted by `/`: write {}", quoted(&slashed))
            }
            Some(told) => format!("{LOOKED_FOR}; {told}"),
            None => LOOKED_FOR.to_owned(),
        };
        file.error(text, remedy);
    } else if listing.tables.len() > MOST_FILES {
        let text = format!("{} names more than {MOST_FILES} files", quoted(written));
        file.error(
            text,
            format!("at most {MOST_FILES} are read for one fitting"),
        );
        return None;
    }
    Some(listing)
}

/// The files that fit a pattern; one that would search a disk is refused.
fn matching(file: &Item, written: &str) -> Option<Listing> {
    let wild = written
        .split(['/', '\\'])
        .filter(|part| part.contains(WILD));
    if written.contains("**") || wild.count() > 2 {
        let text = format!("{} would search whole trees of folders", quoted(written));
        file.error(text, "name the folder, as in `pulls/long-*.csv`");
        return None;
    }
    let folder = file.beside("");
    let escaped = glob::Pattern::escape(&folder.to_string_lossy());
    let pattern = Path::new(&escaped).join(written);
    match in_any_case(&pattern.to_string_lossy()) {
        Ok(matches) => {
            let mut listing = Listing::default();
            for path in matches {
                // One more than is read tells that there are more.
                if listing.tables.len() > MOST_FILES {
                    break;
                }
                match path.is_file() {
                    true => listing.tables.push(path),
                    false => listing.leave_out(&path, left_out(&path).unwrap_or("a folder")),
                }
            }
            let by_count =
                |a: &PathBuf, b: &PathBuf| natural(&a.to_string_lossy(), &b.to_string_lossy());
            listing.tables.sort_by(by_count);
            Some(listing.with_sheets())
        }
        Err(error) => {
            let text = format!("{} is no pattern: {}", quoted(written), error.msg);
            file.error(text, "write it as in `pulls/long-*.csv`");
            None
        }
    }
}

/// What fits a pattern, whatever the case of its ending; whatever its case at all where nothing does.
fn in_any_case(pattern: &str) -> Result<Vec<PathBuf>, glob::PatternError> {
    let lowered = |path: &str| match path.rsplit_once('.') {
        Some((stem, ending)) => format!("{stem}.{}", ending.to_lowercase()),
        None => path.to_owned(),
    };
    let exact = glob::Pattern::new(&lowered(pattern))?;
    let any = glob::MatchOptions {
        case_sensitive: false,
        ..glob::MatchOptions::new()
    };
    let all: Vec<PathBuf> = glob::glob_with(pattern, any)?.flatten().collect();
    let (near, other): (Vec<PathBuf>, Vec<PathBuf>) = all
        .into_iter()
        .partition(|path| exact.matches(&lowered(&path.to_string_lossy())));
    Ok(if near.is_empty() { other } else { near })
}

/// Compares texts with the numbers in them as numbers.
fn natural(a: &str, b: &str) -> Ordering {
    fn parts(text: &str) -> impl Iterator<Item = &[u8]> {
        let alike = |a: &u8, b: &u8| a.is_ascii_digit() == b.is_ascii_digit();
        text.as_bytes().chunk_by(alike)
    }
    let number = |part: &[u8]| -> Option<u128> { str::from_utf8(part).ok()?.parse().ok() };
    let compared = parts(a)
        .zip(parts(b))
        .map(|(a, b)| match (number(a), number(b)) {
            (Some(x), Some(y)) => x.cmp(&y),
            _ => a.cmp(b),
        })
        .find(|order| *order != Ordering::Equal);
    compared.unwrap_or_else(|| a.cmp(b))
}
