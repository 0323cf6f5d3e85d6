//! The final drive and the gears that would suit a spec at a venue best, were any ratio to be had.

use rayon::prelude::*;

use super::engines::Engines;
use super::run::{time, variant};
use super::setup::Setup;
use super::{Entry, Study};
use crate::car::Gearbox;
use crate::lap::{Cells, LapError};

/// How far from the fitted final drive the ideal one is looked for.
const REACH: (f64, f64) = (0.7, 1.45);
/// Ratios tried between, evenly apart in their logarithms; then again around the best one.
const STEPS: usize = 37;
/// Ratios tried around the best one, on either side.
const FINE: i32 = 4;
/// Shares by which gears are moved in the search, the coarse ones first.
const MOVES: [f64; 4] = [0.08, 0.04, 0.02, 0.01];

/// The final drive that suits best with the fitted gears.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IdealDrive {
    /// The ratio.
    pub ratio: f64,
    /// Seconds with it.
    pub time: f64,
    /// The ratios from which on either side somebody could tell the loss by the watch.
    pub band: (f64, f64),
    /// Index of the offered gearing, among those with the fitted gears, that is nearest to it.
    pub nearest: usize,
    /// Index of the quickest of those; `None` where none can be driven.
    pub quickest: Option<usize>,
    /// Between that and the ideal one lie ratios with which anyone could tell that both are quicker: two suit, each
    /// with the gears used otherwise.
    pub apart: bool,
}

/// Other tyres that grip alike: another gearing, no more.
#[derive(Debug, Clone, PartialEq)]
pub struct OtherTyre {
    /// Index of the offered tyre.
    pub tyre: usize,
    /// The final drive that would do the same with the fitted tyres.
    pub as_drive: f64,
    /// Seconds with it; `None` where it cannot be driven.
    pub time: Option<f64>,
}

/// One spec on one road, with any final drive and any gears.
pub struct Bench<'a> {
    /// The study.
    pub study: &'a Study,
    /// Its specs.
    pub engines: &'a Engines,
    /// The event.
    pub entry: &'a Entry,
    /// The road.
    pub cells: &'a Cells,
    /// Index of the spec.
    pub spec: usize,
}

impl Bench<'_> {
    fn time(&self, ratio: f64, gears: Option<&Gearbox>) -> Option<f64> {
        let mut variant = variant(
            self.study,
            self.engines,
            self.entry,
            self.spec,
            Setup::FITTED,
        );
        variant.final_drive = ratio;
        if let Some(gears) = gears {
            variant.gearbox = gears;
        }
        time(&variant, self.entry, self.cells).ok()
    }

    /// The offered tyres that grip as the fitted ones do, with the fitted gears and final drive.
    pub fn tyres(&self) -> Vec<OtherTyre> {
        let car = &self.study.car;
        let fitted = &car.trims[self.entry.trim];
        let alike = car.purchases.tyres.iter().enumerate();
        alike
            .filter(|(_, tyre)| tyre.same_grip)
            .filter_map(|(i, tyre)| Some((i, tyre.trims[self.entry.trim].as_ref()?)))
            .map(|(tyre, trim)| {
                let mut variant = variant(
                    self.study,
                    self.engines,
                    self.entry,
                    self.spec,
                    Setup::FITTED,
                );
                variant.trim = trim;
                OtherTyre {
                    tyre,
                    as_drive: car.final_drive.ratio * fitted.rolling_radius / trim.rolling_radius,
                    time: time(&variant, self.entry, self.cells).ok(),
                }
            })
            .collect()
    }

    /// The ideal final drive with the fitted gears; `offered` are gearings and the seconds with each, `useful` is
    /// the smallest difference that anyone can use, s. `None` where no ratio can be driven.
    pub fn drive(
        &self,
        (offered, driven): (&[Setup], &[Result<f64, LapError>]),
        useful: f64,
    ) -> Option<IdealDrive> {
        let car = &self.study.car;
        let fitted = car.final_drive.ratio;
        let step = (REACH.1 / REACH.0).powf(1.0 / (STEPS - 1) as f64);
        let grid: Vec<f64> = (0..STEPS)
            .map(|i| fitted * REACH.0 * step.powi(i as i32))
            .collect();
        let drive = |ratios: Vec<f64>| -> Vec<(f64, f64)> {
            let driven = ratios.into_par_iter();
            driven
                .filter_map(|ratio| Some((ratio, self.time(ratio, None)?)))
                .collect()
        };
        let mut times = drive(grid);
        let least = |times: &[(f64, f64)]| times.iter().copied().min_by(|a, b| a.1.total_cmp(&b.1));
        let (around, _) = least(&times)?;
        let fine = step.powf(1.0 / f64::from(FINE + 1));
        let near = (-FINE..=FINE).filter(|i| *i != 0);
        times.extend(drive(near.map(|i| around * fine.powi(i)).collect()));
        times.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (ratio, time) = least(&times)?;
        let alike = || {
            let all = offered.iter().enumerate();
            all.filter(|(_, setup)| setup.gearbox.is_none() && setup.tyre.is_none())
        };
        let nearest = alike()
            .map(|(i, setup)| (i, (setup.final_drive(car).ratio / ratio).ln().abs()))
            .min_by(|a, b| a.1.total_cmp(&b.1))?
            .0;
        let quickest = alike()
            .filter_map(|(i, _)| Some((i, *driven[i].as_ref().ok()?)))
            .min_by(|a, b| a.1.total_cmp(&b.1));
        let apart = quickest.is_some_and(|(i, own)| {
            let other = offered[i].final_drive(car).ratio;
            slower_between(&times, (ratio, time), (other, own), useful)
        });
        Some(IdealDrive {
            ratio,
            time,
            band: band(&times, ratio, time + useful),
            nearest,
            quickest: quickest.map(|(i, _)| i),
            apart,
        })
    }

    /// The gears that suit best with the fitted final drive, as many as are fitted, found by moving
    /// one at a time, alone and with all above it; and the seconds with them. `None` where the car cannot be driven.
    pub fn gears(&self) -> Option<(Gearbox, f64)> {
        let car = &self.study.car;
        let ratio = car.final_drive.ratio;
        let mut gears = car.gearbox.clone();
        let mut best = self.time(ratio, Some(&gears))?;
        for share in MOVES {
            let mut moved = true;
            let mut rounds = 0;
            while moved && rounds < 4 {
                moved = false;
                rounds += 1;
                for (from, to) in stretches(gears.ratios.len()) {
                    for factor in [1.0 + share, 1.0 / (1.0 + share)] {
                        let mut other = gears.clone();
                        other.ratios[from..to].iter_mut().for_each(|r| *r *= factor);
                        let falling = other.ratios.windows(2).all(|w| w[0] > 1.02 * w[1]);
                        let time = falling.then(|| self.time(ratio, Some(&other))).flatten();
                        if let Some(time) = time.filter(|t| *t < best) {
                            (gears, best, moved) = (other, time, true);
                        }
                    }
                }
            }
        }
        Some((gears, best))
    }
}

