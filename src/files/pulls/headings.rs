//! What headings that cannot be read as they stand most likely mean.

use crate::files::finding::{Finding, Severity, quoted};
use crate::files::table::Table;
use crate::units::{self, Dimension, ENGINE_SPEED, SPEED, TIME, TORQUE};

/// How words begin that say what else than the engine turns.
const OTHER_SHAFTS: [&str; 13] = [
    "roll",
    "drum",
    "wheel",
    "hub",
    "axle",
    "prop",
    "shaft",
    "driveshaft",
    "output",
    "turb",
    "compressor",
    "blower",
    "walze",
];

/// Remedy for columns of which one alone is read: of several runs side by side none need be lost.
pub fn one_of(table: &Table, columns: &[usize], name: &str) -> String {
    let unnumbered = |column: &usize| {
        let heading = table.columns[*column].name.to_lowercase();
        heading.replace(|c: char| c.is_ascii_digit(), "")
    };
    let rest = unnumbered(&columns[0]);
    let alike = columns.iter().all(|column| unnumbered(column) == rest);
    match alike {
        true => format!(
            "several runs side by side? give each a file of its own, or put them one under another with a column \
             `pull` that numbers them; if one alone counts, name it `{name}`"
        ),
        false => format!("name the one that counts `{name}`"),
    }
}

/// Remedy for a heading that names engine speed in hundreds or thousands; `None` where none does.
pub fn scaled(table: &Table) -> Option<String> {
    let of_speed = |text: &String| {
        let text = text.to_lowercase();
        (text.contains("rpm") || text.contains("rev")) && !text.contains("per")
    };
    let headings = (0..table.columns.len()).map(|column| table.heading(column));
    headings.filter(of_speed).find_map(|text| in_full(&text))
}

/// The fault of a column of engine speed that has hundreds or thousands where its unit stands, as `RPM (x1000)`.
pub fn scaled_unit(table: &Table, column: usize) -> Option<Finding> {
    let unit = table.written_unit(column)?;
    let unknown = units::unit(unit).is_none();
    let remedy = in_full(&table.heading(column)).filter(|_| unknown)?;
    let text = format!("engine speed is read in rpm, and not in {}", quoted(unit));
    let mark = table.columns[column].mark;
    Some(table.finding(Severity::Error, mark, text).remedy(remedy))
}

/// Remedy for a heading of engine speed that says hundreds or thousands.
fn in_full(heading: &str) -> Option<String> {
    let text = heading.to_lowercase().replace([' ', ',', '.'], "");
    let of = |marks: &[&str]| marks.iter().any(|mark| text.contains(mark));
    let (of, example) = match () {
        () if of(&["1000", "thousand", "krpm", "10^3", "10³"]) => ("thousands", "2.5"),
        () if of(&["100", "hundred"]) => ("hundreds", "25"),
        () => return None,
    };
    Some(format!(
        "{} is engine speed in {of}? write it in full, 2500 for {example}, under the heading `rpm`",
        quoted(heading)
    ))
}

/// Whether a word of a heading is of something else that turns than the engine.
pub fn is_of_other_shaft(heading: &str) -> bool {
    begins_with_one(heading, &OTHER_SHAFTS)
}

/// Whether a word of a heading begins with one of these.
fn begins_with_one(heading: &str, begins: &[&str]) -> bool {
    let heading = heading.to_lowercase();
    let mut words = heading.split(|c: char| !c.is_alphanumeric());
    words.any(|word| begins.iter().any(|begin| word.starts_with(begin)))
}

/// Whether a column holds the losses between engine and rollers, by a word for them.
pub fn is_of_losses(table: &Table, column: usize) -> bool {
    const LOSSES: [&str; 9] = [
        "loss", "drag", "verlust", "schlepp", "perte", "perdit", "pérdida", "strat", "förlust",
    ];
    begins_with_one(&table.columns[column].name, &LOSSES)
}

