//! Which column of a pull file is what: by name, else by the one column with a unit that fits.

use super::choice::{self, Picked, Quantity};
use super::{Settings, abreast};
use super::{headings, numbered};
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::table::{Column, ENGINE_SPEEDS, Table};
use crate::units::{self, Dimension, ENGINE_SPEED, POWER, SPEED, TIME, TORQUE};

/// The columns of a pull file.
#[derive(Debug, Clone, Default)]
pub struct Columns {
    pub rpm: Option<usize>,
    pub speed: Option<usize>,
    /// Road speed where engine speed is read from a column of its own.
    pub speed_beside: Option<usize>,
    pub torque: Option<usize>,
    pub power: Option<usize>,
    pub brake: Option<usize>,
    pub time: Option<usize>,
    pub throttle: Option<usize>,
    pub pull: Option<usize>,
    /// The columns of which the one that is read was chosen; empty where there was no choice.
    pub among: Vec<usize>,
}

const TORQUE_NAMES: [&str; 15] = [
    "torque",
    "engine torque",
    "corrected torque",
    "torque corrected",
    "wheel torque",
    "tq",
    "drehmoment",
    "couple",
    "coppia",
    "par",
    "koppel",
    "moment",
    "vridmoment",
    "vääntömomentti",
    "kroutící moment",
];
const POWER_NAMES: [&str; 15] = [
    "power",
    "engine power",
    "corrected power",
    "power corrected",
    "wheel power",
    "flywheel power",
    "leistung",
    "puissance",
    "potenza",
    "potencia",
    "vermogen",
    "effekt",
    "moc",
    "teho",
    "výkon",
];
pub const OF_TORQUE: Quantity<'static> = Quantity {
    what: "torque",
    names: &TORQUE_NAMES,
    letters: &["m", "md"],
    dimension: &TORQUE,
};
pub const OF_POWER: Quantity<'static> = Quantity {
    what: "power",
    names: &POWER_NAMES,
    letters: &["p"],
    dimension: &POWER,
};
const SPEED_NAMES: [&str; 4] = ["road speed", "vehicle speed", "roll speed", "speed"];
const BRAKE: [&str; 5] = ["brake reading", "brake", "brake load", "load", "reading"];
const TIME_NAMES: [&str; 6] = ["time", "t", "elapsed", "elapsed time", "zeit", "temps"];
const THROTTLE: [&str; 16] = [
    "throttle",
    "tps",
    "pedal",
    "accelerator",
    "drosselklappe",
    "gaspedal",
    "papillon",
    "farfalla",
    "mariposa",
    "acelerador",
    "gasklep",
    "spjäll",
    "gasspjäll",
    "klapka",
    "przepustnica",
    "kaasuläppä",
];
/// What is wrong with a file whose road speed nobody can turn into engine speed.
pub const ROAD_SPEED_ALONE: &str = "this file has road speed and no engine speed";
/// What is wrong with one whose brake readings nobody can turn into torque.
pub const BRAKE_ALONE: &str = "this file has brake readings, and the brake's constant is not known";

impl Columns {
    /// The unit written for a column.
    pub fn unit<'a>(&self, table: &'a Table, column: Option<usize>) -> Option<&'a str> {
        table.columns[column?].unit.as_deref()
    }
}

/// The column of how far the throttle is open, such as `throttle_pct` or `TPS position`: which unit it has does
/// not matter.
fn throttle(table: &Table) -> Option<usize> {
    const MORE: [&str; 7] = ["", "position", "pos", "opening", "angle", "pct", "percent"];
    let called = |name: &str| {
        let mut called = MORE.iter().map(|more| format!("{name} {more}"));
        called.find_map(|called| table.find(&[called.trim()]))
    };
    THROTTLE.iter().find_map(|name| called(name))
}

