//! What a lap costs, side by side in one run: a tight stage and a fast circuit of 5 km in the demo
//! coupe, and the demo study. Prints one table with ratios, then statistics of two of its rows.
//!
//! `cargo bench --bench lap`

mod roads;
mod yardsticks;

use std::hint::black_box;
use std::path::Path;
use std::time::Instant;

use criterion::Criterion;
use pullrank::dyno::Curve;
use pullrank::explain::worth::Worth;
use pullrank::files::finding::Findings;
use pullrank::files::study as study_file;
use pullrank::lap::batch::{Entrant, USUAL, plain};
use pullrank::lap::lanes::{Braker, limits_of};
use pullrank::lap::{Cells, Limits, Machine, NoTape, PlainRule, Tape, Variant, lap};
use pullrank::schedule::grade::{coarser, graded};
use pullrank::schedule::{self, Choice, Menu, Pack, Workspace, quickest, quickest_of, search};
use pullrank::study::{Engines, Plan, run, times};
use pullrank::venue::Course;
use rayon::prelude::*;
use roads::{coupe, courses, engine, habits};

/// Estimated error left by the longer cells, s, and largest change of a gap by the joined ones.
const TOLERANCE: f64 = 5e-4;
const JOINED: (f64, f64) = (1e-3, 1e-5);
/// Variants of a batch: few, so that a round is short and some round is undisturbed.
const VARIANTS: usize = 32;
/// Variants that are searched in a round.
const FEW: usize = 2;
/// Seconds that each row is measured for, and fewest rounds.
const LONG_ENOUGH: f64 = 0.4;
const ROUNDS: usize = 5;

/// Microseconds of the fastest of many rounds.
fn fastest(mut work: impl FnMut()) -> f64 {
    let (begun, mut best, mut rounds) = (Instant::now(), f64::INFINITY, 0);
    while rounds < ROUNDS || begun.elapsed().as_secs_f64() < LONG_ENOUGH {
        let start = Instant::now();
        work();
        best = best.min(start.elapsed().as_secs_f64());
        rounds += 1;
    }
    best * 1e6
}

/// One road cut into cells, and the variants that are driven over it.
struct Bench<'a> {
    title: String,
    cells: &'a Cells,
    machines: &'a [Machine],
    curve: &'a Curve,
    variant: &'a Variant<'a>,
    course: &'a Course,
}

struct Row {
    name: &'static str,
    us: f64,
}

impl Bench<'_> {
    fn rows(&self) -> Vec<Row> {
        let (cells, machine) = (self.cells, &self.machines[0]);
        let limits: Vec<Limits> = (self.machines.iter())
            .map(|m| Limits::new(m, cells).expect("limits"))
            .collect();
        let entrants: Vec<Entrant> = (self.machines.iter().zip(&limits))
            .map(|(machine, limits)| Entrant { machine, limits })
            .collect();
        let mut tape = Tape::default();
        let mut fresh = limits[0].clone();
        let mut workspace = Workspace::default();
        let pilots: Vec<_> = self
            .machines
            .iter()
            .step_by(2)
            .map(|m| (m, cells))
            .collect();
        let mut pack = Pack::default();
        let menu = Menu::of(&pilots, cells, &mut pack);
        let mut of = |menu: Option<&Menu>| {
            for machine in &self.machines[..FEW] {
                black_box(quickest(machine, cells, menu, &mut workspace).expect("a lap"));
            }
        };
        let each = 1.0 / VARIANTS as f64;
        let mut rows = Vec::new();
        let mut row = |name, us| rows.push(Row { name, us });
        row(
            "time only, one lap",
            fastest(|| {
                black_box(
                    lap(machine, cells, &limits[0], &mut PlainRule, &mut NoTape).expect("a lap"),
                );
            }),
        );
        row(
            "recorded, one lap",
            fastest(|| {
                tape.records.clear();
                black_box(
                    lap(machine, cells, &limits[0], &mut PlainRule, &mut tape).expect("a lap"),
                );
            }),
        );
        row("recorded, with what all is worth", self.worth());
        row(
            "what the road allows",
            fastest(|| {
                fresh.compute(machine, cells).expect("limits");
            }),
        );
        row(
            "batch, plain rule, 1 thread",
            each * fastest(|| {
                black_box(plain(cells, &entrants, USUAL));
            }),
        );
        row(
            "batch, plain rule, 2 threads",
            each * fastest(|| {
                black_box(
                    (entrants.par_chunks(VARIANTS / 2))
                        .map(|half| plain(cells, half, USUAL))
                        .collect::<Vec<_>>(),
                );
            }),
        );
        row(
            "from the menu, with limits",
            fastest(|| of(Some(&menu))) / FEW as f64,
        );
        let packed: Vec<schedule::Entrant> = (self.machines.iter())
            .map(|machine| schedule::Entrant {
                machine,
                cells,
                menu: Some(&menu),
            })
            .collect();
        row(
            "from the menu in lanes, 1 thread",
            each * fastest(|| {
                black_box(quickest_of(&packed, &mut pack));
            }),
        );
        let mut packs = [Pack::default(), Pack::default()];
        row(
            "from the menu in lanes, 2 threads",
            each * fastest(|| {
                packs
                    .par_iter_mut()
                    .zip(packed.par_chunks(VARIANTS / 2))
                    .for_each(|(pack, half)| {
                        black_box(quickest_of(half, pack));
                    });
            }),
        );
        let mut own: Vec<Limits> = limits.clone();
        row(
            "what the road allows in lanes",
            each * fastest(|| {
                let mut cars: Vec<Braker> = (self.machines.iter().zip(&mut own))
                    .map(|(machine, limits)| Braker {
                        machine,
                        cells,
                        limits,
                    })
                    .collect();
                black_box(limits_of(&mut cars));
            }),
        );
        row(
            "full search at the light, with limits",
            fastest(|| of(None)) / FEW as f64,
        );
        row(
            "full search at best",
            fastest(|| {
                black_box(search(machine, cells, &limits[0], Choice::AtBest).expect("a lap"));
            }),
        );
        row(
            "plain loop without tables",
            fastest(|| {
                black_box(yardsticks::plain_loop(machine, self.curve, cells));
            }),
        );
        row(
            "integrator of order 5(4)",
            fastest(|| {
                black_box(yardsticks::integrator(
                    machine, self.curve, cells, &limits[0],
                ));
            }),
        );
        rows
    }

    /// A lap under a schedule that is known, with the derivatives of its time.
    fn worth(&self) -> f64 {
        let machine = self.variant.compile(self.course).expect("a machine");
        let limits = Limits::new(&machine, self.cells).expect("limits");
        let found = search(&machine, self.cells, &limits, Choice::AsDriven).expect("a lap");
        let driven = (&machine, self.cells, &limits);
        fastest(|| {
            let worth = Worth::of(self.variant, driven, &found.schedule);
            black_box(worth.expect("a lap"));
        })
    }

    fn statistics(&self, criterion: &mut Criterion) {
        let (cells, machine) = (self.cells, &self.machines[0]);
        let limits = Limits::new(machine, cells).expect("limits");
        let mut workspace = Workspace::default();
        let pilots: Vec<_> = self
            .machines
            .iter()
            .step_by(2)
            .map(|m| (m, cells))
            .collect();
        let mut pack = Pack::default();
        let menu = Menu::of(&pilots, cells, &mut pack);
        criterion.bench_function(&format!("{}: time only", self.title), |b| {
            b.iter(|| lap(machine, cells, &limits, &mut PlainRule, &mut NoTape))
        });
        criterion.bench_function(&format!("{}: from the menu", self.title), |b| {
            b.iter(|| quickest(machine, cells, Some(&menu), &mut workspace))
        });
    }

    fn print(&self) {
        let rows = self.rows();
        let unit = rows[0].us;
        let cells = self.cells.len();
        println!(
            "\n{}: {:.0} m in {cells} cells",
            self.title,
            self.cells.length()
        );
        println!(
            "{:40} {:>10} {:>12} {:>8}",
            "", "µs a lap", "ns per cell", "ratio"
        );
        for Row { name, us } in rows {
            let per_cell = 1e3 * us / cells as f64;
            println!("{name:40} {us:10.1} {per_cell:12.1} {:8.2}", us / unit);
        }
    }
}

