//! The answer as JSON.

use serde::Serialize;

use super::gears::advised;
use super::sure_json::{
    BreakEvenBody, FailedBody, SeasonBody, SettleBody, VerdictBody, break_even_body, failed_body,
    season_body, settle_body, verdict_body,
};
use super::why::why;
use super::words::gearbox_name;
use super::worth_json::{GainsBody, TradeOffsBody, gains_body, trade_offs_body};
use super::{Answer, BAND_RPM, Venue};
use crate::explain::bands;
use crate::files::finding::Findings;
use crate::report::format::kind_word;
use crate::report::json::document;
use crate::study::{Reading, Setup, SpecRun};

#[derive(Serialize)]
struct Body<'a> {
    study: &'a str,
    car: &'a str,
    limit_rpm: f64,
    draws: u64,
    seed: u64,
    specs: Vec<Spec<'a>>,
    crossings: Vec<Crossing<'a>>,
    /// Over all events as they count.
    season: Option<SeasonBody<'a>>,
    venues: Vec<VenueBody<'a>>,
    assumptions: Vec<Assumption<'a>>,
    findings: &'a Findings,
}

#[derive(Serialize)]
struct Spec<'a> {
    name: &'a str,
    extra_mass_kg: f64,
    first_rpm: f64,
    last_rpm: f64,
    extended_to_rpm: Option<f64>,
}

#[derive(Serialize)]
struct Crossing<'a> {
    first: &'a str,
    second: &'a str,
    rpm: f64,
    first_leads_below: bool,
}

#[derive(Serialize)]
struct VenueBody<'a> {
    name: &'a str,
    kind: &'static str,
    length_m: f64,
    trim: &'a str,
    passes: u32,
    laps: Option<u32>,
    useful_s: f64,
    /// A usual kind of road, where no venue is named.
    stands_in: bool,
    corner_share: f64,
    /// Whether the corner share is solved from a known time.
    share_from_known_time: bool,
    /// Of a sketch: on how many roads each spec is the quickest.
    wins_by_road: Vec<usize>,
    /// Indices of the specs from quickest to slowest.
    order: Vec<usize>,
    order_at_best: Vec<usize>,
    why: Option<String>,
    /// As geared; nothing for fewer than two specs, or where no draw can be driven.
    verdict: Option<VerdictBody<'a>>,
    /// The same with the first pull after each change left out.
    verdict_without_first_pulls: Option<VerdictBody<'a>>,
    failed_draws: Vec<FailedBody<'a>>,
    settle: Option<SettleBody<'a>>,
    /// What alone would draw the two quickest level.
    break_even: Option<BreakEvenBody<'a>>,
    quicker_wins_s: Option<f64>,
    slower_wins_back_s: Option<f64>,
    /// The gap of the two quickest specs as geared, band by band.
    gains: Option<GainsBody<'a>>,
    /// What changes are worth to the quickest spec as geared.
    trade_offs: Option<TradeOffsBody<'a>>,
    /// Estimated error of a time that the cells leave, s.
    estimated_error_s: Option<f64>,
    /// Where it was asked for.
    accuracy: Option<AccuracyBody>,
    specs: Vec<SpecBody<'a>>,
}

#[derive(Serialize)]
struct SpecBody<'a> {
    name: &'a str,
    error: Option<String>,
    /// As geared, the driver's choice of gears beside the best one.
    schedule: Option<ScheduleBody<'a>>,
    as_geared: Option<LapBody<'a>>,
    at_best: Option<LapBody<'a>>,
    gearings: Vec<Gearing>,
}

#[derive(Serialize)]
struct ScheduleBody<'a> {
    as_driven_s: f64,
    at_best_s: f64,
    early_500_rpm_s: f64,
    advice: Vec<AdviceBody<'a>>,
}

#[derive(Serialize)]
struct AdviceBody<'a> {
    place: &'a str,
    gain_s: f64,
    words: String,
    /// It passes the driver's shift light.
    past_light: bool,
}

#[derive(Serialize)]
struct AccuracyBody {
    cells: usize,
    mean_length_m: f64,
    halved_time_s: f64,
    halved_gap_s: Option<f64>,
}

#[derive(Serialize)]
struct Gearing {
    final_drive: f64,
    gear_set: String,
    time_s: Option<f64>,
    error: Option<String>,
}

#[derive(Serialize)]
struct LapBody<'a> {
    final_drive: f64,
    gear_set: String,
    time_s: f64,
    gap_s: Option<f64>,
    states: StatesBody,
    shifts: u32,
    slip_at_limit: f64,
    full_throttle_below_first_crossing: Option<f64>,
    lowest: Option<LowestBody<'a>>,
    fastest: FastestBody<'a>,
    bands: Vec<BandBody>,
}

