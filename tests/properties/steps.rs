//! Single steps of the car, and what the tape says of them.

use pullrank::car::{Car, FirstGear};
use pullrank::lap::advance::advance;
use pullrank::lap::lanes::{Entrant, Lanes, Told};
use pullrank::lap::{Cells, Limits, Machine, Phase, State};
use pullrank::schedule::{Choice, Workspace, quickest, search};
use pullrank::venue::{Course, Finish, Section, Start};

use crate::support::cars::{constant_torque, gearbox, point_mass};
use crate::support::roads::{bend, ring, road, rolling, straight};
use crate::support::runs::Driver;

/// A point mass of two gears that nothing slows.
fn coaster() -> Car {
    let mut car = point_mass(1000.0, 1.0);
    car.gearbox = gearbox(&[2.0, 1.0], 0.25);
    car.final_drive.ratio = 4.0;
    car
}

fn ready(course: &Course, spacing: f64) -> (Machine, Cells, Limits) {
    let (car, curve) = (coaster(), constant_torque(200.0));
    let driver = Driver::of(&car, &curve);
    let machine = driver.variant().compile(course).expect("a machine");
    let nominal = driver.variant().nominal(course).expect("grip");
    let cells = Cells::new(course, nominal, spacing).expect("cells");
    let limits = Limits::new(&machine, &cells).expect("limits");
    (machine, cells, limits)
}

/// At the speed that the driver will not pass an upshift goes on: 2 m at 20 m/s are a tenth of a second.
#[test]
fn a_shift_goes_on_where_the_speed_is_held() {
    let capped = Section {
        cap: Some(20.0),
        ..straight(20.0)
    };
    for (spacing, left) in [(2.0, 0.15), (4.0, 0.05), (10.0, 0.0)] {
        let course = rolling(20.0, vec![capped.clone()]);
        let (machine, cells, limits) = ready(&course, spacing);
        let mut state = State {
            from: 0,
            shift_left: 0.25,
            ..State::in_gear(400.0, 1)
        };
        let (cell, line) = (&cells.cells[0], &limits.lines[0]);
        let record = advance(&machine, cell, line, f64::INFINITY, 0, &mut state).expect("a step");
        assert_eq!(record.phase, Phase::Line);
        assert!(!record.traction && !record.braking, "{record:?}");
        assert!((record.time - spacing / 20.0).abs() < 1e-12);
        assert!((state.shift_left - left).abs() < 1e-12, "{state:?}");
        assert_eq!(state.from, usize::from(left == 0.0));
        assert_eq!((state.z, state.done, state.gear), (400.0, spacing, 1));
    }
}

/// A first gear for starting only leaves the second as the lowest on the move; who has no second needs the
/// first.
#[test]
fn a_first_gear_for_the_start_is_none_on_the_move() {
    let curve = constant_torque(200.0);
    for (ratios, first_gear, lowest) in [
        (&[2.0][..], FirstGear::StartOnly, 0),
        (&[2.0, 1.0], FirstGear::StartOnly, 1),
        (&[3.0, 2.0, 1.0], FirstGear::StartOnly, 1),
        (&[2.0, 1.0], FirstGear::AnyTime, 0),
    ] {
        let mut car = coaster();
        car.gearbox = gearbox(ratios, 0.25);
        car.gearbox.first_gear = first_gear;
        let machine = Driver::of(&car, &curve).variant();
        let machine = machine.compile(&ring(vec![straight(10.0)]));
        assert_eq!(machine.expect("a machine").lowest, lowest, "{ratios:?}");
    }
}

/// From 25 m/s in second up a hill that second does not hold: below the limit of first the driver changes
/// down, and first holds it.
#[test]
fn who_loses_speed_changes_down_to_first() {
    let mut car = coaster();
    car.final_drive.ratio = 8.0;
    let curve = constant_torque(100.0);
    // Wheel forces of 5.33 kN in first and 2.67 kN in second, a slope that takes 4.4 kN.
    let hill = Section {
        slope: 0.5,
        ..straight(400.0)
    };
    let run = Driver::of(&car, &curve).drive(&rolling(25.0, vec![hill]), 5.0);
    let limit = run.machine.gears[0].z_limit;
    let records = &run.tape.records;
    assert_eq!(records[0].gear, 1);
    let change = records
        .iter()
        .position(|r| r.gear == 0)
        .expect("a change down");
    assert!(records[change].z0 <= limit && records[change - 1].z0 >= limit * 0.9);
    let last = records.last().expect("a record");
    assert!(last.z1 > 0.9 * limit, "{last:?}");
}

