//! Weather that hardly belongs to one day.

use super::fittings::{FoundPull, FoundSpec};
use crate::air::Air;
use crate::dyno::{Engine, Standard};
use crate::units::ZERO_CELSIUS;

/// How far pressures, Pa, and temperatures, K, of one day's pulls may lie apart unasked (common practice, no
/// source): a deep low brings some 25 hPa a day.
const PRESSURES_APART: f64 = 2_500.0;
const TEMPERATURES_APART: f64 = 25.0;

/// Times as far as pulls that are said to be of other days may lie apart (common practice, no source).
const OF_DAYS: f64 = 1.8;

/// A pull with its air.
struct Pulled<'p, 'a> {
    name: String,
    found: &'p FoundPull<'a>,
    air: Air,
    day: Option<&'p String>,
}

impl Pulled<'_, '_> {
    /// Times as far as on one day that it may lie off another.
    fn may_lie_off(&self, other: &Self) -> f64 {
        if self.day == other.day { 1.0 } else { OF_DAYS }
    }
}

/// Asks about the pull whose air is farthest from that of the others, where that moves its torque, or moved it
/// when the dyno corrected it.
pub fn check(engine: &Engine, to: Standard, specs: &[FoundSpec]) {
    if to == Standard::Uncorrected || engine.not_corrected(to).is_some() {
        return;
    }
    let told = [false, true].map(|applied| of(to, applied, specs));
    if !told.contains(&true) {
        elsewhere(to, specs);
    }
}

/// Asks about pressures that no weather brings at one dyno, of pulls of which the dyno corrected some and not others.
fn elsewhere(to: Standard, specs: &[FoundSpec]) {
    let pulls = pulled(specs);
    let applied = pulls.iter().filter(|one| one.found.pull.corrected == to);
    let by = |a: &&Pulled, b: &&Pulled| a.air.pressure.total_cmp(&b.air.pressure);
    let (Some(low), Some(high)) = (pulls.iter().min_by(by), pulls.iter().max_by(by)) else {
        return;
    };
    let mixed = (1..pulls.len()).contains(&applied.count());
    if mixed && high.air.pressure - low.air.pressure > low.may_lie_off(high) * PRESSURES_APART {
        let text = format!(
            "{}: {:.0} hPa, and {:.0} hPa for {}: one dyno's barometer hardly shows both",
            high.name,
            high.air.pressure / 100.0,
            low.air.pressure / 100.0,
            low.name
        );
        let remedy = format!("{AT_SEA}; of two dynos, give each pull its own");
        high.found.item.ask(text, remedy);
    }
}

/// The pulls that count and whose air is known.
fn pulled<'p, 'a>(specs: &'p [FoundSpec<'a>]) -> Vec<Pulled<'p, 'a>> {
    let fittings = specs
        .iter()
        .flat_map(|spec| spec.fittings.iter().map(move |f| (spec, f)));
    let pulls = fittings.flat_map(|(spec, fitting)| {
        let pulls = fitting.pulls.iter();
        pulls.map(move |found| (spec, fitting.day.as_ref(), found))
    });
    let counting = pulls.filter(|(.., found)| found.pull.counts());
    counting
        .filter_map(|(spec, day, found)| {
            Some(Pulled {
                day,
                name: spec.call(found),
                found,
                air: found.pull.air?,
            })
        })
        .collect()
}

/// What a pressure may be that is no barometer's at the dyno.
const AT_SEA: &str = "a phone's or a forecast's is reduced to sea level: write that as `sea_level_pressure`, with the \
                      `elevation` of the dyno";

/// Asks about the pulls that the dyno has corrected to the standard, or about the others; whether it does.
fn of(to: Standard, applied: bool, specs: &[FoundSpec]) -> bool {
    let mut pulls = pulled(specs);
    pulls.retain(|one| (one.found.pull.corrected == to) == applied);
    let celsius = |air: &Air| air.temperature - ZERO_CELSIUS;
    let pressures = ask(
        &pulls,
        (to, applied),
        (PRESSURES_APART, &format!("{AT_SEA}; else look")),
        |air| (air.pressure, format!("{:.0} hPa", air.pressure / 100.0)),
    );
    let temperatures = ask(&pulls, (to, applied), (TEMPERATURES_APART, "look"), |air| {
        (air.temperature, format!("{:.0} °C", celsius(air)))
    });
    pressures || temperatures
}

/// Asks about one figure of the air, given with its words; whether it does. With `most` goes how the remedy begins.
fn ask(
    pulls: &[Pulled],
    (to, applied): (Standard, bool),
    (most, look): (f64, &str),
    figure: impl Fn(&Air) -> (f64, String),
) -> bool {
    let mut sorted: Vec<f64> = pulls.iter().map(|one| figure(&one.air).0).collect();
    sorted.sort_by(f64::total_cmp);
    let (Some(low), Some(high)) = (sorted.first(), sorted.last()) else {
        return false;
    };
    let middle = 0.5 * (sorted[(sorted.len() - 1) / 2] + sorted[sorted.len() / 2]);
    let off = |one: &&Pulled| figure(&one.air).0 - middle;
    let odd = pulls
        .iter()
        .max_by(|a, b| off(a).abs().total_cmp(&off(b).abs()));
    let Some(odd) = odd else {
        return false;
    };
    // Where half of the pulls differ from the others, those beside the odd one are no usual ones.
    let across = pulls.iter().filter(|one| off(one) * off(&odd) <= 0.0);
    let Some(usual) = across.min_by(|a, b| off(a).abs().total_cmp(&off(b).abs())) else {
        return false;
    };
    let (Some(factor), Some(other)) = (to.factor(&odd.air), to.factor(&usual.air)) else {
        return false;
    };
    if high - low <= odd.may_lie_off(usual) * most {
        return false;
    }
    let times = match applied {
        true => ", which the dyno has corrected: its factors would be",
        false => " times",
    };
    let text = format!(
        "{}: {}, and {} for {}: {}{times} {factor:.3} and {other:.3}, {:+.1} % between \
         them; a slip?",
        odd.name,
        figure(&odd.air).1,
        figure(&usual.air).1,
        usual.name,
        to.name(),
        100.0 * (factor / other - 1.0)
    );
    let taken = match applied {
        true => "if the dyno took that for its correction, its figures are as far off; ",
        false => "",
    };
    let remedy = format!(
        "{look} at the weather of both; {taken}if the pulls are really of such different days, say which, as in `day: \
         2026-05-09` beside them"
    );
    odd.found.item.ask(text, remedy);
    true
}

