//! What was left out of the files and filled in.

use super::format::{WIDTH, wrap};
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

/// How much was assumed, and what moves an answer most, as far as one line goes; nothing where nothing was.
pub fn most_of_all(findings: &Findings, told: impl Iterator<Item = String>) -> String {
    let all = findings.of(Severity::Assumed).count();
    if all == 0 {
        return String::new();
    }
    let inputs = if all == 1 { "input" } else { "inputs" };
    let mut text = format!("Assumed: {all} {inputs}");
    for (i, told) in told.enumerate() {
        let join = if i == 0 { ", most of all " } else { ", then " };
        let length = text.chars().count() + join.len() + told.chars().count() + 1;
        if i > 0 && length > WIDTH {
            break;
        }
        text.push_str(join);
        text.push_str(&told);
    }
    text.push('.');
    wrap(&text, "  ")
}

/// An input by its key: `first gear` of `first_gear.Mill Lane`.
pub fn input(key: &str) -> String {
    key.split('.').next().unwrap_or_default().replace('_', " ")
}

/// What to do about an input that turns an answer round: `what` it decides.
pub fn to_write(key: &str, what: &str) -> String {
    let key = key.split('.').next().unwrap_or_default();
    match key {
        // No key of a file: the log is all there is.
        "corner speeds" => format!(
            "the corner speeds of its log decide {what}: where another car drove it log it with this one, or give its \
             road as `path`."
        ),
        _ => format!("write `{key}` into the files; what is assumed for it decides {what}."),
    }
}
