//! How many small faults put into the program its tests notice.
//!
//! A fresh build for every fault would take days. Here all faults that were drawn are built at once,
//! each behind a switch that an environment variable turns on; every test is run once to see which
//! of them it meets, then each fault is on in turn for the tests that meet it, the quickest first,
//! until one fails. A run that takes four times as long as without the fault, and two
//! seconds more, counts as noticed.

mod plant;
mod render;
mod sites;
mod tests;

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use clap::{Parser, Subcommand};
use serde::{Deserialize, Serialize};

use plant::{Mutant, Planted};
use tests::{Ended, Test, Traced, run, trace};

#[derive(Parser)]
struct Arguments {
    /// Folder for the copy of the program, and for what is found.
    #[arg(long)]
    scratch: PathBuf,
    #[command(subcommand)]
    step: Step,
}

#[derive(Subcommand)]
enum Step {
    /// Copies the program, draws faults and builds them.
    Plant {
        #[arg(long, default_value = ".")]
        source: PathBuf,
        #[arg(long, default_value_t = 1)]
        seed: u64,
        /// Faults drawn from lap, schedule and car together.
        #[arg(long, default_value_t = 220)]
        driving: usize,
        /// Faults drawn from dyno.
        #[arg(long, default_value_t = 120)]
        dyno: usize,
    },
    /// Runs every test once to see which faults it meets; goes on where it stopped.
    Trace {
        /// Seconds of the processor that a test is given.
        #[arg(long, default_value_t = 15.0)]
        longest: f64,
    },
    /// Switches on one fault after the other; goes on where it stopped.
    Hunt {
        /// Those that survived once more, as when tests were added to the trace.
        #[arg(long)]
        again: bool,
        /// Seconds of the processor, without the fault, that the tests of one fault may take together;
        /// and, where it is no less than what tracing gave them, each of those that take longer.
        #[arg(long, default_value_t = 60.0)]
        most: f64,
    },
}

/// What became of one mutant.
#[derive(Debug, Serialize, Deserialize)]
struct Outcome {
    id: usize,
    file: String,
    line: usize,
    change: String,
    outcome: String,
    by: String,
}

fn main() -> io::Result<()> {
    let Arguments { scratch, step } = Arguments::parse();
    fs::create_dir_all(&scratch)?;
    let scratch = scratch.canonicalize()?;
    let (planted, traced) = (scratch.join("planted.json"), scratch.join("tests.json"));
    match step {
        Step::Plant {
            source,
            seed,
            driving,
            dyno,
        } => {
            let source = source.canonicalize()?;
            let shares = [
                (&["lap", "schedule", "car"][..], driving),
                (&["dyno"][..], dyno),
            ];
            let done = plant::plant(&source, &scratch, seed, &shares)?;
            fs::write(planted, serde_json::to_vec_pretty(&done)?)
        }
        Step::Trace { longest } => {
            let planted: Planted = serde_json::from_slice(&fs::read(planted)?)?;
            let Traced { tests, left_out } = trace(&scratch, &planted.programs, &traced, longest)?;
            let took: f64 = tests.iter().map(|t| t.seconds).sum();
            println!(
                "{} tests in {took:.0} s, {} left out",
                tests.len(),
                left_out.len()
            );
            Ok(())
        }
        Step::Hunt { again, most } => {
            let planted: Planted = serde_json::from_slice(&fs::read(planted)?)?;
            hunt(&scratch, &planted, &traced, again, most)
        }
    }
}

