//! Specs, their fittings and the pulls of a fitting.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use super::dyno::{SPEEDS, sweep_rate};
use super::named::Named;
use super::sources;
use super::typed;
use super::weather::{self, Parts};
use crate::dyno::{Fitting, Pull, Spec, Standard};
use crate::files::finding::{Finding, Severity};
use crate::files::pulls::{Measured, Rolled, Settings};
use crate::files::terms::{price_in, swap_time, tags};
use crate::files::yaml::{Item, Map};
use crate::units::{MASS, SPEED, TORQUE};

/// What a load cell may read without load, N·m.
const ZEROS: std::ops::RangeInclusive<f64> = -100.0..=100.0;
/// The name of a pull without a file.
pub const TYPED_IN: &str = "typed in";

/// What holds for the whole day, or for a spec of it.
pub struct Context<'a> {
    /// The spec that is read; empty before the first.
    pub spec: String,
    pub settings: Settings,
    pub weather: Parts<'a>,
    pub corrected: Option<Standard>,
    /// Currency of the prices.
    pub currency: Option<String>,
    /// What day it was.
    pub day: Option<String>,
    /// How fast the engine gained speed in files without time, rpm/s.
    pub rate: Option<f64>,
}

/// A spec with the places of its pulls.
pub struct FoundSpec<'a> {
    pub name: String,
    parts: BTreeMap<String, String>,
    retuned: Option<bool>,
    price: Option<f64>,
    swap_time: Option<f64>,
    allowed_in: Vec<String>,
    /// What it weighs, kg, and where that is said.
    pub mass: Option<(f64, Item<'a>)>,
    /// Whether that is said, be it right or not.
    pub is_weighed: bool,
    pub fittings: Vec<FoundFitting<'a>>,
}

/// A fitting with the places of its pulls.
pub struct FoundFitting<'a> {
    /// What day it was.
    pub day: Option<String>,
    pub pulls: Vec<FoundPull<'a>>,
}

/// A pull, where the test day names it, and the factor the dyno printed.
pub struct FoundPull<'a> {
    pub pull: Pull,
    pub item: Item<'a>,
    pub factor: Option<f64>,
    pub measured: Measured,
    /// Road speed beside engine speed, where the file has both.
    pub rolled: Option<Rolled>,
}

impl FoundPull<'_> {
    /// Its file as its test day would name it.
    pub fn file(&self) -> String {
        let folder = self.item.path().parent().unwrap_or(Path::new(""));
        let position = self.measured.at.position.as_ref();
        let path = position.map_or(self.item.path(), |position| position.path.as_path());
        let path = path.strip_prefix(folder).unwrap_or(path);
        path.to_string_lossy().replace('\\', "/")
    }

    /// Records what its figures show at their heading.
    pub fn tell(&self, severity: Severity, text: String, remedy: impl Into<String>) {
        let finding = Finding {
            severity,
            text,
            ..self.measured.at.clone()
        };
        self.item.push(finding.remedy(remedy));
    }

    /// Asks at the heading of its figures what decides how they compare.
    pub fn ask(&self, text: String, remedy: impl Into<String>) {
        let question = Finding {
            severity: Severity::Warning,
            text,
            ..self.measured.at.clone()
        };
        self.item.push(question.remedy(remedy).deciding());
    }
}

impl<'a> FoundSpec<'a> {
    /// A pull of it as people would call it beside those of other specs.
    pub fn call(&self, found: &FoundPull) -> String {
        match &found.pull.name {
            pull if *pull == self.name || pull.starts_with(&format!("{}/", self.name)) => {
                pull.clone()
            }
            pull if *pull == TYPED_IN => format!("{}, {pull}", self.name),
            pull => format!("{pull} of {}", self.name),
        }
    }

