//! What headings that cannot be read as they stand most likely mean.

use crate::files::finding::{Finding, Severity, quoted};
use crate::files::table::Table;
use crate::units;

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

/// The fault of a column in rpm whose heading says that something else than the engine turns.
pub fn other_shaft(table: &Table, column: usize) -> Option<Finding> {
    let heading = &table.columns[column];
    let name = heading.name.to_lowercase();
    let mut words = name.split(|c: char| !c.is_alphanumeric());
    let turns = words.any(|word| OTHER_SHAFTS.iter().any(|other| word.starts_with(other)));
    if !turns || name.contains("engine") {
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
