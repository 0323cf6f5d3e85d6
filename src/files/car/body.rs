//! What the car is besides gears and tyres: layout, air, axle, inertia, launch, engine.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use crate::car::{Differential, Drive, EngineSize, Rolling, Rotating};
use crate::files::yaml::{Item, Map};
use crate::units::{self, AREA, INERTIA, LENGTH};

/// Drag areas by body, m² (common practice).
const BODIES: [(&str, f64); 4] = [
    ("hatch", 0.62),
    ("coupe", 0.66),
    ("saloon", 0.70),
    ("open", 0.75),
];

/// Engine inertia with a flywheel of this kind, kg·m²: the middle of 0.08 to 0.12 and of 0.15 to
/// 0.20 (common practice).
const FLYWHEELS: [(&str, f64); 2] = [("light", 0.10), ("standard", 0.175)];

/// Inertia of four wheels over the square of their rolling radius, kg: four wheels of 17 kg whose
/// radius of gyration is 0.86 of it (common practice).
const WHEELS_PER_RADIUS_SQUARED: f64 = 50.0;

/// Drag areas, m², and inertias of engine and wheels, kg·m², beyond which a slip is likelier (common practice,
/// no source): a slim single-seater has 0.4 and a tall van 1.5, a racing engine with next to no flywheel 0.03
/// and a large one with a heavy flywheel 0.5, four small light wheels 1 and four large heavy ones 12.
const USUAL_AREA: RangeInclusive<f64> = 0.3..=2.0;
const USUAL_ENGINE: RangeInclusive<f64> = 0.02..=0.8;
const USUAL_WHEELS: RangeInclusive<f64> = 0.5..=20.0;

/// Launch rpm on tarmac and on gravel: the middles of 4,500 to 5,500 and 3,500 to 4,000 (common
/// practice).
const LAUNCH: (f64, f64) = (5000.0, 3750.0);

/// Static share of the front axle: written, or by layout (common practice).
pub fn front_share(map: &Map, drive: Drive) -> f64 {
    let usual = match drive {
        Drive::Front => 0.62,
        Drive::Rear => 0.53,
        Drive::All => 0.57,
    };
    map.share_or(
        "weight_front",
        "weight on the front axle:",
        0.05..=0.95,
        usual,
    )
}

/// Drag area, m²: given, or by body.
pub fn drag_area(map: &Map) -> f64 {
    let body = map.take("body").and_then(|item| item.one_of(&BODIES));
    match map.take("drag_area") {
        Some(item) => {
            if is_coefficient(&item) {
                return BODIES[1].1;
            }
            let area = item.quantity(&AREA, 0.0..=20.0);
            let asked = area.filter(|area| *area > 0.0);
            ask_unusual(&item, asked, USUAL_AREA, "m2");
            area.unwrap_or(BODIES[1].1)
        }
        None => {
            let area = body.unwrap_or(BODIES[1].1);
            map.assumed("drag_area", format!("drag area {} m2", units::plain(area)));
            area
        }
    }
}

/// A number alone that is a drag coefficient; the fault is told.
fn is_coefficient(item: &Item) -> bool {
    const COEFFICIENTS: RangeInclusive<f64> = 0.2..=0.5;
    let word = item.word().unwrap_or_default();
    let Some(number) = word
        .parse::<f64>()
        .ok()
        .filter(|n| COEFFICIENTS.contains(n))
    else {
        return false;
    };
    item.error(
        format!("drag_area: {word} looks like the drag coefficient"),
        format!(
            "the drag area is that times the frontal area: with 1.9 m2 write `{:.2} m2`",
            1.9 * number
        ),
    );
    true
}

/// Asks about the drag area of a car of so many kg that is no more than a coefficient: a body for two has more (common
/// practice, no source).
pub fn ask_coefficient(map: &Map, mass: f64) {
    const HEAVY: f64 = 700.0;
    const LEAST: f64 = 0.42;
    let Some(item) = map.take("drag_area").filter(|_| mass > HEAVY) else {
        return;
    };
    let word = item.word().unwrap_or_default();
    let area = units::read(word, &AREA, None).map(|reading| reading.si);
    if let Some(area) = area
        .ok()
        .filter(|area| (USUAL_AREA.start()..&LEAST).contains(&area))
    {
        let text = format!(
            "drag_area: {word} is little for a car of {mass:.0} kg: is it the drag coefficient?"
        );
        let remedy = format!(
            "the drag area is that times the frontal area: with 1.9 m2 `{:.2} m2`",
            1.9 * area
        );
        item.warning(text, remedy);
    }
}

