//! Where changes of gear are tried: the places along a road, and what a menu remembers.

use super::super::candidates::{Candidates, Places};
use super::super::labels::{Book, Label, NOTHING};
use super::super::menu::{Menu, Offer};
use super::*;
use crate::lap::drive::Ride;

fn piece(length: f64, curvature: f64, slope: f64, surface: usize) -> Section {
    Section {
        extent: Extent::Length(length),
        bend: match curvature {
            0.0 => Bend::Straight,
            curvature => Bend::Radius { curvature },
        },
        slope,
        surface,
        ..Section::default()
    }
}

/// Cells of 10 m, on tarmac and on gravel with half its grip.
fn on(kind: EventKind, sections: Vec<Section>) -> (Machine, Cells, Limits) {
    let mut course = Course {
        sections,
        ..Course::new("road", kind)
    };
    let mut gravel = course.surfaces[0].clone();
    gravel.name = "loose".into();
    gravel.factor = 0.5;
    course.surfaces.push(gravel);
    ready(&coupe(), &curve(0), &course, 1.0, 10.0, None)
}

/// Cells 0 to 4 straight, 5 to 9 bent, 10 to 14 straight, 15 to 19 a climb, 20 to 24 level, 25 to 29
/// gravel, 30 to 34 tarmac.
fn varied(kind: EventKind) -> (Machine, Cells, Limits) {
    on(
        kind,
        vec![
            piece(50.0, 0.0, 0.0, 0),
            piece(50.0, 0.01, 0.0, 0),
            piece(50.0, 0.0, 0.0, 0),
            piece(50.0, 0.0, 0.05, 0),
            piece(50.0, 0.0, 0.0, 0),
            piece(50.0, 0.0, 0.0, 1),
            piece(50.0, 0.0, 0.0, 0),
        ],
    )
}

fn tried(places: &Places, cells: &Cells) -> Vec<usize> {
    (0..cells.len()).filter(|&i| places.tries_at(i)).collect()
}

/// A record of a cell at 20 m/s.
fn record(cell: usize, phase: Phase, braking: bool) -> Record {
    Record {
        cell: cell as u32,
        z0: 400.0,
        z1: 400.0,
        length: 10.0,
        time: 0.5,
        gear: 1,
        phase,
        traction: false,
        braking,
    }
}

#[test]
fn edges_of_corners_slopes_and_patches_are_tried() {
    let (machine, cells, _) = varied(EventKind::Stage);
    let places = Places::new(&machine, &cells, &[]);
    assert_eq!(tried(&places, &cells), [5, 10, 15, 20, 25, 30]);
    // The same bend the other way round, and slopes and grip that hardly change.
    let (machine, cells, _) = on(
        EventKind::Stage,
        vec![
            piece(30.0, 0.01, 0.0, 0),
            piece(30.0, -0.01, 0.009, 0),
            piece(30.0, 0.0115, 0.0, 0),
        ],
    );
    assert_eq!(tried(&Places::new(&machine, &cells, &[]), &cells), [0; 0]);
}

/// At 20 m/s a change of 0.35 s takes 7 m: the road is marked so far ahead of braking and of where it takes
/// less from then on, and four times as far ahead of where a corner lets the car go.
#[test]
fn the_road_is_marked_ahead_of_what_makes_a_change_good() {
    let marked = |kind, tape: &[Record]| -> Vec<usize> {
        let (machine, cells, _) = varied(kind);
        let places = Places::new(&machine, &cells, tape);
        let marked: Vec<usize> = (0..cells.len())
            .filter(|&i| places.apart(i) < f64::INFINITY)
            .collect();
        for &i in &marked {
            assert!((places.apart(i) - 7.0 / 5.0).abs() < 1e-9, "{i}");
        }
        marked
    };
    let stage = EventKind::Stage;
    let drive = |cell| record(cell, Phase::Drive, false);
    let line = |cell| record(cell, Phase::Line, false);
    let brake = |cell| record(cell, Phase::Line, true);
    assert_eq!(marked(stage, &[drive(2), drive(3), drive(4)]), [0; 0]);
    assert_eq!(marked(stage, &[drive(2), drive(3), brake(4)]), [3, 4]);
    assert_eq!(marked(stage, &[brake(4), brake(5), line(6)]), [0; 0]);
    assert_eq!(marked(stage, &[line(8), line(9), drive(10)]), [7, 8, 9, 10]);
    // The corner, the climb and the gravel end; they begin in the cells between.
    assert_eq!(marked(stage, &[drive(9), drive(10)]), [9, 10]);
    assert_eq!(marked(stage, &[drive(19), drive(20)]), [19, 20]);
    assert_eq!(marked(stage, &[drive(29), drive(30)]), [29, 30]);
    for at in [5, 15, 25] {
        assert_eq!(marked(stage, &[drive(at - 1), drive(at)]), [0; 0]);
    }
    // Across the line of a lap, and not before the start of a stage.
    let first = [line(0), drive(1)];
    assert_eq!(marked(stage, &first), [0, 1]);
    assert_eq!(marked(EventKind::Circuit, &first), [0, 1, 33, 34]);
}

