//! The sentences about how a day's pulls scatter, and what to look at among them.

use super::Sheet;
use super::words::way;
use crate::dyno::{Method, Outlying, Reduced, Refit, Trend};
use crate::report::format::{capital, decimal, rpm, signed};
use crate::units::ZERO_CELSIUS;

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
        "Pulls repeat within {} kW over 3 ({}), their shape to {}",
        decimal(range, 1),
        beside_measured(pull, levels.pull_alone.map(f64::sqrt)),
        beside_measured(sheet.reduced.wave.sd, sheet.reduced.wave.alone),
    );
    let fitting = decimal(100.0 * fitting, 2);
    text += &match levels.refits {
        0 => format!(
            "; a refit {fitting} % as is usual, for none was fitted twice: every interval rests on \
             that"
        ),
        1 => format!("; a refit {fitting} % (one refit, and what is usual)"),
        n => format!("; a refit {fitting} % ({n} refits, and what is usual)"),
    };
    let days = levels.design().days();
    if days > 1 {
        text += &format!(
            "; {days} days, {} % from one to the other (sd, as is usual or said)",
            decimal(100.0 * sheet.reduced.taken.day, 1)
        );
    }
    text += &format!("; {}.", of_the_day(levels.first_pull.0, levels.drift.0));
    if let Some(trend) = levels.trend {
        text += &drifting(sheet, trend);
    }
    let returns: Vec<String> = sheet
        .day
        .returns()
        .into_iter()
        .map(|(spec, between)| {
            let between: Vec<&str> = between.iter().map(|&s| sheet.name_of(s)).collect();
            format!("{} again after {}", sheet.name_of(spec), between.join(", "))
        })
        .collect();
    if !returns.is_empty() {
        text += &format!(
            " {}: drift and refit are told apart from the change.",
            capital(&returns.join("; "))
        );
    }
    text
}

/// A drift that is out of the ordinary, and what it leaves open.
fn drifting(sheet: &Sheet, trend: Trend) -> String {
    let told = match sheet.open_trend() {
        Some(_) => {
            "The time between specs decides what is taken off: say when each pull was, `at: \"10:40\"`, and let the first \
                    spec come back"
        }
        None => "A spec that came back tells it from the change",
    };
    format!(
        " Torque {} from pull to pull, {} % an hour (usual: {} %): does heat soak in, does something wear? {told}.",
        way(trend),
        decimal(100.0 * trend.per_hour.exp_m1().abs(), 1),
        decimal(100.0 * sheet.reduced.taken.drift, 1),
    )
}

/// A standard deviation that is reckoned with, and beside it what the pulls alone show: what is usual, or what
/// the day says, is mixed into the first.
fn beside_measured(sd: f64, alone: Option<f64>) -> String {
    let shown = |sd: f64| decimal(100.0 * sd, 2);
    match alone {
        Some(alone) => format!("sd {} %, measured {} %", shown(sd), shown(alone)),
        None => format!("sd {} %, none measured", shown(sd)),
    }
}

/// What cold first pulls and the hour add, where it shows.
fn of_the_day(first_pull: f64, drift: f64) -> String {
    let shown = |log: f64| Some(signed(100.0 * log.exp_m1(), 1)).filter(|text| text != "0.0");
    let first = shown(first_pull).map(|off| format!("the first pull after a change {off} %"));
    let drift = shown(drift).map(|off| format!("drift {off} % an hour"));
    match (first, drift) {
        (Some(first), Some(drift)) => format!("{first}, {drift}, both taken off"),
        (Some(one), None) | (None, Some(one)) => format!("{one}, taken off"),
        (None, None) => "neither cold first pulls nor drift show".to_owned(),
    }
}

