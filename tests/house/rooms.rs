//! Imports run one way, and files stay short.

use std::fs;
use std::path::Path;

use super::{root, sources};

/// Each room with those it may import. `report` takes the list of findings from `files` and nothing
/// else, which the test looks at by itself.
const ROOMS: [(&str, &[&str]); 13] = [
    ("units", &[]),
    ("air", &["units"]),
    ("car", &["units"]),
    ("dyno", &["air", "units"]),
    ("venue", &["air", "units"]),
    ("lap", &["dyno", "car", "venue", "air", "units"]),
    ("schedule", &["lap", "dyno", "car", "venue", "air", "units"]),
    (
        "explain",
        &["schedule", "lap", "dyno", "car", "venue", "air", "units"],
    ),
    (
        "study",
        &[
            "explain", "schedule", "lap", "dyno", "car", "venue", "air", "units",
        ],
    ),
    ("files", &["study", "dyno", "car", "venue", "air", "units"]),
    (
        "report",
        &[
            "files", "study", "explain", "schedule", "lap", "dyno", "car", "venue", "air", "units",
        ],
    ),
    (
        "cli",
        &[
            "report", "files", "study", "explain", "schedule", "lap", "dyno", "car", "venue",
            "air", "units",
        ],
    ),
    ("main", &["cli"]),
];

/// The room a source file belongs to.
fn room(path: &Path) -> String {
    let inside = path.strip_prefix(root().join("src")).unwrap();
    let first = inside
        .components()
        .next()
        .unwrap()
        .as_os_str()
        .to_string_lossy();
    first.trim_end_matches(".rs").to_owned()
}

/// The code of a file: without comments and without its tests.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).unwrap();
    let body = text
        .split("#[cfg(test)]\nmod tests {")
        .next()
        .unwrap_or_default();
    let lines = body
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"));
    lines.collect::<Vec<&str>>().join("\n")
}

fn is_test(path: &Path) -> bool {
    path.components()
        .any(|part| part.as_os_str() == "tests" || part.as_os_str() == "tests.rs")
}

/// The names that follow `crate::` in a text.
fn imports(code: &str) -> impl Iterator<Item = &str> {
    code.split("crate::").skip(1).map(|rest| {
        let end = rest
            .find(|c: char| !(c.is_alphanumeric() || c == '_'))
            .unwrap_or(rest.len());
        &rest[..end]
    })
}

#[test]
fn imports_run_one_way() {
    for path in sources("src").iter().filter(|path| !is_test(path)) {
        let own = room(path);
        if own == "lib" {
            continue;
        }
        let (_, allowed) = ROOMS.iter().find(|(name, _)| *name == own).expect(&own);
        for import in imports(&code(path)) {
            let fine = import == own || allowed.contains(&import);
            assert!(fine, "{} imports {import}", path.display());
        }
    }
}

#[test]
fn the_report_takes_findings_from_files_and_nothing_else() {
    for path in sources("src/report").iter().filter(|path| !is_test(path)) {
        for (at, _) in code(path).match_indices("crate::files") {
            let rest = &code(path)[at..];
            assert!(
                rest.starts_with("crate::files::finding"),
                "{}",
                path.display()
            );
        }
    }
}

#[test]
fn every_room_is_on_the_list_and_in_the_library() {
    let library = fs::read_to_string(root().join("src/lib.rs")).unwrap();
    for path in sources("src") {
        let own = room(&path);
        assert!(
            own == "lib" || ROOMS.iter().any(|(name, _)| *name == own),
            "{own}"
        );
        let public = own == "lib" || own == "main" || library.contains(&format!("pub mod {own};"));
        assert!(public, "{own}");
    }
}

#[test]
fn files_stay_short() {
    let long: Vec<String> = ["src", "tests", "examples"]
        .iter()
        .flat_map(|folder| sources(folder))
        .map(|path| (fs::read_to_string(&path).unwrap().lines().count(), path))
        .filter(|(lines, _)| *lines > 520)
        .map(|(lines, path)| format!("{} has {lines} lines", path.display()))
        .collect();
    assert!(long.is_empty(), "{}", long.join("\n"));
}
