//! Draws of the demo study from the menu against the full search: a seeded part of what
//! `examples/menu_study.rs` runs over all of it (its table: `tests/reference/menus.csv`).

use std::path::Path;

use pullrank::files::finding::Findings;
use pullrank::files::study as study_file;
use pullrank::schedule::{Entrant, Pack, Workspace, quickest, quickest_of};
use pullrank::study::drawn::Drawing;
use pullrank::study::run::{draw_road, road};
use pullrank::study::{Engines, Plan};

const DRAWS: u64 = 40;

#[test]
fn property_the_menu_holds_the_fastest_schedule() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/club-season.yaml");
    let mut study = study_file::read(&path, &mut Findings::new()).expect("the demo study");
    let chosen = ["Quillgarth Hill", "Vennick"];
    study
        .entries
        .retain(|entry| chosen.contains(&&*entry.course.name));
    let limit = study.car.rev_limit_rpm;
    let engines = Engines::of(&study.test_day, &study.compared, limit).expect("a test day");
    let plan = Plan::default();
    let drawing = Drawing::new(&study, &engines, &plan);
    let (mut workspace, mut pack) = (Workspace::default(), Pack::default());
    let (mut laps, mut beyond, mut gaps) = (0, 0, Vec::new());
    for entry in &study.entries {
        let road = road(&study, &engines, entry).expect("a road").cells;
        let cells = draw_road(&study, &engines, entry, &road);
        assert!(
            cells.len() < road.len(),
            "{} of {}",
            cells.len(),
            road.len()
        );
        let menus = drawing.menus(entry, &cells);
        for index in 0..DRAWS {
            let drawn = drawing.draw(index);
            let lot = drawing.lot(&drawn, entry, &cells);
            let whole = drawing.lot(&drawn, entry, &road);
            let entrants = lot.machines.iter().zip(&menus);
            let entrants: Vec<Entrant> = entrants
                .map(|(machine, menu)| Entrant {
                    machine: machine.as_ref().expect("a machine"),
                    cells: &lot.cells,
                    menu: Some(menu),
                })
                .collect();
            let together = quickest_of(&entrants, &mut pack);
            let mut gap = 0.0;
            for (spec, machine) in lot.machines.iter().enumerate() {
                let machine = machine.as_ref().expect("a machine");
                let mut time = |cells, menu| {
                    let found = quickest(machine, cells, menu, &mut workspace);
                    found.expect("a lap").time
                };
                let from_menu = time(&lot.cells, Some(&menus[spec]));
                let in_lanes = together[spec].clone().expect("a lap").time;
                assert_eq!(from_menu.to_bits(), in_lanes.to_bits());
                let full = time(&lot.cells, None);
                assert!(from_menu >= full - 1e-9, "{from_menu} {full}");
                let sign = if spec == 0 { 1.0 } else { -1.0 };
                gap += sign * (from_menu - time(&whole.cells, None));
                laps += 1;
                beyond += usize::from(from_menu > full + 1e-3);
            }
            gaps.push(gap.abs());
        }
    }
    assert!(beyond * 100 <= laps, "{beyond} of {laps}");
    gaps.sort_by(f64::total_cmp);
    let median = gaps[gaps.len() / 2];
    assert!(
        median < 2e-4,
        "joined cells move the gap by {median} s in half of the draws"
    );
}
