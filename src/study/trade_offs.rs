//! What the usual changes to the car are worth at a venue, each driven and with its own schedule.

use rayon::prelude::*;

use super::engines::Engines;
use super::run::{Outcome, SpecRun, variant};
use super::schedules::EARLY_RPM;
use super::setup::Setup;
use super::{Entry, Study};
use crate::car::{Car, Gearbox};
use crate::lap::{Cells, LapError, Limits, Machine, Variant};
use crate::schedule::{Choice, search};

/// A change to the car or the driver.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Change {
    /// 10 kg of mass.
    Mass,
    /// 1 % of torque.
    Torque,
    /// 1 % of grip on every surface.
    Grip,
    /// 0.01 m² of drag area.
    DragArea,
    /// 1 % of final drive; more is shorter.
    FinalDrive,
    /// One tooth of the crown wheel; more is shorter.
    Tooth,
    /// 0.05 s of shift time.
    ShiftTime,
    /// 100 rpm of upper limit, the shift light moving with it.
    Limit,
    /// Shifting up 500 rpm earlier: there is no "more".
    Early,
}

impl Change {
    /// All of them, in the order in which they are shown.
    pub const ALL: [Self; 9] = [
        Self::Mass,
        Self::Torque,
        Self::Grip,
        Self::DragArea,
        Self::FinalDrive,
        Self::Tooth,
        Self::ShiftTime,
        Self::Limit,
        Self::Early,
    ];

    /// How much of it is changed: kg, fraction, m², teeth, s or rpm.
    pub fn step(self) -> f64 {
        match self {
            Self::Mass => 10.0,
            Self::Torque | Self::Grip | Self::FinalDrive => 0.01,
            Self::DragArea => 0.01,
            Self::Tooth => 1.0,
            Self::ShiftTime => 0.05,
            Self::Limit => 100.0,
            Self::Early => EARLY_RPM,
        }
    }
}

/// What a change is worth either way; negative seconds are quicker.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TradeOff {
    /// What is changed.
    pub change: Change,
    /// Seconds with less of it; `None` where that does not exist or cannot be driven.
    pub less: Option<f64>,
    /// Seconds with more of it; `None` where that does not exist or cannot be driven.
    pub more: Option<f64>,
}

/// What the changes are worth to one spec at one venue, as geared.
#[derive(Debug, Clone, PartialEq)]
pub struct TradeOffs {
    /// Index of the spec.
    pub spec: usize,
    /// Its time, s.
    pub time: f64,
    /// In the order of [`Change::ALL`].
    pub list: Vec<TradeOff>,
    /// Upper limit, rpm.
    pub limit_rpm: f64,
    /// Mean piston speed per rpm, m/s: twice the stroke over 60; `None` without the stroke.
    pub piston_speed_per_rpm: Option<f64>,
}

impl TradeOffs {
    /// Of one spec at a venue in cells, as geared.
    ///
    /// # Errors
    /// Why the car as it stands cannot be driven.
    pub fn of(
        study: &Study,
        engines: &Engines,
        (entry, cells): (&Entry, &Cells),
        spec: usize,
    ) -> Result<Self, LapError> {
        let nominal = variant(study, engines, entry, spec, Setup::FITTED);
        let place = (entry, cells);
        let time = drive(&nominal, place, |_| {})?;
        let list = Change::ALL
            .into_par_iter()
            .map(|change| {
                let side = |steps: f64| Some(changed(&nominal, place, change, steps)? - time);
                TradeOff {
                    change,
                    less: side(-1.0),
                    more: side(1.0),
                }
            })
            .collect();
        Ok(Self {
            spec,
            time,
            list,
            limit_rpm: nominal.limit_rpm,
            piston_speed_per_rpm: study.car.engine.map(|size| 2.0 * size.stroke / 60.0),
        })
    }
}

