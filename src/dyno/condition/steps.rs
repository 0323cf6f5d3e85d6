//! A logged step test: the means of the stretches in which the brake held the engine.

use super::{Merged, Rows, steady};

/// How far engine speed may wander in a second where the brake holds it, rpm.
const HELD_RPM: f64 = 25.0;
/// Fewest rows of a stretch.
const FEWEST: usize = 5;
/// Held speeds this near are one step, rpm.
const ALIKE_RPM: f64 = 60.0;

/// The rows in which the engine was held, less the first third of each stretch (settling), and one
/// point for each step.
pub fn held(rows: &Rows, used: Vec<usize>) -> (Vec<usize>, Merged) {
    let steady = steady(rows, &used);
    let reach = reach(rows, &used);
    let is_held = |at: usize| {
        let before = steady[at.saturating_sub(reach)];
        let after = steady[(at + reach).min(used.len() - 1)];
        (after - before).abs() <= HELD_RPM
    };
    let flags: Vec<usize> = (0..used.len()).filter(|&at| is_held(at)).collect();
    let mut kept = Vec::new();
    let mut steps: Vec<(f64, f64, f64)> = Vec::new();
    for stretch in flags.chunk_by(|a, b| a + 1 == *b && (steady[*a] - steady[*b]).abs() < HELD_RPM)
    {
        let settled = &stretch[stretch.len() / 3..];
        if stretch.len() < FEWEST {
            continue;
        }
        let n = settled.len() as f64;
        let sum = |of: &[f64]| settled.iter().map(|&at| of[used[at]]).sum::<f64>();
        steps.push((sum(&rows.rpm), sum(&rows.torque), n));
        kept.extend(settled.iter().map(|&at| used[at]));
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

/// At how many engine speeds a log stands still; 0 where it has no time to tell by, or stands for a
/// small part of it only, as before and after a sweep.
pub fn stood(rows: &Rows, all: &[usize]) -> usize {
    if rows.time.is_none() {
        return 0;
    }
    let (kept, steps) = held(rows, all.to_vec());
    match kept.len() as f64 >= HELD_SHARE * all.len() as f64 {
        true => steps.0.len(),
        false => 0,
    }
}

/// Whether each row is a step of its own, as a person writes a step test down.
pub fn one_row_each(rows: &Rows) -> bool {
    let steps = rows.rpm.windows(2).map(|pair| pair[1] - pair[0]);
    let all = |is: fn(f64) -> bool| steps.clone().all(is);
    rows.time.is_none() && (all(|step| step >= HELD_RPM) || all(|step| step <= -HELD_RPM))
}

/// Rows in half a second; five where there is no time.
fn reach(rows: &Rows, used: &[usize]) -> usize {
    let (Some(time), [first, .., last]) = (&rows.time, used) else {
        return 5;
    };
    let step = (time[*last] - time[*first]) / (used.len() - 1) as f64;
    ((0.5 / step.max(1e-4)) as usize).clamp(1, 2000)
}
