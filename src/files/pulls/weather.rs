//! What the lines beside a table say of the air: `Baro (station): 29.93 inHg`, `Lufttemperatur 18,5 °C`.

use crate::air::Air;
use crate::files::table::Table;
use crate::units::{self, Dimension, PRESSURE, TEMPERATURE};

/// Pressures of the air where engines are tested, Pa, and its temperatures, K; what else has these units, as boost,
/// oil and exhaust, hardly lies within.
const PRESSURES: std::ops::RangeInclusive<f64> = 75_000.0..=106_000.0;
const TEMPERATURES: std::ops::RangeInclusive<f64> = 253.0..=323.0;

/// Beginnings of words by which a line is of something else than the air of the room.
const OTHERS: [&str; 26] = [
    "oil", "öl", "oel", "huile", "olio", "aceite", "water", "wasser", "coolant", "eau", "acqua",
    "agua", "fuel", "boost", "manifold", "map", "egt", "exhaust", "abgas", "tyre", "tire", "reif",
    "corr", "korr", "std", "vapo",
];
/// Beginnings of words for the air's temperature.
const AIR: [&str; 19] = [
    "air", "luft", "aria", "aire", "amb", "temp", "tamb", "intake", "inlet", "iat", "ansaug",
    "umgebung", "room", "raum", "hall", "cell", "lucht", "bulb", "t",
];
/// Those of its humidity.
const HUMIDITY: [&str; 11] = [
    "hum",
    "rh",
    "feucht",
    "luftfeucht",
    "umid",
    "wilgot",
    "luftfukt",
    "fukt",
    "vocht",
    "luchtvocht",
    "r.h",
];
/// Those of a pressure that is reduced to sea level.
const AT_SEA: [&str; 5] = ["sea", "qnh", "msl", "reduced", "reduziert"];

/// What was said of the air, each as a test day writes it, with its value in SI.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stated {
    pressure: Option<(String, f64)>,
    /// The pressure is reduced to sea level.
    at_sea: bool,
    temperature: Option<(String, f64)>,
    humidity: Option<(String, f64)>,
    wet_bulb: Option<(String, f64)>,
}

impl Stated {
    /// As a test day's `weather`, where pressure and temperature are said.
    pub fn written(&self) -> Option<String> {
        let ((pressure, _), (temperature, _)) =
            self.pressure.as_ref().zip(self.temperature.as_ref())?;
        let key = match self.at_sea {
            true => "sea_level_pressure",
            false => "pressure",
        };
        let elevation = if self.at_sea { ", elevation: …" } else { "" };
        let moist = match (&self.humidity, &self.wet_bulb) {
            (Some((humidity, _)), _) => format!("humidity: {humidity}"),
            (None, Some((bulb, _))) => format!("wet_bulb: {bulb}"),
            (None, None) => "humidity: …".to_owned(),
        };
        Some(format!(
            "{{{key}: {pressure}{elevation}, temperature: {temperature}, {moist}}}"
        ))
    }

    /// The air, where it was measured in the room; half moist where nothing is said of that.
    pub fn air(&self) -> Option<Air> {
        let ((_, pressure), (_, temperature)) =
            self.pressure.as_ref().zip(self.temperature.as_ref())?;
        let air = match (&self.humidity, &self.wet_bulb) {
            (None, Some((_, bulb))) => Air::from_wet_bulb(*pressure, *temperature, *bulb),
            (humidity, _) => {
                let humidity = humidity.as_ref().map_or(0.5, |humidity| humidity.1);
                Air::new(*pressure, *temperature, humidity)
            }
        };
        let air = air.ok();
        air.filter(|_| !self.at_sea)
    }
}

/// What the lines beside a table say, the first of each.
pub fn stated(table: &Table) -> Option<Stated> {
    let mut stated = Stated::default();
    for (_, line) in table.notes() {
        take(line, &mut stated);
    }
    (stated != Stated::default()).then_some(stated)
}

