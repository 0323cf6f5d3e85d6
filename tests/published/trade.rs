//! What the trade knows of two exhaust manifolds on one engine (common practice, no source): with
//! curves that cross, the one that is stronger in the middle is for tight stages on a grippy road and
//! the one that is stronger at the top for fast circuits, where the road is loose and the revs are
//! held there is nothing in it, and the gearing can turn the answer.
//!
//! The pair is made for this test: equal at 5,200 rpm, the second 2 % higher at its peak of 205 hp
//! and 3 % lower below.

use pullrank::car::{Car, Habits};
use pullrank::dyno::Curve;
use pullrank::lap::{Cells, Limits, Variant};
use pullrank::schedule::{Choice, search};
use pullrank::units::RPM_PER_RAD_PER_S;
use pullrank::venue::Course;

use crate::support::demo::{demo_car, demo_venue, habits, trim};

/// Advantage of the second curve over the first.
fn advantage(rpm: f64) -> f64 {
    let above = (rpm - 5200.0) / 1500.0;
    if above > 0.0 {
        0.02 * above.min(1.0)
    } else {
        0.03 * (above * 1500.0 / 1200.0).max(-1.0)
    }
}

/// The first and the second: 205 hp for the second at 7,000 rpm.
fn pair() -> [Curve; 2] {
    let rpm: Vec<f64> = (0..23).map(|i| 2000.0 + 250.0 * f64::from(i)).collect();
    let peak = 205.0 * 745.699_872 / (7000.0 / RPM_PER_RAD_PER_S);
    // n·(1 − c·(n − 5300)²) has its top at 7,000 rpm.
    let shape = |n: f64| 1.0 - (n - 5300.0).powi(2) / 26.69e6;
    let first = |n: f64| peak / 1.02 * shape(n) / shape(7000.0);
    let curve = |torque: &dyn Fn(f64) -> f64| {
        let torque = rpm.iter().map(|&n| torque(n)).collect();
        Curve::new(rpm.clone(), torque).expect("rising points")
    };
    [curve(&first), curve(&|n| first(n) * (1.0 + advantage(n)))]
}

/// Seconds by which the second is slower, each with its best schedule.
fn gap(car: &Car, course: &Course, habits: Habits) -> f64 {
    let density = course.air.density();
    let [first, second] = pair().map(|curve| {
        let variant = Variant::fitted(car, trim(car, course), habits, &curve, density);
        let machine = variant.compile(course).expect("a machine");
        let cells = Cells::new(course, variant.nominal(course).expect("grip"), 2.0);
        let cells = cells.expect("cells");
        let limits = Limits::new(&machine, &cells).expect("limits");
        let found = search(&machine, &cells, &limits, Choice::AtBest).expect("a lap");
        found.lap.time
    });
    second - first
}

#[test]
fn reference_the_pair_is_as_described() {
    let [first, second] = pair();
    let ratio = |n| second.torque(n) / first.torque(n);
    assert!((ratio(5200.0) - 1.0).abs() < 1e-3);
    assert!(ratio(4000.0) < 0.975 && (ratio(7000.0) - 1.02).abs() < 1e-3);
    let peak = (400..750).map(|i| second.power(10.0 * f64::from(i)) / 745.699_872);
    let peak = peak.fold(0.0, f64::max);
    assert!((204.0..207.0).contains(&peak), "{peak}");
}

/// Wide ratios, hairpins and squares, tarmac that can hold the torque: the first.
#[test]
fn reference_the_first_wins_the_tight_stage() {
    let (car, stage) = (demo_car("rowan-coupe"), demo_venue("threnlow-lanes"));
    let gap = gap(&car, &stage, habits(stage.kind));
    assert!(gap > 0.1, "{gap}");
}

/// A fast circuit keeps the engine above the crossing: the second.
#[test]
fn reference_the_second_wins_the_fast_circuit() {
    let (car, circuit) = (demo_car("rowan-coupe"), demo_venue("ambrel-ring"));
    let gap = gap(&car, &circuit, habits(circuit.kind));
    assert!(gap < -0.03, "{gap}");
}

/// 5.6 km of loose gravel with the revs held in the bends: less than 0.02 s a kilometre, which nobody can use.
#[test]
fn reference_nothing_in_it_on_loose_gravel() {
    let (car, stage) = (demo_car("rowan-coupe"), demo_venue("skarrow-woods"));
    let held = Habits {
        lowest_rpm: 4000.0,
        ..habits(stage.kind)
    };
    let gap = gap(&car, &stage, held);
    assert!(gap.abs() < 0.02 * 5.6, "{gap}");
}

/// Shorter final drives and closer ratios keep the engine higher: on the tight stage the answer moves
/// to the second, and turns.
#[test]
fn reference_shorter_gearing_moves_the_answer() {
    let (car, stage) = (demo_car("rowan-coupe"), demo_venue("threnlow-lanes"));
    let with = |final_drive: f64, close: bool| {
        let mut car = car.clone();
        car.final_drive.ratio = final_drive;
        if close {
            car.gearbox = car.gearbox_options[0].clone();
        }
        gap(&car, &stage, habits(stage.kind))
    };
    let gaps = [35.0 / 9.0, 38.0 / 9.0, 41.0 / 9.0].map(|drive| with(drive, false));
    assert!(
        gaps[0] > gaps[1] + 0.05 && gaps[1] > gaps[2] + 0.05,
        "{gaps:?}"
    );
    let close = with(38.0 / 9.0, true);
    assert!(close < 0.0, "{close}");
}
