//! DEVELOPERS.md names what is there.

use super::{read, root};

/// The names under a heading of Cargo.toml.
fn dependencies(section: &str) -> Vec<String> {
    let manifest = read("Cargo.toml");
    let (_, rest) = manifest.split_once(&format!("[{section}]\n")).unwrap();
    rest.lines()
        .take_while(|line| !line.starts_with('['))
        .filter_map(|line| line.split_once(" = ").map(|(name, _)| name.to_owned()))
        .collect()
}

#[test]
fn every_dependency_has_its_reason() {
    let papers = read("DEVELOPERS.md");
    for name in dependencies("dependencies")
        .iter()
        .chain(&dependencies("dev-dependencies"))
    {
        let told = papers.lines().any(|line| {
            line.starts_with("| ") && line.contains(&format!("`{name}`")) && line.len() > 24
        });
        assert!(told, "{name} has no line in DEVELOPERS.md");
    }
}

#[test]
fn every_room_is_on_the_map() {
    let papers = read("DEVELOPERS.md");
    for entry in std::fs::read_dir(root().join("src")).unwrap() {
        let entry = entry.unwrap();
        let name = entry.file_name().to_string_lossy().into_owned();
        let name = if entry.path().is_dir() {
            format!("{name}/")
        } else {
            name
        };
        assert!(
            papers.contains(&format!("`{name}`")),
            "{name} is not on the map"
        );
    }
}

#[test]
fn the_oldest_compiler_is_said_alike() {
    let manifest = read("Cargo.toml");
    let (_, rest) = manifest.split_once("rust-version = \"").unwrap();
    let version = rest.split('"').next().unwrap();
    assert!(read("README.md").contains(&format!("Rust {version}")));
}

/// The words of a page between single backquotes.
fn quoted(page: &str) -> impl Iterator<Item = &str> {
    page.split('`').skip(1).step_by(2)
}

#[test]
fn the_tests_and_tables_behind_the_page_on_trust_are_there() {
    let page = read("docs/trust.md");
    let mut seen = 0;
    for name in quoted(&page) {
        let place = match name.split_once("::") {
            Some((room, module)) if name.split("::").count() == 2 => {
                format!("tests/{room}/{module}.rs")
            }
            _ if name.starts_with("tests/") || name.starts_with("examples/") => name.to_owned(),
            _ => continue,
        };
        assert!(root().join(&place).exists(), "{place} is not there");
        seen += 1;
    }
    assert!(seen > 20, "{seen}");
}

#[test]
fn nothing_tells_of_the_machine_it_was_written_on() {
    let places = [
        ["/wo", "rk/"].concat(),
        ["/ro", "ot/"].concat(),
        ["/ho", "me/"].concat(),
    ];
    for name in [
        "README.md",
        "DEVELOPERS.md",
        "CHANGELOG.md",
        "docs/guide.md",
        "docs/trust.md",
        "Cargo.toml",
        ".ci/run",
    ] {
        let text = read(name);
        assert!(places.iter().all(|place| !text.contains(place)), "{name}");
    }
}
