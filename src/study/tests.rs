//! The study on a small invented car.

use std::collections::BTreeMap;

use approx::assert_relative_eq;

use super::figures::{QUARTER_MILE, figures, straight};
use super::*;
use crate::car::offer::{Purchases, Terms};
use crate::car::*;
use crate::dyno::{
    Curve, Dyno, Engine, Fitting, Handling, MeasuredAt, Method, Pull, Repeatability, Spec,
    Standard, TestDay,
};
use crate::lap::{LapError, Variant};
use crate::venue::{Bend, EventKind, Extent, Section, Surface};

fn final_drive(pinion: u32, crown: u32) -> FinalDrive {
    FinalDrive {
        ratio: f64::from(crown) / f64::from(pinion),
        teeth: Some((pinion, crown)),
        drop_gear: None,
        terms: Terms::default(),
    }
}

fn gearbox(ratios: &[f64], shift_time: f64) -> Gearbox {
    Gearbox {
        name: None,
        ratios: ratios.to_vec(),
        shift_times: vec![shift_time; ratios.len() - 1],
        first_gear: FirstGear::StartOnly,
        efficiency: vec![0.9; ratios.len()],
        terms: Terms {
            mass: Some(2.0),
            ..Terms::default()
        },
    }
}

pub(super) fn car() -> Car {
    Car {
        name: "small coupe".into(),
        drive: Drive::Rear,
        gearbox: gearbox(&[2.94, 1.94, 1.36, 1.0], 0.35),
        final_drive: final_drive(9, 38),
        rev_limit_rpm: 7200.0,
        trims: vec![Trim {
            name: "tarmac".into(),
            mass: 1080.0,
            rolling_radius: 0.268,
            tyre: "185/60R13".into(),
            grip: BTreeMap::from([("tarmac".into(), 1.0)]),
        }],
        front_share: 0.53,
        wheelbase: 2.41,
        track_width: 1.36,
        cg_height: 0.48,
        drag_area: 0.66,
        lift_area: 0.0,
        rolling: Rolling {
            f0: None,
            f1: 0.0,
            f2: 0.0,
        },
        differential: Differential::Bias(2.5),
        roll_share: 0.5,
        rotating: Rotating::Typical,
        launch_rpm: BTreeMap::new(),
        default_launch_rpm: 4800.0,
        engine: None,
        final_drive_options: vec![final_drive(9, 35), final_drive(9, 38), final_drive(9, 41)],
        gearbox_options: vec![gearbox(&[2.52, 1.77, 1.36, 1.13, 1.0], 0.3)],
        purchases: Purchases::default(),
        uncertain: Uncertain {
            mass: 0.0,
            drag_area: 0.0,
            grip: 0.0,
            shift_time: 0.0,
            rolling_radius: 0.0,
            air_density: 0.0,
        },
    }
}

const HABITS: Habits = Habits {
    corner_share: 0.95,
    brake_share: 0.85,
    lowest_rpm: 3000.0,
    shift_light_rpm: Some(7100.0),
};

const RPM: [f64; 6] = [2500.0, 3500.0, 4500.0, 5500.0, 6500.0, 7500.0];

fn spec(name: &str, torque: [f64; 6], mass: f64) -> Spec {
    let pull = Pull {
        name: "typed in".into(),
        rpm: RPM.to_vec(),
        torque: torque.to_vec(),
        acceleration: Vec::new(),
        sweep_rate: None,
        handling: Handling::default(),
        air: None,
        corrected: Standard::Din70020,
        clock: None,
        set_aside: None,
        channels: BTreeMap::new(),
    };
    Spec {
        name: name.into(),
        parts: BTreeMap::new(),
        retuned: None,
        price: None,
        mass: Some(mass),
        swap_time: None,
        allowed_in: Vec::new(),
        fittings: vec![Fitting {
            day: None,
            pulls: vec![pull],
        }],
    }
}

pub(super) fn test_day() -> TestDay {
    TestDay {
        dyno: Dyno {
            measured_at: MeasuredAt::Flywheel,
            method: Method::Steps,
            sweep_rate: None,
            engine_inertia: None,
        },
        engine: Engine::default(),
        correct_to: Standard::Din70020,
        currency: None,
        specs: vec![
            spec("middling", [139.0, 166.0, 190.0, 204.0, 198.0, 174.0], 7.5),
            spec("peaky", [132.0, 157.0, 184.0, 205.0, 202.0, 178.0], 6.2),
        ],
        order: vec![(0, 0), (1, 0)],
        repeatability: Repeatability::common(MeasuredAt::Flywheel, false),
        as_tested: BTreeMap::new(),
        as_raced: BTreeMap::new(),
    }
}

