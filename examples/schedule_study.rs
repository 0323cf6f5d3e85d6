//! The schedule search against label setting, and the error that graded cells leave, on seeded
//! roads: a table to standard output. The number of roads may be given; 200 else.
//!
//! cargo run --example schedule_study 12 > tests/reference/schedule/table.csv

#[allow(dead_code)]
#[path = "../tests/support/cars.rs"]
mod cars;
#[allow(dead_code)]
#[path = "../tests/support/oracle/mod.rs"]
mod oracle;
#[path = "../tests/support/sample.rs"]
mod sample;

use pullrank::lap::{Cells, LapError, Limits, Machine, Variant};
use pullrank::schedule::grade::graded;
use pullrank::schedule::{Choice, search};
use rayon::prelude::*;

use sample::Case;

/// Roads in the table.
const ROADS: u64 = 200;
/// Length of the oracle's steps and of the cells that it is compared on, m.
const STEP: f64 = 0.25;
/// Error that the graded cells may leave, s.
const TOLERANCE: f64 = 5e-4;

fn main() {
    println!(
        "road,about,metres,oracle_s,search_minus_oracle_ms,cells,stated_error_ms,true_error_ms"
    );
    let last = std::env::args().nth(1).and_then(|n| n.parse().ok());
    let rows: Vec<String> = (0..last.unwrap_or(ROADS))
        .into_par_iter()
        .map(|seed| row(seed, &sample::case(seed)))
        .collect();
    for row in rows {
        println!("{row}");
    }
}

fn best(machine: &Machine, cells: &Cells) -> Result<f64, LapError> {
    let limits = Limits::new(machine, cells)?;
    Ok(search(machine, cells, &limits, Choice::AtBest)?.lap.time)
}

/// One line of the table; a road that cannot be driven says why.
fn row(seed: u64, case: &Case) -> String {
    let variant = case.variant();
    let optimum = oracle::optimum(&variant, &case.course, STEP);
    let optimum = optimum.map(|o| o.time);
    match figures(case, &variant, optimum) {
        Ok(figures) => format!("{seed},{},{figures}", case.about),
        Err(error) => format!("{seed},{},{error},,,,,", case.about),
    }
}

fn figures(case: &Case, variant: &Variant, optimum: Option<f64>) -> Result<String, LapError> {
    let machine = variant.compile(&case.course)?;
    let cells = |spacing| Cells::new(&case.course, variant.nominal(&case.course)?, spacing);
    let fine = best(&machine, &cells(STEP)?)?;
    let graded = graded(&[&machine], &cells(1.0)?, TOLERANCE)?;
    let error = best(&machine, &graded.cells)? - fine;
    let off = optimum.map_or(String::new(), |t| format!("{:+.3}", 1e3 * (fine - t)));
    Ok(format!(
        "{:.0},{},{off},{},{:.3},{:+.3}",
        graded.cells.length(),
        optimum.map_or(String::new(), |t| format!("{t:.4}")),
        graded.cells.len(),
        1e3 * graded.error.unwrap_or(f64::NAN),
        1e3 * error
    ))
}
