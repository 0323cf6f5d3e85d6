//! Several pulls one after another in one file that does not number them: where engine speed falls back
//! through half of its range and rises again over most of it.

use std::ops::Range;

use super::columns::Columns;
use super::{FEWEST_POINTS, Settings, Values};
use crate::dyno::Method;
use crate::files::finding::{Findings, Severity};
use crate::files::table::Table;

/// Rows from which single rows that leap are looked past.
const LOGGED: usize = 40;
/// Share of the range through which engine speed falls between two pulls, and over which each rises.
const FALLS: f64 = 0.5;
const RISES: f64 = 0.6;
/// Torque of a rise over that of the one with most, below which it is a blip without load.
const LOADED: f64 = 0.5;

/// The rows of each pull of a file that holds several and does not number them.
pub(super) fn parted(
    table: &Table,
    columns: &Columns,
    values: &Values,
    settings: &Settings,
    findings: &mut Findings,
) -> Option<Vec<Range<usize>>> {
    // A brake may be let go between the steps of a logged step test.
    let logged_steps = settings.method == Method::Steps && values.time.is_some();
    // Times that begin anew are refused: nothing says where the others do.
    let times = values.time.iter().flatten();
    let anew = !times.is_sorted();
    let pulls = parts(&values.rpm, &values.torque);
    if pulls.len() < 2 || logged_steps || anew {
        return None;
    }
    let line = |row: usize| table.mark(row, 0).line.to_string();
    let lines: Vec<String> = pulls[1..].iter().map(|part| line(part.start)).collect();
    let text = format!(
        "engine speed falls back and rises again: {} pulls one after another, parted before {}",
        pulls.len(),
        match lines.split_last() {
            Some((last, [])) => format!("line {last}"),
            Some((last, rest)) => format!("lines {} and {last}", rest.join(", ")),
            None => String::new(),
        }
    );
    let column = columns.rpm.or(columns.speed).unwrap_or(0);
    let mark = table.mark(pulls[1].start, column);
    let remedy = "number them in a column named `pull`; if it is one pull, take out the rows that do not belong \
                  to it";
    findings.push(table.finding(Severity::Warning, mark, text).remedy(remedy));
    Some(pulls)
}

/// The rows of each pull; one part, all rows, where there are not several.
pub(super) fn parts(rpm: &[f64], torque: &[f64]) -> Vec<Range<usize>> {
    let count = rpm.len();
    let steady = steady(rpm);
    let rises = rises(&steady);
    let middle = |rise: &(usize, usize)| {
        let mut torque = torque[rise.0..=rise.1].to_vec();
        torque.sort_by(f64::total_cmp);
        torque[torque.len() / 2]
    };
    let most = rises.iter().map(middle).fold(0.0, f64::max);
    let pulled = rises
        .iter()
        .filter(|rise| middle(rise) > LOADED * most && rise.1 - rise.0 + 1 >= FEWEST_POINTS);
    let mut starts: Vec<usize> = pulled.map(|rise| lowest(rpm, rise.0)).collect();
    if starts.len() < 2 {
        return std::iter::once(0..count).collect();
    }
    starts[0] = 0;
    let ends = starts.iter().skip(1).copied().chain([count]);
    starts
        .iter()
        .zip(ends)
        .map(|(&from, to)| from..to)
        .collect()
}

/// The row of the lowest engine speed within two of `at`: medians move it by as many.
fn lowest(rpm: &[f64], at: usize) -> usize {
    let near = at.saturating_sub(2)..(at + 3).min(rpm.len());
    near.min_by(|&a, &b| rpm[a].total_cmp(&rpm[b]))
        .unwrap_or(at)
}

/// Medians of five rows of a log, the figures of a sheet.
fn steady(rpm: &[f64]) -> Vec<f64> {
    if rpm.len() < LOGGED {
        return rpm.to_vec();
    }
    let median = |at: usize| {
        let mut near = rpm[at.saturating_sub(2)..(at + 3).min(rpm.len())].to_vec();
        near.sort_by(f64::total_cmp);
        near[near.len() / 2]
    };
    (0..rpm.len()).map(median).collect()
}

/// First and last row of each rise over most of the range, between falls through half of it.
fn rises(rpm: &[f64]) -> Vec<(usize, usize)> {
    let least = rpm.iter().copied().fold(f64::INFINITY, f64::min);
    let range = rpm.iter().copied().fold(0.0, f64::max) - least;
    let (mut low, mut high, mut falling) = (0, 0, false);
    let mut found = Vec::new();
    for at in 0..rpm.len() {
        if falling {
            if rpm[at] < rpm[low] {
                low = at;
            } else if rpm[at] - rpm[low] > FALLS * range {
                (high, falling) = (at, false);
            }
        } else if rpm[at] < rpm[low] {
            found.push((low, high));
            (low, high) = (at, at);
        } else if rpm[at] > rpm[high] {
            high = at;
        } else if rpm[high] - rpm[at] > FALLS * range {
            found.push((low, high));
            (low, falling) = (at, true);
        }
    }
    if !falling {
        found.push((low, high));
    }
    found.retain(|&(low, high)| range > 0.0 && rpm[high] - rpm[low] > RISES * range);
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(rpm: Vec<f64>, torque: impl Fn(f64) -> f64) -> Vec<Range<usize>> {
        let torque: Vec<f64> = rpm.iter().map(|&n| torque(n)).collect();
        parts(&rpm, &torque)
    }

    fn rise(rows: usize) -> impl Iterator<Item = f64> {
        (0..rows).map(move |i| 2500.0 + 4500.0 * i as f64 / (rows - 1) as f64)
    }

    #[test]
    fn pulls_one_after_another_are_parted_where_the_next_begins() {
        for rows in [5, 12, 46] {
            let twice = rise(rows).chain(rise(rows)).collect();
            assert_eq!(of(twice, |_| 190.0), [0..rows, rows..2 * rows]);
        }
        // The engine coasts down between them, with losses for torque.
        let fall: Vec<f64> = rise(46).collect();
        let coast = fall.iter().rev().skip(1);
        let rpm: Vec<f64> = rise(46).chain(coast.copied()).chain(rise(46)).collect();
        let torque = (0..rpm.len()).map(|i| if (46..90).contains(&i) { -20.0 } else { 190.0 });
        let torque: Vec<f64> = torque.collect();
        assert_eq!(parts(&rpm, &torque), [0..90, 90..137]);
    }

    #[test]
    fn one_pull_with_what_belongs_to_it_is_not_parted() {
        let down = |rows| rise(rows).collect::<Vec<f64>>().into_iter().rev();
        assert_eq!(of(rise(46).collect(), |_| 190.0).len(), 1);
        assert_eq!(of(down(46).collect(), |_| 190.0).len(), 1);
        assert_eq!(of(rise(46).chain(down(46)).collect(), |_| 190.0).len(), 1);
        // Two rows of ignition noise near the top.
        let mut noisy: Vec<f64> = rise(60).collect();
        noisy[55] = 0.0;
        noisy[56] = 0.0;
        assert_eq!(of(noisy, |_| 190.0).len(), 1);
        // A blip without load before the pull, and rows that step back by less than half.
        let blip = rise(20)
            .chain(down(20))
            .chain(rise(60))
            .collect::<Vec<f64>>();
        let torque = (0..100).map(|i| if i < 40 { 30.0 } else { 190.0 });
        assert_eq!(parts(&blip, &torque.collect::<Vec<f64>>()).len(), 1);
        let back = rise(40).take(30).chain(rise(40).skip(20)).collect();
        assert_eq!(of(back, |_| 190.0).len(), 1);
    }
}
