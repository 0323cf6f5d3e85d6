//! Every spec over every venue, as the car is geared and with every gearing it could carry, at the
//! nominal inputs. A lap that cannot be driven is data with its reason.

use rayon::prelude::*;

use super::driving::Driving;
use super::engines::Engines;
pub use super::grading::{draw_road, road};
use super::reading::Reading;
use super::roads::{Shuffled, shuffled};
use super::setup::Setup;
use super::{Entry, Study};
use crate::lap::{Cells, LapError, Limits, Variant};
use crate::schedule::grade::Graded;
use crate::schedule::{Choice, Entrant, PACK, Pack, Workspace, quickest, quickest_of, search};

/// Largest error of a time that the cells of a venue may leave by estimate, s.
pub const TOLERANCE: f64 = 0.000_5;

/// One spec at one venue.
#[derive(Debug, Clone)]
pub struct SpecRun {
    /// The lap as the car is geared.
    pub as_geared: Result<Reading, LapError>,
    /// Seconds per gearing, in the order of [`Outcome::offered`].
    pub times: Vec<Result<f64, LapError>>,
    /// Index of the quickest gearing; `None` where none can be driven.
    pub best: Option<usize>,
    /// The lap at the quickest gearing.
    pub at_best: Option<Reading>,
}

impl SpecRun {
    /// Seconds as geared, if it can be driven.
    pub fn time(&self) -> Option<f64> {
        self.as_geared.as_ref().ok().map(|r| r.time)
    }

    /// Seconds at the quickest gearing, if any can be driven.
    pub fn best_time(&self) -> Option<f64> {
        self.best.and_then(|i| self.times[i].as_ref().ok().copied())
    }
}

/// All specs at one venue.
#[derive(Debug, Clone)]
pub struct VenueRun {
    /// Length along the road, m; 0 where the venue cannot be driven at all.
    pub length: f64,
    /// The road in cells, and the error of times that they leave by estimate.
    pub road: Result<Graded, LapError>,
    /// In the order of the specs.
    pub specs: Vec<SpecRun>,
    /// The roads that a sketch may be, this one first; none where the venue is no sketch.
    pub roads: Vec<Shuffled>,
}

impl VenueRun {
    /// Indices of the specs from quickest to slowest by `time`; those without a time are left out.
    pub fn order(&self, time: impl Fn(&SpecRun) -> Option<f64>) -> Vec<(usize, f64)> {
        let mut order: Vec<(usize, f64)> = self
            .specs
            .iter()
            .enumerate()
            .filter_map(|(i, spec)| time(spec).map(|t| (i, t)))
            .collect();
        order.sort_by(|a, b| a.1.total_cmp(&b.1));
        order
    }
}

/// Everything that was driven.
#[derive(Debug, Clone)]
pub struct Outcome {
    /// The gearings that were tried, the fitted one first.
    pub offered: Vec<Setup>,
    /// In the order of the study's entries.
    pub venues: Vec<VenueRun>,
}

/// Drives the whole study; venues, specs and gearings in parallel, results in order.
pub fn run(study: &Study, engines: &Engines) -> Outcome {
    run_with(study, engines, Setup::offered(&study.car))
}

/// The same with these gearings, the fitted one first.
pub fn run_with(study: &Study, engines: &Engines, offered: Vec<Setup>) -> Outcome {
    let mut outcome = run_once(study, engines, offered);
    let venues = outcome.venues.par_iter_mut().zip(&study.entries);
    venues.for_each(|(venue, entry)| {
        if let Ok(first) = &venue.road {
            venue.roads = shuffled(study, engines, entry, first);
        }
    });
    outcome
}

/// The same over the one road that each venue is laid out as: whether all can be driven.
pub fn run_once(study: &Study, engines: &Engines, offered: Vec<Setup>) -> Outcome {
    let venues = study
        .entries
        .par_iter()
        .map(|entry| venue(study, engines, entry, &offered))
        .collect();
    Outcome { offered, venues }
}

fn venue(study: &Study, engines: &Engines, entry: &Entry, offered: &[Setup]) -> VenueRun {
    let road = road(study, engines, entry);
    let specs = (0..engines.list.len())
        .into_par_iter()
        .map(|spec| {
            let drive = |setup| variant(study, engines, entry, spec, setup);
            match &road {
                Ok(road) => spec_run(entry, &road.cells, offered, drive),
                Err(error) => SpecRun {
                    as_geared: Err(error.clone()),
                    times: vec![Err(error.clone()); offered.len()],
                    best: None,
                    at_best: None,
                },
            }
        })
        .collect();
    VenueRun {
        length: road.as_ref().map_or(0.0, |r| r.cells.length()),
        road,
        specs,
        roads: Vec::new(),
    }
}

