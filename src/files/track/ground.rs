//! What lies under and over a venue: surfaces, their states, the air; and a time done there.

use crate::air::Air;
use crate::files::car::USUAL_SURFACES;
use crate::files::yaml::{Item, Map};
use crate::units::{DENSITY, LENGTH, PRESSURE, TEMPERATURE, TIME};
use crate::venue::{Condition, Course, KnownTime, Surface};

/// Grip in a state over grip in the dry (common practice, no source).
const STATES: [(&str, f64); 3] = [("dry", 1.0), ("damp", 0.85), ("wet", 0.75)];

/// The surfaces of a track: first the one that goes without saying, then the ones it defines.
pub(super) fn surfaces(map: &Map) -> Vec<Surface> {
    let mut defined = Vec::new();
    for item in map
        .take("surfaces")
        .and_then(|item| item.entries())
        .unwrap_or_default()
    {
        defined.extend(definition(&item));
    }
    let main = match map.take("surface") {
        Some(item) => item.text(),
        None => {
            map.assumed("surface", "surface tarmac");
            None
        }
    };
    let main = main.unwrap_or_else(|| "tarmac".to_owned());
    let first = defined.iter().position(|s: &Surface| s.name == main);
    let first = match first {
        Some(own) => defined.remove(own),
        None => {
            let named = surface_of(&main);
            assume_state(map, &named);
            named
        }
    };
    std::iter::once(first).chain(defined).collect()
}

/// Lists the usual grip of a surface whose name says its state.
fn assume_state(map: &Map, surface: &Surface) {
    let Surface {
        name, factor, like, ..
    } = surface;
    if *factor < 1.0 && name != like {
        map.assumed(
            "surfaces",
            format!("{name} has {factor} of the grip of {like}"),
        );
    }
}

/// Lists the usual grip of surfaces that the road has beside the main one, and nobody defines.
pub(super) fn assume_named(map: &Map, course: &Course) {
    let defined = map.take("surfaces").and_then(|item| item.entries());
    let defined = defined.unwrap_or_default();
    for (index, surface) in course.surfaces.iter().enumerate().skip(1) {
        let used = course
            .sections
            .iter()
            .any(|section| section.surface == index);
        if used && defined.iter().all(|item| item.name() != surface.name) {
            assume_state(map, surface);
        }
    }
}

/// A surface known by its name alone: a state before it (`damp gravel`), a state alone (of tarmac),
/// or one that the car's trims name.
pub(super) fn surface_of(name: &str) -> Surface {
    if let Some(surface) = usual(name) {
        return surface;
    }
    let (first, rest) = name.split_once(' ').unwrap_or((name, "tarmac"));
    let first = first.to_lowercase();
    let state = STATES.iter().find(|(state, _)| *state == first);
    match state {
        Some((_, factor)) => Surface {
            name: name.to_owned(),
            like: rest.trim().to_owned(),
            factor: *factor,
            rolling: None,
            state: 1.0,
        },
        None => Surface::plain(name),
    }
}

/// A usual surface however it is written: `Wet Tarmac`, `tarmac, damp`, `Asphalt`. It keeps its name,
/// which the car may have a grip for.
fn usual(name: &str) -> Option<Surface> {
    let lower = name.to_lowercase();
    let mut words: Vec<&str> = lower
        .split(|c: char| !c.is_alphanumeric())
        .filter(|word| !word.is_empty())
        .collect();
    let state = |word: &&str| STATES.iter().position(|(state, _)| state == word);
    let found = words.iter().position(|word| state(word).is_some());
    let factor = found.map_or(1.0, |at| {
        let word = words.remove(at);
        usual_factor(word).unwrap_or(1.0)
    });
    let like = match (words.as_slice(), found) {
        ([], Some(_)) => "tarmac",
        // Two words for one road (common practice, no source).
        (["asphalt" | "bitumen"], _) => "tarmac",
        ([word], _) => USUAL_SURFACES.into_iter().find(|usual| usual == word)?,
        _ => return None,
    };
    Some(Surface {
        name: name.to_owned(),
        like: like.to_owned(),
        factor,
        rolling: None,
        state: 1.0,
    })
}

fn definition(item: &Item) -> Option<Surface> {
    let map = item.mapping(&["like", "factor", "rolling"])?;
    let like = map.require("like", "tarmac").and_then(|item| item.text());
    let factor = map
        .require("factor", "0.85")
        .and_then(|item| item.number(0.01..=3.0));
    let rolling = match map.take("rolling") {
        Some(item) => Some(item.number(0.0..=0.5)?),
        None => None,
    };
    Some(Surface {
        name: item.name().to_owned(),
        like: like?,
        factor: factor?,
        rolling,
        state: 1.0,
    })
}

