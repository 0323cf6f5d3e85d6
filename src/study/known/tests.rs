use super::super::tests::{engines, entry, study};
use super::*;
use crate::venue::KnownTime;

fn with_known(time: f64, spec: Option<&str>) -> Study {
    let mut event = entry("tarmac");
    event.course.known = Some(KnownTime {
        time,
        spec: spec.map(str::to_owned),
        condition: None,
        grip: 1.0,
        corner_share: None,
        speeds: None,
        grip_for_speeds: None,
    });
    study(vec![event])
}

/// The quickest lap of a spec, all of the limit used, s.
fn quickest(spec: &str) -> f64 {
    let mut study = with_known(1.0, Some(spec));
    match &settle(&mut study, &engines())[..] {
        [(_, KnownError::Beyond { nearest, .. })] => *nearest,
        other => panic!("{other:?}"),
    }
}

/// The study with an input changed as a person would write it into its files.
fn changed(mut study: Study, suspect: Suspect, by: f64) -> Study {
    let trim = &mut study.car.trims[0];
    match suspect {
        Suspect::Grip => trim.grip.values_mut().for_each(|grip| *grip *= 1.0 + by),
        Suspect::Mass => trim.mass += by,
        Suspect::Torque | Suspect::Length => unreachable!("left to the road and the dyno"),
    }
    study
}

#[test]
fn what_is_told_to_be_enough_is_enough_and_a_step_less_is_not() {
    let engines = engines();
    let spec = engines.list[0].name.clone();
    let time = quickest(&spec) - 0.03;
    let study = with_known(time, Some(&spec));
    let failed = settle(&mut study.clone(), &engines);
    let [(0, KnownError::Beyond { changes, specs, .. })] = &failed[..] else {
        panic!("{failed:?}");
    };
    assert_eq!(specs, &[""; 0], "the spec is said");
    let mut tried = 0;
    for change in changes {
        if !matches!(change.suspect, Suspect::Grip | Suspect::Mass) {
            continue;
        }
        let with = |by| settle(&mut changed(study.clone(), change.suspect, by), &engines);
        assert_eq!(with(change.by), [], "{change:?}");
        let less = change.by - change.suspect.step().copysign(change.by);
        assert_ne!(with(less), [], "{change:?}");
        tried += 1;
    }
    assert_eq!(tried, 2, "{changes:?}");
}

#[test]
fn another_spec_that_can_drive_a_time_is_named_where_nobody_says_which_was_fitted() {
    let mut engines = engines();
    let names: Vec<String> = engines.list.iter().map(|spec| spec.name.clone()).collect();
    let times = [quickest(&names[0]), quickest(&names[1])];
    // The quicker one second, so that the slower is the one taken.
    if times[0] < times[1] {
        engines.list.swap(0, 1);
    }
    let quick = engines.list[1].name.clone();
    let between = 0.5 * (times[0] + times[1]);
    let named = |spec: Option<&str>| match &settle(&mut with_known(between, spec), &engines)[..] {
        [(_, KnownError::Beyond { specs, .. })] => specs.clone(),
        other => panic!("{other:?}"),
    };
    assert_eq!(named(None), [quick]);
    assert_eq!(named(Some(&engines.list[0].name)), [""; 0]);
    // With the quicker one in the car its time needs no word.
    let mut fitted = with_known(between, None);
    fitted.rules.fitted = Some(1);
    assert_eq!(settle(&mut fitted, &engines), []);
}

#[test]
fn a_point_in_the_place_of_a_colon_is_seen() {
    assert_eq!(minutes(4.23, 236.0), Some((4, 23)));
    assert_eq!(minutes(4.2, 236.0), Some((4, 20)));
    assert_eq!(minutes(3.05, 190.0), Some((3, 5)));
    // No clock shows 75 seconds, and four minutes are no time for a road of ten.
    assert_eq!(minutes(4.75, 260.0), None);
    assert_eq!(minutes(4.23, 600.0), None);
    assert_eq!(minutes(220.6, 271.6), None);
}