/// Pulls to look at, and specs that were not pulled alike.
pub fn warnings(sheet: &Sheet) -> Vec<String> {
    let outlying_ones = sheet.outlying.iter();
    let mut lines: Vec<String> = outlying_ones
        .filter(|one| !one.is_beside_knock(sheet.day, sheet.reduced))
        .map(|one| outlying(sheet, one))
        .collect();
    lines.extend(limiters(sheet));
    let refits = sheet.reduced.refits_off();
    lines.extend(refits.iter().map(|refit| refitted(sheet, refit)));
    let mut channels: Vec<&str> = sheet.unlike.iter().map(|u| u.channel.as_str()).collect();
    channels.dedup();
    lines.extend(channels.into_iter().map(|channel| unlike(sheet, channel)));
    for spec in sheet.reduced.specs.iter().filter(|s| s.curve.still_rises()) {
        lines.push(format!(
            "Ends early: {} still gains power where its pulls end, at {}; its peak is not known.",
            spec.name,
            rpm(spec.curve.last_rpm())
        ));
    }
    let kept: Vec<&str> = sheet
        .day
        .specs
        .iter()
        .filter(|spec| spec.retuned == Some(false) && sheet.day.specs.len() > 1)
        .map(|spec| spec.name.as_str())
        .collect();
    if !kept.is_empty() {
        lines.push(format!(
            "Not retuned: {}; with ignition and mixture of its own it may make more.",
            kept.join(", ")
        ));
    }
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
    let part: usize = pulls()
        .map(|p| p.handling.opening + p.handling.closing)
        .sum();
    let merged: usize = pulls()
        .map(|p| p.handling.back_steps + p.handling.repeats)
        .sum();
    let spikes: usize = pulls().map(|p| p.handling.spikes.len()).sum();
    let smoothed: Vec<f64> = pulls().filter_map(|p| p.handling.smoothed).collect();
    let mut parts = Vec::new();
    if outside > 0 {
        parts.push(match sheet.day.dyno.method {
            Method::Sweep if part > 0 => {
                format!("{outside} outside the sweeps ({part} while the throttle opened or closed)")
            }
            Method::Sweep => format!("{outside} outside the sweeps"),
            Method::Steps => format!(
                "{outside} left out (the first third of each hold, in which it settles, and what is no hold)"
            ),
        });
    }
    if merged > 0 {
        parts.push(format!("{merged} that repeat or step back, merged"));
    }
    if spikes > 0 {
        parts.push(format!("{spikes} left out as spikes"));
    }
    if !parts.is_empty() {
        lines.push(format!("Of {rows} rows {}.", parts.join(", ")));
    }
    lines.extend(thin_at_the_top(sheet));
    if let Some(width) = smoothed.first() {
        lines.push(format!(
            "{} of {} pulls smoothed by local lines within ± {}.",
            smoothed.len(),
            pulls().count(),
            rpm(*width)
        ));
    }
    let aside: Vec<String> = pulls()
        .filter_map(|p| Some(format!("{} ({})", p.name, p.set_aside.as_ref()?)))
        .collect();
    if !aside.is_empty() {
        lines.push(format!("Set aside: {}.", aside.join(", ")));
    }
    lines
}

/// Above which engine speed fewer pulls of a spec tell of it than below.
fn thin_at_the_top(sheet: &Sheet) -> Vec<String> {
    let tops = sheet.reduced.thin_tops().into_iter();
    tops.map(|top| {
        format!(
            "Above {} {} of {} pulls of {} reach: what is said there rests on {}.",
            rpm(top.above_rpm),
            top.reach,
            top.pulls,
            sheet.name_of(top.spec),
            if top.reach == 1 { "it" } else { "them" }
        )
    })
    .collect()
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

/// A refit that reads otherwise than before.
fn refitted(sheet: &Sheet, refit: &Refit) -> String {
    let name = |pull: usize| sheet.reduced.pulls[pull].name.as_str();
    let pulls = match refit.pulls[..] {
        [first] => name(first).to_owned(),
        [first, .., last] => format!("{} to {}", name(first), name(last)),
        [] => String::new(),
    };
    let off = refit.off.exp_m1();
    let side = if off < 0.0 { "less" } else { "more" };
    format!(
        "Look: {} fitted again ({pulls}) reads {} % {side} than before (usual: {} %). Both are kept; if you know \
         why, set the pulls of one aside: `set_aside: why`.",
        sheet.name_of(refit.spec),
        decimal(100.0 * off.abs(), 1),
        decimal(100.0 * refit.usual, 1)
    )
}

/// Where a limiter ended the pulls of some specs, and which were not measured as far as others.
fn limiters(sheet: &Sheet) -> Vec<String> {
    let cut = sheet.reduced.cut(sheet.day).into_iter();
    cut.map(|cut| {
        format!(
            "Limiter: the pulls of {} were cut at {}, others go on to {}: above {} it was not measured.",
            sheet.name_of(cut.spec),
            rpm(cut.at_rpm),
            rpm(cut.others_rpm),
            rpm(cut.last_rpm)
        )
    })
    .collect()
}

fn outlying(sheet: &Sheet, one: &Outlying) -> String {
    let pull = &sheet.reduced.pulls[one.pull];
    let side = if one.off < 0.0 { "down" } else { "up" };
    let off = decimal(100.0 * one.share().abs(), 1);
    let place = match one.stretch {
        Some((from, to)) => format!(" from {} to {}", rpm(from), rpm(to)),
        None => String::new(),
    };
    let beside = match one.beside {
        1 => "one other pull; which of the two is wrong they cannot say".to_owned(),
        n => format!("{n} others"),
    };
    let kept = match one.stretch {
        Some(_) => "It is kept, and intervals there allow for its being wrong",
        None => "It is kept",
    };
    let mut text = format!(
        "Look: {} is {off} % {side}{place} beside {beside} (usual there: {} %). {kept}; if you \
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
