//! The weather of a day, a fitting or a pull; what a pull does not say, its fitting or day says.

use crate::air::{Air, station_pressure};
use crate::files::finding::Severity;
use crate::files::yaml::{Item, Map};
use crate::units::{self, INCH_OF_MERCURY, LENGTH, PRESSURE, TEMPERATURE};

/// The keys of a weather, alone or among those of a pull.
pub const KEYS: &[&str] = &[
    "pressure",
    "sea_level_pressure",
    "elevation",
    "temperature",
    "humidity",
    "dew_point",
    "wet_bulb",
];

/// Humidity where none is said.
const ASSUMED_HUMIDITY: f64 = 0.6;
/// Pressures barometers show where cars are driven, Pa: up to the record at sea level, 1084.8 hPa at Agata in 1968,
/// and down to that of 870 hPa in a typhoon of 1979 (WMO archive of extremes, from memory); up in the mountains down
/// to what is left at some 4,700 m.
const AT_SEA_LEVEL: std::ops::RangeInclusive<f64> = 87e3..=108.5e3;
const PRESSURES: std::ops::RangeInclusive<f64> = 55e3..=108.5e3;
/// Reduced to sea level, pressure is hardly ever higher, Pa (common practice, no source).
const HIGHEST: f64 = 105e3;
const TEMPERATURES: std::ops::RangeInclusive<f64> = 223.15..=333.15;

/// How moist the air is, as an instrument shows it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Moisture {
    /// Relative humidity, 0 to 1.
    Relative(f64),
    /// Dew point, K.
    DewPoint(f64),
    /// Wet-bulb temperature, K.
    WetBulb(f64),
}

/// What is said of a weather.
#[derive(Clone, Copy, Default)]
pub struct Parts<'a> {
    pressure: Option<f64>,
    sea_level_pressure: Option<f64>,
    elevation: Option<f64>,
    temperature: Option<f64>,
    moisture: Option<Moisture>,
    /// Whether it is words, a guess.
    words: bool,
    /// Where it is said; `None` where nothing is.
    at: Option<Item<'a>>,
    /// Whether something in it cannot be read: that has been told, and nothing follows from it.
    faulty: bool,
}

/// A weather on its own: keys, or words such as `hot, damp`.
pub fn parts<'a>(item: &Item<'a>) -> Parts<'a> {
    let read = match item.word() {
        Some(_) => words(item),
        None => item.mapping(KEYS).map(|map| among(&map)),
    };
    Parts {
        at: Some(*item),
        faulty: read.is_none_or(|parts| parts.faulty),
        ..read.unwrap_or_default()
    }
}

/// A weather among the keys of `map`.
pub fn among<'a>(map: &Map<'a>) -> Parts<'a> {
    let quantity = |key: &str, dimension, range| {
        map.take(key)
            .and_then(|item| item.quantity(dimension, range))
    };
    map.either(&["pressure", "sea_level_pressure"], None);
    let moisture = map.either(&["humidity", "dew_point", "wet_bulb"], None);
    let parts = Parts {
        pressure: map.take("pressure").and_then(|item| {
            let found = pressure(&item, PRESSURES);
            if !map.has("elevation") {
                found.iter().for_each(|pascal| ask_mercury(&item, *pascal));
            }
            found
        }),
        sea_level_pressure: map
            .take("sea_level_pressure")
            .and_then(|item| pressure(&item, AT_SEA_LEVEL)),
        elevation: quantity("elevation", &LENGTH, -430.0..=5000.0),
        temperature: map.take("temperature").and_then(|item| temperature(&item)),
        moisture: moisture.and_then(|item| match item.name() {
            "humidity" => item.share(0.0..=1.0).map(Moisture::Relative),
            "dew_point" => {
                let kelvin = item.quantity(&TEMPERATURE, TEMPERATURES);
                kelvin.map(Moisture::DewPoint)
            }
            _ => {
                let kelvin = item.quantity(&TEMPERATURE, TEMPERATURES);
                kelvin.map(Moisture::WetBulb)
            }
        }),
        ..Parts::default()
    };
    let written = KEYS.iter().filter(|key| map.has(key)).count();
    Parts {
        at: (written > 0).then_some(map.item()),
        faulty: parts.read() < written,
        ..parts
    }
}

