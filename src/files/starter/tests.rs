//! Every line of a starter can be used as it stands, and every key stands in one.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU32, Ordering};

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use serde_json::Value;

use super::*;

/// A folder of its own, gone when dropped.
pub struct Folder(pub PathBuf);

impl Folder {
    /// An empty one.
    pub fn new(name: &str) -> Self {
        static COUNT: AtomicU32 = AtomicU32::new(0);
        let count = COUNT.fetch_add(1, Ordering::Relaxed);
        let name = format!("pullrank-starter-{name}-{}-{count}", std::process::id());
        let path = std::env::temp_dir().join(name);
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    /// With the files of a starter, and a road and a run that its comments name.
    pub fn filled(name: &str, starter: &Starter) -> Self {
        let folder = Self::new(name);
        for part in &starter.parts {
            let path = folder.0.join(&part.path);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, &part.bytes).unwrap();
        }
        let points: String = (0..60)
            .map(|i| format!("<trkpt lat=\"{}\" lon=\"7\"/>", 45.0 + f64::from(i) * 1e-4))
            .collect();
        let gpx = format!("<gpx version=\"1.1\"><trk><trkseg>{points}</trkseg></trk></gpx>");
        fs::write(folder.0.join("tracks/road.gpx"), gpx).unwrap();
        let rows: String = (0..100)
            .map(|i| {
                let i = f64::from(i);
                format!("{},{},{}\n", i * 0.2, 50.0 + i / 4.0, (i / 16.0).sin())
            })
            .collect();
        let run = format!("time [s],speed [km/h],lateral g\n{rows}");
        fs::write(folder.0.join("tracks/run.csv"), run).unwrap();
        folder
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// The key of a line, its indentation, and whether it stands behind a #.
struct Line<'a> {
    indent: usize,
    key: &'a str,
    commented: bool,
    comment: &'a str,
}

fn line(text: &str) -> Option<Line<'_>> {
    let body = text.trim_start();
    let indent = text.len() - body.len();
    let (commented, body) = match body.strip_prefix('#') {
        Some(rest) if rest.starts_with(' ') || rest.is_empty() => return None,
        Some(rest) => (true, rest),
        None => (false, body),
    };
    let (code, comment) = body.split_once("  # ").unwrap_or((body, ""));
    let key = code.split_once(':').map_or(code, |(key, _)| key);
    Some(Line {
        indent,
        key,
        commented,
        comment,
    })
}

/// The keys that a comment lists behind some words.
fn listed<'a>(comment: &'a str, behind: &str) -> Vec<&'a str> {
    let Some((_, rest)) = comment.split_once(behind) else {
        return Vec::new();
    };
    let rest = rest.split([';', '.']).next().unwrap_or_default();
    rest.split(", ")
        .flat_map(|part| part.split(" and "))
        .map(str::trim)
        .collect()
}

/// The lines of a text that stand behind a #.
pub fn commented(text: &str) -> Vec<usize> {
    let lines = text.lines().enumerate();
    let found = lines.filter(|(_, text)| line(text).is_some_and(|line| line.commented));
    found.map(|(index, _)| index).collect()
}

/// A text with the line of this index in use, in place of and with what its comment says.
pub fn with(text: &str, index: usize) -> String {
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let asked = lines[index].clone();
    let this = line(&asked).unwrap();
    for key in listed(this.comment, "needs ") {
        let found = (0..lines.len())
            .find(|&i| line(&lines[i]).is_some_and(|l| l.commented && l.key == key));
        if let Some(found) = found {
            lines[found] = lines[found].replacen('#', "", 1);
        }
    }
    lines[index] = asked.replacen('#', "", 1);
    let mut out: Vec<bool> = vec![false; lines.len()];
    for key in listed(this.comment, "in place of ") {
        // The one above it, for specs have the same keys.
        let same = |&i: &usize| {
            i != index
                && line(&lines[i].replacen("- ", "  ", 1))
                    .is_some_and(|l| !l.commented && l.key == key && l.indent == this.indent)
        };
        let before = (0..index).rev().find(same);
        let Some(first) = before.or_else(|| (index..lines.len()).find(same)) else {
            continue;
        };
        out[first] = true;
        for (i, out) in out.iter_mut().enumerate().skip(first + 1) {
            let body = lines[i].trim_start();
            if body.is_empty() || lines[i].len() - body.len() <= this.indent {
                break;
            }
            *out = true;
        }
    }
    let kept = lines.iter().zip(out).filter(|(_, out)| !out);
    kept.map(|(line, _)| format!("{line}\n")).collect()
}

