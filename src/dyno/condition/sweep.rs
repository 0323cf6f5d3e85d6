//! The one sweep of a log: where it begins and ends, and what of it was not at full load.

use std::ops::Range;

use super::{
    Handling, Rows, full_throttle, median, noise, share_off, slope, spikes, steady, time_runs,
    without,
};

/// Share of the rise by which engine speed falls back where a gear is changed or the throttle closed.
const FALLS_BACK: f64 = 0.08;
/// The same, rpm.
const FALLS_BACK_RPM: f64 = 200.0;
/// Share of engine speed that no sweep gains from one row to the next: at 10 rows a second and 600 rpm/s it is 60 rpm,
/// 3 % of 2,000 (a tenfold of that; common practice, no source).
const LEAP: f64 = 0.3;
/// Rows over which the gain in engine speed at an end is looked at.
const BESIDE: usize = 10;

/// The rows of the sweep, without spikes.
pub fn swept(rows: &Rows, all: Vec<usize>, handling: &mut Handling) -> Vec<usize> {
    let full = full_throttle(rows, all);
    let leaps = spikes(&full, &rows.rpm, 0.06);
    let whole = sweep(rows, without(&full, &leaps), handling);
    // A step test that was called a sweep begins and ends as it likes.
    let whole = match handling.stood {
        0 if !handling.falls() => at_full_load(rows, whole, handling),
        _ => whole,
    };
    let whole = behind_a_leap(rows, whole);
    // From step to step torque leaps of itself.
    let mut jumps = match handling.stood {
        0 => spikes(&whole, &rows.torque, 0.03),
        _ => Vec::new(),
    };
    let noise = noise(&whole, &rows.torque);
    jumps.retain(|row| noise.is_none_or(|most| share_off(&whole, &rows.torque, *row) > most));
    let used = without(&whole, &jumps);
    // Half a row of a throttle that closes is no spike.
    let closes = |row: &usize| {
        let at = whole.binary_search(row).unwrap_or_default();
        let before = &whole[at.saturating_sub(5)..at];
        at + BETWEEN + 1 >= whole.len()
            && rows.torque[*row] < median(before.iter().map(|&row| rows.torque[row]))
    };
    let (ends, jumps): (Vec<usize>, Vec<usize>) = jumps.into_iter().partition(closes);
    handling.closing += ends.len();
    handling.spikes = leaps
        .into_iter()
        .filter(|row| used.first() < Some(row) && Some(row) < used.last())
        .chain(jumps)
        .collect();
    handling.spikes.sort_unstable();
    used
}

/// Without a first row from which engine speed leaps to where the sweep begins.
fn behind_a_leap(rows: &Rows, mut whole: Vec<usize>) -> Vec<usize> {
    if let [first, second, ..] = whole[..]
        && (rows.rpm[second] - rows.rpm[first]).abs() > LEAP * rows.rpm[second]
    {
        whole.remove(0);
    }
    whole
}

/// The rows of the one long rise, or fall where the log has no rise: from the last row at the bottom
/// to the first at the top.
fn sweep(rows: &Rows, used: Vec<usize>, handling: &mut Handling) -> Vec<usize> {
    let steady = steady(rows, &used);
    let rpm: Vec<f64> = used.iter().map(|&row| rows.rpm[row]).collect();
    let turned = |of: &[f64]| of.iter().rev().copied().collect::<Vec<f64>>();
    let rise = rise(&steady, &rpm);
    let fallen = turned(&steady);
    let fall = self::rise(&fallen, &turned(&rpm));
    let height = |r: &Range<usize>, s: &[f64]| match r.is_empty() {
        true => 0.0,
        false => s[r.end - 1] - s[r.start],
    };
    // A pull ends with the engine coming down again: the fall counts only where nothing rises.
    let falls = height(&rise, &steady) < 0.5 * height(&fall, &fallen);
    // Without time a table that is sorted from the top looks the same.
    handling.ran_down = falls && time_runs(rows);
    handling.turned_round = falls && !handling.ran_down;
    if falls {
        let n = used.len();
        used[n - fall.end..n - fall.start].to_vec()
    } else {
        used[rise].to_vec()
    }
}

