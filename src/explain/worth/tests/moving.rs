//! A machine whose coefficients move with one input, and what the road allows it, in dual numbers.

use super::dual::{Dual, still};
use crate::car::axle::NO_LIMIT;
use crate::car::{Car, Differential, Drive, Rotating};
use crate::explain::worth::law::{Clutch, interval};
use crate::lap::{Cell, Cells, Limits, Machine, Variant};
use crate::units::RPM_PER_RAD_PER_S;

/// What moves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Input {
    Torque,
    /// Torque from one engine speed up to another.
    Band(f64, f64),
    Mass,
    Grip,
    DragArea,
    LiftArea,
    Rolling,
    Efficiency,
    FinalDrive,
    Ratio(usize),
    Radius,
    ShiftTime,
    Density,
    CornerShare,
    Inertia,
}

/// Which law: of the engine as the clutch stands or of the tyres, and whether the speed rises.
pub type Which = (Clutch, bool, bool);

pub struct Ground {
    pub mu: Dual,
    f0: Dual,
    drive: Dual,
    inside: Dual,
}

pub struct Moving<'a> {
    pub machine: &'a Machine,
    table: Vec<Dual>,
    pub c1: Vec<Dual>,
    c2: Vec<Dual>,
    inv_gamma: Vec<Dual>,
    pub shift_time: Vec<Dual>,
    launch: Dual,
    held: Dual,
    open: Dual,
    drag: Dual,
    downforce: Dual,
    pub ground: Vec<Ground>,
    share: Dual,
}

impl<'a> Moving<'a> {
    pub fn new(variant: &Variant, machine: &'a Machine, input: Input) -> Self {
        let seed = |re: f64, of: Input| Dual {
            re,
            du: f64::from(u8::from(input == of)),
        };
        let factor = |of: Input| seed(1.0, of);
        let mass = seed(variant.trim.mass + variant.extra_mass, Input::Mass);
        let radius = seed(variant.trim.rolling_radius, Input::Radius);
        let drive = seed(variant.final_drive, Input::FinalDrive);
        let density = seed(variant.air_density, Input::Density);
        let in_band = |rpm: f64| match input {
            Input::Band(low, high) => f64::from(u8::from(low <= rpm && rpm < high)),
            _ => 0.0,
        };
        let torque = |rpm: f64, held: f64| {
            let own = variant.curve.torque(rpm);
            let share = if own > 0.0 { held / own } else { 0.0 };
            let band = Dual {
                re: 0.0,
                du: in_band(rpm) * share,
            };
            factor(Input::Torque) * still(held) + band
        };
        let ratios: Vec<Dual> = (0..machine.gears.len())
            .map(|k| seed(variant.gearbox.ratios[k], Input::Ratio(k)))
            .collect();
        let efficiency = |k: usize| {
            let own = &variant.gearbox.efficiency;
            let own = own.get(k).or(own.last()).copied().unwrap_or(1.0);
            let own = if variant.at_wheels { 1.0 } else { own };
            own * factor(Input::Efficiency)
        };
        let inertia = factor(Input::Inertia);
        let gamma = |k: Option<usize>| {
            let total = k.map_or(still(0.0), |k| ratios[k] * drive);
            match &variant.car.rotating {
                Rotating::None => still(1.0),
                Rotating::Typical => 1.04 + 0.0025 * total * total,
                Rotating::Inertias {
                    engine,
                    wheels,
                    gearbox,
                    shaft,
                } => {
                    let gear = k.map_or(0.0, |k| {
                        gearbox.get(k).or(gearbox.last()).copied().unwrap_or(0.0)
                    });
                    let shaft = if k.is_some() { *shaft } else { 0.0 };
                    let sum = *wheels + shaft * drive * drive + (engine + gear) * total * total;
                    1.0 + inertia * sum / (mass * radius * radius)
                }
            }
        };
        let gears = 0..machine.gears.len();
        let c2: Vec<Dual> = gears
            .clone()
            .map(|k| ratios[k] * drive * efficiency(k) / radius / mass)
            .collect();
        let at = |rpm: f64| {
            let own = variant.torque_factor * variant.curve.torque(rpm).max(0.0);
            torque(rpm, own)
        };
        let knots = machine.table.torque.iter().enumerate();
        Self {
            machine,
            table: knots
                .map(|(i, held)| torque(i as f64 / machine.table.per_rpm, *held))
                .collect(),
            c1: gears
                .clone()
                .map(|k| RPM_PER_RAD_PER_S * (ratios[k] * drive) / radius)
                .collect(),
            inv_gamma: gears.clone().map(|k| still(1.0) / gamma(Some(k))).collect(),
            shift_time: gears
                .map(|k| seed(machine.gears[k].shift_time, Input::ShiftTime))
                .collect(),
            launch: at(machine.launch_rpm) * c2[0],
            held: at(machine.lowest_rpm) * c2[machine.lowest],
            c2,
            open: still(1.0) / gamma(None),
            drag: 0.5 * density * seed(variant.car.drag_area, Input::DragArea) / mass,
            downforce: 0.5 * density * seed(variant.car.lift_area, Input::LiftArea) / mass,
            ground: machine
                .ground
                .iter()
                .map(|ground| {
                    let mu = ground.mu * factor(Input::Grip);
                    let (drive, inside) = axle(variant.car, mu);
                    Ground {
                        mu,
                        f0: seed(ground.f0, Input::Rolling),
                        drive,
                        inside,
                    }
                })
                .collect(),
            share: {
                let share = seed(variant.habits.corner_share, Input::CornerShare);
                share * share
            },
        }
    }

