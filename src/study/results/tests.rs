use super::super::draws::Habitual;
use super::super::tests::{engines, entry, study};
use super::*;
use approx::assert_relative_eq;

fn plan() -> Plan {
    Plan {
        draws: 40,
        habitual: Habitual::USUAL,
        ..Plan::default()
    }
}

/// A time that was driven with another share gives that share back.
#[test]
fn the_share_that_was_driven_is_found() {
    let (mut study, engines) = (study(vec![entry("tarmac")]), engines());
    let cells = cells(&study, &engines, &study.entries[0]).unwrap();
    let mut driven = study.entries[0].clone();
    driven.habits.corner_share = 0.83;
    let variant = variant(&study, &engines, &driven, 1, Setup::FITTED);
    let done = time(&variant, &driven, &cells).unwrap();
    let result = |time: f64| EventResult {
        entry: 0,
        spec: 1,
        time,
        condition: None,
        set_aside: None,
    };
    study.rules.results = vec![result(done), result(2.0 * done), result(0.5 * done)];
    let found = review(&study, &engines, &plan(), || ());
    let Fitted::Share(share) = found.events[0].share else {
        panic!("{found:?}");
    };
    assert_relative_eq!(share, 0.83, epsilon = 2e-4);
    assert_eq!(found.events[1].share, Fitted::Slower);
    assert_eq!(found.events[2].share, Fitted::Quicker);
    assert_eq!(found.kinds.len(), 1);
    assert_eq!(found.kinds[0].results, 1);
    let range = found.events[0].range.unwrap();
    let predicted = found.events[0].predicted.unwrap();
    assert!(range.low < predicted && predicted < range.high);
}

/// Student's t of 3 degrees of freedom at 97.5 % is 3.182 (tests/reference/dyno/
/// student_t_quantiles.csv).
#[test]
fn published_interval_of_the_next_prediction() {
    let at = |entry: usize, factor: f64| Reviewed {
        result: EventResult {
            entry,
            spec: 0,
            time: 100.0 * factor,
            condition: None,
            set_aside: None,
        },
        predicted: Some(100.0),
        range: None,
        share: Fitted::Unknown,
        corners_by: CornersBy::Share,
        is_known: false,
        grip_assumed: false,
        state: None,
    };
    let event = |factor: f64| at(9, factor);
    let logs = [0.01f64, 0.03, -0.01, 0.01];
    let all = logs.iter().enumerate();
    let events: Vec<Reviewed> = all.map(|(i, l)| at(i, l.exp())).collect();
    let found = next(&events).unwrap();
    assert_relative_eq!(found.factor, 0.01f64.exp(), max_relative = 1e-12);
    let sd = (8e-4f64 / 3.0).sqrt();
    let half = 3.182 * sd * 1.25f64.sqrt();
    let (low, high) = found.between.unwrap();
    assert_relative_eq!(low.ln(), 0.01 - half, epsilon = 1e-5);
    assert_relative_eq!(high.ln(), 0.01 + half, epsilon = 1e-5);
    assert_eq!(next(&events[..1]).unwrap().between, None);
    assert_eq!(next(&[]), None);
    // Passes of one venue are one event, and its known time is none.
    let twice = [events.clone(), vec![at(1, 0.03f64.exp())]].concat();
    let again = next(&twice).unwrap();
    assert_eq!((again.results, again.between), (5, found.between));
    let passes = [at(1, 1.01), at(1, 1.02)];
    assert_eq!(next(&passes).unwrap().between, None);
    let known = Reviewed {
        is_known: true,
        ..event(1.0)
    };
    assert_eq!(next(&[known]), None);
    // A time that no share gives counts as long as it is near.
    let beyond = |factor: f64| Reviewed {
        share: Fitted::Quicker,
        ..event(factor)
    };
    let with = |one| next(&[events.clone(), vec![one]].concat()).unwrap().results;
    assert_eq!(with(beyond(0.95)), 5);
    assert_eq!(with(beyond(0.85)), 4);
}
