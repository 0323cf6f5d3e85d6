use super::*;
use crate::dyno::sample;
use approx::assert_relative_eq;

#[test]
fn the_crossover_lies_in_its_interval_and_the_leads_outside() {
    let reduced = sample::plain(&[(0, 4), (1, 4), (0, 4), (1, 4)])
        .reduce()
        .unwrap();
    let found = reduced.compare(0, 1).unwrap();
    assert_eq!(found.crossovers.len(), 1);
    let one = &found.crossovers[0];
    assert!(one.first_leads_below && one.is_resolved());
    let (low, high) = (one.low.unwrap(), one.high.unwrap());
    assert!(low < one.at_rpm[0] && one.at_rpm[0] < high);
    assert!(low < 5000.0 && 5000.0 < high);
    let ratio = |rpm: f64| {
        let [a, b] = [0, 1].map(|s| reduced.specs[s].curve.torque(rpm));
        (a / b).ln()
    };
    // At the ends the difference is as large as its interval is wide.
    assert_relative_eq!(ratio(low), found.half_width, max_relative = 1e-6);
    assert_relative_eq!(ratio(high), -found.half_width, max_relative = 1e-6);
    let resolved = |g: &Gain| g.torque.is_resolved();
    assert!(resolved(&found.gains[0]) && resolved(found.gains.last().unwrap()));
}

/// The other way round everything changes sign and nothing else.
#[test]
fn property_comparing_the_other_way_round() {
    let reduced = sample::plain(&[(0, 3), (1, 2), (0, 2)]).reduce().unwrap();
    let (ab, ba) = (
        reduced.compare(0, 1).unwrap(),
        reduced.compare(1, 0).unwrap(),
    );
    assert_relative_eq!(ab.half_width, ba.half_width, max_relative = 1e-12);
    let at = |found: &Comparison| found.crossovers[0].at_rpm[0];
    assert_relative_eq!(at(&ab), at(&ba), max_relative = 1e-12);
    assert_ne!(
        ab.crossovers[0].first_leads_below,
        ba.crossovers[0].first_leads_below
    );
    assert_relative_eq!(
        ab.whole.torque.low,
        -ba.whole.torque.high,
        max_relative = 1e-9
    );
}

#[test]
fn a_crossover_that_one_side_never_leaves_is_open_there() {
    // The second spec is 0.3 % up at the top: less than one fitting can show.
    let pulls = |spec: usize| {
        let one = move |rpm: f64| match spec {
            0 => sample::torque(0, rpm),
            _ => sample::torque(0, rpm) * (1.003 - 2.0e-5 * (7000.0 - rpm).max(0.0)),
        };
        (0..3).map(|_| sample::pull(one)).collect::<Vec<_>>()
    };
    let day = sample::day(vec![(0, pulls(0)), (1, pulls(1))]);
    let found = day.reduce().unwrap().compare(0, 1).unwrap();
    assert_eq!(found.crossovers.len(), 1);
    let one = &found.crossovers[0];
    assert!(one.low.is_some() && one.high.is_none());
    assert!(!one.is_resolved());
}

#[test]
fn bands_cover_the_range_between_them() {
    let stretch = |from_rpm, to_rpm| Stretch { from_rpm, to_rpm };
    assert_eq!(stretch(2500.0, 4000.0).bands().len(), 3);
    assert_eq!(
        stretch(2560.0, 3460.0).bands(),
        [stretch(2560.0, 3000.0), stretch(3000.0, 3460.0)]
    );
    assert_eq!(stretch(2800.0, 3100.0).bands(), []);
}

/// The interval of one spec's curve does not depend on the other specs' curves.
#[test]
fn property_other_curves_do_not_move_a_curve_and_its_interval() {
    let mut day = sample::plain(&[(0, 3), (1, 3)]);
    let before = day.reduce().unwrap().torque(0, 5000.0);
    for pull in &mut day.specs[1].fittings[0].pulls {
        pull.torque.iter_mut().for_each(|torque| *torque *= 1.1);
    }
    let after = day.reduce().unwrap().torque(0, 5000.0);
    assert_relative_eq!(before.low, after.low, max_relative = 1e-12);
    assert_relative_eq!(before.value, after.value, max_relative = 1e-12);
}

/// Three crossings that one interval holds change the lead once; two change it not at all, and stay.
#[test]
fn crossings_that_are_not_told_apart_are_one() {
    let at = |rpm: f64, first_leads_below: bool| Crossover {
        rpm,
        first_leads_below,
    };
    let all = [
        at(3000.0, false),
        at(10_300.0, true),
        at(10_340.0, false),
        at(10_400.0, true),
    ];
    let within = |from_rpm: f64, to_rpm: f64| Stretch { from_rpm, to_rpm };
    let apart = [within(2900.0, 3100.0), within(9630.0, 11_210.0)];
    assert_eq!(
        told_apart(all.to_vec(), &apart),
        [at(3000.0, false), at(10_340.0, true)]
    );
    let pair = [within(10_200.0, 10_350.0), within(10_390.0, 10_410.0)];
    assert_eq!(told_apart(all.to_vec(), &pair), all);
    assert_eq!(told_apart(all.to_vec(), &[]), all);
}
