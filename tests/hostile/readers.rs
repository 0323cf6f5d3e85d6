//! Every reader of files, fed bytes: what each is given must be read or refused in good order.
//!
//! Shared by the tests and by the fuzz targets, which include this file by its path.

// Fuzzing takes this file alone.
#[allow(clippy::duplicate_mod)]
#[path = "../support/packed.rs"]
mod packed;

use std::path::{Path, PathBuf};

use pullrank::files::finding::{Finding, Findings, Severity};
use pullrank::files::path::{self, Lines};
use pullrank::files::source::Source;
use pullrank::files::table::Table;
use pullrank::files::workbook::Workbook;
use pullrank::files::{car, log, pulls, study, testday, track, yaml};
use pullrank::units::{self, DIMENSIONS};
use pullrank::venue::pieces::Layout;
use pullrank::venue::{self, Course, Extent, Section};
use pullrank::{car::tyre::Tyre, dyno};

/// A reader of files.
pub struct Reader {
    /// The folder of its seeds.
    pub name: &'static str,
    /// What was found in a file of these bytes.
    ///
    /// # Panics
    /// It was neither read nor refused in good order.
    pub read: fn(&[u8]) -> Findings,
}

/// All of them.
pub const READERS: [Reader; 14] = [
    reader("yaml", of_yaml),
    reader("study", of_study),
    reader("car", of_car),
    reader("testday", of_test_day),
    reader("track", of_track),
    reader("notes", of_notes),
    reader("pulls", of_pulls),
    reader("gpx", of_path),
    reader("kml", of_path),
    reader("geojson", of_path),
    reader("points", of_path),
    reader("log", of_log),
    reader("units", of_units),
    reader("workbook", of_workbook),
];

const fn reader(name: &'static str, read: fn(&[u8]) -> Findings) -> Reader {
    Reader { name, read }
}

/// The folder of seeds and of the small world, from the root of the repository.
pub fn folder() -> PathBuf {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut roots = here.ancestors().map(|root| root.join("tests/hostile"));
    roots
        .find(|folder| folder.is_dir())
        .expect("the repository")
}

/// Where a file of these readers would stand: beside the files of the small world.
fn beside(name: &str) -> PathBuf {
    folder().join("world").join(name)
}

/// Longest text that a finding's line may show, as the reader of a terminal sees it.
const LONGEST: usize = 5000;

/// Every refusal has a word, a place and something printable to say.
fn judged<T>(path: &Path, text: Option<&Source>, read: Option<&T>, found: Findings) -> Findings {
    assert_eq!(read.is_none(), found.has_errors(), "{found:?}");
    for finding in &found {
        check_finding(path, text, finding);
    }
    serde_json::to_string(&found).expect("findings are JSON");
    found
}

fn check_finding(path: &Path, text: Option<&Source>, finding: &Finding) {
    let shown = finding.to_string();
    assert!(!finding.text.is_empty(), "{finding:?}");
    assert!(shown.chars().count() < LONGEST, "{shown}");
    assert!(
        !shown.chars().any(|c| c.is_control() && c != '\n'),
        "{shown:?}"
    );
    if finding.severity == Severity::Assumed {
        assert!(finding.key.is_some(), "{finding:?}");
        return;
    }
    let place = finding.position.as_ref();
    let place = place.unwrap_or_else(|| panic!("no place: {shown}"));
    if let (Some(source), true) = (text, place.path == path) {
        let lines = source.text.split('\n').count() as u32;
        assert!(
            place.line <= lines,
            "line {} of {lines}: {shown}",
            place.line
        );
        let width = source.line(place.line).chars().count() as u32;
        assert!(
            place.line == 0 || place.column <= width + 1,
            "column {} of {width}: {shown}",
            place.column
        );
    }
}

/// Reads a text with a reader in memory.
fn with_text<T>(
    name: &str,
    bytes: &[u8],
    decode: impl FnOnce(Source, &mut Findings) -> Option<T>,
) -> (Option<T>, Findings) {
    let path = beside(name);
    let mut found = Findings::new();
    let source = Source::from_bytes(&path, bytes.to_vec(), &mut found);
    let kept = source.clone();
    let read = source.and_then(|source| decode(source, &mut found));
    let found = judged(&path, kept.as_ref(), read.as_ref(), found);
    (read, found)
}

/// As [`with_text`], for tables.
fn with_table<T>(
    name: &str,
    bytes: &[u8],
    decode: impl FnOnce(Source, &mut Findings) -> Option<T>,
) -> (Option<T>, Findings) {
    let path = beside(name);
    let mut found = Findings::new();
    let source = Source::table_from_bytes(&path, bytes.to_vec(), &mut found);
    let kept = source.clone();
    let read = source.and_then(|source| decode(source, &mut found));
    let found = judged(&path, kept.as_ref(), read.as_ref(), found);
    (read, found)
}

