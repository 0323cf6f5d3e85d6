//! Roads cut into cells that do not depend on which specs are compared: a spec more or less then
//! changes no time of another.
//!
//! Cells are graded for engines that stand for those a car may have: weak flexible ones and strong
//! peaky ones, made from the car's mass and the upper limit alone. How far the specs' own times are
//! from those of a finer road is measured with `accuracy`.

use super::engines::Engines;
use super::run::{TOLERANCE, variant};
use super::setup::Setup;
use super::{Entry, Study};
use crate::dyno::Curve;
use crate::lap::{Cells, LapError, Machine};
use crate::schedule::grade::{FINE, Graded, coarser, graded, graded_as};

/// Largest change of a gap that fewer cells may make for draws: s, and on long roads the share of the
/// time, far less than anybody can use.
pub const DRAW_TOLERANCE: (f64, f64) = (0.001, 1e-5);

/// An engine in place of a spec's.
#[derive(Debug, Clone, Copy)]
struct StandIn {
    /// Peak torque over the mass of the car, N·m/kg.
    per_mass: f64,
    /// Where the peak lies, as a share of the limit.
    peak: f64,
    /// What is left of it at the limit.
    at_limit: f64,
    /// Height of the waves of a measured curve, as a share of torque.
    waves: f64,
}

/// Waves of a measured curve that is smoothed as usual, as a share of torque: bends that a step of the lap
/// has to follow.
const WAVES: f64 = 0.003;
/// Ordinary competition cars lie between (common practice, no source).
const ENDS: [StandIn; 2] = [
    StandIn {
        per_mass: 0.12,
        peak: 0.55,
        at_limit: 0.80,
        waves: WAVES,
    },
    StandIn {
        per_mass: 0.24,
        peak: 0.80,
        at_limit: 0.92,
        waves: WAVES,
    },
];
/// How much more another spec of an engine pulls, how much higher it peaks, and the waves of its
/// curve: much, as two specs go (common practice, no source).
const OTHER: (f64, f64, f64) = (1.03, 0.05, 0.01);
/// Points of their curves.
const POINTS: usize = 40;

/// The course of an entry cut into cells.
///
/// # Errors
/// No grip for a surface of the venue, a venue without road, a car that does not fit it.
pub fn road(study: &Study, engines: &Engines, entry: &Entry) -> Result<Graded, LapError> {
    let (fine, machines) = fine(study, engines, entry)?;
    let machines: Vec<&Machine> = machines.iter().collect();
    // Where one cannot be driven the fine cells stay, so that each lap gives its own reason.
    Ok(graded(&machines, &fine, TOLERANCE).unwrap_or(Graded {
        cells: fine,
        error: None,
        share: None,
    }))
}

/// The course of an entry cut into cells as `like`, a road of its kind, was; by itself where that cannot be.
///
/// # Errors
/// As [`road`].
pub fn cells_like(
    study: &Study,
    engines: &Engines,
    entry: &Entry,
    like: &Graded,
) -> Result<Cells, LapError> {
    if let Some(share) = like.share {
        let (fine, machines) = fine(study, engines, entry)?;
        let machines: Vec<&Machine> = machines.iter().collect();
        if let Ok(cells) = graded_as(&machines, &fine, share) {
            return Ok(cells);
        }
    }
    road(study, engines, entry).map(|road| road.cells)
}

/// The course of an entry in fine cells, and the machines that it is graded for.
fn fine(
    study: &Study,
    engines: &Engines,
    entry: &Entry,
) -> Result<(Cells, Vec<Machine>), LapError> {
    let fitted = variant(study, engines, entry, 0, Setup::FITTED);
    let fine = Cells::new(&entry.course, fitted.nominal(&entry.course)?, FINE)?;
    Ok((fine, machines(study, engines, entry, &ENDS)?))
}

/// The road of an entry for draws: cells of [`road`] joined as far as that leaves the gap between
/// each stand-in and another spec of it.
pub fn draw_road(study: &Study, engines: &Engines, entry: &Entry, road: &Cells) -> Cells {
    let others = ENDS.map(|end| StandIn {
        per_mass: OTHER.0 * end.per_mass,
        peak: OTHER.1 + end.peak,
        waves: OTHER.2,
        ..end
    });
    let of = |list| machines(study, engines, entry, list).unwrap_or_default();
    let (ends, others) = (of(&ENDS), of(&others));
    let pairs: Vec<[&Machine; 2]> = ends.iter().zip(&others).map(|(a, b)| [a, b]).collect();
    coarser(&pairs, road, DRAW_TOLERANCE)
}

