//! Reading pulls from tables: typed sheets, step tests, brake readings, logger files.
//!
//! Columns are known by name or unit and may come in any order. What a file needs: engine speed (or
//! road speed, with the speed per 1,000 rpm) and one of torque, power or brake reading (with the
//! brake's constant). A column `pull` parts several pulls of one file.

mod abreast;
mod agree;
mod beside;
mod channels;
mod choice;
mod columns;
mod corrected;
mod factor;
mod gaps;
mod glitch;
mod headings;
mod lift;
mod numbered;
mod order;
mod parts;
mod reader;
mod sheets;
mod slip;
mod tell;
mod warmth;
mod ways;
mod weather;

#[cfg(test)]
mod tests;

use std::collections::BTreeMap;
use std::ops::Range;
use std::path::Path;

pub use self::beside::{Boost, Rolled};
pub use self::choice::hubs_or_wheels;
pub use self::columns::{BRAKE_ALONE, ROAD_SPEED_ALONE};
use self::columns::{Columns, OF_POWER, OF_TORQUE};
pub use self::corrected::Claim;
pub use self::lift::lift;
use self::reader::Reader;
pub use self::sheets::sheets;
pub use self::slip::slip;
use self::tell::tell_spikes;
pub use self::tell::{in_full, slip_in_words};
pub use self::weather::Stated;
use super::finding::{Finding, Findings};
use super::source::{Mark, TABLE_LIMIT, is_torn, load};
use super::table::Table;
use super::workbook;
use crate::dyno::{Handling, MeasuredAt, Method, Smoothing, Standard};
use crate::units::{self, ENGINE_SPEED, POWER, RPM_PER_RAD_PER_S, SPEED, TIME, TORQUE, Unit};

/// Fewest points of a pull.
pub const FEWEST_POINTS: usize = 5;
/// Engine speed beyond this is not read, rpm.
const FASTEST: f64 = 25_000.0;
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
    /// What the dyno reads where nothing pulls, N·m: taken off torque.
    pub zero: f64,
    /// How the engine was taken through its range.
    pub method: Method,
    /// How noise is smoothed.
    pub smoothing: Smoothing,
    /// Where torque was measured.
    pub measured_at: MeasuredAt,
    /// What figures are corrected to; `None` where no test day says or leaves it open.
    pub corrected: Option<Standard>,
    /// Engine speeds, rpm, between which alone a pull counts.
    pub counts: Option<(f64, f64)>,
}

impl Settings {
    /// Where no test day says anything: a sweep.
    pub const USUAL: Self = Self {
        brake: None,
        speed_per_1000_rpm: None,
        zero: 0.0,
        method: Method::Sweep,
        smoothing: Smoothing::WhereNoisy,
        measured_at: MeasuredAt::Flywheel,
        corrected: None,
        counts: None,
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
    /// The heading of a column of correction factors beside it, their mean, and a finding without a text at it.
    pub factor: Option<(String, f64, Finding)>,
    /// Pressure behind a blower, where a column has it.
    pub boost: Option<Boost>,
    /// The headings of all columns it was chosen from; empty where there was no choice.
    pub among: Vec<String>,
    /// The heading of the file's only column of power, where torque is read, and the other way round.
    pub beside: Option<String>,
    /// What lines of the file say of the air.
    pub weather: Option<Stated>,
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
    /// Means of the other channels over the rows that were used; of `knock retard` the most, in degrees, of `leanest
    /// lambda` that over the leanest tenth, and of `smoothing` what the dyno was set to.
    pub channels: BTreeMap<String, f64>,
    /// Where torque comes from.
    pub measured: Measured,
    /// Road speed beside engine speed, where the file has both.
    pub rolled: Option<Rolled>,
    /// The heading of a column that looks like the pull's number, where pulls were counted by their place.
    pub by_place: Option<String>,
}

/// Reads the pulls of a file; what is wrong becomes findings at their rows.
pub fn read(path: &Path, settings: &Settings, findings: &mut Findings) -> Option<Vec<FilePull>> {
    let table = Table::read(path, findings)?;
    let name = sheets::name(path);
    parse(&table, &name, settings, findings)
}

/// Whether a file is text or bytes without a pull in it: no table, or one with neither engine speed
/// nor anything that is measured beside it. What cannot be looked at may be one.
pub fn is_none(path: &Path) -> bool {
    match load(workbook::file_of(path), TABLE_LIMIT) {
        Ok(_) => Table::read(path, &mut Findings::new()).is_none_or(|table| columns::none(&table)),
        Err(_) => false,
    }
}

/// Why a file in which there is no pull is none: a torn one has zero bytes in it.
pub fn why_none(path: &Path) -> &'static str {
    match load(path, TABLE_LIMIT).is_ok_and(|bytes| is_torn(&bytes)) {
        true => "torn: zero bytes stand where it goes on; copy it again, or cut it there",
        false => "no pull is in it",
    }
}

