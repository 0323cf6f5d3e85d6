//! The time at best is continuous in every input: a jump would be a decision that the search saw on
//! one side only.

use pullrank::car::Car;
use pullrank::lap::{Cells, Limits, Variant};
use pullrank::schedule::{Choice, search};
use pullrank::venue::Course;

use crate::support::demo::{demo_car, demo_venue, manifolds, trim, variant};

/// Points of a sweep.
const POINTS: usize = 41;
/// Half the width of a sweep, as a share of the input.
const WIDTH: f64 = 0.01;
/// Seconds by which a step may differ from the mean of its neighbours.
const JUMP: f64 = 4e-4;

/// Changes one input by a factor.
type Turn = fn(&mut Car, &mut Variant, f64);

const TURNS: [(&str, Turn); 21] = [
    ("mass", |_, v, x| v.extra_mass = (x - 1.0) * v.trim.mass),
    ("final drive", |_, v, x| v.final_drive *= x),
    ("air density", |_, v, x| v.air_density *= x),
    ("rev limit", |_, v, x| v.limit_rpm *= x),
    ("lowest rpm", |_, v, x| v.habits.lowest_rpm *= x),
    ("corner share", |_, v, x| v.habits.corner_share *= x),
    ("brake share", |_, v, x| v.habits.brake_share *= x),
    ("drag area", |car, _, x| car.drag_area *= x),
    ("shift time", |car, _, x| {
        car.gearbox.shift_times.iter_mut().for_each(|t| *t *= x);
    }),
    ("torque", |_, v, x| v.torque_factor *= x),
    ("shift light", |_, v, x| {
        let light = v.habits.shift_light_rpm.as_mut();
        *light.expect("a light") *= x - WIDTH;
    }),
    ("launch rpm", |car, _, x| {
        car.launch_rpm.values_mut().for_each(|n| *n *= x);
        car.default_launch_rpm *= x;
    }),
    ("rolling resistance", |car, _, x| {
        car.rolling.f0 = Some(0.014 * x);
    }),
    ("grip", |car, _, x| {
        let grips = car.trims.iter_mut().flat_map(|t| t.grip.values_mut());
        grips.for_each(|g| *g *= x);
    }),
    ("radius", |car, _, x| {
        car.trims.iter_mut().for_each(|t| t.rolling_radius *= x);
    }),
    ("efficiency", |car, _, x| {
        car.gearbox.efficiency.iter_mut().for_each(|e| *e *= x);
    }),
    ("front share", |car, _, x| car.front_share *= x),
    ("height", |car, _, x| car.cg_height *= x),
    ("second gear", |car, _, x| car.gearbox.ratios[1] *= x),
    ("third gear", |car, _, x| car.gearbox.ratios[2] *= x),
    ("grip and radius", |car, _, x| {
        for trim in &mut car.trims {
            trim.rolling_radius *= x;
            trim.grip.values_mut().for_each(|g| *g *= x);
        }
    }),
];

fn time(car: &Car, course: &Course, turn: Turn, x: f64) -> f64 {
    let [long, _] = manifolds();
    let nominal = variant(car, &long, course).nominal(course).unwrap();
    let mut turned = car.clone();
    turn(&mut turned, &mut variant(car, &long, course), x);
    let mut variant = variant(&turned, &long, course);
    variant.trim = trim(&turned, course);
    turn(&mut car.clone(), &mut variant, x);
    let machine = variant.compile(course).unwrap();
    let cells = Cells::new(course, nominal, 1.0).unwrap();
    let limits = Limits::new(&machine, &cells).unwrap();
    let found = search(&machine, &cells, &limits, Choice::AtBest);
    found.unwrap().lap.time
}

#[test]
fn property_time_at_best_does_not_jump() {
    let car = demo_car("rowan-coupe");
    let mut jumps = Vec::new();
    for name in ["quillgarth-hill", "vennick"] {
        let course = demo_venue(name);
        for (input, turn) in TURNS {
            let at = |i: usize| {
                let x = 1.0 + WIDTH * (2.0 * i as f64 / (POINTS - 1) as f64 - 1.0);
                time(&car, &course, turn, x)
            };
            let times: Vec<f64> = (0..POINTS).map(at).collect();
            let steps: Vec<f64> = times.windows(2).map(|w| w[1] - w[0]).collect();
            let bend = |w: &[f64]| (w[1] - 0.5 * (w[0] + w[2])).abs();
            let worst = steps.windows(3).map(bend).fold(0.0, f64::max);
            println!("{name} {input}: {:.3} ms", 1e3 * worst);
            if worst > JUMP {
                jumps.push(format!("{name} {input}: {:.3} ms", 1e3 * worst));
            }
        }
    }
    assert!(jumps.is_empty(), "{jumps:#?}");
}
