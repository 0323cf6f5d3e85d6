//! The columns of a log as numbers, row by row, those of slower channels too.

use super::{DISTANCES, LAPS, PASSES, SPEEDS, lateral, sense};
use crate::files::finding::{Findings, Severity, quoted};
use crate::files::path::{fixless, hemisphere, points};
use crate::files::table::{ENGINE_SPEEDS, Table};
use crate::units::{ACCELERATION, Dimension, ENGINE_SPEED, LENGTH, SPEED, YAW_RATE};
use crate::venue::log::Run;

const YAW_RATES: &[&str] = &["yaw rate", "gps yaw rate", "yaw velocity", "rate of yaw"];

/// What stands in the columns.
pub(super) struct Read {
    pub run: Run,
    pub laps: Option<Vec<i64>>,
    pub passes: Option<Vec<i64>>,
    pub headings: sense::Columns,
}

/// Reads the columns of a log. Rows without a position are left out of a table whose positions are slower than
/// its other channels.
pub(super) fn read(table: &mut Table, findings: &mut Findings) -> Option<Read> {
    let Some(speed_column) = table.find(SPEEDS).or_else(|| table.only_in(&SPEED)) else {
        findings.push(table.missing("speed", SPEEDS));
        return None;
    };
    other_speeds(table, speed_column, findings);
    let times = points::times(table, findings);
    let whole = |times: &Vec<Option<f64>>| times.iter().copied().collect::<Option<Vec<f64>>>();
    let timed = times.as_ref().and_then(whole);
    let at = || (0..table.height()).map(|row| row as f64).collect();
    let at: Vec<f64> = timed.clone().unwrap_or_else(at);
    let mut speed = table.numbers_between(speed_column, &SPEED, None, &at, findings);
    if let Some(speed) = &mut speed {
        sense::forwards(table, speed_column, speed, &at, findings)?;
    }
    let mut optional =
        |column: Option<usize>, dimension: &'static Dimension, bare: &str| match column {
            Some(column) => {
                let values = table.numbers_between(column, dimension, Some(bare), &at, findings);
                values.map(Some)
            }
            None => Some(None),
        };
    let distance = optional(table.find(DISTANCES), &LENGTH, "m");
    // `N/S` is no `n`.
    let rpm_column = table
        .find(ENGINE_SPEEDS)
        .or_else(|| table.only_in(&ENGINE_SPEED))
        .filter(|column| !hemisphere::are_letters(table, *column));
    let rpm = optional(rpm_column, &ENGINE_SPEED, "rpm");
    let lateral_column = lateral::column(table);
    let yaw_column = table
        .find(YAW_RATES)
        .filter(|_| lateral_column.is_none() && !points::has_places(table));
    let lateral = match yaw_column {
        Some(column) => optional(Some(column), &YAW_RATE, "deg/s"),
        None => optional(lateral_column, &ACCELERATION, "g"),
    };
    let heights = optional(
        table
            .find(points::HEIGHT)
            .filter(|column| points::has_places(table) && table.seldom(*column).is_some()),
        &LENGTH,
        "m",
    );
    let height = optional(
        table
            .find(points::HEIGHT)
            .filter(|_| !points::has_places(table)),
        &LENGTH,
        "m",
    );
    let laps = match table.find(LAPS) {
        Some(column) => Some(lap_numbers(table, column, findings)?),
        None => None,
    };
    let passes = match table.find(PASSES).filter(|_| laps.is_none()) {
        Some(column) => {
            let all = lap_numbers(table, column, &mut Findings::new());
            all.filter(|all| all.iter().filter(|number| **number > 0).is_sorted())
        }
        None => None,
    };
    if let Some(column) = yaw_column.filter(|column| table.written_unit(*column).is_none()) {
        let name = quoted(&table.columns[column].name);
        let text = format!("{name} in deg/s (no unit is written)");
        findings.push(table.assumed("lateral", table.columns[column].mark, text));
    }
    times.as_ref()?;
    let (speed, distance) = (speed?, distance?);
    let time = timed
        .clone()
        .or_else(|| times_of(&speed, distance.as_deref()));
    let Some(time) = time else {
        findings.push(table.missing("time or distance", points::TIMES));
        return None;
    };
    let (mut lateral, height) = (lateral?, height?);
    if let Some(column) = yaw_column {
        let rates = lateral.iter_mut().flatten();
        if let Some(zero) = lateral::at_rest(rates, &speed) {
            let text = format!(
                "{} of {:.2} °/s while the car stands taken off",
                quoted(&table.columns[column].name),
                zero.to_degrees()
            );
            findings.push(table.assumed("lateral", table.columns[column].mark, text));
        }
        let across = |(rate, speed): (&mut f64, &f64)| *rate *= speed;
        lateral.iter_mut().flatten().zip(&speed).for_each(across);
    }
    let run = Run {
        time,
        speed,
        distance,
        rpm: rpm?,
        lateral,
        heights: height,
        fixes: None,
    };
    let headings = sense::Columns {
        speed: speed_column,
        lateral: yaw_column.or(lateral_column),
        yaw: yaw_column.is_some(),
        distance: table.find(DISTANCES),
        time: table.find(points::TIMES).filter(|_| timed.is_some()),
    };
    let read = Read {
        run,
        laps,
        passes,
        headings,
    };
    with_fixes(read, heights?, table, findings)
}

