//! `new`: a folder to start from, and every command that takes it.

use std::fs;
use std::path::{Path, PathBuf};

use insta::assert_snapshot;

use super::pullrank;
use super::world::{World, long_pull};

/// What a command says on its way to this exit code, without the folder's own path.
fn said(world: &World, arguments: &[&str], code: i32) -> String {
    let mut command = pullrank();
    command.current_dir(world);
    let output = command.args(arguments).output().unwrap();
    let text = format!(
        "{}{}",
        world.said(&output.stdout),
        world.said(&output.stderr)
    );
    assert_eq!(output.status.code(), Some(code), "{arguments:?}: {text}");
    assert!(!text.contains("panicked"), "{text}");
    text
}

/// Every file below a folder.
fn files(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in fs::read_dir(folder).into_iter().flatten() {
        let path = entry.unwrap().path();
        match path.is_dir() {
            true => found.extend(files(&path)),
            false => found.push(path),
        }
    }
    found.sort();
    found
}

#[test]
fn a_starter_runs_at_once_with_every_command() {
    let world = World::new();
    assert_snapshot!(said(&world, &["new", "season"], 0));
    let ranked = said(&world, &["rank", "season", "--draws", "40"], 0);
    assert!(
        ranked.contains("Invented stage") && ranked.contains("Next: "),
        "{ranked}"
    );
    for command in [
        &["gearing", "season"] as &[&str],
        &["season", "season", "--draws", "40"],
        &["pulls", "season"],
        &["car", "season"],
        &["venue", "season", "--car", "season"],
        &["check", "season"],
    ] {
        let text = said(&world, command, 0);
        assert!(text.contains("Next: "), "{command:?}: {text}");
        assert!(
            text.lines().all(|line| line.chars().count() <= 100),
            "{text}"
        );
    }
    let sheet = ["sheet", "season", "--venue", "circuit", "--draws", "40"];
    assert!(said(&world, &sheet, 0).contains("Invented circuit"));
    said(
        &world,
        &["report", "season", "-o", "page.html", "--draws", "40"],
        0,
    );
    let none = said(&world, &["results", "season"], 1);
    assert!(none.contains("no result is written"), "{none}");
}

#[test]
fn pulls_of_ones_own_are_copied() {
    let world = World::new();
    let shorter = long_pull().replace(",152.0", ",149.0");
    for (folder, text) in [("dyno/long runner", long_pull()), ("dyno/short", shorter)] {
        fs::create_dir_all(world.path(folder)).unwrap();
        fs::write(world.path(folder).join("a.csv"), text).unwrap();
    }
    let arguments = ["new", "mine", "--pulls", "dyno/long runner", "dyno/short"];
    assert_snapshot!(said(&world, &arguments, 0));
    let copy = fs::read(world.path("mine/car/pulls/long runner/a.csv")).unwrap();
    assert_eq!(
        copy,
        fs::read(world.path("dyno/long runner/a.csv")).unwrap()
    );
    let ranked = said(&world, &["rank", "mine", "--draws", "40"], 0);
    assert!(ranked.contains("long runner"), "{ranked}");
}

#[test]
fn pulls_that_cannot_be_read_leave_nothing() {
    let world = World::new();
    fs::create_dir_all(world.path("dyno/long")).unwrap();
    fs::create_dir_all(world.path("dyno/empty")).unwrap();
    let broken = long_pull().replace("3000,", "three thousand,");
    fs::write(world.path("dyno/long/a.csv"), broken).unwrap();
    let before = files(world.as_ref());
    assert_snapshot!(said(
        &world,
        &[
            "new",
            "mine",
            "--pulls",
            "dyno/long",
            "dyno/empty",
            "dyno/none"
        ],
        1
    ));
    // Pulls that are sound alone and not together are told by the folder they would be in.
    fs::write(
        world.path("dyno/long/a.csv"),
        "rpm,torque [Nm]\n1000,50\n1100,52\n1200,53\n1300,54\n1400,53\n",
    )
    .unwrap();
    fs::write(world.path("dyno/empty/b.csv"), long_pull()).unwrap();
    let apart = said(
        &world,
        &["new", "mine", "--pulls", "dyno/long", "dyno/empty"],
        1,
    );
    let told =
        apart.contains("mine/car/testday.yaml:6:1") && apart.contains("share no engine speeds");
    assert!(told, "{apart}");
    let mut after = files(world.as_ref());
    after.retain(|path| !path.ends_with("b.csv"));
    assert_eq!(after, before);
    assert!(!world.path("mine").exists());
}

