//! The lists of keys that readers asked for: tests hold the schemas to them.

use std::cell::RefCell;
use std::panic::Location;
use std::path::{Path, PathBuf};

/// A list of keys that was asked for.
#[derive(Debug, Clone)]
pub struct Asked {
    /// Of which file.
    pub path: PathBuf,
    /// By which line of the code.
    pub by: &'static Location<'static>,
    /// The keys.
    pub known: &'static [&'static str],
}

thread_local! {
    static ASKED: RefCell<Vec<Asked>> = const { RefCell::new(Vec::new()) };
}

/// Notes a list.
#[track_caller]
pub fn note(path: &Path, known: &'static [&'static str]) {
    let by = Location::caller();
    ASKED.with_borrow_mut(|asked| {
        asked.push(Asked {
            path: path.to_owned(),
            by,
            known,
        });
    });
}

/// What was asked for on this thread since the last time.
pub fn taken() -> Vec<Asked> {
    ASKED.take()
}
