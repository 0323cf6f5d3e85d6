//! How surely the inputs are known.

use crate::car::{Trim, Uncertain};
use crate::files::finding::quoted;
use crate::files::yaml::{Item, Map};
use crate::units::{self, AREA, LENGTH, MASS, TIME};

/// One standard deviation of each uncertain input where the file says none (common practice).
const USUAL: Uncertain = Uncertain {
    mass: 8.0,
    drag_area: 0.06,
    grip: 0.05,
    shift_time: 0.05,
    rolling_radius: 0.005,
    air_density: 0.005,
};

/// How surely the inputs are known, one standard deviation each.
pub fn uncertain(map: &Map, trims: Option<&[Trim]>) -> Uncertain {
    let known = &[
        "mass",
        "drag_area",
        "grip",
        "shift_time",
        "rolling_radius",
        "air_density",
    ];
    let Some(item) = map.take("uncertain") else {
        map.assumed(
            "uncertain",
            format!("uncertain (one sd): {}", list(&USUAL, known)),
        );
        return USUAL;
    };
    let Some(inner) = item.mapping(known) else {
        return USUAL;
    };
    let left_out: Vec<&str> = known
        .iter()
        .copied()
        .filter(|key| !inner.has(key))
        .collect();
    if !left_out.is_empty() {
        inner.assumed(
            "uncertain",
            format!("uncertain (one sd): {}", list(&USUAL, &left_out)),
        );
    }
    let first = trims.and_then(|trims| trims.first());
    let radius = first.map_or(0.28, |trim| trim.rolling_radius);
    let drag = map
        .take("drag_area")
        .and_then(|item| item.quantity(&AREA, 0.0..=20.0));
    let share = |key: &str, usual: f64, whole: Option<(&'static units::Dimension, f64)>| {
        let Some(item) = inner.take(key) else {
            return usual;
        };
        relative(&item, whole).unwrap_or(usual)
    };
    let quantity = |key: &str, dimension, bound: f64, usual: f64| match inner.take(key) {
        Some(item) => item.quantity(dimension, 0.0..=bound).unwrap_or(usual),
        None => usual,
    };
    Uncertain {
        mass: quantity("mass", &MASS, 500.0, USUAL.mass),
        drag_area: share("drag_area", USUAL.drag_area, drag.map(|d| (&AREA, d))),
        grip: share("grip", USUAL.grip, None),
        shift_time: quantity("shift_time", &TIME, 2.0, USUAL.shift_time),
        rolling_radius: share(
            "rolling_radius",
            USUAL.rolling_radius,
            Some((&LENGTH, radius)),
        ),
        air_density: share("air_density", USUAL.air_density, None),
    }
}

/// A spread as a share of the whole, or as a quantity where the whole is known.
fn relative(item: &Item, whole: Option<(&'static units::Dimension, f64)>) -> Option<f64> {
    const MOST: f64 = 0.5;
    if let Some((dimension, whole)) = whole
        && whole > 0.0
        && let Some(word) = item.word()
        && let Ok(reading) = units::read(word, dimension, None)
    {
        let share = reading.si / whole;
        if (0.0..=MOST).contains(&share) {
            return Some(share);
        }
        item.error(
            format!(
                "{}: {} is {} % of the whole",
                item.name(),
                quoted(word),
                units::plain(share * 100.0)
            ),
            "write one standard deviation, at most 50 %",
        );
        return None;
    }
    item.share(0.0..=MOST)
}

fn list(usual: &Uncertain, keys: &[&str]) -> String {
    let percent = |share: f64| format!("{} %", units::plain(share * 100.0));
    let one = |key: &&str| match *key {
        "mass" => format!("mass {} kg", units::plain(usual.mass)),
        "shift_time" => format!("shift time {} s", units::plain(usual.shift_time)),
        "drag_area" => format!("drag area {}", percent(usual.drag_area)),
        "grip" => format!("grip {}", percent(usual.grip)),
        "rolling_radius" => format!("rolling radius {}", percent(usual.rolling_radius)),
        _ => format!("air density {}", percent(usual.air_density)),
    };
    keys.iter().map(one).collect::<Vec<_>>().join(", ")
}
