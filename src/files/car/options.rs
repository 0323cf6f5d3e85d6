//! What could be fitted: final drives and gear sets.

use super::gears::{self, Fitted};
use crate::car::offer::Terms;
use crate::car::{Drive, FinalDrive, Gearbox};
use crate::files::finding::quoted;
use crate::files::terms;
use crate::files::yaml::{Item, Map};

/// Most final drives that lists, ranges and drop gears make together.
const MOST_DRIVES: usize = 60;

/// What the options are read with.
pub struct Context<'a> {
    /// The fitted gear set.
    pub fitted: Option<&'a Gearbox>,
    /// The fitted final drive.
    pub final_drive: Option<&'a FinalDrive>,
    /// Rolling radius of the first trim, m.
    pub radius: Option<f64>,
    /// The driven axle.
    pub drive: Drive,
    /// Currency of the prices.
    pub currency: Option<&'a str>,
}

/// Final drives and gear sets that could be fitted.
pub fn options(map: &Map, context: &Context) -> (Vec<FinalDrive>, Vec<Gearbox>) {
    let items = |key: &str| {
        map.take(key)
            .map(|item| item.one_or_more())
            .unwrap_or_default()
    };
    let alone: Vec<FinalDrive> = items("final_drive")
        .iter()
        .flat_map(|item| final_drives(item, context.currency))
        .collect();
    let drops: Vec<(u32, u32, Terms)> = items("drop_gear")
        .iter()
        .filter_map(|item| drop_gear(item, context.currency))
        .collect();
    let mut drives = alone.clone();
    for pair in &drops {
        let base = context.final_drive.into_iter().chain(&alone);
        drives.extend(base.map(|drive| behind(drive, pair)));
    }
    if drives.len() > MOST_DRIVES {
        let text = format!("options: these make {} final drives", drives.len());
        map.item().error(
            text,
            format!("narrow the ranges; at most {MOST_DRIVES} are driven"),
        );
        drives.truncate(MOST_DRIVES);
    }
    (drives, gear_sets(map, &items("gearbox"), context))
}

fn gear_sets(map: &Map, items: &[Item], context: &Context) -> Vec<Gearbox> {
    let fitted = Fitted {
        gears: context.fitted,
        drive: context.drive,
        currency: context.currency,
        beyond: context
            .final_drive
            .map(|drive| drive.ratio)
            .zip(context.radius),
    };
    let gearboxes: Vec<Gearbox> = items
        .iter()
        .filter_map(|item| {
            let gearbox = gears::option(item, &fitted)?;
            require_name(item, &gearbox)?;
            Some(gearbox)
        })
        .collect();
    for (i, gearbox) in gearboxes.iter().enumerate() {
        if gearboxes[..i]
            .iter()
            .any(|other| other.name == gearbox.name)
        {
            let name = gearbox.name.as_deref().unwrap_or_default();
            map.item().error(
                format!("two gear sets are called {}", quoted(name)),
                "give each its own name",
            );
        }
    }
    gearboxes
}

fn require_name(item: &Item, gearbox: &Gearbox) -> Option<()> {
    if gearbox.name.is_none() {
        item.error(
            "gearbox: this gear set has no name",
            "add `name: close five-speed`",
        );
    }
    gearbox.name.as_ref().map(|_| ())
}

/// One final drive, or a range of them: `{from: 3.9, to: 4.7, step: 0.2}`, or of teeth,
/// `{pinion: [8, 9], crownwheel: 35 to 43}`.
fn final_drives(item: &Item, currency: Option<&str>) -> Vec<FinalDrive> {
    let keys = || item.entries().unwrap_or_default();
    let has = |key: &str| item.is_mapping() && keys().iter().any(|entry| entry.name() == key);
    if has("from") || has("to") {
        return by_ratio(item, currency).unwrap_or_default();
    }
    if has("pinion") || has("crownwheel") {
        return by_teeth(item, currency).unwrap_or_default();
    }
    gears::final_drive(item, currency).into_iter().collect()
}