/// Takes the figures of one line.
fn take(line: &str, stated: &mut Stated) {
    // A separate date or clock is no figure of the air, and neither is a number within a word.
    let mut name = String::new();
    let mut rest = line;
    while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
        let signed =
            rest[..at].trim_end().ends_with(['-', '−']) && !rest[..at].trim_end().ends_with("--");
        let within = rest[..at].ends_with(|c: char| c.is_alphabetic());
        name.push_str(&rest[..at]);
        let figure = &rest[at..];
        let length = figure
            .find(|c: char| !(c.is_ascii_digit() || matches!(c, '.' | ',')))
            .unwrap_or(figure.len());
        let written = figure[..length].trim_end_matches(['.', ',']);
        rest = &figure[length..];
        if within {
            continue;
        }
        let Ok((value, "")) = units::number(written) else {
            name.clear();
            continue;
        };
        let value = if signed { -value } else { value };
        let units = match unit_of(&name) {
            Some(unit) => vec![unit.to_owned()],
            None => units_behind(rest),
        };
        let words = words(&name);
        let of = |list: &[&str]| {
            let begins = |word: &String| list.iter().any(|start| is_begun(word, start));
            words.iter().any(begins)
        };
        if !of(&OTHERS) {
            let read = |dimension: &Dimension| {
                let unit = units.iter().find_map(|unit| dimension.unit(unit))?;
                Some((format!("{value} {}", unit.name()), unit.to_si(value)))
            };
            if let Some(pressure) = read(&PRESSURE).filter(|(_, si)| PRESSURES.contains(si)) {
                stated.at_sea |= stated.pressure.is_none() && of(&AT_SEA);
                stated.pressure.get_or_insert(pressure);
            }
            let warm = read(&TEMPERATURE).filter(|(_, si)| of(&AIR) && TEMPERATURES.contains(si));
            if let Some(temperature) = warm {
                let wet = words.iter().any(|word| word == "wet");
                let place = if wet {
                    &mut stated.wet_bulb
                } else {
                    &mut stated.temperature
                };
                place.get_or_insert(temperature);
            }
            if of(&HUMIDITY)
                && (0.0..=100.0).contains(&value)
                && units.first().is_none_or(|unit| unit.starts_with('%'))
            {
                let share = (format!("{value} %"), value / 100.0);
                stated.humidity.get_or_insert(share);
            }
        }
        name.clear();
    }
}

/// A word of one letter is that letter alone.
fn is_begun(word: &str, start: &str) -> bool {
    match start.chars().count() {
        1 => word == start,
        _ => word.starts_with(start),
    }
}

fn words(name: &str) -> Vec<String> {
    let parts = name.split(|c: char| !c.is_alphabetic());
    let parts = parts.filter(|part| !part.is_empty());
    parts.map(str::to_lowercase).collect()
}

/// What may be the unit behind a figure: two words together, as in `757 mm Hg`, or one.
fn units_behind(rest: &str) -> Vec<String> {
    let rest = rest.trim_start_matches([' ', '\u{a0}', '\t', ';', '"']);
    let line = rest.split([',', ';', '(', '\t']).next().unwrap_or_default();
    let mut words = line.split_whitespace();
    let letters = |word: &str| {
        let end = word.find(|c: char| !(c.is_alphabetic() || matches!(c, '°' | '%')));
        word[..end.unwrap_or(word.len())].to_owned()
    };
    let Some(first) = words.next().map(letters).filter(|first| !first.is_empty()) else {
        return Vec::new();
    };
    let both = words.next().map(|next| format!("{first}{}", letters(next)));
    both.into_iter().chain([first]).collect()
}

/// The unit that a name has in brackets.
fn unit_of(name: &str) -> Option<&str> {
    let start = name.rfind(['(', '['])?;
    let inner = name[start + 1..].split([')', ']']).next().map(str::trim);
    inner.filter(|unit| *unit == "%" || units::unit(unit).is_some())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::finding::Findings;
    use crate::files::source::Source;

    fn said(above: &str) -> Option<Stated> {
        let text = format!("{above}\nrpm;torque (Nm)\n2500;140\n3000;150\n3500;160\n4000;165\n");
        let mut findings = Findings::new();
        let table = Table::parse(Source::new("pull.csv", text), &mut findings).unwrap();
        stated(&table)
    }

    #[test]
    fn lines_about_the_air_are_read_in_their_units() {
        for (above, wanted) in [
            (
                "Baro (station): 29.93 inHg\nAir in: 60.7 F\nHumidity: 58 %",
                "{pressure: 29.93 inHg, temperature: 60.7 °F, humidity: 58 %}",
            ),
            (
                "Luftdruck 1008,5 hPa, Lufttemperatur -2,5 °C, rel. Feuchte 55%",
                "{pressure: 1008.5 hPa, temperature: -2.5 °C, humidity: 55 %}",
            ),
            (
                "Oil: 84 C\nPressure [mbar];1009\nTemperature [°C];18;RH [%];61",
                "{pressure: 1009 hPa, temperature: 18 °C, humidity: 61 %}",
            ),
            (
                "BAROMETER   751.2 mm Hg (in the cell)\nDRY BULB    86 F  (at the trumpets)\nWET BULB    66 F",
                "{pressure: 751.2 mmHg, temperature: 86 °F, wet_bulb: 66 °F}",
            ),
            (
                "09.05.2026 14:20 Bench 2\nQNH 1021 hPa Temp. 21C",
                "{sea_level_pressure: 1021 hPa, elevation: …, temperature: 21 °C, humidity: …}",
            ),
        ] {
            let found = said(above).and_then(|stated| stated.written());
            assert_eq!(found.as_deref(), Some(wanted), "{above}");
        }
    }

    #[test]
    fn figures_of_other_things_are_none_of_the_air() {
        for above in [
            "Run 3; 12 May",
            "Oil pressure: 4.1 bar; water 84 C",
            "Boost 0.95 bar\nIntake temp 61 C",
            "Fuel pressure 1.0 bar",
            "Correction: SAE 1.023, std 990 hPa, 25 C",
            "Load 98 %",
        ] {
            assert_eq!(said(above), None, "{above}");
        }
    }
}
