//! What else was logged beside engine speed and torque, as one figure a pull.

use std::collections::BTreeMap;

use super::columns::{Columns, values};
use super::{beside, headings, warmth};
use crate::files::table::Table;
use crate::units::{POWER, TEMPERATURE};

/// Other channels: the name used from here on, the headings it goes by, and whether it is a
/// temperature.
const CHANNELS: [(&str, &[&str], bool); 6] = [
    ("lambda", &["lambda", "λ"], false),
    (
        "ignition",
        &["ignition", "ignition advance", "advance", "spark"],
        false,
    ),
    (
        "oil temperature",
        &["oil temperature", "oil temp", "oil"],
        true,
    ),
    (
        "water temperature",
        &[
            "water temperature",
            "water temp",
            "coolant temperature",
            "coolant temp",
            "coolant",
            "water",
        ],
        true,
    ),
    (
        "intake temperature",
        &[
            "intake temperature",
            "intake temp",
            "inlet temperature",
            "intake air temperature",
            "intake air temp",
            "inlet temp",
            "air temperature",
            "air temp",
            "iat",
        ],
        true,
    ),
    ("oil pressure", &["oil pressure", "oil press"], false),
];

/// Headings of the mixture as air to fuel, and what gauges multiply lambda by to show it, whatever
/// the fuel (common practice, no source).
const AIR_TO_FUEL: [&str; 4] = ["afr", "air fuel ratio", "air/fuel ratio", "air to fuel"];
const AIR_TO_FUEL_AT_ONE: f64 = 14.7;

/// The highest mean of values that follow each other over a tenth of all.
fn leanest(values: &[f64]) -> Option<f64> {
    let width = (values.len() / 10).max(1);
    let mut sum: f64 = values.get(..width)?.iter().sum();
    let mut most = sum;
    for (old, new) in values.iter().zip(&values[width..]) {
        sum += new - old;
        most = most.max(sum);
    }
    Some(most / width as f64)
}

/// Means over some rows of the channels a file has, the most that ignition was pulled back, and what the file says of
/// smoothing; a channel with a gap or a text in them is left
/// out.
pub fn channels(table: &Table, columns: &Columns, rows: &[usize]) -> BTreeMap<String, f64> {
    let taken = [columns.rpm, columns.torque, columns.power, columns.speed];
    let mut means = BTreeMap::new();
    let mean = |column: usize| {
        let values = values(table, column, rows)?;
        Some(values.iter().sum::<f64>() / values.len() as f64)
    };
    for (name, headings, is_temperature) in CHANNELS {
        let Some(column) = table.find(headings).filter(|c| !taken.contains(&Some(*c))) else {
            continue;
        };
        let Some(mean) = mean(column) else { continue };
        let unit = columns.unit(table, Some(column)).unwrap_or("°C");
        let value = match (is_temperature, TEMPERATURE.unit(unit)) {
            (true, Some(unit)) => unit.to_si(mean),
            (true, None) => continue,
            (false, _) => mean,
        };
        means.insert(name.to_owned(), value);
    }
    if let (None, Some(ratio)) = (means.get("lambda"), table.find(&AIR_TO_FUEL).and_then(mean)) {
        means.insert("lambda".to_owned(), ratio / AIR_TO_FUEL_AT_ONE);
    }
    let loss = (0..table.columns.len()).find(|&column| headings::is_of_losses(table, column));
    if let Some(column) = loss.filter(|column| !taken.contains(&Some(*column)))
        && let Some(unit) = table.written_unit(column).and_then(|unit| POWER.unit(unit))
        && let Some(mean) = mean(column)
    {
        means.insert("losses".to_owned(), unit.to_si(mean));
    }
    let lambda = table.find(&["lambda", "λ"]).map(|column| (column, 1.0));
    let ratio = || Some((table.find(&AIR_TO_FUEL)?, AIR_TO_FUEL_AT_ONE));
    let leanest = lambda
        .or_else(ratio)
        .and_then(|(column, at_one)| Some(leanest(&values(table, column, rows)?)? / at_one));
    let most = [
        ("leanest lambda", leanest),
        ("knock retard", beside::knock(table, rows)),
        ("smoothing", beside::smoothing(table)),
    ];
    let most = most
        .into_iter()
        .filter_map(|(name, value)| Some((name.to_owned(), value?)));
    means.extend(most);
    if let Some(throttle) = columns.throttle.and_then(mean) {
        means.insert("throttle".to_owned(), throttle);
    }
    if let Some(pressure) = beside::pressure(table, rows) {
        means.insert("ambient pressure".to_owned(), pressure);
    }
    for (name, mean) in warmth::temperatures(table, rows) {
        means.entry(name.to_owned()).or_insert(mean);
    }
    if let Some(air) = beside::temperature(table) {
        let intake = "intake temperature".to_owned();
        means.entry(intake).or_insert(air);
    }
    means
}
