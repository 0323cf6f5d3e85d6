//! A time done at a venue settles the share of the cornering limit that the driver uses there.

use super::engines::Engines;
use super::roads::for_car;
use super::run::{cells, time, variant};
use super::setup::Setup;
use super::state_grip;
use super::{Entry, Study};
use crate::car::Trim;
use crate::dyno::ReduceError;
use crate::lap::{Cells, LapError};
use crate::venue::KnownTime;

/// Shares that drivers corner at; a time beyond them says that another input is wrong (common
/// practice, no source).
pub const SHARES: (f64, f64) = (0.75, 1.0);
/// How near the lap comes to the known time, s.
const NEAR: f64 = 0.002;
/// Laps that are driven at most.
const LAPS: usize = 40;
/// Nobody is farther off than this many times what is usual.
const FARTHEST: f64 = 4.0;

/// Inputs that may be wrong where no share gives the known time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Suspect {
    /// Grip of the tyres on the surface, in fractions.
    Grip,
    /// Mass of the car, kg.
    Mass,
    /// Torque of the engine, in fractions.
    Torque,
    /// Length of the road, in fractions.
    Length,
}

impl Suspect {
    const ALL: [Self; 4] = [Self::Grip, Self::Mass, Self::Torque, Self::Length];

    /// How far people are usually off, one standard deviation (common practice, no source).
    fn usual(self) -> f64 {
        match self {
            Self::Grip => 0.06,
            Self::Mass => 20.0,
            Self::Torque => 0.03,
            Self::Length => 0.01,
        }
    }

    /// Step in which a change is told: kg for mass, otherwise a fraction.
    fn step(self) -> f64 {
        match self {
            Self::Grip => 0.005,
            Self::Mass => 1.0,
            Self::Torque | Self::Length => 0.001,
        }
    }

    /// Which way it makes the car quicker.
    fn sign(self) -> f64 {
        match self {
            Self::Grip | Self::Torque => 1.0,
            Self::Mass | Self::Length => -1.0,
        }
    }
}

/// A change of an input with which the known time can be driven at the nearest share, as it was tried.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// The input.
    pub suspect: Suspect,
    /// By how much it would have to change: kg for mass, otherwise a fraction.
    pub by: f64,
    /// The same in times of how far people are usually off.
    pub steps: f64,
}

/// Why a known time says nothing of the driver.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum KnownError {
    /// The spec that was fitted is not one of the test day's.
    #[error("the test day has no spec `{0}`, with which the known time was done")]
    Spec(String),
    /// The pulls give no curve for it.
    #[error(transparent)]
    Curve(#[from] ReduceError),
    /// The lap cannot be driven.
    #[error(transparent)]
    Lap(#[from] LapError),
    /// No share of the cornering limit takes this car that long, or that short.
    #[error("no driver's share of the cornering limit gives the known time")]
    Beyond {
        /// The known time, s.
        known: f64,
        /// The time at the nearest share, s.
        nearest: f64,
        /// That share.
        share: f64,
        /// What would give the known time at that share, the likeliest first.
        changes: Vec<Change>,
        /// Other specs of the study that can drive it, where nobody says which was fitted.
        specs: Vec<String>,
        /// Grip of the state that it was done in, over the dry, that would give it with the speeds that are
        /// written; `None` where it was done in the dry, or nobody wrote speeds.
        grip: Option<f64>,
    },
}

/// Solves the corner share of each entry with a known time, and writes it into the driver's habits
/// there and into [`KnownTime::corner_share`]; the driver's own speeds move with it. Gives
/// what failed by index of the entry.
pub fn settle(study: &mut Study, engines: &Engines) -> Vec<(usize, KnownError)> {
    let mut failed = Vec::new();
    for index in 0..study.entries.len() {
        let Some(known) = study.entries[index].course.known.clone() else {
            continue;
        };
        match share(study, engines, index, &known) {
            Ok((share, grip)) => {
                let entry = &mut study.entries[index];
                adopt(entry, share);
                if let Some(known) = &mut entry.course.known {
                    known.grip_for_speeds = grip;
                }
            }
            Err(error) => failed.push((index, error)),
        }
    }
    failed
}

/// Puts a solved share in the place of the usual one.
fn adopt(entry: &mut Entry, share: f64) {
    let scale = share / entry.habits.corner_share;
    entry.course.speeds *= scale;
    entry.habits.corner_share = share;
    let seen = entry.course.has_speeds();
    if let Some(known) = &mut entry.course.known {
        known.corner_share = Some(share);
        known.speeds = seen.then_some(scale);
    }
}

/// The share with which the lap takes the known time, and the grip of its state that would do as well.
fn share(
    study: &Study,
    engines: &Engines,
    index: usize,
    known: &KnownTime,
) -> Result<(f64, Option<f64>), KnownError> {
    let entry = &Entry {
        course: study.entries[index].course.as_written(),
        ..study.entries[index].clone()
    };
    let (spec, own) = fitted(study, engines, known)?;
    let engines = own.as_ref().unwrap_or(engines);
    let day = Day {
        study,
        engines,
        spec,
        entry,
        cells: cells(study, engines, entry)?,
        known,
    };
    let (low, slow) = (SHARES.0, day.off(SHARES.0)?);
    let (high, quick) = day.quickest()?;
    if quick > 0.0 {
        return Err(day.beyond(high, quick));
    }
    if slow < 0.0 {
        return Err(day.beyond(low, slow));
    }
    let share = day.between((low, slow), (high, quick))?;
    Ok((share, day.grip_for_speeds()))
}

/// Index of the spec that was fitted, with engines of its own where it is not among the compared.
fn fitted(
    study: &Study,
    engines: &Engines,
    known: &KnownTime,
) -> Result<(usize, Option<Engines>), KnownError> {
    let Some(name) = &known.spec else {
        return Ok((study.rules.fitted.unwrap_or(0), None));
    };
    if let Some(spec) = engines.list.iter().position(|spec| spec.name == *name) {
        return Ok((spec, None));
    }
    let index = study.test_day.spec(name);
    let index = index.ok_or_else(|| KnownError::Spec(name.clone()))?;
    let own = Engines::of(&study.test_day, &[index], study.car.rev_limit_rpm)?;
    Ok((0, Some(own)))
}

/// The day on which the known time was done.
struct Day<'a> {
    study: &'a Study,
    engines: &'a Engines,
    spec: usize,
    entry: &'a Entry,
    cells: Cells,
    known: &'a KnownTime,
}

