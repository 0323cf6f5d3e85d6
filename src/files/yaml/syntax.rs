//! YAML syntax errors in plain words.

use serde_yaml::granit_parser::{ErrorKind, ScanError};

use super::colons::{self, NO_COLON};
use super::indents;
use crate::files::finding::{Finding, Severity, quoted};
use crate::files::source::{Mark, Source};

/// The one finding of a syntax error.
pub fn finding(source: &Source, error: &ScanError) -> Finding {
    let at = error.marker();
    let mut mark = Mark {
        line: at.line() as u32,
        column: at.col() as u32 + 1,
        width: 1,
    };
    let tab = tab_in_indentation(source, mark.line);
    if let Some(place) = tab {
        mark = place;
    }
    let slip = || match is_of_structure(error.kind()) {
        true => colons::slip(source, mark, !is_keys_own(error.kind())).or_else(|| {
            match unclosed(source, mark.line) {
                Some(_) => None,
                None => indents::slip(source, mark.line),
            }
        }),
        false => colons::dash_without_space(source.line(mark.line), mark.line),
    };
    if tab.is_none()
        && let Some(slip) = slip()
    {
        let finding = source.finding(Severity::Error, slip.mark, slip.text);
        return finding.remedy(slip.remedy);
    }
    let (text, mut remedy) = match tab {
        Some(_) => (
            "tabs cannot indent in YAML".to_owned(),
            Some(SPACES.to_owned()),
        ),
        None => words(error.kind(), source.line(mark.line)),
    };
    if tab.is_none()
        && matches!(
            error.kind(),
            ErrorKind::MappingValueNotAllowed | ErrorKind::InvalidColonPlacement
        )
        && let Some(open) = unclosed(source, mark.line)
    {
        remedy = Some(format!("is the bracket or brace on line {open} closed?"));
    }
    // An error at the end of the file stands on a line that is not there.
    if source.line(mark.line).is_empty() && mark.line > 1 {
        let last = (1..mark.line)
            .rev()
            .find(|n| !source.line(*n).trim().is_empty());
        if let Some(line) = last {
            let column = source.line(line).chars().count() as u32 + 1;
            mark = Mark {
                line,
                column,
                width: 1,
            };
        }
    }
    let finding = source.finding(Severity::Error, mark, text);
    match remedy {
        Some(remedy) => finding.remedy(remedy),
        None => finding,
    }
}

const SPACES: &str = "indent with spaces, two for each level";

/// Whether an error may come from a key that YAML took for a text.
fn is_of_structure(kind: &ErrorKind) -> bool {
    use ErrorKind as E;
    matches!(
        kind,
        E::MappingValueNotAllowed
            | E::InvalidColonPlacement
            | E::SimpleKeyExpected
            | E::InvalidSimpleKey
            | E::InvalidIndentation
            | E::ExpectedBlockMappingKey
            | E::BlockSequenceEntryNotAllowed
            | E::ExpectedBlockSequenceEntry
            | E::ExpectedDocumentStart
    )
}

/// Whether an error stands at the key that has no colon.
fn is_keys_own(kind: &ErrorKind) -> bool {
    matches!(
        kind,
        ErrorKind::SimpleKeyExpected | ErrorKind::InvalidSimpleKey
    )
}

fn is_tab(kind: &ErrorKind) -> bool {
    use ErrorKind as E;
    matches!(
        kind,
        E::TabInBlockIndentation | E::TabInIndentation | E::TabNotAllowed | E::TabInPlainScalar
    )
}

/// The first tab before the text of a line, on the line of the error or the nearest one to it: the
/// parser may stumble a line or two after the tab, or before it.
fn tab_in_indentation(source: &Source, line: u32) -> Option<Mark> {
    let near = [
        line,
        line + 1,
        line.saturating_sub(1),
        line.saturating_sub(2),
    ];
    near.into_iter().find_map(|line| {
        let text = source.line(line);
        let indent = &text[..text.len() - text.trim_start().len()];
        let column = indent.chars().position(|c| c == '\t')? as u32 + 1;
        // Nothing is indented on a line without a text.
        (indent.len() < text.len()).then_some(())?;
        Some(Mark {
            line,
            column,
            width: 1,
        })
    })
}

