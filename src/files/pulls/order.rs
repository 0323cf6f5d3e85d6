//! Rows that stand in the order of something else than engine speed, as a spreadsheet leaves them that was asked for
//! the peaks.
//!
//! An engine goes from one speed to the next, up or down, through a pull, a coast-down or several pulls one after
//! another, and noise and limiters move it by little: only a table that was sorted jumps through its range again and
//! again while what was measured never steps back.

use super::columns::{self, Columns};
use super::{Values, parts};
use crate::files::finding::{Findings, quoted};
use crate::files::table::{Table, each_once, in_order};
use crate::units::RPM_PER_RAD_PER_S;

/// Share of the range of engine speed by which it turns round beyond noise where what was measured stands in order,
/// and how often it does: once in a pull up and down, twice where two figures were swapped.
const BEYOND_NOISE: f64 = 0.03;
const TURNS: usize = 3;
/// The same share where nothing that was measured stands in order: no limiter moves an engine so far.
const JUMPS: f64 = 0.15;
/// Turns beyond [`JUMPS`] for each row, where another column stands in order and where none does: rows in no order turn
/// at two of three, most of them so far, and pulls of five rows one after another at fewer than two of five.
const TURNS_SORTED: f64 = 0.15;
const TURNS_AT_RANDOM: f64 = 0.4;
/// Fewest rows in which that tells.
const FEWEST_ROWS: usize = 8;

/// Puts rows that jump about in the order of time, else of engine speed, and says so; whether it did.
pub(super) fn put(
    table: &Table,
    columns: &Columns,
    values: &Values,
    rows: &mut [usize],
    findings: &mut Findings,
) -> bool {
    let Some((by, key)) = jumps(table, columns, values, rows) else {
        return false;
    };
    rows.sort_by(|&a, &b| key.of[a].total_cmp(&key.of[b]));
    let text = format!("rows stand in {by}: put in order of {}", key.name);
    let first = rows.iter().min().copied().unwrap_or(0);
    let mark = table.mark(first, columns.rpm.or(columns.speed).unwrap_or(0));
    findings.push(table.assumed("rows", mark, text));
    true
}

/// Whether what was measured stands in order through all rows of the table, and engine speed does not.
pub(super) fn is_sorted(table: &Table, columns: &Columns, values: &Values) -> bool {
    let rows: Vec<usize> = (0..values.rpm.len()).collect();
    let measured = measured(table, columns, values, &rows);
    measured.is_some() && turns(&values.rpm, BEYOND_NOISE) >= TURNS
}

/// What rows are put in the order of.
struct Key<'a> {
    name: &'static str,
    of: &'a [f64],
}

/// What order the rows stand in, in words, and which they belong in; `None` where they are as an engine goes.
fn jumps<'v>(
    table: &Table,
    columns: &Columns,
    values: &'v Values,
    rows: &[usize],
) -> Option<(String, Key<'v>)> {
    let pick = |of: &[f64]| rows.iter().map(|&row| of[row]).collect::<Vec<f64>>();
    let rpm = pick(&values.rpm);
    let key = match &values.time {
        Some(time) if pick(time).is_sorted() || !each_once(pick(time)) => return None,
        Some(time) => Key {
            name: "time",
            of: time,
        },
        None => Key {
            name: "engine speed",
            of: &values.rpm,
        },
    };
    if turns(&rpm, BEYOND_NOISE) >= TURNS
        && let Some(by) = measured(table, columns, values, rows)
    {
        return Some((format!("order of {by}"), key));
    }
    let share = turns(&rpm, JUMPS) as f64 / rows.len() as f64;
    let at_random = share > TURNS_AT_RANDOM;
    let torque = pick(&values.torque);
    let one = || at_random || parts::parts(&rpm, &torque).len() < 2;
    if rows.len() < FEWEST_ROWS || share <= TURNS_SORTED || !each_once(rpm.clone()) || !one() {
        return None;
    }
    let others = 0..table.columns.len();
    let mut others = others.filter(|&i| Some(i) != columns.rpm && Some(i) != columns.pull);
    let sorted = others.find(|&i| {
        let figures = columns::values(table, i, rows);
        figures.is_some_and(|figures| in_order(&figures) && !counts(&figures))
    });
    match sorted {
        Some(column) => Some((format!("order of {}", heading(table, column)), key)),
        None => at_random.then(|| ("no order".to_owned(), key)),
    }
}

/// The heading of what was measured where its figures stand in order.
fn measured(table: &Table, columns: &Columns, values: &Values, rows: &[usize]) -> Option<String> {
    let pick = |of: &[f64]| rows.iter().map(|&row| of[row]).collect::<Vec<f64>>();
    let (rpm, torque) = (pick(&values.rpm), pick(&values.torque));
    let called = |column: Option<usize>, else_: &str| match column {
        Some(column) => heading(table, column),
        None => else_.to_owned(),
    };
    if in_order(&torque) {
        return Some(called(columns.torque.or(columns.brake), "torque"));
    }
    let power = match &values.power {
        Some(power) => pick(power),
        None => rpm
            .iter()
            .zip(&torque)
            .map(|(n, t)| n * t / RPM_PER_RAD_PER_S)
            .collect(),
    };
    in_order(&power).then(|| called(columns.power, "power"))
}

fn heading(table: &Table, column: usize) -> String {
    quoted(&table.columns[column].name)
}

/// Whether figures go on by even steps, as numbers of rows do.
fn counts(figures: &[f64]) -> bool {
    let step = figures[1] - figures[0];
    let even = |pair: &[f64]| (pair[1] - pair[0] - step).abs() <= 1e-6 * step.abs();
    figures.windows(2).all(even)
}

/// How often engine speed turns round by more than a share of its range.
fn turns(rpm: &[f64], share: f64) -> usize {
    let most = rpm.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let least = rpm.iter().copied().fold(f64::INFINITY, f64::min);
    let swing = share * (most - least);
    let (mut end, mut way, mut turns) = (rpm.first().copied().unwrap_or(0.0), 0.0, 0);
    for &speed in rpm {
        if way * (speed - end) > 0.0 {
            end = speed;
        } else if (speed - end).abs() > swing {
            turns += usize::from(way != 0.0);
            way = (speed - end).signum();
            end = speed;
        }
    }
    turns
}

#[cfg(test)]
mod tests;
