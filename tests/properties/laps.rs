//! Any lap ends, keeps to the line and adds up.

use proptest::prelude::*;
use pullrank::explain::{bands, states};
use pullrank::lap::{
    Cells, LapError, Limits, Machine, Phase, PlainRule, Record, Sink, Tape, Variant, lap,
};
use pullrank::venue::{Course, EventKind, Finish, Section, Start};

use crate::support::cars::{LIMIT_RPM, constant_torque, point_mass};
use crate::support::random::{Entry, course, entry, settled};
use crate::support::roads::{bend, drag_strip, road, rolling, straight};
use crate::support::runs::{DENSITY, Driver};

/// A tape that refuses to go on for ever.
struct Bounded<'a> {
    tape: Tape,
    most: usize,
    cells: &'a Cells,
    limits: &'a Limits,
}

impl Sink for Bounded<'_> {
    fn record(&mut self, record: Record) {
        self.tape.record(record);
        if self.tape.records.len() > self.most {
            let i = record.cell as usize;
            panic!(
                "no end: {record:?} {:?} {:?}",
                self.cells.cells[i], self.limits.lines[i]
            );
        }
    }
    fn restart(&mut self) {
        self.tape.restart();
    }
}

fn ready(
    entry: &Entry,
    course: &Course,
    spacing: f64,
) -> Result<(Machine, Cells, Limits), LapError> {
    let Entry { car, curve, habits } = entry;
    let variant = Variant::fitted(car, &car.trims[0], *habits, curve, DENSITY);
    let machine = variant.compile(course)?;
    let cells = Cells::new(course, variant.nominal(course)?, spacing)?;
    let limits = Limits::new(&machine, &cells)?;
    Ok((machine, cells, limits))
}

fn drive(entry: &Entry, course: &Course, spacing: f64) -> Result<(f64, Vec<Record>), LapError> {
    // Centimetres only on short courses, for the sake of time.
    let spacing = if course.known_length() > 300.0 {
        spacing.max(0.3)
    } else {
        spacing
    };
    let (machine, cells, limits) = ready(entry, course, spacing)?;
    let mut sink = Bounded {
        tape: Tape::default(),
        most: 1000 + 20 * cells.len(),
        cells: &cells,
        limits: &limits,
    };
    let lap = lap(&machine, &cells, &limits, &mut PlainRule, &mut sink)?;
    check(&machine, &cells, &limits, lap.time, &sink.tape.records);
    check_readers(&machine, &limits, lap.time, &sink.tape.records);
    Ok((lap.time, sink.tape.records))
}

/// Time in band and shifting are the lap, whatever the bands; so are the seconds by state.
fn check_readers(machine: &Machine, limits: &Limits, time: f64, records: &[Record]) {
    let spans = pullrank::study::reading::revs(machine).spans(records);
    for width in [100.0, 730.0] {
        let read = bands(&spans, width);
        let sum: f64 = read.bands.iter().map(|b| b.time).sum();
        assert!(
            (sum + read.shifting - time).abs() <= 1e-9 * time,
            "{sum} {time}"
        );
        assert!(read.bands.iter().all(|b| b.full <= b.time * (1.0 + 1e-12)));
    }
    let plateaus: Vec<f64> = limits.lines.iter().map(|l| l.plateau).collect();
    let sum = states(records, &plateaus).time();
    assert!((sum - time).abs() <= 1e-9 * time, "{sum} {time}");
}

fn check(machine: &Machine, cells: &Cells, limits: &Limits, time: f64, records: &[Record]) {
    assert!(time.is_finite() && time > 0.0, "{time}");
    let sum: f64 = records.iter().map(|r| r.time).sum();
    assert!((sum - time).abs() <= 1e-9 * time, "{sum} {time}");
    let length: f64 = records.iter().map(|r| r.length).sum();
    assert!((length - cells.length()).abs() <= 1e-9 * cells.length());
    let mut place = (u32::MAX, 0.0);
    for (i, record) in records.iter().enumerate() {
        assert!(record.time.is_finite() && record.time >= 0.0, "{record:?}");
        assert!(
            record.length.is_finite() && record.length >= 0.0,
            "{record:?}"
        );
        assert!(record.z0 >= 0.0 && record.z1 >= 0.0 && record.z1.is_finite());
        assert!(usize::from(record.gear) < machine.gears.len());
        if i > 0 {
            assert_eq!(records[i - 1].z1, record.z0, "{i}: {record:?}");
        }
        let index = record.cell as usize;
        if place.0 != record.cell {
            place = (record.cell, 0.0);
        }
        place.1 += record.length;
        let rest = (cells.cells[index].length - place.1).max(0.0);
        let line = limits.lines[index].at(rest);
        assert!(record.z1 <= line * (1.0 + 1e-9) + 1e-9, "{line} {record:?}");
        let (slow, fast) = (
            record.z0.min(record.z1).sqrt(),
            record.z0.max(record.z1).sqrt(),
        );
        let rounding = 1e-9 * record.length.max(1e-3);
        assert!(slow * record.time <= record.length + rounding, "{record:?}");
        assert!(fast * record.time >= record.length - rounding, "{record:?}");
        if record.phase == Phase::Limiter {
            assert_eq!(record.z0, record.z1);
        }
    }
}

