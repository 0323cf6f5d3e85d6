//! Where pulls come from: a folder, a glob, files with their weather.

use super::fittings::{Context, FoundPull, TYPED_IN};
use super::listing;
use super::named::{Entry, Named, of_sheet};
use super::standard;
use super::weather;
use crate::air::Air;
use crate::dyno::{Pull, Standard};
use crate::files::aside::set_aside;
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::pulls::{self, FilePull, Settings};
use crate::files::workbook::file_of;
use crate::files::yaml::{Item, Map};

pub const PULL_KEYS: &[&str] = &[
    "file",
    "sheet",
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
    "from",
    "up_to",
];

/// What a test day says of a pull beside its points.
#[derive(Default)]
pub struct Said<'a> {
    pub weather: weather::Parts<'a>,
    pub corrected: Option<Standard>,
    pub factor: Option<f64>,
    pub clock: Option<f64>,
    /// How fast the engine gained speed where its file does not say, rpm/s.
    pub rate: Option<f64>,
    pub set_aside: Option<String>,
    /// Which sheet of a workbook.
    pub sheet: Option<String>,
    /// Engine speeds, rpm, between which alone the pull counts.
    pub counts: Option<(f64, f64)>,
    /// Which pulls of a file with several; empty where all of them.
    pub only: Vec<Item<'a>>,
}

/// The pulls that one entry names, but for those that `named` entries take.
pub fn pulls<'a>(item: &Item<'a>, scope: &Context<'a>, named: &Named) -> Vec<FoundPull<'a>> {
    if item.word().is_some() {
        let said = Said {
            weather: scope.weather,
            corrected: scope.corrected,
            rate: scope.rate,
            ..Said::default()
        };
        return from_files(item, *item, &said, scope, named);
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
        rate: scope.rate,
        set_aside: map
            .take("set_aside")
            .and_then(|item| set_aside(&item, "pull")),
        counts: counts(&map),
        sheet: map.take("sheet").and_then(|item| item.text()),
        only: map
            .take("pull")
            .map(|item| item.one_or_more())
            .unwrap_or_default(),
    };
    from_files(item, file, &said, scope, named)
}

/// The engine speeds, rpm, between which alone a pull counts.
fn counts(map: &Map) -> Option<(f64, f64)> {
    let (low, high) = (map.take("from"), map.take("up_to"));
    let at_speed = low.or(high)?;
    let rpm =
        |item: Option<Item>, open: f64| item.map_or(Some(open), |item| item.rpm(100.0..=25_000.0));
    let (from, to) = (rpm(low, 0.0)?, rpm(high, 25_000.0)?);
    if from >= to {
        let text = format!("this pull would count from {from:.0} up to {to:.0} rpm");
        at_speed.error(text, "write the lower engine speed under `from`");
        return None;
    }
    Some((from, to))
}

pub fn printed_factor(map: &Map) -> Option<f64> {
    map.take("factor").and_then(|item| item.number(0.5..=2.0))
}

/// A time of day, `10:40`, in seconds after midnight.
pub fn clock(item: &Item) -> Option<f64> {
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
    named: &Named,
) -> Vec<FoundPull<'a>> {
    let Some(written) = file.text() else {
        return Vec::new();
    };
    let written = of_sheet(&written, said.sheet.as_deref());
    let settings = Settings {
        corrected: Some(said.corrected.unwrap_or(match said.weather.is_said() {
            true => Standard::Uncorrected,
            false => Standard::Unknown,
        })),
        counts: said.counts,
        ..scope.settings
    };
    let mut found = read_all(item, &file, (&written, said), &settings, named);
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

/// The pulls of all files that a name stands for, but for what `named` entries take; of those that are set aside no
/// question is asked, and what cannot be read of them stops nothing. A file that came with its folder and is none
/// at all is left out, as long as another one is.
fn read_all(
    item: &Item,
    file: &Item,
    (written, said): (&str, &Said),
    settings: &Settings,
    named: &Named,
) -> Vec<FilePull> {
    let Some(mut listing) = listing::named(file, written) else {
        return Vec::new();
    };
    let entry = Entry::of(item, file, written);
    listing.tables.retain(|path| !named.takes(path, entry));
    let mut found = Vec::new();
    let mut strays = Vec::new();
    for path in std::mem::take(&mut listing.tables) {
        let mut findings = Findings::new();
        let read = pulls::read(&path, settings, &mut findings);
        item.opened_for(&findings);
        let by_hand = path == file.beside(written);
        if read.is_none() && by_hand && said.set_aside.is_some() && file_of(&path).is_file() {
            continue;
        }
        if read.is_none() && !by_hand && pulls::is_none(&path) {
            strays.push((path, findings));
            continue;
        }
        let read = read.unwrap_or_default().into_iter();
        found.extend(read.filter(|pull| !named.takes_pull(&path, &pull.label, entry)));
        // What is set aside decides nothing.
        let tells = |finding: &Finding| !(said.set_aside.is_some() && finding.decides);
        for finding in findings.into_iter().filter(tells) {
            item.push(match (file_of(&path).exists(), by_hand) {
                (false, _) => at_name(file, written, finding),
                (true, true) => finding,
                (true, false) => of_many(finding),
            });
        }
    }
    for (path, findings) in strays {
        match found.is_empty() {
            true => findings.into_iter().for_each(|f| item.push(of_many(f))),
            false => listing.leave_out(&path, pulls::why_none(&path)),
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

/// A pull with what is said of it. Without weather and standard it counts as corrected to something
/// unknown; with weather alone, as read.
pub fn finish<'a>(
    item: &Item<'a>,
    found: FilePull,
    said: &Said,
    air: Option<Air>,
) -> FoundPull<'a> {
    let corrected = said.corrected.unwrap_or(match air {
        Some(_) => Standard::Uncorrected,
        None => Standard::Unknown,
    });
    if said.factor.is_some() && matches!(corrected, Standard::Uncorrected | Standard::Unknown) {
        let remedy = match found.name == TYPED_IN {
            true => {
                "say what the figures are corrected to beside `points`, not in them, as in `corrected: SAE J1349`; for \
                 all of the day, beside `specs`"
            }
            false => "add what the pull is corrected to, as in `corrected: SAE J1349`",
        };
        item.error("a printed factor belongs to a named standard", remedy);
    }
    FoundPull {
        pull: Pull {
            name: found.name,
            rpm: found.rpm,
            torque: found.torque,
            acceleration: found.acceleration,
            sweep_rate: said.rate,
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
