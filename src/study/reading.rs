//! What is kept of a lap: its time and what was read off its tape.

use crate::explain::{self, Lowest, Revs, Span, States};
use crate::lap::{Cells, Lap, Limits, Machine, Tape};

/// A lap as people want to know it.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Seconds.
    pub time: f64,
    /// Engine speed over the lap, for time in band.
    pub spans: Vec<Span>,
    /// Largest slip of the driven tyres: engine speed over what the road says, less one.
    pub slip: f64,
    /// Seconds by state.
    pub states: States,
    /// The lowest revs from which the engine has to pull, and the place.
    pub lowest: Option<(Lowest, String)>,
    /// Where the car is fastest.
    pub fastest: Fastest,
}

/// The fastest point of a lap.
#[derive(Debug, Clone, PartialEq)]
pub struct Fastest {
    /// Speed, m/s.
    pub speed: f64,
    /// Gear, counted from 0.
    pub gear: usize,
    /// Engine speed, rpm.
    pub rpm: f64,
    /// Name of the place.
    pub place: String,
}

impl Reading {
    /// Reads a tape.
    pub fn new(machine: &Machine, cells: &Cells, limits: &Limits, tape: &Tape, lap: &Lap) -> Self {
        let revs = revs(machine);
        let slip = explain::slip(machine, cells, &tape.records);
        let plateaus: Vec<f64> = limits.lines.iter().map(|line| line.plateau).collect();
        let place = |cell: u32| cells.place(cell as usize).to_owned();
        Self {
            time: lap.time,
            spans: revs.slipping_spans(&tape.records, &slip, machine.limit_rpm),
            slip: slip.iter().fold(1.0_f64, |most, s| most.max(*s)) - 1.0,
            states: explain::states(&tape.records, &plateaus),
            lowest: explain::lowest(&tape.records, &revs).map(|low| (low, place(low.cell))),
            fastest: fastest(tape, &revs, place),
        }
    }
}

/// What a machine says about engine speed.
pub fn revs(machine: &Machine) -> Revs {
    let top = machine.gears.len() - 1;
    Revs {
        rpm_per_speed: machine.gears.iter().map(|g| g.mode.c1).collect(),
        best_up_to: machine
            .gears
            .iter()
            .enumerate()
            .map(|(k, g)| {
                if k < top {
                    g.z_cross.min(g.z_light).sqrt()
                } else {
                    f64::INFINITY
                }
            })
            .collect(),
        lowest_gear: machine.lowest,
        launch_rpm: machine.launch_rpm,
        lowest_rpm: machine.lowest_rpm,
    }
}

fn fastest(tape: &Tape, revs: &Revs, place: impl Fn(u32) -> String) -> Fastest {
    let top = |r: &crate::lap::Record| r.z0.max(r.z1);
    match tape.records.iter().max_by(|a, b| top(a).total_cmp(&top(b))) {
        Some(record) => {
            let speed = top(record).sqrt();
            let gear = usize::from(record.gear);
            Fastest {
                speed,
                gear,
                rpm: revs.rpm_per_speed[gear] * speed,
                place: place(record.cell),
            }
        }
        None => Fastest {
            speed: 0.0,
            gear: 0,
            rpm: 0.0,
            place: String::new(),
        },
    }
}