#[derive(Serialize)]
struct StatesBody {
    full_throttle_s: f64,
    tyres_limit_s: f64,
    cornering_s: f64,
    braking_s: f64,
    shifting_s: f64,
    limiter_s: f64,
    clutch_s: f64,
}

#[derive(Serialize)]
struct LowestBody<'a> {
    rpm: f64,
    gear: usize,
    held: bool,
    speed_m_s: f64,
    place: &'a str,
}

#[derive(Serialize)]
struct FastestBody<'a> {
    speed_m_s: f64,
    gear: usize,
    rpm: f64,
    place: &'a str,
}

#[derive(Serialize)]
struct BandBody {
    low_rpm: f64,
    high_rpm: f64,
    time_s: f64,
    full_throttle_s: f64,
}

#[derive(Serialize)]
struct Assumption<'a> {
    key: &'a str,
    venue: &'a str,
    moves_gap_by_s: Option<f64>,
    /// Of a single spec.
    moves_time_by_s: Option<f64>,
    turns: Vec<&'a str>,
}

/// The whole answer.
pub fn json(answer: &Answer) -> String {
    let engines = answer.engines;
    let extended: Vec<usize> = engines.extended().map(|(spec, _)| spec).collect();
    let name = |entry: usize| answer.study.entries[entry].name.as_str();
    let body = Body {
        study: &answer.study.name,
        car: &answer.study.car.name,
        limit_rpm: engines.limit_rpm,
        draws: answer.plan.draws,
        seed: answer.plan.seed,
        specs: engines
            .list
            .iter()
            .enumerate()
            .map(|(index, spec)| Spec {
                name: &spec.name,
                extra_mass_kg: spec.extra_mass,
                first_rpm: spec.curve.first_rpm(),
                last_rpm: spec.curve.last_rpm(),
                extended_to_rpm: extended.contains(&index).then_some(engines.limit_rpm),
            })
            .collect(),
        crossings: crossings(answer),
        season: answer.season.map(|season| season_body(answer, season)),
        venues: answer
            .venues()
            .map(|venue| venue_body(answer, &venue))
            .collect(),
        assumptions: answer
            .moves
            .iter()
            .map(|moved| Assumption {
                key: &moved.key,
                venue: name(moved.entry),
                moves_gap_by_s: (engines.list.len() > 1).then_some(moved.by),
                moves_time_by_s: (engines.list.len() == 1).then_some(moved.by),
                turns: moved.turns.iter().map(|&entry| name(entry)).collect(),
            })
            .collect(),
        findings: answer.findings,
    };
    document("rank", &body)
}

fn crossings<'a>(answer: &Answer<'a>) -> Vec<Crossing<'a>> {
    let count = answer.engines.list.len();
    let pairs = (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b)));
    pairs
        .flat_map(|(a, b)| {
            answer
                .engines
                .crossings(a, b)
                .into_iter()
                .map(move |crossing| (a, b, crossing))
        })
        .map(|(a, b, crossing)| Crossing {
            first: answer.name(a),
            second: answer.name(b),
            rpm: crossing.rpm,
            first_leads_below: crossing.first_leads_below,
        })
        .collect()
}