/// As [`read`], from a table already in memory.
pub fn parse(
    table: &Table,
    name: &str,
    settings: &Settings,
    findings: &mut Findings,
) -> Option<Vec<FilePull>> {
    let (mut own, mut of_stacked) = (Findings::new(), Findings::new());
    let mut pulls = of_rows(table, name, None, settings, &mut own);
    if pulls.is_none()
        && let Some((table, runs)) = abreast::stacked(table, &mut of_stacked)
    {
        own = of_stacked;
        pulls = of_rows(&table, name, Some(runs), settings, &mut own);
    }
    findings.append(own);
    pulls
}

/// The pulls of a table whose rows follow each other, with the rows of each where they are known.
fn of_rows(
    table: &Table,
    name: &str,
    runs: Option<Vec<(String, Range<usize>)>>,
    settings: &Settings,
    findings: &mut Findings,
) -> Option<Vec<FilePull>> {
    let columns = columns::find(table, settings, findings)?;
    let before = findings.errors();
    // Of runs side by side the rows are counted.
    let whole = match runs {
        Some(_) => None,
        None => gaps::left_out(table, &columns, findings),
    };
    let table = whole.as_ref().unwrap_or(table);
    let mut of_all = values(table, &columns, settings, findings)?;
    let mended = match runs {
        Some(_) => None,
        None => glitch::left_out(table, &columns, &of_all, findings),
    };
    if let Some(table) = &mended {
        of_all = values(table, &columns, settings, findings)?;
    }
    let (table, values) = (mended.as_ref().unwrap_or(table), of_all);
    if let Some(column) = columns.pull {
        table.alone_as_written(column, findings).then_some(())?;
    }
    let apart = runs.is_some();
    let mut groups = match runs {
        Some(runs) => runs
            .into_iter()
            .map(|(label, rows)| (label, rows.collect()))
            .collect(),
        None => {
            let gather = order::is_sorted(table, &columns, &values);
            groups(table, columns.pull, gather)
        }
    };
    let mut put = false;
    for group in &mut groups {
        put |= order::put(table, &columns, &values, &mut group.1, findings);
    }
    let mut by_place = None;
    let numbered_apart =
        apart || columns.pull.is_some() && !groups.iter().any(|g| values.several(&g.1));
    if !(numbered_apart || put)
        && let Some(parts) = parts::parted(table, &columns, &values, settings, findings)
    {
        let own = columns.pull.map(|pull| table.columns[pull].name.clone());
        by_place = own.or_else(|| beside::numbers(table, &parts));
        groups = numbered(parts);
    }
    let several = groups.len() > 1;
    if columns.pull.is_some() {
        let lifted: usize = groups
            .iter_mut()
            .map(|group| lifted(&mut group.1, &values.torque))
            .sum();
        if lifted > 0 {
            let text = format!(
                "{} without torque at the ends of pulls left out",
                units::counted(lifted, "row")
            );
            findings.push(table.assumed("rows", Mark::default(), text));
        }
    }
    let mut pulls = Vec::new();
    let mut spikes = Vec::new();
    for (label, mut rows) in groups {
        let all = rows.len();
        if let Some((from, to)) = settings.counts {
            rows.retain(|&row| (from..=to).contains(&values.rpm[row]));
        }
        let name = match several {
            true => format!("{name} #{label}"),
            false => name.to_owned(),
        };
        let one = Reader {
            table,
            columns: &columns,
            values: &values,
            beyond: all - rows.len(),
            rows,
            settings,
        };
        let made = one.pull(name, label, &mut spikes, findings);
        pulls.extend(made.map(|pull| FilePull {
            by_place: by_place.clone(),
            ..pull
        }));
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

impl Values {
    /// Whether some rows that go by one number are several pulls.
    fn several(&self, rows: &[usize]) -> bool {
        let pick = |of: &[f64]| rows.iter().map(|&row| of[row]).collect::<Vec<f64>>();
        parts::parts(&pick(&self.rpm), &pick(&self.torque)).len() > 1
    }
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
    let bare = |column, of| choice::unit_in_words(table, column, of).map(|(_, unit)| unit.name());
    let power = columns
        .power
        .and_then(|power| table.numbers(power, &POWER, bare(power, &OF_POWER), findings));
    let time = columns
        .time
        .and_then(|time| table.numbers(time, &TIME, Some("s"), findings));
    let torque = columns
        .torque
        .and_then(|torque| table.numbers(torque, &TORQUE, bare(torque, &OF_TORQUE), findings));
    let brake = match (columns.torque, columns.power, columns.brake) {
        (None, None, Some(brake)) => columns::plain(table, brake, findings),
        (None, Some(_), Some(brake)) if settings.brake.is_some() => {
            let rows: Vec<usize> = (0..table.height()).collect();
            columns::values(table, brake, &rows)
        }
        _ => None,
    };
    let throttle = columns
        .throttle
        .and_then(|throttle| columns::plain(table, throttle, findings));
    let rpm: Vec<f64> = rpm?;
    let brake_beside = brake.clone().filter(|_| columns.power.is_some());
    let from_power = |power: &[f64]| {
        let pairs = power.iter().zip(&rpm);
        // An engine at rest gives neither; a row that says otherwise is refused for its torque.
        let torque = |(p, n): (&f64, &f64)| match *n >= 1.0 {
            true => p / n * RPM_PER_RAD_PER_S,
            false => 0.0,
        };
        pairs.map(torque).collect()
    };
    let mut torque: Vec<f64> = match (columns.torque, &power, brake, settings.brake) {
        (Some(_), ..) => torque?,
        (None, Some(power), ..) => from_power(power),
        (None, None, Some(reading), Some((constant, unit))) => reading
            .iter()
            .map(|r| unit.to_si(r / constant) * RPM_PER_RAD_PER_S)
            .collect(),
        _ => return None,
    };
    torque
        .iter_mut()
        .for_each(|torque| *torque -= settings.zero);
    let power = power.map(|power| {
        let turned = power.iter().zip(&rpm);
        let less = |(p, n): (&f64, &f64)| p - settings.zero * n / RPM_PER_RAD_PER_S;
        turned.map(less).collect::<Vec<f64>>()
    });
    if let (Some(power), Some(reading), Some((constant, unit))) =
        (&power, &brake_beside, settings.brake)
    {
        let rows: Vec<usize> = (0..power.len()).filter(|&row| power[row] > 0.0).collect();
        let turned = reading.iter().zip(&rpm);
        let given: Vec<f64> = turned.map(|(r, n)| unit.to_si(r * n / constant)).collect();
        if let Some(fault) = agree::brake(&given, power, constant, &rows) {
            let mark = table.mark(fault.row, columns.brake.unwrap_or(0));
            let finding = table.finding(fault.severity, mark, fault.text);
            findings.push(finding.remedy(fault.remedy));
        }
    }
    Some(Values {
        torque,
        power: power.filter(|_| columns.torque.is_some()),
        rpm,
        time,
        throttle,
    })
}

/// The rows of each pull, with its label, in the order of the file; those of one label are one pull where they are
/// to be gathered, else where they follow each other.
fn groups(table: &Table, pull: Option<usize>, gather: bool) -> Vec<(String, Vec<usize>)> {
    let Some(column) = pull else {
        return vec![(String::new(), (0..table.height()).collect())];
    };
    let mut groups: Vec<(String, Vec<usize>)> = Vec::new();
    let mut places: BTreeMap<&str, usize> = BTreeMap::new();
    for (row, label) in numbered::labels(table, column).into_iter().enumerate() {
        let last = groups.len().checked_sub(1);
        let open = match gather {
            true => places.get(label).copied(),
            false => last.filter(|&last| groups[last].0 == label),
        };
        match open {
            Some(place) => groups[place].1.push(row),
            None => {
                places.insert(label, groups.len());
                groups.push((label.to_owned(), vec![row]));
            }
        }
    }
    groups
}

/// Takes the rows off at the ends of a numbered pull in which the engine does not pull; how many. One without any
/// pull keeps them, to be refused for that.
fn lifted(rows: &mut Vec<usize>, torque: &[f64]) -> usize {
    let pulls = |row: &usize| torque[*row] > 0.0;
    let (Some(first), Some(last)) = (rows.iter().position(pulls), rows.iter().rposition(pulls))
    else {
        return 0;
    };
    let all = rows.len();
    rows.truncate(last + 1);
    rows.drain(..first);
    all - rows.len()
}

/// The rows of pulls one after another, with their numbers.
fn numbered(parts: Vec<Range<usize>>) -> Vec<(String, Vec<usize>)> {
    let places = parts.into_iter().zip(1..);
    let group = |(part, place): (Range<usize>, usize)| (place.to_string(), part.collect());
    places.map(group).collect()
}

/// Whether a heading spells a unit of power, so that the column needs no other name.
fn spells_power(name: &str) -> bool {
    units::unit(name).is_some_and(|(_, dimension)| std::ptr::eq(dimension, &POWER))
}
