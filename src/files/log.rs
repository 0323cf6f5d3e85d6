//! Logged runs: tables of time or distance and speed, with what else the logger wrote.

mod clock;
mod gaps;
mod sense;
mod units;

use std::ops::Range;
use std::path::Path;

use super::finding::Findings;
use super::path::{fixless, points};
use super::source::{Mark, Source, TABLE_LIMIT};
use super::table::{Column, Table};
use crate::units::{ACCELERATION, ENGINE_SPEED, LENGTH, SPEED};
use crate::venue::log::Run;

const SPEEDS: &[&str] = &[
    "speed",
    "velocity",
    "v",
    "gps speed",
    "ground speed",
    "road speed",
    "wheel speed",
];
const DISTANCES: &[&str] = &["distance", "dist", "s", "odometer"];
const RPMS: &[&str] = &["rpm", "engine speed", "engine rpm", "revs", "n"];
const LATERALS: &[&str] = &[
    "lateral g",
    "lat g",
    "g lat",
    "lateral acceleration",
    "lateral",
    "lat acc",
    "ay",
];
const LAPS: &[&str] = &["lap", "lap number", "lap no"];

/// What tells how a road bends and is not read.
const UNREAD: &[&str] = &[
    "yaw rate",
    "yaw",
    "gyro z",
    "heading",
    "gps heading",
    "course",
    "bearing",
    "radius",
    "gps radius",
    "curvature",
];

/// Rows further apart than so many usual ones are not of one run.
const PAUSE: f64 = 2.0;

/// The lap that was taken of several.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Taken {
    /// Its number.
    pub lap: i64,
    /// How many the log holds.
    pub laps: usize,
    /// It lies between others.
    pub whole: bool,
}

/// A log in memory.
#[derive(Debug, Clone)]
pub struct Log {
    /// The file, for findings.
    pub source: Source,
    /// Its columns.
    pub run: Run,
    /// Number of the lap of each row, where the logger counted.
    pub laps: Option<Vec<i64>>,
    /// Line of the file of each row.
    pub rows: Vec<u32>,
    /// The heading of the speeds, with their unit.
    pub speeds: Column,
    /// Columns that tell how a road bends and are not read.
    pub unread: Vec<String>,
}

/// Whether a table has what a log has and no pull, whatever is wrong with it.
pub fn is_one(path: &Path) -> bool {
    let mut silent = Findings::new();
    Table::read(path, &mut silent).is_some_and(|table| {
        let measured = |column: &Column| {
            let name = column.name.to_lowercase();
            name.contains("torque") || name.contains("power")
        };
        let runs = table.find(points::TIMES).or(table.find(DISTANCES));
        table.find(SPEEDS).is_some() && runs.is_some() && !table.columns.iter().any(measured)
    })
}

/// Reads a logged run from a file.
pub fn read(path: &Path, findings: &mut Findings) -> Option<Log> {
    parse(Source::read_table(path, TABLE_LIMIT, findings)?, findings)
}

