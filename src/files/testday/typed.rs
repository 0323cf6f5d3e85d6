//! Points typed into the test day.

use std::collections::BTreeMap;

use super::fittings::{Context, FoundPull, TYPED_IN};
use super::sources::{Said, clock, finish, printed_factor};
use crate::dyno::{Method, Rows, Smoothing, condition};
use crate::files::finding::Severity;
use crate::files::pulls::{self, FEWEST_POINTS, FilePull, Measured};
use crate::files::yaml::{Item, Map};
use crate::units::{POWER, RPM_PER_RAD_PER_S, TORQUE};

const POINT_KEYS: &[&str] = &["rpm", "torque", "power", "unit", "at", "factor"];

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
    torque.iter_mut().for_each(|t| *t -= scope.settings.zero);
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
        rate: scope.rate,
        ..Said::default()
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
            beside: None,
            weather: None,
        },
        rolled: None,
        by_place: None,
    };
    let air = said.weather.air();
    Some(finish(item, pull, &said, air))
}
