//! Corners that a log of speed alone shows: where the speed dips, and where the car could go faster
//! and the driver does not let it.

use super::{Apex, FlatOut, Trace};

/// A dip is one where the speed rises again by this share on both sides.
const DIP: f64 = 0.04;
/// A corner reaches as far as the speed stays within this share of its lowest.
const REACH: f64 = 0.03;
/// Speed is averaged over this time before it is differentiated, s.
const WINDOW: f64 = 0.6;
/// Bins of speed in which the car's best acceleration is sought, m/s.
const BIN: f64 = 2.0;
/// Of the accelerations in a bin this share is below the best one.
const BEST: f64 = 0.9;
/// A driver who uses less than this share of the best acceleration holds back.
const HELD: f64 = 0.45;
/// Deceleration that is braking, not holding, m/s².
const BRAKING: f64 = 1.5;
/// Where the best acceleration is less, the car is near its top speed and nothing shows, m/s².
const WEAK: f64 = 0.6;
/// A change of gear is over sooner, s.
const SHIFT: f64 = 1.0;
/// What is held within this share of the highest speed is held by the car, with so many rows below at most.
const HIGHEST: f64 = 0.02;
const BELOW: f64 = 0.2;

/// The corners of a run that shows only its speed, in driving order, and where it stays at its highest speed.
pub(super) fn corners(trace: &Trace) -> (Vec<Apex>, Option<FlatOut>) {
    let mut rows = dips(&trace.speed);
    let highest = trace.speed.iter().copied().fold(0.0, f64::max);
    let flat = |rows: &std::ops::Range<usize>| {
        let below = |v: &&f64| **v < highest * (1.0 - HIGHEST);
        let below = trace.speed[rows.clone()].iter().filter(below).count();
        below as f64 <= BELOW * rows.len() as f64
    };
    let (flat, held): (Vec<_>, Vec<_>) = held(trace).into_iter().partition(flat);
    rows.extend(held);
    rows.sort_by_key(|range| range.start);
    let mut merged: Vec<std::ops::Range<usize>> = Vec::new();
    for range in rows {
        match merged.last_mut() {
            Some(last) if range.start < last.end => last.end = last.end.max(range.end),
            _ => merged.push(range),
        }
    }
    let mut found = Vec::new();
    for range in merged {
        split(trace, range, &mut found);
    }
    let taken = |rows: &std::ops::Range<usize>| trace.time[rows.end - 1] - trace.time[rows.start];
    let flat_out = flat.first().map(|first| FlatOut {
        speed: highest,
        from: trace.time[first.start],
        time: flat.iter().map(taken).sum(),
    });
    (found, flat_out)
}

/// The same of a lap, which goes on where it began: a corner that the line cuts is two of one speed.
pub(super) fn corners_of_lap(trace: &Trace) -> (Vec<Apex>, Option<FlatOut>) {
    let rows = 0..trace.speed.len();
    // No corner is where the car is fastest.
    let fastest = rows.max_by(|&a, &b| trace.speed[a].total_cmp(&trace.speed[b]));
    let row = fastest.unwrap_or_default();
    let (found, flat_out) = corners(&trace.begun_at(row));
    let (begun, length) = (trace.distance[row], trace.length());
    let moved = |(from, to): (f64, f64), by: f64| (from + by, to + by);
    let mut apexes: Vec<Apex> = Vec::with_capacity(found.len() + 1);
    for apex in found {
        let round = if apex.reach.0 + begun < length {
            0.0
        } else {
            length
        };
        let (start, end) = moved(apex.reach, begun - round);
        let part = |from: f64, to: f64| Apex {
            at: (apex.at + begun).rem_euclid(length).clamp(from, to),
            reach: (from, to),
            held: (from, to),
            ..apex
        };
        apexes.push(part(start, end.min(length)));
        if end > length {
            apexes.push(part(0.0, end - length));
        }
    }
    apexes.sort_by(|a, b| a.reach.0.total_cmp(&b.reach.0));
    let flat_out = flat_out.map(|flat| FlatOut {
        from: trace.time[0]
            + (flat.from + trace.time[row] - trace.time[0])
                .rem_euclid(trace.time().max(f64::MIN_POSITIVE)),
        ..flat
    });
    (apexes, flat_out)
}

