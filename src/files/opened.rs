//! Which files were read, as they were then.

use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Largest file whose text is kept, bytes.
const KEPT: usize = 200_000;

/// A file that was read. It may be another by now: what was worked out goes with this one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Opened {
    /// Where it is.
    pub path: PathBuf,
    /// Its size, bytes.
    pub size: usize,
    /// Its text; nothing where it is larger than 200 kB.
    pub text: Option<Arc<str>>,
}

impl Opened {
    /// A file of `size` bytes with its text.
    pub fn new(path: &Path, size: usize, text: &str) -> Self {
        Self {
            path: path.to_owned(),
            size,
            text: (size <= KEPT).then(|| text.into()),
        }
    }
}
