//! Closed forms of motion along a line, on textbook cars made of a few numbers.

use approx::assert_relative_eq;

use super::compile::LOWEST_RPM_FADE;
use super::limits::Line;
use super::motion::{self, Events, motion};
use super::*;
use crate::car::sample::point_mass;
use crate::car::*;
use crate::dyno::Curve;
use crate::units::STANDARD_GRAVITY as G;
use crate::venue::*;

pub(crate) const WHOLE: Habits = Habits {
    corner_share: 1.0,
    brake_share: 1.0,
    lowest_rpm: 0.0,
    shift_light_rpm: None,
};

fn section(length: f64, curvature: f64) -> Section {
    let bend = if curvature == 0.0 {
        Bend::Straight
    } else {
        Bend::Radius { curvature }
    };
    Section {
        extent: Extent::Length(length),
        bend,
        ..Section::default()
    }
}

pub(crate) fn course(start: Start, finish: Finish, sections: Vec<Section>) -> Course {
    let kind = if start == Start::Flying {
        EventKind::Circuit
    } else {
        EventKind::Sprint
    };
    Course {
        start,
        finish,
        sections,
        ..Course::new("textbook", kind)
    }
}

pub(crate) fn time(car: &Car, curve: &Curve, course: &Course, spacing: f64) -> (f64, Tape) {
    let variant = Variant::fitted(car, &car.trims[0], WHOLE, curve, 1.225);
    let machine = variant.compile(course).unwrap();
    let cells = Cells::new(course, variant.nominal(course).unwrap(), spacing).unwrap();
    let limits = Limits::new(&machine, &cells).unwrap();
    let mut tape = Tape::default();
    let lap = lap(&machine, &cells, &limits, &mut PlainRule, &mut tape).unwrap();
    assert_relative_eq!(lap.time, tape.time(), max_relative = 1e-12);
    (lap.time, tape)
}

fn strong() -> Curve {
    Curve::new(vec![1.0, 9000.0], vec![1e6, 1e6]).unwrap()
}

#[test]
fn analytic_circle_lap() {
    let car = point_mass(1000.0, 1.0);
    let ring = course(
        Start::Flying,
        Finish::Flying,
        vec![section(60.0 * std::f64::consts::PI, 1.0 / 30.0)],
    );
    assert_relative_eq!(
        time(&car, &strong(), &ring, 1.0).0,
        10.989556,
        max_relative = 1e-6
    );
}

#[test]
fn analytic_friction_circle_from_rest() {
    let car = point_mass(1000.0, 1.0);
    let quarter = 39.269_908_17;
    let arc = course(
        Start::Standing,
        Finish::Flying,
        vec![section(quarter, 1.0 / 50.0)],
    );
    let exact = 1.311_028_777_146_06 * (50.0 / G).sqrt();
    for n in [50.0, 100.0, 200.0, 400.0, 800.0] {
        let t = time(&car, &strong(), &arc, quarter / n).0;
        println!("{n} {t} {:e}", (t - exact) / exact);
    }
    let t = time(&car, &strong(), &arc, 0.02).0;
    assert_relative_eq!(t, exact, max_relative = 1e-5);
}

#[test]
fn analytic_stadium() {
    let mut car = point_mass(1000.0, 1.0);
    car.default_launch_rpm = 9000.0;
    let half = section(50.0 * std::f64::consts::PI, 1.0 / 50.0);
    let ring = course(
        Start::Flying,
        Finish::Flying,
        vec![section(400.0, 0.0), half.clone(), section(400.0, 0.0), half],
    );
    for (power, exact) in [(80e3, 37.465387), (100e3, 36.549218), (150e3, 34.988114)] {
        let rpm: Vec<f64> = (10..=900).map(|i| i as f64 * 10.0).collect();
        let torque = rpm
            .iter()
            .map(|n| power / (n / crate::units::RPM_PER_RAD_PER_S))
            .collect();
        let curve = Curve::new(rpm, torque).unwrap();
        car.final_drive.ratio = 9000.0 / (60.0 / 0.3 * crate::units::RPM_PER_RAD_PER_S);
        for ds in [8.0, 4.0, 2.0, 1.0, 0.5] {
            let t = time(&car, &curve, &ring, ds).0;
            println!("{power} {ds} {t} {:e}", t - exact);
        }
        assert_relative_eq!(time(&car, &curve, &ring, 0.5).0, exact, max_relative = 1e-5);
    }
}