/// Variants with a little more or less of mass, grip and air.
fn variants(course: &Course, curve: &Curve) -> Vec<Machine> {
    let car = coupe();
    let trim = &car.trims[usize::from(course.kind == pullrank::venue::EventKind::Stage)];
    (0..VARIANTS)
        .map(|i| {
            let off = (i * 37 % VARIANTS) as f64 / VARIANTS as f64 - 0.5;
            let mut trim = trim.clone();
            trim.mass += 30.0 * off;
            let other = (i * 101 % VARIANTS) as f64 / VARIANTS as f64 - 0.5;
            trim.grip.values_mut().for_each(|g| *g *= 1.0 + 0.1 * other);
            let habits = habits(course.kind);
            let variant = Variant::fitted(&car, &trim, habits, curve, 1.2);
            variant.compile(course).expect("a machine")
        })
        .collect()
}

fn main() {
    let mut criterion = Criterion::default().sample_size(10).configure_from_args();
    let curve = engine();
    for (name, course) in courses() {
        let machines = variants(&course, &curve);
        let car = coupe();
        let trim = &car.trims[usize::from(course.kind == pullrank::venue::EventKind::Stage)];
        let nominal = Variant::fitted(&car, trim, habits(course.kind), &curve, 1.2);
        let metres = Cells::new(&course, nominal.nominal(&course).expect("grip"), 1.0);
        let metres = metres.expect("cells");
        let some: Vec<&Machine> = machines.iter().take(2).collect();
        let long = graded(&some, &metres, TOLERANCE).expect("a lap");
        let joined = coarser(&[[some[0], some[1]]], &long.cells, JOINED);
        for (kind, cells) in [
            ("metre", &metres),
            ("graded", &long.cells),
            ("joined", &joined),
        ] {
            let bench = Bench {
                title: format!("{name}, {kind} cells"),
                cells,
                machines: &machines,
                curve: &curve,
                variant: &nominal,
                course: &course,
            };
            bench.print();
            if kind == "joined" {
                bench.statistics(&mut criterion);
            }
        }
    }
    study(1000);
    criterion.final_summary();
}

/// The demo study: how long its draws take.
fn study(draws: u64) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/club-season.yaml");
    let study = study_file::read(&path, &mut Findings::new()).expect("the demo study");
    let limit = study.car.rev_limit_rpm;
    let engines = Engines::of(&study.test_day, &study.compared, limit).expect("a test day");
    let begun = Instant::now();
    let outcome = run(&study, &engines);
    let nominal = begun.elapsed().as_secs_f64();
    let plan = Plan {
        draws,
        ..Plan::default()
    };
    let begun = Instant::now();
    black_box(times::drive(&study, &engines, &outcome, &plan, || ()));
    let drawn = begun.elapsed().as_secs_f64();
    let laps = draws as usize * study.entries.len() * study.compared.len();
    println!(
        "\ndemo study: nominal laps and gearings {nominal:.2} s, {draws} draws {drawn:.2} s, {:.0} µs \
         a lap, {} threads",
        1e6 * drawn / laps as f64,
        rayon::current_num_threads()
    );
}
