//! Logged runs: tables of time or distance and speed, with what else the logger wrote.

mod clock;
mod columns;
mod gaps;
mod lateral;
mod order;
mod places;
mod sense;
mod units;

use std::ops::Range;
use std::path::Path;

use super::finding::Findings;
use super::path::{fixless, points};
use super::source::{Mark, Source, TABLE_LIMIT};
use super::table::{Column, Table};
use crate::venue::log::{Run, distances};
use crate::venue::path::laps::Seen;

const SPEEDS: &[&str] = &[
    "speed",
    "velocity",
    "v",
    "gps speed",
    "ground speed",
    "road speed",
    "wheel speed",
    "vehicle speed",
    "car speed",
    "speed over ground",
    "sog",
    "geschwindigkeit",
    "fahrgeschwindigkeit",
    "vitesse",
    "snelheid",
    "velocità",
    "velocidad",
    "velocidade",
    "hastighet",
    "rychlost",
    "prędkość",
    "nopeus",
];
const DISTANCES: &[&str] = &[
    "distance",
    "dist",
    "s",
    "odometer",
    "strecke",
    "weg",
    "afstand",
    "distanza",
    "distancia",
    "sträcka",
    "matka",
];
const LAPS: &[&str] = &[
    "lap",
    "lap number",
    "lap no",
    "lap count",
    "lap counter",
    "runde",
    "rundenzähler",
    "rundenzaehler",
];
/// Runs over one road in one file.
const PASSES: &[&str] = &["pass", "run", "passage", "lauf"];

/// Rows further apart than so many usual ones are not of one run.
const PAUSE: f64 = 2.0;
/// A first or last lap is whole where its length is within these shares of the usual one: another line makes some
/// parts in a thousand.
const WHOLE: (f64, f64) = (0.997, 1.02);

/// The lap that was taken of several.
#[derive(Debug, Clone, PartialEq)]
pub struct Taken {
    /// Which of the laps, from 0.
    pub index: usize,
    /// All that the log holds, by their numbers.
    pub laps: Vec<(i64, Seen)>,
    /// It was chosen among others, and not as the first of two.
    pub fastest: bool,
}

/// A log in memory.
#[derive(Debug, Clone)]
pub struct Log {
    /// The file, for findings.
    pub source: Source,
    /// Its columns.
    pub run: Run,
    /// Acceleration across the road is speed times the yaw rate, which was recorded.
    pub yaw: bool,
    /// One of several laps that the logger counted.
    pub counted: bool,
    /// Number of the lap of each row, where the logger counted.
    pub laps: Option<Vec<i64>>,
    /// Number of the run over the road of each row, where a column counts those and none laps.
    pub passes: Option<Vec<i64>>,
    /// Line of the file of each row.
    pub rows: Vec<u32>,
    /// The heading of the speeds, with their unit.
    pub speeds: Column,
    /// Columns that tell how a road bends and are not read.
    pub unread: Vec<String>,
    /// Where it does not say how fast the car was, which concerns the laps that hold it alone.
    pub gaps: Findings,
    /// Rows of the whole log before which, or in whose second, rows are missing.
    pub holes: Vec<usize>,
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
    read_part(path, &whole, findings)
}

/// As [`read`], the rows alone that `part` chooses by their times, s: nothing is said of the others. It gives
/// `None` where there is no such part, and has told why.
pub fn read_part(path: &Path, part: Part, findings: &mut Findings) -> Option<Log> {
    parse_part(
        Source::read_table(path, TABLE_LIMIT, findings)?,
        part,
        findings,
    )
}

/// As [`read`], from a text already in memory.
pub fn parse(source: Source, findings: &mut Findings) -> Option<Log> {
    parse_part(source, &whole, findings)
}

/// Chooses rows by the times of all.
type Part<'a> = &'a dyn Fn(&[Option<f64>]) -> Option<Range<usize>>;

fn whole(times: &[Option<f64>]) -> Option<Range<usize>> {
    Some(0..times.len())
}

