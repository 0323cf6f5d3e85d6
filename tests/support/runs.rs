//! Driving a course, and reading what happened.

use pullrank::car::{Car, Habits};
use pullrank::dyno::Curve;
use pullrank::lap::{Cells, Lap, LapError, Limits, Machine, PlainRule, Record, Tape, Variant, lap};
use pullrank::venue::Course;

use super::cars::WHOLE;

/// Air density of the textbook cases, kg/m³.
pub const DENSITY: f64 = 1.225;

/// Who drives what in which air.
pub struct Driver<'a> {
    pub car: &'a Car,
    pub curve: &'a Curve,
    pub habits: Habits,
    pub density: f64,
}

/// A run driven.
#[derive(Debug)]
pub struct Run {
    pub machine: Machine,
    pub cells: Cells,
    pub limits: Limits,
    pub lap: Lap,
    pub tape: Tape,
}

impl<'a> Driver<'a> {
    pub fn of(car: &'a Car, curve: &'a Curve) -> Self {
        Self {
            car,
            curve,
            habits: WHOLE,
            density: DENSITY,
        }
    }

    pub fn variant(&self) -> Variant<'a> {
        Variant::fitted(
            self.car,
            &self.car.trims[0],
            self.habits,
            self.curve,
            self.density,
        )
    }

    /// Drives with cells no longer than `spacing` m, by the plain rule.
    pub fn try_drive(&self, course: &Course, spacing: f64) -> Result<Run, LapError> {
        let variant = self.variant();
        let machine = variant.compile(course)?;
        let cells = Cells::new(course, variant.nominal(course)?, spacing)?;
        let limits = Limits::new(&machine, &cells)?;
        let mut tape = Tape::default();
        let lap = lap(&machine, &cells, &limits, &mut PlainRule, &mut tape)?;
        Ok(Run {
            machine,
            cells,
            limits,
            lap,
            tape,
        })
    }

    pub fn drive(&self, course: &Course, spacing: f64) -> Run {
        self.try_drive(course, spacing).expect("the car gets round")
    }
}

/// Time of a plain run, s.
pub fn time(car: &Car, curve: &Curve, course: &Course, spacing: f64) -> f64 {
    Driver::of(car, curve).drive(course, spacing).time()
}

impl Run {
    pub fn time(&self) -> f64 {
        self.lap.time
    }

    /// Speed over the line, m/s.
    pub fn exit_speed(&self) -> f64 {
        self.tape.records.last().expect("a record").z1.sqrt()
    }

    /// Highest speed, m/s.
    pub fn top_speed(&self) -> f64 {
        let z = self.tape.records.iter().map(|r| r.z1).fold(0.0, f64::max);
        z.sqrt()
    }

    /// Distance, m, at which the brakes first go on.
    pub fn braking_point(&self) -> Option<f64> {
        let mut distance = 0.0;
        for record in &self.tape.records {
            if record.braking {
                return Some(distance);
            }
            distance += record.length;
        }
        None
    }

    /// Seconds from the start until a speed, m/s, is first reached going up.
    pub fn time_to_speed(&self, speed: f64) -> Option<f64> {
        let mut time = 0.0;
        for record in &self.tape.records {
            if let Some(part) = part_below(record, speed) {
                return Some(time + part);
            }
            time += record.time;
        }
        None
    }

    /// Seconds and speed, m/s, at a distance, m.
    pub fn at_distance(&self, distance: f64) -> (f64, f64) {
        let (mut time, mut done) = (0.0, 0.0);
        for record in &self.tape.records {
            if done + record.length >= distance {
                let share = (distance - done) / record.length;
                let z = record.z0 + share * (record.z1 - record.z0);
                let v = z.sqrt();
                return (time + 2.0 * (distance - done) / (record.z0.sqrt() + v), v);
            }
            time += record.time;
            done += record.length;
        }
        (time, self.exit_speed())
    }

    /// Speeds, m/s, and gears left at each upshift.
    pub fn upshifts(&self) -> Vec<(usize, f64)> {
        let mut out = Vec::new();
        for pair in self.tape.records.windows(2) {
            if pair[1].gear > pair[0].gear {
                out.push((usize::from(pair[0].gear), pair[0].z1.sqrt()));
            }
        }
        out
    }
}

/// Seconds of a record before a speed is passed upwards; speed is linear in time.
fn part_below(record: &Record, speed: f64) -> Option<f64> {
    let (v0, v1) = (record.z0.sqrt(), record.z1.sqrt());
    (v0 < speed && speed <= v1).then(|| record.time * (speed - v0) / (v1 - v0))
}