#[test]
fn the_candidate_due_is_the_last_one_passed() {
    // The light comes on before the accelerations cross.
    let strip = Course {
        sections: vec![piece(50.0, 0.0, 0.0, 0)],
        ..Course::new("strip", EventKind::Stage)
    };
    let (machine, ..) = ready(&coupe(), &curve(0), &strip, 1.0, 10.0, Some(6000.0));
    let candidates = Candidates::new(&machine, Choice::AtBest);
    let (first, second) = (candidates.at(1, 0), candidates.at(1, 1));
    assert!(first < second && second <= machine.gears[1].z_limit);
    let due = |z| candidates.due_at(1, z);
    assert_eq!(
        [due(0.9 * first), due(first), due(0.5 * (first + second))],
        [0; 3]
    );
    assert_eq!(due(second), 1);
    let from = |z| candidates.first_from(1, z);
    assert_eq!([from(0.9 * first), from(first)], [0; 2]);
    assert_eq!(from(0.5 * (first + second)), 1);
    assert_eq!(candidates.at(1, 99), f64::INFINITY);
}

fn label(time: f64, last: u32, stayed: u16) -> Label {
    Label {
        state: State::in_gear(400.0, 1),
        time,
        level: 0.0,
        braking: true,
        stayed,
        next: 0,
        last,
        asked: false,
        mark: 0,
        lane: crate::lap::lanes::NOWHERE,
    }
}

/// Plans within 0.03 s of the best at an end of braking are remembered, later ones are not: the gear that
/// they left the end before in, their changes up with the 30 m ahead of each, the gears in which they left
/// one out.
#[test]
fn a_menu_remembers_the_plans_that_are_near_the_best() {
    let (machine, cells, limits) = varied(EventKind::Stage);
    let ride = Ride {
        machine: &machine,
        cells: &cells,
        limits: &limits,
        first_cell: 0,
    };
    let mut book = Book::default();
    let quick = book.note(NOTHING, 4, 1, ChangeKind::Exit);
    let quick = book.note(quick, 12, 2, ChangeKind::Up(400.0));
    let near = book.note(NOTHING, 4, 2, ChangeKind::Exit);
    let late = book.note(NOTHING, 4, 3, ChangeKind::Exit);
    let ends = [
        label(9.0, quick, 0),
        label(9.02, near, 0b100),
        label(9.04, late, 0b1000),
    ];
    let mut menu = Menu::new(&cells);
    menu.stretch(&ride, &book, &ends, 16);
    for cell in 0..cells.len() {
        let exits = if cell == 4 { 0b110 } else { 0 };
        assert_eq!(menu.exits(cell), exits, "{cell}");
        let up = (9..=12).contains(&cell);
        let expected = if up { Offer::Up } else { Offer::Unknown };
        assert_eq!(menu.offer(cell, 1), expected, "{cell}");
        let stays = (4..16).contains(&cell);
        let expected = if stays { Offer::Both } else { Offer::Unknown };
        assert_eq!(menu.offer(cell, 2), expected, "{cell}");
        assert_eq!(menu.offer(cell, 0), Offer::Unknown);
        assert_eq!(menu.offer(cell, 3), Offer::Unknown);
    }
    // From the start of a run, which no end of braking is before.
    let mut menu = Menu::new(&cells);
    menu.stretch(&ride, &book, &[label(5.0, NOTHING, 0b10)], 3);
    for cell in 0..cells.len() {
        let expected = if cell < 3 {
            Offer::Both
        } else {
            Offer::Unknown
        };
        assert_eq!(menu.offer(cell, 1), expected, "{cell}");
        assert_eq!(menu.exits(cell), 0);
    }
}

#[test]
fn a_menu_takes_in_the_best_gears_to_start_a_lap_in() {
    let (_, cells, _) = varied(EventKind::Circuit);
    let mut menu = Menu::new(&cells);
    for (gear, time) in [(1, 60.02), (2, 60.0), (3, 60.04)] {
        menu.start(7, gear, time);
    }
    menu.lap_ends();
    assert_eq!(menu.exits(7), 0b110);
    menu.start(7, 0, 70.0);
    menu.lap_ends();
    assert_eq!(menu.exits(7), 0b111);
    let mut other = Menu::new(&cells);
    other.add(&menu);
    assert_eq!(other, menu);
}

