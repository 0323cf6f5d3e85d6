//! Checks against published standards, handbooks, open data and general-purpose libraries.

mod air;
mod bands;
mod closed_forms;
mod correction;
mod curve;
mod driveline;
mod geodesy;
mod manufactured;
mod motion;
mod mtcars;
mod ode;
mod optimal_control;
mod road_load;
mod schedule_oracle;
mod shapes;
mod shift_points;
mod statistics;
mod time_optimal;
mod traction;
mod trade;

use std::collections::BTreeMap;

/// The rows of a table under `tests/reference`, by column name.
fn table(name: &str) -> Vec<BTreeMap<String, String>> {
    let path = format!("{}/tests/reference/{name}", env!("CARGO_MANIFEST_DIR"));
    csv::ReaderBuilder::new()
        .comment(Some(b'#'))
        .from_path(&path)
        .unwrap_or_else(|e| panic!("{path}: {e}"))
        .deserialize()
        .map(|row| row.unwrap_or_else(|e| panic!("{path}: {e}")))
        .collect()
}

/// A number of a row.
fn number(row: &BTreeMap<String, String>, column: &str) -> f64 {
    row[column]
        .parse()
        .unwrap_or_else(|e| panic!("{column} {:?}: {e}", row[column]))
}