/// From the last place at the bottom to the first at the top, within 0.4 % of the rise, less what lies before
/// engine speed last fell back; with the rows beside them that rise as those within do. `rpm` is engine speed
/// as it was logged.
fn rise(steady: &[f64], rpm: &[f64]) -> Range<usize> {
    let most = steady.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let least = steady.iter().copied().fold(f64::INFINITY, f64::min);
    let near = 0.004 * (most - least);
    let Some(mut top) = steady.iter().position(|&s| s >= most - near) else {
        return 0..0;
    };
    let back = (FALLS_BACK * (most - least)).max(FALLS_BACK_RPM);
    let mut bottom = f64::INFINITY;
    let pulled = steady[..=top].iter().rev().take_while(|&&s| {
        bottom = bottom.min(s);
        s < bottom + back
    });
    let before = top + 1 - pulled.count();
    let start = (before..=top).rev().find(|&at| steady[at] <= bottom + near);
    let mut start = start.unwrap_or(before);
    let half_a_step = |rows: Range<usize>| {
        let pairs = steady[rows].windows(2);
        0.5 * median(pairs.map(|pair| pair[1] - pair[0]))
    };
    let rises = |from: usize, least: f64| least > 0.0 && rpm[from + 1] - rpm[from] >= least;
    let first = half_a_step(start..(start + BESIDE).min(top + 1));
    let last = half_a_step((top + 1).saturating_sub(BESIDE).max(start)..top + 1);
    for _ in 0..BESIDE {
        if start > before && rises(start - 1, first) {
            start -= 1;
        }
        if top + 1 < rpm.len() && rises(top, last) {
            top += 1;
        }
    }
    start..top + 1
}

/// How much faster torque rises than engine speed where the throttle opens, relatively: engines at full load,
/// also those whose boost builds up, stay well below (common practice, no source).
const OPENS: f64 = 6.0;
/// The same of how it falls at the end, where engines themselves lose more.
const CLOSES: f64 = 12.0;
/// How far around a row that is looked for, share of its engine speed.
const NEXT_TO_IT: f64 = 0.15;
/// Share of torque below which nothing is made of it, in logs that do not scatter.
const OFF: f64 = 0.01;
/// Share of the opened torque that a log must start below, for its start to be held against its way on.
const SURELY: f64 = 0.1;
/// What is then left of the opening, share of the torque.
const OPENED: f64 = 0.02;
/// Rows in between that look as at full load, at most.
const BETWEEN: usize = 2;

/// The rows of a rising sweep without those at its ends in which the throttle opens or closes, or a limiter
/// cuts in.
fn at_full_load(rows: &Rows, used: Vec<usize>, handling: &mut Handling) -> Vec<usize> {
    let least = noise(&used, &rows.torque).map_or(OFF, |most| most.max(OFF));
    let steady = steady(rows, &used);
    let points: Vec<(f64, f64)> = used
        .iter()
        .zip(&steady)
        .map(|(&row, rpm)| (*rpm, rows.torque[row]))
        .collect();
    let turned: Vec<(f64, f64)> = points.iter().rev().copied().collect();
    handling.closing = unloaded(&turned, CLOSES, least);
    let points = &points[..points.len() - handling.closing];
    let opening = unloaded(points, OPENS, least);
    let began = points.first().map_or(0.0, |point| point.1);
    handling.opening = opening + lagging(&points[opening..], began, least);
    used[handling.opening..used.len() - handling.closing].to_vec()
}

/// How many points at the beginning have less torque than those next to them by more than engine speed tells.
fn unloaded(points: &[(f64, f64)], times: f64, least: f64) -> usize {
    let torque = |at: usize| {
        let around = &points[at.saturating_sub(1)..(at + 2).min(points.len())];
        median(around.iter().map(|point| point.1))
    };
    let is_short = |at: usize| {
        let (rpm, own) = points[at];
        let beside = (at + 1..points.len())
            .map(|beside| (beside, (points[beside].0 / rpm).ln().abs()))
            .take_while(|(_, way)| *way < NEXT_TO_IT);
        let mut more =
            beside.map(|(beside, way)| torque(beside) / own - (times * way + least).exp());
        own <= 0.0 || more.any(|more| more > 0.0)
    };
    let mut count = 0;
    for at in 0..points.len() / 2 {
        if is_short(at) {
            count = at + 1;
        } else if at >= count + BETWEEN {
            break;
        }
    }
    count
}

/// How many points more have less torque than the way on from there tells: filters and pipes let what opened at
/// once come up slowly. None where the sweep began near to the opened torque.
fn lagging(points: &[(f64, f64)], began: f64, least: f64) -> usize {
    let Some(&(from, opened)) = points.first() else {
        return 0;
    };
    if began > (1.0 - SURELY) * opened {
        return 0;
    }
    let on = points
        .iter()
        .filter(|(rpm, torque)| (1.04..1.25).contains(&(rpm / from)) && *torque > 0.0)
        .map(|(rpm, torque)| (rpm.ln(), torque.ln()));
    let n = on.clone().count() as f64;
    let (x, y) = on
        .clone()
        .fold((0.0, 0.0), |(x, y), p| (x + p.0 / n, y + p.1 / n));
    let steep = slope(on);
    let told = |rpm: f64| (y + steep * (rpm.ln() - x)).exp();
    let short = |&&(rpm, torque): &&(f64, f64)| {
        rpm < 1.04 * from && torque < told(rpm) * (1.0 - OPENED.max(least))
    };
    points.iter().take_while(short).count()
}
