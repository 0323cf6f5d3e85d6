//! Which final drive, gear set and tyre size suits which spec at which venue.

mod data;
mod words;

pub use data::{csv, json};

use std::fmt::Write;

use super::format::{
    clock, decimal, decimals, drive_word, gear, rpm_coarse, signed, thousands, wrap,
};
use super::paint::Paint;
use super::rank::words::list;
use super::setup::{both, short};
use super::states;
use super::table::{Grid, Side};
use crate::study::corners::CornerGear;
use crate::study::gearing::sure::Sure;
use crate::study::gearing::{OverRev, Suited};
use crate::study::ideal::OtherTyre;
use crate::study::{Engines, Outcome, Plan, Setup, SpecRun, Study};
use crate::units::{self, KILOMETRE_PER_HOUR};
use crate::venue::EventKind;

/// Everything that was worked out about gearings.
#[derive(Debug)]
pub struct Answer<'a> {
    /// The study.
    pub study: &'a Study,
    /// Its specs.
    pub engines: &'a Engines,
    /// What was driven.
    pub outcome: &'a Outcome,
    /// Venue by venue, each spec with the gearing that suits it.
    pub suited: &'a [Vec<Suited>],
    /// Venue by venue, whether who is quickest there was not measured: no gearing is named.
    pub not_measured: &'a [bool],
    /// Venue by venue, how sure it is that what suits is quicker than what is fitted.
    pub sure: &'a [Option<Sure>],
    /// What was drawn for that.
    pub plan: &'a Plan,
    /// Where first gear is assumed to be for the start only and another gearing would suit if it were not.
    pub first_gear: &'a [(usize, Setup)],
    /// Of the venue shown in full.
    pub in_full: Option<&'a InFull>,
}

/// More of one venue: its quickest spec, as the car stands but for the gears or the tyres.
#[derive(Debug)]
pub struct InFull {
    /// The spec.
    pub spec: usize,
    /// The gears that would suit it best behind the fitted final drive.
    pub gears: Vec<f64>,
    /// Seconds with them.
    pub time: f64,
    /// With tyres of another size.
    pub tyres: Vec<OtherTyre>,
    /// The gears its corners are taken in at its best gearing.
    pub corners: Vec<CornerGear>,
}

/// All venues: each spec with its best gearing, then what to mind.
pub fn overview(answer: &Answer, paint: Paint) -> String {
    let study = answer.study;
    let fitted = both(&study.car, Setup::FITTED);
    let title = format!(
        "{}: {}, {}, {fitted} fitted",
        study.name,
        study.car.name,
        units::counted(answer.outcome.offered.len(), "gearing")
    );
    let mut out = format!("{}\n", paint.strong(&title));
    out.push_str(&wrap(&suits(answer), "  "));
    for index in 0..study.entries.len() {
        if let Some(line) = words::guessed(answer, index) {
            out.push_str(&wrap(&line, "  "));
        }
    }
    if let Some(line) = words::unsure(answer) {
        out.push_str(&wrap(&line, "  "));
    }
    out.push('\n');
    let mut grid = Grid::new(&[
        ("", Side::Left),
        ("best\ntime", Side::Right),
        ("gain", Side::Right),
        ("top\nkm/h", Side::Right),
        ("\nrpm", Side::Right),
        ("limiter\ns", Side::Right),
        ("ideal\ndrive", Side::Left),
        ("with", Side::Left),
    ]);
    for (index, (entry, suited)) in study.entries.iter().zip(answer.suited).enumerate() {
        let mut name = vec![String::new(); 8];
        name[0] = entry.name.clone();
        grid.row(&name);
        for one in suited {
            grid.row(&row(answer, index, one));
        }
    }
    out.push_str(&grid.text(0));
    if let Some(line) = first_gear(answer, None) {
        out.push_str(&wrap(&line, "  "));
    }
    out.push_str(&minded(answer));
    if let Some(shown) = states::shown(&study.entries) {
        out.push_str(&wrap(&shown, "  "));
    }
    out
}

/// What to fit for the quickest spec of each venue, gearing by gearing.
fn suits(answer: &Answer) -> String {
    let mut groups: Vec<(usize, Vec<String>)> = Vec::new();
    let venues = answer.study.entries.iter().zip(answer.suited);
    let measured = venues
        .zip(answer.not_measured)
        .filter(|(_, guessed)| !**guessed);
    for ((entry, suited), _) in measured {
        let Some(first) = suited.first() else {
            continue;
        };
        let name = entry.name.clone();
        match groups.iter_mut().find(|(best, _)| *best == first.best) {
            Some((_, venues)) => venues.push(name),
            None => groups.push((first.best, vec![name])),
        }
    }
    let told = groups.iter().map(|&(best, ref venues)| {
        let setup = answer.outcome.offered[best];
        let fitted = if setup == Setup::FITTED {
            " as fitted"
        } else {
            ""
        };
        let what = short(&answer.study.car, setup);
        format!("{what}{fitted} at {}", list(venues))
    });
    match groups.is_empty() {
        true if answer.not_measured.contains(&true) => String::new(),
        true => "No venue can be driven.".to_owned(),
        false => format!("Quickest: {}.", told.collect::<Vec<_>>().join("; ")),
    }
}

