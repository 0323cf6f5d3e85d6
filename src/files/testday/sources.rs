//! Where pulls come from: a folder, a glob, files with their weather, points typed in.

use std::collections::BTreeMap;

use super::fittings::{Context, FoundPull, TYPED_IN};
use super::listing;
use super::standard;
use super::weather;
use crate::air::Air;
use crate::dyno::{Method, Pull, Rows, Smoothing, Standard, condition};
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::pulls::{self, FEWEST_POINTS, FilePull, Measured, Settings};
use crate::files::yaml::{Item, Map};
use crate::units::{POWER, RPM_PER_RAD_PER_S, TORQUE};

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

/// Why a table that came with its folder is left out.
pub const NO_PULL: &str = "no pull is in it";

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
        set_aside: map.take("set_aside").and_then(|item| set_aside(&item)),
        only: map
            .take("pull")
            .map(|item| item.one_or_more())
            .unwrap_or_default(),
    };
    from_files(item, file, &said, scope)
}

/// Why a pull does not count. That it does is said by leaving the key out.
fn set_aside(item: &Item) -> Option<String> {
    let why = item.text()?;
    if ["no", "false", "off", "n"].contains(&why.to_lowercase().as_str()) {
        item.error(
            format!("set_aside: `{why}`, and whatever is written here sets the pull aside"),
            "take the line out where the pull counts, else write why it does not",
        );
        return None;
    }
    Some(why)
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
    let settings = Settings {
        corrected: Some(said.corrected.unwrap_or(match said.weather.is_said() {
            true => Standard::Uncorrected,
            false => Standard::Unknown,
        })),
        ..scope.settings
    };
    let mut found = read_all(item, &file, &written, &settings);
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

/// The pulls of all files that a name stands for. A file that came with its folder and is none at
/// all is left out, as long as another one is.
fn read_all(item: &Item, file: &Item, written: &str, settings: &Settings) -> Vec<FilePull> {
    let Some(mut listing) = listing::named(file, written) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    let mut strays = Vec::new();
    for path in std::mem::take(&mut listing.tables) {
        let mut findings = Findings::new();
        let read = pulls::read(&path, settings, &mut findings);
        item.opened_for(&findings);
        let by_hand = path == file.beside(written);
        if read.is_none() && !by_hand && pulls::is_none(&path) {
            strays.push((path, findings));
            continue;
        }
        found.extend(read.unwrap_or_default());
        for finding in findings {
            item.push(match (path.exists(), by_hand) {
                (false, _) => at_name(file, written, finding),
                (true, true) => finding,
                (true, false) => of_many(finding),
            });
        }
    }
    for (path, findings) in strays {
        match found.is_empty() {
            true => findings.into_iter().for_each(|f| item.push(of_many(f))),
            false => listing.leave_out(&path, NO_PULL),
        }
    }
    if let Some(text) = listing.told(&quoted(written)).filter(|_| !found.is_empty()) {
        file.warning(text, listing::LOOKED_FOR);
    }
    found
}

/// The pulls of a file that are asked for, in the order of the file.
fn chosen(found: Vec<FilePull>, only: &[Item]) -> Vec<FilePull> {
    if let (Some(heading), Some(item)) =
        (found.iter().find_map(|p| p.by_place.clone()), only.first())
    {
        let heading = quoted(&heading);
        let text = format!(
            "pull: the file's column {heading} looks like the numbers of its pulls, and is not read as such"
        );
        let remedy = format!(
            "head it `pull` where {heading} numbers them; else rename it, and pulls are counted in the order of the file"
        );
        item.error(text, remedy);
        return Vec::new();
    }
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
    let slashed = written.replace('\\', "/");
    let several: Vec<&str> = written.split([',', ';']).map(str::trim).collect();
    let remedy = if slashed != written && file.beside(&slashed).exists() {
        Some(format!("write {}", quoted(&slashed)))
    } else if several.len() > 1 && file.beside(several[0]).exists() {
        let list = several.join(", ");
        Some(format!("several files are a list: write `[{list}]`"))
    } else {
        missing.remedy
    };
    Finding {
        remedy,
        ..file.finding(Severity::Error, text)
    }
}

/// Whether a value is a bare number.
fn has_no_unit(item: &Item) -> bool {
    item.word().is_some_and(|word| word.parse::<f64>().is_ok())
}

/// Refuses a unit of torque for power and of power for torque.
fn wrong_unit(map: &Map, measured: &Item, unit: Option<&str>) -> Option<()> {
    let (own, other, other_name) = match measured.name() {
        "power" => (&POWER, &TORQUE, "torque"),
        _ => (&TORQUE, &POWER, "power"),
    };
    let Some(unit) = unit.filter(|unit| own.unit(unit).is_none() && other.unit(unit).is_some())
    else {
        return Some(());
    };
    let name = measured.name();
    let text = format!(
        "unit: {unit} is {}, and `{name}` is {}",
        other.with_article(),
        own.with_article()
    );
    let example = if name == "power" { "kW" } else { "Nm" };
    let remedy = format!("write `{other_name}: [...]` for {unit}, or `unit: {example}`");
    map.take("unit")?.error(text, remedy);
    None
}

/// Points typed into the test day.
pub fn points<'a>(item: &Item<'a>, scope: &Context<'a>) -> Option<FoundPull<'a>> {
    let map = item.mapping(POINT_KEYS)?;
    let unit = map.take("unit").and_then(|unit| unit.text());
    let rpm = map
        .require("rpm", "[2500, 3000, 3500]")
        .and_then(|rpm| rpm.list())?;
    let speeds = rpm;
    let rpm: Option<Vec<f64>> = speeds.iter().map(|n| n.rpm(1.0..=25_000.0)).collect();
    let measured = map.either(&["torque", "power"], Some("torque: [132, 145, 157]"))?;
    let is_power = measured.name() == "power";
    if is_power && unit.is_none() && measured.list()?.iter().any(has_no_unit) {
        measured.error("power has no unit", "add `unit: bhp`, or kW or PS");
        return None;
    }
    wrong_unit(&map, &measured, unit.as_deref())?;
    let (dimension, bare) = if is_power {
        (&POWER, unit.as_deref().unwrap_or_default())
    } else {
        (&TORQUE, unit.as_deref().unwrap_or("Nm"))
    };
    let figures = measured.list()?;
    let values: Option<Vec<f64>> = figures
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
        speeds[i].warning(text, "sorted, and equal engine speeds merged");
    }
    let most = rpm.iter().copied().fold(0.0, f64::max);
    if let (Some(remedy), Some(first)) = (pulls::in_full(most), speeds.first()) {
        first.error(format!("rpm: the highest is {most}"), remedy);
        return None;
    }
    let rising = rpm.is_sorted_by(|a, b| a < b);
    // Figures with units of their own are in one that nobody need be asked about.
    let own_units = (!figures.iter().all(has_no_unit)).then(|| "?".to_owned());
    if let Some(slip) = pulls::slip(&rpm, &torque).filter(|_| rising) {
        let what = format!("{}: {}", scope.spec, measured.name());
        let figure = &figures[slip.index];
        let written = figure.word().unwrap_or_default();
        let last = slip.index + 1 == rpm.len();
        let (text, remedy) = pulls::slip_in_words(&what, written, &slip, last);
        figure.push(figure.finding(slip.severity(), text).remedy(remedy));
        if slip.impossible {
            return None;
        }
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
        name: TYPED_IN.to_owned(),
        label: String::new(),
        rpm: made.rpm,
        torque: made.torque,
        acceleration: Vec::new(),
        handling: made.handling,
        channels: BTreeMap::new(),
        measured: Measured {
            name: measured.name().to_owned(),
            unit: unit.or(own_units).unwrap_or_default(),
            at: measured.finding(Severity::Warning, ""),
            corrected: None,
            factor: None,
            boost: None,
            among: Vec::new(),
        },
        rolled: None,
        by_place: None,
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
        measured: found.measured,
        rolled: found.rolled,
    }
}