/// Asks about speeds beside those that are read which say something else.
fn other_speeds(table: &Table, read: usize, findings: &mut Findings) {
    /// Another pick-up may read so much more or less.
    const APART: f64 = 0.015;
    let mean = |column: usize| {
        let found = table.with_gaps(column, &SPEED, None, &mut Findings::new())?;
        let speeds: Vec<f64> = found.into_iter().flatten().collect();
        Some(speeds.iter().sum::<f64>() / speeds.len() as f64)
    };
    let is_one = |column: &usize| {
        let unit = table.written_unit(*column);
        let name = table.columns[*column].name.to_lowercase();
        *column != read
            && unit.is_some_and(|unit| SPEED.unit(unit).is_some())
            && !name.contains("wind")
    };
    let Some(own) = mean(read) else { return };
    let others = (0..table.columns.len()).filter(is_one);
    let apart = others.filter_map(|column| Some((column, mean(column)? / own - 1.0)));
    let Some((column, off)) = apart.into_iter().find(|(_, off)| off.abs() > APART) else {
        return;
    };
    let [read, other] = [read, column].map(|column| quoted(&table.columns[column].name));
    let text = format!(
        "{read} is read, and {other} beside it is {:.1} % {} in the mean: which is that over the ground?",
        100.0 * off.abs(),
        if off > 0.0 { "higher" } else { "lower" }
    );
    let finding = table.finding(Severity::Warning, table.columns[column].mark, text);
    findings.push(finding.deciding().remedy(
        "take the other out, or head the one that counts `speed`: a driven wheel spins and locks, and the size of its \
         tyre is a guess",
    ));
}

/// Adds the positions, and leaves out the rows between them.
fn with_fixes(
    mut read: Read,
    heights: Option<Vec<f64>>,
    table: &mut Table,
    findings: &mut Findings,
) -> Option<Read> {
    if !points::has_places(table) {
        return Some(read);
    }
    let out = fixless::leave_out_between(table, findings);
    let Run {
        time,
        speed,
        distance,
        rpm,
        lateral,
        ..
    } = &mut read.run;
    [
        Some(time),
        Some(speed),
        distance.as_mut(),
        rpm.as_mut(),
        lateral.as_mut(),
    ]
    .into_iter()
    .flatten()
    .for_each(|values| stay(values, &out));
    for counted in [&mut read.laps, &mut read.passes].into_iter().flatten() {
        stay(counted, &out);
    }
    let mut fixes = points::fixes(table, findings)?;
    if let Some(mut heights) = heights {
        stay(&mut heights, &out);
        let filled = fixes.iter_mut().zip(heights);
        filled.for_each(|(fix, height)| fix.height = Some(height));
    }
    read.run.fixes = Some(fixes);
    Some(read)
}

/// Takes rows out of a column; they rise.
fn stay<T>(values: &mut Vec<T>, out: &[usize]) {
    let mut row = 0..;
    values.retain(|_| {
        row.next()
            .is_none_or(|row| out.binary_search(&row).is_err())
    });
}

/// The lap of each row; where only some rows say it, it goes on until the next.
fn lap_numbers(table: &Table, column: usize, findings: &mut Findings) -> Option<Vec<i64>> {
    if !table.alone_as_written(column, findings) {
        return None;
    }
    let empty = (0..table.height()).filter(|&row| table.is_empty(row, column));
    let seldom = 2 * empty.count() > table.height();
    let mut last = -1;
    let mut number = |row: usize| {
        if !(seldom && table.is_empty(row, column)) {
            last = lap_number(table.cell(row, column));
        }
        last
    };
    Some((0..table.height()).map(&mut number).collect())
}

/// The number of a lap, which some loggers write as `2.0`; -1 where there is none.
fn lap_number(cell: &str) -> i64 {
    let number: Option<f64> = cell.trim().parse().ok();
    number.filter(|n| n.is_finite()).map_or(-1, |n| n as i64)
}

/// Times from distance and speed.
fn times_of(speed: &[f64], distance: Option<&[f64]>) -> Option<Vec<f64>> {
    let distance = distance?;
    let mut time = vec![0.0];
    for row in 1..speed.len() {
        let mean = 0.5 * (speed[row] + speed[row - 1]);
        let step = (distance[row] - distance[row - 1]).max(0.0);
        time.push(time[row - 1] + if mean > 0.1 { step / mean } else { 0.0 });
    }
    Some(time)
}
