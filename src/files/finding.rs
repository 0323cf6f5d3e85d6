//! One typed list of what was found while reading: faults, warnings and what was assumed.

mod list;
pub mod shell;

use std::fmt;
use std::path::{Path, PathBuf};

use serde::ser::{Serialize, SerializeStruct, Serializer};

pub use self::list::Findings;
use super::workbook::sheet_of;

/// How much a finding matters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// The input cannot be used.
    Error,
    /// The input is used; a person should look.
    Warning,
    /// Something was left out and filled in.
    Assumed,
}

impl Severity {
    /// The word for people and for JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Assumed => "assumed",
        }
    }
}

/// A place in a file; line and column count from 1, columns in characters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Position {
    /// The file.
    pub path: PathBuf,
    /// Line, 0 where the whole file is meant.
    pub line: u32,
    /// Column, 0 where the whole line is meant.
    pub column: u32,
}

impl Position {
    /// The whole of a file.
    pub fn file(path: &Path) -> Self {
        Self {
            path: path.to_owned(),
            line: 0,
            column: 0,
        }
    }
}

/// The line a finding points at, as it stands in the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Excerpt {
    /// The line, without its end.
    pub line: String,
    /// How many characters from the column on are meant.
    pub width: u32,
}

/// One thing found.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// How much it matters.
    pub severity: Severity,
    /// Where; `None` where it belongs to no file.
    pub position: Option<Position>,
    /// What is wrong, or what was assumed, in one sentence without a full stop.
    pub text: String,
    /// What would be right, or what to say instead.
    pub remedy: Option<String>,
    /// For an assumption: the key it stands in for, such as `drag_area`, so that reports can rank
    /// assumptions by what they could move.
    pub key: Option<String>,
    /// Whether it asks what decides the answer: what is worked out is in question until then.
    pub decides: bool,
    /// The line it points at.
    pub excerpt: Option<Excerpt>,
}

impl Finding {
    /// A finding that belongs to no file yet.
    pub fn new(severity: Severity, text: impl Into<String>) -> Self {
        Self {
            severity,
            position: None,
            text: text.into(),
            remedy: None,
            key: None,
            decides: false,
            excerpt: None,
        }
    }

    /// A fault.
    pub fn error(text: impl Into<String>) -> Self {
        Self::new(Severity::Error, text)
    }

    /// Something a person should look at.
    pub fn warning(text: impl Into<String>) -> Self {
        Self::new(Severity::Warning, text)
    }

    /// Something filled in, standing in for `key`.
    pub fn assumed(key: impl Into<String>, text: impl Into<String>) -> Self {
        Self {
            key: Some(key.into()),
            ..Self::new(Severity::Assumed, text)
        }
    }

    /// Whether it stops the work.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }

    /// With its place.
    #[must_use]
    pub fn at(mut self, position: Position) -> Self {
        self.position = Some(position);
        self
    }

    /// As a question whose answer decides what is worked out.
    #[must_use]
    pub fn deciding(mut self) -> Self {
        self.decides = true;
        self
    }

    /// With what would be right.
    #[must_use]
    pub fn remedy(mut self, remedy: impl Into<String>) -> Self {
        self.remedy = Some(remedy.into());
        self
    }
}

/// `file:line:column`, as far as it is known, the way editors and terminals take it; of a sheet its row.
impl fmt::Display for Position {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let shown = |path: &Path| printable(&path.display().to_string());
        if let Some((book, sheet)) = sheet_of(&self.path) {
            write!(f, "{}, sheet {}", shown(book), printable(sheet))?;
            return match self.line {
                0 => Ok(()),
                row => write!(f, ", row {row}"),
            };
        }
        write!(f, "{}", shown(&self.path))?;
        match (self.line, self.column) {
            (0, _) => Ok(()),
            (line, 0) => write!(f, ":{line}"),
            (line, column) => write!(f, ":{line}:{column}"),
        }
    }
}

/// The finding as people read it: what and where, the line with a mark under the place, and what
/// would be right. No line end after the last line.
impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(position) = &self.position {
            write!(f, "{position}: ")?;
        }
        write!(f, "{}: {}", self.severity.word(), printable(&self.text))?;
        if let (Some(excerpt), Some(position)) = (&self.excerpt, &self.position) {
            let (line, start, width) = excerpt.window(position.column);
            write!(f, "\n    {line}")?;
            if position.column > 0 {
                write!(f, "\n    {}{}", " ".repeat(start), "^".repeat(width))?;
            }
        }
        if let Some(remedy) = &self.remedy {
            write!(f, "\n  {}", printable(remedy))?;
        }
        Ok(())
    }
}

/// Longest piece of a line that is shown, characters.
const SHOWN: usize = 96;