/// The last line above `line` that opens more brackets than it closes; quotation marks and
/// comments are not looked at, as this only helps to guess.
fn unclosed(source: &Source, line: u32) -> Option<u32> {
    let balance = |line: u32| -> i64 {
        let count = |marks: [char; 2]| source.line(line).matches(marks).count() as i64;
        count(['[', '{']) - count([']', '}'])
    };
    let nearest = line.saturating_sub(20).max(1);
    (nearest..line).rev().find(|line| balance(*line) > 0)
}

/// Whether a line holds a pattern such as `long-[12].csv` that is not in quotes.
fn is_pattern(line: &str) -> bool {
    let behind = line.split_once(']').map_or("", |(_, behind)| behind);
    let glued = behind.starts_with(['.', '*', '-', '_']);
    glued && line.contains('[') && !line.contains(['"', '\''])
}

fn words(kind: &ErrorKind, line: &str) -> (String, Option<String>) {
    use ErrorKind as E;
    let (text, remedy) = match kind {
        kind if is_tab(kind) => ("a tab stands where YAML wants spaces", SPACES),
        E::MappingValueNotAllowed | E::InvalidColonPlacement | E::SimpleKeyExpected
            if line.matches(": ").count() > 1 =>
        {
            return colon(line);
        }
        E::MappingValueNotAllowed | E::InvalidColonPlacement => (
            "a colon is out of place here",
            "put a text with a colon in quotes; indent keys of one mapping alike",
        ),
        E::SimpleKeyExpected | E::InvalidSimpleKey => ("a key without its colon", NO_COLON),
        E::InvalidIndentation | E::ExpectedBlockMappingKey | E::BlockSequenceEntryNotAllowed => (
            "the indentation does not fit the lines above",
            "indent keys of one mapping alike, with spaces",
        ),
        E::ExpectedFlowMappingSeparator if is_pattern(line) => (
            "a pattern with brackets is no text within braces",
            "put it in quotes, as in `{pulls: \"long-[12].csv\"}`",
        ),
        E::ExpectedFlowMappingSeparator => (
            "a comma or `}` is missing",
            "entries in braces are parted by commas",
        ),
        E::ExpectedFlowSequenceSeparator => (
            "a comma or `]` is missing",
            "entries in brackets are parted by commas",
        ),
        E::UnclosedFlowCollection { .. }
        | E::UnexpectedEofFlowSequence
        | E::UnexpectedEofFlowMapping
        | E::UnexpectedEofImplicitFlowMapping => (
            "a bracket or brace is opened and not closed",
            "close it with `]` or `}`",
        ),
        E::UnclosedQuotedScalar => ("a quotation mark is opened and not closed", "close it"),
        E::RecursionLimitExceeded => (
            "lists and mappings are nested too deeply here",
            "nest them less",
        ),
        E::UnknownAnchor => (
            "this alias repeats a value that was never named with `&`",
            "put a text that begins with `*` in quotes",
        ),
        E::DirectiveDisallowed => (
            "a line that begins with `%` is a YAML directive, and they mean nothing here",
            "leave it out, or put the text in quotes",
        ),
        E::UnexpectedCharacter { character } => {
            let text = format!("{} cannot begin a value", quoted(&character.to_string()));
            return (text, Some("put the text in quotes".to_owned()));
        }
        _ if line.contains('"') && line.contains('\\') => (
            "a `\\` in double quotes begins a special character, and this is none",
            "write the text in single quotes, or a path with `/`",
        ),
        _ => return (format!("this is not YAML: {}", kind_text(kind)), None),
    };
    (text.to_owned(), Some(remedy.to_owned()))
}

/// A value with a colon in it, quoted for the person.
fn colon(line: &str) -> (String, Option<String>) {
    let text = "a colon followed by a space stands inside a value".to_owned();
    let (key, value) = line.split_once(": ").unwrap_or((line, ""));
    let value = value.split(" #").next().unwrap_or(value).trim();
    let remedy = format!(
        "put the value in quotes: `{}: \"{}\"`",
        key.trim(),
        value.replace('"', "'")
    );
    (text, Some(crate::files::finding::printable(&remedy)))
}

fn kind_text(kind: &ErrorKind) -> String {
    kind.to_string()
}
