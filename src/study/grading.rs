//! Roads cut into cells that do not depend on which specs are compared: a spec more or less then
//! changes no time of another.
//!
//! Cells are graded for two engines that stand for those a car may have: a weak flexible one and a
//! strong peaky one, made from the car's mass and the upper limit alone. How far the specs' own times
//! are from those of a finer road is measured with `accuracy`.

use super::engines::Engines;
use super::run::{TOLERANCE, variant};
use super::setup::Setup;
use super::{Entry, Study};
use crate::dyno::Curve;
use crate::lap::{Cells, LapError, Machine};
use crate::schedule::grade::{FINE, Graded, graded};

/// Peak torque over the mass of the car, N·m/kg, where the peak lies as a share of the limit, and what
/// is left of it at the limit: ordinary competition cars lie between (common practice, no source).
const ENGINES: [(f64, f64, f64); 2] = [(0.12, 0.55, 0.80), (0.24, 0.80, 0.92)];
/// Points of their curves.
const POINTS: usize = 40;

/// The course of an entry cut into cells.
///
/// # Errors
/// No grip for a surface of the venue, a venue without road, a car that does not fit it.
pub fn road(study: &Study, engines: &Engines, entry: &Entry) -> Result<Graded, LapError> {
    let fitted = variant(study, engines, entry, 0, Setup::FITTED);
    let fine = Cells::new(&entry.course, fitted.nominal(&entry.course)?, FINE)?;
    let curves = ENGINES.map(|engine| curve(engine, fitted.trim.mass, engines.limit_rpm));
    let machines = curves
        .iter()
        .flatten()
        .map(|curve| {
            let mut variant = fitted.clone();
            variant.curve = curve;
            variant.extra_mass = 0.0;
            variant.compile(&entry.course)
        })
        .collect::<Result<Vec<_>, _>>()?;
    let machines: Vec<&Machine> = machines.iter().collect();
    // Where one cannot be driven the fine cells stay, so that each lap gives its own reason.
    Ok(graded(&machines, &fine, TOLERANCE).unwrap_or(Graded {
        cells: fine,
        error: None,
    }))
}

/// Torque that rises to a peak and falls to a share of it at the limit, a parabola on either side.
fn curve((per_mass, peak, at_limit): (f64, f64, f64), mass: f64, limit: f64) -> Option<Curve> {
    let top = peak * limit;
    let rpm: Vec<f64> = (1..=POINTS)
        .map(|i| 1.1 * limit * i as f64 / POINTS as f64)
        .collect();
    let fall = (1.0 - at_limit) / (1.0 - peak).powi(2);
    let torque = rpm
        .iter()
        .map(|n| {
            let away = (n - top) / limit;
            let steep = if away > 0.0 { fall } else { 0.9 };
            per_mass * mass * (1.0 - steep * away * away).max(0.05)
        })
        .collect();
    Curve::new(rpm, torque).ok()
}

#[cfg(test)]
mod tests {
    use super::super::tests::{entry, study, test_day};
    use super::super::{Study, accuracy, run};
    use super::*;

    fn times(study: &Study) -> Vec<f64> {
        let engines = Engines::of(&study.test_day, &study.compared, 7200.0).unwrap();
        let outcome = run(study, &engines);
        let specs = outcome.venues[0].specs.iter();
        specs.map(|spec| spec.time().unwrap()).collect()
    }

    /// The others' pulls say what they said: their scatter is given, not pooled anew.
    #[test]
    fn property_a_spec_more_changes_no_bit_of_the_others() {
        let two = study(vec![entry("tarmac")]);
        let mut three = two.clone();
        let mut more = test_day().specs[1].clone();
        more.name = "another".into();
        for pull in &mut more.fittings[0].pulls {
            pull.torque.iter_mut().for_each(|t| *t *= 1.2);
        }
        three.test_day.specs.push(more);
        three.test_day.order.push((2, 0));
        three.compared.push(2);
        let (a, b) = (times(&two), times(&three));
        assert_eq!(a[..], b[..2]);
        assert!(b[2] < a[0]);
    }

    #[test]
    fn property_the_order_of_specs_changes_no_gap() {
        let forward = study(vec![entry("tarmac")]);
        let mut backward = forward.clone();
        backward.compared.reverse();
        let (a, b) = (times(&forward), times(&backward));
        assert_eq!((a[0], a[1]), (b[1], b[0]));
    }

    /// Specs that the cells were not graded for are still within a millisecond of a finer road.
    #[test]
    fn cells_serve_engines_they_were_not_graded_for() {
        let mut study = study(vec![entry("tarmac")]);
        for factor in [0.8, 1.0, 1.3] {
            for pull in study
                .test_day
                .specs
                .iter_mut()
                .flat_map(|s| &mut s.fittings)
                .flat_map(|f| &mut f.pulls)
            {
                pull.torque.iter_mut().for_each(|t| *t *= factor);
            }
            let engines = Engines::of(&study.test_day, &study.compared, 7200.0).unwrap();
            let outcome = run(&study, &engines);
            let found = accuracy::accuracy(&study, &engines, &outcome)[0].unwrap();
            assert!(found.time < 1e-3, "{found:?}");
        }
    }
}
