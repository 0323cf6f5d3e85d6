//! What a file says beside the figures of a pull: the air, road speed, numbers of runs.

use super::{columns, corrected};
use crate::files::finding::{Finding, Severity};
use crate::files::table::Table;
use crate::units::{Dimension, INCH_OF_MERCURY, POWER, PRESSURE, TEMPERATURE, TORQUE};

/// Headings of the pressure of the air; the last may be that of anything.
const BAROMETER: [&str; 10] = [
    "barometric pressure",
    "barometer",
    "baro",
    "baro pressure",
    "ambient pressure",
    "atmospheric pressure",
    "air pressure",
    "luftdruck",
    "pression atmosphérique",
    "pressure",
];
/// Words of a line above the table that give pressure, and the temperature of the air.
const PRESSURE_WORDS: [&str; 5] = [
    "baro",
    "ambient pressure",
    "atmospheric pressure",
    "air pressure",
    "luftdruck",
];
const TEMPERATURE_WORDS: [&str; 7] = [
    "intake temp",
    "inlet temp",
    "intake air temp",
    "air temp",
    "ambient temp",
    "lufttemp",
    "ansaugtemp",
];
/// Pressures of air to drive in, Pa, and how far they move during a pull.
const AIR: std::ops::RangeInclusive<f64> = 55e3..=108.5e3;
const STEADY: f64 = 2e3;
/// Headings of the pressure behind the throttle or a blower.
const MANIFOLD: [&str; 10] = [
    "boost",
    "boost pressure",
    "turbo boost",
    "manifold pressure",
    "manifold absolute pressure",
    "map",
    "intake pressure",
    "intake manifold pressure",
    "charge pressure",
    "ladedruck",
];
/// Pressures, Pa: what the air's is counted from where it is left out, and what no engine that breathes freely
/// has behind its throttle (common practice, no source).
const ONE_BAR: f64 = 100e3;
const BOOSTED: f64 = 115e3;
/// Pressures at full throttle, Pa, below which a column counts from the air's, of the manifold and of boost.
const LEAST_AIR: (f64, f64) = (50e3, 80e3);

/// Pressure of the air as the file has it, Pa: a column over some rows, or a line above the table.
pub fn pressure(table: &Table, rows: &[usize]) -> Option<f64> {
    let logged = table.find(&BAROMETER).and_then(|column| {
        let values = columns::values(table, column, rows)?;
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        let factor = of_pressure(table.written_unit(column), mean)? / mean;
        let most = values.iter().copied().fold(mean, f64::max);
        let least = values.iter().copied().fold(mean, f64::min);
        ((most - least) * factor < STEADY).then_some(mean * factor)
    });
    let mut lines = table.notes().map(|(_, line)| line);
    logged.or_else(|| {
        lines.find_map(|line| {
            let (value, unit) = said(line, &PRESSURE_WORDS, &PRESSURE)?;
            of_pressure(unit.as_deref(), value)
        })
    })
}

/// Temperature of the air in a line above the table, K.
pub fn temperature(table: &Table) -> Option<f64> {
    let mut lines = table.notes().map(|(_, line)| line);
    lines.find_map(|line| {
        let (value, unit) = said(line, &TEMPERATURE_WORDS, &TEMPERATURE)?;
        let unit = TEMPERATURE.unit(unit.as_deref().unwrap_or("°C"))?;
        Some(unit.to_si(value))
    })
}

/// How far ignition was pulled back against knock at most, degrees.
pub fn knock(table: &Table, rows: &[usize]) -> Option<f64> {
    const KNOCK: [&str; 5] = [
        "knock retard",
        "knock ret",
        "retard",
        "knock",
        "klopfregelung",
    ];
    /// What no strategy takes off, degrees: levels of a sensor go higher (common practice, no source).
    const MOST: f64 = 30.0;
    let column = table.find(&KNOCK)?;
    let degrees = matches!(
        table.written_unit(column),
        None | Some("deg" | "°" | "degrees")
    );
    let values = columns::values(table, column, rows).filter(|_| degrees)?;
    // Some count it from zero down.
    let most = values.into_iter().map(f64::abs).fold(0.0, f64::max);
    (most <= MOST).then_some(most)
}

