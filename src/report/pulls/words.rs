//! The sentences about a test day, by rules: nothing leads where the interval holds zero.

use super::Sheet;
use crate::dyno::{Comparison, Effect, Interval, Outlying, Reduced, Step, Stretch, crossovers};
use crate::report::format::{decimal, rpm, signed};
use crate::units::ZERO_CELSIUS;

/// Who leads where, in one sentence for the top.
pub fn headline(sheet: &Sheet, comparison: &Comparison) -> String {
    let (a, b) = (
        sheet.name_of(comparison.first),
        sheet.name_of(comparison.second),
    );
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

/// The stretches in which one spec surely leads: where, and whether it is the first.
fn leads(sheet: &Sheet, comparison: &Comparison) -> Vec<(Stretch, bool)> {
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
        stretch.from_rpm <= range.from_rpm + 1.0,
        stretch.to_rpm >= range.to_rpm - 1.0,
    );
    let (from, to) = (rpm(stretch.from_rpm), rpm(stretch.to_rpm));
    match (low, high) {
        (true, true) => "at every engine speed".to_owned(),
        (true, false) => format!("below {to}"),
        (false, true) => format!("above {from}"),
        (false, false) => format!("from {from} to {to}"),
    }
}

/// Where two specs cross, with the interval.
pub fn crossing(sheet: &Sheet, comparison: &Comparison) -> String {
    let (a, b) = (
        sheet.name_of(comparison.first),
        sheet.name_of(comparison.second),
    );
    if comparison.crossovers.is_empty() {
        let mean = comparison.whole.torque;
        let side = match (mean.value > 0.0, mean.is_resolved()) {
            (_, false) => "by less than these pulls resolve",
            (true, true) => "above",
            (false, true) => "below",
        };
        return format!("{a} does not cross {b}: it lies {side}.");
    }
    let mut parts = Vec::new();
    for one in &comparison.crossovers {
        let at: Vec<String> = one.at_rpm.iter().map(|n| rpm(*n)).collect();
        let at = at.join(" and ");
        parts.push(match (one.low, one.high) {
            (Some(low), Some(high)) => format!("at {at} (from {} to {})", bare(low), rpm(high)),
            (Some(low), None) => {
                format!(
                    "at {at}, open above: from {} up nobody surely leads",
                    rpm(low)
                )
            }
            (None, Some(high)) => {
                format!(
                    "at {at}, open below: up to {} nobody surely leads",
                    rpm(high)
                )
            }
            (None, None) => format!("at {at}, not resolved by these pulls on either side"),
        });
    }
    let mut text = format!("{a} crosses {b} {}", parts.join("; "));
    if let Some(other) = sheet.without_first {
        let (x, y) = (
            &other.specs[comparison.first].curve,
            &other.specs[comparison.second].curve,
        );
        let at: Vec<f64> = crossovers(x, y).iter().map(|c| c.rpm).collect();
        let before = comparison.crossovers.iter().flat_map(|c| &c.at_rpm);
        let moved = before.zip(&at).any(|(a, b)| (a - b).abs() >= 50.0);
        if moved {
            let at: Vec<String> = at.into_iter().map(rpm).collect();
            text += &format!("; without first pulls at {}", at.join(" and "));
        }
    }
    text + "."
}

/// Engine speed to the nearest 10 rpm, without the unit.
fn bare(value: f64) -> String {
    rpm(value).replace(" rpm", "")
}

/// What earned which difference.
pub fn parts(sheet: &Sheet) -> Vec<String> {
    let mut lines = Vec::new();
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
    let step = (range.to_rpm - range.from_rpm) / 3.0;
    [0.0, 1.0, 2.0].map(|k| Stretch {
        from_rpm: range.from_rpm + k * step,
        to_rpm: range.from_rpm + (k + 1.0) * step,
    })
}

/// The engine speeds that every spec was measured at.
pub fn common_range(sheet: &Sheet) -> Option<Stretch> {
    let curves = || sheet.reduced.specs.iter().map(|spec| &spec.curve);
    let from_rpm = curves().map(|c| c.first_rpm()).fold(0.0, f64::max);
    let to_rpm = curves().map(|c| c.last_rpm()).fold(f64::INFINITY, f64::min);
    (from_rpm < to_rpm).then_some(Stretch { from_rpm, to_rpm })
}

