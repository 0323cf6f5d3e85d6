//! Everything that could be bought for the car.

use super::body::differential_of;
use super::options::{self, Context};
use super::trims;
use crate::car::offer::{
    Lightening, OfferedDifferential, OfferedLimit, OfferedTyre, Purchases, Terms,
};
use crate::car::{FinalDrive, Gearbox, Trim};
use crate::files::finding::quoted;
use crate::files::nearest::meant_by;
use crate::files::terms;
use crate::files::yaml::{Item, Map};
use crate::units::{self, MASS};

/// What could be bought.
const KINDS: &[&str] = &[
    "final_drive",
    "drop_gear",
    "gearbox",
    "differential",
    "tyre",
    "lighter",
    "rev_limit",
];

/// Final drives and gear sets, and what else could be bought; `limit` is the fitted engine's, rpm.
pub fn all(
    map: &Map,
    context: &Context,
    car_trims: Option<&[Trim]>,
    limit: f64,
) -> ((Vec<FinalDrive>, Vec<Gearbox>), Purchases) {
    let none = || Purchases {
        currency: context.currency.map(str::to_owned),
        ..Purchases::default()
    };
    let Some(map) = map.take("options").and_then(|item| item.mapping(KINDS)) else {
        return (Default::default(), none());
    };
    let items = |key: &str| {
        map.take(key)
            .map(|item| item.one_or_more())
            .unwrap_or_default()
    };
    let currency = context.currency;
    let purchases = Purchases {
        differentials: items("differential")
            .iter()
            .filter_map(|item| differential(item, currency))
            .collect(),
        tyres: items("tyre")
            .iter()
            .filter_map(|item| tyre(item, car_trims?, currency))
            .collect(),
        lighter: items("lighter")
            .iter()
            .filter_map(|item| lighter(item, currency))
            .collect(),
        rev_limits: items("rev_limit")
            .iter()
            .filter_map(|item| rev_limit(item, limit, currency))
            .collect(),
        ..none()
    };
    (options::options(&map, context), purchases)
}

fn differential(item: &Item, currency: Option<&str>) -> Option<OfferedDifferential> {
    const KEYS: &[&str] = &["kind", "name", "price", "mass", "swap_time", "allowed_in"];
    let (kind, name, terms) = if item.is_mapping() && has(item, "kind") {
        let map = item.mapping(KEYS)?;
        let name = map.take("name").and_then(|item| item.title());
        (
            map.require("kind", "plate")?,
            name,
            terms::terms(&map, currency),
        )
    } else {
        (*item, None, Terms::default())
    };
    let differential = differential_of(&kind)?;
    let called = kind.word().map(|word| format!("{word} differential"));
    Some(OfferedDifferential {
        name: name.or(called).unwrap_or_else(|| "differential".to_owned()),
        differential,
        terms,
    })
}

fn has(item: &Item, key: &str) -> bool {
    let entries = item.entries().unwrap_or_default();
    entries.iter().any(|entry| entry.name() == key)
}

fn tyre(item: &Item, car_trims: &[Trim], currency: Option<&str>) -> Option<OfferedTyre> {
    const KEYS: &[&str] = &[
        "name",
        "size",
        "grip",
        "trims",
        "price",
        "mass",
        "swap_time",
        "allowed_in",
    ];
    let map = item.mapping(KEYS)?;
    let size = match map.take("size") {
        Some(item) => Some(trims::size(&item)?),
        None => None,
    };
    let wanted = match map.take("trims") {
        Some(item) => Some(named_trims(&item, car_trims)?),
        None => None,
    };
    let is_wanted = |i: &usize| wanted.as_ref().is_none_or(|wanted| wanted.contains(i));
    let on = |surface: &str| {
        let trims = (0..car_trims.len()).filter(is_wanted);
        let mut grips = trims.filter_map(|i| car_trims[i].grip.get(surface));
        grips.next().map(|grip| (*grip, "of the tyres that are on"))
    };
    let grip = match map.take("grip") {
        Some(item) => Some(trims::grip(&item, on)?),
        None => None,
    };
    if size.is_none() && grip.is_none() {
        item.error(
            "tyre: neither size nor grip differs from what is fitted",
            "add `size: 185/55R13` or `grip: {tarmac: 1.12}`",
        );
        return None;
    }
    let written = map.take("name").and_then(|item| item.title());
    let called = size.as_ref().map(|(text, _)| text.clone());
    let with = |(i, trim): (usize, &Trim)| {
        if !is_wanted(&i) {
            return None;
        }
        let mut trim = trim.clone();
        if let Some((text, radius)) = &size {
            (trim.tyre, trim.rolling_radius) = (text.clone(), *radius);
        }
        if let Some(grip) = &grip {
            trim.grip
                .extend(grip.iter().map(|(on, g)| (on.clone(), *g)));
        }
        Some(trim)
    };
    Some(OfferedTyre {
        name: written
            .or(called)
            .unwrap_or_else(|| "other tyres".to_owned()),
        trims: car_trims.iter().enumerate().map(with).collect(),
        same_grip: grip.is_none(),
        terms: terms::terms(&map, currency),
    })
}

fn named_trims(item: &Item, car_trims: &[Trim]) -> Option<Vec<usize>> {
    let find = |item: &Item| {
        let name = item.text()?;
        let found = car_trims.iter().position(|trim| trim.name == name);
        if found.is_none() {
            let names = || car_trims.iter().map(|trim| trim.name.as_str());
            let known = || format!("the trims: {}", names().collect::<Vec<_>>().join(", "));
            let remedy = meant_by(&name, names()).unwrap_or_else(known);
            item.error(format!("there is no trim {}", quoted(&name)), remedy);
        }
        found
    };
    let found: Vec<Option<usize>> = item.one_or_more().iter().map(find).collect();
    found.into_iter().collect()
}

/// `{by: 20 kg, price: 400}`.
fn lighter(item: &Item, currency: Option<&str>) -> Option<Lightening> {
    let map = item.mapping(&["by", "name", "price", "swap_time", "allowed_in"])?;
    let by = map
        .require("by", "20 kg")
        .and_then(|item| item.quantity(&MASS, 0.01..=1000.0))?;
    let name = map.take("name").and_then(|item| item.title());
    Some(Lightening {
        name: name.unwrap_or_else(|| format!("{} kg lighter", units::plain(by))),
        terms: Terms {
            mass: Some(-by),
            swap_time: map.take("swap_time").and_then(|i| terms::swap_time(&i)),
            ..terms::of_purchase(&map, currency)
        },
    })
}

/// `{rpm: 7600 rpm, price: 900}`.
fn rev_limit(item: &Item, fitted: f64, currency: Option<&str>) -> Option<OfferedLimit> {
    let map = item.mapping(&["rpm", "price", "allowed_in"])?;
    let rpm = map.require("rpm", "7600 rpm")?;
    let limit = rpm.rpm(100.0..=30_000.0)?;
    if limit <= fitted {
        let text = format!("rev_limit: {limit:.0} rpm is not above the fitted {fitted:.0}");
        let remedy = match limit == fitted {
            true => "where the rebuild is done take this line out; else write the limit after it",
            false => "write the limit after the rebuild",
        };
        rpm.error(text, remedy);
        return None;
    }
    Some(OfferedLimit {
        rpm: limit,
        terms: terms::of_purchase(&map, currency),
    })
}
