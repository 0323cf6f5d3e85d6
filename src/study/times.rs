//! Every draw driven: the raw times, from which every statistic is read.

use std::collections::BTreeMap;

use rayon::prelude::*;

use super::draws::{Draw, Habitual, Input, PullScatter};
use super::engines::Engines;
use super::run::{Outcome, time, variant};
use super::setup::Setup;
use super::{Entry, Study};
use crate::car::Car;
use crate::dyno::{Curve, Drawer};
use crate::lap::{Cells, LapError};

/// Fewest draws: one in forty is then one draw.
pub const FEWEST: u64 = 40;
/// Most draws.
pub const MOST: u64 = 100_000;
/// Draws where nobody says how many: two specs over seven venues took 4.7 s on two cores. A share of
/// 97.5 % is known to ± 0.9 % (one standard deviation of the binomial) from so many.
pub const USUAL: u64 = 300;

/// How well a driver repeats a corner share that a time of his has settled, one standard deviation
/// (common practice, no source).
const REPEATS: f64 = 0.01;

/// How many draws of what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plan {
    /// Draws that belong to another seed are others throughout.
    pub seed: u64,
    /// Number of draws.
    pub draws: u64,
    /// How unsure driver and notes are.
    pub habitual: Habitual,
}

impl Default for Plan {
    fn default() -> Self {
        Self {
            seed: 1,
            draws: USUAL,
            habitual: Habitual::USUAL,
        }
    }
}

/// The times of every draw.
#[derive(Debug, Clone, PartialEq)]
pub struct Times {
    /// What was drawn.
    pub plan: Plan,
    /// In the order of the study's entries.
    pub venues: Vec<VenueTimes>,
}

/// The times at one venue: draw by draw, spec by spec, s.
#[derive(Debug, Clone, PartialEq)]
pub struct VenueTimes {
    /// A lap that cannot be driven is data with its reason.
    pub draws: Vec<Vec<Result<f64, LapError>>>,
}

impl VenueTimes {
    /// The draws in which every spec has a time.
    pub fn whole(&self) -> impl Iterator<Item = Vec<f64>> + '_ {
        self.draws
            .iter()
            .filter_map(|draw| draw.iter().map(|t| t.as_ref().ok().copied()).collect())
    }

    /// Why the other draws failed, each reason with the number of draws.
    pub fn failed(&self) -> BTreeMap<String, usize> {
        let mut reasons = BTreeMap::new();
        for draw in &self.draws {
            if let Some(error) = draw.iter().find_map(|t| t.as_ref().err()) {
                *reasons.entry(error.to_string()).or_default() += 1;
            }
        }
        reasons
    }
}

/// Drives every draw over every venue as the car is geared, the driver shifting as he does; `done` is
/// told of each draw. The times are the same to the bit on any number of threads.
pub fn drive(
    study: &Study,
    engines: &Engines,
    outcome: &Outcome,
    plan: &Plan,
    done: impl Fn() + Sync,
) -> Times {
    let ground = Ground {
        study,
        engines,
        outcome,
        plan,
        drawer: engines.day.drawer(),
    };
    let draws: Vec<Vec<Vec<Result<f64, LapError>>>> = (0..plan.draws)
        .into_par_iter()
        .map(|index| {
            let times = ground.draw(index);
            done();
            times
        })
        .collect();
    let mut venues: Vec<VenueTimes> = study
        .entries
        .iter()
        .map(|_| VenueTimes { draws: Vec::new() })
        .collect();
    for draw in draws {
        for (venue, times) in venues.iter_mut().zip(draw) {
            venue.draws.push(times);
        }
    }
    Times {
        plan: *plan,
        venues,
    }
}

/// What all draws share.
struct Ground<'a> {
    study: &'a Study,
    engines: &'a Engines,
    outcome: &'a Outcome,
    plan: &'a Plan,
    drawer: Drawer<'a>,
}

