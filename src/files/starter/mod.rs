//! A folder to start from: a study that runs at once, with every key explained in its files.
//!
//! The car and the venues are invented. The pulls are invented too, or copies of the user's own.

mod pulls;

#[cfg(test)]
pub mod tests;

use std::path::{Path, PathBuf};

use self::pulls::Pulled;
use super::finding::{Finding, Findings, Position};
use super::kind::FileKind;
use super::schema;
use super::study;

/// What marks the lines that are the user's to fill in; what stands behind it says with what.
const MARK: &str = "FILL IN: ";

/// The line of a test day, still a comment, that says what 1,000 rpm are.
const GEAR_SPEED: &str = "#speed_per_1000_rpm: 24 km/h ";

const STUDY: &str = include_str!("study.yaml");
const CAR: &str = include_str!("car.yaml");
const TEST_DAY: &str = include_str!("testday.yaml");
const SPEC: &str = include_str!("spec.yaml");
const STAGE: &str = include_str!("stage.yaml");
const CIRCUIT: &str = include_str!("circuit.yaml");

/// What 1,000 rpm are on the road in the gear that pulls were made in.
#[derive(Debug, Clone, PartialEq)]
pub struct GearSpeed {
    /// As written, with its unit.
    pub written: String,
    /// m/s.
    pub si: f64,
}

/// One file of the folder.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its path from the folder.
    pub path: PathBuf,
    /// What is in it.
    pub bytes: Vec<u8>,
}

/// A line that is the user's to fill in.
#[derive(Debug, Clone, PartialEq)]
pub struct Blank {
    /// Where it is.
    pub position: Position,
    /// With what.
    pub with: String,
    /// Whether it stands behind a # until then.
    pub unused: bool,
}

/// The files of a new folder.
#[derive(Debug, Clone, PartialEq)]
pub struct Starter {
    /// The files.
    pub parts: Vec<Part>,
    /// Names of the specs.
    pub specs: Vec<String>,
    /// Copied tables of pulls; 0 where the pulls are invented.
    pub copied: usize,
}

impl Starter {
    /// With invented pulls; `name` is what the study is called.
    pub fn invented(name: &str) -> Self {
        Self::of(name, &pulls::invented(), false)
    }

    /// With copies of the pulls of each folder, a spec each. `None` where one cannot be read: then
    /// at least one error was added.
    pub fn of_pulls(
        name: &str,
        folders: &[PathBuf],
        speed: Option<&GearSpeed>,
        findings: &mut Findings,
    ) -> Option<Self> {
        let mut starter = Self::of(name, &pulls::read(folders, speed, findings)?, true);
        if let Some(speed) = speed {
            let days = starter.parts.iter_mut();
            for part in days.filter(|part| part.path.ends_with("testday.yaml")) {
                let text = String::from_utf8_lossy(&part.bytes);
                let own = format!("speed_per_1000_rpm: {} ", word(&speed.written));
                part.bytes = text.replacen(GEAR_SPEED, &own, 1).into_bytes();
            }
        }
        Some(starter)
    }

    fn of(name: &str, pulled: &[Pulled], own: bool) -> Self {
        let mut parts = vec![
            text("study.yaml", study_file(name, pulled)),
            text("car/car.yaml", car_file(own)),
            text("car/testday.yaml", test_day_file(pulled, own)),
            text("tracks/stage.yaml", with_first(STAGE, pulled)),
            text("tracks/circuit.yaml", CIRCUIT.to_owned()),
        ];
        for kind in FileKind::ALL {
            let path = format!(".schema/{}.json", kind.word());
            parts.push(text(&path, schema::text(kind)));
        }
        for spec in pulled {
            parts.extend(spec.files.iter().map(|(file, bytes)| Part {
                path: Path::new("car/pulls").join(&spec.name).join(file),
                bytes: bytes.clone(),
            }));
        }
        Self {
            parts,
            specs: pulled.iter().map(|spec| spec.name.clone()).collect(),
            copied: match own {
                true => pulled.iter().map(|spec| spec.files.len()).sum(),
                false => 0,
            },
        }
    }

    /// The lines to fill in, as they stand once the files are in `folder`.
    pub fn blanks(&self, folder: &Path) -> Vec<Blank> {
        let in_part = |part: &Part| {
            blanks_in(
                &folder.join(&part.path),
                &String::from_utf8_lossy(&part.bytes),
            )
        };
        let yaml = |part: &&Part| part.path.extension().is_some_and(|e| e == "yaml");
        self.parts.iter().filter(yaml).flat_map(in_part).collect()
    }
}