/// How far pulls and fittings scatter.
pub fn repeatability(sheet: &Sheet) -> String {
    let levels = &sheet.reduced.levels;
    if levels.repeats + levels.refits == 0 {
        return format!(
            "No spec was pulled twice: every interval rests on what is usual, pulls {} % and fittings \
             {} % (sd).",
            decimal(100.0 * sheet.reduced.taken.pull, 1),
            decimal(100.0 * sheet.reduced.taken.fitting, 1)
        );
    }
    let peak = sheet.reduced.specs[sheet.beside].curve.peak_power().value;
    let pull = levels.variances.pull.sqrt();
    let fitting = levels.variances.fitting.sqrt();
    // The mean range of three normal values is 1.693 sd.
    let range = 1.693 * pull * peak / 1e3;
    let mut text = format!(
        "Pulls repeat within {} kW over 3 (sd {} %), a wave of {} % about that",
        decimal(range, 1),
        decimal(100.0 * pull, 2),
        decimal(100.0 * sheet.reduced.wave.sd, 2),
    );
    text += &match levels.refits {
        0 => format!(
            "; fittings {} % as is usual, for none was fitted twice: every interval rests on that",
            decimal(100.0 * fitting, 2)
        ),
        1 => format!(
            "; fittings {} % (one refit, and what is usual)",
            decimal(100.0 * fitting, 2)
        ),
        n => format!(
            "; fittings {} % ({n} refits, and what is usual)",
            decimal(100.0 * fitting, 2)
        ),
    };
    text += &format!(
        "; the first pull after a change {} %, drift {} % an hour, both taken off.",
        signed(100.0 * levels.first_pull.0, 1),
        signed(100.0 * levels.drift.0, 1)
    );
    let returns: Vec<String> = sheet
        .day
        .returns()
        .into_iter()
        .map(|(a, b)| format!("{} again after {}", sheet.name_of(a), sheet.name_of(b)))
        .collect();
    if !returns.is_empty() {
        text += &format!(
            " {}: drift and refit are told apart from the change.",
            capitalised(&returns.join(", "))
        );
    }
    text
}

fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(|c| c.to_uppercase().to_string());
    first.unwrap_or_default() + letters.as_str()
}

/// Pulls to look at, and specs that were not pulled alike.
pub fn warnings(sheet: &Sheet) -> Vec<String> {
    let mut lines: Vec<String> = sheet
        .outlying
        .iter()
        .map(|one| outlying(sheet, one))
        .collect();
    let mut channels: Vec<&str> = sheet.unlike.iter().map(|u| u.channel.as_str()).collect();
    channels.dedup();
    lines.extend(channels.into_iter().map(|channel| unlike(sheet, channel)));
    lines
}

/// What was done to the rows of the files, and pulls that count for nothing; nothing where nothing
/// was.
pub fn handling(sheet: &Sheet) -> Vec<String> {
    let pulls = || {
        let fittings = sheet.day.specs.iter().flat_map(|spec| &spec.fittings);
        fittings.flat_map(|fitting| &fitting.pulls)
    };
    let mut lines = Vec::new();
    let rows: usize = pulls().map(|p| p.handling.rows).sum();
    let outside: usize = pulls().map(|p| p.handling.outside).sum();
    let merged: usize = pulls()
        .map(|p| p.handling.back_steps + p.handling.repeats)
        .sum();
    let spikes: usize = pulls().map(|p| p.handling.spikes.len()).sum();
    let smoothed: Vec<f64> = pulls().filter_map(|p| p.handling.smoothed).collect();
    let mut parts = Vec::new();
    if outside > 0 {
        parts.push(format!("{outside} outside the sweeps"));
    }
    if merged > 0 {
        parts.push(format!("{merged} that repeat or step back, merged"));
    }
    if spikes > 0 {
        parts.push(format!("{spikes} left out as spikes"));
    }
    if let Some(width) = smoothed.first() {
        parts.push(format!(
            "{} of {} pulls smoothed by local lines within ± {}",
            smoothed.len(),
            pulls().count(),
            rpm(*width)
        ));
    }
    if !parts.is_empty() {
        lines.push(format!("Of {rows} rows {}.", parts.join(", ")));
    }
    let aside: Vec<String> = pulls()
        .filter_map(|p| Some(format!("{} ({})", p.name, p.set_aside.as_ref()?)))
        .collect();
    if !aside.is_empty() {
        lines.push(format!("Set aside: {}.", aside.join(", ")));
    }
    lines
}