    fn resistance(&self, cell: &Cell, z: Dual) -> Dual {
        let f0 = self.ground[cell.surface as usize].f0;
        let rolling = f0 + self.machine.f1 * z.sqrt() + self.machine.f2 * z;
        cell.g_sin + cell.g_cos * rolling + self.drag * z
    }

    fn left(&self, cell: &Cell, z: Dual, load: Dual) -> Dual {
        let whole = self.ground[cell.surface as usize].mu * load;
        let lateral = cell.curvature * z;
        (whole * whole - lateral * lateral).sqrt()
    }

    fn traction(&self, cell: &Cell, z: Dual) -> Dual {
        let ground = &self.ground[cell.surface as usize];
        let axle = &self.machine.ground[cell.surface as usize].axle;
        let load = cell.g_cos + self.downforce * z;
        let lateral = axle.lateral * (cell.curvature * z) / load;
        let inside = ground.inside * (axle.half_share - lateral).max(still(0.0));
        let tyres = ground.drive.min(inside) * self.left(cell, z, load);
        tyres.min(axle.drive_lift * load)
    }

    /// dz/ds under one law.
    pub fn slope(&self, cell: &Cell, (clutch, tyres, rising): Which, z: Dual) -> Dual {
        let resistance = self.resistance(cell, z);
        if tyres {
            return 2.0 * (self.traction(cell, z) - resistance);
        }
        let (force, inv_gamma) = match clutch {
            Clutch::Launch => (self.launch, self.open),
            Clutch::Held => (self.held, self.open),
            Clutch::Coast => (still(0.0), self.open),
            Clutch::Gear(k) => {
                let x = self.c1[k] * z.sqrt() * still(self.machine.table.per_rpm);
                let i = interval(x.re, rising, self.table.len());
                let t = x - still(i as f64);
                let torque = self.table[i] + t * (self.table[i + 1] - self.table[i]);
                (self.c2[k] * torque, self.inv_gamma[k])
            }
        };
        2.0 * (force - resistance) * inv_gamma
    }

    fn braking(&self, cell: &Cell, z: Dual) -> Dual {
        let axle = &self.machine.ground[cell.surface as usize].axle;
        let load = cell.g_cos + self.downforce * z;
        let brakes = self.machine.brake_share * self.left(cell, z, load);
        2.0 * (brakes.min(axle.brake_lift * load) + self.resistance(cell, z))
    }

    fn plateau(&self, cell: &Cell, cells: &Cells) -> Dual {
        let surface = cell.surface as usize;
        let mu = self.ground[surface].mu;
        let mut z = still(cell.cap);
        let bracket = cell.curvature - self.machine.ground[surface].mu * self.machine.downforce;
        if cell.curvature > 0.0 && bracket > 0.0 {
            let bracket = still(cell.curvature) - mu * self.downforce;
            let share = if cell.by_radius {
                self.share
            } else {
                still(1.0)
            };
            z = z.min(cell.g_cos * mu / bracket * share);
        }
        let nominal = &cells.nominal;
        if cell.measured < crate::lap::cells::UNLIMITED {
            let share = nominal.corner_share * nominal.corner_share;
            let scale = self.share / still(share) * (mu / still(nominal.grip[surface]));
            z = z.min(cell.measured * scale);
        }
        z
    }

