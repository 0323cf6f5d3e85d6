//! Trims: mass, tyre and grip of the car as it goes to a kind of event.

use std::collections::BTreeMap;

use crate::car::Trim;
use crate::car::tyre::{Tyre, TyreError, radius_of_rolled_out};
use crate::files::finding::quoted;
use crate::files::yaml::{Item, Map};
use crate::units::{self, LENGTH, MASS};

/// The keys of a trim.
const TRIM: &[&str] = &["mass", "tyre", "grip", "rolling_radius"];
/// Mass of a car for an event with its driver, kg (common practice, no source).
const USUAL_MASS: std::ops::RangeInclusive<f64> = 150.0..=4000.0;

/// The keys of a tyre.
const TYRE: &[&str] = &[
    "size",
    "rolled_out",
    "radius",
    "rolling_radius",
    "kind",
    "grip",
];

/// What a kind of tyre is meant for and its grip there: the middle of a usual range (common
/// practice).
const KINDS: [(&str, (&str, f64)); 6] = [
    ("road", ("tarmac", 0.975)),
    ("treaded competition", ("tarmac", 1.10)),
    ("slick", ("tarmac", 1.325)),
    ("gravel", ("gravel", 0.625)),
    ("studded", ("ice", 0.375)),
    ("mud", ("mud", 0.40)),
];

/// The surfaces that [`usual_grip`] knows.
pub const USUAL_SURFACES: [&str; 6] = ["tarmac", "concrete", "gravel", "snow", "ice", "mud"];

/// Grip on a surface of a tyre meant for it, where nothing else is known (common practice; snow is
/// the middle of a handbook's 0.25 to 0.35 for packed snow).
pub fn usual_grip(surface: &str) -> Option<f64> {
    match surface {
        "tarmac" | "concrete" => Some(0.975),
        "gravel" => Some(0.625),
        "snow" => Some(0.30),
        "ice" => Some(0.375),
        "mud" => Some(0.40),
        _ => None,
    }
}

/// A usual grip in words; ice asks for more than rubber.
pub fn grip_in_words(surface: &str, grip: f64) -> String {
    let on = match surface {
        "ice" => " with studs",
        _ => "",
    };
    format!("grip {} on {surface}{on}", units::plain(grip))
}

/// All trims: those under `trims`, or the one made of what stands in the file itself.
pub fn all(map: &Map) -> Option<Vec<Trim>> {
    let Some(item) = map.take("trims") else {
        return trim("as is", map, None).map(|trim| vec![trim]);
    };
    let entries = item.entries()?;
    if entries.is_empty() {
        item.error(
            "trims: none is written",
            "write `trims: {circuit: {mass: 960 kg, tyre: 185/60R13}}`",
        );
        return None;
    }
    let one = |entry: &Item| trim(entry.name(), &entry.mapping(TRIM)?, Some(map));
    // Collected first, so that the faults of every trim are found.
    let trims: Vec<Option<Trim>> = entries.iter().map(one).collect();
    trims.into_iter().collect()
}

/// Mass with the driver; asked about where no car for an event weighs that.
pub fn mass_of_car(item: &Item) -> Option<f64> {
    let mass = item.quantity(&MASS, 50.0..=20_000.0)?;
    if !USUAL_MASS.contains(&mass) {
        let text = format!("{}: {mass:.0} kg is an unusual car", item.name());
        item.warning(text, "with driver and fuel; check the figure");
    }
    Some(mass)
}

