//! Correction standards as people write them, and which one a day is brought to.

use super::alike;
use super::fittings::{FoundPull, FoundSpec};
use super::stated;
use crate::dyno::{
    Engine, Limited, NotCorrected, Outside, PrintedFactor, Standard, TestDay, recognise,
};
use crate::files::finding::{Severity, quoted};
use crate::files::yaml::{Item, Map};
use crate::units::ZERO_CELSIUS;

const NAMES: &[(&str, Standard)] = &[
    ("SAE J1349", Standard::SaeJ1349),
    ("J1349", Standard::SaeJ1349),
    ("SAE J607", Standard::SaeJ607),
    ("J607", Standard::SaeJ607),
    ("STD", Standard::SaeJ607),
    ("ISO 1585", Standard::Iso1585),
    ("ISO1585", Standard::Iso1585),
    ("UN R85", Standard::UnR85),
    ("ECE R85", Standard::UnR85),
    ("80/1269/EEC", Standard::Eec80_1269),
    ("EEC", Standard::Eec80_1269),
    ("DIN 70020", Standard::Din70020),
    ("DIN", Standard::Din70020),
    ("DIN 70020 dry", Standard::Din70020Dry),
    ("JIS D 1001", Standard::JisD1001),
    ("JIS", Standard::JisD1001),
    ("none", Standard::Uncorrected),
    ("as read", Standard::Uncorrected),
    ("unknown", Standard::Unknown),
];

/// A correction standard by its name.
pub fn standard(item: &Item) -> Option<Standard> {
    if let Some(meant) = item.word().and_then(family) {
        let word = item.word().unwrap_or_default();
        item.error(
            format!("{}: {} has several standards", item.name(), quoted(word)),
            meant,
        );
        return None;
    }
    item.one_of(NAMES)
}

/// What a body that publishes standards may mean by one; `None` of any other word.
fn family(word: &str) -> Option<&'static str> {
    match word.to_lowercase().as_str() {
        "sae" => Some("did you mean `SAE J1349`, of today, or `SAE J607`, the older one?"),
        _ => None,
    }
}

/// The standard the day is brought to; pulls that cannot be brought there are faults.
pub fn resolve(map: &Map, engine: &Engine, specs: &[FoundSpec]) -> Option<Standard> {
    let written = map.take("correct_to").map(|item| (standard(&item), item));
    let pulls = || specs.iter().flat_map(FoundSpec::pulls);
    let corrected = |of: Standard| pulls().all(|found| found.pull.corrected == of);
    if pulls().next().is_none() {
        return written.map_or(Some(Standard::Din70020), |(to, _)| to);
    }
    if corrected(Standard::Unknown) {
        if map.item().has_errors() {
            return Some(Standard::Unknown);
        }
        return Some(all_unknown(map, written, specs));
    }
    let to = match written {
        Some((to, item)) => {
            let to = to?;
            if to == Standard::Unknown {
                let remedy = "write `correct_to: DIN 70020`";
                item.error("correct_to: unknown is nothing to correct to", remedy);
                return None;
            }
            to
        }
        None => {
            let first = pulls().next().map(|found| found.pull.corrected)?;
            let alike = corrected(first) && first != Standard::Uncorrected;
            let to = if alike { first } else { Standard::Din70020 };
            if !alike {
                map.assumed("correct_to", format!("corrected to {}", to.name()));
            }
            to
        }
    };
    tell_apart(engine, to, specs);
    if !map.item().has_errors() {
        tell_limits(map, engine, to, specs);
        tell_factors(specs);
    }
    Some(to)
}

/// Pulls that cannot be brought to the standard of the day: one fault for each reason, at the first
/// of them.
fn tell_apart(engine: &Engine, to: Standard, specs: &[FoundSpec]) {
    let mut faults: Vec<(String, Standard, Vec<&FoundPull>)> = Vec::new();
    for found in specs.iter().flat_map(FoundSpec::pulls) {
        let (from, air) = (found.pull.corrected, found.pull.air.as_ref());
        let why = match engine.bring(from, to, air) {
            // It may be a standard that is not known here: that has been told.
            _ if from == Standard::Unknown && found.item.has_errors() => continue,
            _ if from == Standard::Unknown => {
                "corrected to something unknown, and other pulls of the day are not".to_owned()
            }
            Err(error) => error.to_string(),
            Ok(_) => continue,
        };
        match faults.iter_mut().find(|fault| fault.0 == why) {
            Some(fault) => fault.2.push(found),
            None => faults.push((why, from, vec![found])),
        }
    }
    for (why, from, pulls) in faults {
        let name = &pulls[0].pull.name;
        let text = match pulls.len() - 1 {
            0 => format!("{name}: {why}"),
            others => format!("{name} and {others} more: {why}"),
        };
        let remedy = match from {
            Standard::Unknown => "say what it is corrected to, or give all of the day as `unknown`",
            Standard::Uncorrected => {
                "add `weather: {pressure: 1009 hPa, temperature: 18 C, humidity: 55 %}`, or compare \
                 as read: `correct_to: none`"
            }
            _ => "add pressure, temperature and humidity: standards differ by 3 to 4 %",
        };
        pulls[0].item.error(text, remedy);
    }
}

