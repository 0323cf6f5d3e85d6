//! A course cut into cells, cut anew, halved, joined and carried over to another: the road stays the road.

use approx::assert_relative_eq;
use pullrank::lap::cells::UNLIMITED;
use pullrank::lap::{Cell, Cells, Nominal};
use pullrank::venue::{Bend, Course, Extent, Finish, Scales, Section, Start, Surface};

use crate::support::roads::{bend, road, straight};

fn nominal() -> Nominal {
    Nominal {
        grip: vec![1.1, 0.6],
        corner_share: 0.9,
        usual_share: 0.9,
        speeds: 1.0,
        downforce: 0.0,
    }
}

fn measured(extent: Extent, speed: f64, scales: Scales) -> Section {
    Section {
        extent,
        bend: Bend::Measured {
            speed,
            direction: 1.0,
            scales,
        },
        ..Section::default()
    }
}

fn course(sections: Vec<Section>) -> Course {
    let surface = |name: &str| Surface::plain(name);
    Course {
        surfaces: vec![surface("tarmac"), surface("gravel")],
        ..road(Start::Standing, Finish::Flying, sections)
    }
}

fn cut(sections: Vec<Section>, spacing: f64) -> (Course, Cells) {
    let course = course(sections);
    let cells = Cells::new(&course, nominal(), spacing).expect("a road");
    (course, cells)
}

/// Lengths, and that the stations are where the lengths put them.
fn lengths(cells: &Cells) -> Vec<f64> {
    assert_eq!(cells.stations.len(), cells.len() + 1);
    let mut at = 0.0;
    for (cell, pair) in cells.cells.iter().zip(cells.stations.windows(2)) {
        assert_relative_eq!(pair[0], at, epsilon = 1e-9);
        at += cell.length;
        assert_relative_eq!(pair[1], at, epsilon = 1e-9);
    }
    cells.cells.iter().map(|cell| cell.length).collect()
}

fn expect(cells: &Cells, wanted: &[f64]) {
    let found = lengths(cells);
    assert_eq!(found.len(), wanted.len(), "{found:?}");
    for (a, b) in found.iter().zip(wanted) {
        assert_relative_eq!(a, b, epsilon = 1e-9);
    }
}

/// What the road does on the way: angle turned, height climbed.
fn sums(cells: &Cells) -> [f64; 2] {
    let sum = |of: &dyn Fn(&Cell) -> f64| cells.cells.iter().map(|c| c.length * of(c)).sum();
    [sum(&|c| c.curvature), sum(&|c| c.g_sin)]
}

#[test]
fn sections_are_cut_evenly_and_no_longer_than_asked() {
    let (_, cells) = cut(vec![straight(10.0), bend(0.4, 20.0), straight(6.0)], 3.0);
    expect(&cells, &[2.5, 2.5, 2.5, 2.5, 0.4, 3.0, 3.0]);
    let sections: Vec<u32> = cells.cells.iter().map(|c| c.section).collect();
    assert_eq!(sections, [0, 0, 0, 0, 1, 2, 2]);
}

/// A corner is as tight as the speed driven in it asks: v²·κ = s²·μ·(g·cosθ + ½ρC_lA/m·v²), with the share s
/// of the tyres that the driver takes.
#[test]
fn measured_corners_are_as_tight_as_their_speed_asks() {
    let nominal = Nominal {
        downforce: 0.002,
        ..nominal()
    };
    let steep = Section {
        slope: 0.75,
        ..measured(Extent::Turn(0.8), 20.0, Scales::Grip)
    };
    let cells = Cells::new(&course(vec![steep]), nominal, 1e3).expect("a road");
    let cell = &cells.cells[0];
    // A slope of three in four: five along the road for four ahead.
    assert_relative_eq!(cell.g_cos, 0.8 * 9.80665, max_relative = 1e-12);
    assert_relative_eq!(cell.g_sin, 0.6 * 9.80665, max_relative = 1e-12);
    let load = 0.8 * 9.80665 + 0.002 * 400.0;
    let curvature = 0.81 * 1.1 * load / 400.0;
    assert_relative_eq!(cell.curvature, curvature, max_relative = 1e-12);
    assert_relative_eq!(cells.length(), 0.8 / curvature, max_relative = 1e-12);
}

