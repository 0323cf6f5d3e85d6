//! The demo venues are what they are described as: lengths, climb and corners counted by hand
//! (invented places, so no outside source).

use std::path::PathBuf;

use pullrank::files::finding::{Findings, Severity};
use pullrank::files::track;
use pullrank::venue::{Bend, Course, EventKind, plan};

fn demo(name: &str) -> Course {
    let path: PathBuf = [env!("CARGO_MANIFEST_DIR"), name].iter().collect();
    let mut findings = Findings::new();
    let course = track::read(&path, &mut findings);
    let said: Vec<String> = findings
        .of(Severity::Warning)
        .map(ToString::to_string)
        .collect();
    assert!(said.is_empty(), "{said:#?}");
    course.unwrap_or_else(|| panic!("{:#?}", findings.iter().collect::<Vec<_>>()))
}

/// Number of corners by the radius they begin with, in (from, to].
fn corners(course: &Course, from: f64, to: f64) -> usize {
    let mut seen = usize::MAX;
    let mut count = 0;
    for section in &course.sections {
        if let Bend::Radius { curvature } = section.bend {
            let radius = 1.0 / curvature.abs();
            if section.place != seen && radius > from && radius <= to + 1e-9 {
                count += 1;
            }
        }
        seen = section.place;
    }
    count
}

#[test]
fn stages_have_their_lengths_and_corners() {
    let cases = [
        (
            "examples/roads/skarrow-woods.yaml",
            5600.0,
            [(7.9, 11.0, 9), (17.9, 30.0, 16), (44.9, 80.0, 12)],
        ),
        (
            "tracks/threnlow-lanes.yaml",
            5400.0,
            [(8.0, 17.0, 12), (19.9, 34.0, 16), (39.9, 90.0, 12)],
        ),
    ];
    for (name, length, groups) in cases {
        let course = demo(name);
        assert_eq!(course.kind, EventKind::Stage);
        // Opening corners are longer than radius times angle by a few metres each.
        assert!(
            (course.known_length() - length).abs() < 0.01 * length,
            "{name}"
        );
        for (from, to, count) in groups {
            assert_eq!(corners(&course, from, to), count, "{name} {from} to {to}");
        }
    }
}

#[test]
fn the_hill_rises_as_it_says() {
    let course = demo("tracks/quillgarth-hill.yaml");
    let end = plan::closure(&course.sections).unwrap();
    assert!((end.rise - 108.0).abs() < 0.5, "{}", end.rise);
    assert!((course.known_length() - 1190.0).abs() < 1.0);
    assert_eq!(corners(&course, 0.0, 100.0), 7);
}

#[test]
fn the_sprint_has_its_length_and_its_bales() {
    let course = demo("tracks/pellmarsh-sprint.yaml");
    assert!((course.known_length() - 2140.0).abs() < 1.0);
    let caps: Vec<f64> = course
        .sections
        .iter()
        .filter_map(|s| s.cap)
        .map(|v| (v * 3.6).round())
        .collect();
    assert_eq!(caps, [50.0, 43.0]);
    assert_eq!(corners(&course, 19.9, 70.0), 6);
}

#[test]
fn circuits_close_within_a_metre() {
    for (name, length) in [
        ("tracks/vennick.yaml", 1800.0),
        ("examples/roads/ambrel-ring.yaml", 3800.0),
    ] {
        let course = demo(name);
        let end = plan::closure(&course.sections).unwrap();
        assert!(end.gap < 1.0, "{name} ends {} m off", end.gap);
        assert!(
            (end.turned.abs().to_degrees() - 360.0).abs() < 1e-6,
            "{name}"
        );
        assert!((course.known_length() - length).abs() < 1.0, "{name}");
    }
}

#[test]
fn the_moor_has_its_corners() {
    let course = demo("examples/roads/quessmoor.yaml");
    assert!((course.known_length() - 12_300.0).abs() < 100.0);
    assert_eq!(corners(&course, 9.9, 12.0), 3);
    assert_eq!(corners(&course, 13.9, 17.0), 8);
    assert_eq!(corners(&course, 49.0, 90.0), 20);
    assert_eq!(corners(&course, 109.0, 250.0), 24);
}
