//! What each gearing that is offered is worth to each spec, and what to mind with it.
//!
//! Every lap was driven already; this reads the times and the lap at the best gearing.

pub mod sure;

use super::engines::Engines;
use super::ideal::{Bench, IdealDrive};
use super::run::{Outcome, SpecRun, run_with};
use super::setup::Setup;
use super::{Entry, Study, useful};
use crate::car::driveline::rpm_per_speed;
use crate::car::tyre::Tyre;
use crate::car::{Drive, FirstGear, load};

/// One spec at one venue with the gearing that suits it best.
#[derive(Debug, Clone, PartialEq)]
pub struct Suited {
    /// Index of the spec.
    pub spec: usize,
    /// Index of its quickest gearing among those offered.
    pub best: usize,
    /// Seconds with it.
    pub time: f64,
    /// Seconds it gains over the fitted one; `None` where the car cannot be driven with that.
    pub gain: Option<f64>,
    /// Indices of the gearings that nobody could tell from the best by the watch, the best among
    /// them.
    pub as_good: Vec<usize>,
    /// The final drive that would suit best with the fitted gears, were any to be had.
    pub ideal: Option<IdealDrive>,
    /// What to mind with it.
    pub cautions: Cautions,
}

/// What to mind with a gearing at a venue.
#[derive(Debug, Clone, PartialEq)]
pub struct Cautions {
    /// The downchange that passes the limit at the fastest point.
    pub over_rev: Option<OverRev>,
    /// Speed of the tyre's speed symbol, m/s, where the car is faster than that.
    pub beyond_tyre: Option<f64>,
    /// What one tyre carries by its load index and what stands on it, kg, where that is more.
    pub tyre_load: Option<(f64, f64)>,
    /// Speed of the propeller shaft at the fastest point, rpm, where it turns faster than the engine
    /// may.
    pub propshaft_rpm: Option<f64>,
}

/// A downchange that passes the limit at the fastest point of a lap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OverRev {
    /// The gear that is taken, counted from 0.
    pub gear: usize,
    /// Engine speed it would give there, rpm.
    pub rpm: f64,
    /// Road speed above which it passes the limit, m/s.
    pub above: f64,
}

/// The specs at a venue, each with the gearing that suits it, the quickest first; those that cannot be
/// driven are left out.
pub fn suited(study: &Study, engines: &Engines, outcome: &Outcome, index: usize) -> Vec<Suited> {
    let (entry, venue) = (&study.entries[index], &outcome.venues[index]);
    let useful = useful(entry.course.kind, venue.length);
    venue
        .order(SpecRun::best_time)
        .into_iter()
        .filter_map(|(spec, time)| {
            let run = &venue.specs[spec];
            let best = run.best?;
            let within = |t: &Result<f64, _>| t.as_ref().is_ok_and(|t| *t < time + useful);
            let ideal = venue.road.as_ref().ok().and_then(|road| {
                let bench = Bench {
                    study,
                    engines,
                    entry,
                    cells: &road.cells,
                    spec,
                };
                bench.drive((&outcome.offered, &run.times), useful)
            });
            Some(Suited {
                spec,
                best,
                time,
                gain: run.time().map(|fitted| fitted - time),
                as_good: (0..run.times.len())
                    .filter(|&i| outcome.offered[i].is_for(&study.car, entry.trim))
                    .filter(|&i| i == best || within(&run.times[i]))
                    .collect(),
                ideal,
                cautions: cautions(study, engines, entry, run, outcome.offered[best]),
            })
        })
        .collect()
}

/// Venues by their index at which another gearing suits the quickest spec where first gear is used whenever it
/// pays and not for the start only, with that gearing: none that is as good as the one in `suited`.
pub fn with_first_gear(
    study: &Study,
    engines: &Engines,
    suited: &[Vec<Suited>],
) -> Vec<(usize, Setup)> {
    let mut other = study.clone();
    let sets = other.car.gearbox_options.iter_mut();
    sets.chain([&mut other.car.gearbox])
        .for_each(|set| set.first_gear = FirstGear::AnyTime);
    let outcome = run_with(&other, engines, Setup::offered_on_tyres(&other.car));
    let turned = |index: usize| {
        let told = suited[index].first()?;
        let venue = &outcome.venues[index];
        let (spec, _) = *venue.order(SpecRun::best_time).first()?;
        let best = venue.specs[spec].best?;
        (!told.as_good.contains(&best)).then_some((index, outcome.offered[best]))
    };
    (0..suited.len()).filter_map(turned).collect()
}

