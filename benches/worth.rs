//! What the derivatives of a lap cost beside the lap: the demo coupe on two demo venues, in metre
//! cells and in the cells that studies use. Prints the ratio of a lap with everything it is worth to
//! the recorded lap alone, both timed in turns, before the statistics.
//!
//! `cargo bench --bench worth`

use std::hint::black_box;
use std::path::PathBuf;
use std::time::Instant;

use criterion::{BenchmarkId, Criterion, criterion_group, criterion_main};
use pullrank::explain::Worth;
use pullrank::files::finding::Findings;
use pullrank::files::study as study_file;
use pullrank::lap::{Cells, Limits, Machine, Tape, lap};
use pullrank::schedule::{Choice, FollowSchedule, Schedule, search};
use pullrank::study::{Engines, Setup, Study, run};

/// Turns in which the two are timed, and laps in each.
const TURNS: usize = 30;
const LAPS: usize = 20;

fn study() -> Study {
    let path: PathBuf = [env!("CARGO_MANIFEST_DIR"), "examples", "club-season.yaml"]
        .iter()
        .collect();
    study_file::read(&path, &mut Findings::new()).expect("the demo study")
}

fn recorded(
    machine: &Machine,
    cells: &Cells,
    limits: &Limits,
    schedule: &Schedule,
    tape: &mut Tape,
) -> f64 {
    tape.records.clear();
    let mut driver = FollowSchedule::new(schedule, cells.len());
    lap(machine, cells, limits, &mut driver, tape).map_or(f64::NAN, |lap| lap.time)
}

/// Seconds of the fastest turn.
fn fastest(turns: &[f64]) -> f64 {
    turns.iter().copied().fold(f64::INFINITY, f64::min)
}

fn timed(mut work: impl FnMut()) -> f64 {
    let begun = Instant::now();
    for _ in 0..LAPS {
        work();
    }
    begun.elapsed().as_secs_f64() / LAPS as f64
}

fn worth(c: &mut Criterion) {
    let study = study();
    let engines = Engines::of(&study.test_day, &study.compared, study.car.rev_limit_rpm);
    let engines = engines.expect("curves");
    let wanted = ["Threnlow Lanes", "Vennick"];
    for entry in study
        .entries
        .iter()
        .filter(|e| wanted.contains(&e.course.name.as_str()))
    {
        let name = &entry.course.name;
        let variant = run::variant(&study, &engines, entry, 0, Setup::FITTED);
        let machine = variant.compile(&entry.course).expect("a machine");
        let nominal = variant.nominal(&entry.course).expect("grip");
        let metres = Cells::new(&entry.course, nominal, 1.0).expect("cells");
        let graded = run::cells(&study, &engines, entry).expect("cells");
        for (kind, cells) in [("metre cells", &metres), ("graded cells", &graded)] {
            let limits = Limits::new(&machine, cells).expect("limits");
            let found = search(&machine, cells, &limits, Choice::AsDriven).expect("a lap");
            let schedule = &found.schedule;
            let mut tape = Tape::default();
            let mut lap = || {
                black_box(recorded(&machine, cells, &limits, schedule, &mut tape));
            };
            let of = || Worth::of(&variant, (&machine, cells, &limits), schedule);
            let (mut laps, mut worths) = (Vec::new(), Vec::new());
            for _ in 0..TURNS {
                laps.push(timed(&mut lap));
                worths.push(timed(|| {
                    black_box(of().is_ok());
                }));
            }
            let (one, both) = (fastest(&laps), fastest(&worths));
            println!(
                "{name}, {kind}: {} cells, lap {:.0} µs, lap with worth {:.0} µs, ratio {:.2}",
                cells.len(),
                1e6 * one,
                1e6 * both,
                both / one
            );
            let mut group = c.benchmark_group(format!("{name}, {kind}"));
            group.bench_function(BenchmarkId::from_parameter("recorded lap"), |b| {
                b.iter(&mut lap)
            });
            group.bench_function(BenchmarkId::from_parameter("lap with worth"), |b| {
                b.iter(of)
            });
            group.finish();
        }
    }
}

criterion_group! {
    name = benches;
    config = Criterion::default().sample_size(20);
    targets = worth
}
criterion_main!(benches);
