//! One venue in full: times, revs, seconds by what the car is doing, time in band.

use std::fmt::Write;

use super::why::why;
use super::words::{counts, gap, gearing_in_full, held_back, what_it_moves};
use super::{Answer, Venue, band_table, gears, sure, trade};
use crate::explain::bands;
use crate::files::finding::Severity;
use crate::report::format::{
    capital, clock, decimal, decimals, gear, kind_word, percent, rpm_coarse, signed, thousands,
    wrap,
};
use crate::report::paint::Paint;
use crate::report::states;
use crate::report::table::{Grid, Side};
use crate::study::{Reading, Setup, SpecRun};
use crate::units::{self, KILOMETRE_PER_HOUR};

/// A venue in full; with `assumed` the assumptions of the study follow.
pub fn detail(answer: &Answer, index: usize, assumed: bool, paint: Paint) -> String {
    let Some(venue) = answer.venue(index) else {
        return String::new();
    };
    let mut out = String::new();
    let _ = writeln!(out, "{}", paint.strong(&title(answer, &venue)));
    if let Some(lead) = venue.lead(SpecRun::time) {
        out.push_str(&wrap(&verdict(answer, &venue, &lead), "  "));
    }
    for line in sure::sentences(answer, &venue) {
        out.push_str(&wrap(&line, "  "));
    }
    if let Some(shown) = states::shown([venue.entry]) {
        out.push_str(&wrap(&shown, "  "));
    }
    for run in &venue.run.specs {
        if let Err(error) = &run.as_geared {
            out.push_str(&wrap(&format!("Cannot be driven: {error}."), "  "));
            break;
        }
    }
    let readings: Vec<(usize, &Reading)> = venue
        .run
        .specs
        .iter()
        .enumerate()
        .filter_map(|(spec, run)| run.as_geared.as_ref().ok().map(|reading| (spec, reading)))
        .collect();
    if !readings.is_empty() {
        let _ = write!(out, "\n{}", times(answer, &venue));
        let _ = write!(out, "\n{}", seconds(answer, &readings));
        let _ = write!(out, "\n{}", band_table::table(answer, &venue, &readings));
        if let Some(line) = first_gear(answer, &venue) {
            out.push_str(&wrap(&line, "  "));
        }
        if let Some(held) = held_back(answer, &venue) {
            out.push_str(&wrap(&held, ""));
        }
        let chosen = gears::table(answer, &venue);
        if !chosen.is_empty() {
            let _ = write!(out, "\n{chosen}");
        }
        let traded = trade::table(answer, &venue);
        if !traded.is_empty() {
            let _ = write!(out, "\n{traded}");
        }
    }
    if assumed {
        out.push_str(&all_assumed(answer, &venue));
    }
    out
}

/// What the bands hang on where nobody says how first gear is used.
fn first_gear(answer: &Answer, venue: &Venue) -> Option<String> {
    let found = venue.first_gear?;
    let [now, then] = found.seconds.map(|seconds| decimal(seconds, 0));
    let edge = thousands(found.below_rpm);
    let corners = units::counted(found.corners, "corner");
    Some(format!(
        "First gear is taken to be for the start only, as nobody says: used whenever it pays {} would take {corners} in \
         it and spend {then} s below {edge} rpm in place of {now}. Write `first_gear` into the car.",
        answer.name(found.spec)
    ))
}

fn title(answer: &Answer, venue: &Venue) -> String {
    let course = &venue.entry.course;
    let car = &answer.study.car;
    format!(
        "{}: {} of {} km, {}, {} trim, {}",
        venue.name(),
        kind_word(course.kind),
        decimal(venue.run.length / 1000.0, 1),
        car.name,
        car.trims[venue.entry.trim].name,
        gearing_in_full(answer, Setup::FITTED),
    )
}

fn verdict(answer: &Answer, venue: &Venue, lead: &super::Lead) -> String {
    let first = if let Some(said) = sure::verdict(answer, venue) {
        said
    } else if counts(lead, venue) {
        format!(
            "{} by {}.",
            capital(answer.name(lead.quicker)),
            gap(lead.gap, venue)
        )
    } else {
        format!(
            "Nothing in it: {} between {} and {}.",
            gap(lead.gap, venue),
            answer.name(lead.quicker),
            answer.name(lead.slower)
        )
    };
    match why(answer, venue) {
        Some(reason) => format!("{first} {reason}"),
        None => first,
    }
}

