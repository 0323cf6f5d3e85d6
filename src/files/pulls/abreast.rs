//! Runs side by side in one table: under one engine speed, or each beside its own.

use super::columns::{OF_POWER, OF_TORQUE};
use super::{choice, corrected, headings};
use crate::files::finding::{Findings, quoted};
use crate::files::table::{ENGINE_SPEEDS, Stacked, Table, folded};
use crate::units::{self, ENGINE_SPEED, POWER, TORQUE};

/// Most columns before the first run that all of them share, as time, a row's number and engine speed.
const MOST_SHARED: usize = 3;
/// Most runs that are listed by name.
const MOST_LISTED: usize = 8;

/// What a column holds, as far as it makes a pull.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Holds {
    Speed,
    Torque,
    Power,
    Else,
}

/// The columns of a table as runs: those that all share, and how many each has of its own.
#[derive(Debug, Clone)]
struct Runs {
    shared: Vec<usize>,
    own: Vec<Vec<usize>>,
}

/// A table whose columns are runs side by side as one of runs one under another, which is listed; `None` where its
/// columns do not repeat so.
pub fn stacked(table: &Table, findings: &mut Findings) -> Option<Stacked> {
    let runs = runs(table)?;
    let names = names(table, &runs);
    let mark = table.columns[runs.own[0][0]].mark;
    let listed: Vec<String> = names.iter().take(MOST_LISTED).map(|n| quoted(n)).collect();
    let more = match names.len() > MOST_LISTED {
        true => format!(" and {} more", names.len() - MOST_LISTED),
        false => String::new(),
    };
    let text = format!(
        "{} side by side: {}{more}",
        units::counted(names.len(), "pull"),
        listed.join(", ")
    );
    findings.push(table.assumed("pull", mark, text));
    let columns = |own: &Vec<usize>| [&runs.shared[..], own].concat();
    let named: Vec<(String, Vec<usize>)> = names
        .into_iter()
        .zip(runs.own.iter().map(columns))
        .collect();
    let (mut table, runs) = table.stacked(&named, runs.shared.len());
    // Without the number of the first run a heading is one that is known.
    let known: Vec<usize> = (0..table.columns.len())
        .filter(|&column| holds(&table, column) != Holds::Else)
        .collect();
    for column in known {
        let bare = unnumbered(&table.columns[column].name).to_owned();
        if is_quantity(&stem(&bare)) {
            table.columns[column].name = bare;
        }
    }
    Some((table, runs))
}

/// What to do with columns under one engine speed that nothing says the unit of, where they look like runs.
pub fn without_units(table: &Table) -> Option<String> {
    let speeds: Vec<usize> = (0..table.columns.len())
        .filter(|&column| holds(table, column) == Holds::Speed)
        .collect();
    let [speed] = speeds.as_slice() else {
        return None;
    };
    let bare = |column: &usize| {
        table.written_unit(*column).is_none()
            && (0..table.height()).any(|row| !table.is_empty(row, *column))
    };
    let others: Vec<usize> = (0..table.columns.len())
        .filter(|column| column != speed && !table.is_hollow(*column))
        .collect();
    if others.len() < 2
        || !others.iter().all(bare)
        || !others.iter().all(|&c| ends_in_number(table, c))
    {
        return None;
    }
    let name = &table.columns[others[0]].name;
    Some(format!(
        "runs side by side? write the unit behind each, as in `{name} (Nm)`, and each is a pull"
    ))
}

fn holds(table: &Table, column: usize) -> Holds {
    let name = &table.columns[column].name;
    let written = table.written_unit(column);
    let unit = written.or(Some(unnumbered(name))).and_then(units::unit);
    let is = |of: &'static units::Dimension| unit.is_some_and(|(_, d)| std::ptr::eq(d, of));
    let stem = stem(name);
    let named = |names: &[&str]| unit.is_none() && names.iter().any(|name| folded(name) == stem);
    let spelt = |of| choice::unit_in_words(table, column, of).is_some();
    match () {
        () if is(&ENGINE_SPEED) || named(ENGINE_SPEEDS) => Holds::Speed,
        () if is(&TORQUE) || named(OF_TORQUE.names) || spelt(&OF_TORQUE) => Holds::Torque,
        () if is(&POWER) || named(OF_POWER.names) || spelt(&OF_POWER) => Holds::Power,
        () => Holds::Else,
    }
}

/// Whether a stem names engine speed, torque or power, or is a unit.
fn is_quantity(stem: &str) -> bool {
    let known = [ENGINE_SPEEDS, OF_TORQUE.names, OF_POWER.names].concat();
    units::unit(stem).is_some() || known.iter().any(|known| folded(known) == stem)
}

