//! One sentence on why, by rules: who is stronger where, and how much of the lap is spent there.

use super::words::{counts, seconds, some_seconds};
use super::{Answer, Lead, Venue};
use crate::dyno::Crossover;
use crate::explain::bands::full_share_below;
use crate::report::format::{capital, percent, rpm};
use crate::study::{Reading, SpecRun};

/// Share of the lap's time with the engine's full force on the road, below which grip decides.
const GRIP_DECIDES: f64 = 0.10;

/// Why the quickest spec is quickest as geared; nothing where there are not two to compare.
pub fn why(answer: &Answer, venue: &Venue) -> Option<String> {
    let lead = venue.lead(SpecRun::time)?;
    let reading = venue.run.specs[lead.quicker].as_geared.as_ref().ok()?;
    if let Some(sentence) = grip_decides(venue, &lead, reading) {
        return Some(sentence);
    }
    let crossings = answer.engines.crossings(lead.quicker, lead.slower);
    Some(match crossings[..] {
        [] => stronger_throughout(answer, &lead),
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

fn stronger_throughout(answer: &Answer, lead: &Lead) -> String {
    format!(
        "{} has the higher torque wherever both were measured.",
        capital(answer.name(lead.quicker))
    )
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
    match venue.gains {
        Some(gains) => {
            let kind = venue.entry.course.kind;
            let (below, above) = (
                gains.within(0.0, crossing.rpm),
                gains.within(crossing.rpm, f64::INFINITY),
            );
            let (there, elsewhere) = match crossing.first_leads_below {
                true => (below, above),
                false => (above, below),
            };
            let wins = seconds(there, kind);
            let loses = some_seconds(-elsewhere, kind);
            let loses = loses.map(|loses| format!(", loses {loses} s {other} it"));
            format!(
                "{start}: {quicker} wins {wins} s there{}.",
                loses.unwrap_or_default()
            )
        }
        None => format!("{start}, where {quicker} has the higher torque."),
    }
}

fn several_crossings(
    answer: &Answer,
    venue: &Venue,
    lead: &Lead,
    crossings: &[Crossover],
) -> String {
    let at: Vec<String> = crossings.iter().map(|c| rpm(c.rpm)).collect();
    let start = format!("The curves cross at {}", super::words::list(&at));
    let quicker = answer.name(lead.quicker);
    match venue.gains {
        Some(gains) => {
            let kind = venue.entry.course.kind;
            let wins = seconds(gains.won(), kind);
            let loses = some_seconds(gains.lost(), kind);
            let loses = loses.map(|loses| format!(", loses {loses} s elsewhere"));
            format!(
                "{start}: {quicker} wins {wins} s where its torque is the higher{}.",
                loses.unwrap_or_default()
            )
        }
        None => format!("{start}."),
    }
}