/// Finds the columns; what is missing becomes a finding.
pub fn find(table: &Table, settings: &Settings, findings: &mut Findings) -> Option<Columns> {
    let before = findings.errors();
    if let Some(fault) = headings::spun_up(table) {
        findings.push(fault);
        return None;
    }
    let rpm = role(
        table,
        "engine speed",
        ENGINE_SPEEDS,
        &ENGINE_SPEED,
        findings,
    );
    let fault =
        rpm.and_then(|rpm| headings::other_shaft(table, rpm).or(headings::scaled_unit(table, rpm)));
    fault.into_iter().for_each(|fault| findings.push(fault));
    let mut torque = measured(table, &OF_TORQUE, settings, findings);
    let mut power = power_beside(table, torque.as_ref(), settings, findings);
    let elsewhere = choice::elsewhere(table, torque.as_ref(), power.as_ref(), settings);
    elsewhere
        .into_iter()
        .for_each(|finding| findings.push(finding));
    choice::settle(&mut torque, &mut power);
    let among = torque.as_ref().or(power.as_ref());
    let among = among.map_or_else(Vec::new, |read| read.among.clone());
    let (torque, power) = (torque.map(|t| t.column), power.map(|p| p.column));
    let among = match torque.filter(|_| among.is_empty()) {
        Some(torque) => headings::of_torque_beside(table, torque),
        None => among,
    };
    let speed = role(table, "road speed", &SPEED_NAMES, &SPEED, findings);
    let columns = Columns {
        rpm,
        torque,
        power,
        speed: speed.filter(|_| rpm.is_none()),
        speed_beside: speed.filter(|_| rpm.is_some()),
        // What an engine's computer calls load is a share of its filling.
        brake: table
            .find(&BRAKE)
            .filter(|&brake| !is_percent(table, brake)),
        time: table.find(&TIME_NAMES).or_else(|| running(table)),
        throttle: throttle(table),
        pull: numbered::column(table, rpm, findings),
        among,
    };
    if columns.rpm.is_none() && findings.errors() == before {
        let scaled = headings::scaled(table);
        match (columns.speed, settings.speed_per_1000_rpm) {
            (Some(_), Some(_)) => {}
            (Some(speed), None) if scaled.is_none() => {
                let mark = table.columns[speed].mark;
                let finding = table.finding(Severity::Error, mark, ROAD_SPEED_ALONE);
                let remedy = "say what 1,000 rpm are in the gear used: \
                              `dyno: {speed_per_1000_rpm: 26.1 km/h}`";
                findings.push(finding.remedy(remedy));
            }
            (_, None) | (None, _) => {
                let missing = table.missing("engine speed", ENGINE_SPEEDS);
                findings.push(match scaled {
                    Some(remedy) => missing.remedy(remedy),
                    None => missing,
                });
            }
        }
    }
    if columns.torque.or(columns.power).is_none() && findings.errors() == before {
        brake(table, &columns, settings)
            .into_iter()
            .for_each(|finding| findings.push(finding));
    }
    (findings.errors() == before).then_some(columns)
}

/// Whether the heading of a column says per cent.
fn is_percent(table: &Table, column: usize) -> bool {
    table.heading(column).contains('%')
}

/// The only column in s or min that runs on through the rows: what takes milliseconds goes up and down.
fn running(table: &Table) -> Option<usize> {
    let column = table.only_in(&TIME)?;
    let unit = table
        .written_unit(column)
        .and_then(|unit| TIME.unit(unit))?;
    let rows: Vec<usize> = (0..table.height()).collect();
    let values = values(table, column, &rows)?;
    (unit.name() != "ms" && values.is_sorted()).then_some(column)
}

/// The column of power. Of several that nobody can choose from none is needed where there is torque.
fn power_beside(
    table: &Table,
    torque: Option<&Picked>,
    settings: &Settings,
    findings: &mut Findings,
) -> Option<Picked> {
    let mut own = Findings::new();
    let power = measured(table, &OF_POWER, settings, &mut own);
    match torque.filter(|_| own.has_errors()) {
        Some(torque) => {
            let Column { name, mark, .. } = &table.columns[torque.column];
            let text = format!("{} is read, and none of the columns of power", quoted(name));
            findings.push(table.assumed("power", *mark, text));
        }
        None => findings.append(own),
    }
    power
}

/// The column of torque or power that the day asks for.
fn measured(
    table: &Table,
    of: &Quantity,
    settings: &Settings,
    findings: &mut Findings,
) -> Option<Picked> {
    if let Some(picked) = choice::pick(table, of, settings, findings) {
        return Some(picked);
    }
    let spells = |column: &Column| super::spells_power(&column.name);
    let spelt = match std::ptr::eq(of.dimension, &POWER) && table.find(of.names).is_none() {
        true => table.columns.iter().position(spells),
        false => None,
    };
    let column = spelt.or_else(|| role(table, of.what, of.names, of.dimension, findings));
    let in_words =
        || (0..table.columns.len()).find(|&i| choice::unit_in_words(table, i, of).is_some());
    let column = column.or_else(in_words)?;
    Some(choice::only(table, column, settings))
}

/// Whether a table has neither engine speed nor anything that is measured beside it.
pub fn none(table: &Table) -> bool {
    let mut found = Findings::new();
    let columns = find(table, &Settings::USUAL, &mut found);
    let named = [
        ENGINE_SPEEDS,
        &TORQUE_NAMES,
        &POWER_NAMES,
        &SPEED_NAMES,
        &BRAKE,
    ];
    let has_one = |names: &&[&str]| table.find(names).is_some();
    let measures = |column: &Column| {
        let dimension = column.unit.as_deref().and_then(units::unit);
        let dimensions = [&ENGINE_SPEED, &TORQUE, &POWER, &SPEED];
        dimension.is_some_and(|(_, d)| dimensions.iter().any(|one| std::ptr::eq(*one, d)))
    };
    columns.is_none() && !named.iter().any(has_one) && !table.columns.iter().any(measures)
}

