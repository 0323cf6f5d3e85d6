//! Where pulls come from: a folder, a glob, files with their weather, points typed in.

use std::cmp::Ordering;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::fittings::{Context, FoundPull};
use super::standard;
use super::weather;
use crate::air::Air;
use crate::dyno::{Method, Pull, Rows, Smoothing, Standard, condition};
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::pulls::{self, FEWEST_POINTS, FilePull};
use crate::files::yaml::{Item, Map};
use crate::units::{POWER, RPM_PER_RAD_PER_S, TORQUE};

/// Most files of one pattern.
const MOST_FILES: usize = 200;
/// What makes a name a pattern.
const WILD: [char; 3] = ['*', '?', '['];
/// Endings of the files that a folder of pulls is searched for.
const ENDINGS: [&str; 4] = ["csv", "txt", "tsv", "dat"];

const PULL_KEYS: &[&str] = &[
    "file",
    "pull",
    "weather",
    "pressure",
    "sea_level_pressure",
    "elevation",
    "temperature",
    "humidity",
    "dew_point",
    "wet_bulb",
    "corrected",
    "factor",
    "at",
    "set_aside",
];

const POINT_KEYS: &[&str] = &["rpm", "torque", "power", "unit", "at", "factor"];

/// What a test day says of a pull beside its points.
struct Said<'a> {
    weather: weather::Parts<'a>,
    corrected: Option<Standard>,
    factor: Option<f64>,
    clock: Option<f64>,
    set_aside: Option<String>,
    /// Which pulls of a file with several; empty where all of them.
    only: Vec<Item<'a>>,
}

/// The pulls that one entry names.
pub fn pulls<'a>(item: &Item<'a>, scope: &Context<'a>) -> Vec<FoundPull<'a>> {
    if item.word().is_some() {
        let said = Said {
            weather: scope.weather,
            corrected: scope.corrected,
            factor: None,
            clock: None,
            set_aside: None,
            only: Vec::new(),
        };
        return from_files(item, *item, &said, scope);
    }
    let Some(map) = item.mapping(PULL_KEYS) else {
        return Vec::new();
    };
    let Some(file) = map.require("file", "pulls/long-1.csv") else {
        return Vec::new();
    };
    let own = map.take("weather").map(|item| weather::parts(&item));
    let own = weather::among(&map).or(own.unwrap_or_default());
    let said = Said {
        weather: own.or(scope.weather),
        corrected: map
            .take("corrected")
            .and_then(|item| standard(&item))
            .or(scope.corrected),
        factor: printed_factor(&map),
        clock: map.take("at").and_then(|item| clock(&item)),
        set_aside: map.take("set_aside").and_then(|item| item.text()),
        only: map
            .take("pull")
            .map(|item| item.one_or_more())
            .unwrap_or_default(),
    };
    from_files(item, file, &said, scope)
}

fn printed_factor(map: &Map) -> Option<f64> {
    map.take("factor").and_then(|item| item.number(0.5..=2.0))
}

/// A time of day, `10:40`, in seconds after midnight.
fn clock(item: &Item) -> Option<f64> {
    let text = item.scalar("a time of day, as in `10:40`")?;
    let parts: Vec<Option<u32>> = text.split(':').map(|part| part.parse().ok()).collect();
    match parts.as_slice() {
        [Some(h), Some(m)] if *h < 24 && *m < 60 => Some(f64::from(h * 3600 + m * 60)),
        [Some(h), Some(m), Some(s)] if *h < 24 && *m < 60 && *s < 60 => {
            Some(f64::from(h * 3600 + m * 60 + s))
        }
        _ => {
            let text = format!("at: {} is not a time of day", quoted(text));
            item.error(text, "write hours and minutes, as in `10:40`");
            None
        }
    }
}

/// The pulls of the files that `file` names: one, a folder, or a glob.
fn from_files<'a>(
    item: &Item<'a>,
    file: Item<'a>,
    said: &Said<'a>,
    scope: &Context<'a>,
) -> Vec<FoundPull<'a>> {
    let Some(written) = file.text() else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for path in paths(&file, &written) {
        let mut findings = Findings::new();
        let read = pulls::read(&path, &scope.settings, &mut findings);
        item.opened_for(&findings);
        for finding in findings {
            item.push(match (path.exists(), path == file.beside(&written)) {
                (false, _) => at_name(&file, &written, finding),
                (true, true) => finding,
                (true, false) => of_many(finding),
            });
        }
        found.extend(read.unwrap_or_default());
    }
    if !said.only.is_empty() && !found.is_empty() {
        found = chosen(found, &said.only);
    }
    if said.clock.is_some() && found.len() > 1 {
        item.error(
            format!("one time of day for {} pulls", found.len()),
            "give each file its own `at`",
        );
    }
    let air = if found.is_empty() {
        None
    } else {
        said.weather.air()
    };
    let finished = found.into_iter().map(|pull| finish(item, pull, said, air));
    finished.collect()
}

