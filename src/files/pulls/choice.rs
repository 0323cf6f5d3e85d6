//! Which of several columns of torque, or of power, is read: the one whose heading fits what the day says of
//! place and correction.

use super::{Settings, corrected, headings};
use crate::dyno::{MeasuredAt, Standard};
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::table::{Column, Table};
use crate::units::{Dimension, Unit};

/// Words of a heading that say where it was measured.
const AT_WHEELS: [&str; 17] = [
    "wheel", "wheels", "hub", "hubs", "whp", "wkw", "wtq", "roue", "roues", "rad", "räder",
    "ruota", "ruote", "rueda", "ruedas", "kołach", "wielen",
];
const AT_FLYWHEEL: [&str; 11] = [
    "engine",
    "eng",
    "flywheel",
    "crank",
    "crankshaft",
    "motor",
    "moteur",
    "motore",
    "silnik",
    "silnika",
    "moottori",
];
/// Words between those of a heading.
const BETWEEN: [&str; 8] = ["at", "the", "na", "aux", "alle", "am", "an", "en"];

/// How well a heading fits; the greater the better, 0 where it says the contrary.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Fit {
    place: u8,
    correction: u8,
}

/// The column that is read for a quantity.
#[derive(Debug, Clone)]
pub struct Picked {
    pub column: usize,
    fit: Fit,
    /// All columns it was chosen from, in the order of the file; empty where there was no choice.
    pub among: Vec<usize>,
}

/// A quantity that pulls are read from.
pub struct Quantity<'a> {
    pub what: &'a str,
    pub names: &'a [&'a str],
    /// Letters that stand for it where the unit is its own.
    pub letters: &'a [&'a str],
    pub dimension: &'static Dimension,
}

/// A column that no other stands beside.
pub fn only(table: &Table, column: usize, settings: &Settings) -> Picked {
    Picked {
        column,
        fit: fit(table, column, settings),
        among: Vec::new(),
    }
}

/// The column that fits the day best; `None` where there are not several that differ in place or
/// correction alone. Where it cannot be told, a finding.
pub fn pick(
    table: &Table,
    of: &Quantity,
    settings: &Settings,
    findings: &mut Findings,
) -> Option<Picked> {
    let among: Vec<usize> = (0..table.columns.len())
        .filter(|&column| is_one(table, column, of))
        .collect();
    let fits = among.iter().map(|&column| fit(table, column, settings));
    let best = fits.clone().max().filter(|_| among.len() > 1)?;
    let fitting: Vec<usize> = among
        .iter()
        .zip(fits.clone())
        .filter(|(_, fit)| *fit == best)
        .map(|(&column, _)| column)
        .collect();
    let claim = |column: &usize| {
        let claim = corrected::in_heading(&table.heading(*column));
        claim.map(|claim| claim.to)
    };
    let alike = fitting
        .iter()
        .all(|column| claim(column) == claim(&fitting[0]));
    if alike && fitting.len() == among.len() {
        // As of one figure in two units: there is nothing to choose by.
        return None;
    }
    let known = |column: &&usize| {
        let is_it = |name: &&str| table.find(&[*name]) == Some(**column);
        of.names.iter().position(is_it)
    };
    let named = fitting.iter().filter(|column| known(column).is_some());
    let named = named.min_by_key(known);
    let column = *named.or(fitting.first())?;
    let unclear = !alike && named.is_none() && settings.corrected.is_some();
    if best.correction == 0 || unclear {
        findings.push(untold(table, of.what, settings, &among));
    }
    Some(Picked {
        column,
        fit: best,
        among,
    })
}

