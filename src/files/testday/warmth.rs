//! Air and oil that are warmer in some pulls than in others, or than the weather.
//!
//! Nothing here is corrected: each warning is a question.

use super::fittings::{FoundPull, FoundSpec};
use crate::dyno::{Breathing, Engine, Repeatability, Standard};
use crate::units::ZERO_CELSIUS;

/// Power of the air's temperature that torque goes with: DIN 70020 and SAE J607; 0.6 in ISO 1585, and about that in SAE
/// J1349.
const OF_TEMPERATURE: f64 = 0.5;
/// Standard deviations of a pull on a fitting beyond which air shows in torque.
const SHOWS: f64 = 2.0;
/// How far two thermometers in one air may differ, K (common practice, no source).
const THERMOMETERS: f64 = 5.0;
/// How much colder than that of most pulls oil is in a cold one, K (common practice, no source).
const COLD: f64 = 15.0;
/// Where air is measured, the nearest to the engine first, and in words.
const AIRS: [(&str, &str); 2] = [
    ("intake temperature", "at the intake"),
    ("cell temperature", "in the cell"),
];

/// Asks about air that is not that of the weather, or not that of another spec, and about pulls on cold oil.
pub fn check(engine: &Engine, taken: &Repeatability, specs: &[FoundSpec]) {
    let shows = SHOWS * taken.pull.hypot(taken.fitting);
    if engine.breathing == Breathing::Natural {
        for of in &AIRS {
            if between(of, shows, specs) || beside(of, shows, specs) {
                break;
            }
        }
    }
    cold(specs);
}

/// A pull that counts, with the temperature of its air, K, in the file and in the weather.
struct Aired<'p, 'a> {
    found: &'p FoundPull<'a>,
    logged: f64,
    weather: Option<f64>,
}

impl Aired<'_, '_> {
    /// What is logged over the weather; what is logged where no weather is known.
    fn over(&self) -> f64 {
        self.logged - self.weather.unwrap_or(0.0)
    }
}

/// The pulls of a spec that count, have that channel and none nearer to the engine, and are not corrected by the dyno.
fn aired<'p, 'a>(channel: &str, spec: &'p FoundSpec<'a>) -> Vec<Aired<'p, 'a>> {
    let counting = spec.counting().filter(|found| {
        matches!(
            found.pull.corrected,
            Standard::Uncorrected | Standard::Unknown
        )
    });
    let nearest = |found: &FoundPull| {
        let logged = AIRS
            .iter()
            .find_map(|(name, _)| Some((*name, *found.pull.channels.get(*name)?)));
        logged.filter(|(name, _)| *name == channel)
    };
    let aired = counting.filter_map(|found| {
        Some(Aired {
            found,
            logged: nearest(found)?.1,
            weather: found.pull.air.map(|air| air.temperature),
        })
    });
    aired.collect()
}

/// How far temperatures must lie apart to show in torque, K.
fn limit(shows: f64, kelvin: f64) -> f64 {
    THERMOMETERS.max(shows * kelvin / OF_TEMPERATURE)
}

fn mean(of: impl Iterator<Item = f64>) -> f64 {
    let (sum, count) = of.fold((0.0, 0.0), |(sum, count), value| (sum + value, count + 1.0));
    sum / count
}

fn celsius(kelvin: f64) -> String {
    format!("{:.0} °C", kelvin - ZERO_CELSIUS)
}

/// Share of torque that is between two temperatures, %.
fn percent(one: f64, other: f64) -> f64 {
    100.0 * OF_TEMPERATURE * (one / other).ln().abs()
}

/// What the file of a pull says in the test day with a temperature of its own.
fn example(one: &Aired) -> String {
    format!(
        "`{{file: {}, temperature: {:.0} C}}`",
        one.found.file(),
        one.logged - ZERO_CELSIUS
    )
}