/// The pulls of a file that are asked for, in the order of the file.
fn chosen(found: Vec<FilePull>, only: &[Item]) -> Vec<FilePull> {
    let labels: Vec<String> = found.iter().map(|pull| pull.label.clone()).collect();
    let mut wanted = Vec::new();
    for item in only {
        let Some(label) = item.text() else { continue };
        if !labels.contains(&label) {
            let text = format!("pull: the file has no pull {}", quoted(&label));
            let remedy = match labels.iter().all(String::is_empty) {
                true => "it has no column `pull` that numbers them".to_owned(),
                false => format!("its pulls are {}", labels.join(", ")),
            };
            item.error(text, remedy);
        }
        wanted.push(label);
    }
    let is_wanted = |pull: &FilePull| wanted.contains(&pull.label);
    found.into_iter().filter(is_wanted).collect()
}

/// A file that came with its folder may be no pull at all.
pub fn of_many(finding: Finding) -> Finding {
    let whole = finding.position.as_ref().is_some_and(|at| at.line == 0);
    match &finding.remedy {
        Some(remedy) if whole && finding.severity == Severity::Error => {
            let remedy = format!("{remedy}; if it is no pull, keep it in another folder");
            finding.remedy(remedy)
        }
        _ => finding,
    }
}

/// A file that is not there is a fault of the line that names it.
fn at_name(file: &Item, written: &str, missing: Finding) -> Finding {
    let text = format!("{written}: {}", missing.text);
    Finding {
        remedy: missing.remedy,
        ..file.finding(Severity::Error, text)
    }
}

/// The files that a pattern names, in the order people count: `long-2` before `long-10`.
fn paths(file: &Item, written: &str) -> Vec<PathBuf> {
    let path = file.beside(written);
    let is_pattern = written.contains(WILD);
    let mut found: Vec<PathBuf> = if path.is_dir() {
        tables_in(&path)
    } else if is_pattern && !path.exists() {
        match matching(file, written) {
            Some(found) => found,
            None => return Vec::new(),
        }
    } else {
        return vec![path];
    };
    found.sort_by(|a, b| natural(&a.to_string_lossy(), &b.to_string_lossy()));
    if found.is_empty() {
        let text = format!("no pull file in {}", quoted(written));
        let remedy = "files ending in .csv, .txt, .tsv or .dat are looked for";
        file.error(text, remedy);
    } else if found.len() > MOST_FILES {
        let text = format!("{} names more than {MOST_FILES} files", quoted(written));
        file.error(
            text,
            format!("at most {MOST_FILES} are read for one fitting"),
        );
        found.clear();
    }
    found
}

/// The files that fit a pattern; one that would search a disk is refused.
fn matching(file: &Item, written: &str) -> Option<Vec<PathBuf>> {
    let wild = written
        .split(['/', '\\'])
        .filter(|part| part.contains(WILD));
    if written.contains("**") || wild.count() > 2 {
        let text = format!("{} would search whole trees of folders", quoted(written));
        file.error(text, "name the folder, as in `pulls/long-*.csv`");
        return None;
    }
    let folder = file.beside("");
    let escaped = glob::Pattern::escape(&folder.to_string_lossy());
    let pattern = Path::new(&escaped).join(written);
    match glob::glob(&pattern.to_string_lossy()) {
        Ok(matches) => {
            let files = matches.flatten().filter(|path| path.is_file());
            // One more than is read tells that there are more.
            Some(files.take(MOST_FILES + 1).collect())
        }
        Err(error) => {
            let text = format!("{} is no pattern: {}", quoted(written), error.msg);
            file.error(text, "write it as in `pulls/long-*.csv`");
            None
        }
    }
}

/// The tables of a folder.
pub fn tables_in(folder: &Path) -> Vec<PathBuf> {
    let listing = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let paths = listing.map(|entry| entry.path());
    paths.filter(|path| is_table(path)).collect()
}

/// Whether a file is one that pulls are looked for in.
pub fn is_table(path: &Path) -> bool {
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    // What file systems and spreadsheets leave beside the files they open.
    let is_shadow = name.starts_with(['.', '~']);
    let named = ENDINGS.iter().any(|e| e.eq_ignore_ascii_case(&ending));
    named && !is_shadow && path.is_file()
}