/// Lift area, m², pressing down; none where the file says none.
pub fn lift_area(map: &Map) -> f64 {
    match map.take("lift_area") {
        Some(item) => item.quantity(&AREA, -5.0..=20.0).unwrap_or(0.0),
        None => {
            map.assumed("lift_area", "neither lift nor downforce");
            0.0
        }
    }
}

/// Rolling resistance: f0 alone, `[f0, f1, f2]` with v in m/s, or left to the surface.
pub fn rolling(map: &Map) -> Rolling {
    let unsaid = Rolling {
        f0: None,
        f1: 0.0,
        f2: 0.0,
    };
    let Some(item) = map.take("rolling") else {
        let text = format!(
            "rolling resistance {} on paved, {} on loose roads",
            Rolling::PAVED,
            Rolling::LOOSE
        );
        map.assumed("rolling", text);
        return unsaid;
    };
    let items = item.one_or_more();
    if items.is_empty() || items.len() > 3 {
        item.error(
            "rolling: one to three coefficients belong here",
            "write `0.014`, or `[f0, f1, f2]`",
        );
        return unsaid;
    }
    let ranges = [0.0..=0.5, -0.05..=0.05, -0.005..=0.005];
    let read: Vec<Option<f64>> = items
        .iter()
        .zip(ranges)
        .map(|(item, range)| item.number(range))
        .collect();
    let nth = |k: usize| read.get(k).copied().flatten();
    Rolling {
        f0: nth(0),
        f1: nth(1).unwrap_or(0.0),
        f2: nth(2).unwrap_or(0.0),
    }
}

/// The differential: a word, or `{bias: 2.5}`.
pub fn differential(map: &Map) -> Differential {
    let open = Differential::Bias(1.0);
    let Some(item) = map.take("differential") else {
        map.assumed("differential", "differential: open");
        return open;
    };
    differential_of(&item).unwrap_or(open)
}

/// A differential as written: a word, or `{bias: 2.5}`.
pub fn differential_of(item: &Item) -> Option<Differential> {
    if item.is_mapping() {
        let bias = item
            .mapping(&["bias"])
            .and_then(|map| map.require("bias", "2.5"))
            .and_then(|item| item.number(1.0..=5.0));
        return bias.map(Differential::Bias);
    }
    // Biases of the words: plate the middle of 2 to 3.5, torque biasing 2.5 (common practice).
    let words = [
        ("open", Differential::Bias(1.0)),
        ("plate", Differential::Bias(2.75)),
        ("torque biasing", Differential::Bias(2.5)),
        ("spool", Differential::Spool),
    ];
    let chosen = item.one_of(&words)?;
    if let Differential::Bias(bias) = chosen
        && bias > 1.0
    {
        item.assumed("differential", format!("differential: bias {bias}"));
    }
    Some(chosen)
}

/// What spins up with the car; `radius` is the rolling radius of its first trim, m.
pub fn rotating(map: &Map, radius: Option<f64>) -> Option<Rotating> {
    let flywheel = map
        .take("flywheel")
        .and_then(|item| item.one_of(&FLYWHEELS));
    let Some(item) = map.take("inertia") else {
        let Some(engine) = flywheel else {
            if !map.has("flywheel") {
                map.assumed("inertia", "inertia as in ordinary cars");
            }
            return Some(Rotating::Typical);
        };
        let text = format!("engine inertia {} kg m2", units::plain(engine));
        map.assumed("inertia", text);
        let wheels = usual_wheels(map, radius);
        return Some(Rotating::Inertias {
            engine,
            wheels,
            gearbox: vec![0.0],
            shaft: 0.0,
        });
    };
    if item.word() == Some("none") {
        return Some(Rotating::None);
    }
    if !item.is_mapping() {
        item.error(
            "inertia: the inertias by name belong here",
            "write `{engine: 0.12 kg m2, wheels: 3.6 kg m2}`, or `none`",
        );
        return None;
    }
    inertias(&item, flywheel, radius)
}