fn hunt(
    scratch: &Path,
    planted: &Planted,
    traced: &Path,
    again: bool,
    most: f64,
) -> io::Result<()> {
    let results = scratch.join("results.csv");
    let mut outcomes: Vec<Outcome> = match csv::Reader::from_path(&results) {
        Ok(mut reader) => reader
            .deserialize()
            .collect::<Result<_, _>>()
            .map_err(io::Error::other)?,
        Err(_) => Vec::new(),
    };
    if again {
        outcomes.retain(|o| o.outcome != SURVIVED);
    }
    for mutant in &planted.mutants {
        if outcomes.iter().any(|o| o.id == mutant.id) {
            continue;
        }
        // Read anew each time: the tests may still be being traced.
        let traced: Traced = serde_json::from_slice(&fs::read(traced)?)?;
        let (outcome, by) = try_one(scratch, mutant, &traced.tests, most)?;
        println!(
            "{} {}:{} {} {by}",
            outcome, mutant.file, mutant.line, mutant.told
        );
        outcomes.push(Outcome {
            id: mutant.id,
            file: mutant.file.clone(),
            line: mutant.line,
            change: mutant.told.clone(),
            outcome: outcome.into(),
            by,
        });
        let mut writer = csv::Writer::from_path(&results)?;
        for outcome in &outcomes {
            writer.serialize(outcome).map_err(io::Error::other)?;
        }
        writer.flush()?;
    }
    println!(
        "seed {}, {} of {} places drawn",
        planted.seed,
        outcomes.len(),
        planted.candidates
    );
    for room in ["src/lap/", "src/schedule/", "src/car/", "src/dyno/", "src/"] {
        let count = |is: &dyn Fn(&Outcome) -> bool| {
            outcomes
                .iter()
                .filter(|o| o.file.starts_with(room) && is(o))
                .count()
        };
        println!(
            "{room}: {} drawn, {} met by a test, {} noticed, {} of them by running too long",
            count(&|_| true),
            count(&|o| o.by != UNMET),
            count(&|o| o.outcome != SURVIVED),
            count(&|o| o.outcome == TOO_LONG),
        );
    }
    Ok(())
}

/// What can become of a mutant.
const FAILED: &str = "failed";
const TOO_LONG: &str = "too long";
const SURVIVED: &str = "survived";
/// In place of a test's name.
const UNMET: &str = "no test meets it";

/// Seconds of the processor for the first tests that are run together. Every lot takes up to four
/// times the one before, so that an easy catch costs little.
const TOGETHER: f64 = 0.3;

fn try_one(
    scratch: &Path,
    mutant: &Mutant,
    tests: &[Test],
    most: f64,
) -> io::Result<(&'static str, String)> {
    let mut left: Vec<&Test> = tests
        .iter()
        .filter(|t| t.meets.contains(&mutant.id))
        .collect();
    if left.is_empty() {
        return Ok((SURVIVED, UNMET.into()));
    }
    left.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
    let long: Vec<&Test> = left.iter().filter(|t| t.long).copied().collect();
    left.retain(|t| !t.long);
    let mut seconds = 0.0;
    left.retain(|t| {
        seconds += t.seconds;
        seconds <= most
    });
    let mut together = TOGETHER;
    while !left.is_empty() {
        let mut seconds = 0.0;
        let count = left.iter().take_while(|t| {
            seconds += t.seconds;
            seconds <= together
        });
        let rest = left.split_off(count.count());
        left.sort_by(|a, b| a.program.cmp(&b.program));
        for batch in left.chunk_by(|a, b| a.program == b.program) {
            let names: Vec<&str> = batch.iter().map(|t| t.name.as_str()).collect();
            let seconds: f64 = batch.iter().map(|t| t.seconds).sum();
            let limit = 2.0 + 4.0 * seconds;
            let id = mutant.id.to_string();
            match run(scratch, &batch[0].program, &names, &id, limit)? {
                Ended::Passed => {}
                Ended::Failed(by) => return Ok((FAILED, by)),
                Ended::TooLong => {
                    return Ok((TOO_LONG, names.join(" ").chars().take(80).collect()));
                }
            }
        }
        left = rest;
        together *= 4.0;
    }
    let id = mutant.id.to_string();
    for test in long.into_iter().filter(|t| most >= t.seconds) {
        // What it has not noticed by then does not count.
        let name = [test.name.as_str()];
        let ended = run(scratch, &test.program, &name, &id, most)?;
        if let Ended::Failed(by) = ended {
            return Ok((FAILED, by));
        }
    }
    Ok((SURVIVED, String::new()))
}
