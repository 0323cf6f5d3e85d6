//! Reading pulls from tables: typed sheets, step tests, brake readings, logger files.
//!
//! Columns are known by name or unit and may come in any order. What a file needs: engine speed (or
//! road speed, with the speed per 1,000 rpm) and one of torque, power or brake reading (with the
//! brake's constant). A column `pull` parts several pulls of one file.

mod agree;
mod choice;
mod columns;
mod corrected;
mod parts;
mod slip;
mod tell;

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;
use std::path::Path;

use self::columns::Columns;
pub use self::columns::{BRAKE_ALONE, ROAD_SPEED_ALONE};
pub use self::corrected::Claim;
pub use self::slip::slip;
use self::tell::tell_spikes;
pub use self::tell::{in_full, slip_in_words};
use super::finding::{Finding, Findings, Severity};
use super::source::{Mark, Source, TABLE_LIMIT, load};
use super::table::{Column, Table};
use crate::dyno::{
    Conditioned, Handling, MeasuredAt, Method, Rows, Smoothing, Standard, condition,
};
use crate::units::{
    self, ENGINE_SPEED, POWER, RPM_PER_RAD_PER_S, SPEED, TIME, TORQUE, Unit, counted,
};

/// Fewest points of a pull.
pub const FEWEST_POINTS: usize = 5;
/// Torque beyond this is no engine's, N·m.
const MOST_TORQUE: f64 = 100_000.0;

/// What a test day says about its dyno's files.
#[derive(Debug, Clone, Copy)]
pub struct Settings {
    /// The brake's constant, where files hold brake readings: power is reading times rpm over it, in
    /// the unit beside it.
    pub brake: Option<(f64, &'static Unit)>,
    /// Road speed at 1,000 rpm, m/s, where files hold road speed.
    pub speed_per_1000_rpm: Option<f64>,
    /// How the engine was taken through its range.
    pub method: Method,
    /// How noise is smoothed.
    pub smoothing: Smoothing,
    /// Where torque was measured.
    pub measured_at: MeasuredAt,
    /// What figures are corrected to; `None` where no test day says or leaves it open.
    pub corrected: Option<Standard>,
}

impl Settings {
    /// Where no test day says anything: a sweep.
    pub const USUAL: Self = Self {
        brake: None,
        speed_per_1000_rpm: None,
        method: Method::Sweep,
        smoothing: Smoothing::WhereNoisy,
        measured_at: MeasuredAt::Flywheel,
        corrected: None,
    };
}

/// What was measured beside engine speed, as the file heads it.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// The heading's name, without its unit.
    pub name: String,
    /// Unit as the file has it; empty where it is the usual one.
    pub unit: String,
    /// A finding without a text at the heading.
    pub at: Finding,
    /// What the file says of correction, if anything, the words that say so, and a finding without a text
    /// at them.
    pub corrected: Option<(Claim, String, Finding)>,
    /// The headings of all columns it was chosen from; empty where there was no choice.
    pub among: Vec<String>,
}

/// One pull of a file.
#[derive(Debug, Clone, PartialEq)]
pub struct FilePull {
    /// The file's name without its ending, and which pull of several.
    pub name: String,
    /// What stands in the column that parts several pulls; empty where there is none.
    pub label: String,
    /// Engine speed, rpm, rising.
    pub rpm: Vec<f64>,
    /// Torque, N·m.
    pub torque: Vec<f64>,
    /// How fast the engine gained speed, rpm/s; empty without a time column.
    pub acceleration: Vec<f64>,
    /// What was done to the rows.
    pub handling: Handling,
    /// Means of the other channels over the rows that were used.
    pub channels: BTreeMap<String, f64>,
    /// Where torque comes from.
    pub measured: Measured,
}

/// Reads the pulls of a file; what is wrong becomes findings at their rows.
pub fn read(path: &Path, settings: &Settings, findings: &mut Findings) -> Option<Vec<FilePull>> {
    let table = Table::read(path, findings)?;
    let name = path.file_stem().unwrap_or_default().to_string_lossy();
    parse(&table, &name, settings, findings)
}