/// The integral of 1 / (length wanted) over a section, rounded up, is how many cells it gets, and each
/// holds as much of it as the others.
#[test]
fn cells_cut_anew_are_as_long_as_is_wanted_there() {
    let (_, fine) = cut(vec![straight(12.0), bend(5.0, 30.0)], 0.5);
    let mut wanted = vec![1.0; 12];
    wanted.extend([2.0; 12]);
    wanted.extend([9.0; 10]);
    let graded = fine.regraded(&wanted);
    let mut lengths = vec![1.0; 6];
    lengths.extend([2.0; 3]);
    lengths.push(5.0);
    expect(&graded, &lengths);
    assert_eq!(graded.cells[9].section, 1);
    // Seven and a half cells' worth become eight, all a little shorter.
    wanted[..24].fill(1.6);
    expect(&fine.regraded(&wanted), &[vec![1.5; 8], vec![5.0]].concat());
    for share in [0.013, 0.31, 0.9, 1.7] {
        let wanted: Vec<f64> = (0..34).map(|i| share * (1.0 + f64::from(i % 5))).collect();
        let again = fine.regraded(&wanted);
        assert_relative_eq!(lengths_sum(&again), 17.0, epsilon = 1e-9);
        assert_relative_eq!(sums(&again)[0], 5.0 / 30.0, epsilon = 1e-9);
        assert!(again.cells.iter().all(|c| c.length <= 5.0 * share + 1e-9));
    }
}

fn lengths_sum(cells: &Cells) -> f64 {
    lengths(cells).iter().sum()
}

#[test]
fn halves_are_halves() {
    let (_, cells) = cut(vec![straight(8.0), bend(3.0, 20.0)], 4.0);
    expect(&cells.halved(), &[2.0, 2.0, 2.0, 2.0, 1.5, 1.5]);
}

/// A corner driven a tenth faster at the same grip is 1.21 times as wide (v² = μ·g·r). Given by its angle
/// it is longer by as much; given by its length it stays as long.
#[test]
fn corners_driven_faster_are_wider() {
    let (course, cells) = cut(
        vec![
            straight(20.0),
            measured(Extent::Turn(1.5), 14.0, Scales::Grip),
            measured(Extent::Length(12.0), 11.0, Scales::Driver),
            Section {
                cap: Some(9.0),
                ..measured(Extent::Length(6.0), 10.0, Scales::Driver)
            },
            straight(5.0),
        ],
        4.0,
    );
    let same = cells.with_corner_speeds(&course, &[1.0; 5]);
    for (a, b) in same.cells.iter().zip(&cells.cells) {
        assert_relative_eq!(a.length, b.length, max_relative = 1e-12);
        assert_relative_eq!(a.cap, b.cap, max_relative = 1e-12);
        assert_eq!((a.curvature, a.measured), (b.curvature, b.measured));
    }
    let faster = cells.with_corner_speeds(&course, &[1.0, 1.1, 1.1, 1.1, 1.0]);
    lengths(&faster);
    for (a, b) in faster.cells.iter().zip(&cells.cells) {
        let bent = b.curvature > 0.0;
        let wider = if bent { 1.21 } else { 1.0 };
        let longer = if b.section == 1 { 1.21 } else { 1.0 };
        assert_relative_eq!(a.curvature * wider, b.curvature, max_relative = 1e-12);
        assert_relative_eq!(a.length, b.length * longer, max_relative = 1e-12);
        let (measured, cap) = match b.section {
            1 => (1.21 * 14.0 * 14.0, UNLIMITED),
            2 => (UNLIMITED, 1.21 * 11.0 * 11.0),
            3 => (UNLIMITED, 9.0 * 9.0),
            _ => (UNLIMITED, UNLIMITED),
        };
        assert_relative_eq!(a.measured, measured, max_relative = 1e-12);
        assert_relative_eq!(a.cap, cap, max_relative = 1e-12);
    }
    assert_relative_eq!(
        sums(&faster)[0],
        1.5 + (sums(&cells)[0] - 1.5) / 1.21,
        max_relative = 1e-12
    );
}