/// As [`read`], from a text already in memory.
pub fn parse(source: Source, findings: &mut Findings) -> Option<Log> {
    let mut table = Table::parse(source, findings)?;
    fixless::leave_out(&mut table, findings);
    let Some(column) = table.find(SPEEDS) else {
        findings.push(table.missing("speed", SPEEDS));
        return None;
    };
    let speed = table.numbers(column, &SPEED, None, findings);
    if let Some(speed) = &speed {
        sense::forwards(&table, column, speed, findings)?;
    }
    let mut optional = |names: &[&str], dimension, bare: Option<&str>| match table.find(names) {
        Some(column) => table.numbers(column, dimension, bare, findings).map(Some),
        None => Some(None),
    };
    let distance = optional(DISTANCES, &LENGTH, Some("m"));
    let rpm = optional(RPMS, &ENGINE_SPEED, Some("rpm"));
    let lateral = optional(LATERALS, &ACCELERATION, Some("g"));
    let times = points::times(&table, findings);
    let fixes = if points::has_places(&table) {
        points::fixes(&table, findings).map(Some)
    } else {
        Some(None)
    };
    let (speed, distance) = (speed?, distance?);
    let timed = times
        .as_ref()
        .is_some_and(|times| times.iter().all(Option::is_some));
    let laps = match table.find(LAPS) {
        Some(column) => Some(lap_numbers(&table, column, findings)?),
        None => None,
    };
    let time = times_of(times?, &speed, distance.as_deref());
    let Some(mut time) = time else {
        findings.push(table.missing("time or distance", points::TIMES));
        return None;
    };
    let headings = sense::Columns {
        speed: column,
        lateral: table.find(LATERALS),
        distance: table.find(DISTANCES),
        time: table.find(points::TIMES).filter(|_| timed),
    };
    tell_taken(&table, &headings, laps.as_deref(), &mut time, findings);
    let rows = (0..table.height())
        .map(|row| table.mark(row, 0).line)
        .collect();
    let mut run = Run {
        time,
        speed,
        distance,
        rpm: rpm?,
        lateral: lateral?,
        fixes: fixes?,
    };
    if usable(&run) {
        sense::check(&table, &headings, &mut run, findings)?;
    }
    let speeds = Column {
        unit: table.written_unit(column).map(str::to_owned),
        ..table.columns[column].clone()
    };
    Some(Log {
        unread: unread(&table),
        speeds,
        source: table.into_source(),
        run,
        laps,
        rows,
    })
}

/// The lap of each row.
fn lap_numbers(table: &Table, column: usize, findings: &mut Findings) -> Option<Vec<i64>> {
    table.alone_as_written(column, findings).then(|| {
        (0..table.height())
            .map(|row| lap_number(table.cell(row, column)))
            .collect()
    })
}

/// What is taken for granted of times and distances: a clock that restarts with each lap runs on, rows of one
/// second lie evenly in it, and distances without a unit are in metres.
fn tell_taken(
    table: &Table,
    headings: &sense::Columns,
    laps: Option<&[i64]>,
    time: &mut [f64],
    findings: &mut Findings,
) {
    if let (Some(column), Some(laps)) = (headings.time, laps)
        && let Some(row) = clock::onward(time, laps)
    {
        let text = format!(
            "the clock restarts with each lap, first in line {}: the times run on",
            table.mark(row, column).line
        );
        findings.push(table.assumed("time", table.columns[column].mark, text));
    }
    if let (Some(column), Some(rows)) = (headings.time, clock::spread(time)) {
        let text =
            format!("the times are whole seconds, {rows} rows to each: spread evenly over it");
        findings.push(table.assumed("time", table.columns[column].mark, text));
    }
    let bare = headings
        .distance
        .filter(|column| table.written_unit(*column).is_none());
    if let Some(column) = bare {
        let text = "the distances of the log are in metres";
        findings.push(table.assumed("distance", table.columns[column].mark, text));
    }
}

/// Columns that tell how the road bends and are not read.
fn unread(table: &Table) -> Vec<String> {
    let columns = UNREAD.iter().filter_map(|name| table.find(&[*name]));
    columns
        .map(|column| table.columns[column].name.clone())
        .collect()
}

/// Whether there are speeds over rising times; what is wrong otherwise is told where the run is read.
fn usable(run: &Run) -> bool {
    let sound = |values: &[f64]| values.iter().all(|v| v.is_finite());
    sound(&run.speed)
        && sound(&run.time)
        && run.time.is_sorted()
        && run.speed.iter().all(|v| *v >= 0.0)
}

/// The number of a lap, which some loggers write as `2.0`; -1 where there is none.
fn lap_number(cell: &str) -> i64 {
    let number: Option<f64> = cell.trim().parse().ok();
    number.filter(|n| n.is_finite()).map_or(-1, |n| n as i64)
}

/// Times as recorded, or from distance and speed.
fn times_of(times: Vec<Option<f64>>, speed: &[f64], distance: Option<&[f64]>) -> Option<Vec<f64>> {
    if let Some(times) = times.into_iter().collect::<Option<Vec<f64>>>() {
        return Some(times);
    }
    let distance = distance?;
    let mut time = vec![0.0];
    for row in 1..speed.len() {
        let mean = 0.5 * (speed[row] + speed[row - 1]);
        let step = (distance[row] - distance[row - 1]).max(0.0);
        time.push(time[row - 1] + if mean > 0.1 { step / mean } else { 0.0 });
    }
    Some(time)
}

