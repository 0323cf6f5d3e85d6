//! Temperatures in columns whose headings are words and a unit, such as `intake_C`, `oil °C` or `T_water`.

use super::columns;
use crate::files::table::Table;
use crate::units::{TEMPERATURE, Unit};

/// The channels, with the words that headings have for what is warm there.
const PLACES: [(&str, &[&str]); 4] = [
    ("oil temperature", &["oil", "öl", "oel", "huile", "olio"]),
    (
        "water temperature",
        &[
            "water",
            "coolant",
            "wasser",
            "kühlwasser",
            "kuehlwasser",
            "eau",
            "acqua",
        ],
    ),
    (
        "intake temperature",
        &[
            "intake",
            "inlet",
            "iat",
            "airbox",
            "filter",
            "ansaug",
            "ansaugluft",
            "admission",
            "aspirazione",
        ],
    ),
    (
        "cell temperature",
        &[
            "cell",
            "ambient",
            "room",
            "hall",
            "raum",
            "zelle",
            "umgebung",
            "prüfstand",
            "ambiante",
            "ambiente",
        ],
    ),
];
/// Words beside these; those of air are a place where no other is named.
const AIR: [&str; 3] = ["air", "luft", "aria"];
const WARMTH: [&str; 7] = [
    "t",
    "temp",
    "temperature",
    "temperatur",
    "température",
    "temperatura",
    "tmp",
];

/// Means over some rows of the temperatures that columns have, K, by the name of the channel; a column with a gap or
/// a text in them is left out.
pub fn temperatures<'t>(
    table: &'t Table,
    rows: &'t [usize],
) -> impl Iterator<Item = (&'static str, f64)> + 't {
    (0..table.columns.len()).filter_map(|column| {
        let (channel, unit) = channel(table, column)?;
        let values = columns::values(table, column, rows)?;
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        Some((channel, unit.to_si(mean)))
    })
}

/// Which channel a column is, and its unit; `None` where a word of its heading is none of a temperature's.
fn channel(table: &Table, column: usize) -> Option<(&'static str, &'static Unit)> {
    let name = table.columns[column].name.to_lowercase();
    let words = name.split(|c: char| !(c.is_alphanumeric() || c == '°'));
    let mut unit = table
        .written_unit(column)
        .and_then(|unit| TEMPERATURE.unit(unit));
    let mut is_warmth = false;
    let mut air = false;
    let mut place = None;
    for word in words.filter(|word| !word.is_empty()) {
        let stem = WARMTH
            .iter()
            .filter(|end| end.len() > 1)
            .find_map(|end| word.strip_suffix(end));
        let (stem, ends) = match stem {
            Some("") | None => (word, WARMTH.contains(&word)),
            Some(stem) => (stem, true),
        };
        is_warmth |= ends;
        let named = PLACES.iter().find(|(_, words)| words.contains(&stem));
        match named {
            Some((channel, _)) if place.is_none_or(|other| other == *channel) => {
                place = Some(*channel);
            }
            None if AIR.contains(&stem) => air = true,
            None if WARMTH.contains(&word) => {}
            None if unit.is_none() && place.is_some() => unit = Some(TEMPERATURE.unit(word)?),
            _ => return None,
        }
    }
    let place = place.or(air.then_some("intake temperature"))?;
    match unit {
        Some(unit) => Some((place, unit)),
        // Words alone: a column of oil may be of its pressure.
        None if is_warmth && table.written_unit(column).is_none() => {
            Some((place, TEMPERATURE.unit("°C")?))
        }
        None => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::finding::Findings;
    use crate::files::source::Source;
    use crate::units::ZERO_CELSIUS;

    fn read(heading: &str, value: &str) -> Vec<(&'static str, f64)> {
        let rows = format!("2000;100;{value}\n2500;110;{value}\n3000;120;{value}\n");
        let text = format!("rpm;torque (Nm);{heading}\n{rows}");
        let table = Table::parse(Source::new("a.csv", text), &mut Findings::new()).unwrap();
        let found = temperatures(&table, &[0, 1, 2]);
        found
            .map(|(name, kelvin)| (name, (kelvin - ZERO_CELSIUS).round()))
            .collect()
    }

    #[test]
    fn temperatures_are_known_by_the_words_of_their_headings() {
        for (heading, channel) in [
            ("intake_C", "intake temperature"),
            ("Intake air (°C)", "intake temperature"),
            ("T_air [°C]", "intake temperature"),
            ("Ansaugtemp °C", "intake temperature"),
            ("airbox temp", "intake temperature"),
            ("cell_C", "cell temperature"),
            ("Room temp. (C)", "cell temperature"),
            ("Ambient temperature", "cell temperature"),
            ("oil C", "oil temperature"),
            ("Öltemperatur", "oil temperature"),
            ("T oil", "oil temperature"),
            ("Oil temp C", "oil temperature"),
            ("Wasser °C", "water temperature"),
        ] {
            assert_eq!(read(heading, "31"), [(channel, 31.0)], "{heading}");
        }
        assert_eq!(read("oil F", "212"), [("oil temperature", 100.0)]);
    }

    #[test]
    fn what_may_be_no_temperature_is_left_alone() {
        for heading in [
            "oil bar",
            "Oil pressure (bar)",
            "intake",
            "Intake pressure (kPa)",
            "air flow (kg/h)",
            "Ambient (hPa)",
            "exhaust C",
            "oil filter temp",
            "T",
            "temp",
            "fuel C",
        ] {
            assert_eq!(read(heading, "31"), [], "{heading}");
        }
        assert_eq!(read("oil C", "-"), []);
    }
}