/// All columns of torque in the unit of the one that is read, but for losses; empty where that is the only one.
pub fn of_torque_beside(table: &Table, read: usize) -> Vec<usize> {
    let unit = |column: usize| {
        table
            .written_unit(column)
            .and_then(|unit| TORQUE.unit(unit))
    };
    let Some(own) = unit(read) else {
        return Vec::new();
    };
    let alike = |&column: &usize| {
        unit(column).is_some_and(|unit| unit.name() == own.name()) && !is_of_losses(table, column)
    };
    let all: Vec<usize> = (0..table.columns.len()).filter(alike).collect();
    if all.len() > 1 { all } else { Vec::new() }
}

/// The fault of a table that holds how fast something was spun up and nothing that turned it: power follows from
/// that with the inertia alone.
pub fn spun_up(table: &Table) -> Option<Finding> {
    let unit = |column: usize| {
        let (_, dimension) = units::unit(table.written_unit(column)?)?;
        Some(dimension)
    };
    let is = |column: usize, of: &'static Dimension| {
        unit(column).is_some_and(|unit| std::ptr::eq(unit, of))
    };
    let all = || 0..table.columns.len();
    let timed = all().any(|column| is(column, &TIME)) || table.find(&["time", "t"]).is_some();
    let shaft = all().find(|column| {
        (is(*column, &ENGINE_SPEED) || is(*column, &SPEED))
            && is_of_other_shaft(&table.columns[*column].name)
    })?;
    // Anything else may be what was measured.
    let alone = all().all(|column| {
        [&TIME, &ENGINE_SPEED, &SPEED]
            .iter()
            .any(|of| is(column, of))
    });
    let heading = &table.columns[shaft];
    let text = format!(
        "{} over time alone says nothing of power: that wants the inertia of what was spun up",
        quoted(&heading.name)
    );
    let remedy = "export torque or power beside engine speed from the dyno; where it has none, its maker's inertia of \
                  the rollers and engine speed beside theirs are wanted first";
    let fault = table.finding(Severity::Error, heading.mark, text);
    (timed && alone).then(|| fault.remedy(remedy))
}

/// The fault of a table in which a share in per cent, or road speed, is all that stands beside engine speed.
pub fn measures_neither(table: &Table, on_the_road: bool) -> Option<Finding> {
    let all = 0..table.columns.len();
    // How far the throttle is open is nobody's torque.
    let called = |column: &usize| {
        let name = table.columns[*column].name.to_lowercase();
        begins_with_one(
            &name,
            &["load", "torque", "power", "last", "moment", "leistung"],
        )
    };
    let share = all
        .clone()
        .find(|column| table.is_share(*column) && called(column));
    if share.is_none() && !on_the_road {
        return None;
    }
    let column = share.unwrap_or(0);
    let (name, mark) = (&table.heading(column), table.columns[column].mark);
    let text = match share {
        Some(_) => format!(
            "nothing in this table measures torque or power: {} is a share in per cent, which is neither",
            quoted(name)
        ),
        None => "nothing in this table measures torque or power".to_owned(),
    };
    let called = match share {
        Some(_) => "",
        None => "; where a column is torque, head it `torque (Nm)`",
    };
    let remedy = format!(
        "export torque or power beside engine speed from a dyno; a run on the road tells neither without the mass, \
         drag, gearing, slope and wind, driven both ways, and is not read as a pull{called}"
    );
    Some(table.finding(Severity::Error, mark, text).remedy(remedy))
}

/// The fault of a column in rpm whose heading says that something else than the engine turns.
pub fn other_shaft(table: &Table, column: usize) -> Option<Finding> {
    let heading = &table.columns[column];
    if !is_of_other_shaft(&heading.name) || heading.name.to_lowercase().contains("engine") {
        return None;
    }
    let text = format!(
        "{} is not engine speed, and no other column of this file is",
        quoted(&heading.name)
    );
    let remedy = "call the column of engine speed `rpm`; or give road speed in its place, as in `speed (km/h)`, with \
                  `dyno: {speed_per_1000_rpm: 26.1 km/h}`";
    Some(
        table
            .finding(Severity::Error, heading.mark, text)
            .remedy(remedy),
    )
}
