//! The season's answer: which spec and which gearing over all events, with and without changes.

use rayon::prelude::*;

use super::super::run::VenueRun;
use super::super::times::{Plan as DrawPlan, Times, VenueTimes, drive};
use super::super::{Engines, Outcome, Study};
use super::fit::{Fit, Ground, Kind, offered, terms};
use super::legs::{Leg, legs, roads};
use super::plan::{Choices, Plan, plans};
use super::sure::{SeasonVerdict, read, usable};
use crate::lap::LapError;

/// Most parts changed between the events of a season that a plan is looked for with.
const MOST_CHANGES: usize = 12;

/// Share of what anyone can use over a season that more changes must win: they bear on a few events.
const WORTH_MAKING: f64 = 0.25;

/// What a season comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Season {
    /// What could be in the car: spec, final drive and gear set; as it stands first.
    pub fits: Vec<Fit>,
    /// Seconds that each event counts with each of them; `None` where it cannot be driven.
    pub seconds: Vec<Vec<Option<f64>>>,
    /// Specs as the car is geared, all season, the quickest first, with their seconds.
    pub as_geared: Vec<(usize, f64)>,
    /// How sure that order is.
    pub verdict: Option<SeasonVerdict>,
    /// The best final drive that stays in all season, spec by spec in the order of `as_geared`.
    pub compromise: Vec<Compromise>,
    /// The quickest plan for each number of changes that is worth making.
    pub plans: Vec<SeasonPlan>,
    /// The smallest difference over the season that anyone can use, s.
    pub useful: f64,
}

/// One final drive for all events.
#[derive(Debug, Clone, PartialEq)]
pub struct Compromise {
    /// Index into the fits.
    pub fit: usize,
    /// Seconds over the season with it.
    pub seconds: f64,
    /// Seconds that each event's own best final drive would win back.
    pub cost: f64,
}

/// A plan with what it asks for.
#[derive(Debug, Clone, PartialEq)]
pub struct SeasonPlan {
    /// What is in the car at each event, as an index into the fits.
    pub plan: Plan,
    /// Price of the parts that are not in the car now; `None` where one has no price.
    pub price: Option<f64>,
    /// The parts to buy.
    pub parts: Vec<(Kind, usize)>,
}

/// Works out a season; `done` is told of each draw.
pub fn season(ground: &Ground, draws: &DrawPlan, done: impl Fn() + Sync) -> Season {
    let study = ground.study;
    let fits = fits(study);
    let seconds: Vec<Vec<Option<f64>>> = fits.par_iter().map(|fit| ground.seconds(fit)).collect();
    let total = |fit: usize| seconds[fit].iter().copied().sum::<Option<f64>>();
    let own = study.rules.fitted.unwrap_or(0);
    let mut as_geared: Vec<(usize, f64)> = (0..study.compared.len())
        .filter_map(|spec| {
            let part = (spec != own).then_some(spec);
            let fit = Fit::NOW.with(Kind::Spec, part);
            let at = fits.iter().position(|f| *f == fit)?;
            Some((spec, total(at)?))
        })
        .collect();
    as_geared.sort_by(|a, b| a.1.total_cmp(&b.1));
    let useful = season_useful(ground);
    let times = season_times(ground, draws, done);
    let compromise = as_geared
        .iter()
        .filter_map(|&(spec, _)| compromise(&fits, &seconds, (spec != own).then_some(spec)))
        .collect();
    let found = plans(&choices(study, &fits, &seconds), MOST_CHANGES);
    let on: Vec<&VenueRun> = ground.roads.venues.iter().collect();
    Season {
        verdict: read(study, ground.engines, (ground.legs, &on), &times),
        plans: worth_making(found, useful)
            .into_iter()
            .map(|plan| priced(study, &fits, plan))
            .collect(),
        fits,
        seconds,
        as_geared,
        compromise,
        useful,
    }
}

/// Every spec with every gearing, as the car stands first.
fn fits(study: &Study) -> Vec<Fit> {
    let mut fits = vec![Fit::NOW];
    for kind in [Kind::Spec, Kind::GearSet, Kind::FinalDrive] {
        let parts = offered(study, kind);
        let more: Vec<Fit> = fits
            .iter()
            .flat_map(|fit| parts.iter().map(|&part| fit.with(kind, Some(part))))
            .collect();
        fits.extend(more);
    }
    fits
}

/// The smallest difference over a season that anyone can use, s: that of every event, as often as it
/// counts.
pub fn season_useful(ground: &Ground) -> f64 {
    usable(ground.legs, &ground.roads.venues)
}

/// Whether events ask for laps beside the plain ones of their venues: from rest, in the wet.
pub fn asks_for_more(study: &Study) -> bool {
    legs(study).iter().any(|leg| !is_plain(study, leg))
}

/// Whether a leg is the plain lap or run of its venue.
fn is_plain(study: &Study, leg: &Leg) -> bool {
    leg.driven == study.entries[leg.entry]
}

