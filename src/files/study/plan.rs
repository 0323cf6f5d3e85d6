//! What a study file says, before the files it names are read.

use std::path::{Path, PathBuf};

use super::driver::Driver;
use super::season::Written;
use crate::files::finding::{Finding, Findings, Position, Severity};
use crate::files::kind::{self, FileKind};
use crate::files::source::{Source, YAML_LIMIT};
use crate::files::track;
use crate::files::yaml::{self, Item};
use crate::venue::Condition;

/// Most venues of one study.
const MOST_VENUES: usize = 500;

/// A study as written.
#[derive(Debug)]
pub struct Plan {
    /// The study file, or the folder.
    pub path: PathBuf,
    /// Name for people.
    pub name: String,
    /// The car file; `None` where the study fails to name one.
    pub car: Option<Named>,
    /// The test-day file; `None` where the study fails to name one.
    pub test_day: Option<Named>,
    /// The specs to compare, each with the place that names it; `None` for all of the test day.
    pub specs: Option<Vec<(String, Place)>>,
    /// The driver.
    pub driver: Driver,
    /// The venues in order; without any, usual kinds of road stand in.
    pub wanted: Vec<Wanted>,
    /// What holds for the whole season.
    pub season: Written,
}

/// A venue as the study wants it.
#[derive(Debug)]
pub struct Wanted {
    /// What the study calls it, and where.
    pub name: Option<(String, Place)>,
    /// The track file, and where it is named.
    pub track: Named,
    /// The trim, where it is named, and where that is.
    pub trim: Option<(String, Place)>,
    /// How often it is driven.
    pub passes: u32,
    /// Laps of a race, and where that is said.
    pub laps: Option<(u32, Place)>,
    /// States of the venue with their chances, in place of the track's own, and where they are said.
    pub conditions: Option<(Vec<Condition>, Place)>,
    /// Runs of which the best counts.
    pub best_of: u32,
    /// What a second counts over the season.
    pub weight: f64,
    /// Nothing is changed between the event before and this one.
    pub sealed: bool,
}

/// A file, and the place that names it.
#[derive(Debug, Clone)]
pub struct Named {
    /// The file.
    pub path: PathBuf,
    /// Where it is named.
    pub place: Place,
}

impl Named {
    fn beside(item: &Item) -> Option<Self> {
        Some(Self {
            path: item.beside(&item.text()?),
            place: Place::of(item),
        })
    }

    /// A file that was found rather than named.
    pub fn found(path: PathBuf) -> Self {
        Self {
            place: Place::whole(&path),
            path,
        }
    }
}

impl Wanted {
    /// A track and nothing more.
    pub fn plain(track: Named) -> Self {
        Self {
            name: None,
            track,
            trim: None,
            passes: 1,
            laps: None,
            conditions: None,
            best_of: 1,
            weight: 1.0,
            sealed: false,
        }
    }
}

/// A place of the study file, for findings made after it was read.
#[derive(Debug, Clone)]
pub struct Place(Finding);

impl Place {
    /// The place of a value.
    pub fn of(item: &Item) -> Self {
        Self(item.finding(Severity::Error, ""))
    }

    /// The whole of a file or folder.
    pub fn whole(path: &Path) -> Self {
        Self(Finding::error("").at(Position::file(path)))
    }

    /// A fault here.
    pub fn error(&self, text: impl Into<String>, remedy: impl Into<String>) -> Finding {
        Finding {
            text: text.into(),
            ..self.0.clone()
        }
        .remedy(remedy)
    }

    /// A warning here.
    pub fn warning(&self, text: impl Into<String>, remedy: impl Into<String>) -> Finding {
        Finding {
            severity: Severity::Warning,
            ..self.error(text, remedy)
        }
    }

    /// Something filled in here, standing in for `key`.
    pub fn assumed(&self, key: &str, text: impl Into<String>) -> Finding {
        Finding {
            position: self.0.position.clone(),
            ..Finding::assumed(key, text)
        }
    }
}

impl From<Finding> for Place {
    fn from(finding: Finding) -> Self {
        Self(finding)
    }
}

/// The plan of a study file. What could be read of it is there even where it has faults, so that
/// the files it names can be looked at too.
pub fn read(path: &Path, findings: &mut Findings) -> Option<Plan> {
    decode(Source::read(path, YAML_LIMIT, findings)?, findings)
}

/// As [`read`], from a text already in memory.
pub fn decode(source: Source, findings: &mut Findings) -> Option<Plan> {
    let mut plan = None;
    yaml::decode(source, findings, |root| {
        plan = draft(&root);
        Some(())
    });
    plan
}

