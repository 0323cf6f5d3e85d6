//! What was left out of the files and filled in.

use super::format::wrap;
use crate::files::finding::{Findings, Severity};

/// Keys that say nothing about a car on a level straight: corners, scatter, the order of pulls.
pub const NOT_ON_A_STRAIGHT: &[&str] = &[
    "repeatability",
    "uncertain",
    "order",
    "retuned",
    "as_raced",
    "roll_share",
    "differential",
];

/// What was assumed, in the order of the files, without some keys; nothing where nothing was.
pub fn line(findings: &Findings, without: &[&str]) -> String {
    let texts: Vec<&str> = findings
        .of(Severity::Assumed)
        .filter(|f| !f.key.as_deref().is_some_and(|key| without.contains(&key)))
        .map(|f| f.text.as_str())
        .collect();
    if texts.is_empty() {
        return String::new();
    }
    wrap(&format!("Assumed: {}.", texts.join("; ")), "  ")
}