/// One trim; what it does not say is taken from the file itself.
fn trim(name: &str, map: &Map, file: Option<&Map>) -> Option<Trim> {
    let take = |key: &str| {
        map.take(key)
            .or_else(|| file.and_then(|file| file.take(key)))
    };
    let mass = match take("mass") {
        Some(item) => mass_of_car(&item),
        None => map.require("mass", "960 kg").and(None),
    };
    let outright = take("rolling_radius").map(|item| radius(&item));
    let tyre = match take("tyre") {
        Some(item) => tyre(&item, outright.is_some()),
        None if outright.is_some() => Some(Rolling::default()),
        None => map.require("tyre", "185/60R13").and(None),
    };
    let grip = take("grip").map(|item| grip(&item, usual));
    let (mass, tyre) = (mass?, tyre?);
    let rolling_radius = match outright {
        Some(radius) => radius?,
        None => tyre.radius?,
    };
    let grip = match grip.or(tyre.grip) {
        Some(grip) => grip?,
        None => assumed_grip(map, name, file.is_some(), tyre.kind),
    };
    let text = if tyre.text.is_empty() {
        format!("radius {} mm", units::plain(rolling_radius * 1000.0))
    } else {
        tyre.text
    };
    Some(Trim {
        name: name.to_owned(),
        mass,
        rolling_radius,
        tyre: text,
        grip,
    })
}

