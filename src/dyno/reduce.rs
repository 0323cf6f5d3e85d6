//! From a test day to one curve per spec.
//!
//! Each pull is freed of the spinning-up of the engine, brought to the day's standard and taken onto
//! common engine speeds. A spec's curve is the mean over its fittings of their mean pulls. Means are
//! taken of ln τ: pulls scatter by percentages, and a ratio reads the same from either side. What the
//! day itself did (drift, the first pull after a change) is then taken off; see [`super::levels`].

use super::correction::{CorrectionError, Standard};
use super::curve::{Curve, CurveError};
use super::design::Design;
use super::levels::{self, Levels};
use super::outlying::Outlying;
use super::repeatability::Repeatability;
use super::testday::{Dyno, Method, Pull, Spec, TestDay};
use super::wave::Wave;
use crate::units::RPM_PER_RAD_PER_S;

/// Step of the common grid of engine speeds, rpm.
pub const GRID_RPM: f64 = 50.0;

/// Why a test day gives no curves.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ReduceError {
    /// A spec has no pull that counts.
    #[error("{spec}: no pull to make a curve of")]
    NoPulls {
        /// The spec.
        spec: String,
    },
    /// A pull cannot be brought to the day's standard.
    #[error("{spec}, {pull}: {error}")]
    Correction {
        /// The spec.
        spec: String,
        /// The pull.
        pull: String,
        /// Why.
        error: CorrectionError,
    },
    /// A pull's points are no curve.
    #[error("{spec}, {pull}: {error}")]
    Curve {
        /// The spec.
        spec: String,
        /// The pull.
        pull: String,
        /// Why.
        error: CurveError,
    },
    /// A torque is not above zero.
    #[error("{spec}, {pull}: torque is not above zero at {rpm:.0} rpm")]
    NotPositive {
        /// The spec.
        spec: String,
        /// The pull.
        pull: String,
        /// Where.
        rpm: f64,
    },
    /// The pulls of a spec share no range of engine speed.
    #[error("{spec}: its pulls share no engine speeds")]
    Apart {
        /// The spec.
        spec: String,
    },
}

/// A pull at the day's standard.
#[derive(Debug, Clone, PartialEq)]
pub struct ReducedPull {
    /// Index of its spec.
    pub spec: usize,
    /// Index of its fitting within the spec.
    pub fitting: usize,
    /// Index within the fitting, set-aside pulls counted.
    pub index: usize,
    /// Name for people.
    pub name: String,
    /// What the file's torque was multiplied by.
    pub factor: f64,
    /// Highest power as it stands in the file, W: not corrected here, nothing made good.
    pub peak_as_read: f64,
    /// Whether it is the first after the spec was put together.
    pub first_after_change: bool,
    /// Hours since the first pull.
    pub hours: f64,
    /// Which of the days it was pulled on, where there are several.
    pub day: usize,
    /// Its share in the spec's mean: one over fittings times pulls of the fitting.
    pub weight: f64,
    /// The corrected pull.
    pub curve: Curve,
}

/// A spec's curve at the day's standard.
#[derive(Debug, Clone, PartialEq)]
pub struct ReducedSpec {
    /// Name.
    pub name: String,
    /// Mean over its fittings of their mean pulls, freed of what the day did.
    pub curve: Curve,
    /// What was taken off, relative to torque: the plain mean is the curve times its exponential.
    pub day_shift: f64,
    /// Indices of its pulls in [`Reduced::pulls`].
    pub pulls: Vec<usize>,
    /// How far each of its pulls lies above their weighted mean, ln τ, over the range they share.
    pub levels: Vec<f64>,
}

/// A test day brought to one standard.
#[derive(Debug, Clone, PartialEq)]
pub struct Reduced {
    /// The standard.
    pub standard: Standard,
    /// All pulls that count, in the order of the day.
    pub pulls: Vec<ReducedPull>,
    /// The specs in the order of the test day.
    pub specs: Vec<ReducedSpec>,
    /// What pulls, fittings, hours and cold engines add to the levels of pulls.
    pub levels: Levels,
    /// The smooth wave of pulls about their levels.
    pub wave: Wave,
    /// What was taken for the scatter beside the pulls.
    pub taken: Repeatability,
    /// The pulls that lie outside the others over a stretch, in the order of the day.
    pub(super) off_in_part: Vec<Outlying>,
}

impl TestDay {
    /// Brings every pull to the day's standard and averages each spec.
    ///
    /// # Errors
    /// The first pull or spec that no curve can be made of.
    pub fn reduce(&self) -> Result<Reduced, ReduceError> {
        let mut pulls = Vec::new();
        for &(spec, fitting) in &self.order {
            self.reduce_fitting(spec, fitting, &mut pulls)?;
        }
        super::clock::set_hours(self, &mut pulls);
        let specs = (0..self.specs.len())
            .map(|spec| reduce_spec(&self.specs[spec].name, spec, &pulls))
            .collect::<Result<Vec<_>, _>>()?;
        Ok(finish(self, pulls, specs))
    }