    /// All its pulls.
    pub fn pulls(&self) -> impl Iterator<Item = &FoundPull<'a>> {
        self.fittings.iter().flat_map(|fitting| &fitting.pulls)
    }

    /// Those of them that nobody set aside.
    pub fn counting(&self) -> impl Iterator<Item = &FoundPull<'a>> {
        self.pulls().filter(|found| found.pull.counts())
    }

    /// The spec without the places.
    pub fn into_spec(self) -> Spec {
        let fitting = |found: FoundFitting| Fitting {
            day: found.day,
            pulls: found.pulls.into_iter().map(|found| found.pull).collect(),
        };
        Spec {
            name: self.name,
            parts: self.parts,
            retuned: self.retuned,
            price: self.price,
            mass: self.mass.map(|(mass, _)| mass),
            swap_time: self.swap_time,
            allowed_in: self.allowed_in,
            fittings: self.fittings.into_iter().map(fitting).collect(),
        }
    }
}

/// Puts their folders before the names of pulls that several files of the day have.
pub fn tell_names_apart(specs: &mut [FoundSpec]) {
    let mut files: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for found in specs.iter().flat_map(FoundSpec::pulls) {
        let name = found.pull.name.clone();
        files.entry(name).or_default().insert(found.file());
    }
    let fittings = specs.iter_mut().flat_map(|spec| &mut spec.fittings);
    for found in fittings.flat_map(|fitting| &mut fitting.pulls) {
        let several = files.get(&found.pull.name).is_some_and(|of| of.len() > 1);
        let file = found.file();
        let folder = Path::new(&file).parent().and_then(Path::file_name);
        if let Some(folder) = folder.filter(|_| several) {
            found.pull.name = format!("{}/{}", folder.to_string_lossy(), found.pull.name);
        }
    }
}

/// What a fitting or a spec of one fitting may say of its pulls.
const FITTING_KEYS: &[&str] = &[
    "pulls",
    "points",
    "weather",
    "corrected",
    "speed_per_1000_rpm",
    "zero",
    "rate",
    "day",
];
const SPEC_KEYS: &[&str] = &[
    "name",
    "parts",
    "retuned",
    "price",
    "mass",
    "swap_time",
    "allowed_in",
    "fittings",
    "pulls",
    "points",
    "weather",
    "corrected",
    "speed_per_1000_rpm",
    "zero",
    "rate",
    "day",
];

/// Reads one spec.
pub fn spec<'a>(item: &Item<'a>, day: &Context<'a>) -> Option<FoundSpec<'a>> {
    let map = item.mapping(SPEC_KEYS)?;
    let name = map.require("name", "long manifold").and_then(|n| n.title());
    let mass = map.take("mass");
    let mass = mass.and_then(|item| Some((item.quantity(&MASS, -500.0..=500.0)?, item)));
    let parts = map.take("parts").and_then(|parts| parts.entries());
    let parts = parts.unwrap_or_default();
    let parts = parts
        .iter()
        .filter_map(|part| Some((part.name().to_owned(), part.text()?)));
    let own = Context {
        spec: name.clone().unwrap_or_default(),
        ..scope(&map, day)
    };
    let example = "pulls: pulls/long-*.csv";
    let fittings = match map.either(&["fittings", "pulls", "points"], Some(example))? {
        list if list.name() == "fittings" => {
            let items = list.one_or_more();
            let fittings = items
                .iter()
                .filter_map(|item| fitting(item, &own, elsewhere(&items, item)));
            fittings.collect()
        }
        single => vec![FoundFitting {
            day: own.day.clone(),
            pulls: pulls(&single, &own, Named::default()),
        }],
    };
    unused_gear(&map, fittings.iter().flat_map(|fitting| &fitting.pulls));
    let found = FoundSpec {
        parts: parts.collect(),
        retuned: map.take("retuned").and_then(|r| r.yes_no()),
        price: map
            .take("price")
            .and_then(|item| price_in(&item, day.currency.as_deref())),
        mass,
        is_weighed: map.has("mass"),
        swap_time: map.take("swap_time").and_then(|item| swap_time(&item)),
        allowed_in: map.take("allowed_in").map_or_else(Vec::new, |i| tags(&i)),
        name: name?,
        fittings,
    };
    if found.counting().next().is_none() && found.pulls().next().is_some() {
        item.error(
            format!("{}: every pull is set aside", found.name),
            "keep one, or take the spec out",
        );
    }
    Some(found)
}

