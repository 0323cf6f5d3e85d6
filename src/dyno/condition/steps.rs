//! A logged step test: the means of the stretches in which the brake held the engine.

use std::ops::Range;

use super::{LOGGED_ROWS, Merged, Rows, steady};

/// How far engine speed may wander in a second where the brake holds it, rpm.
const HELD_RPM: f64 = 25.0;
/// Fewest rows of a long stretch, and fewest steps.
const FEWEST: usize = 5;
/// Held speeds this near are one step, rpm.
const ALIKE_RPM: f64 = 60.0;

/// Longest time between rows of a log in which few of them make a step, s.
const QUICK: f64 = 0.4;
/// Shortest time for which a step is held, s.
const SHORTEST: f64 = 1.0;

/// The rows in which the engine was held, less the first third of each stretch (settling), and one
/// point for each step.
pub fn held(rows: &Rows, used: Vec<usize>) -> (Vec<usize>, Merged) {
    let long = averaged(rows, &used, &long(rows, &used));
    if long.1.0.len() >= FEWEST && spacing(rows, &used).is_none_or(|step| step < QUICK) {
        return long;
    }
    let brief = averaged(rows, &used, &brief(rows, &used));
    match brief.1.0.len() > long.1.0.len() {
        true => brief,
        false => long,
    }
}

/// Stretches in which engine speed stays where it is for a second and over five rows.
fn long(rows: &Rows, used: &[usize]) -> Vec<Range<usize>> {
    let steady = steady(rows, used);
    let reach = reach(rows, used);
    let is_held = |at: usize| {
        let before = steady[at.saturating_sub(reach)];
        let after = steady[(at + reach).min(used.len() - 1)];
        (after - before).abs() <= HELD_RPM
    };
    let flags: Vec<usize> = (0..used.len()).filter(|&at| is_held(at)).collect();
    flags
        .chunk_by(|a, b| a + 1 == *b && (steady[*a] - steady[*b]).abs() < HELD_RPM)
        .filter(|stretch| stretch.len() >= FEWEST)
        .map(|stretch| stretch[0]..stretch[stretch.len() - 1] + 1)
        .collect()
}

/// Stretches of two rows and more, one after another, of like speed: as slow logs have them.
fn brief(rows: &Rows, used: &[usize]) -> Vec<Range<usize>> {
    let lasts = |stretch: &Range<usize>| {
        let time = rows.time.as_ref().zip(spacing(rows, used));
        time.is_none_or(|(time, step)| {
            time[used[stretch.end - 1]] - time[used[stretch.start]] + step >= SHORTEST
        })
    };
    alike(rows, used)
        .into_iter()
        .filter(|stretch| stretch.len() > 1 && lasts(stretch))
        .collect()
}

/// Rows one after another, parted where engine speed leaves the mean of those before it.
fn alike(rows: &Rows, used: &[usize]) -> Vec<Range<usize>> {
    let mut stretches: Vec<Range<usize>> = Vec::new();
    let mut sum = 0.0;
    for (at, &row) in used.iter().enumerate() {
        let rpm = rows.rpm[row];
        match stretches.last_mut() {
            Some(last) if (rpm - sum / last.len() as f64).abs() <= HELD_RPM => {
                last.end = at + 1;
                sum += rpm;
            }
            _ => {
                stretches.push(at..at + 1);
                sum = rpm;
            }
        }
    }
    stretches
}

/// The rows of stretches without those that settle, and their means.
fn averaged(rows: &Rows, used: &[usize], stretches: &[Range<usize>]) -> (Vec<usize>, Merged) {
    let mut kept = Vec::new();
    let mut steps: Vec<(f64, f64, f64)> = Vec::new();
    for stretch in stretches {
        // What was written down by hand had settled.
        let unsettled = match rows.time.is_some() || used.len() >= LOGGED_ROWS {
            true => stretch.len() / 3,
            false => 0,
        };
        let settled = &used[stretch.start + unsettled..stretch.end];
        let n = settled.len() as f64;
        let sum = |of: &[f64]| settled.iter().map(|&row| of[row]).sum::<f64>();
        steps.push((sum(&rows.rpm), sum(&rows.torque), n));
        kept.extend(settled);
    }
    steps.sort_by(|a, b| (a.0 / a.2).total_cmp(&(b.0 / b.2)));
    let mut merged: Merged = Default::default();
    for alike in steps.chunk_by(|a, b| b.0 / b.2 - a.0 / a.2 < ALIKE_RPM) {
        let (rpm, torque, n) = alike
            .iter()
            .fold((0.0, 0.0, 0.0), |s, x| (s.0 + x.0, s.1 + x.1, s.2 + x.2));
        merged.0.push(rpm / n);
        merged.1.push(torque / n);
    }
    if rows.time.is_some() {
        merged.2 = vec![0.0; merged.0.len()];
    }
    (kept, merged)
}

