//! One draw as machines on roads: what is driven where.

use std::borrow::Cow;

use super::draws::{Draw, Input, PullScatter};
use super::engines::Engines;
use super::run::variant;
use super::setup::Setup;
use super::times::Plan;
use super::{Entry, Study};
use crate::car::Car;
use crate::dyno::{Curve, Drawer};
use crate::lap::{Cells, LapError, Machine};
use crate::schedule::{Menu, Pack};

/// How well a driver repeats a corner share that a time of his has settled, one standard deviation
/// (common practice, no source).
const REPEATS: f64 = 0.01;

/// What all draws share.
#[derive(Debug)]
pub struct Drawing<'a> {
    study: &'a Study,
    engines: &'a Engines,
    plan: &'a Plan,
    drawer: Drawer<'a>,
}

/// One draw.
#[derive(Debug)]
pub struct Drawn {
    draw: Draw,
    car: Car,
    curves: Vec<Curve>,
}

/// A draw at one venue.
#[derive(Debug)]
pub struct Lot<'a> {
    /// The road of this draw.
    pub cells: Cow<'a, Cells>,
    /// A machine for each spec.
    pub machines: Vec<Result<Machine, LapError>>,
}

impl<'a> Drawing<'a> {
    /// Draws of a study as planned.
    pub fn new(study: &'a Study, engines: &'a Engines, plan: &'a Plan) -> Self {
        Self {
            study,
            engines,
            plan,
            drawer: engines.day.drawer(),
        }
    }

    /// The draw of an index.
    pub fn draw(&self, index: u64) -> Drawn {
        self.drawn(Draw::new(self.plan.seed, index))
    }

    fn drawn(&self, draw: Draw) -> Drawn {
        Drawn {
            car: draw.car(&self.study.car),
            curves: self.curves(draw.index()),
            draw,
        }
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

    /// A draw at one venue, on a road cut into cells.
    pub fn lot<'c>(&self, drawn: &Drawn, entry: &Entry, cells: &'c Cells) -> Lot<'c> {
        let (draw, car) = (&drawn.draw, &drawn.car);
        let mut habitual = self.plan.habitual;
        if (entry.course.known.as_ref()).is_some_and(|known| known.corner_share.is_some()) {
            habitual.corner_share = habitual.corner_share.min(REPEATS);
        }
        let habitual = &habitual;
        let speeds = draw.corner_speeds(entry, habitual.corner_speed);
        let cells = match speeds {
            Some(factors) => Cow::Owned(cells.with_corner_speeds(&entry.course, &factors)),
            None => Cow::Borrowed(cells),
        };
        let habits = draw.habits(&entry.habits, habitual);
        let air = draw.factor(Input::AirDensity, car.uncertain.air_density);
        let machines = drawn.curves.iter().enumerate().map(|(spec, curve)| {
            let mut variant = variant(self.study, self.engines, entry, spec, Setup::FITTED);
            variant.car = car;
            variant.trim = &car.trims[entry.trim];
            variant.gearbox = &car.gearbox;
            variant.habits = habits;
            variant.curve = curve;
            variant.air_density *= air;
            variant.compile(&entry.course)
        });
        Lot {
            machines: machines.collect(),
            cells,
        }
    }

    /// For each spec what is worth trying at a venue: the nominal lap and some draws that belong to
    /// no study ([`Draw::pilot`]) decide.
    pub fn menus(&self, entry: &Entry, cells: &Cells) -> Vec<Menu> {
        let pilots = (0..Draw::PILOTS).map(|i| Draw::pilot(self.plan.seed, i));
        let pilots = pilots.map(|draw| self.drawn(draw));
        let lots: Vec<Lot> = pilots.map(|d| self.lot(&d, entry, cells)).collect();
        let mut pack = Pack::default();
        (0..self.engines.list.len())
            .map(|spec| {
                let nominal = variant(self.study, self.engines, entry, spec, Setup::FITTED);
                let nominal = nominal.compile(&entry.course).ok();
                let pilots = lots
                    .iter()
                    .filter_map(|lot| Some((lot.machines[spec].as_ref().ok()?, &*lot.cells)));
                let all = nominal.iter().map(|machine| (machine, cells)).chain(pilots);
                Menu::of(&all.collect::<Vec<_>>(), cells, &mut pack)
            })
            .collect()
    }
}