fn assumed_grip(
    map: &Map,
    name: &str,
    named: bool,
    kind: Option<(&'static str, f64)>,
) -> BTreeMap<String, f64> {
    let (surface, grip) = kind.unwrap_or(KINDS[0].1);
    let of = if named {
        format!("{name}: ")
    } else {
        String::new()
    };
    map.assumed(
        &format!("grip.{surface}"),
        format!("{of}{}", grip_in_words(surface, grip)),
    );
    BTreeMap::from([(surface.to_owned(), grip)])
}

/// What a tyre says. `radius` and `grip` are `Some(None)`-like where written and faulty.
#[derive(Default)]
struct Rolling {
    text: String,
    radius: Option<f64>,
    kind: Option<(&'static str, f64)>,
    grip: Option<Option<BTreeMap<String, f64>>>,
}

/// A tyre: its size alone, or a mapping; `None` where it says no radius and none is `known`.
fn tyre(item: &Item, known: bool) -> Option<Rolling> {
    if !item.is_mapping() {
        let (text, radius) = size(item)?;
        return Some(Rolling {
            text,
            radius: Some(radius),
            ..Rolling::default()
        });
    }
    let map = item.mapping(TYRE)?;
    let kind = map.take("kind").and_then(|item| item.one_of(&KINDS));
    let grip = map.take("grip").map(|item| grip(&item, usual));
    let example = (!known).then_some("size: 185/60R13");
    let outright = map.has("radius") || map.has("rolling_radius");
    let sized = map
        .take("size")
        .zip(map.take("rolled_out"))
        .filter(|_| !outright);
    let measured = match &sized {
        Some((by_size, rolled)) => Some(rolled_beside(by_size, rolled)?),
        None => {
            let ways = ["size", "rolled_out", "radius", "rolling_radius"];
            match map.either(&ways, example) {
                Some(item) => Some(measure(&item)?),
                None => None,
            }
        }
    };
    let (text, radius) = match measured {
        Some(measured) => measured,
        None if known => {
            return Some(Rolling {
                kind,
                grip,
                ..Rolling::default()
            });
        }
        None => return None,
    };
    Some(Rolling {
        text,
        radius: Some(radius),
        kind,
        grip,
    })
}

/// A tyre by its size and by how far it rolls: what was measured counts, and is held against the size.
fn rolled_beside(by_size: &Item, rolled: &Item) -> Option<(String, f64)> {
    /// Share by which a tyre rolls otherwise than its size says (common practice, no source).
    const APART: f64 = 0.04;
    let (name, usual) = size(by_size)?;
    let (text, radius) = measure(rolled)?;
    if (radius / usual - 1.0).abs() > APART {
        let question = format!(
            "{text}, and {name} rolls about {:.3} m in a turn",
            2.0 * std::f64::consts::PI * usual
        );
        rolled.ask(
            question,
            "measure one turn of the loaded tyre along the floor; take out what is wrong",
        );
    }
    Some((format!("{name}, {text}"), radius))
}

fn measure(item: &Item) -> Option<(String, f64)> {
    match item.name() {
        "size" => size(item),
        "rolled_out" => {
            let distance = item.quantity(&LENGTH, 0.6..=6.5)?;
            Some((
                format!("rolled out {}", item.word()?),
                radius_of_rolled_out(distance),
            ))
        }
        _ => Some((format!("radius {}", item.word()?), radius(item)?)),
    }
}

fn radius(item: &Item) -> Option<f64> {
    item.quantity(&LENGTH, 0.1..=1.0)
}

/// A tyre size, for people and as a rolling radius.
pub fn size(item: &Item) -> Option<(String, f64)> {
    let word = item.scalar("a tyre size, as in `185/60R13`")?;
    match Tyre::parse(word) {
        Ok(tyre) => {
            if tyre.is_full_profile() {
                let text = format!("{word}: section height 80 % of the width");
                item.assumed("tyre", text);
            }
            Some((word.to_owned(), tyre.rolling_radius()))
        }
        Err(error) => {
            let remedy = match error {
                TyreError::Form => {
                    "write a size as in `185/60R13`, `180/550-13` or `8.0/20.0-13`, or measure: \
                     `{rolled_out: 1.757 m}`"
                }
                _ => "or measure how far one turn rolls: `{rolled_out: 1.757 m}`",
            };
            item.error(format!("tyre: {}: {error}", quoted(word)), remedy);
            None
        }
    }
}

/// A grip that a share may be of, and whose it is.
pub type Base = (f64, &'static str);

/// A coefficient of grip: no share, and on tarmac that of a tyre. `base` is what a share may be of.
fn coefficient(item: &Item, base: Option<Base>) -> Option<f64> {
    /// Wet tarmac leaves more to any tyre (common practice, no source).
    const LEAST: f64 = 0.3;
    let word = item.word().unwrap_or_default();
    if word.contains('%') {
        let text = format!(
            "{}: {} is a share, and grip a coefficient",
            item.name(),
            quoted(word)
        );
        item.error(text, of_base(word, base));
        return None;
    }
    let grip = item.number(0.01..=5.0)?;
    if grip < LEAST && ["grip", "tarmac", "concrete"].contains(&item.name()) {
        let text = format!("{}: {word} is less grip than ice has", item.name());
        item.warning(text, "a tyre has about 1 on dry tarmac, 0.7 on wet");
    }
    Some(grip)
}

/// What to write in place of a share of some grip.
fn of_base(word: &str, base: Option<Base>) -> String {
    /// Percent from which a share is of the whole and no difference.
    const WHOLE: f64 = 50.0;
    let bare = word.replace([' ', '\u{a0}'], "");
    let share = units::number(&bare).ok();
    let share = share.filter(|(share, unit)| *unit == "%" && share.abs() < 200.0);
    let share = share.map(|(share, _)| share);
    let (Some((base, whose)), Some(share)) = (base, share) else {
        return "write what the tyre has on that surface, as in `1.05`".to_owned();
    };
    let (said, times) = match share {
        s if s >= WHOLE => (format!("{} % of", units::plain(s)), s / 100.0),
        s if s < 0.0 => (format!("{} % less than", units::plain(-s)), 1.0 + s / 100.0),
        s => (format!("{} % more than", units::plain(s)), 1.0 + s / 100.0),
    };
    let grip = |value: f64| {
        let text = format!("{value:.3}");
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    };
    format!(
        "write what the tyre has on that surface: {said} the {} {whose} is `{}`",
        grip(base),
        grip(times * base)
    )
}

/// Grip of tyres of which nothing is known.
fn usual(surface: &str) -> Option<Base> {
    Some((usual_grip(surface)?, "that is usual there"))
}

/// Grip: one number, for tarmac, or one for each surface the user names. `base` is what a share may be of, by surface.
pub fn grip(item: &Item, base: impl Fn(&str) -> Option<Base>) -> Option<BTreeMap<String, f64>> {
    if !item.is_mapping() {
        let value = coefficient(item, base("tarmac"));
        return value.map(|grip| BTreeMap::from([("tarmac".to_owned(), grip)]));
    }
    let value = |item: &Item| coefficient(item, base(item.name()));
    let read: Vec<Option<(String, f64)>> = item
        .entries()?
        .iter()
        .map(|entry| Some((entry.name().to_owned(), value(entry)?)))
        .collect();
    if read.is_empty() {
        item.error(
            "grip: no surface is written",
            "write `grip: {tarmac: 1.00}`",
        );
        return None;
    }
    read.into_iter().collect()
}