/// Share of a log's rows that a step test has where the engine is held and settled.
const HELD_SHARE: f64 = 0.15;

/// Share of the rows of a slow log or a sheet that are held, where it is a step test.
const BRIEF_SHARE: f64 = 0.6;
/// Rows of a step on average from which rows without time are a step test.
const TELLING: f64 = 2.5;
/// Way from step to step from which two rows of each tell as much, rpm, where nearly all rows are of some step.
const LEAPS_RPM: f64 = 150.0;
const ALL_BUT: f64 = 0.9;
/// Share of the way from hold to hold that engine speed may make within the holds.
const CREEP: f64 = 0.15;
/// Stretches for each step at most: a sweep that wavers falls into many, close by one another.
const PIECES: usize = 3;

/// At how many engine speeds a log stands still; 0 where it stands for a small part of it only, as
/// before and after a sweep.
pub fn stood(rows: &Rows, all: &[usize]) -> usize {
    let (kept, steps) = averaged(rows, all, &long(rows, all));
    let long = rows.time.is_some() && kept.len() as f64 >= HELD_SHARE * all.len() as f64;
    match long && steps.0.len() >= FEWEST {
        true => steps.0.len(),
        false => stood_briefly(rows, all),
    }
}

/// The same by few rows at each; 0 where they are no step test.
pub fn stood_briefly(rows: &Rows, all: &[usize]) -> usize {
    let stretches = brief(rows, all);
    let held: usize = stretches.iter().map(Range::len).sum();
    let steps = held_briefly(rows, all);
    let (within, between) = ways(rows, all, &stretches);
    let many = held as f64 >= TELLING * stretches.len() as f64;
    let leaps = between >= LEAPS_RPM * (stretches.len() as f64 - 1.0)
        && held as f64 >= ALL_BUT * all.len() as f64;
    let telling = rows.time.is_some() || many || leaps;
    // Next to nothing is gained where speed is held, most of the way where it sweeps.
    let apart = stretches.len() <= PIECES * steps && within < CREEP * between;
    match telling && apart {
        true => steps,
        false => 0,
    }
}

/// At how many engine speeds most rows stand by few at each, in what is said to be a step test; 0 where they do not.
pub fn held_briefly(rows: &Rows, all: &[usize]) -> usize {
    let stretches = brief(rows, all);
    let held: usize = stretches.iter().map(Range::len).sum();
    let steps = averaged(rows, all, &stretches).1.0.len();
    match held as f64 >= BRIEF_SHARE * all.len() as f64 && steps >= FEWEST {
        true => steps,
        false => 0,
    }
}

/// How far engine speed goes on within stretches, and how far from one to the next, rpm.
fn ways(rows: &Rows, all: &[usize], stretches: &[Range<usize>]) -> (f64, f64) {
    let rpm = |at: usize| rows.rpm[all[at]];
    let mean = |s: &Range<usize>| s.clone().map(rpm).sum::<f64>() / s.len() as f64;
    let (mut within, mut between) = (0.0, 0.0);
    for pair in stretches.windows(2) {
        let leap = mean(&pair[1]) - mean(&pair[0]);
        within += (rpm(pair[0].end - 1) - rpm(pair[0].start)) * leap.signum();
        between += leap.abs();
    }
    (within, between)
}

/// Most rows that stand at one speed.
pub fn most_rows(rows: &Rows) -> usize {
    let all: Vec<usize> = (0..rows.rpm.len()).collect();
    let lengths = alike(rows, &all).into_iter().map(|stretch| stretch.len());
    lengths.max().unwrap_or(0)
}

/// Whether each row is a step of its own, as a person writes a step test down; it may come back the way it went,
/// with the last speed written twice.
pub fn one_row_each(rows: &Rows) -> bool {
    let steps: Vec<f64> = rows.rpm.windows(2).map(|pair| pair[1] - pair[0]).collect();
    let sign = steps.first().map_or(1.0, |step| step.signum());
    let far = |sign: f64| move |step: &&f64| sign * **step >= HELD_RPM;
    let out = steps.iter().take_while(far(sign)).count();
    let back = match &steps[out..] {
        [stands, back @ ..] if stands.abs() < HELD_RPM => back,
        back => back,
    };
    rows.time.is_none() && out > 0 && back.iter().all(|step| far(-sign)(&step))
}

/// Rows in half a second; five where there is no time.
fn reach(rows: &Rows, used: &[usize]) -> usize {
    spacing(rows, used).map_or(5, |step| ((0.5 / step.max(1e-4)) as usize).clamp(1, 2000))
}

/// Mean time from row to row, s.
fn spacing(rows: &Rows, used: &[usize]) -> Option<f64> {
    let (Some(time), [first, .., last]) = (&rows.time, used) else {
        return None;
    };
    Some((time[*last] - time[*first]) / (used.len() - 1) as f64)
}