fn of_yaml(bytes: &[u8]) -> Findings {
    fn walk(item: &yaml::Item) {
        if let Some(entries) = item.is_mapping().then(|| item.entries()).flatten() {
            entries.iter().for_each(walk);
        } else if item.is_list() {
            item.list().iter().flatten().for_each(walk);
        } else if item.word().is_some() {
            let _ = item.text();
        }
    }
    let decode = |source, found: &mut Findings| {
        yaml::decode(source, found, |root| {
            walk(&root);
            Some(())
        })
    };
    with_text("any.yaml", bytes, decode).1
}

fn of_study(bytes: &[u8]) -> Findings {
    let (study, found) = with_text("study.yaml", bytes, study::decode);
    for entry in study.iter().flat_map(|study| &study.entries) {
        check_course(&entry.course);
        assert!(entry.habits.corner_share > 0.0);
    }
    found
}

fn of_car(bytes: &[u8]) -> Findings {
    let decode = |source, found: &mut Findings| car::decode(source, Some(6500.0), found);
    let (car, found) = with_text("car.yaml", bytes, decode);
    if let Some(car) = car {
        assert!(car.rev_limit_rpm.is_finite() && car.rev_limit_rpm > 0.0);
        assert!(
            car.trims
                .iter()
                .all(|t| t.mass > 0.0 && t.rolling_radius > 0.0)
        );
    }
    found
}

fn of_test_day(bytes: &[u8]) -> Findings {
    let (day, found) = with_text("testday.yaml", bytes, testday::decode);
    if let Some(reduced) = day.and_then(|day| day.reduce().ok()) {
        for spec in &reduced.specs {
            for rpm in [1000.0, 3500.0, 9000.0] {
                assert!(spec.curve.torque(rpm).is_finite(), "{spec:?}");
            }
        }
    }
    found
}

fn of_track(bytes: &[u8]) -> Findings {
    let decode = |source, found: &mut Findings| track::decode(source, None, found);
    let (course, found) = with_text("track.yaml", bytes, decode);
    if let Some(course) = &course {
        check_course(course);
        venue::character::character(course);
        if let Some(road) = course.shuffled(1, 2) {
            check_sections(&road.sections);
        }
    }
    found
}

fn of_notes(bytes: &[u8]) -> Findings {
    let text = String::from_utf8_lossy(bytes).replace('\0', " ");
    let quoted = serde_json::to_string(&text).expect("a text");
    let track = format!(
        "name: x\nkind: stage\nsurface: gravel\nnotes: {{crest: 80 km/h, text: {quoted}}}\n"
    );
    of_track(track.as_bytes())
}

fn of_pulls(bytes: &[u8]) -> Findings {
    let unit = units::POWER.unit("bhp").expect("a unit");
    let told = pulls::Settings {
        brake: Some((3000.0, unit)),
        speed_per_1000_rpm: Some(8.0),
        method: dyno::Method::Steps,
        ..pulls::Settings::USUAL
    };
    let mut last = Findings::new();
    for settings in [pulls::Settings::USUAL, told] {
        let decode = |source, found: &mut Findings| {
            pulls::parse(&Table::parse(source, found)?, "pull", &settings, found)
        };
        let (read, found) = with_table("pull.csv", bytes, decode);
        for pull in read.iter().flatten() {
            assert!(
                pull.rpm.windows(2).all(|pair| pair[0] < pair[1]),
                "{:?}",
                pull.rpm
            );
            assert!(
                pull.torque.iter().all(|t| t.is_finite()),
                "{:?}",
                pull.torque
            );
        }
        last = found;
    }
    last
}

fn of_path(bytes: &[u8]) -> Findings {
    let (lines, found) = with_table("path.gpx", bytes, path::parse);
    if let Some(Lines { lines, .. }) = &lines {
        for (line, closed) in lines.iter().take(3).flat_map(|l| [(l, false), (l, true)]) {
            let request = venue::path::survey::Request {
                closed,
                ..Default::default()
            };
            if let Ok(survey) = venue::path::survey::survey(&line.fixes, &request) {
                check_layout(&survey.layout(1.2));
            }
        }
    }
    found
}