#[cfg(test)]
mod tests {
    use super::super::decode;
    use crate::files::finding::Findings;
    use crate::files::source::Source;

    /// What is said of a day of two specs in these airs.
    fn said(a: &str, b: &str, rest: &str) -> String {
        let points = "{rpm: [2500, 3000, 3500, 4000, 4500], torque: [139, 153, 166, 178, 190]}";
        let spec = |name: &str, weather: &str| {
            format!(
                "  - {{name: {name}, points: {points}, weather: {{{weather}, humidity: 50 %}}}}\n"
            )
        };
        let day = format!("specs:\n{}{}{rest}", spec("A", a), spec("B", b));
        let mut findings = Findings::new();
        decode(Source::new("testday.yaml", day), &mut findings);
        findings.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn weather_of_another_day_is_asked_about() {
        let points = "{rpm: [2500, 3000, 3500, 4000, 4500], torque: [139, 153, 166, 178, 190]}";
        let usual = "pressure: 1009 hPa, temperature: 18 C";
        let slip = said(usual, "pressure: 909 hPa, temperature: 18 C", "");
        assert!(slip.contains("909 hPa, and 1009 hPa for "), "{slip}");
        // DIN 70020 is as pressure is: 1009 to 909 are 11.0 %.
        assert!(slip.contains("11.0 % between them"), "{slip}");
        let slip = said(usual, "pressure: 1009 hPa, temperature: -18 C", "");
        assert!(slip.contains("-18 °C, and 18 °C for "), "{slip}");
        for (b, rest) in [
            ("pressure: 990 hPa, temperature: 35 C", ""),
            ("pressure: 909 hPa, temperature: 18 C", "correct_to: none\n"),
        ] {
            let said = said(usual, b, rest);
            assert!(!said.contains("between them"), "{said}");
        }
        let applied = said(
            usual,
            "pressure: 909 hPa, temperature: 18 C",
            "corrected: DIN 70020\ncorrect_to: DIN 70020\n",
        );
        assert!(
            applied.contains("which the dyno has corrected"),
            "{applied}"
        );
        // Of two halves of a day one pull of each is named, and a day of their own settles it.
        let pulls = |pressures: [u32; 3]| {
            let one = |p: u32| {
                format!(
                    "{{points: {points}, weather: {{pressure: {p} hPa, temperature: 18 C, humidity: 50 %}}}}"
                )
            };
            pressures.map(one).join(", ")
        };
        let halves = |days: [&str; 2]| {
            let day = format!(
                "specs:\n  - {{name: A{}, fittings: [{}]}}\n  - {{name: B{}, fittings: [{}]}}\n",
                days[0],
                pulls([1018, 1014, 1015]),
                days[1],
                pulls([988, 989, 988]),
            );
            let mut findings = Findings::new();
            decode(Source::new("testday.yaml", day), &mut findings);
            findings.iter().map(ToString::to_string).collect::<String>()
        };
        let slip = halves(["", ""]);
        assert!(slip.contains("1018 hPa, and 989 hPa for "), "{slip}");
        let settled = halves([", day: 2026-05-09", ", day: 2026-05-10"]);
        assert!(!settled.contains("between them"), "{settled}");
        let high = said(usual, "pressure: 1090 hPa, temperature: 18 C", "");
        assert!(high.contains("error: pressure: `1090 hPa`"), "{high}");
    }

    /// A slip brings no other fault with it.
    #[test]
    fn what_cannot_be_read_was_said_all_the_same() {
        let points = "{rpm: [2500, 3000, 3500, 4000, 4500], torque: [139, 153, 166, 178, 190]}";
        let said = |first: &str, rest: &str| -> String {
            let day = format!(
                "specs:\n  - {{name: A, points: {points}, {first}}}\n  - {{name: B, points: {points}, mass: 3 kg}}\n{rest}"
            );
            let mut findings = Findings::new();
            decode(Source::new("testday.yaml", day), &mut findings);
            findings.iter().map(ToString::to_string).collect()
        };
        let mass = said("mass: 3", "corrected: DIN 70020\n");
        assert!(mass.contains("`3` has no unit"), "{mass}");
        assert!(!mass.contains("no mass of"), "{mass}");
        let standard = said("mass: 3 kg", "corrected: SEA J1349\n");
        assert!(standard.contains("`SEA J1349`"), "{standard}");
        assert!(!standard.contains("something unknown"), "{standard}");
        let silent = said("mass: 3 kg", "");
        assert!(silent.contains("something unknown"), "{silent}");
    }
}
