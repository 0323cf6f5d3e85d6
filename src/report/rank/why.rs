//! One sentence on why, by rules: who is stronger where, and how much of the lap is spent there.

use super::words::{counts, list, some_seconds};
use super::{Answer, Lead, Venue};
use crate::dyno::{Crossover, Curve};
use crate::explain::bands::full_share_below;
use crate::report::format::{capital, percent, rpm};
use crate::study::{BandGains, Reading, SpecRun, Told};

/// Share of the lap's time with the engine's full force on the road, below which grip decides.
const GRIP_DECIDES: f64 = 0.10;
/// Difference of mean torque, relative, below which two curves are one.
const SAME: f64 = 1e-6;
/// Share of the gap from which weight and the rest are told: below it the bands nearly add up.
const COUNTS: f64 = 0.5;

/// Why the quickest spec is quickest as geared; nothing where there are not two to compare.
pub fn why(answer: &Answer, venue: &Venue) -> Option<String> {
    let lead = venue.lead(SpecRun::time)?;
    let reading = venue.run.specs[lead.quicker].as_geared.as_ref().ok()?;
    if let Some(sentence) = grip_decides(venue, &lead, reading) {
        return Some(sentence);
    }
    let crossings = answer.engines.crossings(lead.quicker, lead.slower);
    let told = answer.engines.told(lead.quicker, lead.slower);
    Some(match crossings[..] {
        _ if told == Told::Untold => as_read(
            answer,
            venue,
            &lead,
            "The pulls do not tell the two curves apart",
        ),
        [] if told == Told::PartlyUntold => as_read(
            answer,
            venue,
            &lead,
            "The pulls do not tell where the curves cross",
        ),
        [] => stronger_throughout(answer, venue, &lead),
        [crossing] => one_crossing(answer, venue, &lead, reading, crossing),
        _ => several_crossings(answer, venue, &lead, &crossings),
    })
}

/// Where the wheels spin or the corners limit for most of the lap, torque has little to say.
fn grip_decides(venue: &Venue, lead: &Lead, reading: &Reading) -> Option<String> {
    let states = &reading.states;
    if counts(lead, venue) || states.engine > GRIP_DECIDES * reading.time {
        return None;
    }
    Some(format!(
        "More engine than grip: the engine's full force reaches the road for {:.0} of {:.0} s.",
        states.engine, reading.time
    ))
}

/// Curves that do not cross: the stronger is not always the quicker, the other may be the lighter.
fn stronger_throughout(answer: &Answer, venue: &Venue, lead: &Lead) -> String {
    let [quicker, slower] = [lead.quicker, lead.slower].map(|i| &answer.engines.list[i]);
    let (a, b) = (&quicker.curve, &slower.curve);
    let low = a.first_rpm().max(b.first_rpm());
    let high = a.last_rpm().min(b.last_rpm());
    let of = |curve: &Curve| curve.mean_torque(low, high).unwrap_or(0.0);
    let more = of(a) - of(b);
    if more > SAME * of(b) {
        let name = capital(&quicker.name);
        return format!("{name} has the higher torque wherever both were measured.");
    }
    let start = match more < -SAME * of(b) {
        true => format!(
            "{} has the higher torque wherever both were measured",
            capital(&slower.name)
        ),
        false => "Both make the same torque where both were measured".to_owned(),
    };
    let parts = venue.gains.and_then(|gains| {
        let torque = gains.within(low, high);
        let beyond = gains.won() - gains.lost() - torque;
        let told = [(torque, "by torque"), (beyond, "where one was not")];
        won_and_lost(venue, gains, &told)
    });
    match parts {
        Some(parts) => format!("{start}: {} {parts}.", quicker.name),
        None => format!("{start}."),
    }
}

fn one_crossing(
    answer: &Answer,
    venue: &Venue,
    lead: &Lead,
    reading: &Reading,
    crossing: Crossover,
) -> String {
    let below = full_share_below(&reading.spans, crossing.rpm).unwrap_or(0.0);
    let (side, other, share) = match crossing.first_leads_below {
        true => ("below", "above", below),
        false => ("above", "below", 1.0 - below),
    };
    let start = format!(
        "{} of full throttle is {side} {}",
        percent(share),
        rpm(crossing.rpm)
    );
    let quicker = answer.name(lead.quicker);
    let parts = venue.gains.and_then(|gains| {
        let within = |low, high| gains.within(low, high);
        let (below, above) = (
            within(0.0, crossing.rpm),
            within(crossing.rpm, f64::INFINITY),
        );
        let (there, elsewhere) = match crossing.first_leads_below {
            true => (below, above),
            false => (above, below),
        };
        let outside = format!("{other} it");
        won_and_lost(venue, gains, &[(there, "there"), (elsewhere, &outside)])
    });
    match parts {
        Some(parts) => format!("{start}: {quicker} {parts}."),
        None => format!("{start}, where {quicker} has the higher torque."),
    }
}

/// What the quicker spec wins and loses: `wins 0.5 s there, loses 0.2 s above it`, with its weight
/// and what else lies between the laps where that counts; nothing where nothing shows.
fn won_and_lost(venue: &Venue, gains: &BandGains, bands: &[(f64, &str)]) -> Option<String> {
    let kind = venue.entry.course.kind;
    let by_weight = match gains.mass > 0.0 {
        true => "by being lighter",
        false => "by being heavier",
    };
    let besides = [
        (gains.mass, by_weight),
        (gains.rest, "by changing gear elsewhere"),
    ];
    let tells = |found: &(f64, &str)| found.0.abs() >= venue.useful().max(COUNTS * gains.gap.abs());
    let all: Vec<(f64, &str)> = bands
        .iter()
        .copied()
        .chain(besides.into_iter().filter(tells))
        .collect();
    let told = |sign: f64, verb: &str| {
        let of = |(seconds, place): &(f64, &str)| {
            let text = some_seconds((sign * seconds).max(0.0), kind)?;
            Some(format!("{text} s {place}"))
        };
        let parts: Vec<String> = all.iter().filter_map(of).collect();
        (!parts.is_empty()).then(|| format!("{verb} {}", list(&parts)))
    };
    let parts: Vec<String> = [told(1.0, "wins"), told(-1.0, "loses")]
        .into_iter()
        .flatten()
        .collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

fn several_crossings(
    answer: &Answer,
    venue: &Venue,
    lead: &Lead,
    crossings: &[Crossover],
) -> String {
    let at: Vec<String> = crossings.iter().map(|c| rpm(c.rpm)).collect();
    as_read(
        answer,
        venue,
        lead,
        &format!("The curves cross at {}", list(&at)),
    )
}

/// What torque wins and loses as it was read, behind what is to be known of it.
fn as_read(answer: &Answer, venue: &Venue, lead: &Lead, start: &str) -> String {
    let quicker = answer.name(lead.quicker);
    let parts = venue.gains.and_then(|gains| {
        let bands = [
            (gains.won(), "where its torque is the higher"),
            (-gains.lost(), "elsewhere"),
        ];
        won_and_lost(venue, gains, &bands)
    });
    match parts {
        Some(parts) => format!("{start}: {quicker} {parts}."),
        None => format!("{start}."),
    }
}
