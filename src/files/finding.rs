//! One typed list of what was found while reading: faults, warnings and what was assumed.

use std::path::PathBuf;

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

/// A place in a file; line and column count from 1.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Position {
    /// The file.
    pub path: PathBuf,
    /// Line, 0 where the whole file is meant.
    pub line: u32,
    /// Column, 0 where the whole line is meant.
    pub column: u32,
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
}
