//! Drawn curves against a plain bootstrap, which takes the fittings of a day with replacement and knows
//! no model. It needs many fittings: the day has twenty of each spec.

use pullrank::dyno::{Curve, TestDay};
use pullrank::study::Engines;
use pullrank::study::draws::PullScatter;

use super::simulated::coverage::{Dice, LONG, SHORT, World, curve, day, taken};

const FROM: f64 = 4000.0;
const TO: f64 = 6000.0;
const TIMES: usize = 600;

fn sd(values: &[f64]) -> f64 {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / (n - 1.0)).sqrt()
}

/// Logarithm of the mean torque of each fitting, first pulls left out: they are cold.
fn fittings(day: &TestDay, spec: usize) -> Vec<f64> {
    let level = |rpm: &[f64], torque: &[f64]| {
        let inside = rpm
            .iter()
            .zip(torque)
            .filter(|(n, _)| (FROM..=TO).contains(*n));
        let torque: Vec<f64> = inside.map(|(_, t)| t.ln()).collect();
        torque.iter().sum::<f64>() / torque.len() as f64
    };
    let fittings = day.specs[spec].fittings.iter();
    fittings
        .map(|fitting| {
            let pulls = &fitting.pulls[1..];
            let sum: f64 = pulls.iter().map(|p| level(&p.rpm, &p.torque)).sum();
            sum / pulls.len() as f64
        })
        .collect()
}

#[test]
fn draws_scatter_as_a_bootstrap_does() {
    let truth = [curve(&LONG), curve(&SHORT)];
    let world = World {
        pulls: 3,
        fittings: 20,
        fitting_sd: 0.005,
        drift: 0.0,
    };
    let mut dice = Dice::new(31);
    let day = day(&truth, &world, &mut dice, taken(false));
    let levels = [fittings(&day, 0), fittings(&day, 1)];
    let mut again = |own: &[f64]| {
        let one = |dice: &mut Dice| own[(dice.even() * own.len() as f64) as usize];
        (0..own.len()).map(|_| one(&mut dice)).sum::<f64>() / own.len() as f64
    };
    let plain: Vec<f64> = (0..TIMES)
        .map(|_| again(&levels[0]) - again(&levels[1]))
        .collect();
    let engines = Engines::of(&day, &[0, 1], 7200.0).expect("a sound day");
    let drawer = engines.day.drawer();
    let level = |curve: &Curve| curve.mean_torque(FROM, TO).expect("inside").ln();
    let drawn: Vec<f64> = (0..TIMES as u64)
        .map(|index| {
            let curves = drawer.draw(&mut PullScatter::new(1, index, ["long", "short"]));
            level(&curves[engines.rows[0]]) - level(&curves[engines.rows[1]])
        })
        .collect();
    let ratio = sd(&drawn) / sd(&plain);
    // Twenty fittings know their own scatter to 16 %, two of them together to 11 %.
    assert!((0.75..1.35).contains(&ratio), "{ratio}");
    let known = (2.0 * 0.005f64.powi(2) / 20.0).sqrt();
    let to_truth = sd(&drawn) / known;
    assert!((0.8..1.3).contains(&to_truth), "{to_truth}");
}