/// The air over a venue, outright or from its elevation by ISO 2533; `height` is the mean height of
/// the venue's own source.
pub(super) fn air(map: &Map, height: Option<f64>, course: &mut Course) {
    let Some(item) = map.take("air") else {
        if let Some(height) = height {
            course.air = Air::isa(height);
            map.assumed(
                "air",
                format!("air of the standard atmosphere at {height:.0} m, dry"),
            );
            return;
        }
        map.assumed(
            "air",
            "air of the standard atmosphere at sea level, 15 °C, dry",
        );
        return;
    };
    let Some(air) = item.mapping(&[
        "elevation",
        "temperature",
        "humidity",
        "pressure",
        "density",
    ]) else {
        return;
    };
    if let Some(item) = air.take("density") {
        course.air_density = item.quantity(&DENSITY, 0.0..=2.0);
    }
    let elevation = air
        .take("elevation")
        .and_then(|item| item.quantity_or_bare(&LENGTH, "m", -450.0..=6000.0))
        .or(height);
    let standard = Air::isa(elevation.unwrap_or(0.0));
    let pressure = match air.take("pressure") {
        Some(item) => item.quantity(&PRESSURE, 50_000.0..=110_000.0),
        None => {
            if elevation.is_none() && course.air_density.is_none() {
                air.assumed(
                    "air",
                    "air pressure of the standard atmosphere at sea level",
                );
            }
            None
        }
    };
    let temperature = match air.take("temperature") {
        Some(item) => item.quantity(&TEMPERATURE, 223.15..=333.15),
        None => {
            if course.air_density.is_none() {
                air.assumed(
                    "air",
                    "air temperature of the standard atmosphere at that elevation",
                );
            }
            None
        }
    };
    let humidity = air.take("humidity").and_then(|item| item.share(0.0..=1.0));
    course.air = Air {
        pressure: pressure.unwrap_or(standard.pressure),
        temperature: temperature.unwrap_or(standard.temperature),
        humidity: humidity.unwrap_or(standard.humidity),
    };
}

/// A time done here. Its conditions are some of the venue's, or a state that is known by its name.
pub(super) fn known(item: &Item, conditions: &[Condition]) -> Option<KnownTime> {
    let map = item.mapping(&["time", "spec", "conditions"])?;
    let time = map
        .require("time", "\"4:41.0\"")
        .and_then(|item| item.quantity_or_bare(&TIME, "s", 1.0..=36_000.0));
    let spec = map.take("spec").and_then(|item| item.text());
    let (condition, grip) = match map.take("conditions") {
        Some(item) => {
            let name = item.text()?;
            let own = conditions.iter().find(|c| c.name == name).map(|c| c.factor);
            let usual = usual_factor(&name);
            if let (None, Some(factor)) = (own, usual)
                && factor < 1.0
            {
                item.assumed(
                    "conditions",
                    format!("{name} has {factor} of the grip in the dry"),
                );
            }
            let Some(grip) = own.or(usual) else {
                item.error(
                    format!("how much grip there is in `{name}` is not known"),
                    "write dry, damp or wet, or one of this venue's own `conditions`",
                );
                return None;
            };
            (Some(name), grip)
        }
        None => (None, 1.0),
    };
    Some(KnownTime {
        time: time?,
        spec,
        condition,
        grip,
        corner_share: None,
        speeds: None,
        grip_for_speeds: None,
    })
}

/// The state that a name says, less than dry, and its usual grip over grip in the dry.
pub(super) fn usual_state(name: &str) -> Option<(&'static str, f64)> {
    said(name).filter(|(_, factor)| *factor < 1.0)
}

/// Usual grip in the state that a name says, over grip in the dry.
pub(super) fn factor_of(name: &str) -> Option<f64> {
    said(name).map(|(_, factor)| factor)
}

fn said(name: &str) -> Option<(&'static str, f64)> {
    let lower = name.to_lowercase();
    let mut words = lower.split(|c: char| !c.is_alphanumeric());
    words.find_map(|word| STATES.iter().find(|(state, _)| *state == word).copied())
}

/// Usual grip of a state over grip in the dry.
fn usual_factor(state: &str) -> Option<f64> {
    let found = STATES.iter().find(|(known, _)| *known == state);
    found.map(|(_, factor)| *factor)
}

/// States of a venue with their chances, as in `{dry: 60 %, wet: 40 %}`; a state of another name
/// says its grip, as in `{frost: {chance: 20 %, factor: 0.5}}`. The chances sum to one.
pub fn conditions(item: &Item) -> Option<Vec<Condition>> {
    let entries = item.entries()?;
    let mut list = Vec::with_capacity(entries.len());
    for entry in &entries {
        list.push(condition(entry)?);
    }
    let sum: f64 = list.iter().map(|c: &Condition| c.chance).sum();
    if (sum - 1.0).abs() > 1e-3 {
        item.error(
            format!("the chances of the conditions sum to {:.0} %", 100.0 * sum),
            "make them sum to 100 %, as in `{dry: 60 %, wet: 40 %}`",
        );
        return None;
    }
    Some(list)
}

fn condition(item: &Item) -> Option<Condition> {
    let usual = usual_factor(item.name());
    let (chance, written) = if item.is_mapping() {
        let map = item.mapping(&["chance", "factor"])?;
        let chance = map
            .require("chance", "40 %")
            .and_then(|item| item.share(0.0..=1.0))?;
        let factor = match map.take("factor") {
            Some(item) => Some(item.number(0.01..=3.0)?),
            None => None,
        };
        (chance, factor)
    } else {
        (item.share(0.0..=1.0)?, None)
    };
    let Some(factor) = written.or(usual) else {
        item.error(
            format!("how much grip there is in `{}` is not known", item.name()),
            "write it, as in `{frost: {chance: 20 %, factor: 0.5}}`; dry, damp and wet are known",
        );
        return None;
    };
    let assumed = written.is_none() && factor < 1.0;
    if assumed {
        item.assumed(
            "conditions",
            format!("{} has {factor} of the grip in the dry", item.name()),
        );
    }
    Some(Condition {
        name: item.name().to_owned(),
        factor,
        chance,
        assumed,
    })
}