impl Ground<'_> {
    /// One draw: venue by venue, spec by spec.
    fn draw(&self, index: u64) -> Vec<Vec<Result<f64, LapError>>> {
        let draw = Draw::new(self.plan.seed, index);
        let car = draw.car(&self.study.car);
        let curves = self.curves(index);
        self.study
            .entries
            .iter()
            .zip(&self.outcome.venues)
            .map(|(entry, venue)| {
                // A sketch is another road in each draw.
                let count = venue.roads.len().max(1) as u64;
                let other = venue.roads.get((index % count) as usize);
                match (other, &venue.road) {
                    (Some(other), _) => {
                        self.venue(&draw, &car, &curves, &other.entry, &other.cells)
                    }
                    (None, Ok(road)) => self.venue(&draw, &car, &curves, entry, &road.cells),
                    (None, Err(error)) => vec![Err(error.clone()); curves.len()],
                }
            })
            .collect()
    }

    /// The curves of the compared specs as they might have come out.
    fn curves(&self, index: u64) -> Vec<Curve> {
        let day = &self.engines.day;
        let names = day.specs.iter().map(|spec| spec.name.as_str());
        let mut scatter = PullScatter::new(self.plan.seed, index, names);
        let drawn = self.drawer.draw(&mut scatter);
        let rows = self.engines.rows.iter();
        rows.map(|&row| drawn[row].clone()).collect()
    }

    fn venue(
        &self,
        draw: &Draw,
        car: &Car,
        curves: &[Curve],
        entry: &Entry,
        cells: &Cells,
    ) -> Vec<Result<f64, LapError>> {
        let mut habitual = self.plan.habitual;
        if (entry.course.known.as_ref()).is_some_and(|known| known.corner_share.is_some()) {
            habitual.corner_share = habitual.corner_share.min(REPEATS);
        }
        let habitual = &habitual;
        let speeds = draw.corner_speeds(entry, habitual.corner_speed);
        let other = speeds.map(|factors| cells.with_corner_speeds(&entry.course, &factors));
        let cells = other.as_ref().unwrap_or(cells);
        let habits = draw.habits(&entry.habits, habitual);
        let air = draw.factor(Input::AirDensity, car.uncertain.air_density);
        curves
            .iter()
            .enumerate()
            .map(|(spec, curve)| {
                let mut variant = variant(self.study, self.engines, entry, spec, Setup::FITTED);
                variant.car = car;
                variant.trim = &car.trims[entry.trim];
                variant.gearbox = &car.gearbox;
                variant.habits = habits;
                variant.curve = curve;
                variant.air_density *= air;
                time(&variant, entry, cells)
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{entry, specs_of, study, test_day};
    use super::super::{Verdict, Word, run};
    use super::*;
    use crate::dyno::{Repeatability, TestDay, Worth};
    use crate::venue::Bend;

    fn plan(draws: u64) -> Plan {
        Plan {
            draws,
            ..Plan::default()
        }
    }

    fn unsure(entries: Vec<Entry>) -> Study {
        let mut study = study(entries);
        study.car.uncertain = crate::car::Uncertain {
            mass: 8.0,
            drag_area: 0.06,
            grip: 0.05,
            shift_time: 0.05,
            rolling_radius: 0.005,
            air_density: 0.005,
        };
        study
    }

    fn times(study: &Study, plan: &Plan) -> Times {
        let engines = Engines::of(&study.test_day, &study.compared, 7200.0).unwrap();
        let outcome = run(study, &engines);
        drive(study, &engines, &outcome, plan, || ())
    }

    fn on_threads(count: usize, study: &Study) -> Times {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(count).build();
        pool.unwrap().install(|| times(study, &plan(24)))
    }

    /// The road with its corners known by a speed somebody wrote down.
    fn by_speed() -> Entry {
        let mut entry = entry("tarmac");
        for section in &mut entry.course.sections {
            if let Bend::Radius { curvature } = section.bend {
                section.bend = Bend::Measured {
                    speed: (8.0 / curvature).sqrt(),
                    direction: 0.0,
                    scales: crate::venue::Scales::Grip,
                };
            }
        }
        entry
    }

    #[test]
    fn property_threads_change_no_bit() {
        let study = unsure(vec![entry("tarmac"), by_speed()]);
        assert_eq!(on_threads(1, &study), on_threads(3, &study));
    }

    #[test]
    fn property_the_order_of_specs_changes_no_bit() {
        let forward = unsure(vec![entry("tarmac")]);
        let mut backward = forward.clone();
        backward.test_day.specs.reverse();
        for (spec, _) in &mut backward.test_day.order {
            *spec = 1 - *spec;
        }
        let a = times(&forward, &plan(24));
        let b = times(&backward, &plan(24));
        for (a, b) in a.venues[0].draws.iter().zip(&b.venues[0].draws) {
            assert_eq!((&a[0], &a[1]), (&b[1], &b[0]));
        }
    }

    #[test]
    fn property_another_venue_changes_no_bit() {
        let one = times(&unsure(vec![by_speed()]), &plan(12));
        let two = times(&unsure(vec![entry("tarmac"), by_speed()]), &plan(12));
        assert_eq!(one.venues[0], two.venues[1]);
    }

    #[test]
    fn every_uncertain_input_moves_the_times() {
        let sure = study(vec![by_speed()]);
        let nothing = Plan {
            habitual: Habitual::NONE,
            ..plan(3)
        };
        let still = times(&sure, &nothing);
        let changes: [fn(&mut Study, &mut Plan); 10] = [
            |s, _| s.car.uncertain.mass = 8.0,
            |s, _| s.car.uncertain.drag_area = 0.06,
            |s, _| s.car.uncertain.grip = 0.05,
            |s, _| s.car.uncertain.shift_time = 0.05,
            |s, _| s.car.uncertain.rolling_radius = 0.005,
            |s, _| s.car.uncertain.air_density = 0.05,
            |_, p| p.habitual.corner_share = 0.025,
            |_, p| p.habitual.lowest_rpm = 250.0,
            |_, p| p.habitual.shift_rpm = 50.0,
            |_, p| p.habitual.corner_speed = 0.06,
        ];
        for (i, change) in changes.into_iter().enumerate() {
            let (mut study, mut plan) = (sure.clone(), nothing);
            change(&mut study, &mut plan);
            assert_ne!(times(&study, &plan).venues, still.venues, "input {i}");
        }
    }

    fn repeating(scatter: f64, worth: f64) -> Repeatability {
        Repeatability {
            pull: scatter,
            fitting: scatter,
            drift: scatter,
            wave: scatter,
            first_pull: scatter,
            worth: Worth {
                pull: worth,
                fitting: worth,
                wave: worth,
            },
        }
    }

    /// With nothing unsure every draw is the nominal lap. Levels are never taken to scatter by less
    /// than a millionth, which is worth some 10⁻⁵ s here.
    #[test]
    fn what_is_known_for_sure_has_no_interval() {
        let mut study = study(vec![entry("tarmac")]);
        study.test_day.repeatability = repeating(1e-9, 1e15);
        let engines = Engines::of(&study.test_day, &study.compared, 7200.0).unwrap();
        let outcome = run(&study, &engines);
        let plan = Plan {
            habitual: Habitual::NONE,
            ..plan(50)
        };
        let times = drive(&study, &engines, &outcome, &plan, || ());
        let verdict = Verdict::of(&times.venues[0], 0.0, |_, _| false).unwrap();
        let nominal = outcome.venues[0].order(super::super::SpecRun::time);
        assert!(verdict.gap.high - verdict.gap.low < 1e-4, "{verdict:?}");
        let gap = nominal[1].1 - nominal[0].1;
        assert!((verdict.gap.median - gap).abs() < 1e-4, "{verdict:?} {gap}");
        assert_eq!((verdict.leader, verdict.word), (nominal[0].0, Word::Clear));
    }

    #[test]
    fn draws_that_fail_are_counted_with_their_reason() {
        let study = unsure(vec![entry("ice")]);
        let times = times(&study, &plan(5));
        assert_eq!(times.venues[0].whole().count(), 0);
        let failed: Vec<_> = times.venues[0].failed().into_iter().collect();
        assert_eq!(failed.len(), 1);
        assert_eq!(failed[0].1, 5);
    }

    /// Test days of one engine pulled under two names: `clear` may be said in one of twenty.
    #[test]
    fn property_identical_specs_are_seldom_told_apart() {
        let days = 60;
        let mut clear = 0;
        for seed in 0..days {
            let mut study = unsure(vec![entry("tarmac")]);
            study.test_day = TestDay {
                specs: specs_of(seed),
                repeatability: Repeatability::common(crate::dyno::MeasuredAt::Flywheel, false),
                ..test_day()
            };
            let times = times(&study, &Plan { seed, ..plan(200) });
            let verdict = Verdict::of(&times.venues[0], 0.0, |_, _| false).unwrap();
            clear += usize::from(verdict.word == Word::Clear);
        }
        // Binomial: more than 8 of 60 at 5 % has a chance of 0.4 %.
        assert!(clear <= 8, "{clear} of {days}");
    }
}