/// Asks about the two specs whose air differs most, where the weather does not have that; whether it does.
fn between((channel, place): &(&str, &str), shows: f64, specs: &[FoundSpec]) -> bool {
    let all: Vec<(&FoundSpec, Vec<Aired>)> = specs
        .iter()
        .map(|spec| (spec, aired(channel, spec)))
        .filter(|(_, pulls)| !pulls.is_empty())
        .collect();
    let known = |known: bool| {
        let mut pulls = all.iter().flat_map(|(_, pulls)| pulls);
        pulls.all(|one| one.weather.is_some() == known)
    };
    if !(known(true) || known(false)) {
        return false;
    }
    let over = |pulls: &[Aired]| mean(pulls.iter().map(Aired::over));
    let logged = |pulls: &[Aired]| mean(pulls.iter().map(|one| one.logged));
    let cool = all.iter().min_by(|a, b| over(&a.1).total_cmp(&over(&b.1)));
    let warm = all.iter().max_by(|a, b| over(&a.1).total_cmp(&over(&b.1)));
    let (Some((cool, cools)), Some((warm, warms))) = (cool, warm) else {
        return false;
    };
    let apart = over(warms) - over(cools);
    if apart <= limit(shows, logged(cools)) {
        return false;
    }
    let weather = match (warms[0].weather, cools[0].weather) {
        (Some(one), Some(other)) if one == other => {
            format!(", and {} in the weather of both", celsius(one))
        }
        (Some(one), Some(other)) => {
            format!(
                ", and {} and {} in the weather",
                celsius(one),
                celsius(other)
            )
        }
        _ => String::new(),
    };
    let text = format!(
        "{}: {} {place} in the mean, {} with {}{weather}: if that is the air the engine breathed it makes {:.1} % of torque \
         between them",
        warm.name,
        celsius(logged(warms)),
        celsius(logged(cools)),
        cool.name,
        percent(logged(cools) + apart, logged(cools))
    );
    let last = &warms[warms.len() - 1];
    let remedy = match last.weather {
        Some(_) => format!(
            "if so give each pull of the day its own, as in {}: figures are corrected by it; if the probe is heated where \
             it sits and the filter draws the weather's air, nothing is to be done",
            example(last)
        ),
        None => format!(
            "as read? add `weather`, and to each pull the temperature it was pulled at, as in {}; corrected by that \
             already? say to what, as in `corrected: DIN 70020`",
            example(last)
        ),
    };
    warms[0].found.item.ask(text, remedy);
    true
}

/// Asks about the first pull whose air is not that of its weather; whether there is one.
fn beside((channel, place): &(&str, &str), shows: f64, specs: &[FoundSpec]) -> bool {
    let pulls = specs.iter().flat_map(|spec| aired(channel, spec));
    let off = pulls.filter_map(|one| {
        let weather = one.weather?;
        ((one.logged - weather).abs() > limit(shows, weather)).then_some((one, weather))
    });
    let off: Vec<(Aired, f64)> = off.collect();
    let Some((first, weather)) = off.first() else {
        return false;
    };
    let text = format!(
        "{}{}: {} {place}, {} in the weather, {:.1} % of torque: which of them is the air the engine breathed?",
        first.found.pull.name,
        others(off.len()),
        celsius(first.logged),
        celsius(*weather),
        percent(first.logged, *weather)
    );
    let remedy = format!(
        "that at its filter, not that in the hot manifold: where the file has it give each pull its own, as in {}; where \
         the weather has it nothing is to be done",
        example(first)
    );
    first.found.item.ask(text, remedy);
    true
}

/// How many pulls there are beside the one named.
fn others(count: usize) -> String {
    match count - 1 {
        0 => String::new(),
        more => format!(" (and {more} more)"),
    }
}

/// Asks about pulls on colder oil than most: but for first pulls on a fitting with others, whose coldness is estimated.
fn cold(specs: &[FoundSpec]) {
    let oil = |found: &FoundPull| found.pull.channels.get("oil temperature").copied();
    let counting = || specs.iter().flat_map(FoundSpec::counting);
    let mut all: Vec<f64> = counting().filter_map(oil).collect();
    all.sort_by(f64::total_cmp);
    let Some(&usual) = all.get(all.len() / 2) else {
        return;
    };
    let fittings = specs.iter().flat_map(|spec| &spec.fittings);
    let asked = fittings.flat_map(|fitting| {
        let pulls: Vec<&FoundPull> = fitting
            .pulls
            .iter()
            .filter(|found| found.pull.counts())
            .collect();
        let from = usize::from(pulls.len() > 1);
        pulls.into_iter().skip(from)
    });
    let is_cold = |found: &&FoundPull| oil(found).is_some_and(|own| usual - own > COLD);
    let colds: Vec<&FoundPull> = asked.filter(is_cold).collect();
    let Some((first, own)) = colds.first().and_then(|first| Some((first, oil(first)?))) else {
        return;
    };
    let text = format!(
        "{}{}: oil at {}, {} in most pulls of the day: a cold pull? cold oil costs some per cent",
        first.pull.name,
        others(colds.len()),
        celsius(own),
        celsius(usual)
    );
    let remedy = "pull again with the oil as warm, or set it aside, `set_aside: cold`: nothing here corrects for oil";
    first.ask(text, remedy);
}