/// A gearbox that says nothing of its losses has none.
#[test]
fn no_efficiency_given_is_no_loss() {
    let mut car = point_mass(1000.0, 1.0);
    let road = course(Start::Standing, Finish::Flying, vec![section(200.0, 0.0)]);
    let weak = Curve::new(vec![1.0, 9000.0], vec![500.0, 500.0]).unwrap();
    let without_loss = time(&car, &weak, &road, 1.0).0;
    car.gearbox.efficiency.clear();
    assert_relative_eq!(time(&car, &weak, &road, 1.0).0, without_loss);
}

/// Below the lowest rpm that the driver allows torque fades evenly, to nothing at the share of it that
/// [`LOWEST_RPM_FADE`] leaves.
#[test]
fn torque_fades_below_the_lowest_rpm() {
    let car = point_mass(1000.0, 1.0);
    let road = course(Start::Standing, Finish::Flying, vec![section(200.0, 0.0)]);
    let even = Curve::new(vec![1.0, 9000.0], vec![500.0, 500.0]).unwrap();
    let habits = Habits {
        lowest_rpm: 4000.0,
        ..WHOLE
    };
    let variant = Variant::fitted(&car, &car.trims[0], habits, &even, 1.225);
    let machine = variant.compile(&road).unwrap();
    let gone = 4000.0 * (1.0 - LOWEST_RPM_FADE);
    for (rpm, torque) in [
        (0.5 * gone, 0.0),
        (gone, 0.0),
        (0.5 * (gone + 4000.0), 250.0),
        (4000.0, 500.0),
        (6000.0, 500.0),
    ] {
        assert_relative_eq!(machine.table.at(rpm), torque, epsilon = 15.0);
    }
}

/// One step on a bend of 50 m that resists with a 50th of the weight.
fn step(torque: f64, rest: f64, start: impl Fn(&Line) -> f64) -> (Line, f64, motion::Moved) {
    let mut car = point_mass(1000.0, 1.0);
    car.rolling.f0 = Some(0.02);
    let bend = section(rest, 1.0 / 50.0);
    let road = course(Start::Standing, Finish::Flying, vec![bend]);
    let even = Curve::new(vec![1.0, 9000.0], vec![torque, torque]).unwrap();
    let variant = Variant::fitted(&car, &car.trims[0], WHOLE, &even, 1.225);
    let machine = variant.compile(&road).unwrap();
    let cells = Cells::new(&road, variant.nominal(&road).unwrap(), rest).unwrap();
    let line = Limits::new(&machine, &cells).unwrap().lines[0];
    let z = start(&line);
    let (launching, cell) = (z == 0.0, &cells.cells[0]);
    let mode = match launching {
        true => &machine.launch.mode,
        false => &machine.gears[0].mode,
    };
    let state = State {
        launching,
        ..State::in_gear(z, 0)
    };
    let events = Events {
        above: f64::INFINITY,
        below: 0.0,
    };
    let first = machine.accelerate(mode, cell, z, z.sqrt());
    let (moved, event) = motion(&machine, mode, cell, &line, &events, &state, first);
    assert!(!event);
    (line, z, moved)
}

/// The speed that the tyres just hold is not held by an engine that cannot: v² falls by 2aΔs through it.
#[test]
fn analytic_a_weak_engine_falls_through_what_the_tyres_hold() {
    // 3 N·m at 0.3 m move 1,000 kg by 0.01 m/s².
    let (line, z, moved) = step(3.0, 10.0, |line| 0.5 * (line.z_hold + line.plateau));
    assert!(line.z_hold < z && moved.z < line.z_hold);
    assert_relative_eq!(moved.length, 10.0);
    assert_relative_eq!(z - moved.z, 20.0 * (0.02 * G - 0.01), max_relative = 1e-6);
}