fn inertias(item: &Item, flywheel: Option<f64>, radius: Option<f64>) -> Option<Rotating> {
    let map = item.mapping(&["engine", "wheels", "gearbox", "shaft"])?;
    let of = |item: Item| item.quantity_or_bare(&INERTIA, "kg m2", 0.0..=100.0);
    let usual = |item: Item, range| {
        let inertia = of(item);
        ask_unusual(&item, inertia.filter(|i| *i > 0.0), range, "kg m2");
        inertia
    };
    let engine = match map.take("engine") {
        Some(item) => usual(item, USUAL_ENGINE),
        None => {
            let engine = flywheel.unwrap_or(FLYWHEELS[1].1);
            map.assumed(
                "inertia",
                format!("engine inertia {} kg m2", units::plain(engine)),
            );
            Some(engine)
        }
    };
    let wheels = match map.take("wheels") {
        Some(item) => usual(item, USUAL_WHEELS),
        None => Some(usual_wheels(&map, radius)),
    };
    let gearbox: Option<Vec<f64>> = match map.take("gearbox") {
        Some(item) => item.one_or_more().into_iter().map(of).collect(),
        None => Some(vec![0.0]),
    };
    let shaft = map.take("shaft").map_or(Some(0.0), of);
    Some(Rotating::Inertias {
        engine: engine?,
        wheels: wheels?,
        gearbox: gearbox?,
        shaft: shaft?,
    })
}

/// Asks about a figure outside what is usual, which has slipped by a decimal or is in another unit.
fn ask_unusual(item: &Item, value: Option<f64>, usual: RangeInclusive<f64>, unit: &str) {
    let Some(value) = value.filter(|value| !usual.contains(value)) else {
        return;
    };
    let (low, high) = (units::plain(*usual.start()), units::plain(*usual.end()));
    let text = format!(
        "{}: {} {unit} is unusual: cars have {low} to {high}",
        item.name(),
        units::plain(value)
    );
    item.warning(
        text,
        "look at the decimal point and the unit; if it is right, nothing is to be done",
    );
}

fn usual_wheels(map: &Map, radius: Option<f64>) -> f64 {
    let radius = radius.unwrap_or(0.28);
    let wheels = WHEELS_PER_RADIUS_SQUARED * radius * radius;
    map.assumed(
        "inertia",
        format!("wheels together {} kg m2", units::plain(wheels)),
    );
    wheels
}

/// Launch rpm per surface, and where the surface has none of its own.
pub fn launch(map: &Map, limit: f64) -> (BTreeMap<String, f64>, f64) {
    let Some(item) = map.take("launch") else {
        let [tarmac, gravel] = [LAUNCH.0, LAUNCH.1].map(|rpm| rpm.min(0.8 * limit));
        map.assumed(
            "launch",
            format!("launch at {tarmac:.0} rpm, on gravel at {gravel:.0}"),
        );
        return (BTreeMap::from([("gravel".to_owned(), gravel)]), tarmac);
    };
    let rpm = |item: &Item| {
        let rpm = item.rpm(1.0..=30_000.0)?;
        if rpm > limit {
            let text = format!("launch: {rpm:.0} rpm is above the rev limit of {limit:.0} rpm");
            item.error(text, "launch below the limit");
            return None;
        }
        Some(rpm)
    };
    if !item.is_mapping() {
        return (BTreeMap::new(), rpm(&item).unwrap_or(LAUNCH.0));
    }
    let entries = item.entries().unwrap_or_default();
    let by_surface: BTreeMap<String, f64> = entries
        .iter()
        .filter_map(|entry| Some((entry.name().to_owned(), rpm(entry)?)))
        .collect();
    let highest = by_surface.values().copied().max_by(f64::total_cmp);
    let elsewhere = by_surface.get("tarmac").copied().or(highest);
    (by_surface, elsewhere.unwrap_or(LAUNCH.0))
}

/// Bore, stroke and cylinders, where they are written.
pub fn engine_size(map: &Map) -> Option<EngineSize> {
    let map = map
        .take("engine")?
        .mapping(&["bore", "stroke", "cylinders"])?;
    let length = |item: Item| item.quantity(&LENGTH, 0.02..=0.3);
    let bore = map.require("bore", "86 mm").and_then(length);
    let stroke = map.require("stroke", "86 mm").and_then(length);
    let cylinders = map
        .require("cylinders", "4")
        .and_then(|item| item.integer(1..=16));
    Some(EngineSize {
        bore: bore?,
        stroke: stroke?,
        cylinders: cylinders? as u32,
    })
}
