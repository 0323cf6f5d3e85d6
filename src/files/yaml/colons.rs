//! Keys whose colon is missing, or has no space behind it: YAML takes them for a text and goes on reading, so
//! that its own error stands further down.

use super::decode::Item;
use crate::files::finding::quoted;
use crate::files::source::{Mark, Source};

/// Lines above an error in which its cause is looked for.
const NEAR: u32 = 50;

/// A slip of the pen at a key.
pub struct Slip {
    /// The key.
    pub mark: Mark,
    /// What is wrong.
    pub text: String,
    /// What would be right.
    pub remedy: String,
}

/// The slip that a syntax error at `at` comes from: on its line, or, where the parser has read on, where the
/// text above it begins.
pub fn slip(source: &Source, at: Mark, read_on: bool) -> Option<Slip> {
    let own = on_line(source, at.line);
    let column = at.column.saturating_sub(1) as usize;
    let before: String = source.line(at.line).chars().take(column).collect();
    // Behind the first colon of a line its error is its own.
    if own.is_some() || !read_on || before.contains(": ") {
        return own;
    }
    let above = written_above(source, at.line).map_while(|line| on_line(source, line));
    above.last().or_else(|| without_colon(source, at.line))
}

/// The lines above one that say something, from below.
pub fn written_above(source: &Source, line: u32) -> impl Iterator<Item = u32> {
    let says = |line: &u32| {
        let text = source.line(*line).trim_start();
        !text.is_empty() && !text.starts_with('#')
    };
    (line.saturating_sub(NEAR).max(1)..line).rev().filter(says)
}

/// The text of a line behind its indentation and the marks of a list, and the column where it begins.
pub fn bare(line: &str) -> (&str, u32) {
    let mut text = line.trim_start();
    while let Some(rest) = text.strip_prefix("- ") {
        text = rest.trim_start();
    }
    let before = line[..line.len() - text.len()].chars().count();
    (text, before as u32 + 1)
}

fn on_line(source: &Source, number: u32) -> Option<Slip> {
    let line = source.line(number);
    if let Some(slip) = dash_without_space(line, number) {
        return Some(slip);
    }
    let (text, column) = bare(line);
    let (key, fault) = in_text(text)?;
    let dash = if line.trim_start().starts_with("- ") {
        "- "
    } else {
        ""
    };
    Some(Slip {
        mark: Mark {
            line: number,
            column,
            width: key.chars().count() as u32,
        },
        remedy: fault.remedy(key, dash),
        text: fault.text(key),
    })
}

/// An entry of a list whose dash runs into its key, as in `-name: short`.
pub fn dash_without_space(line: &str, number: u32) -> Option<Slip> {
    let text = line.trim_start();
    let entry = text.strip_prefix('-')?;
    let keyed = entry.contains(": ") || entry.trim_end().ends_with(':');
    let begins = entry.starts_with(|c: char| c.is_alphabetic() || c == '{');
    (begins && keyed).then(|| Slip {
        mark: Mark {
            line: number,
            column: (line.len() - text.len()) as u32 + 1,
            width: 1,
        },
        text: "no space stands after the dash".to_owned(),
        remedy: format!(
            "put one there: {}",
            quoted(&format!("- {}", entry.trim_end()))
        ),
    })
}

/// What is wrong behind a key.
enum Fault<'a> {
    /// The value follows the colon at once.
    NoSpace(&'a str),
    /// A bracket or brace follows without a colon.
    NoColon(char),
}

impl Fault<'_> {
    fn text(&self, key: &str) -> String {
        match self {
            Self::NoSpace(_) => format!("no space stands after the colon of {}", quoted(key)),
            Self::NoColon(_) => format!("a colon is missing after {}", quoted(key)),
        }
    }

    fn remedy(&self, key: &str, dash: &str) -> String {
        match self {
            Self::NoSpace(value) => {
                let right = format!("{key}: {value}");
                format!("put a space after the colon: {}", quoted(&right))
            }
            Self::NoColon('{') => format!("write `{dash}{key}: {{…}}`"),
            Self::NoColon(_) => format!("write `{dash}{key}: […]`"),
        }
    }
}

/// The key that a text begins with, and what is wrong behind it. An address, a path and a time of day are none.
fn in_text(text: &str) -> Option<(&str, Fault<'_>)> {
    let part = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | ' ');
    let end = text.find(|c| !part(c))?;
    let (key, rest) = (text[..end].trim_end(), &text[end..]);
    key.chars().next().filter(|c| c.is_alphabetic())?;
    let mut behind = rest.chars();
    let fault = match (behind.next()?, behind.next()) {
        (mark @ ('{' | '['), _) => Fault::NoColon(mark),
        (':', Some(next)) if !next.is_whitespace() && !matches!(next, '/' | '\\' | ':') => {
            let value = rest[1..].split(" #").next().unwrap_or_default();
            Fault::NoSpace(value.trim_end())
        }
        _ => return None,
    };
    Some((key, fault))
}

/// A text above a key, where nothing but a key can stand: at the beginning of the file, or of the keys under another.
fn without_colon(source: &Source, line: u32) -> Option<Slip> {
    let indent = |line: &str| line.len() - line.trim_start().len();
    let own = indent(source.line(line));
    let mut first = None;
    for number in written_above(source, line) {
        let text = source.line(number);
        let plain = text.trim_start().starts_with(char::is_alphabetic) && !text.contains(':');
        if plain && indent(text) == own {
            first = Some(number);
        } else if text.trim_end().ends_with(':') {
            break;
        } else {
            return None;
        }
    }
    let number = first.filter(|_| line <= NEAR)?;
    Some(Slip {
        mark: Mark {
            line: number,
            column: own as u32 + 1,
            width: 1,
        },
        text: "a key without its colon".to_owned(),
        remedy: NO_COLON.to_owned(),
    })
}

/// What to write for a key without its colon.
pub const NO_COLON: &str = "write `key: value`, with a space after the colon";

/// What is wrong with a text that begins with one of the keys `known`, and what would be right.
fn of_known(text: &str, known: &[&str]) -> Option<(String, String)> {
    let (key, fault) = in_text(text).filter(|(key, _)| known.contains(key))?;
    Some((fault.text(key), fault.remedy(key, "")))
}

impl Item<'_> {
    /// Whether its text is a key with its value, and a slip between them: then that is told.
    pub(super) fn slip_in_text(&self, known: &[&str]) -> bool {
        let slip = self.word().and_then(|text| of_known(text, known));
        if let Some((text, remedy)) = &slip {
            self.error(text, remedy);
        }
        slip.is_some()
    }

    /// Whether its key runs into the value of a known one: then that is told.
    pub(super) fn slip_in_key(&self, known: &[&str]) -> bool {
        let slip = of_known(self.name(), known);
        if let Some((text, remedy)) = &slip {
            self.error_at_key(text, remedy);
        }
        slip.is_some()
    }
}