/// One corner while the speed hardly changes; two halves where it does.
fn split(trace: &Trace, rows: std::ops::Range<usize>, found: &mut Vec<Apex>) {
    let speeds = &trace.speed[rows.clone()];
    let lowest = speeds.iter().copied().fold(f64::INFINITY, f64::min);
    let highest = speeds.iter().copied().fold(0.0, f64::max);
    if highest > lowest * (1.0 + 2.0 * REACH) && rows.len() >= 8 {
        let middle = rows.start + rows.len() / 2;
        split(trace, rows.start..middle, found);
        split(trace, middle..rows.end, found);
        return;
    }
    // The mean of the slow rows, not the lowest: a logger's speed is noisy.
    let slow = speeds.iter().filter(|v| **v <= lowest * (1.0 + REACH));
    let (sum, count) = slow.fold((0.0, 0.0), |(sum, count), v| (sum + v, count + 1.0));
    let speed = sum / f64::max(count, 1.0);
    let (first, last) = (rows.start, rows.end - 1);
    let apex = rows
        .min_by(|&a, &b| trace.speed[a].total_cmp(&trace.speed[b]))
        .unwrap_or(first);
    let before = trace.distance[first.saturating_sub(1)];
    let after = trace.distance[(last + 1).min(trace.distance.len() - 1)];
    // The corner begins and ends somewhere between two rows.
    let start = 0.5 * (before + trace.distance[first]);
    let end = 0.5 * (after + trace.distance[last]);
    if end > start {
        found.push(Apex {
            at: trace.distance[apex],
            reach: (start, end),
            held: (start, end),
            speed,
            lateral: None,
        });
    }
}

/// Rows around each dip of the speed.
fn dips(speed: &[f64]) -> Vec<std::ops::Range<usize>> {
    let mut found = Vec::new();
    let mut row = 0;
    while let Some(apex) = next_dip(speed, row) {
        let bound = speed[apex] * (1.0 + REACH);
        let from = (0..apex)
            .rev()
            .find(|&r| speed[r] > bound)
            .map_or(0, |r| r + 1);
        let to = (apex..speed.len())
            .find(|&r| speed[r] > bound)
            .unwrap_or(speed.len());
        found.push(from..to);
        row = to;
    }
    found
}

/// The lowest row of the next dip: between two rises.
fn next_dip(speed: &[f64], from: usize) -> Option<usize> {
    let mut top = speed.get(from).copied()?;
    let mut low = from;
    for row in from..speed.len() {
        let v = speed[row];
        if v < speed[low] {
            low = row;
        }
        let fell = top > speed[low] * (1.0 + DIP);
        if fell && v > speed[low] * (1.0 + DIP) {
            return Some(low);
        }
        if !fell && v > top {
            top = v;
            low = row;
        }
    }
    None
}

/// Rows where the car accelerates clearly less than it does elsewhere at that speed, and does not
/// brake, for longer than a change of gear.
fn held(trace: &Trace) -> Vec<std::ops::Range<usize>> {
    let acceleration = accelerations(trace);
    let best = best_by_speed(&trace.speed, &acceleration);
    let holds = |row: usize| {
        let best = best[(trace.speed[row] / BIN) as usize];
        best > WEAK && acceleration[row] < HELD * best && acceleration[row] > -BRAKING
    };
    let mut found = Vec::new();
    let mut row = 0;
    while row < trace.speed.len() {
        let mut end = row;
        while end < trace.speed.len() && holds(end) {
            end += 1;
        }
        if end > row && trace.time[end - 1] - trace.time[row] >= SHIFT {
            found.push(row..end);
        }
        row = end.max(row + 1);
    }
    found
}

/// Slope of speed over time by least squares in a window about each row, m/s².
pub(super) fn accelerations(trace: &Trace) -> Vec<f64> {
    let (mut from, mut to) = (0, 0);
    (0..trace.speed.len())
        .map(|row| {
            let now = trace.time[row];
            while trace.time[from] < now - 0.5 * WINDOW {
                from += 1;
            }
            while to + 1 < trace.time.len() && trace.time[to + 1] <= now + 0.5 * WINDOW {
                to += 1;
            }
            let count = (to - from + 1) as f64;
            let mean = |column: &[f64]| column[from..=to].iter().sum::<f64>() / count;
            let (t, v) = (mean(&trace.time), mean(&trace.speed));
            let (mut tt, mut tv) = (0.0, 0.0);
            for r in from..=to {
                tt += (trace.time[r] - t) * (trace.time[r] - t);
                tv += (trace.time[r] - t) * (trace.speed[r] - v);
            }
            if tt > 0.0 { tv / tt } else { 0.0 }
        })
        .collect()
}

/// The best acceleration that the car shows at each speed, bins of [`BIN`] and their neighbours
/// together.
fn best_by_speed(speed: &[f64], acceleration: &[f64]) -> Vec<f64> {
    let top = speed.iter().copied().fold(0.0, f64::max);
    let mut bins: Vec<Vec<f64>> = vec![Vec::new(); (top / BIN) as usize + 1];
    for (v, a) in speed.iter().zip(acceleration).filter(|(_, a)| **a > 0.0) {
        bins[(v / BIN) as usize].push(*a);
    }
    (0..bins.len())
        .map(|i| {
            let around = &bins[i.saturating_sub(1)..(i + 2).min(bins.len())];
            let mut all: Vec<f64> = around.iter().flatten().copied().collect();
            all.sort_by(f64::total_cmp);
            let at = (all.len().saturating_sub(1) as f64 * BEST).round() as usize;
            all.get(at).copied().unwrap_or(0.0)
        })
        .collect()
}