/// What the changes are worth to the quickest spec at each venue that is wanted, by its index; nothing
/// at the others and where no spec can be driven.
pub fn all(
    study: &Study,
    engines: &Engines,
    outcome: &Outcome,
    wanted: impl Fn(usize) -> bool + Sync,
) -> Vec<Option<TradeOffs>> {
    let entries = study.entries.par_iter().zip(&outcome.venues).enumerate();
    entries
        .map(|(index, (entry, venue))| {
            wanted(index).then_some(())?;
            let (spec, _) = *venue.order(SpecRun::time).first()?;
            let cells = &venue.road.as_ref().ok()?.cells;
            TradeOffs::of(study, engines, (entry, cells), spec).ok()
        })
        .collect()
}

fn drive(
    variant: &Variant,
    (entry, cells): (&Entry, &Cells),
    change: impl Fn(&mut Machine),
) -> Result<f64, LapError> {
    let mut machine = variant.compile(&entry.course)?;
    change(&mut machine);
    let limits = Limits::new(&machine, cells)?;
    Ok(search(&machine, cells, &limits, Choice::AsDriven)?.lap.time)
}

/// Seconds with so many steps of a change.
fn changed(nominal: &Variant, place: (&Entry, &Cells), change: Change, steps: f64) -> Option<f64> {
    let by = steps * change.step();
    let mut other = nominal.clone();
    match change {
        Change::Mass => other.extra_mass += by,
        Change::Torque => other.torque_factor *= 1.0 + by,
        Change::FinalDrive => other.final_drive *= 1.0 + by,
        Change::Tooth => other.final_drive = next_tooth(nominal, by)?,
        Change::Limit => {
            other.limit_rpm += by;
            if let Some(light) = &mut other.habits.shift_light_rpm {
                *light += by;
            }
        }
        Change::Grip | Change::DragArea => {
            let (car, trim) = changed_car(nominal, change, by)?;
            (other.car, other.trim) = (&car, &car.trims[trim]);
            return drive(&other, place, |_| {}).ok();
        }
        Change::ShiftTime => {
            let gearbox = quicker_shifts(nominal.gearbox, by)?;
            other.gearbox = &gearbox;
            return drive(&other, place, |_| {}).ok();
        }
        Change::Early if steps > 0.0 => return None,
        Change::Early => return drive(&other, place, |machine| earlier(machine, by)).ok(),
    }
    drive(&other, place, |_| {}).ok()
}

/// The final drive with more or fewer teeth on the crown wheel, where the fitted one's are known.
fn next_tooth(nominal: &Variant, by: f64) -> Option<f64> {
    let drives = std::iter::once(&nominal.car.final_drive).chain(&nominal.car.final_drive_options);
    let (pinion, crown) = drives
        .filter(|drive| drive.ratio == nominal.final_drive)
        .find_map(|drive| drive.teeth)?;
    Some((f64::from(crown) + by) / f64::from(pinion))
}

/// The car with other grip or drag, and the index of its trim.
fn changed_car(nominal: &Variant, change: Change, by: f64) -> Option<(Car, usize)> {
    let trim = nominal.car.trims.iter().position(|t| t == nominal.trim)?;
    let mut car = nominal.car.clone();
    if change == Change::Grip {
        let grips = car.trims[trim].grip.values_mut();
        grips.for_each(|grip| *grip *= 1.0 + by);
    } else {
        car.drag_area += by;
        (car.drag_area >= 0.0).then_some(())?;
    }
    Some((car, trim))
}

/// The gears with other shift times, none below zero; nothing where none can be lowered by so much.
fn quicker_shifts(gearbox: &Gearbox, by: f64) -> Option<Gearbox> {
    let mut gears = gearbox.clone();
    gears.shift_times.iter_mut().for_each(|time| *time += by);
    let possible = !gears.shift_times.is_empty() && gears.shift_times.iter().all(|t| *t >= 0.0);
    possible.then_some(gears)
}

/// Moves the driver's light in every gear by so many rpm.
fn earlier(machine: &mut Machine, by: f64) {
    for gear in &mut machine.gears {
        let v = gear.z_light.sqrt() + by / gear.mode.c1;
        gear.z_light = v.max(0.0).powi(2);
    }
}