#[test]
fn what_is_there_is_never_written_over() {
    let world = World::new();
    fs::create_dir(world.path("full")).unwrap();
    fs::write(world.path("full/notes.txt"), "mine").unwrap();
    let before = files(world.as_ref());
    assert_snapshot!(
        ["full", "car.yaml", "nowhere/inside", ".", "/"]
            .map(|folder| said(&world, &["new", folder], 1))
            .concat()
    );
    assert_eq!(files(world.as_ref()), before);
    // An empty folder is as good as none.
    fs::create_dir(world.path("empty")).unwrap();
    said(&world, &["new", "empty"], 0);
    assert!(world.path("empty/study.yaml").exists());
}

#[test]
fn a_study_file_in_a_folder_and_the_folder_are_the_same() {
    let world = World::new();
    let named = said(&world, &["rank", "study.yaml", "--draws", "40", "--csv"], 0);
    assert_eq!(
        said(&world, &["rank", ".", "--draws", "40", "--csv"], 0),
        named
    );
}

#[test]
fn schemas_in_the_repository_are_current() {
    for kind in ["study", "car", "testday", "track"] {
        let output = pullrank().args(["schema", kind]).output().unwrap();
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("docs/schema/{kind}.json"));
        if std::env::var_os("UPDATE_SCHEMAS").is_some() {
            fs::write(&path, &output.stdout).unwrap();
        }
        let kept = fs::read(&path).unwrap();
        assert!(
            kept == output.stdout,
            "UPDATE_SCHEMAS=1 cargo test --test main schemas"
        );
        let schema: serde_json::Value = serde_json::from_slice(&kept).unwrap();
        assert!(
            schema["$schema"]
                .as_str()
                .unwrap()
                .contains("json-schema.org")
        );
        assert!(schema["description"].is_string() && schema["properties"].is_object());
    }
}

#[test]
fn demo_files_name_their_schema() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut seen = 0;
    for path in ["cars", "tracks", "examples"]
        .iter()
        .flat_map(|name| files(&root.join(name)))
    {
        if path.extension().is_some_and(|ending| ending == "yaml") {
            let text = fs::read_to_string(&path).unwrap();
            let first = text.lines().next().unwrap();
            let (mark, schema) = first.split_once("$schema=").unwrap();
            assert_eq!(mark, "# yaml-language-server: ");
            let named = fs::canonicalize(path.parent().unwrap().join(schema)).unwrap();
            assert!(named.starts_with(fs::canonicalize(root.join("docs/schema")).unwrap()));
            seen += 1;
        }
    }
    assert!(seen > 15, "{seen}");
}

#[test]
fn manual_pages_are_written_once() {
    let world = World::new();
    fs::create_dir(world.path("man")).unwrap();
    let text = said(&world, &["man", "man"], 0);
    assert!(text.contains("Next: man "), "{text}");
    let page = fs::read_to_string(world.path("man/pullrank-rank.1")).unwrap();
    assert!(page.starts_with(".ie") || page.contains(".TH"), "{page}");
    assert!(page.contains("club\\-season"), "{page}");
    assert!(said(&world, &["man", "man"], 1).contains("exists already"));
    said(&world, &["man", "man", "--force"], 0);
    assert!(said(&world, &["man", "nowhere"], 1).contains("no such folder"));
}
