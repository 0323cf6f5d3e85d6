//! The schemas are in step with the decoder.

mod derived;
mod validate;

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use serde_json::{Map, Value};

use self::validate::{Validator, value_of};
use super::*;
use crate::files::finding::Findings;
use crate::files::kind::kind_of;
use crate::files::source::Source;
use crate::files::starter::tests as starter;
use crate::files::yaml::asked::{self, Asked};
use crate::files::{
    car as car_file, study as study_file, testday as testday_file, track as track_file,
};

/// The repository.
fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// The demo's files.
fn demo() -> Vec<PathBuf> {
    let folders = [
        "cars/rowan-coupe",
        "cars/plum-hatch",
        "tracks",
        "examples",
        "examples/roads",
    ];
    let mut files: Vec<PathBuf> = folders
        .iter()
        .flat_map(|folder| fs::read_dir(root().join(folder)).unwrap())
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "yaml"))
        .collect();
    files.sort();
    assert!(files.len() > 12);
    files
}

/// Reads a file for what it is; whether it is sound, and what is said of keys.
fn read(path: &Path) -> (bool, bool) {
    let mut found = Findings::new();
    match kind_of(path) {
        Some(FileKind::Study) => drop(study_file::read(path, &mut found)),
        Some(FileKind::Car) => drop(car_file::read(path, &mut found)),
        Some(FileKind::TestDay) => drop(testday_file::read(path, &mut found)),
        Some(FileKind::Track) => drop(track_file::read(path, &mut found)),
        None => return (false, false),
    }
    let unknown = found
        .iter()
        .any(|f| f.text.contains("is not a key known here"));
    (!found.has_errors(), unknown)
}

/// Every list of keys that is asked for while the demo, each line of a starter and a few texts more
/// are read.
fn everything_asked() -> Vec<Asked> {
    asked::taken();
    for path in demo() {
        read(&path);
    }
    let starter = &starter::both()[0];
    let folder = starter::Folder::filled("asked", starter);
    for (path, text) in starter::yaml_files(starter) {
        for index in starter::commented(&text) {
            fs::write(folder.0.join(&path), starter::with(&text, index)).unwrap();
            starter::errors(&folder.0);
        }
        fs::write(folder.0.join(&path), &text).unwrap();
    }
    let rest = [
        ("car/car.yaml", "differential: {bias: 2.5}\n"),
        (
            "car/testday.yaml",
            "repeatability: {within: 2 bhp, over: 3}\n",
        ),
        (
            "tracks/near.yaml",
            "name: a\nkind: stage\npath: {file: road.gpx, from: {x: 1 m, y: 2 m}}\n",
        ),
    ];
    for (path, more) in rest {
        let path = folder.0.join(path);
        let text = fs::read_to_string(&path).unwrap_or_default();
        fs::write(&path, format!("{text}{more}")).unwrap();
        read(&path);
    }
    asked::taken()
}

/// The kind of file that was read, by its name where the folder is gone again.
fn kind_of_asked(path: &Path) -> FileKind {
    let stem = path.file_stem().unwrap().to_str().unwrap();
    let named = FileKind::ALL.into_iter().find(|kind| kind.word() == stem);
    named.or_else(|| kind_of(path)).unwrap_or(FileKind::Track)
}

/// The lists of keys of every mapping in a schema.
fn lists(value: &Value, found: &mut BTreeSet<Vec<String>>) {
    match value {
        Value::Object(object) => {
            if let Some(Value::Object(properties)) = object.get("properties") {
                assert_eq!(
                    object.get("additionalProperties"),
                    Some(&Value::from(false))
                );
                found.insert(sorted(properties.keys().cloned()));
            }
            object.values().for_each(|value| lists(value, found));
        }
        Value::Array(items) => items.iter().for_each(|value| lists(value, found)),
        _ => {}
    }
}

fn sorted(keys: impl Iterator<Item = String>) -> Vec<String> {
    let mut keys: Vec<String> = keys.collect();
    keys.sort();
    keys
}