/// Compares texts with the numbers in them as numbers.
fn natural(a: &str, b: &str) -> Ordering {
    fn parts(text: &str) -> impl Iterator<Item = &[u8]> {
        let alike = |a: &u8, b: &u8| a.is_ascii_digit() == b.is_ascii_digit();
        text.as_bytes().chunk_by(alike)
    }
    let number = |part: &[u8]| -> Option<u128> { str::from_utf8(part).ok()?.parse().ok() };
    let compared = parts(a)
        .zip(parts(b))
        .map(|(a, b)| match (number(a), number(b)) {
            (Some(x), Some(y)) => x.cmp(&y),
            _ => a.cmp(b),
        })
        .find(|order| *order != Ordering::Equal);
    compared.unwrap_or_else(|| a.cmp(b))
}

/// Whether a value is a bare number.
fn has_no_unit(item: &Item) -> bool {
    item.word().is_some_and(|word| word.parse::<f64>().is_ok())
}

/// Points typed into the test day.
pub fn points<'a>(item: &Item<'a>, scope: &Context<'a>) -> Option<FoundPull<'a>> {
    let map = item.mapping(POINT_KEYS)?;
    let unit = map.take("unit").and_then(|unit| unit.text());
    let rpm = map
        .require("rpm", "[2500, 3000, 3500]")
        .and_then(|rpm| rpm.list())?;
    let rpm: Option<Vec<f64>> = rpm.iter().map(|n| n.rpm(1.0..=25_000.0)).collect();
    let measured = map.either(&["torque", "power"], Some("torque: [132, 145, 157]"))?;
    let is_power = measured.name() == "power";
    if is_power && unit.is_none() && measured.list()?.iter().any(has_no_unit) {
        measured.error("power has no unit", "add `unit: bhp`, or kW or PS");
        return None;
    }
    let (dimension, bare) = if is_power {
        (&POWER, unit.as_deref().unwrap_or_default())
    } else {
        (&TORQUE, unit.as_deref().unwrap_or("Nm"))
    };
    let values = measured.list()?;
    let values: Option<Vec<f64>> = values
        .iter()
        .map(|v| v.quantity_or_bare(dimension, bare, 1e-3..=1e7))
        .collect();
    let (rpm, mut torque) = (rpm?, values?);
    if rpm.len() != torque.len() {
        let text = format!("{} engine speeds and {} values", rpm.len(), torque.len());
        measured.error(text, "write one value for each engine speed");
        return None;
    }
    if is_power {
        for (t, n) in torque.iter_mut().zip(&rpm) {
            *t *= RPM_PER_RAD_PER_S / n;
        }
    }
    if let Some(i) = (1..rpm.len()).find(|&i| rpm[i] <= rpm[i - 1]) {
        let text = format!("rpm: {} does not come after {}", rpm[i], rpm[i - 1]);
        item.warning(text, "sorted, and equal engine speeds merged");
    }
    let rows = Rows {
        rpm,
        torque,
        ..Rows::default()
    };
    let made = condition(&rows, Method::Steps, Smoothing::Off);
    if made.rpm.len() < FEWEST_POINTS {
        let text = format!("{} engine speeds are too few for a curve", made.rpm.len());
        let remedy = format!("write {FEWEST_POINTS} at least, over the whole range");
        item.error(text, remedy);
        return None;
    }
    let said = Said {
        weather: scope.weather,
        corrected: scope.corrected,
        factor: printed_factor(&map),
        clock: map.take("at").and_then(|item| clock(&item)),
        set_aside: None,
        only: Vec::new(),
    };
    let pull = FilePull {
        name: "typed in".to_owned(),
        label: String::new(),
        rpm: made.rpm,
        torque: made.torque,
        acceleration: Vec::new(),
        handling: made.handling,
        channels: BTreeMap::new(),
    };
    let air = said.weather.air();
    Some(finish(item, pull, &said, air))
}

/// A pull with what is said of it. Without weather and standard it counts as corrected to something
/// unknown; with weather alone, as read.
fn finish<'a>(item: &Item<'a>, found: FilePull, said: &Said, air: Option<Air>) -> FoundPull<'a> {
    let corrected = said.corrected.unwrap_or(match air {
        Some(_) => Standard::Uncorrected,
        None => Standard::Unknown,
    });
    if said.factor.is_some() && matches!(corrected, Standard::Uncorrected | Standard::Unknown) {
        item.error(
            "a printed factor belongs to a named standard",
            "add what the pull is corrected to, as in `corrected: SAE J1349`",
        );
    }
    FoundPull {
        pull: Pull {
            name: found.name,
            rpm: found.rpm,
            torque: found.torque,
            acceleration: found.acceleration,
            air,
            corrected,
            clock: said.clock,
            set_aside: said.set_aside.clone(),
            handling: found.handling,
            channels: found.channels,
        },
        item: *item,
        factor: said.factor,
    }
}