    /// Which day a fitting was pulled on, counted as the days come.
    fn day_of(&self, spec: &Spec, fitting: usize) -> usize {
        let days = self.days();
        let own = &spec.fittings[fitting].day;
        days.iter().position(|day| *day == own).unwrap_or(0)
    }

    fn reduce_fitting(
        &self,
        spec: usize,
        fitting: usize,
        pulls: &mut Vec<ReducedPull>,
    ) -> Result<(), ReduceError> {
        let owner = &self.specs[spec];
        let counts = |pull: &&Pull| pull.counts();
        let all = &owner.fittings[fitting].pulls;
        let fittings = owner
            .fittings
            .iter()
            .filter(|f| f.pulls.iter().any(|p| p.counts()))
            .count();
        let share = 1.0 / (fittings * all.iter().filter(counts).count()) as f64;
        for (index, pull) in all.iter().enumerate().filter(|(_, p)| counts(p)) {
            let (factor, curve) = self.bring(owner, pull)?;
            pulls.push(ReducedPull {
                spec,
                fitting,
                index,
                name: pull.name.clone(),
                factor,
                peak_as_read: peak_as_read(pull),
                first_after_change: index == 0,
                hours: 0.0,
                day: self.day_of(owner, fitting),
                weight: share,
                curve,
            });
        }
        Ok(())
    }

    /// The multiplier and the corrected curve of one pull.
    fn bring(&self, spec: &Spec, pull: &Pull) -> Result<(f64, Curve), ReduceError> {
        let name = || (spec.name.clone(), pull.name.clone());
        let air = pull.air.as_ref();
        let brought = self.engine.bring(pull.corrected, self.correct_to, air);
        let factor = brought.map_err(|error| {
            let (spec, pull) = name();
            ReduceError::Correction { spec, pull, error }
        })?;
        // What spinning up takes is torque the engine made in the air of the pull.
        let added = air
            .and_then(|air| self.engine.factor(self.correct_to, air))
            .unwrap_or(1.0);
        let torque: Vec<f64> = (0..pull.torque.len())
            .map(|i| pull.torque[i] * factor + spinning_up(&self.dyno, pull, i) * added)
            .collect();
        if let Some(i) = torque.iter().position(|t| t.is_nan() || *t <= 0.0) {
            let (spec, pull_name) = name();
            let rpm = pull.rpm.get(i).copied().unwrap_or(f64::NAN);
            return Err(ReduceError::NotPositive {
                spec,
                pull: pull_name,
                rpm,
            });
        }
        let curve = Curve::new(pull.rpm.clone(), torque).map_err(|error| {
            let (spec, pull) = name();
            ReduceError::Curve { spec, pull, error }
        })?;
        Ok((factor, curve))
    }
}

impl Reduced {
    /// Mean over a spec's pulls of their highest power as it stands in the files, W, those left out that stop
    /// before the spec's peak.
    pub fn peak_as_read(&self, spec: usize) -> f64 {
        let spec = &self.specs[spec];
        let peak = spec.curve.peak_power().rpm - GRID_RPM;
        let own = || spec.pulls.iter().map(|&p| &self.pulls[p]);
        let reach = || own().filter(|pull| pull.curve.last_rpm() >= peak);
        let weight: f64 = reach().map(|pull| pull.weight).sum();
        reach()
            .map(|pull| pull.weight * pull.peak_as_read)
            .sum::<f64>()
            / weight
    }
}

/// Fits levels and wave, and frees the curves of what the day did.
fn finish(day: &TestDay, pulls: Vec<ReducedPull>, mut specs: Vec<ReducedSpec>) -> Reduced {
    let mut above = vec![0.0; pulls.len()];
    for spec in &specs {
        for (&pull, level) in spec.pulls.iter().zip(&spec.levels) {
            above[pull] = *level;
        }
    }
    let levels = levels::fit(Design::of(&pulls), &above, &day.repeatability);
    let wave = Wave::of(&specs, &pulls, &day.repeatability);
    for (spec, shift) in specs.iter_mut().zip(&levels.shift) {
        spec.day_shift = *shift;
        spec.curve = spec.curve.scaled((-shift).exp());
    }
    let mut reduced = Reduced {
        standard: day.correct_to,
        pulls,
        specs,
        levels,
        wave,
        taken: day.repeatability,
        off_in_part: Vec::new(),
    };
    reduced.off_in_part = reduced.outlying_in_part();
    reduced
}

/// Torque that went into the engine's own speed at a point of a pull, N·m.
fn spinning_up(dyno: &Dyno, pull: &Pull, point: usize) -> f64 {
    let Some(inertia) = dyno.engine_inertia else {
        return 0.0;
    };
    if dyno.method == Method::Steps {
        return 0.0;
    }
    let own = pull.acceleration.get(point).copied();
    let stated = pull.sweep_rate.or(dyno.sweep_rate);
    let stated = match pull.handling.ran_down {
        true => stated.map(|rate| -rate),
        false => stated,
    };
    inertia * own.or(stated).unwrap_or(0.0) / RPM_PER_RAD_PER_S
}