fn row(answer: &Answer, index: usize, one: &Suited) -> [String; 8] {
    let venue = &answer.outcome.venues[index];
    let kind = answer.study.entries[index].course.kind;
    let name = format!("  {}", answer.engines.list[one.spec].name);
    let mut with = short(&answer.study.car, answer.outcome.offered[one.best]);
    if one.as_good.len() > 1 {
        let _ = write!(with, " +{} as good", one.as_good.len() - 1);
    }
    let gain = one
        .gain
        .map_or(String::new(), |gain| decimal(gain, decimals(kind)));
    let [speed, rpm, limiter] = at_best(&venue.specs[one.spec]);
    let ideal = words::ideal_band(answer, index, one);
    [
        name,
        clock(one.time, kind),
        gain,
        speed,
        rpm,
        limiter,
        ideal,
        with,
    ]
}

/// A band of ratios: `4.1 to 4.4`.
fn ratios((low, high): (f64, f64)) -> String {
    let (low, high) = (decimal(low, 1), decimal(high, 1));
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}

/// Speed and revs at the fastest point, seconds on the limiter.
fn at_best(run: &SpecRun) -> [String; 3] {
    match &run.at_best {
        Some(reading) => [
            decimal(reading.fastest.speed / KILOMETRE_PER_HOUR, 0),
            thousands((reading.fastest.rpm / 50.0).round() * 50.0),
            decimal(reading.states.limiter, 1),
        ],
        None => Default::default(),
    }
}

/// Where the use of first gear, which nobody wrote, decides; of all venues or of one.
fn first_gear(answer: &Answer, only: Option<usize>) -> Option<String> {
    let turned = answer.first_gear.iter();
    let turned = turned.filter(|(index, _)| only.is_none_or(|only| only == *index));
    let told: Vec<String> = turned
        .map(|(index, setup)| {
            let gears = both(&answer.study.car, *setup);
            format!("{gears} at {}", answer.study.entries[*index].name)
        })
        .collect();
    (!told.is_empty()).then(|| {
        format!(
            "First gear is taken to be for the start only, as nobody says; used out of slow corners too, {} would be \
             the quickest. Write `first_gear` into the car.",
            list(&told)
        )
    })
}

/// What to mind with the gearings that suit.
fn minded(answer: &Answer) -> String {
    let mut out = String::from("\n");
    let mut over_revs = Vec::new();
    for (entry, suited) in answer.study.entries.iter().zip(answer.suited) {
        let Some(first) = suited.first() else {
            continue;
        };
        let name = &entry.name;
        let best = answer.outcome.offered[first.best];
        let tyre = &best.trim(&answer.study.car, entry.trim).tyre;
        if let Some(over) = first.cautions.over_rev {
            over_revs.push(over_rev(name, &over));
        }
        if let Some(rpm) = first.cautions.propshaft_rpm {
            let line = format!(
                "{name}: the propeller shaft turns at {} at the fastest point, faster than the engine \
                 may; ask its maker.",
                rpm_coarse(rpm)
            );
            out.push_str(&wrap(&line, "  "));
        }
        if let Some((carries, stands)) = first.cautions.tyre_load {
            let line = format!(
                "{name}: {} kg stand on one {tyre}, whose load index carries {} kg.",
                decimal(stands, 0),
                decimal(carries, 0)
            );
            out.push_str(&wrap(&line, "  "));
        }
        if let Some(rated) = first.cautions.beyond_tyre {
            let rated = decimal(rated / KILOMETRE_PER_HOUR, 0);
            let line = format!("{name}: faster than the {rated} km/h that {tyre} is rated for.");
            out.push_str(&wrap(&line, "  "));
        }
    }
    if !over_revs.is_empty() {
        let line = format!(
            "A missed downchange passes {}, and no limiter helps: {}.",
            rpm_coarse(answer.engines.rev_limit_rpm),
            over_revs.join("; ")
        );
        out.push_str(&wrap(&line, "  "));
    }
    out.push_str(&wrap(
        "With another final drive or gear set look at \
         propshaft speed, at the tyre's speed symbol and load (of competition tyres: with their \
         maker), and at the speedometer on road sections; more speed needs brakes, cooling and belts \
         to match.",
        "  ",
    ));
    out
}