#[test]
fn keys_are_those_of_the_decoder() {
    let all = everything_asked();
    for kind in FileKind::ALL {
        let mut of_schema = BTreeSet::new();
        lists(&schema(kind), &mut of_schema);
        let of_decoder: BTreeSet<Vec<String>> = all
            .iter()
            .filter(|asked| kind_of_asked(&asked.path) == kind)
            .map(|asked| sorted(asked.known.iter().map(|key| (*key).to_owned())))
            .collect();
        let only = |a: &BTreeSet<Vec<String>>, b: &BTreeSet<Vec<String>>| {
            a.difference(b).cloned().collect::<Vec<_>>()
        };
        assert!(
            of_schema == of_decoder,
            "{}: schema alone {:#?}, decoder alone {:#?}",
            kind.word(),
            only(&of_schema, &of_decoder),
            only(&of_decoder, &of_schema)
        );
    }
    every_place_was_asked(&all);
}

/// Every line of the readers that asks for keys was among those that asked.
fn every_place_was_asked(all: &[Asked]) {
    let mut open = vec![root().join("src/files")];
    let mut missed = Vec::new();
    while let Some(folder) = open.pop() {
        for entry in fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let name = path.file_name().unwrap().to_str().unwrap();
            if path.is_dir() && name != "tests" && name != "yaml" {
                open.push(path);
            } else if name.ends_with(".rs") && name != "tests.rs" && name != "random.rs" {
                let text = fs::read_to_string(&path).unwrap();
                let lines = text
                    .lines()
                    .zip(1..)
                    .filter(|(line, _)| line.contains(".mapping("));
                missed.extend(lines.map(|(_, line)| (path.clone(), line)));
            }
        }
    }
    assert!(missed.len() > 35, "{}", missed.len());
    missed.retain(|(path, line)| {
        !all.iter()
            .any(|asked| asked.by.line() == *line && path.ends_with(asked.by.file()))
    });
    assert!(missed.is_empty(), "{missed:#?}");
}

#[test]
fn sound_files_are_sound_by_their_schema() {
    for path in demo() {
        assert!(read(&path).0, "{}", path.display());
        let text = fs::read_to_string(&path).unwrap();
        let fault = Validator::of(kind_of(&path).unwrap()).fault(&value_of(&path, &text));
        assert_eq!(fault, None, "{}", path.display());
    }
    for starter in starter::both() {
        let folder = starter::Folder::filled("sound", &starter);
        for (path, text) in starter::yaml_files(&starter) {
            let path = folder.0.join(path);
            let validator = Validator::of(kind_of(&path).unwrap());
            for index in starter::commented(&text) {
                let fault = validator.fault(&value_of(&path, &starter::with(&text, index)));
                let line = text.lines().nth(index).unwrap();
                assert_eq!(fault, None, "{}: {line}", path.display());
            }
        }
    }
}

/// Renames one key of a value, chosen at random.
fn rename_one(value: &mut Value, random: &mut ChaCha8Rng) {
    fn count(value: &Value) -> u32 {
        match value {
            Value::Object(object) => object.len() as u32 + object.values().map(count).sum::<u32>(),
            Value::Array(items) => items.iter().map(count).sum(),
            _ => 0,
        }
    }
    fn rename(value: &mut Value, left: &mut u32) {
        match value {
            Value::Object(object) => {
                let mut renamed = Map::new();
                for (key, mut inner) in std::mem::take(object) {
                    let this = *left == 0;
                    *left = left.wrapping_sub(1);
                    rename(&mut inner, left);
                    renamed.insert(if this { format!("{key}x") } else { key }, inner);
                }
                *object = renamed;
            }
            Value::Array(items) => items.iter_mut().for_each(|item| rename(item, left)),
            _ => {}
        }
    }
    let all = count(value);
    rename(value, &mut (random.next_u32() % all));
}

#[test]
fn what_the_decoder_refuses_for_a_key_the_schema_refuses() {
    let mut random = ChaCha8Rng::seed_from_u64(4);
    let folder = starter::Folder::new("refused");
    let mut refused = 0;
    for path in demo() {
        let text = fs::read_to_string(&path).unwrap();
        let sound = value_of(&path, &text);
        let validator = Validator::of(kind_of(&path).unwrap());
        for _ in 0..12 {
            let mut value = sound.clone();
            rename_one(&mut value, &mut random);
            // JSON is YAML.
            let name = format!("{}.yaml", kind_of(&path).unwrap().word());
            let changed = folder.0.join(name);
            fs::write(&changed, value.to_string()).unwrap();
            let mut found = Findings::new();
            match kind_of(&path).unwrap() {
                FileKind::Study => drop(study_file::read(&changed, &mut found)),
                FileKind::Car => drop(car_file::read(&changed, &mut found)),
                FileKind::TestDay => drop(testday_file::read(&changed, &mut found)),
                FileKind::Track => drop(track_file::read(&changed, &mut found)),
            }
            if found
                .iter()
                .any(|f| f.text.contains("is not a key known here"))
            {
                assert!(validator.fault(&value).is_some(), "{value:#}");
                refused += 1;
            }
        }
    }
    assert!(refused > 60, "{refused}");
}