/// The YAML files of a starter.
pub fn yaml_files(starter: &Starter) -> Vec<(PathBuf, String)> {
    let yaml = |part: &&Part| part.path.extension().is_some_and(|e| e == "yaml");
    let files = starter.parts.iter().filter(yaml);
    files
        .map(|p| (p.path.clone(), String::from_utf8(p.bytes.clone()).unwrap()))
        .collect()
}

/// What is wrong with a folder as a study.
pub fn errors(folder: &Path) -> Vec<String> {
    let mut found = Findings::new();
    study::read(folder, &mut found);
    found
        .iter()
        .filter(|f| f.is_error())
        .map(ToString::to_string)
        .collect()
}

/// A starter with invented pulls, and one with copies.
pub fn both() -> [Starter; 2] {
    let demo = Folder::new("own");
    let names = ["long manifold", "no: 2 \"b\""];
    let folders: Vec<PathBuf> = names.iter().map(|name| demo.0.join(name)).collect();
    for (folder, pulled) in folders.iter().zip(pulls::invented()) {
        fs::create_dir_all(folder).unwrap();
        for (name, bytes) in &pulled.files {
            fs::write(folder.join(name), bytes).unwrap();
        }
    }
    let mut found = Findings::new();
    let own = Starter::of_pulls("my study", &folders, None, &mut found).unwrap();
    assert!(found.is_empty());
    assert_eq!((own.specs.len(), own.copied), (2, 6));
    [Starter::invented("my study"), own]
}

#[test]
fn every_commented_key_can_be_used_as_it_stands() {
    for (which, starter) in both().iter().enumerate() {
        let folder = Folder::filled(&format!("each-{which}"), starter);
        assert_eq!(errors(&folder.0), Vec::<String>::new());
        let mut tried = 0;
        for (path, text) in yaml_files(starter) {
            for index in commented(&text) {
                fs::write(folder.0.join(&path), with(&text, index)).unwrap();
                let said = errors(&folder.0);
                let line = text.lines().nth(index).unwrap();
                assert!(said.is_empty(), "{}: {line}: {said:#?}", path.display());
                tried += 1;
            }
            fs::write(folder.0.join(&path), &text).unwrap();
        }
        assert!(tried > 60, "{tried}");
    }
}

#[test]
fn many_at_once_are_refused_only_for_what_excludes_another() {
    let [starter, _] = both();
    let folder = Folder::filled("many", &starter);
    let mut random = ChaCha8Rng::seed_from_u64(9);
    let mut sound = 0;
    for _ in 0..40 {
        for (path, text) in yaml_files(&starter) {
            let mut text = text;
            for _ in 0..random.next_u32() % 4 {
                let open = commented(&text);
                if open.is_empty() {
                    break;
                }
                text = with(&text, open[random.next_u32() as usize % open.len()]);
            }
            fs::write(folder.0.join(&path), text).unwrap();
        }
        sound += usize::from(errors(&folder.0).is_empty());
    }
    assert!(sound > 10, "{sound} of 40 were sound");
}

/// The names of all keys of a schema.
fn keys(schema: &Value, found: &mut BTreeSet<String>) {
    match schema {
        Value::Object(object) => {
            if let Some(Value::Object(properties)) = object.get("properties") {
                found.extend(properties.keys().cloned());
            }
            object.values().for_each(|value| keys(value, found));
        }
        Value::Array(items) => items.iter().for_each(|value| keys(value, found)),
        _ => {}
    }
}

