//! The sentences about a test day, by rules: nothing leads where the interval holds zero.

use super::Sheet;
use crate::dyno::{Comparison, Effect, Interval, Standard, Stretch, Trend};
use crate::report::findings;
use crate::report::format::{decimal, rpm, signed};
use crate::units::counted;

/// Finer than this pulls do not part who leads, rpm: half a band.
const NARROW_RPM: f64 = 250.0;
/// A lead no wider than this is chance, rpm: intervals hold at one engine speed, and there are many; no
/// wider than two points of the curves (common practice, no source).
const NARROWEST_RPM: f64 = 100.0;
/// A lead that ends so near the end of the range is said to reach it, rpm.
const AT_THE_END_RPM: f64 = 100.0;
/// Crossovers listed one by one.
const LISTED: usize = 3;
/// How much further one spec may have been pulled than both, rpm, before that is said.
const SHORT_OF_ALL_RPM: f64 = 1000.0;

/// Who leads where, in one sentence for the top.
pub fn headline(sheet: &Sheet, comparison: &Comparison) -> String {
    let names = [comparison.first, comparison.second].map(|spec| sheet.name_of(spec));
    headline_of(sheet, comparison, names)
}

/// The same with other names for the two specs, and over which engine speeds where that is not nearly all
/// that either was pulled over.
pub fn headline_of(sheet: &Sheet, comparison: &Comparison, names: [&str; 2]) -> String {
    let text = who_leads(sheet, comparison, names);
    let curves = [comparison.first, comparison.second].map(|s| &sheet.reduced.specs[s].curve);
    let ends = |c: &&crate::dyno::Curve| c.last_rpm() - c.first_rpm();
    let longest = curves.iter().map(ends).fold(0.0, f64::max);
    let Stretch { from_rpm, to_rpm } = comparison.range;
    match longest - (to_rpm - from_rpm) > SHORT_OF_ALL_RPM {
        true => format!(
            "{text}; compared from {} to {}, where at least half of the pulls of both reach",
            bare(from_rpm),
            rpm(to_rpm)
        ),
        false => text,
    }
}

/// Which way a drift goes: `falls`.
pub fn way(trend: Trend) -> &'static str {
    match trend.per_hour < 0.0 {
        true => "falls",
        false => "rises",
    }
}

/// What stands before the headline where questions are open that decide how the specs compare; empty where none is.
pub fn in_question(sheet: &Sheet) -> String {
    match findings::deciding(sheet.findings) {
        0 => sheet.open_trend().map_or(String::new(), |trend| {
            format!(
                "In question, as torque {} from pull to pull and no spec came back after another: ",
                way(trend)
            )
        }),
        1 => "In question until the question on standard error is answered: ".to_owned(),
        more => {
            format!("In question until the {more} questions on standard error are answered: ")
        }
    }
}

/// That there is more to read, where warnings were told that decide nothing and are more than that nobody knows what
/// the day is corrected to, which its title says.
pub fn read_too(sheet: &Sheet) -> Option<String> {
    let in_title = usize::from(sheet.reduced.standard == Standard::Unknown);
    let asked = findings::deciding(sheet.findings);
    match findings::warnings(sheet.findings).saturating_sub(in_title + asked) {
        0 => None,
        1 => Some("Read the warning on standard error too.".to_owned()),
        more => Some(format!("Read the {more} warnings on standard error too.")),
    }
}

/// Which of two specs were pulled with something slipping, behind the headline.
pub fn slipping(sheet: &Sheet, comparison: &Comparison) -> String {
    let of = |spec: usize| {
        let (mut slips, mut all) = (0, 0);
        for (_, pull) in sheet.day.specs[spec].counted() {
            slips += usize::from(pull.handling.slips);
            all += 1;
        }
        (slips > 0).then(|| {
            format!(
                "; {slips} of {} of {} slip on the rollers",
                counted(all, "pull"),
                sheet.name_of(spec)
            )
        })
    };
    let said = [comparison.first, comparison.second].map(of);
    said.into_iter().flatten().collect()
}

fn who_leads(sheet: &Sheet, comparison: &Comparison, [a, b]: [&str; 2]) -> String {
    let leads = leads(sheet, comparison);
    let at = |s: &Stretch| place(s, &comparison.range);
    let mine: Vec<String> = leads.iter().filter(|l| l.1).map(|l| at(&l.0)).collect();
    let theirs: Vec<String> = leads.iter().filter(|l| !l.1).map(|l| at(&l.0)).collect();
    match (mine.is_empty(), theirs.is_empty()) {
        (true, true) => format!("{a} and {b}: these pulls show no difference"),
        (false, true) => format!("{a} makes more than {b} {}", mine.join(" and ")),
        (true, false) => format!("{b} makes more than {a} {}", theirs.join(" and ")),
        (false, false) => format!(
            "{b} makes more {}, {a} {}",
            theirs.join(" and "),
            mine.join(" and ")
        ),
    }
}