/// The lines of a text that are to fill in, as they stand in `path`.
pub fn blanks_in(path: &Path, text: &str) -> Vec<Blank> {
    let lines = text.lines().zip(1..);
    let marked = lines.filter_map(|(line, at)| Some((line.split_once(MARK)?, at)));
    marked
        .map(|((before, with), line)| Blank {
            position: Position {
                path: path.to_owned(),
                line,
                column: 0,
            },
            with: with.to_owned(),
            unused: before.trim_start().starts_with('#') && before.trim().len() > 1,
        })
        .collect()
}

/// Reads a folder that was written as a study; its faults are told as of `meant`, where the folder
/// will be.
pub fn faults(written: &Path, meant: &Path) -> Findings {
    let mut found = Findings::new();
    study::read(written, &mut found);
    let mut renamed = Findings::new();
    for mut finding in found.into_iter().filter(Finding::is_error) {
        if let Some(at) = &mut finding.position
            && let Ok(inside) = at.path.strip_prefix(written)
        {
            at.path = meant.join(inside);
        }
        renamed.push(finding);
    }
    renamed
}

fn text(path: &str, text: String) -> Part {
    Part {
        path: PathBuf::from(path),
        bytes: text.into_bytes(),
    }
}

fn with_first(template: &str, pulled: &[Pulled]) -> String {
    let first = pulled.first().map_or("long", |spec| &spec.name);
    template.replace("{{first}}", &word(first))
}

fn study_file(name: &str, pulled: &[Pulled]) -> String {
    with_first(STUDY, pulled).replace("{{name}}", &word(name))
}

/// The revs of the user's own engine are where its pulls end until a limit is written.
fn car_file(own: bool) -> String {
    let limit = match own {
        true => "#rev_limit: 7000 rpm                # without it where the longest pulls end",
        false => "rev_limit: 7000 rpm",
    };
    CAR.replace("{{rev_limit}}", limit)
}

fn test_day_file(pulled: &[Pulled], own: bool) -> String {
    let weather = "weather: {pressure: 1009 hPa, temperature: 18 C, humidity: 55 %}";
    let (origin, weather, correct_to) = match own {
        true => (
            "The pulls are yours, copied.",
            format!(
                "#{weather}   # FILL IN: the weather on the dyno, or what figures are `corrected` to"
            ),
            "#correct_to: DIN 70020              # what figures are brought to; needs weather",
        ),
        false => (
            "Invented: no such engine was pulled.",
            format!("{weather}   # on the dyno"),
            "correct_to: DIN 70020                # what figures are brought to",
        ),
    };
    let names: Vec<String> = pulled.iter().map(|spec| word(&spec.name)).collect();
    let mut out = TEST_DAY
        .replace("{{origin}}", origin)
        .replace("{{weather}}", &weather)
        .replace("{{correct_to}}", correct_to)
        .replace("{{order}}", &format!("[{}]", names.join(", ")));
    for (index, spec) in pulled.iter().enumerate() {
        let folder = format!("pulls/{}", spec.name);
        let file = spec.files.first().map_or("", |(file, _)| file);
        let pulls = match (index, own) {
            (0, false) => format!(
                "{}                # FILL IN: the folder of your own pulls, a table each",
                word(&folder)
            ),
            _ => word(&folder),
        };
        // The first mention is the line in use, the others stand in comments.
        out += &SPEC
            .replacen("{{pulls}}", &pulls, 1)
            .replace("{{pulls}}", &word(&folder))
            .replace("{{file}}", &word(&format!("{folder}/{file}")))
            .replace("{{parts}}", &parts(&spec.name, own))
            .replace("{{spec}}", &word(&spec.name));
    }
    out
}

/// What is fitted: nobody knows what kind of part copied pulls are of.
fn parts(spec: &str, own: bool) -> String {
    let kind = if own { "part" } else { "manifold" };
    format!("{{{kind}: {}}}", word(spec))
}

/// A text as it can stand anywhere in YAML.
fn word(text: &str) -> String {
    let simple = |c: char| c.is_ascii_alphanumeric() || "-_./ ".contains(c);
    let plain = text.starts_with(|c: char| c.is_ascii_alphanumeric())
        && !text.ends_with(' ')
        && !text.eq_ignore_ascii_case("null")
        && text.chars().all(simple);
    match plain {
        true => text.to_owned(),
        // JSON's quotes and escapes are YAML's too.
        false => serde_json::Value::from(text).to_string(),
    }
}
