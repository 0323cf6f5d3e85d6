//! The house is as its papers say: imports, sizes, dependencies, the README's outputs.

mod guide;
mod papers;
mod pictures;
mod readme;
mod rooms;

use std::fs;
use std::path::{Path, PathBuf};

/// The repository.
fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn read(name: &str) -> String {
    fs::read_to_string(root().join(name)).unwrap()
}

/// Every Rust file below a folder of the repository, in order.
fn sources(folder: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![root().join(folder)];
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                open.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}
