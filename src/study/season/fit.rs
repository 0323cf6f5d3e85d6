//! What can be in the car: one choice of each kind of part.

use super::super::engines::Engines;
use super::super::run::{Outcome, time, variant};
use super::super::setup::Setup;
use super::super::{Entry, Study};
use super::legs::Leg;
use crate::car::offer::Terms;
use crate::car::{Car, Differential};
use crate::lap::Cells;

/// A kind of part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// Engine spec.
    Spec,
    /// Crownwheel and pinion, with drop gears.
    FinalDrive,
    /// Gear set.
    GearSet,
    /// Differential.
    Differential,
    /// Tyres.
    Tyre,
    /// Mass taken out.
    Lighter,
    /// Rev limit, with its rebuild.
    RevLimit,
}

impl Kind {
    /// All of them.
    pub const ALL: [Self; 7] = [
        Self::Spec,
        Self::FinalDrive,
        Self::GearSet,
        Self::Differential,
        Self::Tyre,
        Self::Lighter,
        Self::RevLimit,
    ];
}

/// What is in the car: per kind an index into what is offered, specs into the compared ones; `None` is
/// what is in it now.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct Fit([Option<usize>; Kind::ALL.len()]);

impl Fit {
    /// As the car stands.
    pub const NOW: Self = Self([None; Kind::ALL.len()]);

    /// What is fitted of a kind.
    pub fn of(&self, kind: Kind) -> Option<usize> {
        self.0[kind as usize]
    }

    /// The same with another part, or what is there now.
    #[must_use]
    pub fn with(mut self, kind: Kind, part: Option<usize>) -> Self {
        self.0[kind as usize] = part;
        self
    }

    /// The parts that differ from what is in the car now.
    pub fn parts(&self) -> impl Iterator<Item = (Kind, usize)> + '_ {
        Kind::ALL
            .into_iter()
            .filter_map(|kind| Some((kind, self.of(kind)?)))
    }

    /// Number of parts in which two differ.
    pub fn differs(&self, other: &Self) -> usize {
        Kind::ALL
            .into_iter()
            .filter(|&kind| self.of(kind) != other.of(kind))
            .count()
    }

    /// Gear set and final drive.
    pub fn setup(&self) -> Setup {
        Setup {
            gearbox: self.of(Kind::GearSet),
            final_drive: self.of(Kind::FinalDrive),
            // Tyres come with the chassis, whatever their grip.
            tyre: None,
        }
    }

    /// The study with these parts in the car, all events in `legs`.
    pub fn study(&self, study: &Study, legs: &[Leg]) -> Study {
        let mut car = study.car.clone();
        let mut entries: Vec<_> = legs.iter().map(|leg| leg.driven.clone()).collect();
        self.fit_gears(&mut car);
        self.fit_chassis(&mut car);
        if let Some(limit) = self.of(Kind::RevLimit) {
            let rpm = study.car.purchases.rev_limits[limit].rpm;
            let more = rpm - car.rev_limit_rpm;
            car.rev_limit_rpm = rpm;
            // The driver's light moves up with the limit.
            for light in entries
                .iter_mut()
                .filter_map(|e| e.habits.shift_light_rpm.as_mut())
            {
                *light += more;
            }
        }
        Study {
            car,
            entries,
            ..study.clone()
        }
    }

    fn fit_gears(&self, car: &mut Car) {
        let setup = self.setup();
        let extra = setup.extra_mass(car, 0);
        let (gears, drive) = (setup.gearbox(car).clone(), setup.final_drive(car).clone());
        (car.gearbox, car.final_drive) = (gears, drive);
        for trim in &mut car.trims {
            trim.mass += extra;
        }
    }

    fn fit_chassis(&self, car: &mut Car) {
        if let Some(tyre) = self.of(Kind::Tyre) {
            let tyre = car.purchases.tyres[tyre].clone();
            for (trim, other) in car.trims.iter_mut().zip(tyre.trims) {
                if let Some(other) = other {
                    trim.tyre = other.tyre;
                    trim.rolling_radius = other.rolling_radius;
                    trim.grip.extend(other.grip);
                    trim.mass += tyre.terms.mass.unwrap_or(0.0);
                }
            }
        }
        if let Some(i) = self.of(Kind::Differential) {
            let offered = &car.purchases.differentials[i];
            let extra = offered.terms.mass.unwrap_or(0.0);
            car.differential = offered.differential;
            car.trims.iter_mut().for_each(|trim| trim.mass += extra);
        }
        if let Some(i) = self.of(Kind::Lighter) {
            let less = car.purchases.lighter[i].terms.mass.unwrap_or(0.0);
            car.trims.iter_mut().for_each(|trim| trim.mass += less);
        }
    }
}