fn parse_part(source: Source, part: Part, findings: &mut Findings) -> Option<Log> {
    let mut table = Table::parse(source, findings)?;
    order::put(&mut table, findings);
    // What is wrong with times is told when the columns are read.
    if let Some(times) = points::times(&table, &mut Findings::new()) {
        let wanted = part(&times)?;
        let others: Vec<usize> = (0..times.len())
            .filter(|row| !wanted.contains(row))
            .collect();
        table.leave_out(&others);
    }
    fixless::leave_out(&mut table, findings);
    let columns::Read {
        mut run,
        laps,
        passes,
        headings,
    } = columns::read(&mut table, findings)?;
    let mut gaps = Findings::new();
    let mut holes = tell_taken(
        &table,
        &headings,
        laps.as_deref().or(passes.as_deref()),
        &mut run.time,
        (&mut gaps, findings),
    );
    let rows = (0..table.height())
        .map(|row| table.mark(row, 0).line)
        .collect();
    if let Some(fixes) = &run.fixes {
        places::on_earth(&table, fixes, findings)?;
    }
    if usable(&run) {
        holes.extend(sense::check(
            &table, &headings, &mut run, &mut gaps, findings,
        )?);
    }
    let column = headings.speed;
    let speeds = Column {
        unit: table.written_unit(column).map(str::to_owned),
        ..table.columns[column].clone()
    };
    Some(Log {
        unread: lateral::unread(&table, headings.lateral),
        gaps,
        holes: {
            holes.sort_unstable();
            holes
        },
        yaw: headings.yaw,
        counted: false,
        speeds,
        source: table.into_source(),
        run,
        laps,
        passes,
        rows,
    })
}

/// What is taken for granted of times and distances: a clock that restarts with each lap runs on, rows of one
/// second lie evenly in it, and distances without a unit are in metres. Gives rows in whose second others are
/// missing, which `gaps` tells.
fn tell_taken(
    table: &Table,
    headings: &sense::Columns,
    laps: Option<&[i64]>,
    time: &mut [f64],
    (gaps, findings): (&mut Findings, &mut Findings),
) -> Vec<usize> {
    let mut holes = Vec::new();
    if let (Some(column), Some(laps)) = (headings.time, laps)
        && let Some(row) = clock::onward(time, laps)
    {
        let text = format!(
            "the clock restarts with each lap, first in line {}: the times run on",
            table.mark(row, column).line
        );
        findings.push(table.assumed("time", table.columns[column].mark, text));
    }
    if let (Some(column), Some(clock::Spread { usual, uneven })) =
        (headings.time, clock::spread(time))
    {
        holes = gaps::uneven(table, (column, usual), &uneven, gaps);
        let each = if uneven.is_empty() { "each" } else { "most" };
        let text =
            format!("the times are whole seconds, {usual} rows to {each}: spread evenly over it");
        findings.push(table.assumed("time", table.columns[column].mark, text));
    }
    let bare = headings
        .distance
        .filter(|column| table.written_unit(*column).is_none());
    if let Some(column) = bare {
        let text = "the distances of the log are in metres";
        findings.push(table.assumed("distance", table.columns[column].mark, text));
    }
    holes
}