fn spec_run<'a>(
    entry: &Entry,
    cells: &Cells,
    offered: &[Setup],
    variant: impl Fn(Setup) -> Variant<'a> + Sync,
) -> SpecRun {
    let as_geared = reading(&variant(Setup::FITTED), entry, cells);
    let others: Vec<Setup> = (offered.iter().copied())
        .filter(|&setup| setup != Setup::FITTED)
        .collect();
    let mut others = (others.par_chunks(PACK))
        .flat_map_iter(|setups| together(setups, entry, cells, &variant))
        .collect::<Vec<_>>()
        .into_iter();
    let fitted = as_geared.as_ref().map(|reading| reading.time);
    let mut times: Vec<Result<f64, LapError>> = offered
        .iter()
        .map(|&setup| match setup {
            Setup::FITTED => fitted.map_err(Clone::clone),
            _ => others.next().expect("a time for each other gearing"),
        })
        .collect();
    let best = times
        .iter()
        .enumerate()
        .filter_map(|(i, t)| t.as_ref().ok().map(|t| (i, *t)))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .map(|(i, _)| i);
    let at_best = best.and_then(|i| reading(&variant(offered[i]), entry, cells).ok());
    if let (Some(best), Some(reading)) = (best, &at_best) {
        times[best] = Ok(reading.time);
    }
    SpecRun {
        as_geared,
        times,
        best,
        at_best,
    }
}

/// Seconds with each of some gearings, driven together: to a few millionths of a second those of
/// [`time`].
fn together<'a>(
    setups: &[Setup],
    entry: &Entry,
    cells: &Cells,
    variant: impl Fn(Setup) -> Variant<'a>,
) -> Vec<Result<f64, LapError>> {
    let machines: Vec<_> = setups
        .iter()
        .map(|&setup| variant(setup).compile(&entry.course))
        .collect();
    let entrants: Vec<Entrant> = (machines.iter().flatten())
        .map(|machine| Entrant {
            machine,
            cells,
            menu: None,
        })
        .collect();
    let mut driven = quickest_of(&entrants, &mut Pack::default()).into_iter();
    machines
        .iter()
        .map(|machine| {
            machine.as_ref().map_err(Clone::clone)?;
            let found = driven.next().expect("a lap for each machine")?;
            Ok(found.time)
        })
        .collect()
}

/// The cells of [`road`] alone.
///
/// # Errors
/// As [`road`].
pub fn cells(study: &Study, engines: &Engines, entry: &Entry) -> Result<Cells, LapError> {
    road(study, engines, entry).map(|road| road.cells)
}

/// One spec with one gearing at one venue.
pub fn variant<'a>(
    study: &'a Study,
    engines: &'a Engines,
    entry: &Entry,
    spec: usize,
    setup: Setup,
) -> Variant<'a> {
    let car = &study.car;
    let engine = &engines.list[spec];
    let trim = setup.trim(car, entry.trim);
    let fitted = study.rules.fitted.and_then(|spec| engines.list.get(spec));
    let in_the_car = fitted.map_or(0.0, |fitted| fitted.extra_mass);
    let extra_mass = engine.extra_mass - in_the_car + setup.extra_mass(car, entry.trim);
    let ballast = |least: f64| (least - trim.mass - extra_mass).max(0.0);
    Variant {
        car,
        trim,
        gearbox: setup.gearbox(car),
        final_drive: setup.final_drive(car).ratio,
        habits: entry.habits,
        curve: &engine.curve,
        at_wheels: engines.at_wheels,
        limit_rpm: engines.limit_rpm,
        torque_factor: engines.torque_factor(&entry.course.air),
        air_density: entry
            .course
            .air_density
            .unwrap_or_else(|| entry.course.air.density()),
        extra_mass: extra_mass + study.rules.minimum_mass.map_or(0.0, ballast),
    }
}

/// Seconds that one variant takes, the driver shifting as he does.
///
/// # Errors
/// Why it cannot be driven.
pub fn time(variant: &Variant, entry: &Entry, cells: &Cells) -> Result<f64, LapError> {
    let machine = variant.compile(&entry.course)?;
    let limits = Limits::new(&machine, cells)?;
    search(&machine, cells, &limits, Choice::AsDriven).map(|found| found.lap.time)
}

/// [`time`] to a few millionths of a second, in a fraction of its time: for differences.
///
/// # Errors
/// Why it cannot be driven.
pub fn quick_time(variant: &Variant, entry: &Entry, cells: &Cells) -> Result<f64, LapError> {
    let machine = variant.compile(&entry.course)?;
    let found = quickest(&machine, cells, None, &mut Workspace::default())?;
    Ok(found.time)
}

/// Drives one variant as its driver does and reads what happened.
///
/// # Errors
/// Why it cannot be driven.
pub fn reading(variant: &Variant, entry: &Entry, cells: &Cells) -> Result<Reading, LapError> {
    let driven = Driving::of(variant, entry, cells, Choice::AsDriven)?;
    let (machine, limits) = (&driven.machine, &driven.limits);
    Ok(Reading::new(
        machine,
        cells,
        limits,
        &driven.tape,
        &driven.lap,
    ))
}
