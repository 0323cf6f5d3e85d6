//! Columns of correction factors, and whether what is read was multiplied by them.

use super::columns;
use super::corrected::words;
use crate::files::finding::{Finding, Severity};
use crate::files::table::Table;
use crate::units;

/// Factors that correction makes of the air, and the least that matters (common practice, no source).
const FACTORS: std::ops::RangeInclusive<f64> = 0.8..=1.3;
const LEAST: f64 = 5e-4;
/// Shares of the largest figure, and of what the factor adds, by which rounded figures lie off.
const ROUNDED: f64 = 0.003;
const OF_FACTOR: f64 = 0.25;

/// The heading of a column of correction factors with their mean over some rows, where that is not one, and a
/// finding without a text at it.
pub fn factor(table: &Table, rows: &[usize]) -> Option<(String, f64, Finding)> {
    let column = factors(table)?;
    let values = columns::values(table, column, rows)?;
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let heading = &table.columns[column];
    let at = table.finding(Severity::Warning, heading.mark, "");
    let tells = FACTORS.contains(&mean) && (mean - 1.0).abs() > LEAST;
    tells.then(|| (heading.name.clone(), mean, at))
}

fn factors(table: &Table) -> Option<usize> {
    (0..table.columns.len()).find(|&column| is_of_factors(table, column))
}

/// Whether beside the column that is read another holds its figures times the factor of each row: so they are raw.
pub fn is_raw(table: &Table, read: usize, rows: &[usize]) -> bool {
    let measured = |column: usize| {
        let (unit, dimension) = units::unit(table.written_unit(column)?)?;
        let values = columns::values(table, column, rows)?;
        let values = values.into_iter().map(|value| unit.to_si(value));
        Some((dimension, values.collect::<Vec<f64>>()))
    };
    let factors = factors(table).and_then(|column| columns::values(table, column, rows));
    let (Some(factors), Some((dimension, read_values))) = (factors, measured(read)) else {
        return false;
    };
    let mean = |values: &mut dyn Iterator<Item = f64>| values.sum::<f64>() / rows.len() as f64;
    let added = mean(&mut factors.iter().map(|factor| factor - 1.0));
    let is_product = |column: usize| {
        let Some((other, values)) = measured(column).filter(|_| column != read) else {
            return false;
        };
        let most = values.iter().copied().fold(0.0, f64::max);
        let pairs = || values.iter().zip(&read_values).zip(&factors);
        let off = mean(&mut pairs().map(|((v, r), f)| v / r - f));
        std::ptr::eq(other, dimension)
            && off.abs() < OF_FACTOR * added.abs()
            && pairs().all(|((v, r), f)| (v - f * r).abs() < ROUNDED * most)
    };
    (0..table.columns.len()).any(is_product)
}

fn is_of_factors(table: &Table, column: usize) -> bool {
    let words = words(&table.columns[column].name);
    let has = |stem: &str| words.iter().any(|word| word.contains(stem));
    let factor = has("factor") || has("faktor") || has("facteur") || has("coeff");
    let corrects = ["corr", "korr", "sae", "din", "std"]
        .iter()
        .any(|stem| has(stem));
    let alone = words.len() == 1
        && ["correction", "korrektur", "factor", "faktor", "facteur"]
            .iter()
            .any(|word| has(word));
    let unit = table.written_unit(column).and_then(units::unit);
    unit.is_none() && (words.iter().any(|word| word == "cf") || factor && corrects || alone)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::finding::Findings;
    use crate::files::source::Source;

    fn table(text: &str) -> Table {
        Table::parse(Source::new("a.csv", text), &mut Findings::new()).unwrap()
    }

    fn with(heading: &str, value: &str) -> Table {
        let row = |rpm: &str| format!("{rpm};100;{value}\n");
        let rows: String = ["2000", "2500", "3000"].map(row).concat();
        table(&format!("rpm;torque (Nm);{heading}\n{rows}"))
    }

    #[test]
    fn columns_of_correction_factors_are_known() {
        for heading in [
            "CF",
            "SAE CF",
            "Corr. factor",
            "Korrekturfaktor",
            "Faktor",
            "Correction",
        ] {
            let found = factor(&with(heading, "1.045"), &[0, 1, 2]);
            assert_eq!(found.map(|(_, mean, _)| mean), Some(1.045), "{heading}");
        }
        assert!(factor(&with("CF", "1.0"), &[0, 1]).is_none());
        assert!(factor(&with("load factor", "1.045"), &[0, 1]).is_none());
        assert!(factor(&with("corr. torque (Nm)", "1.2"), &[0, 1]).is_none());
    }

    #[test]
    fn figures_beside_those_times_the_factor_are_raw() {
        let raw = |heading: &str, times: f64, rows: &[usize]| {
            let row = |rpm: f64| {
                let torque = 60.0 + 0.01 * rpm;
                format!("{rpm},{torque:.1},1.020,{:.1}\n", times * torque)
            };
            let rows_text: String = [2000.0, 2500.0, 3000.0].map(row).concat();
            let text = format!("rpm,torque (lb-ft),CF,{heading}\n{rows_text}");
            is_raw(&table(&text), 1, rows)
        };
        let all = [0, 1, 2];
        assert!(raw("SAE torque (lb-ft)", 1.020, &all));
        assert!(raw("SAE torque (Nm)", 1.020 * 1.355_818, &all));
        // The same again, what the figures were made of, another quantity.
        assert!(!raw("torque 2 (lb-ft)", 1.0, &all));
        assert!(!raw("raw torque (lb-ft)", 1.0 / 1.020, &all));
        assert!(!raw("SAE power (hp)", 1.020, &all));
        assert!(!is_raw(&with("CF", "1.045"), 1, &all));
    }
}