fn by_ratio(item: &Item, currency: Option<&str>) -> Option<Vec<FinalDrive>> {
    const KEYS: &[&str] = &[
        "from",
        "to",
        "step",
        "price",
        "mass",
        "swap_time",
        "allowed_in",
    ];
    let map = item.mapping(KEYS)?;
    let number = |key, example| {
        let range = if key == "step" {
            0.01..=5.0
        } else {
            0.1..=20.0
        };
        map.require(key, example)
            .and_then(|item| item.number(range))
    };
    let (from, to, step) = (
        number("from", "3.9"),
        number("to", "4.7"),
        number("step", "0.2"),
    );
    let (from, to, step) = (from?, to?, step?);
    let count = ((to - from) / step + 1e-9).floor();
    if to < from || count > MOST_DRIVES as f64 {
        let text = format!("final_drive: {from} to {to} in steps of {step} is no range to drive");
        item.error(text, "write as in `{from: 3.9, to: 4.7, step: 0.2}`");
        return None;
    }
    let terms = terms::terms(&map, currency);
    let one = |i: usize| FinalDrive {
        // Steps of a tenth are tenths, not sums of roundings.
        ratio: ((from + i as f64 * step) * 1e6).round() / 1e6,
        teeth: None,
        drop_gear: None,
        terms: terms.clone(),
    };
    Some((0..=count as usize).map(one).collect())
}

fn by_teeth(item: &Item, currency: Option<&str>) -> Option<Vec<FinalDrive>> {
    const KEYS: &[&str] = &[
        "pinion",
        "crownwheel",
        "price",
        "mass",
        "swap_time",
        "allowed_in",
    ];
    let map = item.mapping(KEYS)?;
    let teeth = |key, example| map.require(key, example).and_then(|item| counts(&item));
    let (pinions, wheels) = (teeth("pinion", "[8, 9]"), teeth("crownwheel", "35 to 43"));
    let (pinions, wheels) = (pinions?, wheels?);
    let terms = terms::terms(&map, currency);
    let pairs = pinions
        .iter()
        .flat_map(|&pinion| wheels.iter().map(move |&wheel| (pinion, wheel)));
    let drive = |(pinion, wheel): (u32, u32)| FinalDrive {
        ratio: f64::from(wheel) / f64::from(pinion),
        teeth: Some((pinion, wheel)),
        drop_gear: None,
        terms: terms.clone(),
    };
    Some(pairs.map(drive).collect())
}

/// Numbers of teeth: one, a list, or `35 to 43`.
fn counts(item: &Item) -> Option<Vec<u32>> {
    if let Some((from, to)) = item.word().and_then(|word| word.split_once(" to ")) {
        let read = |text: &str| text.trim().parse().ok().filter(|n| (1..=300).contains(n));
        return match (read(from), read(to)) {
            (Some(from), Some(to)) if from <= to => Some((from..=to).collect()),
            _ => {
                let text = format!("{}: no range of teeth", item.name());
                item.error(text, "write as in `35 to 43`");
                None
            }
        };
    }
    let one = |item: &Item| item.integer(1..=300).map(|n| n as u32);
    let read: Vec<Option<u32>> = item.one_or_more().iter().map(one).collect();
    read.into_iter().collect()
}

/// A pair of drop gears, driving and driven teeth: `24/25`, or a mapping with `teeth` and terms.
fn drop_gear(item: &Item, currency: Option<&str>) -> Option<(u32, u32, Terms)> {
    let (written, terms) = if item.is_mapping() {
        let map = item.mapping(&["teeth", "price", "mass", "swap_time", "allowed_in"])?;
        (map.require("teeth", "24/25")?, terms::terms(&map, currency))
    } else {
        (*item, Terms::default())
    };
    let (driving, driven) = gears::teeth(&written, "driving and driven teeth as in `24/25`")?;
    Some((driving, driven, terms))
}

/// A final drive behind a pair of drop gears.
fn behind(drive: &FinalDrive, (driving, driven, terms): &(u32, u32, Terms)) -> FinalDrive {
    let sum = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (None, None) => None,
        (a, b) => Some(a.unwrap_or(0.0) + b.unwrap_or(0.0)),
    };
    let own = &drive.terms;
    let both = |tag: &&String| own.allowed_in.is_empty() || own.allowed_in.contains(tag);
    FinalDrive {
        ratio: drive.ratio * f64::from(*driven) / f64::from(*driving),
        teeth: drive.teeth,
        drop_gear: Some((*driving, *driven)),
        terms: Terms {
            price: sum(own.price, terms.price),
            mass: sum(own.mass, terms.mass),
            swap_time: sum(own.swap_time, terms.swap_time),
            allowed_in: terms.allowed_in.iter().filter(both).cloned().collect(),
        },
    }
}