/// Gears that are moved together: each alone, and each with all above it.
fn stretches(gears: usize) -> impl Iterator<Item = (usize, usize)> {
    let alone = (0..gears).map(|gear| (gear, gear + 1));
    alone.chain((0..gears.saturating_sub(1)).map(move |gear| (gear, gears)))
}

/// Whether a ratio between two, each with its seconds, is slower than both by more than anyone can use, s.
fn slower_between(times: &[(f64, f64)], one: (f64, f64), other: (f64, f64), useful: f64) -> bool {
    let (low, high) = (one.0.min(other.0), one.0.max(other.0));
    let mut between = times.iter().filter(|t| low < t.0 && t.0 < high);
    between.any(|t| t.1 > one.1.max(other.1) + useful)
}

/// The stretch of ratios around the best one that stays within a time, its ends between the ratios
/// driven in proportion.
fn band(times: &[(f64, f64)], best: f64, within: f64) -> (f64, f64) {
    let at = times.iter().position(|t| t.0 == best).unwrap_or(0);
    let edge = |inside: (f64, f64), outside: (f64, f64)| {
        let share = (within - inside.1) / (outside.1 - inside.1);
        inside.0 + share * (outside.0 - inside.0)
    };
    let walk = |indices: &mut dyn Iterator<Item = usize>| {
        let mut last = times[at];
        for i in indices {
            if times[i].1 >= within {
                return edge(last, times[i]);
            }
            last = times[i];
        }
        last.0
    };
    (walk(&mut (0..at).rev()), walk(&mut (at + 1..times.len())))
}

#[cfg(test)]
mod tests {
    use super::super::run::cells;
    use super::super::tests::{engines, entry, study};
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn analytic_band_of_a_parabola() {
        let times: Vec<(f64, f64)> = (0..=200)
            .map(|i| 3.0 + 0.01 * f64::from(i))
            .map(|r| (r, 60.0 + (r - 4.0) * (r - 4.0)))
            .collect();
        let found = band(&times, times[100].0, 60.09);
        assert_relative_eq!(found.0, 3.7, max_relative = 1e-3);
        assert_relative_eq!(found.1, 4.3, max_relative = 1e-3);
        // Flat to the end of what was driven.
        assert_eq!(band(&times, times[100].0, 100.0), (3.0, 5.0));
    }

