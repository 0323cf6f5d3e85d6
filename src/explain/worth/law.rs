//! The forces and their partial derivatives.

use crate::lap::machine::{MAX_GEARS, Machine, Mode};
use crate::lap::{Cell, Nominal};

/// What the time gains per unit of each coefficient of a machine.
#[derive(Debug, Clone, Default)]
pub(super) struct Gradient {
    /// Per knot of the torque table, s per N·m.
    pub torque: Vec<f64>,
    /// Per gear.
    pub gears: [GearGradient; MAX_GEARS],
    /// Force per mass of the launch.
    pub launch: f64,
    /// Force per mass with revs held.
    pub held: f64,
    /// 1/γ with the clutch open.
    pub open: f64,
    /// [`Machine::drag`].
    pub drag: f64,
    /// [`Machine::downforce`].
    pub downforce: f64,
    /// Rolling resistance at rest, on every surface alike.
    pub f0: f64,
    /// Per surface.
    pub ground: Vec<GroundGradient>,
    /// [`Machine::corner_share_squared`].
    pub share: f64,
}

/// The same for one gear.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct GearGradient {
    pub c1: f64,
    pub c2: f64,
    pub inv_gamma: f64,
    pub shift_time: f64,
}

/// The same for one surface.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct GroundGradient {
    pub mu: f64,
    pub drive: f64,
    pub inside: f64,
}

impl Gradient {
    pub(super) fn new(machine: &Machine) -> Self {
        Self {
            torque: vec![0.0; machine.table.torque.len()],
            ground: vec![GroundGradient::default(); machine.ground.len()],
            ..Self::default()
        }
    }

    /// The square of a speed at which a gear turns the engine at a given rpm moves with the gear.
    pub(super) fn at_rpm(&mut self, machine: &Machine, gear: usize, z: f64, bar: f64) {
        self.gears[gear].c1 -= 2.0 * bar * z / machine.gears[gear].mode.c1;
    }
}

/// Which coefficients hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Clutch {
    Gear(usize),
    Launch,
    Held,
    Coast,
}

/// One law of motion in one cell: dz/ds as a function of z.
#[derive(Clone, Copy)]
pub(super) struct Law<'a> {
    pub machine: &'a Machine,
    pub cell: &'a Cell,
    pub clutch: Clutch,
    pub tyres: bool,
    /// The speed rises: at a knot of the torque table the interval above it counts.
    pub rising: bool,
}

/// Intervals of the torque table within which an engine speed is at a knot.
const AT_KNOT: f64 = 1e-9;

/// The interval of a torque table with so many knots that counts at x.
pub(super) fn interval(x: f64, rising: bool, knots: usize) -> usize {
    let side = if rising { AT_KNOT } else { -AT_KNOT };
    ((x + side) as usize).min(knots - 2)
}

impl Law<'_> {
    fn mode(&self) -> &Mode {
        match self.clutch {
            Clutch::Gear(gear) => &self.machine.gears[gear].mode,
            Clutch::Launch => &self.machine.launch.mode,
            Clutch::Held => &self.machine.held.mode,
            Clutch::Coast => &self.machine.coast,
        }
    }

    /// dz/ds, m/s².
    pub(super) fn slope(&self, z: f64) -> f64 {
        2.0 * self
            .machine
            .accelerate_by(self.tyres, self.mode(), self.cell, z)
    }

    /// Adds `bar` times the derivatives of dz/ds by the coefficients; the one by z comes back,
    /// times `bar`.
    pub(super) fn back(&self, z: f64, bar: f64, gradient: &mut Gradient) -> f64 {
        let v = z.sqrt();
        if self.tyres {
            let by_z = traction(self.machine, self.cell, z, 2.0 * bar, gradient);
            by_z + resistance(self.machine, self.cell, z, v, -2.0 * bar, gradient)
        } else {
            self.engine(z, v, bar, gradient)
        }
    }

    fn engine(&self, z: f64, v: f64, bar: f64, gradient: &mut Gradient) -> f64 {
        let (machine, mode) = (self.machine, self.mode());
        let weight = 2.0 * bar * mode.inv_gamma;
        let by_resistance = resistance(machine, self.cell, z, v, -weight, gradient);
        let held_back = machine.resistance(self.cell, z, v);
        let Clutch::Gear(gear) = self.clutch else {
            gradient.open += 2.0 * bar * (mode.c0 - held_back);
            match self.clutch {
                Clutch::Launch => gradient.launch += weight,
                Clutch::Held => gradient.held += weight,
                _ => {}
            }
            return by_resistance;
        };
        let table = &machine.table;
        let x = mode.c1 * v * table.per_rpm;
        let i = interval(x, self.rising, table.torque.len());
        let t = x - i as f64;
        let rise = table.torque[i + 1] - table.torque[i];
        let torque = table.torque[i] + t * rise;
        let per_rpm = rise * table.per_rpm;
        gradient.torque[i] += weight * mode.c2 * (1.0 - t);
        gradient.torque[i + 1] += weight * mode.c2 * t;
        let own = &mut gradient.gears[gear];
        own.c2 += weight * torque;
        own.c1 += weight * mode.c2 * per_rpm * v;
        own.inv_gamma += 2.0 * bar * (mode.c0 + mode.c2 * torque - held_back);
        by_resistance + weight * mode.c2 * per_rpm * mode.c1 * per_z(v)
    }
}