/// The slowest place that the road brakes for lies on a hill that the car crawls up far below it; the lap
/// begins behind the other one, which it does brake for.
#[test]
fn a_lap_begins_where_the_car_does_brake() {
    let mut car = point_mass(1000.0, 1.0);
    car.final_drive.ratio = 4.0;
    car.drag_area = 0.6;
    let curve = constant_torque(60.0);
    let capped = |cap: f64, slope: f64| Section {
        cap: Some(cap),
        slope,
        ..straight(10.0)
    };
    let slope = |slope: f64, length: f64| Section {
        slope,
        ..straight(length)
    };
    let sections = vec![
        slope(-0.1, 800.0),
        capped(25.0, -0.1),
        slope(0.1, 500.0),
        capped(20.0, 0.1),
        slope(0.1, 290.0),
    ];
    let run = Driver::of(&car, &curve).drive(&ring(sections), 5.0);
    assert!(run.lap.from_braking, "{:?}", run.lap);
    let begins = run.cells.stations[run.lap.first_cell];
    assert!((begins - 800.0).abs() < 1e-6, "{begins}");
    assert!((run.lap.z_start - 625.0).abs() < 1e-6);
    let up = run
        .tape
        .records
        .iter()
        .filter(|r| r.cell > 262 && r.cell < 322);
    assert!(up.map(|r| r.z0).fold(0.0, f64::max) < 400.0);
}

/// With one gear and no other there is nothing to choose: the search takes as long as the rule of thumb.
#[test]
fn one_gear_leaves_no_choice() {
    let mut car = coaster();
    car.gearbox = gearbox(&[1.0], 0.25);
    car.final_drive.ratio = 5.0;
    car.default_launch_rpm = 3000.0;
    car.drag_area = 0.6;
    let curve = constant_torque(200.0);
    let sections = vec![
        straight(200.0),
        bend(30.0, 20.0),
        straight(150.0),
        bend(40.0, 40.0),
    ];
    for course in [
        road(Start::Standing, Finish::Flying, sections.clone()),
        rolling(15.0, sections.clone()),
        ring(sections),
    ] {
        let run = Driver::of(&car, &curve).drive(&course, 5.0);
        let found = quickest(&run.machine, &run.cells, None, &mut Workspace::default());
        let time = found.expect("a lap").time;
        assert!((time - run.time()).abs() < 1e-9, "{time} {}", run.time());
        let best = search(&run.machine, &run.cells, &run.limits, Choice::AtBest);
        let best = best.expect("a lap").lap.time;
        assert!((best - run.time()).abs() < 1e-9, "{best} {}", run.time());
    }
}

/// At full throttle in the middle of a gear nothing happens, so the lanes take the step, to the bit as it is;
/// up to the limiter, or across a change of gear, they say that something cuts it.
#[test]
fn lanes_take_what_is_plain_and_leave_the_rest() {
    let course = rolling(15.0, vec![straight(40.0)]);
    let (machine, cells, limits) = ready(&course, 4.0);
    let (cell, line) = (&cells.cells[0], &limits.lines[0]);
    let mut lanes = Lanes::default();
    lanes.load(0, &machine);
    let limit = machine.gears[1].z_limit;
    for (z, gear, stop, plain) in [
        (0.5 * limit, 1, f64::INFINITY, true),
        (0.5 * limit, 1, 0.5 * limit + 1.0, false),
        (limit * (1.0 - 1e-6), 1, f64::INFINITY, false),
    ] {
        let mut own = State::in_gear(z, gear);
        let entrant = Entrant {
            car: 0,
            machine: &machine,
            cell,
            line,
            state: &own.clone(),
            stop,
            asks: stop,
            asked: false,
        };
        lanes.put(0, &entrant, &mut 0);
        lanes.step();
        let told = lanes.told(0);
        if !plain {
            assert_eq!(told, Told::Cut, "{z} {stop}");
            continue;
        }
        let record = advance(&machine, cell, line, stop, 0, &mut own).expect("a step");
        let stepped = Told::Stepped {
            z: record.z1,
            v: own.v,
            seconds: record.time,
            braking: false,
            held: 0.0,
        };
        assert_eq!(told, stepped);
    }
}