fn peak_as_read(pull: &Pull) -> f64 {
    let as_read = Curve::new(pull.rpm.clone(), pull.torque.clone());
    as_read.map_or(f64::NAN, |curve| curve.peak_power().value)
}

fn reduce_spec(name: &str, spec: usize, pulls: &[ReducedPull]) -> Result<ReducedSpec, ReduceError> {
    let mine: Vec<usize> = (0..pulls.len())
        .filter(|&i| pulls[i].spec == spec)
        .collect();
    let owner = || name.to_owned();
    let Some(&first) = mine.first() else {
        return Err(ReduceError::NoPulls { spec: owner() });
    };
    let rpm = engine_speeds(&mine, pulls);
    let levels = levels(&mine, pulls).ok_or_else(|| ReduceError::Apart { spec: owner() })?;
    if rpm.len() < 2 {
        return Err(ReduceError::Apart { spec: owner() });
    }
    let torque = rpm
        .iter()
        .map(|&rpm| mean_log_torque(&mine, &levels, pulls, rpm).exp())
        .collect();
    let curve = Curve::new(rpm, torque).map_err(|error| ReduceError::Curve {
        spec: owner(),
        pull: pulls[first].name.clone(),
        error,
    })?;
    Ok(ReducedSpec {
        name: owner(),
        curve,
        day_shift: 0.0,
        pulls: mine,
        levels,
    })
}

/// Weighted mean of ln τ at an engine speed: of the pulls that reach it, each freed of how far it
/// lies above the spec's mean, so that the curve has no step where a pull ends.
fn mean_log_torque(mine: &[usize], levels: &[f64], pulls: &[ReducedPull], rpm: f64) -> f64 {
    let reaches =
        |pull: &ReducedPull| pull.curve.first_rpm() <= rpm && rpm <= pull.curve.last_rpm();
    let (mut sum, mut weights) = (0.0, 0.0);
    for (&i, level) in mine.iter().zip(levels) {
        let pull = &pulls[i];
        if reaches(pull) {
            sum += pull.weight * (pull.curve.torque(rpm).ln() - level);
            weights += pull.weight;
        }
    }
    sum / weights
}

/// The engine speeds of a spec's curve: its pulls' own where they all share them, else the common
/// grid over the range that at least half of the pulls reach, with its ends.
fn engine_speeds(mine: &[usize], pulls: &[ReducedPull]) -> Vec<f64> {
    let speeds = |i: usize| pulls[i].curve.points().map(|(rpm, _)| rpm);
    if mine.iter().all(|&i| speeds(i).eq(speeds(mine[0]))) {
        return speeds(mine[0]).collect();
    }
    let half = mine.len().div_ceil(2) - 1;
    let mut firsts: Vec<f64> = mine.iter().map(|&i| pulls[i].curve.first_rpm()).collect();
    let mut lasts: Vec<f64> = mine.iter().map(|&i| pulls[i].curve.last_rpm()).collect();
    firsts.sort_by(f64::total_cmp);
    lasts.sort_by(|a, b| b.total_cmp(a));
    let (lo, hi) = (firsts[half], lasts[half]);
    if lo >= hi {
        return Vec::new();
    }
    // No grid point so near an end that the slope between them would be made of rounding.
    let clear = 0.2 * GRID_RPM;
    let inner = grid(lo + clear, hi - clear);
    std::iter::once(lo).chain(inner).chain([hi]).collect()
}

/// The points of the common grid from `lo` to `hi`.
pub(super) fn grid(lo: f64, hi: f64) -> impl Iterator<Item = f64> {
    let first = (lo / GRID_RPM).ceil();
    let count = ((hi / GRID_RPM).floor() - first + 1.0).max(0.0) as usize;
    (0..count).map(move |k| (first + k as f64) * GRID_RPM)
}

/// How far each pull lies above the weighted mean of the spec, ln τ, over the grid points they all
/// reach; `None` where there are none.
fn levels(mine: &[usize], pulls: &[ReducedPull]) -> Option<Vec<f64>> {
    let lo = fold(mine, pulls, Curve::first_rpm, f64::max);
    let hi = fold(mine, pulls, Curve::last_rpm, f64::min);
    if mine.len() == 1 {
        return Some(vec![0.0]);
    }
    let mut points: Vec<f64> = grid(lo, hi).collect();
    if points.is_empty() && lo <= hi {
        points.push(0.5 * (lo + hi));
    }
    if points.is_empty() {
        return None;
    }
    let means: Vec<f64> = mine
        .iter()
        .map(|&i| {
            let sum: f64 = points.iter().map(|&r| pulls[i].curve.torque(r).ln()).sum();
            sum / points.len() as f64
        })
        .collect();
    let centre: f64 = mine
        .iter()
        .zip(&means)
        .map(|(&i, mean)| pulls[i].weight * mean)
        .sum();
    Some(means.iter().map(|mean| mean - centre).collect())
}

fn fold(
    mine: &[usize],
    pulls: &[ReducedPull],
    end: fn(&Curve) -> f64,
    pick: fn(f64, f64) -> f64,
) -> f64 {
    mine.iter()
        .map(|&i| end(&pulls[i].curve))
        .reduce(pick)
        .unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests;