/// What holds within a spec or fitting: its own weather, standard, gear, zero, rate and day over the wider ones.
fn scope<'a>(map: &Map<'a>, wider: &Context<'a>) -> Context<'a> {
    let own = map.take("weather").map(|item| weather::parts(&item));
    let corrected = map
        .take("corrected")
        .and_then(|item| super::standard(&item));
    let speed = map.take("speed_per_1000_rpm");
    let speed = speed.and_then(|item| item.quantity(&SPEED, SPEEDS));
    let zero = map.take("zero");
    let zero = zero.and_then(|item| item.quantity(&TORQUE, ZEROS));
    let rate = map.take("rate").and_then(|item| sweep_rate(&item));
    Context {
        spec: wider.spec.clone(),
        settings: Settings {
            speed_per_1000_rpm: speed.or(wider.settings.speed_per_1000_rpm),
            zero: zero.unwrap_or(wider.settings.zero),
            ..wider.settings
        },
        weather: own.unwrap_or_default().or(wider.weather),
        corrected: corrected.or(wider.corrected),
        currency: wider.currency.clone(),
        day: map
            .take("day")
            .and_then(|item| item.text())
            .or_else(|| wider.day.clone()),
        rate: rate.or(wider.rate),
    }
}

/// What the other fittings of a spec name file by file.
fn elsewhere(fittings: &[Item], but: &Item) -> Named {
    let own = but.position();
    let others = fittings.iter().filter(|item| item.position() != own);
    let named = others
        .filter(|item| item.is_mapping())
        .filter_map(|item| item.mapping(FITTING_KEYS)?.take("pulls"))
        .map(|pulls| Named::among(&pulls.one_or_more()));
    named.fold(Named::default(), Named::and).by_name()
}

fn fitting<'a>(item: &Item<'a>, wider: &Context<'a>, elsewhere: Named) -> Option<FoundFitting<'a>> {
    let map = item.mapping(FITTING_KEYS)?;
    let own = scope(&map, wider);
    let single = map.either(&["pulls", "points"], Some("pulls: pulls/long-*.csv"))?;
    let pulls = pulls(&single, &own, elsewhere);
    unused_gear(&map, pulls.iter());
    Some(FoundFitting {
        day: own.day.clone(),
        pulls,
    })
}

/// Says where a gear is given for pulls that have an engine speed of their own.
fn unused_gear<'p, 'a: 'p>(map: &Map<'a>, pulls: impl Iterator<Item = &'p FoundPull<'a>> + Clone) {
    let Some(item) = map.take("speed_per_1000_rpm") else {
        return;
    };
    let made = |found: &FoundPull| found.pull.handling.road_speed.is_some();
    if pulls.clone().next().is_some() && !pulls.clone().any(made) {
        item.warning(
            "speed_per_1000_rpm is not used: these files have engine speed of their own",
            "where that is wrong take its column out, and that of torque, which was made with it: power and road speed \
             tell both",
        );
    }
}

/// The pulls under `pulls:` or `points:`; none of them is a fault.
fn pulls<'a>(item: &Item<'a>, scope: &Context<'a>, elsewhere: Named) -> Vec<FoundPull<'a>> {
    let items = item.one_or_more();
    let named = match item.name() {
        "points" => elsewhere,
        _ => Named::among(&items).and(elsewhere),
    };
    let found: Vec<FoundPull> = items
        .iter()
        .flat_map(|one| match item.name() {
            "points" => typed::points(one, scope).into_iter().collect(),
            _ => sources::pulls(one, scope, &named),
        })
        .collect();
    if items.is_empty() {
        item.error(
            "no pull here",
            "name a folder, a glob or files: `pulls: pulls/long-*.csv`",
        );
    } else if found.is_empty() && !item.has_errors() {
        item.error(
            "no pull is left here: other fittings of the spec name these files one by one",
            "name the files of this fitting",
        );
    }
    found
}