    /// How z at which tyres just hold moves: their excess of force stays nil.
    pub fn hold(&self, cell: &Cell, z: f64) -> f64 {
        let at = |du: f64| {
            self.slope(cell, (Clutch::Coast, true, true), Dual { re: z, du })
                .du
        };
        let by_inputs = at(0.0);
        -by_inputs / (at(1.0) - by_inputs)
    }
}

fn axle(car: &Car, mu: Dual) -> (Dual, Dual) {
    let lean = still(car.cg_height / car.wheelbase);
    let front = car.front_share;
    let drive = match car.drive {
        Drive::Rear if 1.0 - mu.re * lean.re <= 0.0 => still(1.0),
        Drive::Rear => (still(1.0 - front) / (1.0 - mu * lean)).min(still(1.0)),
        Drive::Front => still(front) / (1.0 + mu * lean),
        Drive::All => still(1.0),
    };
    let sign = if car.drive == Drive::Rear { -0.5 } else { 0.5 };
    let inside = match car.differential {
        Differential::Bias(bias) if car.drive != Drive::All => {
            let rest = 1.0 + sign * (1.0 + bias) * mu * lean;
            if rest.re > 0.0 {
                still(1.0 + bias) / rest
            } else {
                still(NO_LIMIT)
            }
        }
        _ => still(NO_LIMIT),
    };
    (drive, inside)
}

/// One cell's line in motion.
#[derive(Clone, Copy)]
pub struct Line {
    pub plateau: Dual,
    pub z_end: Dual,
    pub slope: Dual,
    pub bend: Dual,
    braking: f64,
}

impl Line {
    pub fn at(&self, rest: f64) -> Dual {
        if rest > self.braking {
            return self.plateau;
        }
        self.plateau.min(self.brake(rest))
    }

    pub fn brake(&self, rest: f64) -> Dual {
        self.z_end + rest * (self.slope + rest * self.bend)
    }
}

/// The whole line, swept backwards as the lap's limits are.
pub fn lines(moving: &Moving, cells: &Cells, limits: &Limits) -> Vec<Line> {
    let of = |cell: &Cell| Line {
        plateau: moving.plateau(cell, cells),
        z_end: still(0.0),
        slope: still(0.0),
        bend: still(0.0),
        braking: 0.0,
    };
    let mut lines: Vec<Line> = cells.cells.iter().map(of).collect();
    let mut finish = match (cells.closed, cells.stop_at_finish) {
        (true, _) => lines[0].plateau,
        (_, true) => still(0.0),
        _ => still(crate::lap::cells::UNLIMITED),
    };
    for _ in 0..4 {
        for i in (0..lines.len()).rev() {
            let cell = &cells.cells[i];
            fit(moving, cell, &mut lines[i], finish, &limits.lines[i]);
            finish = lines[i].at(cell.length);
        }
        if !cells.closed {
            break;
        }
    }
    lines
}

fn fit(
    moving: &Moving,
    cell: &Cell,
    line: &mut Line,
    finish: Dual,
    own: &crate::lap::limits::Line,
) {
    line.z_end = line.plateau.min(finish);
    line.braking = own.braking;
    let dec = |z: Dual| moving.braking(cell, z.max(still(0.0)).min(line.plateau));
    let first = dec(line.z_end);
    if first.re < 0.0 {
        let half = line.z_end + 0.5 * cell.length * first;
        let floored = half.re <= 0.0 || dec(half).re != own.slope;
        line.slope = if floored {
            (1.0 / cell.length) * (still(own.slope * cell.length + line.z_end.re) - line.z_end)
        } else {
            dec(half)
        };
        line.bend = still(0.0);
        return;
    }
    let room = line.plateau.re - line.z_end.re;
    let length = if first.re > 0.0 {
        cell.length.min(1.25 * room / first.re)
    } else {
        cell.length
    };
    (line.slope, line.bend) = (first, still(0.0));
    if length > 0.0 {
        let half = 0.5 * length;
        let second = dec(line.z_end + half * first);
        let third = dec(line.z_end + half * second);
        let fourth = dec(line.z_end + length * third);
        let mean = 1.0 / 6.0 * (first + 2.0 * (second + third) + fourth);
        line.bend = 1.0 / length * (mean - first);
    }
}