impl Log {
    /// The place of a row, counted from 0.
    pub fn mark(&self, row: usize) -> Mark {
        let line = self.rows.get(row).copied().unwrap_or(0);
        Mark {
            line,
            column: u32::from(line > 0),
            width: 1,
        }
    }

    /// Only the rows of one lap as the logger counted: the one asked for, or the fastest of those
    /// that begin and end in the log. Nothing changes where the logger did not count.
    ///
    /// # Errors
    /// There is no such lap: what is wrong, and what would be right.
    pub fn only_lap(&mut self, asked: Option<usize>) -> Result<Option<Taken>, (String, String)> {
        let Some(laps) = &self.laps else {
            let Some(number @ 2..) = asked else {
                return Ok(None);
            };
            let text = format!(
                "there is no lap {number} in this log: without positions and without a column `lap` it \
                 is one lap"
            );
            let remedy = "leave `lap` out, or cut the file to the lap that is meant";
            return Err((text, remedy.to_owned()));
        };
        let mut parts: Vec<(i64, Range<usize>)> = Vec::new();
        for (row, &lap) in laps.iter().enumerate() {
            match parts.last_mut() {
                Some((last, range)) if *last == lap => range.end = row + 1,
                _ => parts.push((lap, row..row + 1)),
            }
        }
        let taken =
            |range: &Range<usize>| self.run.time[self.last_row(range)] - self.run.time[range.start];
        let chosen = match asked {
            Some(number) => parts.iter().find(|(lap, _)| *lap == number as i64),
            // The first and the last are rarely whole.
            None if parts.len() > 2 => parts[1..parts.len() - 1]
                .iter()
                .min_by(|a, b| taken(&a.1).total_cmp(&taken(&b.1))),
            None => parts.first(),
        };
        let Some((lap, range)) = chosen.cloned() else {
            let text = format!("there is no lap {} in this log", asked.unwrap_or(1));
            let numbers = || parts.iter().map(|(lap, _)| *lap);
            let remedy = match numbers().min().zip(numbers().max()) {
                Some((first, last)) if first < last => {
                    format!("it holds laps {first} to {last}; `fastest` takes the fastest")
                }
                only => format!("it holds lap {} alone", only.map_or(0, |(lap, _)| lap)),
            };
            return Err((text, remedy));
        };
        let several = (parts.len() > 1).then_some(Taken {
            lap,
            laps: parts.len(),
            whole: parts.len() > 2,
        });
        self.cut(range.start..self.last_row(&range) + 1);
        Ok(several)
    }

    /// The row that a lap ends with: the next one's first, unless the log pauses between them or its distances
    /// begin anew.
    fn last_row(&self, lap: &Range<usize>) -> usize {
        let Run { time, distance, .. } = &self.run;
        let (last, next) = (lap.end - 1, lap.end);
        let usual = (time[last] - time[lap.start]) / lap.len().max(2) as f64;
        let goes_on = next < time.len()
            && (0.0..=PAUSE * usual).contains(&(time[next] - time[last]))
            && (distance.as_ref()).is_none_or(|distance| distance[next] >= distance[last]);
        if goes_on { next } else { last }
    }

    /// The usual time between two rows, s.
    pub fn usual_step(&self) -> f64 {
        let mut steps: Vec<f64> = self.run.time.windows(2).map(|t| t[1] - t[0]).collect();
        steps.sort_by(f64::total_cmp);
        steps.get(steps.len() / 2).copied().unwrap_or_default()
    }

    fn cut(&mut self, range: Range<usize>) {
        let part = |column: &mut Vec<f64>| *column = column[range.clone()].to_vec();
        part(&mut self.run.time);
        part(&mut self.run.speed);
        for column in [
            &mut self.run.distance,
            &mut self.run.rpm,
            &mut self.run.lateral,
        ] {
            column.iter_mut().for_each(part);
        }
        if let Some(fixes) = &mut self.run.fixes {
            *fixes = fixes[range.clone()].to_vec();
        }
        self.rows = self.rows[range].to_vec();
        self.laps = None;
    }
}
