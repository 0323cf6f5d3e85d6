//! How sure the ranking is, as JSON.

use serde::Serialize;

use super::{Answer, Venue};
use crate::report::season::{Measured, measured};
use crate::study::season::SeasonVerdict;
use crate::study::verdict::Range;
use crate::study::{Settle, Verdict};

#[derive(Serialize)]
pub struct VerdictBody<'a> {
    word: &'static str,
    leader: &'a str,
    next: &'a str,
    draws: usize,
    /// By how much the leader is quicker than the next.
    gap: RangeBody,
    /// In the order of the specs.
    wins_of_100: Vec<f64>,
    /// Draws of 100 in which leader and next lie closer than anyone can use.
    level_of_100: f64,
    /// By how much each spec is slower than the leader, in the order of the specs.
    behind: Vec<RangeBody>,
}

#[derive(Serialize)]
pub struct SeasonBody<'a> {
    #[serde(flatten)]
    verdict: VerdictBody<'a>,
    #[serde(flatten)]
    measured: Measured,
}

#[derive(Serialize)]
pub struct RangeBody {
    median_s: f64,
    low_s: f64,
    high_s: f64,
}

#[derive(Serialize)]
pub struct FailedBody<'a> {
    reason: &'a str,
    draws: usize,
}

#[derive(Serialize)]
pub struct SettleBody<'a> {
    half_width_by_pulls_s: f64,
    mover: Option<MoverBody>,
    step: Option<StepBody<'a>>,
}

#[derive(Serialize)]
pub struct MoverBody {
    input: &'static str,
    share_of_variance: f64,
}

#[derive(Serialize)]
pub struct BreakEvenBody<'a> {
    quicker: &'a str,
    slower: &'a str,
    /// Share by which the slower one's torque would have to be higher.
    torque: Option<f64>,
    /// By how much the crossing would have to lie higher.
    crossing_by_rpm: Option<f64>,
    corner_share: Option<f64>,
}

pub fn break_even_body<'a>(answer: &Answer<'a>, venue: &Venue<'a>) -> Option<BreakEvenBody<'a>> {
    let ((quicker, slower), found) = venue.certainty?.break_even.as_ref()?;
    Some(BreakEvenBody {
        quicker: answer.name(*quicker),
        slower: answer.name(*slower),
        torque: found.torque,
        crossing_by_rpm: found.crossing,
        corner_share: found.corner_share,
    })
}

#[derive(Serialize)]
pub struct StepBody<'a> {
    refit: Vec<&'a str>,
    pulls_each: usize,
    hours: f64,
}

pub fn verdict_body<'a>(answer: &Answer<'a>, verdict: &Verdict) -> VerdictBody<'a> {
    VerdictBody {
        word: verdict.word.text(),
        leader: answer.name(verdict.leader),
        next: answer.name(verdict.next),
        draws: verdict.draws,
        gap: range(&verdict.gap),
        wins_of_100: verdict.wins.iter().map(|won| 100.0 * won).collect(),
        level_of_100: 100.0 * verdict.level,
        behind: verdict.behind.iter().map(range).collect(),
    }
}

pub fn season_body<'a>(answer: &Answer<'a>, season: &SeasonVerdict) -> SeasonBody<'a> {
    SeasonBody {
        verdict: verdict_body(answer, &season.verdict),
        measured: measured(answer.study, season),
    }
}

fn range(range: &Range) -> RangeBody {
    RangeBody {
        median_s: range.median,
        low_s: range.low,
        high_s: range.high,
    }
}

pub fn failed_body<'a>(venue: &Venue<'a>) -> Vec<FailedBody<'a>> {
    venue
        .certainty
        .iter()
        .flat_map(|certainty| &certainty.failed)
        .map(|(reason, &draws)| FailedBody { reason, draws })
        .collect()
}

pub fn settle_body<'a>(answer: &Answer<'a>, settle: &Settle) -> SettleBody<'a> {
    let specs = &answer.engines.day.specs;
    SettleBody {
        half_width_by_pulls_s: settle.by_pulls,
        mover: settle.mover.map(|(input, share)| MoverBody {
            input: input.name(),
            share_of_variance: share,
        }),
        step: settle.step.as_ref().map(|step| StepBody {
            refit: step.refit.iter().map(|&s| specs[s].name.as_str()).collect(),
            pulls_each: step.pulls,
            hours: step.hours,
        }),
    }
}