/// Whether a file is text or bytes without a pull in it: no table, or one with neither engine speed
/// nor anything that is measured beside it. What cannot be looked at may be one.
pub fn is_none(path: &Path) -> bool {
    let mut found = Findings::new();
    match load(path, TABLE_LIMIT) {
        Ok(bytes) => Source::table_from_bytes(path, bytes, &mut found)
            .and_then(|source| Table::parse(source, &mut found))
            .is_none_or(|table| columns::none(&table)),
        Err(_) => false,
    }
}

/// As [`read`], from a table already in memory.
pub fn parse(
    table: &Table,
    name: &str,
    settings: &Settings,
    findings: &mut Findings,
) -> Option<Vec<FilePull>> {
    let columns = columns::find(table, settings, findings)?;
    let before = findings.errors();
    let values = values(table, &columns, settings, findings)?;
    if let Some(column) = columns.pull {
        table.alone_as_written(column, findings).then_some(())?;
    }
    let mut groups = groups(table, columns.pull);
    if columns.pull.is_none() {
        groups = parts::parted(table, &columns, &values, settings, findings).unwrap_or(groups);
    }
    let several = groups.len() > 1;
    let mut pulls = Vec::new();
    let mut spikes = Vec::new();
    for (label, rows) in groups {
        let name = match several {
            true => format!("{name} #{label}"),
            false => name.to_owned(),
        };
        let one = Reader {
            table,
            columns: &columns,
            values: &values,
            rows,
            settings,
        };
        pulls.extend(one.pull(name, label, &mut spikes, findings));
    }
    tell_spikes(table, &columns, &spikes, findings);
    (findings.errors() == before).then_some(pulls)
}

/// The columns that make a pull, SI, row by row.
struct Values {
    rpm: Vec<f64>,
    torque: Vec<f64>,
    /// Power, W, where the file has torque as well.
    power: Option<Vec<f64>>,
    time: Option<Vec<f64>>,
    throttle: Option<Vec<f64>>,
}

fn values(
    table: &Table,
    columns: &Columns,
    settings: &Settings,
    findings: &mut Findings,
) -> Option<Values> {
    let rpm = match (columns.rpm, columns.speed, settings.speed_per_1000_rpm) {
        (Some(rpm), _, _) => table.numbers(rpm, &ENGINE_SPEED, Some("rpm"), findings),
        (None, Some(speed), Some(per_1000)) => {
            let speed = table.numbers(speed, &SPEED, None, findings);
            speed.map(|v| v.iter().map(|v| v / per_1000 * 1000.0).collect())
        }
        _ => None,
    };
    let power = columns
        .power
        .and_then(|power| table.numbers(power, &POWER, None, findings));
    let time = columns
        .time
        .and_then(|time| table.numbers(time, &TIME, Some("s"), findings));
    let torque = columns
        .torque
        .and_then(|torque| table.numbers(torque, &TORQUE, None, findings));
    let brake = match (columns.torque.or(columns.power), columns.brake) {
        (None, Some(brake)) => columns::plain(table, brake, findings),
        _ => None,
    };
    let throttle = columns
        .throttle
        .and_then(|throttle| columns::plain(table, throttle, findings));
    let rpm: Vec<f64> = rpm?;
    let from_power = |power: &[f64]| {
        let pairs = power.iter().zip(&rpm);
        // An engine at rest gives neither; a row that says otherwise is refused for its torque.
        let torque = |(p, n): (&f64, &f64)| match *n >= 1.0 {
            true => p / n * RPM_PER_RAD_PER_S,
            false => 0.0,
        };
        pairs.map(torque).collect()
    };
    let torque: Vec<f64> = match (columns.torque, &power, brake, settings.brake) {
        (Some(_), ..) => torque?,
        (None, Some(power), ..) => from_power(power),
        (None, None, Some(reading), Some((constant, unit))) => reading
            .iter()
            .map(|r| unit.to_si(r / constant) * RPM_PER_RAD_PER_S)
            .collect(),
        _ => return None,
    };
    Some(Values {
        torque,
        power: power.filter(|_| columns.torque.is_some()),
        rpm,
        time,
        throttle,
    })
}