impl Day<'_> {
    /// Seconds by which the lap at a share is slower than the known time.
    fn off(&self, share: f64) -> Result<f64, LapError> {
        self.changed(share, None)
    }

    /// The largest share that can be driven, and how far its lap is off. Downhill the tyres need
    /// something left to hold the car.
    fn quickest(&self) -> Result<(f64, f64), LapError> {
        let all = self.off(SHARES.1).map(|off| (SHARES.1, off));
        all.or_else(|error| {
            let less = (1..10).map(|step| SHARES.1 - 0.01 * f64::from(step));
            let mut driven = less.filter_map(|share| Some((share, self.off(share).ok()?)));
            driven.next().ok_or(error)
        })
    }

    /// The share between two, of which one is too slow and one too quick: regula falsi with the Illinois step, as
    /// the lap gets quicker with the share, but not smoothly.
    fn between(
        &self,
        (mut low, mut slow): (f64, f64),
        (mut high, mut quick): (f64, f64),
    ) -> Result<f64, LapError> {
        let mut last_side = 0;
        for _ in 0..LAPS {
            if slow <= NEAR {
                return Ok(low);
            }
            if -quick <= NEAR || high - low < 1e-6 {
                return Ok(high);
            }
            let middle = low + (high - low) * slow / (slow - quick);
            let off = self.off(middle)?;
            if off > 0.0 {
                (low, slow) = (middle, off);
                quick *= if last_side == 1 { 0.5 } else { 1.0 };
                last_side = 1;
            } else {
                (high, quick) = (middle, off);
                slow *= if last_side == -1 { 0.5 } else { 1.0 };
                last_side = -1;
            }
            if off.abs() <= NEAR {
                return Ok(middle);
            }
        }
        Ok(0.5 * (low + high))
    }

    fn changed(&self, share: f64, change: Option<(Suspect, f64)>) -> Result<f64, LapError> {
        let by = |suspect| change.filter(|c| c.0 == suspect).map_or(0.0, |c| c.1);
        let more = by(Suspect::Grip);
        let other = (more != 0.0).then(|| self.gripping(1.0 + more));
        let other = other.transpose()?;
        let written = (self.study, self.entry, &self.cells);
        let (study, entry, cells) = other
            .as_ref()
            .map_or(written, |(study, entry, cells)| (study, entry, cells));
        let mut entry = entry.clone();
        entry.habits.corner_share = share;
        let trim = self.tyres(study, self.known.grip);
        let mut variant = variant(study, self.engines, &entry, self.spec, Setup::FITTED);
        variant.trim = &trim;
        variant.extra_mass += by(Suspect::Mass);
        variant.torque_factor *= 1.0 + by(Suspect::Torque);
        let seconds = time(&variant, &entry, cells)?;
        // A longer road of the same kind takes its time in proportion.
        Ok(seconds * (1.0 + by(Suspect::Length)) - self.known.time)
    }

    /// Tyres in a state: their own grip and not the surfaces', as those that a trim names have no factor.
    fn tyres(&self, study: &Study, grip: f64) -> Trim {
        let mut trim = study.car.trims[self.entry.trim].clone();
        trim.grip.values_mut().for_each(|own| *own *= grip);
        trim
    }

    /// The study with more grip written into the car, and the road as that car goes round it: speeds that were
    /// measured stay what they are.
    fn gripping(&self, factor: f64) -> Result<(Study, Entry, Cells), LapError> {
        let mut study = self.study.clone();
        let trim = &mut study.car.trims[self.entry.trim];
        trim.grip.values_mut().for_each(|own| *own *= factor);
        let entry = Entry {
            course: for_car(&self.entry.course, trim),
            ..self.entry.clone()
        };
        let cells = cells(&study, self.engines, &entry)?;
        Ok((study, entry, cells))
    }

    /// The grip of the state that gives the known time with the usual share and the speeds that are written for
    /// the dry.
    fn grip_for_speeds(&self) -> Option<f64> {
        if self.known.grip == 1.0 || !self.entry.course.has_speeds() {
            return None;
        }
        state_grip::factor(self.known.time, |grip| {
            let trim = self.tyres(self.study, grip);
            let mut variant = variant(
                self.study,
                self.engines,
                self.entry,
                self.spec,
                Setup::FITTED,
            );
            variant.trim = &trim;
            time(&variant, self.entry, &self.cells).ok()
        })
    }

    /// Why the time at a share is `off` seconds from the known one.
    fn beyond(&self, share: f64, off: f64) -> KnownError {
        let side = off.signum();
        let changes = Suspect::ALL.into_iter();
        let mut changes: Vec<Change> = changes
            .filter_map(|suspect| self.enough(suspect, share, side))
            .collect();
        changes.sort_by(|a, b| a.steps.total_cmp(&b.steps));
        let all = 0..self.engines.list.len();
        let others = all.filter(|&spec| self.known.spec.is_none() && spec != self.spec);
        KnownError::Beyond {
            known: self.known.time,
            nearest: self.known.time + off,
            share,
            changes,
            specs: others
                .filter(|&spec| self.can_drive(spec))
                .map(|spec| self.engines.list[spec].name.clone())
                .collect(),
            grip: self.grip_for_speeds(),
        }
    }

    /// The smallest change of an input, in steps that are told, with which the known time can be driven at a share;
    /// `None` where nobody is that far off. `side` is 1 where the car must be quicker for it.
    fn enough(&self, suspect: Suspect, share: f64, side: f64) -> Option<Change> {
        let step = suspect.step() * suspect.sign() * side;
        let most = (FARTHEST * suspect.usual() / suspect.step()).round() as u32;
        let does = |steps: u32| {
            let off = self.changed(share, Some((suspect, step * f64::from(steps))));
            off.is_ok_and(|off| off * side <= 0.0)
        };
        let (mut short, mut enough) = (0, 1);
        while !does(enough) {
            if enough == most {
                return None;
            }
            (short, enough) = (enough, most.min(2 * enough));
        }
        while enough - short > 1 {
            let middle = short + (enough - short) / 2;
            match does(middle) {
                true => enough = middle,
                false => short = middle,
            }
        }
        let by = step * f64::from(enough);
        Some(Change {
            suspect,
            by,
            steps: by.abs() / suspect.usual(),
        })
    }

    /// Whether some share gives the known time with another spec fitted.
    fn can_drive(&self, spec: usize) -> bool {
        let day = Day {
            spec,
            cells: self.cells.clone(),
            ..*self
        };
        let slow = day.off(SHARES.0).is_ok_and(|off| off >= 0.0);
        slow && day.quickest().is_ok_and(|(_, off)| off <= 0.0)
    }
}

/// Minutes and seconds that a time in seconds may be meant as, `4.23` for 4:23, where that comes near what is driven, s.
pub fn minutes(known: f64, nearest: f64) -> Option<(u32, u32)> {
    /// Of the time at the nearest share, so much is a time of this car on this road (common practice, no source).
    const NEAR: std::ops::RangeInclusive<f64> = 0.8..=1.5;
    let hundredths = (100.0 * known).round();
    let (minutes, seconds) = ((hundredths / 100.0).floor(), hundredths % 100.0);
    let meant = 60.0 * minutes + seconds;
    (minutes > 0.0 && seconds < 60.0 && NEAR.contains(&(meant / nearest)))
        .then_some((minutes as u32, seconds as u32))
}

#[cfg(test)]
mod tests;
