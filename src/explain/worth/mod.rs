//! What torque at each engine speed, and everything else, is worth on one lap: the derivatives of
//! its time, the schedule held.
//!
//! Gears, the places of changes and the engine speeds of upshifts stay; everything else follows.

mod inputs;
mod law;
mod line;
mod step;
mod sweep;
#[cfg(test)]
mod tests;
mod trace;

use crate::lap::{Cells, LapError, Limits, Machine, Variant};
use crate::schedule::Schedule;
use trace::Trace;

/// Derivatives of a lap's time; a negative one means that more is quicker.
#[derive(Debug, Clone, PartialEq)]
pub struct Worth {
    /// Seconds of the lap.
    pub time: f64,
    /// What torque is worth, at engine speeds that rise.
    pub points: Vec<Point>,
    /// What everything else is worth.
    pub derivatives: Derivatives,
}

/// What torque at one engine speed is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Engine speed, rpm.
    pub rpm: f64,
    /// Seconds per N·m of the spec's curve there.
    pub per_nm: f64,
}

/// What torque in a band of engine speed is worth.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BandWorth {
    /// Lower edge, rpm, which belongs to the band.
    pub low_rpm: f64,
    /// Upper edge, rpm, which does not.
    pub high_rpm: f64,
    /// Seconds per N·m more over the whole band.
    pub per_nm: f64,
}

/// Derivatives of a lap's time by the car, the air and the driver.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Derivatives {
    /// Seconds per factor on the torque: a hundredth of it is 1 % of torque.
    pub torque: f64,
    /// Seconds per kg.
    pub mass: f64,
    /// Seconds per factor on the grip of every surface.
    pub grip: f64,
    /// Seconds per m² of drag area.
    pub drag_area: f64,
    /// Seconds per m² of area pressing down.
    pub lift_area: f64,
    /// Seconds per unit of the rolling resistance coefficient f0, on every surface.
    pub rolling: f64,
    /// Seconds per factor on the driveline's efficiency.
    pub efficiency: f64,
    /// Seconds per unit of the final drive's ratio.
    pub final_drive: f64,
    /// Seconds per unit of each gear's ratio, from first to top.
    pub ratios: Vec<f64>,
    /// Seconds per m of rolling radius.
    pub rolling_radius: f64,
    /// Seconds per second on every shift time.
    pub shift_time: f64,
    /// Seconds per kg/m³ of air, which the engine's torque does not follow here.
    pub air_density: f64,
    /// Seconds per unit of the driver's corner share.
    pub corner_share: f64,
    /// Seconds per factor on every inertia that was given; 0 where none was.
    pub inertia: f64,
}

impl Worth {
    /// Drives a schedule and takes the derivatives of its time. Machine, cells and limits are the
    /// variant's.
    ///
    /// # Errors
    /// As [`crate::lap::lap`].
    pub fn of(
        variant: &Variant,
        (machine, cells, limits): (&Machine, &Cells, &Limits),
        schedule: &Schedule,
    ) -> Result<Self, LapError> {
        let trace = Trace::of(machine, cells, limits, schedule)?;
        let gradient = sweep::gradient(machine, cells, limits, &trace);
        Ok(Self {
            time: trace.lap.time,
            points: inputs::points(variant, machine, &gradient),
            derivatives: inputs::derivatives(variant, machine, &gradient),
        })
    }

    /// What torque is worth in bands of a width, rpm, from zero up to the last speed that counts.
    pub fn bands(&self, width: f64) -> Vec<BandWorth> {
        let top = self.points.last().map_or(0.0, |point| point.rpm);
        let count = (top / width) as usize + 1;
        let mut bands: Vec<BandWorth> = (0..count)
            .map(|i| BandWorth {
                low_rpm: i as f64 * width,
                high_rpm: (i + 1) as f64 * width,
                per_nm: 0.0,
            })
            .collect();
        for point in &self.points {
            bands[(point.rpm / width) as usize].per_nm += point.per_nm;
        }
        bands
    }

    /// Seconds that a change of torque, N·m at rpm, is worth to first order.
    pub fn of_change(&self, change: impl Fn(f64) -> f64) -> f64 {
        let points = self.points.iter();
        points.map(|point| point.per_nm * change(point.rpm)).sum()
    }
}
