//! Draws of the demo study from the menu against the full search: a seeded part of what
//! `examples/menu_study.rs` runs over all of it (its table: `tests/reference/menus.csv`).

use std::path::Path;

use pullrank::files::finding::Findings;
use pullrank::files::study as study_file;
use pullrank::lap::Cells;
use pullrank::schedule::{Entrant, Pack, Workspace, quickest, quickest_of};
use pullrank::study::drawn::{Drawing, Lot};
use pullrank::study::run::{draw_road, road};
use pullrank::study::{Engines, Entry, Plan, Study};

/// Draws a venue, of every spec.
const DRAWS: u64 = 100;
/// Seconds that a draw from the menu may lose, but for one in a hundred, and at most.
const LOSES: [f64; 2] = [1e-3, 2e-3];
/// Draws for which the joined road is held against the whole one.
const WHOLE: u64 = 40;

fn demo() -> (Study, Engines) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/club-season.yaml");
    let study = study_file::read(&path, &mut Findings::new()).expect("the demo study");
    let limit = study.car.rev_limit_rpm;
    let engines = Engines::of(&study.test_day, &study.compared, limit).expect("a test day");
    (study, engines)
}

/// The whole road of an entry, and that of the draws.
fn roads(study: &Study, engines: &Engines, entry: &Entry) -> (Cells, Cells) {
    let whole = road(study, engines, entry).expect("a road").cells;
    let joined = draw_road(study, engines, entry, &whole);
    assert!(joined.len() < whole.len());
    (whole, joined)
}

/// Every spec's time by the full search.
fn full(lot: &Lot, workspace: &mut Workspace) -> Vec<f64> {
    let machines = lot.machines.iter();
    machines
        .map(|machine| {
            let machine = machine.as_ref().expect("a machine");
            let found = quickest(machine, &lot.cells, None, workspace);
            found.expect("a lap").time
        })
        .collect()
}

#[test]
fn property_the_menu_holds_the_fastest_schedule() {
    let (study, engines) = demo();
    let plan = Plan::default();
    let drawing = Drawing::new(&study, &engines, &plan);
    let (mut workspace, mut pack) = (Workspace::default(), Pack::default());
    for entry in &study.entries {
        let (_, cells) = roads(&study, &engines, entry);
        let menus = drawing.menus(entry, &cells);
        let (mut laps, mut beyond, mut strange) = (0, 0, 0);
        for index in 0..DRAWS {
            let lot = drawing.lot(&drawing.draw(index), entry, &cells);
            let entrants = lot.machines.iter().zip(&menus);
            let entrants: Vec<Entrant> = entrants
                .map(|(machine, menu)| Entrant {
                    machine: machine.as_ref().expect("a machine"),
                    cells: &lot.cells,
                    menu: Some(menu),
                })
                .collect();
            let together = quickest_of(&entrants, &mut pack);
            let full = full(&lot, &mut workspace);
            for ((entrant, together), full) in entrants.iter().zip(together).zip(full) {
                let alone = quickest(entrant.machine, &lot.cells, entrant.menu, &mut workspace);
                let (alone, together) = (alone.expect("a lap"), together.expect("a lap"));
                assert_eq!(alone.time.to_bits(), together.time.to_bits());
                let loses = alone.time - full;
                let venue = &entry.course.name;
                assert!(loses > -1e-9, "{venue}, draw {index}: {loses}");
                assert!(loses < LOSES[1], "{venue}, draw {index}: {loses}");
                laps += 1;
                beyond += usize::from(loses > LOSES[0]);
                strange += alone.strange;
            }
        }
        let venue = &entry.course.name;
        assert!(beyond * 100 <= laps, "{venue}: {beyond} of {laps}");
        assert!(strange <= laps, "{venue}: {strange} places unknown");
    }
}

#[test]
fn property_joined_cells_leave_the_gap_of_draws() {
    let (study, engines) = demo();
    let plan = Plan::default();
    let drawing = Drawing::new(&study, &engines, &plan);
    let mut workspace = Workspace::default();
    let mut gaps = Vec::new();
    let chosen = ["Quillgarth Hill", "Vennick"];
    for entry in &study.entries {
        if !chosen.contains(&&*entry.course.name) {
            continue;
        }
        let (whole, joined) = roads(&study, &engines, entry);
        for index in 0..WHOLE {
            let drawn = drawing.draw(index);
            let mut gap = |cells| {
                let times = full(&drawing.lot(&drawn, entry, cells), &mut workspace);
                times[0] - times[1]
            };
            gaps.push((gap(&joined) - gap(&whole)).abs());
        }
    }
    gaps.sort_by(f64::total_cmp);
    let median = gaps[gaps.len() / 2];
    assert!(
        median < 2e-4,
        "joined cells move the gap by {median} s in half of the draws"
    );
}