/// One engine pulled three times under each of two names, fittings and pulls scattering as usual.
pub(super) fn specs_of(seed: u64) -> Vec<Spec> {
    use crate::dyno::Normals;
    let mut scatter = super::draws::PullScatter::new(seed, 0, ["a", "b"]);
    ["a", "b"]
        .into_iter()
        .enumerate()
        .map(|(i, name)| {
            let mut spec = spec(name, [139.0, 166.0, 190.0, 204.0, 198.0, 174.0], 7.5);
            let pull = spec.fittings[0].pulls[0].clone();
            let fitting = 0.005 * scatter.of_spec(i);
            spec.fittings[0].pulls = (0..3)
                .map(|_| {
                    let level = (fitting + 0.003 * scatter.of_spec(i)).exp();
                    let torque = pull.torque.iter().map(|t| t * level).collect();
                    Pull {
                        torque,
                        ..pull.clone()
                    }
                })
                .collect();
            spec
        })
        .collect()
}

pub(super) fn engines() -> Engines {
    Engines::of(&test_day(), &[0, 1], 7200.0).unwrap()
}

pub(super) fn entry(surface: &str) -> Entry {
    let straight = |length| Section {
        extent: Extent::Length(length),
        ..Section::default()
    };
    let corner = |length, radius: f64| Section {
        bend: Bend::Radius {
            curvature: 1.0 / radius,
        },
        ..straight(length)
    };
    let sections = vec![
        straight(120.0),
        corner(25.0, 14.0),
        straight(200.0),
        corner(60.0, 40.0),
        straight(90.0),
        corner(20.0, 12.0),
        straight(150.0),
    ];
    Entry {
        name: "lanes".to_owned(),
        called: "lanes".to_owned(),
        course: Course {
            sections,
            surfaces: vec![Surface::plain(surface)],
            ..Course::new("lanes", EventKind::Stage)
        },
        trim: 0,
        habits: HABITS,
        passes: 1,
        laps: None,
        best_of: 1,
        weight: 1.0,
        sealed: false,
    }
}

pub(super) fn study(entries: Vec<Entry>) -> Study {
    Study {
        name: "test".into(),
        car: car(),
        test_day: test_day(),
        compared: vec![0, 1],
        entries,
        habitual: super::draws::Habitual::USUAL,
        rules: super::season::Rules::default(),
    }
}

#[test]
fn every_gearing_is_offered_once_and_the_fitted_one_first() {
    let offered = Setup::offered(&car());
    assert_eq!(offered.len(), 6);
    assert_eq!(offered[0], Setup::FITTED);
    let totals: Vec<(f64, usize)> = offered
        .iter()
        .map(|s| (s.final_drive(&car()).ratio, s.gearbox(&car()).ratios.len()))
        .collect();
    for (i, total) in totals.iter().enumerate() {
        assert!(!totals[..i].contains(total), "{total:?} twice");
    }
    assert_eq!(Setup::FITTED.extra_mass(&car(), 0), 0.0);
    assert_eq!(
        Setup {
            gearbox: Some(0),
            ..Setup::FITTED
        }
        .extra_mass(&car(), 0),
        2.0
    );
}

#[test]
fn specs_share_a_limit_and_differ_in_mass() {
    let engines = engines();
    assert_eq!(engines.limit_rpm, 7200.0);
    assert_relative_eq!(engines.list[0].extra_mass, 1.3, max_relative = 1e-12);
    assert_eq!(engines.list[1].extra_mass, 0.0);
    let high = Engines::of(&test_day(), &[0, 1], 9000.0).unwrap();
    assert_eq!(high.limit_rpm, 7500.0 + crate::dyno::EXTENSION_RPM);
    assert_eq!(
        high.extended().collect::<Vec<_>>(),
        [(0, 7500.0), (1, 7500.0)]
    );
    assert_eq!(engines.extended().count(), 0);
    assert_eq!(engines.crossings(0, 1).len(), 1);
    let swapped = Engines::of(&test_day(), &[1], 7200.0).unwrap();
    assert_eq!(swapped.list.len(), 1);
    assert_eq!(swapped.list[0].name, "peaky");
}

#[test]
fn the_best_gearing_is_never_slower_than_the_fitted_one() {
    let outcome = run(&study(vec![entry("tarmac")]), &engines());
    for spec in &outcome.venues[0].specs {
        assert!(spec.best_time().unwrap() <= spec.time().unwrap());
        let at_best = spec.at_best.as_ref().unwrap();
        assert_eq!(at_best.time, spec.best_time().unwrap());
    }
    approx::assert_relative_eq!(outcome.venues[0].length, 665.0, max_relative = 1e-12);
}

#[test]
fn a_reading_accounts_for_every_second() {
    let outcome = run(&study(vec![entry("tarmac")]), &engines());
    for spec in &outcome.venues[0].specs {
        let reading = spec.as_geared.as_ref().unwrap();
        assert_relative_eq!(reading.states.time(), reading.time, max_relative = 1e-9);
        let bands = crate::explain::bands(&reading.spans, 500.0);
        let sum: f64 = bands.bands.iter().map(|b| b.time).sum();
        assert_relative_eq!(sum + bands.shifting, reading.time, max_relative = 1e-9);
        assert_relative_eq!(bands.shifting, reading.states.shifting, max_relative = 1e-9);
    }
}