/// The stretches in which one spec surely leads: where, and whether it is the first. What parts two
/// leads of one spec by little is passed over, and so are leads of little width beside wider ones.
fn leads(sheet: &Sheet, comparison: &Comparison) -> Vec<(Stretch, bool)> {
    let mut joined: Vec<(Stretch, bool)> = Vec::new();
    for (stretch, first) in sure(sheet, comparison) {
        match joined.last_mut() {
            Some((last, side)) if *side == first && stretch.from_rpm - last.to_rpm < NARROW_RPM => {
                last.to_rpm = stretch.to_rpm;
            }
            _ => joined.push((stretch, first)),
        }
    }
    let width = |lead: &(Stretch, bool)| lead.0.to_rpm - lead.0.from_rpm;
    let widest = joined.iter().map(width).fold(0.0, f64::max);
    joined.retain(|lead| width(lead) >= widest.clamp(NARROWEST_RPM, NARROW_RPM));
    joined
}

/// The stretches between those that are not resolved, and whether the first spec leads there.
fn sure(sheet: &Sheet, comparison: &Comparison) -> Vec<(Stretch, bool)> {
    let mut edges = vec![comparison.range.from_rpm];
    for stretch in &comparison.unresolved {
        edges.extend([stretch.from_rpm, stretch.to_rpm]);
    }
    edges.push(comparison.range.to_rpm);
    let specs = &sheet.reduced.specs;
    edges
        .chunks(2)
        .filter(|pair| pair[1] - pair[0] > 20.0)
        .map(|pair| {
            let middle = 0.5 * (pair[0] + pair[1]);
            let first = specs[comparison.first].curve.torque(middle);
            let second = specs[comparison.second].curve.torque(middle);
            let stretch = Stretch {
                from_rpm: pair[0],
                to_rpm: pair[1],
            };
            (stretch, first > second)
        })
        .collect()
}

/// A stretch in words: below, above, between, everywhere.
fn place(stretch: &Stretch, range: &Stretch) -> String {
    let (low, high) = (
        stretch.from_rpm <= range.from_rpm + AT_THE_END_RPM,
        stretch.to_rpm >= range.to_rpm - AT_THE_END_RPM,
    );
    let (from, to) = (rpm(stretch.from_rpm), rpm(stretch.to_rpm));
    match (low, high) {
        (true, true) => "at every engine speed".to_owned(),
        (true, false) => format!("below {to}"),
        (false, true) => format!("above {from}"),
        (false, false) => format!("from {from} to {to}"),
    }
}

/// Where specs cross the one they stand beside; those that lie alike without crossing, together.
pub fn crossings(sheet: &Sheet) -> Vec<String> {
    let mut lines = Vec::new();
    let mut apart: Vec<(&str, Vec<&str>)> = Vec::new();
    for comparison in &sheet.comparisons {
        if !comparison.crossovers.is_empty() {
            lines.push(crossing(sheet, comparison));
            continue;
        }
        let (side, name) = (side(comparison), sheet.name_of(comparison.first));
        match apart.iter_mut().find(|(of, _)| *of == side) {
            Some((_, names)) => names.push(name),
            None => apart.push((side, vec![name])),
        }
    }
    let beside = sheet.name_of(sheet.beside);
    lines.extend(
        apart
            .into_iter()
            .map(|(side, names)| match names.as_slice() {
                [name] => format!("{name} does not cross {beside}: it lies {side}."),
                _ => format!(
                    "{} do not cross {beside}: they lie {side}.",
                    names.join(", ")
                ),
            }),
    );
    lines
}

/// On which side a spec lies that crosses nowhere.
fn side(comparison: &Comparison) -> &'static str {
    let mean = comparison.whole.torque;
    match (mean.is_resolved(), mean.value > 0.0) {
        (false, _) => "apart by less than these pulls resolve",
        (true, true) => "above",
        (true, false) => "below",
    }
}

/// Where two specs cross, with the interval.
pub fn crossing(sheet: &Sheet, comparison: &Comparison) -> String {
    let (a, b) = (
        sheet.name_of(comparison.first),
        sheet.name_of(comparison.second),
    );
    if comparison.crossovers.is_empty() {
        return format!("{a} does not cross {b}: it lies {}.", side(comparison));
    }
    if let [one] = &comparison.crossovers[..]
        && one.at_rpm.len() > LISTED
        && one.low.is_none()
        && one.high.is_none()
    {
        return format!("{a} and {b} cross to and fro: these pulls do not tell them apart.");
    }
    let mut parts = Vec::new();
    for one in &comparison.crossovers {
        let at = places(&one.at_rpm);
        parts.push(match (one.low, one.high) {
            (Some(low), Some(high)) => format!("{at} (from {} to {})", bare(low), rpm(high)),
            (Some(low), None) => {
                format!("{at}, open above: from {} up nobody surely leads", rpm(low))
            }
            (None, Some(high)) => {
                format!("{at}, open below: up to {} nobody surely leads", rpm(high))
            }
            (None, None) => format!("{at}, not resolved by these pulls on either side"),
        });
    }
    let mut text = format!("{a} crosses {b} {}", parts.join("; "));
    if let Some(other) = sheet.without_first {
        let other = other.compare(comparison.first, comparison.second);
        let at: Vec<f64> = other
            .iter()
            .flat_map(|other| &other.crossovers)
            .flat_map(|one| one.at_rpm.iter().copied())
            .collect();
        let before = comparison.crossovers.iter().flat_map(|c| &c.at_rpm);
        let moved = before.zip(&at).any(|(a, b)| (a - b).abs() >= 50.0);
        if moved {
            text += &format!("; without first pulls {}", places(&at));
        }
    }
    text + "."
}