/// How much a dyno smoothed what it wrote, in a line beside the table.
pub fn smoothing(table: &Table) -> Option<f64> {
    const WORDS: [&str; 2] = ["smoothing", "glättung"];
    let mut lines = table.notes().map(|(_, line)| line.to_lowercase());
    lines.find_map(|line| {
        let end = WORDS
            .iter()
            .find_map(|word| Some(line.find(word)? + word.len()))?;
        let figure = line[end..].trim_matches(|c: char| !c.is_ascii_digit());
        figure.parse().ok()
    })
}

/// A pressure in its unit, or in the one in which it is air's.
fn of_pressure(unit: Option<&str>, value: f64) -> Option<f64> {
    let pascal = match unit {
        Some(unit) => PRESSURE.unit(unit)?.to_si(value),
        None => [100.0, 1e3, INCH_OF_MERCURY]
            .iter()
            .map(|factor| factor * value)
            .find(|pascal| AIR.contains(pascal))?,
    };
    AIR.contains(&pascal).then_some(pascal)
}

/// The first number behind one of these words in a line, and its unit behind or before it.
fn said(line: &str, wanted: &[&str], of: &Dimension) -> Option<(f64, Option<String>)> {
    const FARTHEST: usize = 24;
    let line = line.to_lowercase();
    let end = wanted
        .iter()
        .find_map(|word| Some(line.find(word)? + word.len()))?;
    let rest = &line[end..];
    let number = |c: char| c.is_ascii_digit() || c == '-';
    let start = rest.find(number).filter(|start| *start < FARTHEST)?;
    let length = rest[start..].find(|c| !(number(c) || matches!(c, '.' | ',')));
    let (figure, after) = rest[start..].split_at(length.unwrap_or(rest.len() - start));
    let value = figure.trim_end_matches(['.', ',']).replace(',', ".");
    let unit = |text: &str| {
        let parts = text.split(|c: char| c.is_whitespace() || "()[];,:=".contains(c));
        let mut parts = parts.filter(|part| !part.is_empty());
        parts
            .find(|part| of.unit(part).is_some())
            .map(str::to_owned)
    };
    let behind = after.split_whitespace().next().unwrap_or_default();
    Some((
        value.parse().ok()?,
        unit(behind).or_else(|| unit(&rest[..start])),
    ))
}

/// Pressure behind a blower, as a file has it.
#[derive(Debug, Clone, PartialEq)]
pub struct Boost {
    /// The heading of its column.
    pub heading: String,
    /// The highest over the pull, Pa.
    pub most: f64,
    /// Whether that counts from the pressure of the air, and not from nothing.
    pub gauge: bool,
    /// A finding without a text at the heading.
    pub at: Finding,
}

impl Boost {
    /// Whether no engine that breathes freely has that.
    pub fn is_boosted(&self) -> bool {
        self.most
            > if self.gauge {
                BOOSTED - ONE_BAR
            } else {
                BOOSTED
            }
    }
}

/// Boost or pressure in the manifold over some rows.
pub fn boost(table: &Table, rows: &[usize]) -> Option<Boost> {
    let column = table.find(&MANIFOLD)?;
    let values = columns::values(table, column, rows)?;
    let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let least = values.iter().copied().fold(f64::INFINITY, f64::min);
    let unit = table.written_unit(column).unwrap_or(match most {
        most if most < 5.0 => "bar",
        most if most < 50.0 => "psi",
        most if most < 500.0 => "kPa",
        _ => "hPa",
    });
    // `kPa abs`, `bar g`.
    let (unit, counted) = unit.split_once(' ').unwrap_or((unit, ""));
    let unit = PRESSURE.unit(unit)?;
    let said = match counted.trim_matches(['(', ')', '.']) {
        "abs" | "absolute" | "a" => Some(false),
        "g" | "gauge" | "rel" => Some(true),
        _ => None,
    };
    let heading = table.heading(column);
    let wants = match heading.to_lowercase().contains("boost") {
        true => LEAST_AIR.1,
        false => LEAST_AIR.0,
    };
    Some(Boost {
        most: unit.to_si(most),
        gauge: said.unwrap_or(unit.to_si(least) < wants),
        at: table.finding(Severity::Warning, table.columns[column].mark, ""),
        heading,
    })
}