/// The verdict of [`season`], to the bit, where the plain laps of all venues were drawn already: only
/// what events ask for beside them is driven. `done` is told of each draw of that.
pub fn verdict(
    study: &Study,
    engines: &Engines,
    outcome: &Outcome,
    times: &Times,
    done: impl Fn() + Sync,
) -> Option<SeasonVerdict> {
    let legs = legs(study);
    let (plain, more): (Vec<Leg>, Vec<Leg>) =
        legs.iter().cloned().partition(|leg| is_plain(study, leg));
    let roads = roads(study, engines, &more);
    let besides = Study {
        entries: more.into_iter().map(|leg| leg.driven).collect(),
        ..study.clone()
    };
    let driven = match plain.len() == legs.len() {
        true => Vec::new(),
        false => drive(&besides, engines, &roads, &times.plan, done).venues,
    };
    let mut besides = driven.iter().zip(&roads.venues);
    let (laps, on): (Vec<&VenueTimes>, Vec<&VenueRun>) = legs
        .iter()
        .map(|leg| match is_plain(study, leg) {
            true => (&times.venues[leg.entry], &outcome.venues[leg.entry]),
            false => besides.next().expect("every other leg is driven"),
        })
        .unzip();
    let sums = summed(&legs, &laps, times.plan.draws, engines.list.len());
    read(study, engines, (&legs, &on), &sums)
}

/// Seconds over the season from those of its legs.
fn summed(legs: &[Leg], laps: &[&VenueTimes], draws: u64, specs: usize) -> VenueTimes {
    let sum = |draw: usize, spec: usize| -> Result<f64, LapError> {
        let legs = legs.iter().zip(laps);
        legs.map(|(leg, laps)| Ok(leg.factor * laps.draws[draw][spec].clone()?))
            .sum()
    };
    VenueTimes {
        draws: (0..draws as usize)
            .map(|draw| (0..specs).map(|spec| sum(draw, spec)).collect())
            .collect(),
    }
}

/// Seconds over the season, draw by draw and spec by spec.
pub fn season_times(ground: &Ground, draws: &DrawPlan, done: impl Fn() + Sync) -> VenueTimes {
    times_with(ground, &Fit::NOW, draws, done)
}

/// The same with other parts in the car; every spec is driven.
pub fn times_with(
    ground: &Ground,
    fit: &Fit,
    draws: &DrawPlan,
    done: impl Fn() + Sync,
) -> VenueTimes {
    let with = fit.study(ground.study, ground.legs);
    let engines = ground.engines.with_rev_limit(with.car.rev_limit_rpm);
    let times = drive(&with, &engines, ground.roads, draws, done);
    let laps: Vec<&VenueTimes> = times.venues.iter().collect();
    summed(ground.legs, &laps, draws.draws, ground.engines.list.len())
}

fn compromise(
    fits: &[Fit],
    seconds: &[Vec<Option<f64>>],
    spec: Option<usize>,
) -> Option<Compromise> {
    let mine: Vec<usize> = (0..fits.len())
        .filter(|&i| fits[i].of(Kind::Spec) == spec && fits[i].of(Kind::GearSet).is_none())
        .collect();
    let total = |fit: usize| seconds[fit].iter().copied().sum::<Option<f64>>();
    let (fit, best) = mine
        .iter()
        .filter_map(|&i| Some((i, total(i)?)))
        .min_by(|a, b| a.1.total_cmp(&b.1))?;
    let own: f64 = (0..seconds[fit].len())
        .map(|event| {
            let times = mine.iter().filter_map(|&i| seconds[i][event]);
            times.fold(f64::INFINITY, f64::min)
        })
        .sum();
    Some(Compromise {
        fit,
        seconds: best,
        cost: best - own,
    })
}

fn choices(study: &Study, fits: &[Fit], seconds: &[Vec<Option<f64>>]) -> Choices {
    let events = study.entries.len();
    Choices {
        sealed: study.entries.iter().map(|entry| entry.sealed).collect(),
        seconds: (0..events)
            .map(|event| {
                let of = |row: &Vec<Option<f64>>| row[event].unwrap_or(f64::INFINITY);
                seconds.iter().map(of).collect()
            })
            .collect(),
        change: fits
            .iter()
            .map(|from| fits.iter().map(|to| change(study, from, to)).collect())
            .collect(),
    }
}

/// Parts changed and the work, s; `None` where a part stays in once it is there, or nobody says how
/// long it takes. Work is that of the part that goes in, or, for the car's own, of the one that
/// comes out.
fn change(study: &Study, from: &Fit, to: &Fit) -> Option<(usize, f64)> {
    let mut work = 0.0;
    for kind in Kind::ALL {
        let (out, into) = (from.of(kind), to.of(kind));
        if out != into {
            let part = into.or(out)?;
            work += terms(study, kind, part).swap_time?;
        }
    }
    Some((from.differs(to), work))
}

/// Plans whose changes win what anyone can use over the one before.
fn worth_making(plans: Vec<Plan>, useful: f64) -> Vec<Plan> {
    let mut kept: Vec<Plan> = Vec::new();
    for plan in plans {
        let last = kept.last();
        if last.is_none_or(|last| last.seconds - plan.seconds >= WORTH_MAKING * useful) {
            kept.push(plan);
        }
    }
    kept
}

fn priced(study: &Study, fits: &[Fit], plan: Plan) -> SeasonPlan {
    let mut parts: Vec<(Kind, usize)> = plan
        .choices
        .iter()
        .flat_map(|&choice| fits[choice].parts().collect::<Vec<_>>())
        .collect();
    parts.sort_unstable();
    parts.dedup();
    let prices = parts
        .iter()
        .map(|&(kind, part)| terms(study, kind, part).price);
    SeasonPlan {
        price: prices.sum(),
        parts,
        plan,
    }
}