/// What is known of an end of braking holds within 25 m of it; round the line of a lap, and not round that of a
/// stage, where no end of braking lies at the start.
#[test]
fn what_a_menu_knows_spreads_to_the_stations_near() {
    let spread = |kind, at: usize| -> Vec<usize> {
        let (_, cells, _) = varied(kind);
        let mut menu = Menu::new(&cells);
        menu.start(at, 2, 1.0);
        menu.lap_ends();
        menu.spread(&cells);
        (0..cells.len())
            .filter(|&i| menu.exits(i) == 0b100)
            .collect()
    };
    let (stage, circuit) = (EventKind::Stage, EventKind::Circuit);
    assert_eq!(spread(stage, 20), [18, 19, 20, 21, 22]);
    assert_eq!(spread(stage, 34), [32, 33, 34]);
    assert_eq!(spread(stage, 2), [1, 2, 3, 4]);
    assert_eq!(spread(circuit, 2), [0, 1, 2, 3, 4]);
    assert_eq!(spread(circuit, 34), [0, 1, 32, 33, 34]);
}

/// A schedule is followed from where each change is due: later if a stretch brings the car there later, never
/// sooner.
#[test]
fn changes_are_made_where_they_are_due() {
    let (machine, cells, _) = varied(EventKind::Stage);
    let made = |kind, at: usize, z: f64| {
        let change = Change {
            cells_done: 12,
            gear: 3,
            kind,
        };
        let schedule = Schedule {
            changes: vec![change],
            ..Schedule::default()
        };
        let mut driver = FollowSchedule::new(&schedule, cells.len());
        let state = State::in_gear(z, 2);
        let gear = driver.change(&machine, &cells.cells[at], at, &state);
        assert!(gear.is_none_or(|gear| gear == 3));
        // It is made once.
        if gear.is_some() {
            assert_eq!(driver.change(&machine, &cells.cells[at], at, &state), None);
        }
        gear.is_some()
    };
    for (kind, expected) in [
        (ChangeKind::Up(400.0), [false, false, true, true]),
        (ChangeKind::Down(400.0), [false, true, false, true]),
        (ChangeKind::UpHere, [false, true, true, true]),
        (ChangeKind::Exit, [false; 4]),
    ] {
        let cases = [(11, 500.0), (12, 300.0), (12, 500.0), (13, 400.5)];
        assert_eq!(cases.map(|(at, z)| made(kind, at, z)), expected, "{kind:?}");
        assert!(kind == ChangeKind::Exit || made(kind, 12, 400.0));
    }
}

/// What the search says a lap takes is what it takes when its schedule is driven, also where a car holds a
/// speed and brakes within one cell.
#[test]
fn a_search_takes_as_long_as_what_it_found() {
    for (name, course, mu, share) in roads() {
        let mut car = coupe();
        car.trims[0].grip = BTreeMap::from([("tarmac".to_string(), mu)]);
        let (machine, cells, limits) = ready(&car, &curve(0), &course, share, 9.0, Some(7100.0));
        let said = quickest(&machine, &cells, None, &mut Workspace::default());
        let said = said.unwrap().time;
        let found = search(&machine, &cells, &limits, Choice::AsDriven).unwrap();
        assert!(
            (said - found.lap.time).abs() < 1e-4,
            "{name}: {said} {}",
            found.lap.time
        );
    }
}

/// A ring so wide that nothing is braked for, up and down so that gears change: by the rule of thumb,
/// and driven again by it.
#[test]
fn a_lap_without_braking_is_the_rule_of_thumbs() {
    let sections = vec![piece(900.0, 1e-3, 0.3, 0), piece(900.0, 1e-3, -0.3, 0)];
    let (machine, cells, limits) = on(EventKind::Circuit, sections);
    let mut tape = Tape::default();
    let plain = lap(&machine, &cells, &limits, &mut PlainRule, &mut tape).unwrap();
    let gears = |gear: u8| tape.records.iter().any(|record| record.gear == gear);
    let used: Vec<bool> = (0..4).map(gears).collect();
    assert_eq!(
        (plain.from_braking, used),
        (false, vec![false, false, true, true])
    );
    let found = search(&machine, &cells, &limits, Choice::AtBest).unwrap();
    assert!(found.schedule.by_rule);
    let mut driver = FollowSchedule::new(&found.schedule, cells.len());
    let again = lap(&machine, &cells, &limits, &mut driver, &mut NoTape).unwrap();
    assert_eq!((found.lap, again), (plain, plain));
}