/// `Vennick 3rd above 117 km/h (8,500 rpm at the fastest point)`.
fn over_rev(venue: &str, over: &OverRev) -> String {
    format!(
        "{venue} {} above {} km/h ({} at the fastest point)",
        gear(over.gear),
        decimal(over.above / KILOMETRE_PER_HOUR, 0),
        rpm_coarse(over.rpm),
    )
}

/// One venue: every gearing with every spec.
pub fn detail(answer: &Answer, index: usize, paint: Paint) -> String {
    let (entry, venue) = (&answer.study.entries[index], &answer.outcome.venues[index]);
    let kind = entry.course.kind;
    let title = format!(
        "{}: seconds a {} with every gearing",
        entry.name,
        drive_word(kind)
    );
    let mut columns = vec![("", Side::Left)];
    let names: Vec<&str> = answer
        .engines
        .list
        .iter()
        .map(|s| s.name.as_str())
        .collect();
    columns.extend(names.iter().map(|name| (*name, Side::Right)));
    let mut grid = Grid::new(&columns);
    let best: Vec<Option<f64>> = venue.specs.iter().map(|run| run.best_time()).collect();
    for (i, &setup) in answer.outcome.offered.iter().enumerate() {
        if !setup.is_for(&answer.study.car, entry.trim) {
            continue;
        }
        let mut cells = vec![both(&answer.study.car, setup)];
        for (run, best) in venue.specs.iter().zip(&best) {
            cells.push(match (&run.times[i], best) {
                (Ok(time), Some(best)) if time == best => clock(*time, kind),
                (Ok(time), Some(best)) => plus(time - best, decimals(kind)),
                _ => "no lap".to_owned(),
            });
        }
        grid.row(&cells);
    }
    let mut out = format!("{}\n\n{}", paint.strong(&title), grid.text(0));
    out.push('\n');
    let told = words::guessed(answer, index).or_else(|| words::in_draws(answer, index));
    if let Some(line) = told {
        out.push_str(&wrap(&line, "  "));
    }
    for one in &answer.suited[index] {
        if let Some(line) = words::ideal_drive(answer, index, one) {
            out.push_str(&wrap(&line, "  "));
        }
    }
    if let Some(line) = first_gear(answer, Some(index)) {
        out.push_str(&wrap(&line, "  "));
    }
    if let Some(shown) = states::shown([entry]) {
        out.push_str(&wrap(&shown, "  "));
    }
    if let Some(more) = answer.in_full {
        out.push_str(&in_full(answer, more, venue.specs[more.spec].time(), kind));
    }
    out
}

/// Ideal gears and other tyres; `fitted` is the time as the car stands, s.
fn in_full(answer: &Answer, more: &InFull, fitted: Option<f64>, kind: EventKind) -> String {
    let against = |time: f64| {
        fitted.map_or(String::new(), |fitted| {
            let by = decimal((fitted - time).abs(), decimals(kind));
            let way = if time < fitted { "quicker" } else { "slower" };
            format!(", {by} s {way} than as it stands")
        })
    };
    let name = &answer.engines.list[more.spec].name;
    let list: Vec<String> = more.gears.iter().map(|r| decimal(*r, 2)).collect();
    let mut out = wrap(
        &format!(
            "Ideal gears of {name} behind the fitted final drive: {}{}.",
            list.join(" / "),
            against(more.time)
        ),
        "  ",
    );
    out.push_str(&wrap(&corners(name, &more.corners), "  "));
    for other in &more.tyres {
        let tyre = &answer.study.car.purchases.tyres[other.tyre].name;
        let as_drive = decimal(other.as_drive, 2);
        let told = other.time.map_or(", no lap".to_owned(), against);
        out.push_str(&wrap(
            &format!("On {tyre} {name} is geared as with {as_drive}{told}."),
            "  ",
        ));
    }
    out
}

/// Gear by gear the corners that are taken in it, slowest first.
fn corners(spec: &str, corners: &[CornerGear]) -> String {
    let mut gears: Vec<usize> = corners.iter().map(|corner| corner.gear).collect();
    gears.sort_unstable();
    gears.dedup();
    let told: Vec<String> = gears
        .into_iter()
        .map(|own| {
            let mut of = corners.iter().filter(|c| c.gear == own).collect::<Vec<_>>();
            of.sort_by(|a, b| a.speed.total_cmp(&b.speed));
            let names: Vec<String> = of.iter().map(|corner| corner.name.clone()).collect();
            match names.len() {
                n if n > 6 => format!("{n} corners in {}", gear(own)),
                _ => format!("{} in {}", names.join(", "), gear(own)),
            }
        })
        .collect();
    match told.is_empty() {
        true => String::new(),
        false => format!("At its best gearing {spec} takes {}.", told.join("; ")),
    }
}

fn plus(value: f64, decimals: usize) -> String {
    let text = signed(value, decimals);
    if text.starts_with('+') {
        text
    } else {
        format!("+{text}")
    }
}