/// The fault of columns of which nobody can tell which the day means.
fn untold(table: &Table, what: &str, settings: &Settings, among: &[usize]) -> Finding {
    let listed: Vec<String> = among
        .iter()
        .map(|&i| quoted(&table.columns[i].name))
        .collect();
    let listed = listed.join(", ");
    let to = match settings.corrected {
        Some(Standard::Unknown) | None => {
            "and the day does not say to what its figures are corrected".to_owned()
        }
        Some(Standard::Uncorrected) => "and the day takes figures as read".to_owned(),
        Some(to) => format!("and the day says corrected to {}", to.name()),
    };
    let text = format!("several columns of {what}, {to}: {listed}");
    let remedy = "say in the test day which it is, as in `corrected: SAE J1349`, or take the columns out that do \
                  not count";
    let mark = table.columns[among[1]].mark;
    table.finding(Severity::Error, mark, text).remedy(remedy)
}

/// Asks about a day at the flywheel where torque says the wheels and power, which is then read, says no place.
pub fn elsewhere(
    table: &Table,
    torque: Option<&Picked>,
    power: Option<&Picked>,
    settings: &Settings,
) -> Option<Finding> {
    let (torque, power) = torque.zip(power)?;
    let at_flywheel = matches!(
        settings.measured_at,
        MeasuredAt::Flywheel | MeasuredAt::FlywheelEstimated
    );
    let chosen = torque.fit.place > 0 || power.fit.place == 0 || !torque.among.is_empty();
    let heading = table.heading(power.column);
    let words = corrected::words(&heading);
    let says = words
        .iter()
        .any(|word| AT_FLYWHEEL.contains(&word.as_str()));
    if !at_flywheel || chosen || says {
        return None;
    }
    let Column { name, mark, .. } = &table.columns[torque.column];
    let place = hubs_or_wheels(name);
    let text = format!(
        "{} is measured at the {place}, and {} beside it is taken for the flywheel's",
        quoted(name),
        quoted(&heading)
    );
    let remedy = format!(
        "where it was measured there too take the column of torque out and say `dyno: {{measures: {place}}}`"
    );
    let finding = table.finding(Severity::Warning, *mark, text);
    Some(finding.remedy(remedy))
}

/// What a day says of figures whose heading says that they are not the flywheel's.
pub fn hubs_or_wheels(heading: &str) -> &'static str {
    match heading.to_lowercase().contains("hub") {
        true => "hubs",
        false => "wheels",
    }
}

/// Torque and power that are not of one place or correction tell nothing of each other: only the one that
/// fits the day is kept.
pub fn settle(torque: &mut Option<Picked>, power: &mut Option<Picked>) {
    let (Some(one), Some(other)) = (&*torque, &*power) else {
        return;
    };
    let chosen = !(one.among.is_empty() && other.among.is_empty());
    let apart = |a: u8, b: u8| a.min(b) == 0 && a.max(b) >= 2 || chosen && a != b;
    let (a, b) = (one.fit, other.fit);
    if apart(a.place, b.place) || apart(a.correction, b.correction) {
        let out = if a < b { torque } else { power };
        *out = None;
    }
}

/// Whether a heading says nothing but the quantity, its place and its correction.
fn is_one(table: &Table, column: usize, of: &Quantity) -> bool {
    let unit = table.written_unit(column);
    let fits = unit.map(|unit| of.dimension.unit(unit).is_some());
    let name = &table.columns[column].name;
    let of_quantity = |word: &String| match of.dimension.unit(word) {
        Some(_) => true,
        None if of.letters.contains(&word.as_str()) => fits == Some(true),
        None => of.names.contains(&word.as_str()),
    };
    let words: Vec<String> = corrected::words(name)
        .into_iter()
        .filter(|word| !BETWEEN.contains(&word.as_str()))
        .collect();
    let rest: Vec<&String> = words
        .iter()
        .filter(|word| !corrected::is_of_correction(word) && !is_place(word))
        .collect();
    let of_correction = words.iter().any(|word| corrected::is_of_correction(word));
    if headings::is_of_losses(table, column) {
        return false;
    }
    let says_so = match rest.as_slice() {
        [] if of_correction => fits == Some(true),
        [] if words.iter().any(|word| is_place(word)) && fits == Some(true) => true,
        [] => words.iter().any(|word| units_of_wheels(word, of)),
        rest => rest.iter().all(|word| of_quantity(word)),
    };
    says_so && fits != Some(false)
}

