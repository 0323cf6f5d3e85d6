//! The driver's choice of gears beside the best one, what it gains and where; and what tyres at their
//! limit do to the revs.

use super::words::list;
use super::{Answer, Venue};
use crate::explain::advice::{self, INDIFFERENT, NEAR_RPM};
use crate::explain::{Advice, Upshift};
use crate::report::chart::isolated;
use crate::report::format::{
    capital, clock, decimal, decimals, gear, percent, rpm_at_most, rpm_coarse, signed, thousands,
    wrap,
};
use crate::report::table::{Grid, Side};
use crate::study::SpecRun;
use crate::study::schedules::EARLY_RPM;

/// Pieces of advice that are told.
const TOLD: usize = 3;

/// Every spec as driven and at best; then what to do otherwise with the quickest. Nothing where no
/// spec was driven.
pub fn table(answer: &Answer, venue: &Venue) -> String {
    let kind = venue.entry.course.kind;
    let early = format!("changing up\n{} rpm early", thousands(EARLY_RPM));
    let mut grid = Grid::new(&[
        ("choice of gears", Side::Left),
        ("as\ndriven", Side::Right),
        ("at\nbest", Side::Right),
        ("gained", Side::Right),
        (&early, Side::Right),
    ]);
    let order = venue.run.order(SpecRun::time);
    let found = |spec: usize| venue.schedules.get(spec)?.as_ref().ok();
    let rows = order
        .iter()
        .filter_map(|&(spec, _)| Some((spec, found(spec)?)));
    let mut first = None;
    for (spec, found) in rows {
        grid.row(&[
            answer.name(spec).to_owned(),
            clock(found.as_driven, kind),
            clock(found.at_best, kind),
            decimal(found.as_driven - found.at_best, decimals(kind)),
            signed(found.early, decimals(kind)),
        ]);
        first = first.or(Some((spec, found)));
    }
    let Some((spec, found)) = first else {
        return String::new();
    };
    let mut text = grid.text(0);
    let light = venue.entry.habits.shift_light_rpm;
    let (told, past) = advice::under_light(&found.advice, light);
    for one in told.iter().take(TOLD) {
        text.push_str(&wrap(&format!("{}.", advised(one, light)), "  "));
    }
    if let Some(line) = light_costs(light, past) {
        text.push_str(&wrap(&line, "  "));
    }
    if told.is_empty() {
        let none = format!(
            "From corner to corner no other choice of gears{} is worth {} s to {}.",
            if past > 0.0 { " below it" } else { "" },
            decimal(INDIFFERENT, 2),
            answer.name(spec)
        );
        text.push_str(&wrap(&none, "  "));
    }
    if let Some(spin) = spin(venue, spec) {
        text.push_str(&wrap(&spin, "  "));
    }
    text
}

/// How much faster than the road the engine turns where the tyres limit.
fn spin(venue: &Venue, spec: usize) -> Option<String> {
    let reading = venue.run.specs[spec].as_geared.as_ref().ok()?;
    (reading.slip > 0.0).then(|| {
        format!(
            "Where the tyres limit in gear the engine turns up to {} faster than the road says; time \
             in band counts that (slip assumed, common practice; times do not depend on it).",
            percent(reading.slip)
        )
    })
}

/// What a shift light, rpm, costs in seconds; nothing where it costs nothing.
pub fn light_costs(light: Option<f64>, seconds: f64) -> Option<String> {
    let light = light.filter(|_| seconds > 0.0)?;
    Some(format!(
        "The light at {} rpm costs {} s; whether the engine may turn past it is for its builder to say.",
        thousands(light),
        decimal(seconds, 2)
    ))
}

/// One piece of advice as a sentence: what is done otherwise, and what that gains. No change is told above the shift
/// light, rpm.
pub fn advised(one: &Advice, light: Option<f64>) -> String {
    let at_most = |rpm: f64| rpm_at_most(rpm.min(light.unwrap_or(f64::INFINITY)));
    let (now, better) = (&one.driven, &one.better);
    let mut parts = Vec::new();
    if better.exit != now.exit {
        parts.push(format!(
            "take {}, not {}",
            gear(better.exit),
            gear(now.exit)
        ));
    }
    for up in &better.up {
        match now.up.iter().find(|other| other.from == up.from) {
            Some(other) if (other.rpm - up.rpm).abs() < NEAR_RPM => {}
            Some(other) => parts.push(format!(
                "hold {} to {} (now {})",
                gear(up.from),
                at_most(up.rpm),
                rpm_coarse(other.rpm)
            )),
            None => parts.push(format!(
                "change up from {} at {}",
                gear(up.from),
                at_most(up.rpm)
            )),
        }
    }
    let held = |up: &&Upshift| better.up.iter().all(|other| other.from != up.from);
    parts.extend(
        now.up
            .iter()
            .filter(held)
            .map(|up| format!("stay in {}", gear(up.from))),
    );
    if parts.is_empty() {
        parts.push("change up where it pulls best".to_owned());
    }
    format!(
        "{} {}: {} s",
        capital(&list(&parts)),
        match one.place.starts_with("straight to ") {
            true => format!("on the {}", isolated(&one.place)),
            false => format!("out of {}", isolated(&one.place)),
        },
        decimal(one.gain, 2)
    )
}