/// The specs in order, as geared and each at its best gearing.
fn times(answer: &Answer, venue: &Venue) -> String {
    let kind = venue.entry.course.kind;
    let lead = venue.lead(SpecRun::time);
    let crossing = lead.and_then(|lead| {
        answer
            .engines
            .crossings(lead.quicker, lead.slower)
            .first()
            .map(|c| c.rpm)
    });
    let below = crossing.map(|rpm| {
        format!(
            "full throttle\nbelow {}",
            thousands((rpm / 10.0).round() * 10.0)
        )
    });
    let mut columns = vec![
        ("", Side::Left),
        ("as\ngeared", Side::Right),
        ("gap", Side::Right),
        ("best\ngearing", Side::Right),
        ("with", Side::Left),
        ("lowest\nrevs", Side::Right),
        ("fastest\nkm/h", Side::Right),
    ];
    if let Some(below) = &below {
        columns.push((below.as_str(), Side::Right));
    }
    let mut grid = Grid::new(&columns);
    let order = venue.run.order(SpecRun::time);
    for &(spec, time) in &order {
        let run = &venue.run.specs[spec];
        let Ok(reading) = &run.as_geared else {
            continue;
        };
        let behind = time - order[0].1;
        let mut cells = vec![
            answer.name(spec).to_owned(),
            clock(time, kind),
            if spec == order[0].0 {
                String::new()
            } else {
                signed(behind, decimals(kind))
            },
            run.best_time().map_or(String::new(), |t| clock(t, kind)),
            run.best.map_or(String::new(), |i| {
                super::words::gearing(answer, answer.outcome.offered[i])
            }),
            lowest(reading),
            decimal(reading.fastest.speed / KILOMETRE_PER_HOUR, 0),
        ];
        if let Some(rpm) = crossing {
            cells.push(bands::full_share_below(&reading.spans, rpm).map_or(String::new(), percent));
        }
        grid.row(&cells);
    }
    let mut text = grid.text(0);
    if let Some((low, place)) = order
        .first()
        .and_then(|(spec, _)| venue.run.specs[*spec].as_geared.as_ref().ok())
        .and_then(|reading| reading.lowest.as_ref())
    {
        let how = if low.held {
            "held there on the clutch"
        } else {
            "from which it pulls"
        };
        text.push_str(&wrap(
            &format!(
                "Lowest revs of {}: {} in {}, {how}, at {} km/h, {place}.",
                answer.name(order[0].0),
                rpm_coarse(low.rpm),
                gear(low.gear),
                decimal(low.speed / KILOMETRE_PER_HOUR, 0)
            ),
            "  ",
        ));
    }
    text
}

fn lowest(reading: &Reading) -> String {
    match &reading.lowest {
        Some((low, _)) => format!(
            "{} {}{}",
            thousands((low.rpm / 100.0).round() * 100.0),
            gear(low.gear),
            if low.held { " held" } else { "" }
        ),
        None => String::new(),
    }
}

/// Seconds by what the car is doing.
fn seconds(answer: &Answer, readings: &[(usize, &Reading)]) -> String {
    let mut grid = Grid::new(&[
        ("seconds", Side::Left),
        ("full\nthrottle", Side::Right),
        ("tyres\nlimit", Side::Right),
        ("cornering", Side::Right),
        ("braking", Side::Right),
        ("shifting", Side::Right),
        ("shifts", Side::Right),
        ("on the\nlimiter", Side::Right),
        ("clutch\nslipping", Side::Right),
    ]);
    for (spec, reading) in readings {
        let s = &reading.states;
        let tenths = |value: f64| decimal(value, 1);
        grid.row(&[
            answer.name(*spec).to_owned(),
            tenths(s.engine),
            tenths(s.traction),
            tenths(s.cornering),
            tenths(s.braking),
            tenths(s.shifting),
            s.shifts.to_string(),
            tenths(s.limiter),
            tenths(s.clutch),
        ]);
    }
    grid.text(0)
}

/// Whether an assumption bears on a venue: its key may end in another venue's name or kind of event.
fn holds_at(key: &str, venue: &Venue, answer: &Answer) -> bool {
    let Some((_, part)) = key.split_once('.') else {
        return true;
    };
    let own = part == venue.entry.course.name || part == kind_word(venue.entry.course.kind);
    let other = answer
        .study
        .entries
        .iter()
        .any(|entry| part == entry.course.name || part == kind_word(entry.course.kind));
    own || !other
}

/// Everything that was assumed for a venue, the largest mover first.
fn all_assumed(answer: &Answer, venue: &Venue) -> String {
    let rank = |key: Option<&str>| {
        let of = |key: &str| answer.moves.iter().position(|m| m.key == key);
        key.and_then(of).unwrap_or(usize::MAX)
    };
    let here = |key: &str| holds_at(key, venue, answer);
    let mut assumed: Vec<_> = answer
        .findings
        .of(Severity::Assumed)
        .filter(|f| f.key.as_deref().is_none_or(here))
        .collect();
    assumed.sort_by_key(|f| rank(f.key.as_deref()));
    if assumed.is_empty() {
        return String::new();
    }
    let moves = match answer.engines.list.len() {
        1 => "the time",
        _ => "a gap",
    };
    let mut out = format!("\nAssumed, what could move {moves} first:\n");
    let mut told: Vec<&str> = Vec::new();
    for finding in assumed {
        if told.contains(&finding.text.as_str()) {
            continue;
        }
        told.push(&finding.text);
        let moved = answer
            .moves
            .iter()
            .find(|m| Some(m.key.as_str()) == finding.key.as_deref());
        let by = moved.and_then(|moved| what_it_moves(answer, moved));
        let by = by.map(|by| format!(" ({by})")).unwrap_or_default();
        out.push_str("  ");
        out.push_str(&wrap(&format!("{}{by}", finding.text), "    "));
    }
    out
}