/// The unit, as written too, of a heading that is nothing but one, its place and its correction, as `Nm corr` or
/// `kW wheels`.
pub fn unit_in_words<'t>(
    table: &'t Table,
    column: usize,
    of: &Quantity,
) -> Option<(&'t str, &'static Unit)> {
    let name = &table.columns[column].name;
    if table.written_unit(column).is_some() {
        return None;
    }
    let (mut unit, mut others) = (None, 0);
    for word in name.split_whitespace() {
        let word = word.trim_matches([',', ';', ':', '(', ')']);
        match of.dimension.unit(word) {
            Some(found) if unit.is_none() => unit = Some((word, found)),
            _ => others += usize::from(!is_about(word)),
        }
    }
    unit.filter(|_| others == 0)
}

/// Whether a word of a heading is of place or correction, or goes with one.
pub fn is_about(word: &str) -> bool {
    let words = corrected::words(word);
    let about = |word: &String| {
        corrected::is_of_correction(word) || is_place(word) || BETWEEN.contains(&word.as_str())
    };
    words.iter().all(about)
}

/// `whp` and the like, which are a quantity and a place.
fn units_of_wheels(word: &str, of: &Quantity) -> bool {
    match word {
        "whp" | "wkw" => of.dimension.unit("kW").is_some(),
        "wtq" => of.dimension.unit("Nm").is_some(),
        _ => false,
    }
}

fn is_place(word: &str) -> bool {
    AT_WHEELS.contains(&word) || AT_FLYWHEEL.contains(&word)
}

fn fit(table: &Table, column: usize, settings: &Settings) -> Fit {
    // A title may stand above, and not in the heading's own cell.
    let name = &table.columns[column].name;
    let heading = table.heading(column);
    let written = match heading.contains(name.as_str()) {
        true => heading,
        false => format!("{name} {heading}"),
    };
    Fit {
        place: place(&written, settings.measured_at),
        correction: correction(&written, settings.corrected),
    }
}

/// Figures are the flywheel's where nothing else is said.
fn place(written: &str, day: MeasuredAt) -> u8 {
    let words = corrected::words(written);
    let says = |list: &[&str]| words.iter().any(|word| list.contains(&word.as_str()));
    match day {
        MeasuredAt::Flywheel | MeasuredAt::FlywheelEstimated => 2 * u8::from(!says(&AT_WHEELS)),
        MeasuredAt::Hubs | MeasuredAt::Wheels if says(&AT_WHEELS) => 2,
        MeasuredAt::Hubs | MeasuredAt::Wheels => u8::from(!says(&AT_FLYWHEEL)),
    }
}

