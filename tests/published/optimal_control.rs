//! The time at best, with changes that take no time, against a general-purpose optimal-control
//! solver: casadi with Ipopt, direct transcription in distance. Script, inputs and output:
//! `tests/reference/schedule/optimal_control.*`.

use pullrank::car::{Car, Drive, Habits, Rotating};
use pullrank::dyno::Curve;
use pullrank::lap::{Cells, Limits, Tape, Variant, lap};
use pullrank::schedule::{Choice, FollowSchedule, search};
use pullrank::venue::{Course, Section};
use serde_json::Value;

use crate::support::cars::{gearbox, point_mass};
use crate::support::roads::{bend, ring, rolling, straight};

/// Share of a time by which the two may differ.
const ACCEPTED: f64 = 1e-3;
/// Air density of the cases, kg/m³.
const DENSITY: f64 = 1.2;
/// Length of cells, m.
const SPACING: f64 = 0.5;

fn number(case: &Value, key: &str) -> f64 {
    case[key].as_f64().expect(key)
}

fn numbers(value: &Value) -> Vec<f64> {
    let list = value.as_array().expect("a list");
    list.iter().map(|n| n.as_f64().expect("a number")).collect()
}

fn car(case: &Value) -> Car {
    let mut car = point_mass(number(case, "mass"), number(case, "grip"));
    car.drive = match case["drive"].as_str() {
        Some("rear") => Drive::Rear,
        Some("front") => Drive::Front,
        _ => Drive::All,
    };
    car.gearbox = gearbox(&numbers(&case["total_ratios"]), 0.0);
    car.gearbox.efficiency = vec![number(case, "efficiency")];
    car.rev_limit_rpm = number(case, "limit_rpm");
    car.trims[0].rolling_radius = number(case, "radius");
    car.front_share = number(case, "front_share");
    car.cg_height = number(case, "cg_height");
    car.wheelbase = number(case, "wheelbase");
    car.drag_area = number(case, "drag_area");
    car.lift_area = number(case, "lift_area");
    car.rolling.f0 = Some(number(case, "rolling"));
    car.rotating = Rotating::Inertias {
        engine: number(case, "engine_inertia"),
        wheels: number(case, "wheel_inertia"),
        gearbox: vec![0.0],
        shaft: 0.0,
    };
    car
}

/// The torque of a case is a parabola over engine speed.
fn curve(case: &Value) -> Curve {
    let at = number(case, "at_rpm");
    let torque = |n: &f64| {
        let away = (n - at) / at;
        number(case, "torque") * (1.0 - number(case, "fall") * away * away)
    };
    let rpm: Vec<f64> = (6..=90).map(|i| 100.0 * f64::from(i)).collect();
    let torque = rpm.iter().map(torque).collect();
    Curve::new(rpm, torque).expect("rising speeds")
}

fn course(case: &Value) -> Course {
    let sections = case["sections"].as_array().expect("sections").iter();
    let sections: Vec<Section> = sections
        .map(|section| {
            let [length, radius, slope] = numbers(section)[..] else {
                panic!("length, radius and slope");
            };
            let plain = if radius > 0.0 {
                bend(length, radius)
            } else {
                straight(length)
            };
            Section { slope, ..plain }
        })
        .collect();
    match case["entry"].as_f64() {
        Some(speed) => rolling(speed, sections),
        None => ring(sections),
    }
}

/// Seconds, fastest and slowest, m/s.
fn driven(case: &Value) -> [f64; 3] {
    let (car, curve, course) = (car(case), curve(case), course(case));
    let habits = Habits {
        corner_share: number(case, "corner_share"),
        brake_share: number(case, "brake_share"),
        lowest_rpm: 0.0,
        shift_light_rpm: None,
    };
    let variant = Variant::fitted(&car, &car.trims[0], habits, &curve, DENSITY);
    let machine = variant.compile(&course).unwrap();
    let cells = Cells::new(&course, variant.nominal(&course).unwrap(), SPACING).unwrap();
    let limits = Limits::new(&machine, &cells).unwrap();
    let found = search(&machine, &cells, &limits, Choice::AtBest).unwrap();
    let mut tape = Tape::default();
    let mut driver = FollowSchedule::new(&found.schedule, cells.len());
    let time = lap(&machine, &cells, &limits, &mut driver, &mut tape)
        .unwrap()
        .time;
    let speeds = tape.records.iter().flat_map(|r| [r.z0, r.z1]);
    let (slowest, fastest) = speeds.fold((f64::INFINITY, 0.0_f64), |(low, high), z| {
        (low.min(z), high.max(z))
    });
    [time, fastest.sqrt(), slowest.sqrt()]
}

#[test]
fn reference_no_time_lost_in_changes() {
    let folder = "tests/reference/schedule/optimal_control";
    let read = |ending: &str| std::fs::read_to_string(format!("{folder}.{ending}")).unwrap();
    let cases: Vec<Value> = serde_json::from_str(&read("json")).unwrap();
    let table = read("csv");
    let rows = table.lines().skip(2);
    let rows: Vec<Vec<String>> = rows
        .map(|row| {
            row.replace('"', "")
                .rsplitn(5, ',')
                .map(str::to_owned)
                .collect()
        })
        .collect();
    assert_eq!(rows.len(), cases.len());
    for (case, row) in cases.iter().zip(&rows) {
        assert_eq!(case["name"].as_str(), Some(row[4].as_str()));
        let solved: Vec<f64> = row[..4].iter().map(|n| n.parse().unwrap()).collect();
        let [slowest, fastest, time, coarse] = solved[..] else {
            panic!("four numbers");
        };
        let own = driven(case);
        println!(
            "{}: {time:.4} s, of twice the step {:+.4} %; here {:+.4} %, fastest {:+.4} %, slowest {:+.4} %",
            row[4],
            100.0 * (coarse / time - 1.0),
            100.0 * (own[0] / time - 1.0),
            100.0 * (own[1] / fastest - 1.0),
            100.0 * (own[2] / slowest - 1.0),
        );
        assert!((own[0] / time - 1.0).abs() < ACCEPTED, "{own:?} {solved:?}");
        assert!((own[1] / fastest - 1.0).abs() < 5.0 * ACCEPTED);
        assert!((own[2] / slowest - 1.0).abs() < 5.0 * ACCEPTED);
    }
}
