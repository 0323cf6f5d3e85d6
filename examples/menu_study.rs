//! Draws of a study driven from the menu and by the full search: how far apart they are, and how far
//! the gap of the two quickest specs is from the one on the whole road. The table of the demo stands
//! in tests/reference/menus.csv; what each step costs goes to standard error.
//!
//! `cargo run --release --example menu_study -- examples/club-season.yaml 500`

use std::path::PathBuf;
use std::time::Instant;

use pullrank::files::finding::Findings;
use pullrank::files::study as study_file;
use pullrank::schedule::{Choice, Workspace, quickest, search};
use pullrank::study::drawn::Drawing;
use pullrank::study::run::draw_road;
use pullrank::study::{Engines, Plan, Study, run};

fn main() {
    let mut arguments = std::env::args().skip(1);
    let path: PathBuf = arguments
        .next()
        .unwrap_or_else(|| "examples/club-season.yaml".into())
        .into();
    let draws: u64 = arguments.next().map_or(500, |n| n.parse().expect("draws"));
    let mut found = Findings::new();
    let study = study_file::read(&path, &mut found).expect("a study");
    let engines =
        Engines::of(&study.test_day, &study.compared, study.car.rev_limit_rpm).expect("a test day");
    println!(
        "venue,cells,draws,median_ms,p95_ms,worst_ms,beyond_1_ms,strange_per_lap,labels_per_cell,\
         labels_per_cell_full,road_cells,gap_median_ms,gap_p95_ms,gap_worst_ms"
    );
    for row in rows(&study, &engines, draws) {
        println!("{row}");
    }
}

fn rows(study: &Study, engines: &Engines, draws: u64) -> Vec<String> {
    let plan = Plan::default();
    let outcome = run(study, engines);
    let drawing = Drawing::new(study, engines, &plan);
    let venues = study.entries.iter().zip(&outcome.venues);
    let rows = venues.map(|(entry, venue)| {
        let road = &venue.road.as_ref().expect("a road").cells;
        let cells = &draw_road(study, engines, entry, road);
        let started = Instant::now();
        let menus = drawing.menus(entry, cells);
        let menu_time = started.elapsed();
        let mut workspace = Workspace::default();
        let mut gaps = Vec::new();
        let (mut losses, mut strange, mut work, mut work_full) = (Vec::new(), 0, 0, 0);
        let mut seconds = [0.0; 6];
        for index in 0..draws {
            let mut clock = Instant::now();
            let mut lap = |i: usize| {
                seconds[i] += clock.elapsed().as_secs_f64();
                clock = Instant::now();
            };
            let drawn = drawing.draw(index);
            lap(0);
            let lot = drawing.lot(&drawn, entry, cells);
            lap(1);
            let whole_road = drawing.lot(&drawn, entry, road);
            let mut gap = [0.0; 2];
            for (spec, machine) in whole_road.machines.iter().enumerate().take(2) {
                let machine = machine.as_ref().expect("a machine");
                let time = quickest(machine, &whole_road.cells, None, &mut workspace);
                gap[0] += [1.0, -1.0][spec] * time.expect("a lap").time;
            }
            lap(5);
            for (spec, (machine, menu)) in lot.machines.iter().zip(&menus).enumerate() {
                let machine = machine.as_ref().expect("a machine");
                lap(1);
                workspace.limits.compute(machine, &lot.cells).expect("limits");
                lap(2);
                let from_menu = quickest(machine, &lot.cells, Some(menu), &mut workspace);
                lap(3);
                let full = quickest(machine, &lot.cells, None, &mut workspace);
                lap(4);
                let (from_menu, full) = (from_menu.expect("a lap"), full.expect("a lap"));
                if index % 20 == 0 {
                    let found = search(machine, &lot.cells, &workspace.limits, Choice::AsDriven);
                    let off = found.expect("a lap").lap.time - full.time;
                    assert!(off.abs() < 1e-5, "{} {off}", entry.course.name);
                }
                lap(4);
                gap[1] += [1.0, -1.0].get(spec).unwrap_or(&0.0) * from_menu.time;
                losses.push(1e3 * (from_menu.time - full.time));
                strange += from_menu.strange;
                work += from_menu.work;
                work_full += full.work;
            }
            gaps.push(1e3 * (gap[1] - gap[0]).abs());
        }
        let laps = losses.len();
        losses.sort_by(f64::total_cmp);
        gaps.sort_by(f64::total_cmp);
        let of = |sorted: &[f64], share: f64| sorted[((sorted.len() - 1) as f64 * share) as usize];
        let at = |share: f64| of(&losses, share);
        let beyond = losses.iter().filter(|l| **l > 1.0).count();
        let per_cell = |work: usize| work as f64 / (laps * cells.len()) as f64;
        let us = seconds.map(|s| 1e6 * s / laps as f64);
        eprintln!(
            "{}: {} cells of {}, menus {menu_time:?}; µs a lap: draw {:.1}, compile {:.1}, limits {:.1}, menu with limits {:.1}, full {:.1}",
            entry.course.name, cells.len(), road.len(), us[0], us[1], us[2], us[3], us[4]
        );
        format!(
            "{},{},{draws},{:.3},{:.3},{:.3},{:.4},{:.2},{:.2},{:.2},{},{:.3},{:.3},{:.3}",
            entry.course.name,
            cells.len(),
            at(0.5),
            at(0.95),
            at(1.0),
            beyond as f64 / laps as f64,
            strange as f64 / laps as f64,
            per_cell(work),
            per_cell(work_full),
            road.len(),
            of(&gaps, 0.5),
            of(&gaps, 0.95),
            of(&gaps, 1.0)
        )
    });
    rows.collect()
}