/// A heading without the number behind it.
fn unnumbered(name: &str) -> &str {
    name.trim_end_matches(|c: char| c.is_ascii_digit() || "#()[] _-.".contains(c))
}

/// A name without any number, to be set beside others.
fn stem(name: &str) -> String {
    folded(name).replace(|c: char| c.is_ascii_digit() || "#()[]/".contains(c), "")
}

fn ends_in_number(table: &Table, column: usize) -> bool {
    let name = table.columns[column].name.trim_end_matches([')', ']', ' ']);
    name.ends_with(|c: char| c.is_ascii_digit())
}

/// The runs that the columns are, of as few columns each as may be.
fn runs(table: &Table) -> Option<Runs> {
    let all: Vec<usize> = (0..table.columns.len())
        .filter(|&column| !table.is_hollow(column))
        .collect();
    let most = MOST_SHARED.min(all.len().saturating_sub(2));
    for shared in 0..=most {
        let (shared, rest) = all.split_at(shared);
        for width in (1..=rest.len() / 2).filter(|width| rest.len() % width == 0) {
            let runs = Runs {
                shared: shared.to_vec(),
                own: rest.chunks(width).map(<[usize]>::to_vec).collect(),
            };
            if repeat(table, &runs) {
                return Some(runs);
            }
        }
    }
    None
}

/// Whether every run holds what the first does, and no more is said between them than which run it is.
fn repeat(table: &Table, runs: &Runs) -> bool {
    let held = |columns: &[usize]| -> Vec<Holds> {
        columns.iter().map(|&column| holds(table, column)).collect()
    };
    let (shared, own) = (held(&runs.shared), held(&runs.own[0]));
    let speeds = |held: &[Holds]| held.iter().filter(|h| **h == Holds::Speed).count();
    let measures = |held: &[Holds]| {
        held.iter()
            .any(|h| [Holds::Torque, Holds::Power].contains(h))
    };
    if speeds(&shared) + speeds(&own) != 1 || measures(&shared) || !measures(&own) {
        return false;
    }
    let first = &runs.own[0];
    let stems = |column: usize| stem(&table.columns[column].name);
    let alike = |run: &Vec<usize>| {
        let mut pairs = run.iter().zip(first);
        let alike = |(&one, &other): (&usize, &usize)| {
            let same = stems(one) == stems(other);
            let known = holds(table, one) != Holds::Else;
            let numbered = known && ends_in_number(table, one) && ends_in_number(table, other);
            table.written_unit(one) == table.written_unit(other)
                && (same || known && speeds(&own) == 1 || numbered)
        };
        held(run) == own && pairs.all(alike) && about(table, run) == about(table, first)
    };
    // Two columns of one name are one figure twice.
    let mut headings: Vec<String> = runs
        .own
        .iter()
        .map(|run| folded(&table.columns[run[0]].name))
        .collect();
    headings.sort();
    let twins = first.len() == 1 && headings.windows(2).any(|pair| pair[0] == pair[1]);
    !twins && runs.own[1..].iter().all(alike)
}

/// What the headings of a run say of place, correction and shafts: two runs that differ in that are one run measured
/// in two ways.
fn about(table: &Table, run: &[usize]) -> Vec<String> {
    let words = run
        .iter()
        .flat_map(|&column| corrected::words(&table.columns[column].name));
    words
        .filter(|word| choice::is_about(word) || headings::is_of_other_shaft(word))
        .collect()
}

/// What each run is called: by its heading where that is no quantity's, by what stands above it, else by its place.
fn names(table: &Table, runs: &Runs) -> Vec<String> {
    let measured = |run: &Vec<usize>| match run.len() {
        1 => run[0],
        _ => *run
            .iter()
            .find(|&&column| !table.columns[column].name.is_empty())
            .unwrap_or(&run[0]),
    };
    let columns: Vec<usize> = runs.own.iter().map(measured).collect();
    let headed: Vec<String> = columns
        .iter()
        .map(|&column| table.columns[column].name.trim().to_owned())
        .collect();
    let is_name = |name: &String| {
        let stem = stem(name);
        !stem.is_empty() && !is_quantity(&stem)
    };
    let distinct = |names: &Vec<String>| {
        let mut sorted = names.clone();
        sorted.sort();
        sorted.dedup();
        sorted.len() == names.len()
    };
    if headed.iter().all(is_name) && distinct(&headed) {
        return headed;
    }
    let firsts: Vec<usize> = runs.own.iter().map(|run| run[0]).collect();
    let above = table.titles(&firsts).filter(distinct);
    above.unwrap_or_else(|| {
        (1..=runs.own.len())
            .map(|place| place.to_string())
            .collect()
    })
}

#[cfg(test)]
mod tests;