#[test]
fn every_key_stands_in_the_files_with_its_meaning() {
    let [starter, _] = both();
    let files = yaml_files(&starter);
    for kind in FileKind::ALL {
        let texts = files.iter().filter(|(path, _)| match kind {
            FileKind::Track => path.starts_with("tracks"),
            _ => path.ends_with(format!("{}.yaml", kind.word())),
        });
        let text: String = texts.map(|(_, text)| text.as_str()).collect();
        let mut all = BTreeSet::new();
        keys(&schema::schema(kind), &mut all);
        let missing: Vec<&String> = all
            .iter()
            .filter(|key| {
                !text.contains(&format!("{key}: ")) && !text.contains(&format!("{key}:\n"))
            })
            .collect();
        assert!(missing.is_empty(), "{}: {missing:?}", kind.word());
    }
    for (path, text) in &files {
        let modeline = text.lines().next().unwrap();
        let (_, schema) = modeline.split_once("$schema=").unwrap();
        let schema = path.parent().unwrap().join(schema);
        let plain = schema
            .to_string_lossy()
            .replace("car/../", "")
            .replace("tracks/../", "");
        assert!(
            starter
                .parts
                .iter()
                .any(|part| part.path == Path::new(&plain)),
            "{plain}"
        );
    }
}

#[test]
fn three_lines_are_left_to_fill_in() {
    for starter in both() {
        let blanks = starter.blanks(Path::new("there"));
        assert_eq!(blanks.len(), 3, "{blanks:#?}");
        assert!(
            blanks
                .iter()
                .all(|blank| blank.position.line > 0 && blank.with.len() > 20)
        );
    }
}

#[test]
fn nothing_comes_of_pulls_that_cannot_be() {
    let folder = Folder::new("bad");
    for (name, file, text) in [
        (
            "good/long",
            "a.csv",
            "rpm,torque [Nm]\n2000,100\n3000,120\n4000,130\n5000,128\n6000,110\n",
        ),
        (
            "bad/long",
            "a.csv",
            "rpm,torque [Nm]\n2000,100\nthree,120\n",
        ),
        ("empty", "notes.md", "nothing"),
    ] {
        fs::create_dir_all(folder.0.join(name)).unwrap();
        fs::write(folder.0.join(name).join(file), text).unwrap();
    }
    let said = |names: &[&str]| {
        let folders: Vec<PathBuf> = names.iter().map(|name| folder.0.join(name)).collect();
        let mut found = Findings::new();
        assert!(Starter::of_pulls("x", &folders, None, &mut found).is_none());
        let all: Vec<String> = found.iter().map(ToString::to_string).collect();
        all.join("\n")
    };
    assert!(said(&["good/long", "empty"]).contains("no pull in this folder"));
    fs::create_dir(folder.0.join("books")).unwrap();
    fs::write(folder.0.join("books/day.ods"), "x").unwrap();
    let books = said(&["good/long", "books"]);
    assert!(
        books.contains("a workbook: save it as .xlsx or CSV"),
        "{books}"
    );
    assert!(said(&["good/long", "bad/long"]).contains("a.csv:3:1"));
    assert!(said(&["good/long", "good/long"]).contains("two of these are called `long`"));
    assert!(said(&["nowhere"]).contains("this is neither a folder nor a table"));
    assert!(said(&["good/long", "bad/long/a.csv"]).contains("a.csv:3:1"));
}

#[test]
fn a_table_may_be_a_spec() {
    let folder = Folder::new("tables");
    let text = "rpm,torque [Nm]\n2000,100\n3000,120\n4000,130\n5000,128\n6000,110\n";
    let tables = ["long.csv", "short.csv"].map(|name| folder.0.join(name));
    fs::create_dir_all(&folder.0).unwrap();
    tables
        .iter()
        .for_each(|table| fs::write(table, text).unwrap());
    let starter = Starter::of_pulls("x", &tables, None, &mut Findings::new()).unwrap();
    assert_eq!(starter.specs, ["long", "short"]);
    let copy = starter
        .parts
        .iter()
        .find(|part| part.path.ends_with("pulls/long/long.csv"));
    assert_eq!(copy.unwrap().bytes, text.as_bytes());
}
