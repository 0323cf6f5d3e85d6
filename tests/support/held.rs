//! Derivatives of a lap's time by differences: the lap of a changed variant under the schedule of
//! another, gears, places of changes and engine speeds of upshifts held.

use pullrank::car::{Car, Gearbox, Rotating};
use pullrank::explain::Derivatives;
use pullrank::lap::compile::usual_rolling;
use pullrank::lap::{Cells, LapError, Limits, Machine, NoTape, Variant, lap};
use pullrank::schedule::{ChangeKind, FollowSchedule, Schedule};
use pullrank::venue::Course;

/// A lap whose schedule is held.
#[derive(Clone, Copy)]
pub struct Held<'a> {
    pub variant: &'a Variant<'a>,
    pub course: &'a Course,
    pub machine: &'a Machine,
    pub cells: &'a Cells,
    pub schedule: &'a Schedule,
}

/// An input, by how much it is moved, and what the sweep says of it.
pub type Row = (&'static str, f64, fn(&Derivatives) -> f64);

/// What is moved one by one.
pub const INPUTS: [Row; 15] = [
    ("torque", 1e-4, |d| d.torque),
    ("mass", 1e-1, |d| d.mass),
    ("grip", 1e-5, |d| d.grip),
    ("drag area", 1e-4, |d| d.drag_area),
    ("lift area", 1e-4, |d| d.lift_area),
    ("rolling", 1e-5, |d| d.rolling),
    ("efficiency", 1e-4, |d| d.efficiency),
    ("final drive", 1e-4, |d| d.final_drive),
    ("first ratio", 1e-4, |d| d.ratios[0]),
    ("last ratio", 1e-4, |d| d.ratios[d.ratios.len() - 1]),
    ("rolling radius", 1e-5, |d| d.rolling_radius),
    ("shift time", 1e-4, |d| d.shift_time),
    ("inertia", 1e-4, |d| d.inertia),
    ("air density", 1e-4, |d| d.air_density),
    ("corner share", 1e-5, |d| d.corner_share),
];

impl Held<'_> {
    /// Seconds of a variant that differs, on a course that differs in its surfaces at most.
    pub fn time(&self, other: &Variant, course: &Course) -> Result<f64, LapError> {
        let machine = other.compile(course)?;
        let limits = Limits::new(&machine, self.cells)?;
        self.drive(&machine, &limits)
    }

    /// Seconds of a machine that differs.
    pub fn drive(&self, machine: &Machine, limits: &Limits) -> Result<f64, LapError> {
        let mut schedule = self.schedule.clone();
        for change in &mut schedule.changes {
            if let ChangeKind::Up(z) = &mut change.kind {
                let from = usize::from(change.gear) - 1;
                let ratio = self.machine.gears[from].mode.c1 / machine.gears[from].mode.c1;
                *z *= ratio * ratio;
            }
        }
        let mut driver = FollowSchedule::new(&schedule, self.cells.len());
        Ok(lap(machine, self.cells, limits, &mut driver, &mut NoTape)?.time)
    }

    /// Seconds with an input moved by a step.
    pub fn moved(&self, input: &str, step: f64) -> Result<f64, LapError> {
        let mut car = self.variant.car.clone();
        let mut gearbox = self.variant.gearbox.clone();
        let mut other = self.variant.clone();
        let mut course = self.course.clone();
        let trim = car.trims.iter().position(|t| t == self.variant.trim);
        let trim = trim.expect("the car's own trim");
        match input {
            "torque" => other.torque_factor *= 1.0 + step,
            "mass" => other.extra_mass += step,
            "final drive" => other.final_drive += step,
            "air density" => other.air_density += step,
            "corner share" => other.habits.corner_share += step,
            "rolling" => {
                for surface in &mut course.surfaces {
                    let own = surface.rolling.or(car.rolling.f0);
                    let own = own.unwrap_or_else(|| usual_rolling(surface));
                    surface.rolling = Some(own + step);
                }
            }
            _ => {
                on_car(&mut car, trim, input, step);
                on_gears(&mut gearbox, input, step);
            }
        }
        other.car = &car;
        other.trim = &car.trims[trim];
        other.gearbox = &gearbox;
        self.time(&other, &course)
    }

    /// Seconds with more torque, N·m, from one engine speed up to another, rpm.
    pub fn with_torque(&self, band: (f64, f64), step: f64) -> Result<f64, LapError> {
        let limits = Limits::new(self.machine, self.cells)?;
        let mut other = self.machine.clone();
        let per_rpm = other.table.per_rpm;
        for (i, torque) in other.table.torque.iter_mut().enumerate() {
            let rpm = i as f64 / per_rpm;
            let own = self.variant.curve.torque(rpm);
            if band.0 <= rpm && rpm < band.1 && own > 0.0 {
                *torque *= 1.0 + step / own;
            }
        }
        let slips = [
            (&mut other.launch, other.launch_rpm, 0),
            (&mut other.held, other.lowest_rpm, other.lowest),
        ];
        for (slip, rpm, gear) in slips {
            if band.0 <= rpm && rpm < band.1 {
                let force = self.variant.torque_factor * other.gears[gear].mode.c2;
                slip.mode.c0 += step * force;
            }
        }
        self.drive(&other, &limits)
    }
}

fn on_car(car: &mut Car, trim: usize, input: &str, step: f64) {
    let trim = &mut car.trims[trim];
    match input {
        "grip" => trim.grip.values_mut().for_each(|grip| *grip *= 1.0 + step),
        "rolling radius" => trim.rolling_radius += step,
        "drag area" => car.drag_area += step,
        "lift area" => car.lift_area += step,
        "inertia" => {
            if let Rotating::Inertias {
                engine,
                wheels,
                gearbox,
                shaft,
            } = &mut car.rotating
            {
                for inertia in [engine, wheels, shaft].into_iter().chain(gearbox) {
                    *inertia *= 1.0 + step;
                }
            }
        }
        _ => {}
    }
}

fn on_gears(gearbox: &mut Gearbox, input: &str, step: f64) {
    let last = gearbox.ratios.len() - 1;
    match input {
        "first ratio" => gearbox.ratios[0] += step,
        "last ratio" => gearbox.ratios[last] += step,
        "efficiency" => gearbox.efficiency.iter_mut().for_each(|e| *e *= 1.0 + step),
        "shift time" => gearbox.shift_times.iter_mut().for_each(|t| *t += step),
        _ => {}
    }
}
