//! The shape of a test day's JSON; names end in their unit.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::dyno::Interval;
use crate::files::finding::Findings;

#[derive(Serialize)]
pub struct Body<'a> {
    pub name: &'a str,
    pub standard: &'a str,
    pub confidence: f64,
    pub method: &'a str,
    pub beside: &'a str,
    pub specs: Vec<Spec<'a>>,
    pub pulls: Vec<Pull<'a>>,
    pub set_aside: Vec<SetAside<'a>>,
    pub returns: Vec<Return<'a>>,
    pub comparisons: Vec<Compared<'a>>,
    pub at: Vec<AtSpeed<'a>>,
    pub scatter: Scatter,
    pub parts: Vec<Part<'a>>,
    pub spec_missing: Option<Missing<'a>>,
    pub outlying: Vec<Outlying<'a>>,
    pub thin_tops: Vec<ThinTop<'a>>,
    pub limiters: Vec<Limiter<'a>>,
    pub refits_off: Vec<RefitOff<'a>>,
    pub unlike: Vec<Unlike<'a>>,
    pub unmeasured: Vec<Unmeasured<'a>>,
    pub next: Vec<Next<'a>>,
    pub layout: Option<Layout>,
    pub findings: &'a Findings,
}

#[derive(Serialize)]
pub struct Spec<'a> {
    pub name: &'a str,
    pub fittings: usize,
    pub retuned: Option<bool>,
    pub peak_torque_nm: f64,
    pub peak_torque_rpm: f64,
    pub peak_power_w: f64,
    pub peak_power_rpm: f64,
    pub still_rising_at_end: bool,
    pub peak_power_as_read_w: f64,
    pub mean_power_w: Option<f64>,
    pub mean_power_from_rpm: f64,
    pub mean_power_to_rpm: f64,
    pub day_shift_percent: f64,
    pub rpm: Vec<f64>,
    pub torque_nm: Vec<f64>,
    pub torque_low_nm: Vec<f64>,
    pub torque_high_nm: Vec<f64>,
}

#[derive(Serialize)]
pub struct Pull<'a> {
    pub name: &'a str,
    pub spec: &'a str,
    pub fitting: usize,
    pub first_after_change: bool,
    pub hours: f64,
    pub factor: f64,
    pub counts_from_rpm: Option<f64>,
    pub counts_up_to_rpm: Option<f64>,
    pub pressure_pa: Option<f64>,
    pub temperature_c: Option<f64>,
    pub humidity: Option<f64>,
    pub rows: usize,
    pub rows_outside: usize,
    pub rows_merged: usize,
    pub spikes: usize,
    pub smoothed_within_rpm: Option<f64>,
    pub channels: BTreeMap<String, f64>,
    pub rpm: Vec<f64>,
    pub torque_nm: Vec<f64>,
}

/// What a spec makes at an engine speed that was asked for.
#[derive(Serialize)]
pub struct AtSpeed<'a> {
    pub rpm: f64,
    pub spec: &'a str,
    pub torque_nm: Option<Bounded>,
    pub power_w: Option<f64>,
    pub gain_nm: Option<Bounded>,
}

/// Engine speeds that are wanted of a spec and were not measured.
#[derive(Serialize)]
pub struct Unmeasured<'a> {
    pub spec: &'a str,
    pub from_rpm: f64,
    pub to_rpm: f64,
}

/// A pull that counts for nothing.
#[derive(Serialize)]
pub struct SetAside<'a> {
    pub pull: &'a str,
    pub spec: &'a str,
    pub why: &'a str,
}

/// A spec that was fitted again after others.
#[derive(Serialize)]
pub struct Return<'a> {
    pub spec: &'a str,
    pub after: Vec<&'a str>,
}

#[derive(Serialize)]
pub struct Bounded {
    pub value: f64,
    pub low: f64,
    pub high: f64,
    pub degrees_of_freedom: Option<f64>,
    pub resolved: bool,
}

impl Bounded {
    pub fn of(interval: &Interval, scale: f64) -> Self {
        Self {
            value: scale * interval.value,
            low: scale * interval.low,
            high: scale * interval.high,
            degrees_of_freedom: interval.df.is_finite().then_some(interval.df),
            resolved: interval.is_resolved(),
        }
    }
}