#[test]
fn words_are_those_of_the_decoder() {
    // Each with a word that is not known, and where the schema lists the known ones.
    let car = "mass: 900 kg\ndrive: rear\ntyre: 185/60R13\nratios: [2, 1]\nfinal_drive: 4\n";
    let day = "specs: [{name: a, points: {rpm: [1000, 2000, 3000, 4000, 5000], torque: [9, 9, 9, 9, 9]}}]\n";
    let track = "name: a\nkind: stage\npieces: [{straight: 100 m}]\n";
    let probes: &[(FileKind, String, &str)] = &[
        (FileKind::Car, car.replace("rear", "qq"), "drive"),
        (
            FileKind::Car,
            format!("{car}first_gear: qq\n"),
            "first_gear",
        ),
        (FileKind::Car, format!("{car}body: qq\n"), "body"),
        (FileKind::Car, format!("{car}flywheel: qq\n"), "flywheel"),
        (
            FileKind::Car,
            car.replace("185/60R13", "{size: 185/60R13, kind: qq}"),
            "kind",
        ),
        (
            FileKind::TestDay,
            format!("{day}dyno: {{measures: qq}}\n"),
            "measures",
        ),
        (
            FileKind::TestDay,
            format!("{day}dyno: {{method: qq}}\n"),
            "method",
        ),
        (
            FileKind::TestDay,
            format!("{day}dyno: {{restrapped: qq}}\n"),
            "restrapped",
        ),
        (
            FileKind::TestDay,
            format!("{day}engine: {{breathing: qq}}\n"),
            "breathing",
        ),
        (
            FileKind::TestDay,
            format!("{day}engine: {{ignition: qq}}\n"),
            "ignition",
        ),
        (
            FileKind::TestDay,
            format!("{day}correct_to: qq\n"),
            "correct_to",
        ),
        (FileKind::Track, track.replace("stage", "qq"), "kind"),
        (FileKind::Track, format!("{track}finish: qq\n"), "finish"),
        (
            FileKind::Track,
            track.replace(
                "{straight: 100 m}",
                "{corner: {radius: 9 m, turn: 1 rad, direction: qq}}",
            ),
            "direction",
        ),
        (
            FileKind::Track,
            track.replace(
                "{straight: 100 m}",
                "{corner: {apex: 9 km/h, length: 9 m, scales: qq}}",
            ),
            "scales",
        ),
    ];
    for (kind, text, key) in probes {
        let mut found = Findings::new();
        let source = Source::new("probe.yaml", text);
        match kind {
            FileKind::TestDay => drop(testday_file::decode(source, &mut found)),
            FileKind::Track => drop(track_file::decode(source, None, &mut found)),
            _ => drop(car_file::decode(source, None, &mut found)),
        }
        let remedies = found.iter().filter_map(|f| f.remedy.as_deref());
        let (_, list) = remedies
            .filter_map(|remedy| remedy.split_once("one of "))
            .next()
            .unwrap_or_else(|| panic!("{key}: {:#?}", found.iter().collect::<Vec<_>>()));
        let known = sorted(list.split(", ").map(str::to_owned));
        assert_eq!(known, enumerated(&schema(*kind), key), "{key}");
    }
}

/// The words that a schema lists for a key, where it first does.
fn enumerated(value: &Value, key: &str) -> Vec<String> {
    let words = |property: &Value| -> Option<Vec<String>> {
        let list = property.get("enum")?.as_array()?;
        Some(sorted(
            list.iter()
                .filter_map(|word| Some(word.as_str()?.to_owned())),
        ))
    };
    let inner: Vec<&Value> = match value {
        Value::Object(object) => {
            let own = object
                .get("properties")
                .and_then(|p| p.get(key))
                .and_then(words);
            if let Some(own) = own {
                return own;
            }
            object.values().collect()
        }
        Value::Array(items) => items.iter().collect(),
        _ => Vec::new(),
    };
    let found = inner.into_iter().map(|value| enumerated(value, key));
    found
        .into_iter()
        .find(|words| !words.is_empty())
        .unwrap_or_default()
}
