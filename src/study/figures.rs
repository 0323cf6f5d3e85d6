//! What a car does on a level straight in still air: the figures by which an owner knows the car.

use crate::car::{Car, Habits, Trim};
use crate::lap::{self, Cell, Cells, LapError, Limits, Machine, PlainRule, Record, Tape, Variant};
use crate::units::RPM_PER_RAD_PER_S;
use crate::venue::{Course, EventKind, Extent, Section, Surface};

/// A quarter of an international mile, m.
pub const QUARTER_MILE: f64 = 402.336;
/// 100 km/h, m/s.
const HUNDRED: f64 = 100.0 / 3.6;
/// Length of the straight, m: long enough for 100 km/h in anything that can reach it.
const STRAIGHT: f64 = 3000.0;

/// Nobody's habits: shifts where the car gains, no corners, no brakes.
pub const HABITS: Habits = Habits {
    corner_share: 1.0,
    brake_share: 1.0,
    lowest_rpm: 0.0,
    shift_light_rpm: None,
};

/// One gear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GearFigures {
    /// Ratio of the gear.
    pub ratio: f64,
    /// Gear ratio times final drive.
    pub total_ratio: f64,
    /// Road speed per 1,000 rpm, m/s.
    pub speed_per_1000_rpm: f64,
    /// Road speed at the upper limit, m/s.
    pub speed_at_limit: f64,
    /// Where the next gear accelerates the car as much on the level, drag and what the gears spin up counted and the
    /// time of the change not, or the limit where it never does, rpm; `None` in top.
    pub shift_rpm: Option<f64>,
    /// Engine speed after that change, rpm; `None` in top.
    pub after_rpm: Option<f64>,
    /// Engine speed after a change at the limit, rpm; `None` in top.
    pub after_limit_rpm: Option<f64>,
}

/// Time and speed over a distance from rest.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sprint {
    /// Seconds.
    pub time: f64,
    /// Speed at the end, m/s.
    pub speed: f64,
}

/// The highest speed on the level.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TopSpeed {
    /// Speed, m/s.
    pub speed: f64,
    /// Gear, counted from 0.
    pub gear: usize,
    /// Engine speed, rpm.
    pub rpm: f64,
    /// The limit stops it, not resistance.
    pub at_limit: bool,
}

/// The figures of one car with one engine.
#[derive(Debug, Clone, PartialEq)]
pub struct Figures {
    /// From first to top.
    pub gears: Vec<GearFigures>,
    /// Seconds from rest to 100 km/h; `None` where it is not reached.
    pub to_100: Option<f64>,
    /// The quarter mile from rest.
    pub quarter: Sprint,
    /// The kilometre from rest.
    pub kilometre: Sprint,
    /// The highest speed on the level; `None` where no gear holds any speed.
    pub top: Option<TopSpeed>,
}

/// A level straight in standard air, from rest.
pub fn straight(surface: Surface) -> Course {
    let section = Section {
        extent: Extent::Length(STRAIGHT),
        ..Section::default()
    };
    Course {
        sections: vec![section],
        surfaces: vec![surface],
        ..Course::new("level straight", EventKind::Sprint)
    }
}

/// Drives `variant` along a [`straight`] and reads its figures.
///
/// # Errors
/// Why it cannot be driven.
pub fn figures(variant: &Variant, straight: &Course) -> Result<Figures, LapError> {
    let machine = variant.compile(straight)?;
    let cells = Cells::new(straight, variant.nominal(straight)?, 1.0)?;
    let limits = Limits::new(&machine, &cells)?;
    let mut tape = Tape::default();
    lap::lap(&machine, &cells, &limits, &mut PlainRule, &mut tape)?;
    Ok(Figures {
        gears: gears(variant, &machine),
        to_100: time_to_speed(&tape.records, HUNDRED),
        quarter: sprint(&tape.records, QUARTER_MILE),
        kilometre: sprint(&tape.records, 1000.0),
        top: top_speed(&machine, &cells.cells[0]),
    })
}