#[test]
fn a_lap_that_cannot_be_driven_is_data() {
    let outcome = run(&study(vec![entry("ice"), entry("tarmac")]), &engines());
    for spec in &outcome.venues[0].specs {
        assert_eq!(spec.as_geared, Err(LapError::NoGrip("ice".into())));
        assert_eq!(spec.best, None);
    }
    assert!(outcome.venues[0].order(SpecRun::time).is_empty());
    assert_eq!(outcome.venues[1].order(SpecRun::time).len(), 2);
}

#[test]
fn bands_mass_and_rest_are_the_gap() {
    let (study, engines) = (study(vec![entry("tarmac")]), engines());
    let outcome = run(&study, &engines);
    let order = outcome.venues[0].order(SpecRun::time);
    let cells = &outcome.venues[0].road.as_ref().unwrap().cells;
    let place = (&study.entries[0], cells);
    let split = BandGains::between(&study, &engines, place, (order[0].0, order[1].0)).unwrap();
    let bands: f64 = split.bands.iter().map(|band| band.seconds).sum();
    assert_relative_eq!(split.gap, order[1].1 - order[0].1, epsilon = 1e-12);
    assert_relative_eq!(bands + split.mass + split.rest, split.gap, epsilon = 1e-12);
    assert_relative_eq!(split.won() - split.lost(), bands, epsilon = 1e-12);
}

/// One gear, constant torque, no resistance: a = F/m, so t = √(2s/a) and t = v/a.
#[test]
fn analytic_figures_at_constant_force() {
    let mut car = car();
    car.gearbox = gearbox(&[1.0], 0.0);
    car.gearbox.efficiency = vec![1.0];
    car.final_drive = final_drive(1, 2);
    car.rotating = Rotating::None;
    car.rolling = Rolling {
        f0: Some(0.0),
        f1: 0.0,
        f2: 0.0,
    };
    car.drag_area = 0.0;
    car.rev_limit_rpm = 8000.0;
    car.default_launch_rpm = 100.0;
    let flat = Curve::new(vec![1.0, 4000.0, 8000.0], vec![200.0; 3]).unwrap();
    let mut variant = Variant::fitted(&car, &car.trims[0], HABITS, &flat, 1.2);
    variant.habits.lowest_rpm = 0.0;
    let course = straight(Surface::plain("tarmac"));
    let figures = figures(&variant, &course).unwrap();
    let a = 200.0 * 2.0 / 0.268 / 1080.0;
    let per_speed = crate::units::RPM_PER_RAD_PER_S * 2.0 / 0.268;
    assert_relative_eq!(
        figures.to_100.unwrap(),
        100.0 / 3.6 / a,
        max_relative = 1e-6
    );
    let quarter = (2.0 * QUARTER_MILE / a).sqrt();
    assert_relative_eq!(figures.quarter.time, quarter, max_relative = 1e-6);
    assert_relative_eq!(figures.quarter.speed, a * quarter, max_relative = 1e-6);
    assert_relative_eq!(
        figures.kilometre.time,
        (2000.0 / a).sqrt(),
        max_relative = 1e-6
    );
    let top = figures.top.unwrap();
    assert!(top.at_limit);
    assert_relative_eq!(top.speed, 8000.0 / per_speed, max_relative = 1e-12);
    assert_relative_eq!(figures.gears[0].speed_per_1000_rpm, 1000.0 / per_speed);
}

/// With drag alone the top speed is where F = ½ρ·CdA·v².
#[test]
fn analytic_top_speed_against_drag() {
    let mut car = car();
    car.rolling = Rolling {
        f0: Some(0.0),
        f1: 0.0,
        f2: 0.0,
    };
    car.drag_area = 6.0;
    let flat = Curve::new(vec![100.0, 4000.0, 7200.0], vec![150.0; 3]).unwrap();
    let variant = Variant::fitted(&car, &car.trims[0], HABITS, &flat, 1.2);
    let figures = figures(&variant, &straight(Surface::plain("tarmac"))).unwrap();
    let top = figures.top.unwrap();
    let total = figures.gears[top.gear].total_ratio;
    let force = 150.0 * total * 0.9 / 0.268;
    assert!(!top.at_limit, "chosen so that resistance decides");
    assert_relative_eq!(top.speed, (force / (0.6 * 6.0)).sqrt(), max_relative = 1e-6);
}

#[test]
fn assumptions_are_ordered_by_what_they_move() {
    let (study, engines) = (study(vec![entry("tarmac")]), engines());
    let outcome = run(&study, &engines);
    let keys = ["repeatability", "wheelbase", "lowest_rpm", "rolling"];
    let moves = assumed::moves(&study, &engines, &outcome, &keys);
    assert_eq!(moves.len(), 3, "{moves:?}");
    assert!(moves.windows(2).all(|w| w[0].by.abs() >= w[1].by.abs()));
    assert_eq!(moves[0].key, "lowest_rpm");
}
