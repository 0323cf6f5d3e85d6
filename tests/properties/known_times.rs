//! A time done at a venue gives back the driver who did it.

use std::path::Path;

use pullrank::files::finding::Findings;
use pullrank::files::study;
use pullrank::lap::Cells;
use pullrank::study::known::{KnownError, Suspect, settle};
use pullrank::study::run::{cells, time, variant};
use pullrank::study::{Engines, Entry, Setup, Study};
use pullrank::venue::KnownTime;

/// The demo season with one venue, and its engines.
fn season(venue: &str) -> (Study, Engines) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/club-season.yaml");
    let mut study = study::read(&path, &mut Findings::new()).unwrap();
    study.entries.retain(|entry| entry.course.name == venue);
    assert_eq!(study.entries.len(), 1, "{venue}");
    let engines = Engines::of(&study.test_day, &study.compared, study.car.rev_limit_rpm).unwrap();
    (study, engines)
}

/// Seconds that a driver with this share takes with a spec, on tyres with a share of their grip.
fn driven(study: &Study, engines: &Engines, spec: usize, share: f64, grip: f64) -> f64 {
    let entry = &study.entries[0];
    let road: Cells = cells(study, engines, entry).unwrap();
    let mut other: Entry = entry.clone();
    other.habits.corner_share = share;
    let mut trim = study.car.trims[entry.trim].clone();
    trim.grip.values_mut().for_each(|own| *own *= grip);
    let mut variant = variant(study, engines, &other, spec, Setup::FITTED);
    variant.trim = &trim;
    time(&variant, &other, &road).unwrap()
}

fn known(time: f64, spec: Option<&str>, grip: f64) -> Option<KnownTime> {
    Some(KnownTime {
        time,
        spec: spec.map(str::to_owned),
        condition: None,
        grip,
        corner_share: None,
        speeds: None,
        grip_for_speeds: None,
    })
}

/// Radii, notes and a log: the share that made the time comes back, and with it the time.
#[test]
fn a_known_time_recovers_the_corner_share_that_made_it() {
    for venue in ["Threnlow Lanes", "Skarrow Woods", "Ambrel Ring"] {
        for (share, spec, grip) in [(0.84, 0, 1.0), (0.96, 1, 1.0), (0.88, 0, 0.85)] {
            let (mut study, engines) = season(venue);
            let truth = driven(&study, &engines, spec, share, grip);
            let name = engines.list[spec].name.clone();
            study.entries[0].course.known = known(truth, Some(&name), grip);
            assert_eq!(settle(&mut study, &engines), []);
            let found = study.entries[0].habits.corner_share;
            println!("{venue}: {found:.4} for {share}");
            assert!(
                (found - share).abs() < 0.002,
                "{venue}: {found} for {share}"
            );
            let again = driven(&study, &engines, spec, found, grip);
            assert!((again - truth).abs() < 0.05, "{venue}: {again} for {truth}");
        }
    }
}

#[test]
fn a_time_beyond_every_share_names_what_looks_wrong() {
    // A car with a quarter more grip than its file says, driven well.
    let (mut study, engines) = season("Threnlow Lanes");
    let truth = driven(&study, &engines, 0, 0.98, 1.25);
    study.entries[0].course.known = known(truth, None, 1.0);
    let failed = settle(&mut study, &engines);
    let [(0, KnownError::Beyond { share, changes, .. })] = &failed[..] else {
        panic!("{failed:?}")
    };
    assert_eq!(*share, 1.0);
    let first = changes[0];
    assert_eq!(first.suspect, Suspect::Grip, "{changes:?}");
    assert!((0.10..0.30).contains(&first.by), "{changes:?}");
}

#[test]
fn a_spec_that_nobody_pulled_is_told() {
    let (mut study, engines) = season("Threnlow Lanes");
    study.entries[0].course.known = known(280.0, Some("turbine"), 1.0);
    let failed = settle(&mut study, &engines);
    assert_eq!(failed, [(0, KnownError::Spec("turbine".to_owned()))]);
}