/// What road speed says beside engine speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rolled {
    /// What 1,000 rpm make over the pull, m/s.
    pub per_1000_rpm: f64,
    /// By what share that changes from the first fifth of the pull to the last.
    pub change: f64,
}

/// By what share the speed at 1,000 rpm changes where something slips: tyres creep on rollers by some per cent (common
/// practice, no source).
const SLIPS: f64 = 0.06;

impl Rolled {
    /// Whether road speed did not keep step with engine speed.
    pub fn slips(&self) -> bool {
        self.change.abs() > SLIPS
    }
}

/// Road speed, m/s, over engine speed, rpm, of the rows of a pull in their order.
pub fn rolled(speed: &[f64], rpm: &[f64]) -> Option<Rolled> {
    const FEWEST: usize = 10;
    let ratios: Vec<f64> = speed
        .iter()
        .zip(rpm)
        .filter(|(speed, rpm)| **speed > 0.0 && **rpm > 0.0)
        .map(|(speed, rpm)| 1000.0 * speed / rpm)
        .collect();
    if ratios.len() < FEWEST {
        return None;
    }
    let fifth = ratios.len() / 5;
    let (low, high) = (&ratios[..fifth], &ratios[ratios.len() - fifth..]);
    Some(Rolled {
        per_1000_rpm: median(&ratios),
        change: median(high) / median(low) - 1.0,
    })
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted[sorted.len() / 2]
}

/// The heading of a file's only column of power beside one of torque, and the other way round.
pub fn other(table: &Table, read: usize) -> Option<String> {
    let heading = |column: usize| table.heading(column);
    let is_of = |dimension: &Dimension, column: usize| {
        let unit = table.written_unit(column);
        let mut words = corrected::words(&heading(column)).into_iter();
        unit.is_some_and(|unit| dimension.unit(unit).is_some())
            || words.any(|word| word == dimension.name || dimension.unit(&word).is_some())
    };
    let wanted = match is_of(&TORQUE, read) {
        true => &POWER,
        false => &TORQUE,
    };
    let mut others = (0..table.columns.len()).filter(|&i| i != read && is_of(wanted, i));
    let other = others.next()?;
    others.next().is_none().then(|| heading(other))
}

/// The heading of a column that looks like the numbers of these pulls and does not count them from one up:
/// whole numbers, each of one pull.
pub fn numbers(table: &Table, parts: &[std::ops::Range<usize>]) -> Option<String> {
    let counted = |column: usize| -> Option<Vec<u32>> {
        let of_part = |part: &std::ops::Range<usize>| {
            let middle = number(table.cell(part.start + part.len() / 2, column))?;
            let alike = part
                .clone()
                .filter(|&row| number(table.cell(row, column)) == Some(middle));
            // A logger may count on some rows before or after the engine is at its lowest.
            (10 * alike.count() >= 8 * part.len()).then_some(middle)
        };
        parts.iter().map(of_part).collect()
    };
    let column = (0..table.columns.len()).find(|&column| {
        let Some(found) = counted(column) else {
            return false;
        };
        let mut apart = found.clone();
        apart.sort_unstable();
        apart.dedup();
        let in_turn = found
            .iter()
            .zip(1..)
            .all(|(number, place)| *number == place);
        apart.len() == found.len() && !in_turn
    })?;
    Some(table.columns[column].name.clone())
}

