//! The answer as comma-separated values.

use super::words::gearbox_name;
use super::{Answer, BAND_RPM, Venue, trade};
use crate::explain::bands::{Band, bands as time_in_band};
use crate::report::csv::{number, table};
use crate::report::format::{decimal, kind_word};
use crate::study::{Reading, Setup};

/// A row per venue, spec and gearing: as geared and at best.
pub fn csv(answer: &Answer) -> String {
    let header = [
        "venue",
        "kind",
        "length_m",
        "spec",
        "gearing",
        "final_drive",
        "gear_set",
        "time_s",
        "gap_s",
        "full_throttle_s",
        "tyres_limit_s",
        "cornering_s",
        "braking_s",
        "shifting_s",
        "limiter_s",
        "clutch_s",
        "shifts",
        "lowest_rpm",
        "lowest_gear",
        "fastest_m_s",
        "best_gears_s",
        "early_500_rpm_s",
        "verdict",
        "wins_of_100",
        "behind_median_s",
        "behind_low_s",
        "behind_high_s",
        "error",
    ];
    let mut rows = Vec::new();
    for venue in answer.venues() {
        let course = &venue.entry.course;
        let start = |spec: usize, gearing: &str, setup: Setup| {
            vec![
                venue.name().to_owned(),
                kind_word(course.kind).to_owned(),
                decimal(venue.run.length, 1),
                answer.name(spec).to_owned(),
                gearing.to_owned(),
                decimal(setup.final_drive(&answer.study.car).ratio, 4),
                gearbox_name(answer, setup),
            ]
        };
        let quickest = |times: Vec<f64>| times.into_iter().fold(f64::INFINITY, f64::min);
        let geared = quickest(venue.run.specs.iter().filter_map(|r| r.time()).collect());
        let best = quickest(
            venue
                .run
                .specs
                .iter()
                .filter_map(|r| r.best_time())
                .collect(),
        );
        for (spec, run) in venue.run.specs.iter().enumerate() {
            let mut row = start(spec, "as geared", Setup::FITTED);
            match &run.as_geared {
                Ok(reading) => {
                    row.extend(figures(reading, geared));
                    row.extend(gears(&venue, spec));
                    row.extend(surely(&venue, spec));
                }
                Err(error) => {
                    row.resize(header.len() - 1, String::new());
                    row.push(error.to_string());
                }
            }
            rows.push(row);
            if let (Some(index), Some(reading)) = (run.best, &run.at_best) {
                let mut row = start(spec, "best", answer.outcome.offered[index]);
                row.extend(figures(reading, best));
                row.resize(header.len(), String::new());
                rows.push(row);
            }
        }
    }
    table(&header, rows)
}

/// Seconds with the best choice of gears, and lost by changing up early.
fn gears(venue: &Venue, spec: usize) -> [String; 2] {
    let found = venue
        .schedules
        .get(spec)
        .and_then(|found| found.as_ref().ok());
    found.map_or(Default::default(), |found| {
        [found.at_best, found.early].map(|value| decimal(value, 3))
    })
}

/// How sure the ranking is as geared; verdicts are given for nothing else.
fn surely(venue: &Venue, spec: usize) -> [String; 6] {
    let Some(verdict) = venue.verdict() else {
        return Default::default();
    };
    let behind = verdict.behind[spec];
    [
        verdict.word.text().to_owned(),
        decimal(100.0 * verdict.wins[spec], 1),
        decimal(behind.median, 3),
        decimal(behind.low, 3),
        decimal(behind.high, 3),
        String::new(),
    ]
}

fn figures(reading: &Reading, quickest: f64) -> Vec<String> {
    let s = &reading.states;
    let low = reading.lowest.as_ref().map(|(low, _)| low);
    let mut row: Vec<String> = [
        reading.time,
        reading.time - quickest,
        s.engine,
        s.traction,
        s.cornering,
        s.braking,
        s.shifting,
        s.limiter,
        s.clutch,
    ]
    .iter()
    .map(|value| decimal(*value, 3))
    .collect();
    row.push(s.shifts.to_string());
    row.push(number(low.map(|low| low.rpm), 0));
    row.push(low.map_or(String::new(), |low| (low.gear + 1).to_string()));
    row.push(decimal(reading.fastest.speed, 2));
    row
}

/// A row per venue, spec and rpm band, as geared.
pub fn bands(answer: &Answer) -> String {
    let header = [
        "venue",
        "spec",
        "low_rpm",
        "high_rpm",
        "time_s",
        "full_throttle_s",
        "wins_s",
    ];
    let mut rows = Vec::new();
    for venue in answer.venues() {
        for (spec, run) in venue.run.specs.iter().enumerate() {
            let Ok(reading) = &run.as_geared else {
                continue;
            };
            for band in time_in_band(&reading.spans, BAND_RPM).bands {
                rows.push(vec![
                    venue.name().to_owned(),
                    answer.name(spec).to_owned(),
                    decimal(band.low_rpm, 0),
                    decimal(band.high_rpm, 0),
                    decimal(band.time, 3),
                    decimal(band.full, 3),
                    number(wins(&venue, spec, &band), 4),
                ]);
            }
        }
    }
    table(&header, rows)
}

/// Seconds that a spec wins in a band against the other of the two quickest.
fn wins(venue: &Venue, spec: usize, band: &Band) -> Option<f64> {
    let gains = venue.gains?;
    let seconds = gains.within(band.low_rpm, band.high_rpm);
    match spec {
        _ if spec == gains.quicker => Some(seconds),
        _ if spec == gains.slower => Some(-seconds),
        _ => None,
    }
}

/// A row per venue and change to the car, for the quickest spec as geared.
pub fn trade_offs(answer: &Answer) -> String {
    let header = [
        "venue", "spec", "change", "step", "unit", "less_s", "more_s",
    ];
    let mut rows = Vec::new();
    for venue in answer.venues() {
        let Some(found) = venue.trade_offs else {
            continue;
        };
        for row in &found.list {
            rows.push(vec![
                venue.name().to_owned(),
                answer.name(found.spec).to_owned(),
                trade::name(row.change).to_owned(),
                row.change.step().to_string(),
                trade::unit(row.change).to_owned(),
                number(row.less, 4),
                number(row.more, 4),
            ]);
        }
    }
    table(&header, rows)
}
