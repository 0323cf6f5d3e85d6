//! What is taken for granted about a table.

use super::Table;
use crate::files::finding::{Finding, Severity};
use crate::files::source::Mark;

impl Table {
    /// Something taken for granted at a place of this table, where `key` would say it.
    pub fn assumed(&self, key: &str, mark: Mark, text: impl Into<String>) -> Finding {
        Finding {
            key: Some(key.to_owned()),
            excerpt: None,
            ..self.finding(Severity::Assumed, mark, text)
        }
    }
}
