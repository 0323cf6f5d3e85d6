//! Which final drive and gear set suits which spec at which venue.

use std::fmt::Write;

use serde::Serialize;

use super::csv::{number, table};
use super::format::{
    clock, decimal, decimals, drive_word, gear, rpm_coarse, signed, thousands, wrap,
};
use super::json::document;
use super::paint::Paint;
use super::setup::{both, drive, gear_set, short};
use super::table::{Grid, Side};
use crate::study::gearing::{OverRev, Suited};
use crate::study::{Engines, Outcome, Setup, SpecRun, Study, useful};
use crate::units::KILOMETRE_PER_HOUR;

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
}

/// All venues: each spec with its best gearing, then what to mind.
pub fn overview(answer: &Answer, paint: Paint) -> String {
    let study = answer.study;
    let fitted = both(&study.car, Setup::FITTED);
    let title = format!(
        "{}: {}, {} gearings, {fitted} fitted",
        study.name,
        study.car.name,
        answer.outcome.offered.len()
    );
    let mut out = format!("{}\n\n", paint.strong(&title));
    let mut grid = Grid::new(&[
        ("", Side::Left),
        ("best\ntime", Side::Right),
        ("gain", Side::Right),
        ("fastest\nkm/h", Side::Right),
        ("\nrpm", Side::Right),
        ("limiter\ns", Side::Right),
        ("with", Side::Left),
    ]);
    for (index, (entry, suited)) in study.entries.iter().zip(answer.suited).enumerate() {
        let mut name = vec![String::new(); 7];
        name[0] = entry.course.name.clone();
        grid.row(&name);
        for one in suited {
            grid.row(&row(answer, index, one));
        }
    }
    out.push_str(&grid.text(0));
    out.push_str(&minded(answer));
    out
}

fn row(answer: &Answer, index: usize, one: &Suited) -> [String; 7] {
    let venue = &answer.outcome.venues[index];
    let kind = answer.study.entries[index].course.kind;
    let name = format!("  {}", answer.engines.list[one.spec].name);
    let mut with = short(&answer.study.car, answer.outcome.offered[one.best]);
    if one.as_good.len() > 1 {
        let _ = write!(with, " (+{} as good)", one.as_good.len() - 1);
    }
    let gain = one
        .gain
        .map_or(String::new(), |gain| decimal(gain, decimals(kind)));
    let [speed, rpm, limiter] = at_best(&venue.specs[one.spec]);
    [name, clock(one.time, kind), gain, speed, rpm, limiter, with]
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

/// What to mind with the gearings that suit.
fn minded(answer: &Answer) -> String {
    let mut out = String::from("\n");
    for (entry, suited) in answer.study.entries.iter().zip(answer.suited) {
        let Some(first) = suited.first() else {
            continue;
        };
        let name = &entry.course.name;
        if let Some(over) = first.cautions.over_rev {
            out.push_str(&wrap(&over_rev(answer, name, &over), "  "));
        }
        if let Some(rated) = first.cautions.beyond_tyre {
            let tyre = &answer.study.car.trims[entry.trim].tyre;
            let rated = decimal(rated / KILOMETRE_PER_HOUR, 0);
            let line = format!("{name}: faster than the {rated} km/h that {tyre} is rated for.");
            out.push_str(&wrap(&line, "  "));
        }
    }
    out.push_str(&wrap(
        "A limiter does not help on a downchange. With another final drive or gear set look at \
         propshaft speed, at the tyre's speed symbol and load (of competition tyres: with their \
         maker), and at the speedometer on road sections; more speed needs brakes, cooling and belts \
         to match.",
        "  ",
    ));
    out
}

fn over_rev(answer: &Answer, venue: &str, over: &OverRev) -> String {
    format!(
        "{venue}: {} taken above {} km/h passes the limit of {}; at the fastest point it would be {}.",
        gear(over.gear),
        decimal(over.above / KILOMETRE_PER_HOUR, 0),
        rpm_coarse(answer.engines.limit_rpm),
        rpm_coarse(over.rpm),
    )
}

/// One venue: every gearing with every spec.
pub fn detail(answer: &Answer, index: usize, paint: Paint) -> String {
    let (entry, venue) = (&answer.study.entries[index], &answer.outcome.venues[index]);
    let kind = entry.course.kind;
    let title = format!(
        "{}: seconds a {} with every gearing",
        entry.course.name,
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
    format!("{}\n\n{}", paint.strong(&title), grid.text(0))
}

fn plus(value: f64, decimals: usize) -> String {
    let text = signed(value, decimals);
    if text.starts_with('+') {
        text
    } else {
        format!("+{text}")
    }
}

/// A row per venue, spec and gearing.
pub fn csv(answer: &Answer) -> String {
    let header = [
        "venue",
        "spec",
        "final_drive",
        "final_drive_teeth",
        "gear_set",
        "fitted",
        "time_s",
        "behind_own_best_s",
        "as_good_as_best",
        "error",
    ];
    let rows = rows(answer).into_iter().map(|row| {
        vec![
            row.venue.to_owned(),
            row.spec.to_owned(),
            decimal(row.final_drive, 4),
            row.final_drive_teeth,
            row.gear_set,
            row.fitted.to_string(),
            number(row.time_s, 3),
            number(row.behind_own_best_s, 3),
            row.as_good_as_best.to_string(),
            row.error.unwrap_or_default(),
        ]
    });
    table(&header, rows)
}

#[derive(Serialize)]
struct Row<'a> {
    venue: &'a str,
    spec: &'a str,
    final_drive: f64,
    final_drive_teeth: String,
    gear_set: String,
    fitted: bool,
    time_s: Option<f64>,
    behind_own_best_s: Option<f64>,
    /// Nobody could tell it from the spec's best by the watch.
    as_good_as_best: bool,
    error: Option<String>,
}

fn rows<'a>(answer: &Answer<'a>) -> Vec<Row<'a>> {
    let (study, outcome) = (answer.study, answer.outcome);
    let car = &study.car;
    let mut rows = Vec::new();
    for (index, entry) in study.entries.iter().enumerate() {
        for (spec, run) in outcome.venues[index].specs.iter().enumerate() {
            let own = answer.suited[index].iter().find(|one| one.spec == spec);
            for (i, (&setup, time)) in outcome.offered.iter().zip(&run.times).enumerate() {
                let time_s = time.as_ref().ok().copied();
                rows.push(Row {
                    venue: &entry.course.name,
                    spec: &answer.engines.list[spec].name,
                    final_drive: setup.final_drive(car).ratio,
                    final_drive_teeth: match setup.final_drive(car).teeth {
                        Some(_) => drive(car, setup),
                        None => String::new(),
                    },
                    gear_set: gear_set(car, setup),
                    fitted: setup == Setup::FITTED,
                    time_s,
                    behind_own_best_s: time_s.zip(own).map(|(time, own)| time - own.time),
                    as_good_as_best: own.is_some_and(|own| own.as_good.contains(&i)),
                    error: time.as_ref().err().map(ToString::to_string),
                });
            }
        }
    }
    rows
}