fn cautions(
    study: &Study,
    engines: &Engines,
    entry: &Entry,
    run: &SpecRun,
    setup: Setup,
) -> Cautions {
    let trim = setup.trim(&study.car, entry.trim);
    let tyre_load = load::too_much(&study.car, trim);
    let Some(fastest) = run.at_best.as_ref().map(|reading| &reading.fastest) else {
        return Cautions {
            over_rev: None,
            beyond_tyre: None,
            tyre_load,
            propshaft_rpm: None,
        };
    };
    let gearbox = setup.gearbox(&study.car);
    let drive = setup.final_drive(&study.car).ratio;
    let per_speed = |gear: usize| rpm_per_speed(gearbox.ratios[gear] * drive, trim.rolling_radius);
    let passes = |gear: &usize| per_speed(*gear) * fastest.speed > engines.rev_limit_rpm;
    Cautions {
        over_rev: (0..fastest.gear).rev().find(passes).map(|gear| OverRev {
            gear,
            rpm: per_speed(gear) * fastest.speed,
            above: engines.rev_limit_rpm / per_speed(gear),
        }),
        beyond_tyre: Tyre::parse(&trim.tyre)
            .ok()
            .and_then(|tyre| tyre.rated_speed())
            .filter(|rated| fastest.speed > *rated),
        tyre_load,
        propshaft_rpm: propshaft(study, gearbox.ratios[fastest.gear], fastest.rpm)
            .filter(|rpm| *rpm > engines.rev_limit_rpm),
    }
}

/// Speed of the propeller shaft, rpm: behind the gears, before the final drive. A car driven at the
/// front has none.
fn propshaft(study: &Study, ratio: f64, engine_rpm: f64) -> Option<f64> {
    (study.car.drive != Drive::Front).then(|| engine_rpm / ratio)
}

#[cfg(test)]
mod tests {
    use super::super::run;
    use super::super::run::{run_with, time, variant};
    use super::super::tests::{engines, entry, study};
    use super::*;
    use crate::car::offer::{OfferedTyre, Terms};
    use approx::assert_relative_eq;

    /// Drives, gear sets and tyres alike.
    #[test]
    fn the_best_is_the_quickest_of_all_driven_one_by_one() {
        let (mut study, engines) = (study(vec![entry("tarmac")]), engines());
        let mut low = study.car.trims[0].clone();
        (low.rolling_radius, low.tyre) = (0.255, "175/55R13 80T".into());
        study.car.purchases.tyres.push(OfferedTyre {
            name: "low".into(),
            trims: vec![Some(low)],
            same_grip: true,
            terms: Terms::default(),
        });
        let offered = Setup::offered_on_tyres(&study.car);
        assert_eq!(offered.len(), 12);
        let outcome = run_with(&study, &engines, offered.clone());
        let found = suited(&study, &engines, &outcome, 0);
        assert_eq!(found.len(), 2);
        assert!(found[0].time <= found[1].time);
        let entry = &study.entries[0];
        let cells = &outcome.venues[0].road.as_ref().unwrap().cells;
        for one in &found {
            let times: Vec<f64> = offered
                .iter()
                .map(|&setup| {
                    let variant = variant(&study, &engines, entry, one.spec, setup);
                    time(&variant, entry, cells).unwrap()
                })
                .collect();
            let least = times.iter().copied().fold(f64::INFINITY, f64::min);
            assert_eq!((one.time, times[one.best]), (least, least));
            assert_relative_eq!(one.gain.unwrap(), times[0] - least, epsilon = 1e-12);
            let useful = 0.02 * 0.665;
            for (i, time) in times.iter().enumerate() {
                assert_eq!(one.as_good.contains(&i), *time < least + useful, "{i}");
            }
        }
    }