impl Excerpt {
    /// The part of the line to show for a column, printable, without its indentation; where the mark
    /// begins in it, and how wide it is, in characters.
    pub fn window(&self, column: u32) -> (String, usize, usize) {
        let line: Vec<char> = printable(&self.line).chars().collect();
        let place = (column.max(1) as usize - 1).min(line.len());
        let from = if line.len() <= SHOWN || place < SHOWN * 2 / 3 {
            0
        } else {
            (place - SHOWN / 3).min(line.len().saturating_sub(SHOWN))
        };
        let to = (from + SHOWN).min(line.len());
        let mut shown: String = line[from..to].iter().collect();
        let mut start = place - from;
        if from > 0 {
            shown.insert(0, '…');
            start += 1;
        } else {
            let indent = line.iter().take_while(|c| **c == ' ').count().min(place);
            shown.drain(..indent);
            start -= indent;
        }
        if to < line.len() {
            shown.push('…');
        }
        let room = shown.chars().count().saturating_sub(start).max(1);
        (shown, start, (self.width as usize).clamp(1, room))
    }
}

/// `text` with everything that could move a terminal's cursor or hide characters replaced, one
/// character for one.
pub fn printable(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\t' => ' ',
            '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
                '\u{fffd}'
            }
            c if c.is_control() => '\u{fffd}',
            c => c,
        })
        .collect()
}

/// What a person wrote, quoted for a message: printable and not too long.
pub fn quoted(text: &str) -> String {
    const LONGEST: usize = 48;
    let clean = printable(text.trim());
    if clean.chars().count() <= LONGEST {
        return format!("`{clean}`");
    }
    let start: String = clean.chars().take(LONGEST - 1).collect();
    format!("`{start}…`")
}

impl Serialize for Finding {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let place = self.position.as_ref();
        let number = |n: u32| (n > 0).then_some(n);
        let mut map = serializer.serialize_struct("Finding", 9)?;
        map.serialize_field("severity", self.severity.word())?;
        map.serialize_field("file", &place.map(|p| p.path.display().to_string()))?;
        map.serialize_field("line", &place.and_then(|p| number(p.line)))?;
        map.serialize_field("column", &place.and_then(|p| number(p.column)))?;
        map.serialize_field("text", &self.text)?;
        map.serialize_field("remedy", &self.remedy)?;
        map.serialize_field("key", &self.key)?;
        map.serialize_field("decides", &self.decides)?;
        map.serialize_field("line_text", &self.excerpt.as_ref().map(|e| &e.line))?;
        map.end()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(file: &str, line: u32, column: u32) -> Position {
        Position {
            path: file.into(),
            line,
            column,
        }
    }

    fn shown(line: &str, column: u32, width: u32) -> String {
        let mut finding = Finding::error("x").at(at("f", 1, column));
        finding.excerpt = Some(Excerpt {
            line: line.to_owned(),
            width,
        });
        let text = finding.to_string();
        text.split_once('\n').unwrap().1.to_owned()
    }

    #[test]
    fn the_mark_stands_under_the_place() {
        assert_eq!(shown("  mass: 9", 9, 1), "    mass: 9\n          ^");
        assert_eq!(shown("\tmass: 9", 2, 4), "    mass: 9\n    ^^^^");
        assert_eq!(shown("short", 40, 9), "    short\n         ^");
        assert_eq!(shown("größe: 9", 8, 1), "    größe: 9\n           ^");
    }

    #[test]
    fn a_long_line_is_cut_around_the_place() {
        let line = format!("{}X{}", "a".repeat(500), "b".repeat(500));
        let text = shown(&line, 501, 1);
        let (line, mark) = text.split_once('\n').unwrap();
        let place = |text: &str, wanted| text.chars().position(|c| c == wanted);
        assert_eq!(place(line, 'X'), place(mark, '^'));
        assert!(line.chars().count() < 120);
    }

    #[test]
    fn nothing_in_a_file_moves_the_cursor() {
        let mut finding = Finding::error("\u{1b}[2J")
            .at(at("\u{7}x", 1, 1))
            .remedy("\u{202e}");
        finding.excerpt = Some(Excerpt {
            line: "\u{1b}[31m\r".to_owned(),
            width: 99,
        });
        let text = finding.to_string();
        assert!(
            !text.chars().any(|c| c.is_control() && c != '\n'),
            "{text:?}"
        );
        assert!(!text.contains('\u{202e}'));
        assert_eq!(quoted(&"ä".repeat(60)).chars().count(), 50);
    }

    #[test]
    fn findings_come_in_the_order_of_the_files() {
        let mut findings = Findings::new();
        for (file, line, column) in [
            ("b", 2, 1),
            ("a", 9, 0),
            ("b", 1, 7),
            ("b", 1, 3),
            ("a", 1, 0),
        ] {
            findings
                .push(Finding::warning(format!("{file}{line}{column}")).at(at(file, line, column)));
        }
        findings.push(Finding::error("nowhere"));
        findings.sort();
        let order: Vec<&str> = findings.iter().map(|f| f.text.as_str()).collect();
        assert_eq!(order, ["b13", "b17", "b21", "a10", "a90", "nowhere"]);
        assert_eq!((findings.len(), findings.errors()), (6, 1));
    }

    #[test]
    fn json_has_stable_names() {
        let finding = Finding::assumed("grip", "grip 1").at(at("car.yaml", 4, 0));
        assert_eq!(
            serde_json::to_string(&finding).unwrap(),
            r#"{"severity":"assumed","file":"car.yaml","line":4,"column":null,"text":"grip 1","remedy":null,"key":"grip","decides":false,"line_text":null}"#
        );
    }
}