/// The number in a cell such as `4`, `R4` or `Run 4`.
fn number(cell: &str) -> Option<u32> {
    const DIGITS: usize = 4;
    let digits =
        cell.trim_start_matches(|c: char| c.is_alphabetic() || matches!(c, ' ' | '#' | '_'));
    let whole = digits.len() <= DIGITS && digits.bytes().all(|b| b.is_ascii_digit());
    digits.parse().ok().filter(|_| whole)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::finding::Findings;
    use crate::files::source::Source;
    use crate::units;

    fn table(text: &str) -> Table {
        Table::parse(Source::new("a.csv", text), &mut Findings::new()).unwrap()
    }

    fn with(heading: &str, values: [&str; 3]) -> Table {
        let row = |(i, value): (usize, &&str)| format!("{};100;{value}\n", 2000 + 500 * i);
        let rows: String = values.iter().enumerate().map(row).collect();
        table(&format!("rpm;torque (Nm);{heading}\n{rows}"))
    }

    #[test]
    fn the_pressure_of_the_air_is_found_in_columns_and_in_lines() {
        let hectopascal =
            |table: &Table| pressure(table, &[0, 1, 2]).map(|p| (p / 10.0).round() / 10.0);
        for (heading, value) in [
            ("Barometric pressure (mbar)", "975"),
            ("Baro (kPa)", "97.5"),
            ("Ambient pressure", "97.5"),
            ("Pressure (inHg)", "28.79"),
        ] {
            let found = hectopascal(&with(heading, [value; 3])).expect(heading);
            assert!((found - 975.0).abs() < 0.2, "{heading}: {found}");
        }
        for (heading, values) in [
            ("Oil pressure (bar)", ["1.0"; 3]),
            ("Pressure (kPa)", ["220"; 3]),
            ("Pressure (kPa)", ["96", "99", "103"]),
        ] {
            assert_eq!(hectopascal(&with(heading, values)), None, "{heading}");
        }
        let rows = "rpm,torque (Nm)\n2000,100\n2500,110\n3000,120\n";
        for line in [
            "Barometer: 975 mbar",
            "# baro (hPa) = 975",
            "Air pressure;97,5 kPa;Humidity;40 %",
        ] {
            assert_eq!(
                hectopascal(&table(&format!("{line}\n{rows}"))),
                Some(975.0),
                "{line}"
            );
        }
        for line in [
            "# oil pressure 4 bar",
            "# baro restricted, run 12",
            "Barometer: 2 bar",
        ] {
            assert_eq!(
                hectopascal(&table(&format!("{line}\n{rows}"))),
                None,
                "{line}"
            );
        }
        let warm = table(&format!("Barometer: 975 mbar, Intake temp: 31 C\n{rows}"));
        assert_eq!(temperature(&warm), Some(31.0 + units::ZERO_CELSIUS));
    }

    #[test]
    fn boost_counts_from_where_its_unit_says() {
        let gauge = |heading: &str, values| {
            let found = boost(&with(heading, values), &[0, 1, 2]);
            found.map(|boost| (boost.gauge, boost.is_boosted()))
        };
        let high = ["120", "160", "201"];
        assert_eq!(gauge("boost (kPa abs)", high), Some((false, true)));
        assert_eq!(gauge("boost (kPa g)", high), Some((true, true)));
        assert_eq!(
            gauge("boost (kPa abs)", ["90", "95", "98"]),
            Some((false, false))
        );
    }

    #[test]
    fn numbers_of_pulls_are_whole_and_each_of_one() {
        let of = |values: [&str; 6]| {
            let row = |value: &&str| format!("2000,100,{value}\n");
            let rows: String = values.iter().map(row).collect();
            numbers(
                &table(&format!("rpm,torque (Nm),probe\n{rows}")),
                &[0..3, 3..6],
            )
        };
        assert_eq!(of(["4", "4", "4", "2", "2", "2"]), Some("probe".to_owned()));
        assert_eq!(
            of(["R4", "R4", "R4", "R2", "R2", "R2"]),
            Some("probe".to_owned())
        );
        assert_eq!(of(["1", "1", "1", "2", "2", "2"]), None);
        assert_eq!(of(["4", "4", "4", "4", "4", "4"]), None);
        assert_eq!(of(["4.5", "4.5", "4.5", "2.5", "2.5", "2.5"]), None);
    }

    #[test]
    fn a_clutch_that_slips_changes_the_speed_of_1000_rpm() {
        let rpm: Vec<f64> = (0..50).map(|i| 2500.0 + 100.0 * f64::from(i)).collect();
        let held: Vec<f64> = rpm.iter().map(|n| 0.0065 * n).collect();
        let found = rolled(&held, &rpm).unwrap();
        assert!((found.per_1000_rpm - 6.5).abs() < 1e-9 && found.change.abs() < 1e-9);
        let slips = |n: &f64| 0.0065 * n * if *n > 5000.0 { 0.9 } else { 1.0 };
        let found = rolled(&rpm.iter().map(slips).collect::<Vec<f64>>(), &rpm).unwrap();
        assert!((found.change + 0.1).abs() < 1e-9);
        assert_eq!(rolled(&held[..5], &rpm[..5]), None);
    }
}