fn gears(variant: &Variant, machine: &Machine) -> Vec<GearFigures> {
    let top = machine.gears.len() - 1;
    let ratios = &variant.gearbox.ratios;
    machine
        .gears
        .iter()
        .enumerate()
        .map(|(k, gear)| {
            let per_speed = gear.mode.c1;
            let shift_rpm = (k < top).then(|| per_speed * gear.z_light.sqrt());
            GearFigures {
                ratio: ratios[k],
                total_ratio: ratios[k] * variant.final_drive,
                speed_per_1000_rpm: 1000.0 / per_speed,
                speed_at_limit: machine.limit_rpm / per_speed,
                shift_rpm,
                after_rpm: shift_rpm.map(|rpm| rpm * ratios[k + 1] / ratios[k]),
                after_limit_rpm: (k < top).then(|| machine.limit_rpm * ratios[k + 1] / ratios[k]),
            }
        })
        .collect()
}

/// The gears of a car whose engine is not known, changed at its limit of `limit_rpm`.
pub fn gears_at_limit(car: &Car, trim: &Trim, limit_rpm: f64) -> Vec<GearFigures> {
    let ratios = &car.gearbox.ratios;
    let gear = |(k, ratio): (usize, &f64)| {
        let total_ratio = ratio * car.final_drive.ratio;
        let speed = |rpm: f64| rpm / RPM_PER_RAD_PER_S / total_ratio * trim.rolling_radius;
        let next = ratios.get(k + 1);
        GearFigures {
            ratio: *ratio,
            total_ratio,
            speed_per_1000_rpm: speed(1000.0),
            speed_at_limit: speed(limit_rpm),
            shift_rpm: next.map(|_| limit_rpm),
            after_rpm: next.map(|next| limit_rpm * next / ratio),
            after_limit_rpm: next.map(|next| limit_rpm * next / ratio),
        }
    };
    ratios.iter().enumerate().map(gear).collect()
}

/// Speed is linear in time within a record.
fn time_to_speed(records: &[Record], speed: f64) -> Option<f64> {
    let mut time = 0.0;
    for record in records {
        let (v0, v1) = (record.z0.sqrt(), record.z1.sqrt());
        if v1 >= speed {
            let share = if v1 > v0 {
                (speed - v0) / (v1 - v0)
            } else {
                0.0
            };
            return Some(time + record.time * share.max(0.0));
        }
        time += record.time;
    }
    None
}

/// z is linear in distance within a record.
fn sprint(records: &[Record], distance: f64) -> Sprint {
    let (mut time, mut done) = (0.0, 0.0);
    for record in records {
        if done + record.length >= distance {
            let part = (distance - done) / record.length;
            let z = record.z0 + part * (record.z1 - record.z0);
            let (v0, v) = (record.z0.sqrt(), z.sqrt());
            return Sprint {
                time: time + 2.0 * (distance - done) / (v0 + v),
                speed: v,
            };
        }
        time += record.time;
        done += record.length;
    }
    let speed = records.last().map_or(0.0, |r| r.z1.sqrt());
    Sprint { time, speed }
}

/// The highest speed at which some gear's force still meets resistance, or the limit.
fn top_speed(machine: &Machine, level: &Cell) -> Option<TopSpeed> {
    (0..machine.gears.len())
        .filter_map(|gear| {
            let mode = machine.gears[gear].mode;
            let v_limit = machine.gears[gear].z_limit.sqrt();
            let pulls = |v: f64| machine.accelerate(&mode, level, v * v, v).a >= 0.0;
            let at = |rpm: f64, speed| TopSpeed {
                speed,
                gear,
                rpm,
                at_limit: speed >= v_limit,
            };
            if pulls(v_limit) {
                return Some(at(machine.limit_rpm, v_limit));
            }
            const STEPS: usize = 400;
            let grid = |i: usize| v_limit * i as f64 / STEPS as f64;
            let below = (1..STEPS).rev().find(|&i| pulls(grid(i)))?;
            let (mut low, mut high) = (grid(below), grid(below + 1));
            for _ in 0..60 {
                let mid = 0.5 * (low + high);
                if pulls(mid) { low = mid } else { high = mid }
            }
            Some(at(mode.c1 * low, low))
        })
        .max_by(|a, b| a.speed.total_cmp(&b.speed))
}
