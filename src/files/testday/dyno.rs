//! The dyno, the engine and what is taken for its repeatability.

use super::fittings::FoundSpec;
use crate::dyno::{
    Breathing, Dyno, Engine, Ignition, MeasuredAt, Method, Repeatability, Smoothing,
};
use crate::files::finding::quoted;
use crate::files::pulls::Settings;
use crate::files::yaml::{Item, Map};
use crate::units::{self, INERTIA, POWER, SPEED, SWEEP_RATE};

const KEYS: &[&str] = &[
    "name",
    "measures",
    "method",
    "rate",
    "inertia_compensated",
    "engine_inertia",
    "brake",
    "speed_per_1000_rpm",
    "restrapped",
];

const MEASURES: &[(&str, MeasuredAt)] = &[
    ("flywheel", MeasuredAt::Flywheel),
    ("flywheel estimated", MeasuredAt::FlywheelEstimated),
    ("hubs", MeasuredAt::Hubs),
    ("wheels", MeasuredAt::Wheels),
];

/// Road speeds that 1,000 rpm can be, m/s.
pub const SPEEDS: std::ops::RangeInclusive<f64> = 0.1..=100.0;

/// The dyno with what its files need.
pub struct Bench<'a> {
    pub dyno: Dyno,
    pub settings: Settings,
    /// Whether the car was strapped down anew for each fitting.
    pub restrapped: bool,
    /// Whether the dyno makes the engine's inertia good, and where that is said.
    pub compensated: Option<(bool, Item<'a>)>,
}

/// The dyno as the file says, the rest assumed.
pub fn bench<'a>(day: &Map<'a>) -> Bench<'a> {
    let map = day.take("dyno").and_then(|item| item.mapping(KEYS));
    let take = |key: &str| map.as_ref().and_then(|map| map.take(key));
    let measured_at = take("measures").and_then(|item| item.one_of(MEASURES));
    if take("measures").is_none() {
        day.assumed("measures", "torque measured at the flywheel");
    }
    let method = take("method")
        .and_then(|item| item.one_of(&[("sweep", Method::Sweep), ("steps", Method::Steps)]));
    let rate = take("rate").and_then(|item| sweep_rate(&item));
    let smoothing = day.take("smoothing").and_then(|item| match item.word() {
        Some("none" | "off") => Some(Smoothing::Off),
        _ => item.rpm(20.0..=2000.0).map(Smoothing::Within),
    });
    if let (Some(Method::Steps), Some(item)) = (method, take("engine_inertia")) {
        let text = "engine_inertia is not used: held at a speed, an engine spins nothing up";
        item.warning(text, "take it out, or say `method: sweep`");
    }
    let per_1000 = take("speed_per_1000_rpm").and_then(|item| item.quantity(&SPEED, SPEEDS));
    let compensated = take("inertia_compensated");
    let compensated = compensated.and_then(|item| Some((item.yes_no()?, item)));
    Bench {
        dyno: Dyno {
            measured_at: measured_at.unwrap_or(MeasuredAt::Flywheel),
            method: method.unwrap_or(Method::Sweep),
            sweep_rate: rate,
            engine_inertia: inertia(
                compensated.is_some_and(|said| said.0),
                take("engine_inertia"),
            ),
        },
        settings: Settings {
            brake: take("brake").and_then(|item| brake(&item)),
            speed_per_1000_rpm: per_1000,
            zero: 0.0,
            method: method.unwrap_or(Method::Sweep),
            smoothing: smoothing.unwrap_or(Smoothing::WhereNoisy),
            measured_at: measured_at.unwrap_or(MeasuredAt::Flywheel),
            corrected: None,
            counts: None,
        },
        restrapped: take("restrapped").and_then(|item| item.yes_no()) == Some(true),
        compensated,
    }
}

/// How fast the engine gained speed, rpm/s.
pub fn sweep_rate(item: &Item) -> Option<f64> {
    item.quantity(&SWEEP_RATE, 1.0..=5000.0)
}

/// `{constant: 4500, power: bhp}`: power is reading times rpm over the constant.
fn brake(item: &Item) -> Option<(f64, &'static units::Unit)> {
    let map = item.mapping(&["constant", "power"])?;
    let constant = map.require("constant", "4500")?.number(1e-3..=1e9);
    let power = map.require("power", "bhp")?;
    let unit = POWER.unit(power.word().unwrap_or_default());
    if unit.is_none() {
        let text = "power: the unit that reading times rpm over the constant comes out in";
        power.error(text, "write bhp, PS or kW");
    }
    Some((constant?, unit?))
}

fn inertia(compensated: bool, inertia: Option<Item>) -> Option<f64> {
    let value = inertia.and_then(|item| item.quantity(&INERTIA, 1e-3..=50.0));
    if let Some(inertia) = inertia.filter(|_| compensated) {
        inertia.error(
            "engine_inertia and `inertia_compensated: yes` would add it twice",
            "keep one of the two",
        );
    }
    value
}