/// What can be bought of a kind: parts by their indices, those that repeat what is fitted left out.
pub fn offered(study: &Study, kind: Kind) -> Vec<usize> {
    let car = &study.car;
    let setups = || Setup::offered(car);
    match kind {
        Kind::Spec => {
            let fitted = study.rules.fitted.unwrap_or(0);
            (0..study.compared.len()).filter(|&i| i != fitted).collect()
        }
        Kind::FinalDrive => setups()
            .iter()
            .filter(|setup| setup.gearbox.is_none())
            .filter_map(|setup| setup.final_drive)
            .collect(),
        Kind::GearSet => setups()
            .iter()
            .filter(|setup| setup.final_drive.is_none())
            .filter_map(|setup| setup.gearbox)
            .collect(),
        Kind::Differential => {
            let other = |d: &Differential| *d != car.differential;
            let list = car.purchases.differentials.iter().enumerate();
            list.filter(|(_, d)| other(&d.differential))
                .map(|(i, _)| i)
                .collect()
        }
        Kind::Tyre => (0..car.purchases.tyres.len()).collect(),
        Kind::Lighter => (0..car.purchases.lighter.len()).collect(),
        Kind::RevLimit => (0..car.purchases.rev_limits.len()).collect(),
    }
}

/// The terms of a part.
pub fn terms(study: &Study, kind: Kind, part: usize) -> Terms {
    let car = &study.car;
    match kind {
        Kind::Spec => {
            let spec = &study.test_day.specs[study.compared[part]];
            Terms {
                price: spec.price,
                mass: spec.mass,
                swap_time: spec.swap_time,
                allowed_in: spec.allowed_in.clone(),
            }
        }
        Kind::FinalDrive => car.final_drive_options[part].terms.clone(),
        Kind::GearSet => car.gearbox_options[part].terms.clone(),
        Kind::Differential => car.purchases.differentials[part].terms.clone(),
        Kind::Tyre => car.purchases.tyres[part].terms.clone(),
        Kind::Lighter => car.purchases.lighter[part].terms.clone(),
        Kind::RevLimit => car.purchases.rev_limits[part].terms.clone(),
    }
}

/// Everything that stays the same while parts change: the study, its specs, its laps and their roads.
#[derive(Debug)]
pub struct Ground<'a> {
    /// The study.
    pub study: &'a Study,
    /// Its specs.
    pub engines: &'a Engines,
    /// Laps and runs of the season.
    pub legs: &'a [Leg],
    /// Their roads.
    pub roads: &'a Outcome,
}

impl Ground<'_> {
    /// Index of the spec of a fit.
    pub fn spec(&self, fit: &Fit) -> usize {
        fit.of(Kind::Spec)
            .unwrap_or_else(|| self.study.rules.fitted.unwrap_or(0))
    }

    /// Seconds that each event counts with a fit; `None` where a lap of it cannot be driven.
    pub fn seconds(&self, fit: &Fit) -> Vec<Option<f64>> {
        let with = fit.study(self.study, self.legs);
        let other;
        let engines = match fit.of(Kind::RevLimit) {
            Some(_) => {
                other = self.engines.with_rev_limit(with.car.rev_limit_rpm);
                &other
            }
            None => self.engines,
        };
        let spec = self.spec(fit);
        let mut sums = vec![Some(0.0); self.study.entries.len()];
        for (i, leg) in self.legs.iter().enumerate() {
            let entry = &with.entries[i];
            let venue = &self.roads.venues[i];
            let drive = |entry: &Entry, cells: &Cells| {
                let variant = variant(&with, engines, entry, spec, Setup::FITTED);
                time(&variant, entry, cells).ok()
            };
            let seconds = match &venue.roads[..] {
                [] => (venue.road.as_ref().ok()).and_then(|road| drive(entry, &road.cells)),
                roads => {
                    let each = roads
                        .iter()
                        .map(|road| drive(&road.driven_as(entry), &road.cells));
                    let sum = each.sum::<Option<f64>>();
                    sum.map(|sum| sum / roads.len() as f64)
                }
            };
            let sum = &mut sums[leg.entry];
            *sum = sum.zip(seconds).map(|(sum, t)| sum + leg.factor * t);
        }
        sums
    }
}
