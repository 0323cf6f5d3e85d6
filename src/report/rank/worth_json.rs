//! Where the gap comes from and what changes are worth, as JSON.

use serde::Serialize;

use super::trade::{name, unit};
use crate::study::trade_offs::TradeOffs;
use crate::study::{BandGains, TradeOff};

/// The gap of the two quickest specs: bands, mass and rest sum to it.
#[derive(Serialize)]
pub struct GainsBody<'a> {
    quicker: &'a str,
    slower: &'a str,
    gap_s: f64,
    mass_s: f64,
    rest_s: f64,
    bands: Vec<GainBody>,
}

#[derive(Serialize)]
struct GainBody {
    low_rpm: f64,
    high_rpm: f64,
    quicker_wins_s: f64,
    measured: bool,
}

/// What changes to the car are worth to the quickest spec.
#[derive(Serialize)]
pub struct TradeOffsBody<'a> {
    spec: &'a str,
    time_s: f64,
    piston_speed_at_limit_m_s: Option<f64>,
    changes: Vec<TradeOffBody>,
}

#[derive(Serialize)]
struct TradeOffBody {
    change: &'static str,
    step: f64,
    unit: &'static str,
    less_s: Option<f64>,
    more_s: Option<f64>,
}

/// The gap in bands; `specs` are the names by index.
pub fn gains_body<'a>(gains: &BandGains, name: impl Fn(usize) -> &'a str) -> GainsBody<'a> {
    let bands = gains.bands.iter().map(|band| GainBody {
        low_rpm: band.low_rpm,
        high_rpm: band.high_rpm,
        quicker_wins_s: band.seconds,
        measured: !band.unmeasured,
    });
    GainsBody {
        quicker: name(gains.quicker),
        slower: name(gains.slower),
        gap_s: gains.gap,
        mass_s: gains.mass,
        rest_s: gains.rest,
        bands: bands.collect(),
    }
}

/// The trade-offs of a spec of that name.
pub fn trade_offs_body<'a>(found: &TradeOffs, spec: &'a str) -> TradeOffsBody<'a> {
    let changes = found.list.iter().map(|trade: &TradeOff| TradeOffBody {
        change: name(trade.change),
        step: trade.change.step(),
        unit: unit(trade.change),
        less_s: trade.less,
        more_s: trade.more,
    });
    TradeOffsBody {
        spec,
        time_s: found.time,
        piston_speed_at_limit_m_s: found.piston_speed_per_rpm.map(|per| per * found.limit_rpm),
        changes: changes.collect(),
    }
}
