//! The gearings as comma-separated values and JSON.

use serde::Serialize;

use super::Answer;
use crate::report::csv::{number, table};
use crate::report::format::decimal;
use crate::report::json::document;
use crate::report::setup::{both, drive, gear_set, tyre};
use crate::study::{Setup, useful};

/// A row per venue, spec and gearing.
pub fn csv(answer: &Answer) -> String {
    let header = [
        "venue",
        "spec",
        "final_drive",
        "final_drive_teeth",
        "gear_set",
        "tyre",
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
            row.tyre.to_owned(),
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
    tyre: &'a str,
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
                if !setup.is_for(car, entry.trim) {
                    continue;
                }
                let time_s = time.as_ref().ok().copied();
                rows.push(Row {
                    venue: &entry.name,
                    spec: &answer.engines.list[spec].name,
                    final_drive: setup.final_drive(car).ratio,
                    final_drive_teeth: match setup.final_drive(car).teeth {
                        Some(_) => drive(car, setup),
                        None => String::new(),
                    },
                    gear_set: gear_set(car, setup),
                    tyre: tyre(car, setup).unwrap_or(&car.trims[entry.trim].tyre),
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
    /// Too much of what lies between the first two comes from rpm that no pull of one of them reached.
    not_measured: bool,
    /// The quickest first.
    specs: Vec<BestBody<'a>>,
}

#[derive(Serialize)]
struct BestBody<'a> {
    spec: &'a str,
    gearing: String,
    time_s: f64,
    gain_s: Option<f64>,
    /// Of a venue's quickest spec; over the fitted gearing.
    sure: Option<SureBody>,
    fastest_m_s: Option<f64>,
    fastest_rpm: Option<f64>,
    limiter_s: Option<f64>,
    over_rev: Option<OverRevBody>,
    beyond_tyre_m_s: Option<f64>,
    tyre_overload_kg: Option<f64>,
    propshaft_rpm: Option<f64>,
    /// With the fitted gears.
    ideal_final_drive: Option<IdealBody>,
}

#[derive(Serialize)]
struct IdealBody {
    ratio: f64,
    time_s: f64,
    low: f64,
    high: f64,
    nearest_offered: String,
    quickest_offered: Option<String>,
}

/// Of the draws, 95 of 100 between `low_s` and `high_s`.
#[derive(Serialize)]
struct SureBody {
    verdict: &'static str,
    low_s: f64,
    median_s: f64,
    high_s: f64,
    won: f64,
    draws: u64,
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
        let quickest = answer.suited[index].first().map(|one| one.spec);
        let own = |spec: usize| answer.sure[index].filter(|_| quickest == Some(spec));
        let specs = answer.suited[index].iter().map(|one| {
            let reading = venue.specs[one.spec].at_best.as_ref();
            BestBody {
                spec: &answer.engines.list[one.spec].name,
                gearing: both(&study.car, answer.outcome.offered[one.best]),
                time_s: one.time,
                gain_s: one.gain,
                sure: own(one.spec).map(|sure| SureBody {
                    verdict: sure.word.text(),
                    low_s: sure.gain.low,
                    median_s: sure.gain.median,
                    high_s: sure.gain.high,
                    won: sure.won,
                    draws: answer.plan.draws,
                }),
                fastest_m_s: reading.map(|r| r.fastest.speed),
                fastest_rpm: reading.map(|r| r.fastest.rpm),
                limiter_s: reading.map(|r| r.states.limiter),
                over_rev: one.cautions.over_rev.map(|over| OverRevBody {
                    gear: over.gear + 1,
                    above_m_s: over.above,
                    rpm_at_fastest: over.rpm,
                }),
                beyond_tyre_m_s: one.cautions.beyond_tyre,
                tyre_overload_kg: one.cautions.tyre_load.map(|(most, on)| on - most),
                propshaft_rpm: one.cautions.propshaft_rpm,
                ideal_final_drive: one.ideal.map(|ideal| IdealBody {
                    ratio: ideal.ratio,
                    time_s: ideal.time,
                    low: ideal.band.0,
                    high: ideal.band.1,
                    nearest_offered: drive(&study.car, answer.outcome.offered[ideal.nearest]),
                    quickest_offered: ideal
                        .quickest
                        .map(|i| drive(&study.car, answer.outcome.offered[i])),
                }),
            }
        });
        VenueBody {
            name: &entry.name,
            useful_s: useful(entry.course.kind, venue.length),
            not_measured: answer.not_measured[index],
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