fn draft(root: &Item) -> Option<Plan> {
    const KEYS: &[&str] = &[
        "name",
        "car",
        "testday",
        "specs",
        "driver",
        "venues",
        "fitted",
        "currency",
        "allowed_in",
        "minimum_mass",
        "results",
    ];
    kind::expect(root, FileKind::Study, KEYS)?;
    let map = root.mapping(KEYS)?;
    let file = |item: Item| Named::beside(&item);
    let written = map.take("name").and_then(|item| item.title());
    let stem = usual_name(root.path());
    let car = map.require("car", "../cars/my-car/car.yaml").and_then(file);
    let test_day = map
        .require("testday", "../cars/my-car/testday.yaml")
        .and_then(file);
    let name_of = |item: &Item| Some((item.text()?, Place::of(item)));
    let specs = map
        .take("specs")
        .map(|item| item.one_or_more().iter().filter_map(name_of).collect());
    let driver = map
        .take("driver")
        .map(|item| Driver::read(&item))
        .unwrap_or_default();
    let venues = map.take("venues");
    let wanted = venues.map(|item| all_wanted(&item)).unwrap_or_default();
    let season = Written::read(&map);
    Some(Plan {
        path: root.path().to_owned(),
        name: written.or(stem).unwrap_or_else(|| "study".to_owned()),
        car,
        test_day,
        specs,
        driver,
        wanted,
        season,
    })
}

/// What a study without a name goes by: its file, or the folder of one called `study.yaml`.
fn usual_name(path: &Path) -> Option<String> {
    let stem = |p: &Path| p.file_stem().map(|s| s.to_string_lossy().into_owned());
    let whole = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let folder = whole.parent().and_then(stem).filter(|s| !s.is_empty());
    stem(path).filter(|s| s != "study").or(folder)
}

fn all_wanted(item: &Item) -> Vec<Wanted> {
    let items = item.one_or_more();
    if items.is_empty() && item.is_list() {
        item.error(
            "venues: none is written, and a season without events decides nothing",
            "add `- {track: ../tracks/mill-lane.yaml}`",
        );
    }
    if items.len() > MOST_VENUES {
        let text = format!("venues: {} are more than {MOST_VENUES}", items.len());
        item.error(text, "split the study");
        return Vec::new();
    }
    let wanted: Vec<Wanted> = items.iter().filter_map(one_wanted).collect();
    if !wanted.is_empty() && wanted.iter().all(|one| one.weight == 0.0) {
        item.error(
            "venues: the weights sum to zero",
            "give an event that counts `weight: 1`",
        );
    }
    if wanted.first().is_some_and(|first| first.sealed) {
        items[0].error(
            "sealed: no event comes before the first",
            "leave it out: it says that nothing is changed since the event before",
        );
    }
    wanted
}

/// One venue: a mapping, or the track file alone.
fn one_wanted(item: &Item) -> Option<Wanted> {
    if !item.is_mapping() {
        return Named::beside(item).map(Wanted::plain);
    }
    const KEYS: &[&str] = &[
        "name",
        "track",
        "trim",
        "passes",
        "laps",
        "best_of",
        "conditions",
        "weight",
        "sealed",
    ];
    let map = item.mapping(KEYS)?;
    let name = map
        .take("name")
        .and_then(|item| Some((item.title()?, Place::of(&item))));
    let track = map
        .require("track", "../tracks/mill-lane.yaml")
        .and_then(|item| Named::beside(&item));
    let trim = map
        .take("trim")
        .and_then(|item| Some((item.text()?, Place::of(&item))));
    let count = |item: &Item| item.integer(1..=1000).map(|n| n as u32);
    let passes = map.take("passes").and_then(|item| count(&item));
    let laps = map
        .take("laps")
        .and_then(|item| Some((count(&item)?, Place::of(&item))));
    let conditions = map
        .take("conditions")
        .and_then(|item| Some((track::conditions(&item)?, Place::of(&item))));
    let best_of = map.take("best_of").and_then(|item| count(&item));
    let weight = map
        .take("weight")
        .and_then(|item| item.number(0.0..=1000.0));
    let sealed = map.take("sealed").and_then(|item| item.yes_no());
    Some(Wanted {
        name,
        trim,
        passes: passes.unwrap_or(1),
        laps,
        conditions,
        best_of: best_of.unwrap_or(1),
        weight: weight.unwrap_or(1.0),
        sealed: sealed.unwrap_or(false),
        track: track?,
    })
}