fn venue_body<'a>(answer: &Answer<'a>, venue: &Venue<'a>) -> VenueBody<'a> {
    let course = &venue.entry.course;
    let order = venue.run.order(SpecRun::time);
    let at_best = venue.run.order(SpecRun::best_time);
    let quickest = [order.first().map(|o| o.1), at_best.first().map(|o| o.1)];
    let first_crossing = venue.lead(SpecRun::time).and_then(|lead| {
        answer
            .engines
            .crossings(lead.quicker, lead.slower)
            .first()
            .map(|c| c.rpm)
    });
    let specs = venue
        .run
        .specs
        .iter()
        .enumerate()
        .map(|(spec, run)| SpecBody {
            name: answer.name(spec),
            error: run.as_geared.as_ref().err().map(ToString::to_string),
            schedule: schedule_body(venue, spec),
            as_geared: run.as_geared.as_ref().ok().map(|reading| {
                lap_body(answer, reading, Setup::FITTED, quickest[0], first_crossing)
            }),
            at_best: run.best.zip(run.at_best.as_ref()).map(|(index, reading)| {
                lap_body(
                    answer,
                    reading,
                    answer.outcome.offered[index],
                    quickest[1],
                    first_crossing,
                )
            }),
            gearings: answer
                .outcome
                .offered
                .iter()
                .zip(&run.times)
                .map(|(setup, time)| Gearing {
                    final_drive: setup.final_drive(&answer.study.car).ratio,
                    gear_set: gearbox_name(answer, *setup),
                    time_s: time.as_ref().ok().copied(),
                    error: time.as_ref().err().map(ToString::to_string),
                })
                .collect(),
        });
    VenueBody {
        name: venue.name(),
        kind: kind_word(course.kind),
        length_m: venue.run.length,
        trim: &answer.study.car.trims[venue.entry.trim].name,
        passes: venue.entry.passes,
        laps: venue.entry.laps,
        useful_s: venue.useful(),
        stands_in: course.stands_in,
        corner_share: venue.entry.habits.corner_share,
        share_from_known_time: (course.known.as_ref()).is_some_and(|k| k.corner_share.is_some()),
        wins_by_road: crate::study::roads::wins(&venue.run.roads, venue.useful()),
        order: order.iter().map(|o| o.0).collect(),
        order_at_best: at_best.iter().map(|o| o.0).collect(),
        why: why(answer, venue),
        verdict: venue.verdict().map(|verdict| verdict_body(answer, verdict)),
        verdict_without_first_pulls: venue
            .certainty
            .and_then(|certainty| certainty.without_first.as_ref())
            .map(|verdict| verdict_body(answer, verdict)),
        failed_draws: failed_body(venue),
        settle: venue
            .certainty
            .and_then(|certainty| certainty.settle.as_ref())
            .map(|settle| settle_body(answer, settle)),
        break_even: break_even_body(answer, venue),
        quicker_wins_s: venue.gains.map(|gains| gains.won()),
        slower_wins_back_s: venue.gains.map(|gains| gains.lost()),
        gains: venue
            .gains
            .map(|gains| gains_body(gains, |spec| answer.name(spec))),
        trade_offs: venue
            .trade_offs
            .map(|found| trade_offs_body(found, answer.name(found.spec))),
        estimated_error_s: venue.run.road.as_ref().ok().and_then(|road| road.error),
        accuracy: venue.accuracy.map(|found| AccuracyBody {
            cells: found.cells,
            mean_length_m: found.mean_length,
            halved_time_s: found.time,
            halved_gap_s: found.gap,
        }),
        specs: specs.collect(),
    }
}

fn schedule_body<'a>(venue: &Venue<'a>, spec: usize) -> Option<ScheduleBody<'a>> {
    let found = venue.schedules.get(spec)?.as_ref().ok()?;
    let light = venue.entry.habits.shift_light_rpm;
    let advice = found.advice.iter().map(|one| AdviceBody {
        place: &one.place,
        gain_s: one.gain,
        words: advised(one, None),
        past_light: !one.passes(light),
    });
    Some(ScheduleBody {
        as_driven_s: found.as_driven,
        at_best_s: found.at_best,
        early_500_rpm_s: found.early,
        advice: advice.collect(),
    })
}

fn lap_body<'a>(
    answer: &Answer<'a>,
    reading: &'a Reading,
    setup: Setup,
    quickest: Option<f64>,
    first_crossing: Option<f64>,
) -> LapBody<'a> {
    let s = &reading.states;
    LapBody {
        final_drive: setup.final_drive(&answer.study.car).ratio,
        gear_set: gearbox_name(answer, setup),
        time_s: reading.time,
        gap_s: quickest.map(|quickest| reading.time - quickest),
        states: StatesBody {
            full_throttle_s: s.engine,
            tyres_limit_s: s.traction,
            cornering_s: s.cornering,
            braking_s: s.braking,
            shifting_s: s.shifting,
            limiter_s: s.limiter,
            clutch_s: s.clutch,
        },
        shifts: s.shifts,
        slip_at_limit: reading.slip,
        full_throttle_below_first_crossing: first_crossing
            .and_then(|rpm| bands::full_share_below(&reading.spans, rpm)),
        lowest: reading.lowest.as_ref().map(|(low, place)| LowestBody {
            rpm: low.rpm,
            gear: low.gear + 1,
            held: low.held,
            speed_m_s: low.speed,
            place,
        }),
        fastest: FastestBody {
            speed_m_s: reading.fastest.speed,
            gear: reading.fastest.gear + 1,
            rpm: reading.fastest.rpm,
            place: &reading.fastest.place,
        },
        bands: bands::bands(&reading.spans, BAND_RPM)
            .bands
            .iter()
            .map(|band| BandBody {
                low_rpm: band.low_rpm,
                high_rpm: band.high_rpm,
                time_s: band.time,
                full_throttle_s: band.full,
            })
            .collect(),
    }
}