/// One channel's means over the specs.
fn unlike(sheet: &Sheet, channel: &str) -> String {
    let means: Vec<String> = sheet
        .day
        .specs
        .iter()
        .filter_map(|spec| {
            let mean = spec.channel(channel)?;
            let value = match channel {
                "lambda" => decimal(mean, 3),
                _ => format!("{} °C", decimal(mean - ZERO_CELSIUS, 0)),
            };
            Some(format!("{value} with {}", spec.name))
        })
        .collect();
    format!(
        "Unlike: {channel} {}; part of their differences may be that.",
        means.join(", ")
    )
}

fn outlying(sheet: &Sheet, one: &Outlying) -> String {
    let pull = &sheet.reduced.pulls[one.pull];
    let side = if one.off < 0.0 { "down" } else { "up" };
    let off = decimal(100.0 * one.off.abs(), 1);
    let place = match one.stretch {
        Some((from, to)) => format!(" from {} to {}", rpm(from), rpm(to)),
        None => String::new(),
    };
    let beside = match one.beside {
        1 => "one other pull; which of the two is wrong they cannot say".to_owned(),
        n => format!("{n} others"),
    };
    let mut text = format!(
        "Look: {} is {off} % {side}{place} beside {beside} (usual there: {} %). It is kept; if you \
         know why, say `set_aside: why`",
        pull.name,
        decimal(100.0 * one.usual, 1)
    );
    if let Some(other) = sheet.without_outlying {
        let sd = |day: &Reduced| decimal(100.0 * day.levels.variances.pull.sqrt(), 2);
        text += &format!(
            " (pulls then scatter by {} %, not {} %)",
            sd(other),
            sd(sheet.reduced)
        );
    }
    text + "."
}

/// What to pull next.
pub fn next(sheet: &Sheet) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(first) = sheet.comparisons.first()
        && !sheet.steps.is_empty()
    {
        let now = decimal(100.0 * first.half_width, 1);
        let steps: Vec<String> = sheet
            .steps
            .iter()
            .map(|step| step_words(sheet, step))
            .collect();
        lines.push(format!(
            "Next: {} less {} stands at ± {now} %; {}.",
            sheet.name_of(first.first),
            sheet.name_of(first.second),
            steps.join("; or ")
        ));
    }
    if let Some((difference, layout)) = &sheet.layout {
        let shown = layout.shows.max(*difference);
        let limit = if layout.shows > *difference {
            " (not less)"
        } else {
            ""
        };
        lines.push(format!(
            "To show {} %{limit} in four days of five: {} fittings of two specs in turns, {} pulls \
             on each, about {} hours.",
            decimal(100.0 * shown, 1),
            layout.fittings,
            layout.pulls,
            decimal(layout.hours, 1)
        ));
    }
    lines
}

fn step_words(sheet: &Sheet, step: &Step) -> String {
    let what = match step.refit.as_slice() {
        [] => format!("{} more pulls on what is fitted", step.pulls),
        [one] => format!("fit {} again, {} pulls", sheet.name_of(*one), step.pulls),
        several => {
            let names: Vec<&str> = several.iter().map(|s| sheet.name_of(*s)).collect();
            format!(
                "fit {} again, {} pulls each",
                names.join(", then "),
                step.pulls
            )
        }
    };
    format!(
        "{} ({} h): ± {} %",
        what,
        decimal(step.hours, 1),
        decimal(100.0 * step.half_width, 1)
    )
}