/// Asks about hectopascals that are those of a mountain, and in mmHg those of the plain.
fn ask_mercury(item: &Item, pascal: f64) {
    const MERCURY: std::ops::RangeInclusive<f64> = 71e3..=79e3;
    let written = item.word().unwrap_or_default();
    let reading = units::read(written, &PRESSURE, None).ok();
    let Some(value) = reading.map(|reading| reading.value) else {
        return;
    };
    if MERCURY.contains(&pascal) && (value - pascal / 100.0).abs() < 1e-6 {
        let text = format!("pressure: {written} is the air more than 2,000 m up: is it mmHg?");
        let remedy = format!(
            "if so write `{value} mmHg`; where the dyno stands so high add its `elevation`"
        );
        item.warning(text, remedy);
    }
}

/// A temperature of air; one that would be right in °F is recognised.
fn temperature(item: &Item) -> Option<f64> {
    let written = item.word().unwrap_or_default();
    if let Ok(reading) = units::read(written, &TEMPERATURE, None)
        && reading.si > *TEMPERATURES.end()
        && let Some(meant) = TEMPERATURE.unit("F").map(|unit| unit.to_si(reading.value))
        && TEMPERATURES.contains(&meant)
    {
        item.error(
            format!("{}: {written} is no air to breathe", item.name()),
            format!("did you mean `{} F`?", reading.value),
        );
        return None;
    }
    item.quantity(&TEMPERATURE, TEMPERATURES)
}

/// A pressure; a number that would be right in inHg is recognised.
fn pressure(item: &Item, range: std::ops::RangeInclusive<f64>) -> Option<f64> {
    let written = item.word().unwrap_or_default();
    if let Ok(reading) = units::read(written, &PRESSURE, None)
        && !range.contains(&reading.si)
        && range.contains(&(reading.value * INCH_OF_MERCURY))
    {
        item.error(
            format!("{}: {written} is no air to breathe", item.name()),
            format!("did you mean `{} inHg`?", reading.value),
        );
        return None;
    }
    item.quantity(&PRESSURE, range)
}

/// Temperatures in °C and shares of humidity that words stand for (common practice, no source).
const WARMTH: &[(&str, f64)] = &[
    ("frosty", 0.0),
    ("cold", 6.0),
    ("cool", 12.0),
    ("mild", 18.0),
    ("warm", 24.0),
    ("hot", 31.0),
];
const DAMPNESS: &[(&str, f64)] = &[("dry", 0.35), ("ordinary", 0.6), ("damp", 0.85)];

fn words<'a>(item: &Item<'a>) -> Option<Parts<'a>> {
    let text = item.text()?;
    let mut parts = Parts {
        words: true,
        ..Parts::default()
    };
    for word in text.split([',', ' ']).filter(|word| !word.is_empty()) {
        let find = |list: &[(&str, f64)]| {
            let known = list.iter().find(|(w, _)| w.eq_ignore_ascii_case(word));
            known.map(|(_, value)| *value)
        };
        if let Some(celsius) = find(WARMTH) {
            parts.temperature = Some(celsius + units::ZERO_CELSIUS);
        } else if let Some(share) = find(DAMPNESS) {
            parts.moisture = Some(Moisture::Relative(share));
        } else {
            let list = |l: &[(&str, f64)]| l.iter().map(|(w, _)| *w).collect::<Vec<_>>().join(", ");
            item.error(
                format!("weather: `{word}` is not known here"),
                format!(
                    "write {{pressure: 1009 hPa, temperature: 18 C, humidity: 55 %}}, or one of {} \
                     and one of {}",
                    list(WARMTH),
                    list(DAMPNESS)
                ),
            );
            return None;
        }
    }
    Some(parts)
}

impl<'a> Parts<'a> {
    /// Whether anything is said.
    pub fn is_said(&self) -> bool {
        self.at.is_some()
    }

    /// How many of the keys were read.
    fn read(&self) -> usize {
        let numbers = [
            self.pressure,
            self.sea_level_pressure,
            self.elevation,
            self.temperature,
        ];
        numbers.iter().flatten().count() + usize::from(self.moisture.is_some())
    }