fn correction(written: &str, day: Option<Standard>) -> u8 {
    let claim = corrected::in_heading(written);
    let raw = corrected::is_denied(written);
    match (day, claim) {
        (Some(Standard::Uncorrected), claim) => match claim {
            Some(_) => 0,
            None => 2 + u8::from(raw),
        },
        // Of what is corrected to who knows what, anything corrected compares better than raw figures.
        (Some(Standard::Unknown) | None, claim) => match claim {
            Some(_) => 2,
            None => u8::from(!raw),
        },
        (Some(to), Some(claim)) => match claim.to {
            [] => 2,
            [first, ..] if *first == to => 4,
            others => 3 * u8::from(others.contains(&to)),
        },
        (Some(_), None) => u8::from(!raw),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::pulls::{FilePull, parse};
    use crate::files::source::Source;

    /// What is read of six rows, the columns behind engine speed 100, 110, 120, ... N·m or kW.
    fn read(headings: &str, settings: &Settings) -> Result<FilePull, String> {
        let count = headings.split(',').count();
        let cells: Vec<String> = (1..count).map(|i| (90 + 10 * i).to_string()).collect();
        let row = |i: usize| format!("{},{}\n", 2000 + 500 * i, cells.join(","));
        let text = format!("{headings}\n{}", (0..6).map(row).collect::<String>());
        let mut findings = Findings::new();
        let table = Table::parse(Source::new("a.csv", text), &mut findings).unwrap();
        let pulls = parse(&table, "a", settings, &mut findings);
        let said = || findings.iter().map(ToString::to_string).collect();
        pulls.map(|mut pulls| pulls.remove(0)).ok_or_else(said)
    }

    fn corrected(to: Standard) -> Settings {
        Settings {
            corrected: Some(to),
            ..Settings::USUAL
        }
    }

    /// Standards that dynos print (common practice, no source: SAE is J1349, STD is J607).
    #[test]
    fn the_column_that_fits_the_correction_is_read() {
        use Standard::{Din70020, SaeJ607, SaeJ1349, Uncorrected, Unknown};
        let plain = "rpm,torque (Nm),corrected torque (Nm)";
        let both = "rpm,torque (Nm),SAE torque (Nm),STD torque (Nm)";
        let raw = "rpm,torque uncorrected (Nm),torque corrected (Nm)";
        for (headings, to, column) in [
            (plain, SaeJ1349, 2),
            (plain, Unknown, 2),
            (plain, Uncorrected, 1),
            (both, SaeJ1349, 2),
            (both, SaeJ607, 3),
            (both, Uncorrected, 1),
            (raw, Uncorrected, 1),
            (raw, Din70020, 2),
            ("rpm,corr. torque (Nm),torque (Nm)", Din70020, 1),
            ("rpm,torque (Nm),target torque (Nm)", Din70020, 1),
        ] {
            let pull = read(headings, &corrected(to)).expect(headings);
            assert_eq!(
                pull.torque[0],
                90.0 + 10.0 * f64::from(column),
                "{headings} {to:?}"
            );
        }
        let power = "rpm,power (kW),corr. power (kW)";
        let pull = read(power, &corrected(SaeJ1349)).expect(power);
        assert_eq!(pull.measured.name, "corr. power");
        assert_eq!(pull.measured.among, ["power", "corr. power"]);
        // One figure in two units is no choice.
        let twice = read("rpm,power (kW),power (PS)", &corrected(SaeJ1349));
        assert!(twice.is_err_and(|said| said.contains("both called")));
        let units = read("rpm,kW,PS", &corrected(SaeJ1349)).expect("kW");
        assert!(units.measured.among.is_empty());
    }

    #[test]
    fn where_it_cannot_be_told_it_is_refused() {
        let both = "rpm,SAE torque (Nm),STD torque (Nm)";
        let of = |to| read(both, &corrected(to)).unwrap_err();
        for to in [Standard::Unknown, Standard::Uncorrected, Standard::Din70020] {
            assert!(
                of(to).contains("several columns of torque, and the day"),
                "{to:?}"
            );
        }
        assert!(of(Standard::Din70020).contains("corrected to DIN 70020"));
    }

    #[test]
    fn the_column_that_fits_the_place_is_read() {
        let two = "rpm,wheel power (kW),engine power (kW)";
        let name = |headings, measured_at| {
            let settings = Settings {
                measured_at,
                ..Settings::USUAL
            };
            read(headings, &settings).expect(headings).measured.name
        };
        assert_eq!(name(two, MeasuredAt::Wheels), "wheel power");
        assert_eq!(name(two, MeasuredAt::Hubs), "wheel power");
        assert_eq!(name(two, MeasuredAt::Flywheel), "engine power");
        // Power at the wheels says nothing of torque at the engine.
        let apart = "rpm,wheel power (kW),engine torque (Nm)";
        assert_eq!(name(apart, MeasuredAt::Wheels), "wheel power");
        assert_eq!(name(apart, MeasuredAt::Flywheel), "engine torque");
    }
}
