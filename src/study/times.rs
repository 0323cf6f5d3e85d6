//! Every draw driven: the raw times, from which every statistic is read.

use std::borrow::Cow;
use std::collections::BTreeMap;

use rayon::prelude::*;

use super::drawn::{Drawing, Drawn, Lot};
use super::draws::Habitual;
use super::engines::Engines;
use super::roads::ROADS;
use super::run::{Outcome, VenueRun, draw_road};
use super::{Entry, Study};
use crate::lap::{Cells, LapError};
use crate::schedule::{Entrant, Menu, PACK, Pack, quickest_of};

/// Fewest draws: one in forty is then one draw.
pub const FEWEST: u64 = 40;
/// Most draws.
pub const MOST: u64 = 100_000;
/// Draws where nobody says how many: a share of 97.5 % is known to ± 0.35 % (one standard deviation of
/// the binomial) from so many.
pub const USUAL: u64 = 2000;

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
    let drawing = Drawing::new(study, engines, plan);
    let grounds: Vec<Result<Ground, LapError>> = study
        .entries
        .par_iter()
        .zip(&outcome.venues)
        .map(|(entry, venue)| ground(&drawing, (study, engines), entry, venue))
        .collect();
    let sketched = grounds.iter().flatten().any(|roads| roads.len() > 1);
    let turns = if sketched { ROADS } else { 1 };
    let groups = groups(plan.draws, turns, engines.list.len());
    let driven: Vec<Vec<Drawings>> = groups
        .par_iter()
        .map_init(Pack::default, |pack, indices| {
            let draws: Vec<Drawn> = indices.iter().map(|&i| drawing.draw(i)).collect();
            let times = grounds.iter().map(|ground| match ground {
                Ok(roads) => {
                    // The same road whatever else is driven beside it.
                    let road = &roads[(indices[0] % ROADS) as usize % roads.len()];
                    lap_times(&drawing, &draws, road, pack)
                }
                Err(error) => vec![vec![Err(error.clone()); engines.list.len()]; draws.len()],
            });
            let times = times.collect();
            indices.iter().for_each(|_| done());
            times
        })
        .collect();
    let mut venues: Vec<VenueTimes> = study
        .entries
        .iter()
        .map(|_| VenueTimes {
            draws: vec![Vec::new(); plan.draws as usize],
        })
        .collect();
    for (indices, driven) in groups.iter().zip(driven) {
        for (venue, times) in venues.iter_mut().zip(driven) {
            for (&index, times) in indices.iter().zip(times) {
                venue.draws[index as usize] = times;
            }
        }
    }
    Times {
        plan: *plan,
        venues,
    }
}

/// Where draws are driven: roads in turn, on cells of their own, and what is worth trying there.
type Ground<'a> = Vec<Road<'a>>;

/// A road, its cells, and what is worth trying there, spec by spec.
type Road<'a> = (Cow<'a, Entry>, Cells, Option<Vec<Menu>>);

fn ground<'a>(
    drawing: &Drawing,
    (study, engines): (&Study, &Engines),
    entry: &'a Entry,
    venue: &'a VenueRun,
) -> Result<Ground<'a>, LapError> {
    if !venue.roads.is_empty() {
        // Each road of a sketch is driven too seldom for a menu to pay.
        let roads = venue.roads.iter().map(|road| {
            let entry = road.driven_as(entry);
            let cells = draw_road(study, engines, &entry, &road.cells);
            (Cow::Owned(entry), cells, None)
        });
        return Ok(roads.collect());
    }
    let road = venue.road.as_ref().map_err(Clone::clone)?;
    let cells = draw_road(study, engines, entry, &road.cells);
    let menus = drawing.menus(entry, &cells);
    Ok(vec![(Cow::Borrowed(entry), cells, Some(menus))])
}

/// Draws to be driven together: as many as fill a pack with their specs, all on the same one of the
/// `roads` that sketches may be.
fn groups(draws: u64, roads: u64, specs: usize) -> Vec<Vec<u64>> {
    let size = (PACK / specs.max(1)).max(1);
    (0..roads)
        .flat_map(|road| {
            let indices: Vec<u64> = (road..draws).step_by(roads as usize).collect();
            let groups = indices.chunks(size).map(<[u64]>::to_vec);
            groups.collect::<Vec<_>>()
        })
        .collect()
}

/// The times of some draws at a venue, draw by draw, spec by spec.
type Drawings = Vec<Vec<Result<f64, LapError>>>;

fn lap_times(drawing: &Drawing, draws: &[Drawn], road: &Road, pack: &mut Pack) -> Drawings {
    let (entry, cells, menus) = road;
    let lots: Vec<Lot> = draws
        .iter()
        .map(|drawn| drawing.lot(drawn, entry, cells))
        .collect();
    let entrants: Vec<Entrant> = lots
        .iter()
        .flat_map(|lot| {
            let machines = lot.machines.iter().enumerate();
            machines.filter_map(|(spec, machine)| {
                Some(Entrant {
                    machine: machine.as_ref().ok()?,
                    cells: &lot.cells,
                    menu: menus.as_ref().map(|menus| &menus[spec]),
                })
            })
        })
        .collect();
    let mut driven = quickest_of(&entrants, pack).into_iter();
    lots.iter()
        .map(|lot| {
            let machines = lot.machines.iter();
            machines
                .map(|machine| {
                    machine.as_ref().map_err(Clone::clone)?;
                    driven
                        .next()
                        .expect("a lap for each machine")
                        .map(|lap| lap.time)
                })
                .collect()
        })
        .collect()
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
            day: 0.01,
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