/// The rows of each pull, with its label, in the order of the file.
fn groups(table: &Table, pull: Option<usize>) -> Vec<(String, Vec<usize>)> {
    let Some(column) = pull else {
        return vec![(String::new(), (0..table.height()).collect())];
    };
    let mut groups: Vec<(String, Vec<usize>)> = Vec::new();
    for row in 0..table.height() {
        let label = table.cell(row, column);
        match groups.last_mut() {
            Some((last, rows)) if last == label => rows.push(row),
            _ => groups.push((label.to_owned(), vec![row])),
        }
    }
    groups
}

/// One pull of a table.
struct Reader<'a> {
    table: &'a Table,
    columns: &'a Columns,
    values: &'a Values,
    rows: Vec<usize>,
    settings: &'a Settings,
}

impl Reader<'_> {
    fn pull(
        &self,
        name: String,
        label: String,
        spikes: &mut Vec<usize>,
        findings: &mut Findings,
    ) -> Option<FilePull> {
        let pick = |of: &Vec<f64>| self.rows.iter().map(|&row| of[row]).collect::<Vec<f64>>();
        let rows = Rows {
            rpm: pick(&self.values.rpm),
            torque: pick(&self.values.torque),
            time: self.values.time.as_ref().map(pick),
            throttle: self.values.throttle.as_ref().map(pick),
        };
        self.check_rows(&rows, findings)?;
        let made = condition(&rows, self.settings.method, self.settings.smoothing);
        spikes.extend(made.handling.spikes.iter().map(|&row| self.rows[row]));
        self.tell(&rows, &made, findings);
        self.check_points(&made, findings)?;
        self.tell_slip(&rows, &made, findings);
        if let Some(power) = &self.values.power {
            let used: Vec<usize> = made.used.iter().map(|&i| self.rows[i]).collect();
            let of = agree::Columns {
                rpm: &self.values.rpm,
                torque: &self.values.torque,
                power,
                unit: self.columns.unit(self.table, self.columns.power),
            };
            if let Some(fault) = agree::check(&of, &used) {
                let (row, column) = (fault.row, self.columns.torque.unwrap_or(0));
                let mark = self.table.mark(row, column);
                let finding = self.table.finding(fault.severity, mark, fault.text);
                findings.push(finding.remedy(fault.remedy));
            }
        }
        let used = made.used.iter().map(|&i| self.rows[i]);
        let channels = columns::channels(self.table, self.columns, &used.collect::<Vec<_>>());
        Some(FilePull {
            name,
            label,
            rpm: made.rpm,
            torque: made.torque,
            acceleration: made.acceleration,
            handling: made.handling,
            channels,
            measured: self.measured(),
        })
    }

    fn measured(&self) -> Measured {
        let columns = self.columns;
        let column = columns.torque.or(columns.power).or(columns.brake);
        let heading = column.map(|column| &self.table.columns[column]);
        let mark = heading.map_or(Mark::default(), |heading| heading.mark);
        Measured {
            name: heading.map_or(String::new(), |heading| heading.name.clone()),
            unit: column
                .and_then(|column| self.table.written_unit(column))
                .unwrap_or_default()
                .to_owned(),
            at: self.table.finding(Severity::Warning, mark, ""),
            corrected: heading.and_then(|heading| self.claim(heading)),
            among: columns
                .among
                .iter()
                .map(|&i| self.table.columns[i].name.clone())
                .collect(),
        }
    }

    /// What the heading of what was measured says of correction, or a line above the table.
    fn claim(&self, heading: &Column) -> Option<(Claim, String, Finding)> {
        let at = |mark| self.table.finding(Severity::Warning, mark, "");
        let unit = heading.unit.as_ref().filter(|unit| **unit != heading.name);
        let written = match unit {
            Some(unit) => format!("{} ({unit})", heading.name),
            None => heading.name.clone(),
        };
        if let Some(claim) = corrected::in_heading(&written) {
            return Some((claim, written, at(heading.mark)));
        }
        self.table.notes().find_map(|(mark, line)| {
            let claim = corrected::in_line(line)?;
            Some((claim, line.trim().to_owned(), at(mark)))
        })
    }

    fn mark(&self, row: usize) -> Mark {
        let speed = self.columns.rpm.or(self.columns.speed);
        self.table.mark(self.rows[row], speed.unwrap_or(0))
    }

    /// Times that run on, and engine speeds that an engine has.
    fn check_rows(&self, rows: &Rows, findings: &mut Findings) -> Option<()> {
        let before = findings.errors();
        let fault =
            |row: usize, text: String| self.table.finding(Severity::Error, self.mark(row), text);
        if let Some(time) = &rows.time
            && let Some(back) = (1..time.len()).find(|&i| time[i] < time[i - 1])
        {
            let text = format!("time runs backwards in row {}", self.rows[back] + 1);
            let remedy = "where a file holds several pulls, number them in a column named `pull`";
            findings.push(fault(back, text).remedy(remedy));
        }
        if let Some(low) = rows.rpm.iter().position(|n| *n < 0.0) {
            let text = format!("an engine speed of {} rpm", rows.rpm[low]);
            findings.push(fault(low, text).remedy("take the row out"));
        }
        let sane = |torque: &f64| torque.is_finite() && torque.abs() <= MOST_TORQUE;
        if let Some(row) = rows.torque.iter().position(|torque| !sane(torque)) {
            let text = format!(
                "row {}: torque or power that no engine has",
                self.rows[row] + 1
            );
            findings.push(fault(row, text).remedy("check the unit of the column"));
        }
        let most = rows.rpm.iter().copied().fold(0.0, f64::max);
        if let Some(remedy) = in_full(most) {
            let text = format!("the highest engine speed is {most} rpm");
            findings.push(fault(0, text).remedy(remedy));
        } else if most > 25_000.0 {
            let row = rows.rpm.iter().position(|&n| n == most).unwrap_or(0);
            let text = format!("an engine speed of {most:.0} rpm");
            findings.push(fault(row, text).remedy("engine speeds up to 25,000 rpm are read"));
        }
        (findings.errors() == before).then_some(())
    }

    /// Enough points, and torque above zero at all of them.
    fn check_points(&self, made: &Conditioned, findings: &mut Findings) -> Option<()> {
        let row = |i: usize| made.used.get(i).copied().unwrap_or(0);
        if made.rpm.len() < FEWEST_POINTS {
            let text = format!(
                "{} in this pull: fewer than {FEWEST_POINTS} tell nothing of a curve",
                counted(made.rpm.len(), "engine speed")
            );
            let finding = self.table.finding(Severity::Error, self.mark(row(0)), text);
            let moving = made.handling.logged && self.settings.method == Method::Steps;
            let remedy = match moving {
                true => {
                    "`method: steps` reads where the engine is held at a speed; is this a sweep? \
                         say `dyno: {method: sweep}`"
                }
                false => "eight to twelve, evenly spread, make a good sheet",
            };
            findings.push(finding.remedy(remedy));
            return None;
        }
        let low = made
            .used
            .iter()
            .copied()
            .find(|&i| self.values.torque[self.rows[i]] <= 0.0);
        if let Some(low) = low {
            let at = self.rows[low];
            let column = self.columns.torque.or(self.columns.power);
            let mark = self.table.mark(at, column.unwrap_or(0));
            let text = format!(
                "row {}: at full throttle torque and power are above zero",
                at + 1
            );
            let finding = self.table.finding(Severity::Error, mark, text);
            let pulls = |&i: &usize| self.values.torque[self.rows[i]] > 0.0;
            let remedy = match made.used.iter().any(pulls) {
                true => "take out rows where the engine is not pulling",
                false => {
                    "no row is: if the sign is the dyno's own, turn it round in the whole column"
                }
            };
            findings.push(finding.remedy(remedy));
            return None;
        }
        Some(())
    }
}

/// Whether a heading spells a unit of power, so that the column needs no other name.
fn spells_power(name: &str) -> bool {
    units::unit(name).is_some_and(|(_, dimension)| std::ptr::eq(dimension, &POWER))
}