/// Errors that a car or a course may deserve. A car too weak for its gears may hunt between two of
/// them for ever, in step with no lap.
fn deserved(error: &LapError) -> bool {
    matches!(
        error,
        LapError::Stalled { .. } | LapError::NoBrakes { .. } | LapError::EntryTooFast { .. }
    )
}

proptest! {
    #![proptest_config(settled(1500))]

    #[test]
    fn property_any_lap_adds_up(
        entry in entry(),
        course in course(0.25, 0.3),
        spacing in prop::sample::select(vec![0.01, 0.3, 1.0, 7.0, 50.0]),
    ) {
        if let Err(error) = drive(&entry, &course, spacing) {
            prop_assert!(deserved(&error), "{error}");
        }
    }

    #[test]
    fn property_any_lap_adds_up_on_ice(
        entry in entry(),
        course in course(0.06, 0.05),
        spacing in prop::sample::select(vec![0.01, 0.3, 1.0, 7.0, 50.0]),
    ) {
        if let Err(error) = drive(&entry, &course, spacing) {
            prop_assert!(deserved(&error), "{error}");
        }
    }

    /// With a corner to slow down for, a lap is the same every time round.
    #[test]
    fn property_a_lap_with_a_hairpin_repeats_itself(entry in entry(), course in course(0.02, 0.8)) {
        let mut entry = entry;
        entry.car.trims[0].grip.insert("tarmac".into(), 0.9);
        entry.car.gearbox.shift_times.fill(0.3);
        entry.habits.shift_light_rpm = None;
        let mut circuit = Course { start: Start::Flying, kind: EventKind::Circuit, ..course };
        circuit.sections.extend([straight(300.0), bend(30.0, 10.0)]);
        match drive(&entry, &circuit, 5.0) {
            Ok(_) | Err(LapError::Stalled { .. }) => {}
            Err(error) => prop_assert!(false, "{error}"),
        }
    }
}

/// What no lap should be asked for is said and not driven.
#[test]
fn impossible_habits_and_starts_are_errors() {
    let (car, curve) = (point_mass(1000.0, 1.0), constant_torque(200.0));
    let strip = drag_strip(100.0);
    let mut driver = Driver::of(&car, &curve);
    driver.habits.lowest_rpm = LIMIT_RPM;
    let error = driver
        .try_drive(&strip, 1.0)
        .expect_err("revs above the limit");
    assert!(matches!(error, LapError::Lowest { .. }), "{error}");

    let mut late = car.clone();
    late.default_launch_rpm = LIMIT_RPM + 1.0;
    let error = Driver::of(&late, &curve)
        .try_drive(&strip, 1.0)
        .expect_err("a launch above");
    assert!(matches!(error, LapError::Launch { .. }), "{error}");

    // A wall of a hill is a place where the car stops, and a sheet of ice down it one without brakes.
    let wall = Section {
        slope: 1.5,
        ..straight(50.0)
    };
    let up = road(
        Start::Standing,
        Finish::Flying,
        vec![straight(80.0), wall.clone()],
    );
    match Driver::of(&car, &curve).try_drive(&up, 1.0) {
        Err(LapError::Stalled { distance, .. }) => assert!((80.0..120.0).contains(&distance)),
        other => panic!("{other:?}"),
    }
    let ice = point_mass(1000.0, 0.1);
    let down = Section {
        slope: -0.3,
        ..straight(50.0)
    };
    let down = road(
        Start::Standing,
        Finish::Standing,
        vec![straight(20.0), down],
    );
    match Driver::of(&ice, &curve).try_drive(&down, 1.0) {
        Err(LapError::NoBrakes { distance, .. }) => assert!(distance >= 19.0, "{distance}"),
        other => panic!("{other:?}"),
    }
    match Driver::of(&car, &curve).try_drive(&rolling(60.0, vec![bend(30.0, 10.0)]), 1.0) {
        Err(LapError::EntryTooFast { entry, .. }) => assert_eq!(entry, 60.0),
        other => panic!("{other:?}"),
    }
}