/// What the engine is, as far as correction asks.
pub fn engine(day: &Map) -> Engine {
    let keys = &["breathing", "ignition", "fuel_per_cycle", "boost_ratio"];
    let Some(map) = day.take("engine").and_then(|item| item.mapping(keys)) else {
        return Engine::default();
    };
    let breathing = map.take("breathing").and_then(|item| {
        item.one_of(&[
            ("natural", Breathing::Natural),
            ("supercharged", Breathing::Supercharged),
            ("turbocharged", Breathing::Turbocharged),
        ])
    });
    let compression = map
        .take("ignition")
        .and_then(|item| item.one_of(&[("spark", false), ("compression", true)]));
    let number = |key: &str, range| map.take(key).and_then(|item| item.number(range));
    let fuel = number("fuel_per_cycle", 1.0..=200.0);
    let boost_ratio = number("boost_ratio", 1.0..=6.0);
    Engine {
        breathing: breathing.unwrap_or(Breathing::Natural),
        ignition: match compression {
            Some(true) => Ignition::Compression {
                fuel,
                boost_ratio: boost_ratio.unwrap_or(1.0),
            },
            _ => Ignition::Spark,
        },
    }
}

/// What is taken for the scatter of pulls and fittings before the pulls themselves have their say.
pub fn repeatability(day: &Map, bench: &Bench, specs: &[FoundSpec]) -> Repeatability {
    let mut taken = Repeatability::common(bench.dyno.measured_at, bench.restrapped);
    let keys = &[
        "pull",
        "fitting",
        "drift",
        "day",
        "first_pull",
        "within",
        "over",
    ];
    let item = day.take("repeatability");
    if let Some(item) = item
        && item.word().is_some()
    {
        taken.pull = in_words(&item, specs).unwrap_or(taken.pull);
        return taken;
    }
    let Some(map) = item.and_then(|item| item.mapping(keys)) else {
        let text = format!(
            "pulls scatter by {:.1} %, fittings by {:.1} % (sd), beside what the pulls show",
            100.0 * taken.pull,
            100.0 * taken.fitting
        );
        day.assumed("repeatability", text);
        return taken;
    };
    let share = |key: &str| map.take(key).and_then(|item| item.share(1e-5..=0.2));
    taken.pull = share("pull")
        .or_else(|| range(&map, specs))
        .unwrap_or(taken.pull);
    taken.fitting = share("fitting").unwrap_or(taken.fitting);
    taken.drift = share("drift").unwrap_or(taken.drift);
    taken.day = share("day").unwrap_or(taken.day);
    taken.first_pull = share("first_pull").unwrap_or(taken.first_pull);
    taken
}

/// `within 2 bhp over 3`: the same in words.
fn in_words(item: &Item, specs: &[FoundSpec]) -> Option<f64> {
    let text = item.text()?;
    let words = text
        .strip_prefix("within ")
        .and_then(|rest| rest.split_once(" over "));
    let read = words.and_then(|(range, over)| {
        let over: usize = over.trim().parse().ok().filter(|n| (2..=12).contains(n))?;
        let share = match units::read(range, &POWER, None) {
            Ok(reading) => relative(reading.si, specs)?,
            Err(_) => units::read_share(range).ok()?,
        };
        Some((share, over)).filter(|(share, _)| (1e-5..=0.2).contains(share))
    });
    if read.is_none() {
        item.error(
            format!("repeatability: {} is not known here", quoted(&text)),
            "write `within 2 bhp over 3` (pulls), or `{pull: 0.3 %, fitting: 0.5 %}`",
        );
    }
    read.map(|(share, over)| Repeatability::sd_of_range(share, over))
}

/// A power over the highest of the day's first pull.
fn relative(watts: f64, specs: &[FoundSpec]) -> Option<f64> {
    let pull = &specs.iter().flat_map(FoundSpec::pulls).next()?.pull;
    let powers = pull.rpm.iter().zip(&pull.torque);
    let peak = powers.map(|(n, t)| n * t / units::RPM_PER_RAD_PER_S);
    Some(watts / peak.fold(f64::MIN_POSITIVE, f64::max))
}

/// `within: 2 bhp, over: 3`: a range of so many pulls, as a relative sd.
fn range(map: &Map, specs: &[FoundSpec]) -> Option<f64> {
    let over = map.take("over").and_then(|item| item.integer(2..=12));
    let within = map.take("within")?;
    if !map.has("over") {
        within.error("within how many pulls?", "add `over: 3`");
    }
    let share = if within.word().is_some_and(|word| word.contains('%')) {
        within.share(1e-5..=0.2)?
    } else {
        relative(within.quantity(&POWER, 1.0..=1e5)?, specs)?
    };
    Some(Repeatability::sd_of_range(share, over? as usize))
}