/// The car of an entry with each of some engines in place of a spec's.
fn machines(
    study: &Study,
    engines: &Engines,
    entry: &Entry,
    list: &[StandIn],
) -> Result<Vec<Machine>, LapError> {
    let fitted = variant(study, engines, entry, 0, Setup::FITTED);
    let curves = list
        .iter()
        .filter_map(|engine| engine.curve(fitted.trim.mass, engines.limit_rpm));
    curves
        .map(|curve| {
            let mut variant = fitted.clone();
            variant.curve = &curve;
            variant.extra_mass = 0.0;
            variant.compile(&entry.course)
        })
        .collect()
}

impl StandIn {
    /// Torque that rises to a peak and falls to a share of it at the limit, a parabola on either side.
    fn curve(&self, mass: f64, limit: f64) -> Option<Curve> {
        let top = self.peak * limit;
        let rpm: Vec<f64> = (1..=POINTS)
            .map(|i| 1.1 * limit * i as f64 / POINTS as f64)
            .collect();
        let fall = (1.0 - self.at_limit) / (1.0 - self.peak).powi(2);
        let points = rpm.iter().enumerate();
        let torque = points
            .map(|(i, n)| {
                let away = (n - top) / limit;
                let steep = if away > 0.0 { fall } else { 0.9 };
                // Up for two points and down for two.
                let wave = if i / 2 % 2 == 0 {
                    self.waves
                } else {
                    -self.waves
                };
                let share = (1.0 - steep * away * away) * (1.0 + wave);
                self.per_mass * mass * share.max(0.05)
            })
            .collect();
        Curve::new(rpm, torque).ok()
    }
}

#[cfg(test)]
mod tests {
    use super::super::run::quick_time;
    use super::super::tests::{entry, study, test_day};
    use super::super::{Plan, Study, accuracy, run, times};
    use super::*;

    fn nominal(study: &Study) -> Vec<f64> {
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
        let (a, b) = (nominal(&two), nominal(&three));
        assert_eq!(a[..], b[..2]);
        assert!(b[2] < a[0]);
    }

    /// Nor do the draws see which specs of a day are compared, a lighter one among them.
    #[test]
    fn property_comparing_one_more_changes_no_bit_of_the_draws() {
        let mut two = study(vec![entry("tarmac")]);
        let mut more = two.test_day.specs[1].clone();
        (more.name, more.mass) = ("another".into(), Some(5.0));
        for pull in &mut more.fittings[0].pulls {
            pull.torque.iter_mut().for_each(|t| *t *= 1.2);
        }
        two.test_day.specs.push(more);
        two.test_day.order.push((2, 0));
        let mut three = two.clone();
        three.compared.push(2);
        let plan = Plan {
            draws: 8,
            ..Plan::default()
        };
        let drawn = |study: &Study| {
            let engines = Engines::of(&study.test_day, &study.compared, 7200.0).unwrap();
            let outcome = run(study, &engines);
            let times = times::drive(study, &engines, &outcome, &plan, || ());
            times.venues.into_iter().next().unwrap().draws
        };
        let (a, b) = (drawn(&two), drawn(&three));
        assert_eq!(a.len(), 8);
        for (a, b) in a.iter().zip(&b) {
            assert_eq!(a[..], b[..2]);
            assert!(b[2].as_ref().unwrap() < a[0].as_ref().unwrap());
        }
    }

    /// Joined cells leave the gap of specs that they were not joined for, within twice what is asked
    /// of the stand-ins'.
    #[test]
    fn joined_cells_leave_the_gap() {
        let study = study(vec![entry("tarmac")]);
        let engines = Engines::of(&study.test_day, &study.compared, 7200.0).unwrap();
        let entry = &study.entries[0];
        let whole = road(&study, &engines, entry).unwrap().cells;
        let joined = draw_road(&study, &engines, entry, &whole);
        assert!(joined.len() < whole.len());
        let time = |spec, cells| {
            let variant = variant(&study, &engines, entry, spec, Setup::FITTED);
            quick_time(&variant, entry, cells).unwrap()
        };
        let gap = |cells| time(1, cells) - time(0, cells);
        let off = gap(&joined) - gap(&whole);
        assert!(off.abs() < 2.0 * DRAW_TOLERANCE.0, "{off}");
    }

    #[test]
    fn property_the_order_of_specs_changes_no_gap() {
        let forward = study(vec![entry("tarmac")]);
        let mut backward = forward.clone();
        backward.compared.reverse();
        let (a, b) = (nominal(&forward), nominal(&backward));
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
