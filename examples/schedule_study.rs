//! The schedule search against label setting, and the error that graded cells leave, on seeded
//! roads: a table to standard output. The first road and the one after the last may be given; else 0
//! and 200.
//!
//! cargo run --release --example schedule_study 0 12

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
        "road,about,metres,oracle_s,oracle_labels,search_minus_oracle_ms,cells,stated_error_ms,true_error_ms"
    );
    let given = |n: usize| std::env::args().nth(n).and_then(|n| n.parse::<u64>().ok());
    let roads = given(1).unwrap_or(0)..given(2).unwrap_or(ROADS);
    let rows: Vec<String> = roads
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
    match figures(case, &variant, optimum) {
        Ok(figures) => format!("{seed},{},{figures}", case.about),
        Err(error) => format!("{seed},{},{error},,,,,,", case.about),
    }
}

fn figures(
    case: &Case,
    variant: &Variant,
    optimum: Option<oracle::Optimum>,
) -> Result<String, LapError> {
    let machine = variant.compile(&case.course)?;
    let cells = |spacing| Cells::new(&case.course, variant.nominal(&case.course)?, spacing);
    let fine = best(&machine, &cells(STEP)?)?;
    let graded = graded(&[&machine], &cells(1.0)?, TOLERANCE)?;
    let error = best(&machine, &graded.cells)? - fine;
    let (time, labels, off) = match optimum {
        Some(best) => (
            format!("{:.4}", best.time),
            best.labels,
            format!("{:+.3}", 1e3 * (fine - best.time)),
        ),
        None => (String::new(), 0, String::new()),
    };
    Ok(format!(
        "{:.0},{time},{labels},{off},{},{:.3},{:+.3}",
        graded.cells.length(),
        graded.cells.len(),
        1e3 * graded.error.unwrap_or(f64::NAN),
        1e3 * error
    ))
}
