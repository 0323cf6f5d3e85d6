//! The specs of a test day as the laps use them: a curve each, and one upper limit for all.

use crate::air::Air;
use crate::dyno::{
    Crossover, CrossoverInterval, Curve, Engine, MeasuredAt, ReduceError, Reduced, Standard,
    Stretch, TestDay, shared_limit,
};

/// Difference of torque, relative, below which two curves are one.
const SAME: f64 = 1e-6;

/// What the pulls tell of who leads between two specs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Told {
    /// One throughout, or the curves are one.
    One,
    /// First one, then the other.
    Changes,
    /// One somewhere; elsewhere the curves cross, or not, as chance has it.
    PartlyUntold,
    /// Nobody surely anywhere.
    Untold,
}

/// One spec as the laps use it.
#[derive(Debug, Clone, PartialEq)]
pub struct SpecCurve {
    /// Name of the spec.
    pub name: String,
    /// Corrected mean torque.
    pub curve: Curve,
    /// Mass above that of the test day's lightest spec, compared or not, kg; the trims state the car
    /// with that one fitted, unless the study says which one is.
    pub extra_mass: f64,
    /// What it costs, in the test day's currency.
    pub price: Option<f64>,
}

/// The specs to compare.
#[derive(Debug, Clone, PartialEq)]
pub struct Engines {
    /// In the order of the test day.
    pub list: Vec<SpecCurve>,
    /// The standard that the curves are corrected to.
    pub standard: Standard,
    /// How the engine breathes, which decides what a venue's air does to it.
    pub engine: Engine,
    /// Torque was measured behind the driveline, whose losses are therefore in the curves.
    pub at_wheels: bool,
    /// Upper limit that all share, rpm.
    pub limit_rpm: f64,
    /// The car's rev limit, rpm, to which no spec is driven beyond [`Self::limit_rpm`].
    pub rev_limit_rpm: f64,
    /// The whole day brought to one standard, its specs in the order of their names.
    pub day: Reduced,
    /// Where each of the list stands in the day.
    pub rows: Vec<usize>,
}

impl Engines {
    /// Specs of a test day by their indices, in a car with a rev limit, rpm.
    ///
    /// # Errors
    /// Pulls that no curve can be made of.
    pub fn of(day: &TestDay, compared: &[usize], rev_limit_rpm: f64) -> Result<Self, ReduceError> {
        let (sorted, row) = by_name(day);
        let reduced = sorted.reduce()?;
        let lightest = day.lightest().and_then(|spec| spec.mass).unwrap_or(0.0);
        let list: Vec<SpecCurve> = compared
            .iter()
            .map(|&i| (&day.specs[i], &reduced.specs[row[i]]))
            .map(|(spec, reduced)| SpecCurve {
                name: spec.name.clone(),
                curve: reduced.curve.clone(),
                extra_mass: spec.mass.map_or(0.0, |mass| mass - lightest),
                price: spec.price,
            })
            .collect();
        let limit_rpm = shared_limit(list.iter().map(|spec| &spec.curve), rev_limit_rpm);
        Ok(Self {
            list,
            standard: reduced.standard,
            engine: day.engine,
            at_wheels: matches!(day.dyno.measured_at, MeasuredAt::Hubs | MeasuredAt::Wheels),
            limit_rpm,
            rev_limit_rpm,
            day: reduced,
            rows: compared.iter().map(|&i| row[i]).collect(),
        })
    }

    /// The same specs in a car with another rev limit, rpm.
    pub fn with_rev_limit(&self, rpm: f64) -> Self {
        let limit_rpm = shared_limit(self.list.iter().map(|spec| &spec.curve), rpm);
        Self {
            limit_rpm,
            rev_limit_rpm: rpm,
            ..self.clone()
        }
    }

    /// The same driven as far as the pulls of one of them reach, where that is beyond the limit that all
    /// share.
    pub fn as_far_as(&self, spec: usize) -> Option<Self> {
        let own = shared_limit([&self.list[spec].curve], self.rev_limit_rpm);
        (own > self.limit_rpm).then(|| Self {
            limit_rpm: own,
            ..self.clone()
        })
    }

    /// Torque in an air over the curves'.
    pub fn torque_factor(&self, air: &Air) -> f64 {
        self.engine.in_air(self.standard, air)
    }

    /// Where two specs cross, up to the shared limit, as far as the pulls tell: see [`Self::told`].
    pub fn crossings(&self, first: usize, second: usize) -> Vec<Crossover> {
        let compared = self.day.compare(self.rows[first], self.rows[second]);
        let told = compared.iter().filter(|compared| compared.is_told_apart());
        let all = told.flat_map(|compared| &compared.crossovers);
        let mut found: Vec<Crossover> = all.filter_map(CrossoverInterval::told).collect();
        found.retain(|c| c.rpm < self.limit_rpm);
        found
    }

    /// What the pulls tell of who leads.
    pub fn told(&self, first: usize, second: usize) -> Told {
        let Some(compared) = self.day.compare(self.rows[first], self.rows[second]) else {
            return Told::One;
        };
        let [a, b] = [first, second].map(|spec| &self.list[spec].curve);
        let alike = |rpm: f64| (a.torque(rpm) - b.torque(rpm)).abs() <= SAME * b.torque(rpm);
        let Stretch { from_rpm, to_rpm } = compared.range;
        let mut steps = (0..=100).map(|i| from_rpm + (to_rpm - from_rpm) * f64::from(i) / 100.0);
        let one = steps.all(alike);
        let crosses = |c: &CrossoverInterval| c.at_rpm[0] < self.limit_rpm;
        match compared.is_told_apart() {
            _ if one => Told::One,
            false => Told::Untold,
            true if !self.crossings(first, second).is_empty() => Told::Changes,
            true if compared.crossovers.iter().any(crosses) => Told::PartlyUntold,
            true => Told::One,
        }
    }

    /// Specs whose pulls end below the limit that is driven to: their curves go on along their end
    /// slope from the engine speed given, rpm.
    pub fn extended(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.list
            .iter()
            .enumerate()
            .map(|(i, engine)| (i, engine.curve.last_rpm()))
            .filter(|&(_, last)| last < self.limit_rpm)
    }
}

/// The day with its specs in the order of their names, and where each went: sums are then taken in
/// an order that does not depend on the file's.
fn by_name(day: &TestDay) -> (TestDay, Vec<usize>) {
    let mut order: Vec<usize> = (0..day.specs.len()).collect();
    order.sort_by(|&a, &b| day.specs[a].name.cmp(&day.specs[b].name));
    let mut row = vec![0; order.len()];
    for (to, &from) in order.iter().enumerate() {
        row[from] = to;
    }
    let sorted = TestDay {
        specs: order.iter().map(|&i| day.specs[i].clone()).collect(),
        order: day.order.iter().map(|&(s, f)| (row[s], f)).collect(),
        ..day.clone()
    };
    (sorted, row)
}