fn of_log(bytes: &[u8]) -> Findings {
    let (read, found) = with_table("run.csv", bytes, log::parse);
    for closed in [false, true] {
        let Some(mut run) = read.clone() else { break };
        if closed {
            assert!(run.only_lap(None).is_ok());
        }
        let request = venue::log::Request {
            closed,
            ..Default::default()
        };
        if let Ok(logged) = venue::log::read(&run.run, &request) {
            check_layout(&logged.layout);
            assert!(
                logged.time.is_finite() && logged.time > 0.0,
                "{}",
                logged.time
            );
        }
    }
    found
}

fn of_units(bytes: &[u8]) -> Findings {
    let text = String::from_utf8_lossy(bytes);
    for word in text.lines() {
        for dimension in DIMENSIONS {
            match units::read(word, dimension, None) {
                Ok(reading) => assert!(reading.si.is_finite(), "{word:?}"),
                Err(fault) => assert!(!fault.remedy(dimension).is_empty(), "{word:?}"),
            }
        }
        let _ = (units::read_share(word), units::read_slope(word));
        let clock = units::clock(word);
        assert!(clock.is_none_or(|time| time.is_finite()), "{word:?}");
        let instant = path::instant(word);
        assert!(instant.is_none_or(|time| time.is_finite()), "{word:?}");
        if let Ok(tyre) = Tyre::parse(word) {
            assert!((0.1..1.0).contains(&tyre.rolling_radius()), "{word:?}");
        }
    }
    Findings::new()
}

fn check_course(course: &Course) {
    check_sections(&course.sections);
    let lateral = venue::plan::nominal_lateral(&course.surfaces[0]);
    let length = course.nominal_length(lateral);
    assert!(length.is_finite() && length > 0.0, "{length}");
    let chances: f64 = course.conditions.iter().map(|c| c.chance).sum();
    assert!(
        course.conditions.is_empty() || (chances - 1.0).abs() < 1e-6,
        "{chances}"
    );
}

fn check_layout(layout: &Layout) {
    check_sections(&layout.sections);
}

fn check_sections(sections: &[Section]) {
    assert!(!sections.is_empty());
    for section in sections {
        let (Extent::Length(size) | Extent::Turn(size)) = section.extent;
        assert!(size.is_finite() && size > 0.0, "{section:?}");
        assert!(section.slope.is_finite(), "{section:?}");
    }
}

/// A workbook, or a text of its parts that is made into one; each sheet as a pull and as a log.
fn of_workbook(bytes: &[u8]) -> Findings {
    let path = beside("day.xlsx");
    let packed = match bytes.starts_with(b"PK") {
        true => bytes.to_vec(),
        false => packed::packed(&parts_of(bytes)),
    };
    let mut found = Findings::new();
    let mut book = match Workbook::of(&path, packed) {
        Ok(book) => book,
        Err(fault) => {
            found.push(*fault);
            return judged::<()>(&path, None, None, found);
        }
    };
    for sheet in book.sheets.clone() {
        let mut of_sheet = Findings::new();
        let source = book.source(&sheet.name, &mut of_sheet);
        let source = source.map_err(|fault| of_sheet.push(*fault)).ok();
        let path = path.join(&sheet.name);
        judged(&path, source.as_ref(), source.as_ref(), of_sheet);
        let Some(source) = source else { continue };
        let mut of_pull = Findings::new();
        let table = Table::parse(source.clone(), &mut of_pull);
        let read = table
            .and_then(|table| pulls::parse(&table, "day", &pulls::Settings::USUAL, &mut of_pull));
        judged(&path, Some(&source), read.as_ref(), of_pull);
        let mut of_log = Findings::new();
        let read = log::parse(source.clone(), &mut of_log);
        judged(&path, Some(&source), read.as_ref(), of_log);
    }
    let mut only = Findings::new();
    let source = book.only_table(&mut only);
    let source = source.map_err(|fault| only.push(*fault)).ok();
    judged(&path, None, source.as_ref(), only)
}

/// The parts of a text in which a line `=== NAME` stands above each.
fn parts_of(text: &[u8]) -> Vec<(&str, &[u8])> {
    const MARK: &[u8] = b"=== ";
    let mut parts: Vec<(&str, &[u8])> = Vec::new();
    let starts = (0..text.len())
        .filter(|&at| text[at..].starts_with(MARK) && (at == 0 || text[at - 1] == b'\n'));
    let starts: Vec<usize> = starts.collect();
    for (index, &start) in starts.iter().enumerate() {
        let end = starts.get(index + 1).copied().unwrap_or(text.len());
        let part = &text[start + MARK.len()..end];
        let line = part.iter().position(|b| *b == b'\n').unwrap_or(part.len());
        if let Ok(name) = std::str::from_utf8(&part[..line]) {
            parts.push((name.trim_end(), &part[(line + 1).min(part.len())..]));
        }
    }
    parts
}