#[derive(Serialize)]
pub struct Compared<'a> {
    pub spec: &'a str,
    pub less: &'a str,
    pub from_rpm: f64,
    pub to_rpm: f64,
    pub half_width_percent: f64,
    pub half_width_of_pulls_alone_percent: Option<f64>,
    pub degrees_of_freedom: Option<f64>,
    pub crossovers: Vec<Crossing>,
    pub crossovers_without_first_pulls_rpm: Option<Vec<f64>>,
    pub unresolved_rpm: Vec<[f64; 2]>,
    pub gains: Vec<GainOf>,
    pub whole: GainOf,
}

#[derive(Serialize)]
pub struct Crossing {
    pub at_rpm: Vec<f64>,
    pub low_rpm: Option<f64>,
    pub high_rpm: Option<f64>,
    pub spec_leads_below: bool,
    pub resolved: bool,
}

#[derive(Serialize)]
pub struct GainOf {
    pub from_rpm: f64,
    pub to_rpm: f64,
    pub torque_nm: Bounded,
}

#[derive(Serialize)]
pub struct Scatter {
    pub pull_percent: f64,
    pub measured_pull_percent: Option<f64>,
    pub fitting_percent: f64,
    pub wave_percent: f64,
    pub measured_wave_percent: Option<f64>,
    pub wave_length_rpm: f64,
    pub first_pull_percent: f64,
    pub first_pull_error_percent: f64,
    pub drift_percent_per_hour: f64,
    pub drift_error_percent_per_hour: f64,
    /// A drift beyond the usual that the pulls show.
    pub trend_percent_per_hour: Option<f64>,
    pub refits: usize,
    pub repeats: usize,
    pub taken_pull_percent: f64,
    pub taken_fitting_percent: f64,
    pub refitted: Vec<Refitted>,
}

/// One-way analysis of variance of a refitted spec's pull levels by fitting, nothing taken off.
#[derive(Serialize)]
pub struct Refitted {
    pub spec: String,
    pub f: f64,
    pub p: f64,
    pub pull_percent: f64,
    pub fitting_percent: f64,
}

#[derive(Serialize)]
pub struct Part<'a> {
    pub changes: Vec<ChangeOf<'a>>,
    pub told_apart: bool,
    pub thirds_percent: Option<Vec<GainPercent>>,
    pub bands_percent: Option<Vec<GainPercent>>,
}

#[derive(Serialize)]
pub struct ChangeOf<'a> {
    pub kind: &'a str,
    pub from: &'a str,
    pub to: &'a str,
}

#[derive(Serialize)]
pub struct GainPercent {
    pub from_rpm: f64,
    pub to_rpm: f64,
    pub gain: Bounded,
}

#[derive(Serialize)]
pub struct Missing<'a> {
    pub like: &'a str,
    pub kind: &'a str,
    pub part: &'a str,
}

#[derive(Serialize)]
pub struct Outlying<'a> {
    pub pull: &'a str,
    pub spec: &'a str,
    pub from_rpm: Option<f64>,
    pub to_rpm: Option<f64>,
    pub off_percent: f64,
    pub usual_percent: f64,
    pub beside: usize,
    /// It lies above others whose ignition was pulled back.
    pub others_knock: bool,
}

/// The top of a spec's curve that not all of its pulls reach.
#[derive(Serialize)]
pub struct ThinTop<'a> {
    pub spec: &'a str,
    pub above_rpm: f64,
    pub pulls_that_reach: usize,
    pub pulls: usize,
}

/// A spec whose pulls a limiter ended while others went on.
#[derive(Serialize)]
pub struct Limiter<'a> {
    pub spec: &'a str,
    pub cut_rpm: f64,
    pub last_rpm: f64,
    pub others_last_rpm: f64,
}

#[derive(Serialize)]
pub struct RefitOff<'a> {
    pub spec: &'a str,
    pub pulls: Vec<&'a str>,
    pub off_percent: f64,
    pub usual_percent: f64,
}

#[derive(Serialize)]
pub struct Unlike<'a> {
    pub channel: String,
    pub specs: [&'a str; 2],
    pub means: [f64; 2],
}

#[derive(Serialize)]
pub struct Next<'a> {
    pub fit_again: Vec<&'a str>,
    pub pulls: usize,
    pub hours: f64,
    pub half_width_percent: f64,
}

#[derive(Serialize)]
pub struct Layout {
    pub difference_percent: f64,
    pub fittings: usize,
    pub order: Vec<&'static str>,
    pub pulls: usize,
    pub hours: f64,
    pub shows_percent: f64,
}