    /// These, and what they leave out from `wider`.
    pub fn or(self, wider: Self) -> Self {
        let own_pressure = self.pressure.is_some() || self.sea_level_pressure.is_some();
        Self {
            pressure: if own_pressure {
                self.pressure
            } else {
                wider.pressure
            },
            sea_level_pressure: if own_pressure {
                self.sea_level_pressure
            } else {
                wider.sea_level_pressure
            },
            elevation: self.elevation.or(wider.elevation),
            temperature: self.temperature.or(wider.temperature),
            moisture: self.moisture.or(wider.moisture),
            words: self.words || wider.words,
            at: self.at.or(wider.at),
            faulty: self.faulty || wider.faulty,
        }
    }

    /// The air, where anything is said of it; what is missing is assumed or a fault where it is said.
    /// After a fault an ordinary air stands in, so that one fault is told once.
    pub fn air(&self) -> Option<Air> {
        let item = self.at?;
        let read = match self.faulty {
            true => None,
            false => self.complete(&item),
        };
        Some(read.unwrap_or(Air::isa(0.0)))
    }

    fn complete(&self, item: &Item) -> Option<Air> {
        let pressure = self.pressure(item)?;
        let Some(temperature) = self.temperature else {
            item.error(
                "the weather has no temperature: 3 °C are half a percent of torque",
                "add `temperature: 18 C`",
            );
            return None;
        };
        let moisture = self.moisture.unwrap_or_else(|| {
            let percent = 100.0 * ASSUMED_HUMIDITY;
            item.assumed("humidity", format!("humidity {percent:.0} % on the dyno"));
            Moisture::Relative(ASSUMED_HUMIDITY)
        });
        if self.words {
            let celsius = temperature - units::ZERO_CELSIUS;
            let text = format!("the weather in words: {celsius:.0} °C");
            item.assumed("weather", text);
        }
        let air = match moisture {
            Moisture::Relative(share) => Air::new(pressure, temperature, share),
            Moisture::DewPoint(kelvin) => Air::from_dew_point(pressure, temperature, kelvin),
            Moisture::WetBulb(kelvin) => Air::from_wet_bulb(pressure, temperature, kelvin),
        };
        air.map_err(|error| item.error(error.to_string(), "correct the weather"))
            .ok()
    }

    fn pressure(&self, item: &Item) -> Option<f64> {
        match (self.pressure, self.sea_level_pressure, self.elevation) {
            (Some(pressure), _, elevation) => {
                elevation
                    .into_iter()
                    .for_each(|m| at_sea(item, pressure, m));
                Some(pressure)
            }
            (None, Some(at_sea), Some(elevation)) => Some(station_pressure(at_sea, elevation)),
            (None, Some(_), None) => {
                item.error(
                    "a pressure reduced to sea level needs the elevation of the dyno: 12 hPa are \
                     lost in 100 m",
                    "add `elevation: 120 m`, or write what a barometer shows there as `pressure`",
                );
                None
            }
            (None, None, elevation) => {
                let elevation = elevation.unwrap_or(0.0);
                let pressure = Air::isa(elevation).pressure;
                let hectopascal = pressure / 100.0;
                item.push(item.finding(
                    Severity::Warning,
                    format!("no pressure is said: {hectopascal:.0} hPa taken for {elevation:.0} m"),
                ));
                item.assumed(
                    "pressure",
                    format!("pressure on the dyno {hectopascal:.0} hPa"),
                );
                Some(pressure)
            }
        }
    }
}

/// Asks about a pressure that no barometer shows so high up: weather reports reduce it to sea level.
fn at_sea(item: &Item, pressure: f64, elevation: f64) {
    let reduced = pressure * Air::isa(0.0).pressure / Air::isa(elevation).pressure;
    if reduced <= HIGHEST || !AT_SEA_LEVEL.contains(&pressure) {
        return;
    }
    let text = format!(
        "pressure: {:.0} hPa at an elevation of {elevation:.0} m, where a barometer reads about {:.0}: is it reduced \
         to sea level?",
        pressure / 100.0,
        station_pressure(pressure, elevation) / 100.0
    );
    let remedy = "if so write it as `sea_level_pressure`; what a barometer shows at the dyno needs no elevation";
    item.warning(text, remedy);
}
