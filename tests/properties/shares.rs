//! A road is what it is, whoever drives it: the share of the cornering limit moves speeds and no length.

use std::path::Path;

use pullrank::files::finding::Findings;
use pullrank::files::source::Source;
use pullrank::files::{study, track};
use pullrank::study::roads::for_car;
use pullrank::study::run::{cells, time, variant};
use pullrank::study::{Engines, Entry, Setup, Study};
use pullrank::venue::Course;

/// Shares from a careful driver's to all of the grip.
const SHARES: [f64; 6] = [0.75, 0.8, 0.85, 0.9, 0.95, 1.0];

fn season() -> (Study, Engines) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/club-season.yaml");
    let study = study::read(&path, &mut Findings::new()).unwrap();
    let engines = Engines::of(&study.test_day, &study.compared, study.car.rev_limit_rpm).unwrap();
    (study, engines)
}

/// Length of the road, m, and time, s, of the demo car at each share.
fn driven((study, engines): (&Study, &Engines), entry: &Entry) -> Vec<(f64, f64)> {
    let at = |share: f64| {
        let mut entry = entry.clone();
        entry.course = for_car(&entry.course, &study.car.trims[entry.trim]);
        entry.habits.corner_share = share;
        let road = cells(study, engines, &entry).unwrap();
        let variant = variant(study, engines, &entry, 0, Setup::FITTED);
        (road.length(), time(&variant, &entry, &road).unwrap())
    };
    SHARES.iter().map(|share| at(*share)).collect()
}

fn written(text: &str) -> Course {
    let source = Source::new("road.yaml", format!("name: road\nkind: stage\n{text}"));
    let mut findings = Findings::new();
    let course = track::decode(source, None, &mut findings);
    course.unwrap_or_else(|| panic!("{findings:?}"))
}

/// Asserts that the length stays and that the time never rises; gives the seconds between the least and the
/// largest share.
fn gained(driven: &[(f64, f64)], name: &str) -> f64 {
    println!("{name}: {driven:?}");
    for pair in driven.windows(2) {
        assert!((pair[0].0 - pair[1].0).abs() < 1e-9, "{name}: {driven:?}");
        assert!(pair[1].1 < pair[0].1 + 1e-6, "{name}: {driven:?}");
    }
    driven[0].1 - driven[driven.len() - 1].1
}

#[test]
fn property_a_road_is_as_long_for_every_share_and_more_is_never_slower() {
    let (study, engines) = season();
    let demo = (&study, &engines);
    let on = |text: &str| Entry {
        course: written(text),
        ..study.entries[0].clone()
    };
    let notes = "notes: 100 HpL 60 3R opens 150 4L long 80 SqR 200 5L 40 2R 120";
    let own = "grades: {hairpin: 30 km/h, square: 45 km/h, 2: 50 km/h, 3: 65 km/h, 4: 85 km/h, 5: 100 km/h}";
    let usual = gained(&driven(demo, &on(notes)), "usual grades");
    assert!(usual > 1.0, "{usual}");
    // What the driver wrote himself holds whatever share he says.
    let own = gained(&driven(demo, &on(&format!("{own}\n{notes}"))), "own grades");
    assert!(own.abs() < 1e-6, "{own}");
    let sketch = "sketch: {length: 3 km, hairpins: 2, squares: 6, corners: {3: 12, 4: 10}, longest_straight: 300 m}";
    let sketch = gained(&driven(demo, &on(sketch)), "sketch");
    assert!(sketch > 1.0, "{sketch}");
    for entry in &study.entries {
        gained(&driven(demo, entry), &entry.course.name);
    }
}

/// Corners of a sketch are as long to a careful driver as to a quick one.
#[test]
fn a_sketch_has_the_corners_of_the_usual_driver() {
    let (study, _) = season();
    let course = written("sketch: {length: 3 km, squares: 8, corners: {3: 12}}");
    let fitted = for_car(&course, &study.car.trims[0]);
    let sketch = fitted.sketch.unwrap();
    let grip = study.car.trims[0].grip["tarmac"];
    approx::assert_relative_eq!(sketch.lateral, 0.81 * grip * 9.80665, max_relative = 1e-9);
}