/// Where curves cross: at each place, or how often and between which.
fn places(at_rpm: &[f64]) -> String {
    match at_rpm {
        [first, .., last] if at_rpm.len() > LISTED => {
            format!(
                "{} times between {} and {}",
                at_rpm.len(),
                bare(*first),
                rpm(*last)
            )
        }
        _ => {
            let at: Vec<String> = at_rpm.iter().map(|n| rpm(*n)).collect();
            format!("at {}", at.join(" and "))
        }
    }
}

/// Engine speed to the nearest 10 rpm, without the unit.
fn bare(value: f64) -> String {
    rpm(value).replace(" rpm", "")
}

/// What earned which difference.
pub fn parts(sheet: &Sheet) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some([low, _, top]) = common_range(sheet).map(thirds_of)
        && !sheet.attribution.effects.is_empty()
    {
        lines.push(format!(
            "What earned it, in % of torque (low is up to {}, top from {}):",
            rpm(low.to_rpm),
            rpm(top.from_rpm)
        ));
    }
    for effect in &sheet.attribution.effects {
        let changes: Vec<String> = effect
            .changes
            .iter()
            .map(|c| format!("{} {} for {}", c.kind, c.to, c.from))
            .collect();
        let changes = changes.join(" with ");
        let mut line = match thirds(sheet, effect) {
            Some(gains) => format!("{changes}: {gains}"),
            None => format!("{changes}: does not show in these specs"),
        };
        if effect.changes.len() > 1 {
            line += "; always together, so which of them earned it cannot be told";
        }
        lines.push(line + ".");
    }
    if let Some(missing) = &sheet.attribution.missing {
        let (kind, part) = &missing.change;
        let mut all = sheet.day.specs[missing.like].parts.clone();
        all.insert(kind.clone(), part.clone());
        let all: Vec<String> = all.iter().map(|(k, p)| format!("{k} {p}")).collect();
        lines.push(format!(
            "One more spec would tell them apart: {}.",
            all.join(", ")
        ));
    }
    if sheet.day.specs.len() > 1 && sheet.day.specs.iter().all(|spec| spec.parts.is_empty()) {
        lines.push(
            "Which part earned it? Name them, as in `parts: {manifold: long, cam: B}` in each spec."
                .to_owned(),
        );
        return lines;
    }
    for &(a, b) in &sheet.attribution.unexplained {
        lines.push(format!(
            "{} and {} differ by no part that is named.",
            sheet.name_of(a),
            sheet.name_of(b)
        ));
    }
    lines
}

/// What an effect makes in the lower, middle and upper third of the range all specs share, in %.
fn thirds(sheet: &Sheet, effect: &Effect) -> Option<String> {
    let bands = thirds_of(common_range(sheet)?);
    let gains: Option<Vec<Interval>> = bands
        .iter()
        .map(|band| sheet.reduced.effect(effect, *band))
        .collect();
    let gains = gains?;
    let words: Vec<String> = gains
        .iter()
        .zip(["low", "middle", "top"])
        .map(|(gain, place)| {
            let value = format!("{} %", signed(100.0 * gain.value, 1));
            if gain.is_resolved() {
                format!("{value} {place}")
            } else {
                format!("({value}) {place}")
            }
        })
        .collect();
    let half = 50.0 * (gains[1].high - gains[1].low);
    Some(format!("{}, ± {}", words.join(", "), decimal(half, 1)))
}

pub fn thirds_of(range: Stretch) -> [Stretch; 3] {
    let Stretch { from_rpm, to_rpm } = range;
    let step = (to_rpm - from_rpm) / 3.0;
    let (low, top) = (from_rpm + step, to_rpm - step);
    // The ends are those of the range to the bit: no curve goes beyond them.
    [(from_rpm, low), (low, top), (top, to_rpm)]
        .map(|(from_rpm, to_rpm)| Stretch { from_rpm, to_rpm })
}

/// The engine speeds that every spec was measured at.
pub fn common_range(sheet: &Sheet) -> Option<Stretch> {
    let curves = || sheet.reduced.specs.iter().map(|spec| &spec.curve);
    let from_rpm = curves().map(|c| c.first_rpm()).fold(0.0, f64::max);
    let to_rpm = curves().map(|c| c.last_rpm()).fold(f64::INFINITY, f64::min);
    (from_rpm < to_rpm).then_some(Stretch { from_rpm, to_rpm })
}