/// What stands in the way of reading torque from a brake, where there is neither torque nor power.
fn brake(table: &Table, columns: &Columns, settings: &Settings) -> Option<Finding> {
    match (columns.brake, settings.brake) {
        (Some(_), Some(_)) => None,
        (Some(brake), None) => {
            let mark = table.columns[brake].mark;
            let remedy = "power is reading times rpm over it: \
                          `dyno: {brake: {constant: 4500, power: bhp}}`";
            Some(
                table
                    .finding(Severity::Error, mark, BRAKE_ALONE)
                    .remedy(remedy),
            )
        }
        (None, _) => {
            let missing = table.missing("torque or power", &TORQUE_NAMES);
            let near = table.near(&TORQUE_NAMES).is_some();
            let on_the_road = columns.speed.or(columns.speed_beside).is_some();
            Some(match abreast::without_units(table) {
                Some(remedy) => missing.remedy(remedy),
                None if near => missing,
                None => headings::measures_neither(table, on_the_road).unwrap_or(missing),
            })
        }
    }
}

/// The column with one of the names, else the only one with a unit of the dimension.
fn role(
    table: &Table,
    what: &str,
    names: &[&str],
    dimension: &'static Dimension,
    findings: &mut Findings,
) -> Option<usize> {
    if let Some(named) = table.find(names).filter(|&named| !is_percent(table, named)) {
        // `speed (rpm)` is engine speed whatever it is called.
        let unit = table.written_unit(named);
        let measures = unit.and_then(units::unit).map(|(_, d)| d);
        let fits = measures.is_none_or(|measured| std::ptr::eq(measured, dimension));
        // `N (PS)` is power: a letter alone means what its unit says.
        let letter = table.columns[named].name.chars().count() == 1;
        if fits || !std::ptr::eq(dimension, &SPEED) && !letter {
            return Some(named);
        }
    }
    let fits = |unit: &str| dimension.unit(unit).is_some();
    let with_unit: Vec<usize> = (0..table.columns.len())
        .filter(|&i| table.written_unit(i).is_some_and(fits))
        .collect();
    if let [_, second, ..] = with_unit.as_slice() {
        let listed: Vec<String> = with_unit
            .iter()
            .map(|&i| quoted(&table.columns[i].name))
            .collect();
        let text = format!("several columns of {what}: {}", listed.join(", "));
        let finding = table.finding(Severity::Error, table.columns[*second].mark, text);
        findings.push(finding.remedy(headings::one_of(table, &with_unit, names[0])));
        return None;
    }
    with_unit.first().copied()
}

/// The plain numbers of a column, `%` allowed behind them.
pub fn plain(table: &Table, column: usize, findings: &mut Findings) -> Option<Vec<f64>> {
    let values: Vec<Option<f64>> = (0..table.height())
        .map(|row| cell(table, row, column))
        .collect();
    if let Some(row) = values.iter().position(Option::is_none) {
        let name = quoted(&table.columns[column].name);
        let cell = quoted(table.cell(row, column));
        let what = match two_ways(table, row, column) {
            true => "can be read in two ways",
            false => "is not a number",
        };
        let text = format!("{name} in row {}: {cell} {what}", row + 1);
        let finding = table.finding(Severity::Error, table.mark(row, column), text);
        if !table.told(row, findings) {
            findings.push(finding.remedy("write the value or take the row out"));
        }
        return None;
    }
    table.alone_as_written(column, findings).then_some(())?;
    Some(values.into_iter().flatten().collect())
}

/// Whether the comma of a cell may part thousands or decimals; beside decimal commas, its point.
fn two_ways(table: &Table, row: usize, column: usize) -> bool {
    let cell = table.cell(row, column);
    let mark = units::grouped(cell).map(|(_, mark)| mark);
    match table.decimal_comma() {
        true => units::grouped_by_points(cell).is_some(),
        false => mark == Some(','),
    }
}

fn cell(table: &Table, row: usize, column: usize) -> Option<f64> {
    if two_ways(table, row, column) {
        return None;
    }
    let text = table.cell(row, column);
    let text = text.trim_end_matches(['%', '°', ' ']);
    let value = text.parse().or_else(|_| text.replace(',', ".").parse());
    value.ok().filter(|value: &f64| value.is_finite())
}

/// The plain numbers of a column in some rows; `None` where there are none, or a gap or a text among them.
pub fn values(table: &Table, column: usize, rows: &[usize]) -> Option<Vec<f64>> {
    let values: Option<Vec<f64>> = rows.iter().map(|&row| cell(table, row, column)).collect();
    values.filter(|values| !values.is_empty())
}