    /// In second at the speed where first reaches the limit, and a little more, first passes it.
    #[test]
    fn a_downchange_that_passes_the_limit_is_named_with_its_speed() {
        let (study, engines) = (study(vec![entry("tarmac")]), engines());
        let outcome = run(&study, &engines);
        let mut run = outcome.venues[0].specs[0].clone();
        let per_speed = |gear: usize| {
            let ratio = study.car.gearbox.ratios[gear] * study.car.final_drive.ratio;
            ratio / 0.268 * 30.0 / std::f64::consts::PI
        };
        let speed = 1.01 * 7200.0 / per_speed(1);
        let at = |run: &mut SpecRun, speed: f64, gear| {
            let reading = run.at_best.as_mut().unwrap();
            (reading.fastest.speed, reading.fastest.gear) = (speed, gear);
            cautions(&study, &engines, &study.entries[0], run, Setup::FITTED)
        };
        let found = at(&mut run, speed, 2).over_rev.unwrap();
        assert_eq!(found.gear, 1);
        assert_relative_eq!(found.rpm, 1.01 * 7200.0, max_relative = 1e-9);
        assert_relative_eq!(found.above, speed / 1.01, max_relative = 1e-9);
        // Two gears down where the next one holds.
        let found = at(&mut run, 0.99 * speed / 1.01, 2).over_rev.unwrap();
        assert_eq!(found.gear, 0);
        assert_eq!(at(&mut run, 1.0, 3).over_rev, None);
        // The size carries no speed symbol.
        assert_eq!(at(&mut run, 100.0, 3).beyond_tyre, None);
    }

    /// An overdrive of 0.8 turns the shaft a quarter faster than the engine; a load index of 60 carries
    /// 250 kg (`tests/reference/tyres/load_index.csv`).
    #[test]
    fn a_fast_shaft_and_a_light_tyre_are_found() {
        let (mut study, engines) = (study(vec![entry("tarmac")]), engines());
        study.car.gearbox.ratios[3] = 0.8;
        study.car.trims[0].tyre = "185/60R13 60H".into();
        let outcome = run(&study, &engines);
        let mut run = outcome.venues[0].specs[0].clone();
        let reading = run.at_best.as_mut().unwrap();
        (reading.fastest.gear, reading.fastest.rpm) = (3, 7000.0);
        let found = cautions(&study, &engines, &study.entries[0], &run, Setup::FITTED);
        assert_relative_eq!(found.propshaft_rpm.unwrap(), 8750.0, max_relative = 1e-9);
        let (carries, stands) = found.tyre_load.unwrap();
        assert_eq!(carries, 250.0);
        assert_relative_eq!(stands, 0.5 * 1080.0 * 0.53, max_relative = 1e-9);
        study.car.drive = Drive::Front;
        let found = cautions(&study, &engines, &study.entries[0], &run, Setup::FITTED);
        assert_eq!(found.propshaft_rpm, None);
    }

    /// UN Regulation No. 30: T is 190 km/h.
    #[test]
    fn a_speed_beyond_the_tyres_symbol_is_found() {
        let (mut study, engines) = (study(vec![entry("tarmac")]), engines());
        study.car.trims[0].tyre = "185/60 R 13 80 T".into();
        let outcome = run(&study, &engines);
        let mut run = outcome.venues[0].specs[0].clone();
        for (kmh, beyond) in [(189.0, false), (191.0, true)] {
            run.at_best.as_mut().unwrap().fastest.speed = kmh / 3.6;
            let found = cautions(&study, &engines, &study.entries[0], &run, Setup::FITTED);
            assert_eq!(found.beyond_tyre.is_some(), beyond, "{kmh}");
        }
        // The symbol of the tyre that is on: Q is 160 km/h.
        let mut other = study.car.trims[0].clone();
        other.tyre = "175/60 R 13 77 Q".into();
        study.car.purchases.tyres.push(OfferedTyre {
            name: "other".into(),
            trims: vec![Some(other)],
            same_grip: true,
            terms: Terms::default(),
        });
        let on = Setup {
            tyre: Some(0),
            ..Setup::FITTED
        };
        run.at_best.as_mut().unwrap().fastest.speed = 170.0 / 3.6;
        let found = |setup| cautions(&study, &engines, &study.entries[0], &run, setup).beyond_tyre;
        assert_eq!(found(Setup::FITTED), None);
        assert_relative_eq!(found(on).unwrap(), 160.0 / 3.6, max_relative = 1e-12);
    }
}