/// From rest a step that keeps its drive is taken whole.
#[test]
fn analytic_a_step_from_rest_reaches_as_far_as_it_can() {
    let (_, _, moved) = step(300.0, 2.0, |_| 0.0);
    assert_relative_eq!(moved.length, 2.0);
    assert_relative_eq!(moved.z, 4.0 * (1.0 - 0.02 * G), max_relative = 1e-6);
}

/// κ·v² = s²·µ·(g + d·v²) holds on the surface the speed is known on, and at the same curvature where it lies.
#[test]
fn a_speed_known_on_another_surface_keeps_the_road_and_goes_with_the_grip() {
    for downforce in [0.0, 0.004] {
        let nominal = Nominal {
            grip: vec![1.0, 0.6],
            corner_share: 0.9,
            usual_share: 0.9,
            speeds: 1.0,
            downforce,
        };
        let on = |surface: usize| {
            let corner = Section {
                extent: Extent::Turn(1.2),
                bend: Bend::Measured {
                    speed: 20.0,
                    direction: 1.0,
                    scales: Scales::Grip,
                },
                surface,
                graded_on: Some(0),
                ..Section::default()
            };
            let road = Course {
                surfaces: vec![Surface::plain("tarmac"), Surface::plain("gravel")],
                ..course(Start::Standing, Finish::Flying, vec![corner])
            };
            let cells = Cells::new(&road, nominal.clone(), 1e3).unwrap();
            (cells.length(), cells.cells[0])
        };
        let ((length, known), (there, carried)) = (on(0), on(1));
        assert_relative_eq!(known.measured, 400.0, max_relative = 1e-12);
        assert_relative_eq!(there, length, max_relative = 1e-12);
        assert_relative_eq!(carried.curvature, known.curvature, max_relative = 1e-12);
        let holds = |grip: f64, z: f64| 0.81 * grip * (G + downforce * z) / z;
        assert_relative_eq!(
            holds(1.0, known.measured),
            known.curvature,
            max_relative = 1e-12
        );
        assert_relative_eq!(
            holds(0.6, carried.measured),
            known.curvature,
            max_relative = 1e-12
        );
    }
}

/// Wings load the tyres on straights as in bends: traction is one where a bend becomes a straight.
#[test]
fn traction_with_downforce_is_continuous_from_bend_to_straight() {
    let mut car = point_mass(1000.0, 1.0);
    car.lift_area = 1.5;
    let traction = |curvature: f64| {
        let road = course(
            Start::Standing,
            Finish::Flying,
            vec![section(100.0, curvature)],
        );
        let curve = strong();
        let variant = Variant::fitted(&car, &car.trims[0], WHOLE, &curve, 1.225);
        let machine = variant.compile(&road).unwrap();
        let cells = Cells::new(&road, variant.nominal(&road).unwrap(), 1e3).unwrap();
        machine.ground[0].traction(machine.downforce, &cells.cells[0], 900.0)
    };
    // µ·(g + ½·ρ·C_lA/m·v²)
    let load = G + 0.5 * 1.225 * 1.5 / 1000.0 * 900.0;
    assert_relative_eq!(traction(0.0), load, max_relative = 1e-9);
    assert_relative_eq!(traction(1e-9), traction(0.0), max_relative = 1e-9);
}

/// A body that lifts takes load off the tyres; on a straight that limits no speed.
#[test]
fn lift_limits_no_speed_on_a_straight() {
    let mut car = point_mass(1000.0, 1.0);
    car.lift_area = -0.8;
    let road = course(Start::Standing, Finish::Flying, vec![section(100.0, 0.0)]);
    let curve = strong();
    let variant = Variant::fitted(&car, &car.trims[0], WHOLE, &curve, 1.225);
    let machine = variant.compile(&road).unwrap();
    let nominal = variant.nominal(&road).unwrap();
    let cells = Cells::new(&road, nominal.clone(), 1e3).unwrap();
    let cell = &cells.cells[0];
    assert_eq!(machine.plateau(cell, &nominal), cell.cap);
}
