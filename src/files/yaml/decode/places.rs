//! Where the words of a longer text stand in the file.

use super::Item;
use crate::files::finding::{Finding, Severity};
use crate::files::source::Mark;

impl Item<'_> {
    /// As [`Item::finding`], at a place of [`Item::places_of`].
    pub fn finding_at(&self, severity: Severity, at: Mark, text: impl Into<String>) -> Finding {
        self.document.source.finding(severity, at, text)
    }

    /// Where some words of its text, all in their order, stand in the file; from one on that is
    /// written otherwise there, the place of the text.
    pub fn places_of(&self, words: &[&str]) -> Vec<Mark> {
        let source = &self.document.source;
        let last = source.text.matches('\n').count() as u32 + 1;
        let Mark {
            mut line, column, ..
        } = self.node.mark;
        let before = |(at, _): (usize, char)| at;
        let mut first = source.line(line).char_indices().map(before);
        let mut from = first.nth(column.saturating_sub(1) as usize);
        let mut places = Vec::with_capacity(words.len());
        for word in words {
            let found = loop {
                let text = source.line(line);
                let start = from.unwrap_or(text.len());
                if let Some(at) = text[start..].find(word) {
                    break Some((start + at, &text[..start + at]));
                }
                if line >= last {
                    break None;
                }
                (line, from) = (line + 1, Some(0));
            };
            let Some((at, before)) = found else { break };
            from = Some(at + word.len());
            places.push(Mark {
                line,
                column: before.chars().count() as u32 + 1,
                width: word.chars().count() as u32,
            });
        }
        places.resize(words.len(), self.node.mark);
        places
    }
}