#[derive(Serialize)]
struct Body<'a> {
    study: &'a str,
    car: &'a str,
    limit_rpm: f64,
    venues: Vec<VenueBody<'a>>,
    gearings: Vec<Row<'a>>,
}

#[derive(Serialize)]
struct VenueBody<'a> {
    name: &'a str,
    useful_s: f64,
    /// The quickest first.
    specs: Vec<BestBody<'a>>,
}

#[derive(Serialize)]
struct BestBody<'a> {
    spec: &'a str,
    gearing: String,
    time_s: f64,
    gain_s: Option<f64>,
    fastest_m_s: Option<f64>,
    fastest_rpm: Option<f64>,
    limiter_s: Option<f64>,
    over_rev: Option<OverRevBody>,
    beyond_tyre_m_s: Option<f64>,
}

#[derive(Serialize)]
struct OverRevBody {
    gear: usize,
    above_m_s: f64,
    rpm_at_fastest: f64,
}

/// The whole answer as JSON.
pub fn json(answer: &Answer) -> String {
    let study = answer.study;
    let venues = study.entries.iter().enumerate().map(|(index, entry)| {
        let venue = &answer.outcome.venues[index];
        let specs = answer.suited[index].iter().map(|one| {
            let reading = venue.specs[one.spec].at_best.as_ref();
            BestBody {
                spec: &answer.engines.list[one.spec].name,
                gearing: both(&study.car, answer.outcome.offered[one.best]),
                time_s: one.time,
                gain_s: one.gain,
                fastest_m_s: reading.map(|r| r.fastest.speed),
                fastest_rpm: reading.map(|r| r.fastest.rpm),
                limiter_s: reading.map(|r| r.states.limiter),
                over_rev: one.cautions.over_rev.map(|over| OverRevBody {
                    gear: over.gear + 1,
                    above_m_s: over.above,
                    rpm_at_fastest: over.rpm,
                }),
                beyond_tyre_m_s: one.cautions.beyond_tyre,
            }
        });
        VenueBody {
            name: &entry.course.name,
            useful_s: useful(entry.course.kind, venue.length),
            specs: specs.collect(),
        }
    });
    let body = Body {
        study: &study.name,
        car: &study.car.name,
        limit_rpm: answer.engines.limit_rpm,
        venues: venues.collect(),
        gearings: rows(answer),
    };
    document("gearing", &body)
}