    /// A hump between two ratios parts them, a slope does not.
    #[test]
    fn two_ratios_suit_where_those_between_are_slower() {
        let hump = [(3.5, 60.0), (4.0, 60.3), (4.5, 60.2), (4.9, 60.05)];
        assert!(slower_between(&hump, hump[0], hump[3], 0.03));
        assert!(slower_between(&hump, hump[3], hump[0], 0.03));
        assert!(!slower_between(&hump, hump[0], hump[3], 0.3));
        let slope = [(3.5, 60.0), (4.0, 60.1), (4.5, 60.2), (4.9, 60.3)];
        assert!(!slower_between(&slope, slope[0], slope[3], 0.03));
    }

    /// An exhaustive search over 400 final drives finds nothing quicker than a hundredth, and the
    /// offered one that is nearest is the nearest.
    #[test]
    fn the_ideal_drive_agrees_with_trying_them_all() {
        let (study, engines) = (study(vec![entry("tarmac")]), engines());
        let entry = &study.entries[0];
        let cells = cells(&study, &engines, entry).unwrap();
        let bench = Bench {
            study: &study,
            engines: &engines,
            entry,
            cells: &cells,
            spec: 0,
        };
        let offered = Setup::offered(&study.car);
        let ratio = |setup: &Setup| setup.final_drive(&study.car).ratio;
        let driven: Vec<_> = offered
            .iter()
            .map(|setup| {
                bench
                    .time(ratio(setup), None)
                    .ok_or(LapError::NoGrip("ice".into()))
            })
            .collect();
        let found = bench.drive((&offered, &driven), 0.0133).unwrap();
        let fitted = study.car.final_drive.ratio;
        let all = (0..400).map(|i| fitted * (0.7 + 0.75 * f64::from(i) / 399.0));
        let least = all
            .filter_map(|ratio| bench.time(ratio, None))
            .fold(f64::INFINITY, f64::min);
        assert!(found.time < least + 0.01, "{found:?} {least}");
        assert!(found.band.0 <= found.ratio && found.ratio <= found.band.1);
        assert_eq!(found.nearest, nearest(&study, &offered, found.ratio));
        let quickest = driven[found.quickest.unwrap()].as_ref().unwrap();
        for (time, setup) in driven.iter().zip(&offered) {
            let alike = setup.gearbox.is_none() && setup.tyre.is_none();
            assert!(!alike || quickest <= time.as_ref().unwrap());
        }
        let gears = bench.gears().unwrap();
        assert!(gears.1 <= bench.time(fitted, None).unwrap());
        assert!(gears.0.ratios.windows(2).all(|w| w[0] > w[1]));
    }

    fn nearest(study: &Study, offered: &[Setup], ratio: f64) -> usize {
        let with_fitted_gears = |i: &usize| offered[*i].gearbox.is_none();
        let away = |i: usize| {
            (offered[i].final_drive(&study.car).ratio / ratio)
                .ln()
                .abs()
        };
        (0..offered.len())
            .filter(with_fitted_gears)
            .min_by(|a, b| away(*a).total_cmp(&away(*b)))
            .unwrap()
    }

    /// Two and three gears, all combinations of ratios on a grid: none is quicker by what anyone can
    /// use, 0.013 s on this road.
    #[test]
    fn ideal_gears_agree_with_trying_them_all() {
        for fitted in [&[2.2, 1.2][..], &[2.6, 1.7, 1.2]] {
            let mut study = study(vec![entry("tarmac")]);
            let gears = &mut study.car.gearbox;
            gears.ratios = fitted.to_vec();
            gears.shift_times.truncate(fitted.len() - 1);
            gears.efficiency.truncate(fitted.len());
            let engines = engines();
            let entry = &study.entries[0];
            let cells = cells(&study, &engines, entry).unwrap();
            let bench = Bench {
                study: &study,
                engines: &engines,
                entry,
                cells: &cells,
                spec: 0,
            };
            let grid: Vec<f64> = (0..13).map(|i| 0.8 * 1.12_f64.powi(i)).collect();
            let mut all: Vec<Vec<f64>> = vec![Vec::new()];
            for _ in fitted {
                let longer = all.iter().flat_map(|ratios| {
                    let last = ratios.last().copied().unwrap_or(f64::INFINITY);
                    let below = grid.iter().filter(move |r| **r < last);
                    below.map(|r| [&ratios[..], &[*r]].concat())
                });
                all = longer.collect();
            }
            let drive = study.car.final_drive.ratio;
            let times = all.into_par_iter().filter_map(|ratios| {
                let gears = Gearbox {
                    ratios,
                    ..study.car.gearbox.clone()
                };
                bench.time(drive, Some(&gears))
            });
            let least = times.reduce(|| f64::INFINITY, f64::min);
            let (found, time) = bench.gears().unwrap();
            assert!(time < least + 0.0133, "{:?} {time} {least}", found.ratios);
        }
    }
}