#[test]
fn cuts_are_carried_over_to_another_course() {
    let (course, fine) = cut(vec![straight(10.0), bend(6.0, 20.0), straight(4.0)], 2.0);
    assert_eq!(fine.on(&course, nominal()), fine);
    let uneven = fine.regraded(&[1.0, 1.0, 2.0, 2.0, 2.0, 3.0, 3.0, 3.0, 4.0, 4.0]);
    let mut longer = course.clone();
    longer.sections[0].extent = Extent::Length(20.0);
    longer.sections[1].bend = Bend::Radius { curvature: 0.1 };
    let carried = uneven.on(&longer, nominal());
    let wanted: Vec<f64> = (uneven.cells.iter())
        .map(|c| c.length * if c.section == 0 { 2.0 } else { 1.0 })
        .collect();
    expect(&carried, &wanted);
    assert_relative_eq!(sums(&carried)[0], 0.6, max_relative = 1e-12);
}

/// Whether anything of two sections is made one, the shorter of them 1 m.
fn joins(a: Section, b: Section) -> bool {
    let (_, cells) = cut(vec![a, b], 1.0);
    let joined = cells.joined(&vec![100.0; cells.len()], 0.1);
    lengths(&joined);
    for (now, then) in sums(&joined).iter().zip(sums(&cells)) {
        assert_relative_eq!(*now, then, max_relative = 1e-9, epsilon = 1e-12);
    }
    assert_relative_eq!(joined.length(), cells.length(), max_relative = 1e-12);
    match joined.len() {
        1 => true,
        2 => false,
        many => panic!("{many} cells of two"),
    }
}

#[test]
fn neighbours_that_are_alike_become_one() {
    let slope = |slope: f64| Section {
        slope,
        ..straight(5.0)
    };
    let corner = |speed| measured(Extent::Length(4.0), speed, Scales::Grip);
    assert!(joins(straight(5.0), straight(3.0)));
    // A tenth of curvature, or a per cent of slope (0.098 m/s²).
    assert!(joins(bend(5.0, 20.0), bend(3.0, 21.9)));
    assert!(!joins(bend(5.0, 20.0), bend(3.0, 22.6)));
    assert!(joins(slope(0.02), slope(0.03)));
    assert!(!joins(slope(0.02), slope(0.031)));
    assert!(!joins(slope(0.031), slope(0.02)));
    // Other grip, another speed that is not passed.
    let gravel = Section {
        surface: 1,
        ..straight(5.0)
    };
    assert!(!joins(straight(5.0), gravel));
    let capped = Section {
        cap: Some(20.0),
        ..straight(5.0)
    };
    assert!(!joins(straight(5.0), capped.clone()));
    assert!(joins(capped.clone(), capped));
    // Corners with a measured speed scale each by itself, even two that are the same.
    assert!(!joins(corner(15.0), corner(15.0)));
    assert!(!joins(corner(15.0), bend(4.0, 20.0)));
    // So hardly bent that it is no matter what is measured: less than a tenth of 1/100 m.
    assert!(!joins(straight(5.0), corner(120.0)));
}

/// As long as is wanted at the shortest of what is joined, and no longer.
#[test]
fn joined_cells_are_no_longer_than_wanted() {
    let (_, cells) = cut(vec![straight(12.0)], 1.0);
    expect(&cells.joined(&[4.0; 12], 0.1), &[4.0; 3]);
    let mut wanted = vec![5.0; 12];
    wanted[2] = 2.0;
    expect(&cells.joined(&wanted, 0.1), &[2.0, 2.0, 5.0, 3.0]);
    expect(&cells.joined(&[0.5; 12], 0.1), &[1.0; 12]);
}

/// To the bit: a corner that tightened by a rounding error would be braked for, and left in another gear.
#[test]
fn a_corner_joined_is_as_bent_as_before() {
    for radius in [18.3, 41.7, 97.1] {
        let section = Section {
            slope: 0.0171,
            ..bend(60.0, radius)
        };
        let (_, cells) = cut(vec![section], 0.7);
        let joined = cells.joined(&vec![15.0; cells.len()], 0.1);
        assert!((4..8).contains(&joined.len()), "{}", joined.len());
        let like = |cell: &Cell| [cell.curvature, cell.g_cos, cell.g_sin];
        for cell in &joined.cells {
            assert_eq!(like(cell), like(&cells.cells[0]));
        }
    }
}