fn all_unknown(
    map: &Map,
    written: Option<(Option<Standard>, Item)>,
    specs: &[FoundSpec],
) -> Standard {
    let said = stated::unused(specs);
    let mut text =
        "every pull is corrected to something unknown: figures compare within this day only"
            .to_owned();
    let mut remedy = match &said {
        Some(said) => format!("as read? {}; ", said.remedy),
        None => "as read? add `weather: {pressure: 1009 hPa, temperature: 18 C, humidity: 55 %}`; "
            .to_owned(),
    };
    remedy += "corrected? say to what, as in `corrected: DIN 70020`: standards differ by 3 to 4 %";
    if let Some((found, (name, factor, _))) = alike::with_factor(specs, Standard::Unknown) {
        remedy = format!(
            "{} of {} is {factor:.3}: was it multiplied in? {remedy}",
            quoted(name),
            found.file()
        );
    }
    let item = match written {
        Some((Some(to), item)) if to != Standard::Unknown => {
            text = format!("{text}, and not as {}", to.name());
            item
        }
        _ => map.item(),
    };
    match &said {
        Some(said) if said.decides => item.ask(format!("{text}; {}", said.text), remedy),
        Some(said) => item.warning(format!("{text}; {}", said.text), remedy),
        None => item.warning(text, remedy),
    }
    map.assumed(
        "corrected",
        format!(
            "in the air of a venue, as if corrected to {}",
            Standard::Unknown.for_venue().name()
        ),
    );
    Standard::Unknown
}

/// Weather outside a standard's limits, each once; engines its formula is not for.
fn tell_limits(map: &Map, engine: &Engine, to: Standard, specs: &[FoundSpec]) {
    if let Some(why) = engine.not_corrected(to) {
        let (why, remedy) = match why {
            NotCorrected::Boosted => (
                "its formula is for engines that breathe freely",
                "ISO 1585 has a rule for boosted engines with spark ignition",
            ),
            NotCorrected::FuelUnknown => (
                "compression ignition needs the fuel per litre and cycle",
                "add `engine: {fuel_per_cycle: 52}` in mg",
            ),
            NotCorrected::CompressionIgnition => (
                "it has no formula here for compression ignition",
                "ISO 1585 has one",
            ),
        };
        let mut pulls = specs.iter().flat_map(FoundSpec::pulls);
        let (text, remedy) = match pulls.all(|found| found.pull.corrected == to) {
            true => (
                format!(
                    "corrected to {} by the dyno: {why}; compared so, with what its factors add",
                    to.name()
                ),
                format!(
                    "`correct_to: none` takes the factors out, by the weather of each pull: an engine that holds its \
                     boost hardly feels the air's pressure, and what a warmer day takes nothing here gives back; \
                     compare such pulls of one day. Where boost is not held {remedy}"
                ),
            ),
            false => (
                format!("not corrected to {}: {why}; compared as read", to.name()),
                remedy.to_owned(),
            ),
        };
        map.item().warning(text, remedy);
        return;
    }
    let mut told: Vec<Outside> = Vec::new();
    for found in specs.iter().flat_map(FoundSpec::pulls) {
        for outside in found.pull.air.iter().flat_map(|air| to.outside(air)) {
            if told.contains(&outside) {
                continue;
            }
            found.item.warning(
                format!("{}: {}", found.pull.name, exceeded(&outside, to)),
                "the pull is kept; pull on an ordinary day for a figure to quote",
            );
            told.push(outside);
        }
    }
}

fn exceeded(outside: &Outside, to: Standard) -> String {
    let &Outside {
        what,
        value,
        low,
        high,
    } = outside;
    let name = to.name();
    match what {
        Limited::Temperature => {
            let celsius = |kelvin: f64| kelvin - 273.0;
            format!(
                "{:.0} °C is outside the {:.0} to {:.0} °C of {name}",
                celsius(value),
                celsius(low),
                celsius(high)
            )
        }
        Limited::DryPressure => format!(
            "a dry pressure of {:.0} hPa is outside the {:.0} to {:.0} hPa of {name}",
            value / 100.0,
            low / 100.0,
            high / 100.0
        ),
        Limited::Factor => {
            format!("a factor of {value:.3} is outside the {low:.2} to {high:.2} of {name}")
        }
    }
}

/// Factors that dynos printed, beside what their standard gives.
fn tell_factors(specs: &[FoundSpec]) {
    for found in specs.iter().flat_map(FoundSpec::pulls) {
        let (Some(printed), Some(air)) = (found.factor, found.pull.air) else {
            continue;
        };
        let named = found.pull.corrected;
        let own = named.factor(&air).unwrap_or(1.0);
        let is = match recognise(printed, named, &air) {
            Some(PrintedFactor::Of(other)) => format!("that is {}", other.name()),
            Some(PrintedFactor::Misprint505) => {
                "that is SAE J1349 with 505 misprinted for 537 under the root".to_owned()
            }
            Some(PrintedFactor::Unexplained(_)) => "no standard known here gives that".to_owned(),
            Some(PrintedFactor::AsNamed) | None => continue,
        };
        let celsius = air.temperature - ZERO_CELSIUS;
        let text = format!(
            "{}: a printed factor of {printed:.4}, where {} gives {own:.4} at {:.0} hPa and \
             {celsius:.0} °C; {is}",
            found.pull.name,
            named.name(),
            air.pressure / 100.0
        );
        let remedy = "correct the weather, or what the pull is said to be corrected to";
        found
            .item
            .push(found.item.finding(Severity::Warning, text).remedy(remedy));
    }
}

/// Where the engine's formula is not used, figures as read are what the day compares, unless every
/// pull comes corrected alike.
pub fn settle(day: &mut TestDay) {
    let to = day.correct_to;
    let mut pulls = day
        .specs
        .iter()
        .flat_map(|spec| &spec.fittings)
        .flat_map(|f| &f.pulls);
    if day.engine.not_corrected(to).is_some() && pulls.any(|pull| pull.corrected != to) {
        day.correct_to = Standard::Uncorrected;
    }
}