/// dv/dz; nothing at rest, where no lap asks for it.
pub(super) fn per_z(v: f64) -> f64 {
    if v > 0.0 { 0.5 / v } else { 0.0 }
}

/// Adds `bar` times the derivatives of resistance per mass; the one by z comes back, times `bar`.
fn resistance(
    machine: &Machine,
    cell: &Cell,
    z: f64,
    v: f64,
    bar: f64,
    gradient: &mut Gradient,
) -> f64 {
    gradient.drag += bar * z;
    gradient.f0 += bar * cell.g_cos;
    bar * (cell.g_cos * (machine.f1 * per_z(v) + machine.f2) + machine.drag)
}

/// What all tyres still hold lengthwise, and its derivatives by z, grip and downforce.
struct Left {
    force: f64,
    by_z: f64,
    by_mu: f64,
    by_downforce: f64,
}

fn left(machine: &Machine, cell: &Cell, z: f64, load: f64) -> Left {
    let mu = machine.ground[cell.surface as usize].mu;
    let (whole, lateral) = (mu * load, z * cell.curvature);
    let force = (whole * whole - lateral * lateral).max(0.0).sqrt();
    // At the edge of the ellipse there is no derivative.
    let per = if force > 0.0 { 1.0 / force } else { 0.0 };
    Left {
        force,
        by_z: (whole * mu * machine.downforce - lateral * cell.curvature) * per,
        by_mu: whole * load * per,
        by_downforce: whole * mu * z * per,
    }
}

/// The same for what the tyres can drive, per mass.
fn traction(machine: &Machine, cell: &Cell, z: f64, bar: f64, gradient: &mut Gradient) -> f64 {
    let surface = cell.surface as usize;
    let axle = &machine.ground[surface].axle;
    let load = cell.g_cos + machine.downforce * z;
    let left = left(machine, cell, z, load);
    let side = z * cell.curvature / load;
    let room = (axle.half_share - axle.lateral * side).max(0.0);
    let inside = axle.inside * room;
    let share = axle.drive.min(inside);
    if share * left.force > axle.drive_lift * load {
        gradient.downforce += bar * axle.drive_lift * z;
        return bar * axle.drive_lift * machine.downforce;
    }
    let ground = &mut gradient.ground[surface];
    ground.mu += bar * share * left.by_mu;
    gradient.downforce += bar * share * left.by_downforce;
    let by_z = bar * share * left.by_z;
    if inside >= axle.drive {
        ground.drive += bar * left.force;
        return by_z;
    }
    ground.inside += bar * left.force * room;
    if room <= 0.0 {
        return by_z;
    }
    let by_side = -bar * left.force * axle.inside * axle.lateral;
    gradient.downforce -= by_side * side * z / load;
    by_z + by_side * cell.curvature * cell.g_cos / (load * load)
}

/// The same for the deceleration with the brakes at the driver's limit.
pub(super) fn deceleration(
    machine: &Machine,
    cell: &Cell,
    z: f64,
    bar: f64,
    gradient: &mut Gradient,
) -> f64 {
    let surface = cell.surface as usize;
    let load = cell.g_cos + machine.downforce * z;
    let left = left(machine, cell, z, load);
    let lift = machine.ground[surface].axle.brake_lift;
    let by_rest = resistance(machine, cell, z, z.sqrt(), bar, gradient);
    if machine.brake_share * left.force > lift * load {
        gradient.downforce += bar * lift * z;
        return by_rest + bar * lift * machine.downforce;
    }
    let share = bar * machine.brake_share;
    gradient.ground[surface].mu += share * left.by_mu;
    gradient.downforce += share * left.by_downforce;
    by_rest + share * left.by_z
}

/// Adds `bar` times the derivatives of the speed squared that the driver allows on a cell.
pub(super) fn plateau(
    machine: &Machine,
    cell: &Cell,
    nominal: &Nominal,
    bar: f64,
    gradient: &mut Gradient,
) {
    let surface = cell.surface as usize;
    let mu = machine.ground[surface].mu;
    let plateau = machine.plateau(cell, nominal);
    if plateau >= cell.cap {
        return;
    }
    let ground = &mut gradient.ground[surface];
    let share = nominal.corner_share * nominal.corner_share;
    let scale = machine.corner_share_squared / share * (mu / nominal.grip[surface]);
    if plateau >= cell.measured * scale {
        ground.mu += bar * plateau / mu;
        gradient.share += bar * plateau / machine.corner_share_squared;
        return;
    }
    let bracket = cell.curvature - mu * machine.downforce;
    ground.mu += bar * plateau / mu * (cell.curvature / bracket);
    gradient.downforce += bar * plateau * mu / bracket;
    if cell.by_radius {
        gradient.share += bar * plateau / machine.corner_share_squared;
    }
}