/// Whether there are speeds over rising times; what is wrong otherwise is told where the run is read.
fn usable(run: &Run) -> bool {
    let sound = |values: &[f64]| values.iter().all(|v| v.is_finite());
    sound(&run.speed)
        && sound(&run.time)
        && run.time.is_sorted()
        && run.speed.iter().all(|v| *v >= 0.0)
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

    /// How many laps the logger counted, whole or not.
    pub fn counts(&self) -> usize {
        let laps = self.laps.as_deref().unwrap_or_default();
        laps.chunk_by(|a, b| a == b).count()
    }

    /// Only the rows of one lap as the logger counted: the one asked for, or the fastest of those
    /// that begin and end in the log. Nothing changes where the logger did not count.
    ///
    /// # Errors
    /// There is no such lap: what is wrong, and what would be right.
    pub fn only_lap(&mut self, asked: Option<usize>) -> Result<Option<Taken>, (String, String)> {
        if self.laps.is_none() {
            let Some(number @ 2..) = asked else {
                return Ok(None);
            };
            let text = format!(
                "there is no lap {number} in this log: without positions and without a column `lap` it \
                 is one lap"
            );
            let remedy = "leave `lap` out, or cut the file to the lap that is meant";
            return Err((text, remedy.to_owned()));
        }
        let parts = self.parts();
        let seen = self.seen(&parts);
        let chosen = match asked {
            Some(number) => parts.iter().position(|(lap, _)| *lap == number as i64),
            None if parts.len() > 2 => self.fastest(&parts, &seen),
            None => (!parts.is_empty()).then_some(0),
        };
        let Some((index, range)) = chosen.map(|index| (index, parts[index].1.clone())) else {
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
        let several = (parts.len() > 1).then(|| Taken {
            index,
            laps: parts.iter().map(|(lap, _)| *lap).zip(seen).collect(),
            fastest: parts.len() > 2,
        });
        self.cut(range.start..self.last_row(&range) + 1);
        self.counted = parts.len() > 1;
        Ok(several)
    }

    /// The rows of each lap that the logger counted, in their order.
    pub fn parts(&self) -> Vec<(i64, Range<usize>)> {
        let mut parts: Vec<(i64, Range<usize>)> = Vec::new();
        for (row, &lap) in self.laps.iter().flatten().enumerate() {
            match parts.last_mut() {
                Some((last, range)) if *last == lap => range.end = row + 1,
                _ => parts.push((lap, row..row + 1)),
            }
        }
        parts
    }

    /// Times and lengths of laps of these rows.
    pub fn seen(&self, parts: &[(i64, Range<usize>)]) -> Vec<Seen> {
        let distance = distances(&self.run);
        let lap = |(_, range): &(i64, Range<usize>)| {
            let (first, last) = (range.start, self.last_row(range));
            Seen {
                seconds: Some(self.run.time[last] - self.run.time[first]),
                metres: distance[last] - distance[first],
                // What lies before its first row is no part of it.
                holed: {
                    let before = self.holes.partition_point(|row| *row <= first);
                    self.holes.get(before).is_some_and(|row| *row < range.end)
                },
            }
        };
        parts.iter().map(lap).collect()
    }

    /// The fastest of several laps, one without a hole where there is one; the first and the last are rarely
    /// whole, and count where they are as long as those between.
    fn fastest(&self, parts: &[(i64, Range<usize>)], seen: &[Seen]) -> Option<usize> {
        // A lap that was cut a little short is no faster for it.
        let pace = |lap: usize| seen[lap].seconds.unwrap_or_default() / seen[lap].metres;
        let inner = 1..parts.len().checked_sub(1)?;
        let mut lengths: Vec<f64> = inner.clone().map(|lap| seen[lap].metres).collect();
        lengths.sort_by(f64::total_cmp);
        let usual = lengths[lengths.len() / 2];
        let counts = |lap: &usize| {
            let alike = WHOLE.0 * usual..=WHOLE.1 * usual;
            inner.contains(lap) || alike.contains(&seen[*lap].metres)
        };
        let order = |&a: &usize, &b: &usize| {
            let holes = seen[a].holed.cmp(&seen[b].holed);
            holes.then(pace(a).total_cmp(&pace(b)))
        };
        (0..parts.len()).filter(counts).min_by(order)
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
        Self::usual(&self.run.time)
    }

    /// The usual time between two positions that are new, s: slow receivers hold theirs over several rows. `None`
    /// without positions.
    pub fn usual_step_of_fixes(&self) -> Option<f64> {
        let fixes = self.run.fixes.as_ref()?;
        let new = |row: &usize| fixes[*row].place != fixes[row - 1].place;
        let times = (1..fixes.len()).filter(new).map(|row| self.run.time[row]);
        Some(Self::usual(&times.collect::<Vec<f64>>()))
    }

    fn usual(times: &[f64]) -> f64 {
        let mut steps: Vec<f64> = times.windows(2).map(|t| t[1] - t[0]).collect();
        steps.sort_by(f64::total_cmp);
        steps.get(steps.len() / 2).copied().unwrap_or_default()
    }

    /// Only these of its rows.
    pub fn cut(&mut self, range: Range<usize>) {
        let part = |column: &mut Vec<f64>| *column = column[range.clone()].to_vec();
        part(&mut self.run.time);
        part(&mut self.run.speed);
        for column in [
            &mut self.run.distance,
            &mut self.run.rpm,
            &mut self.run.lateral,
            &mut self.run.heights,
        ] {
            column.iter_mut().for_each(part);
        }
        if let Some(fixes) = &mut self.run.fixes {
            *fixes = fixes[range.clone()].to_vec();
        }
        self.rows = self.rows[range].to_vec();
        (self.laps, self.passes) = (None, None);
    }
}
