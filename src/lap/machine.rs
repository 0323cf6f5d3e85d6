//! One variant of car, curve, gearing and air as the numbers the lap needs: no strings, no units
//! but SI and rpm.
//!
//! A mode is a set of coefficients: engine force per mass c0 + c2·τ(c1·v), spun up with 1/γ.
//! Launch and held revs have c0 only, coasting has neither, a gear has c1 and c2.

use super::cells::Cell;
use crate::car::axle::AxleLimits;

/// Most gears a machine may have.
pub const MAX_GEARS: usize = 10;
/// Intervals of the torque table.
pub const TABLE_INTERVALS: usize = 512;

/// Torque over engine speed on an even grid from zero, linear between its knots.
#[derive(Debug, Clone, PartialEq)]
pub struct TorqueTable {
    /// Torque at the knots, N·m.
    pub torque: Box<[f64; TABLE_INTERVALS + 1]>,
    /// Knots per rpm.
    pub per_rpm: f64,
}

impl TorqueTable {
    /// Tabulates `torque` (N·m at rpm), asked in rising order, from zero to `top_rpm`.
    pub fn new(top_rpm: f64, mut torque: impl FnMut(f64) -> f64) -> Self {
        let step = top_rpm / TABLE_INTERVALS as f64;
        let mut knots = Box::new([0.0; TABLE_INTERVALS + 1]);
        for (i, knot) in knots.iter_mut().enumerate() {
            *knot = torque(step * i as f64);
        }
        Self {
            torque: knots,
            per_rpm: TABLE_INTERVALS as f64 / top_rpm,
        }
    }

    /// Torque, N·m; beyond the table along its last interval.
    #[inline(always)]
    pub fn at(&self, rpm: f64) -> f64 {
        let (i, share) = interval(rpm * self.per_rpm);
        between(self.torque[i], self.torque[i + 1], share)
    }
}

/// What brings a number's whole part into its last bits when added to it: 1.5·2⁵², where a float's
/// unit in the last place is one.
const WHOLE_PART: f64 = 6_755_399_441_055_744.0;

/// The interval of an even table that a place lies in, counted in knots, and how far into it; beyond
/// the table the last one. Rounding half a knot lower cuts off the fraction: a processor does that to
/// many numbers at once, and a place on a knot is the end of one interval as well as the start of another.
#[inline(always)]
pub(super) fn interval(x: f64) -> (usize, f64) {
    let shifted = (x - 0.5).max(0.0).min((TABLE_INTERVALS - 1) as f64) + WHOLE_PART;
    // The mask changes nothing: it shows the compiler that no bound is passed.
    let i = shifted.to_bits() as usize & (TABLE_INTERVALS - 1);
    (i, x - (shifted - WHOLE_PART))
}

/// The lesser of two numbers, the second where the first is NaN: one instruction, where [`f64::min`] takes
/// three.
#[inline(always)]
pub(super) fn lesser(a: f64, b: f64) -> f64 {
    if a < b { a } else { b }
}

/// The greater of two numbers, the second where the first is NaN.
#[inline(always)]
pub(super) fn greater(a: f64, b: f64) -> f64 {
    if a > b { a } else { b }
}

/// The value between two knots.
#[inline(always)]
pub(super) fn between(from: f64, to: f64, share: f64) -> f64 {
    from + share * (to - from)
}

/// Coefficients of one way of being driven.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mode {
    /// Engine force per mass with the clutch slipping, m/s².
    pub c0: f64,
    /// Engine speed per road speed, rpm per m/s.
    pub c1: f64,
    /// Engine force per mass and torque, m/s² per N·m.
    pub c2: f64,
    /// 1/γ.
    pub inv_gamma: f64,
}

/// A gear.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gear {
    /// Coefficients in gear.
    pub mode: Mode,
    /// Square of the speed at the upper limit, m²/s².
    pub z_limit: f64,
    /// Square of the speed at which the next gear accelerates more, on the level, m²/s²; the limit
    /// where it never does. The top gear has its limit.
    pub z_cross: f64,
    /// Square of the speed at the driver's shift light, at most the limit; the crossing where there
    /// is no light, m²/s².
    pub z_light: f64,
    /// Squares of the speeds between which the driver's refusal of low revs fades, m²/s²: there the
    /// force has kinks.
    pub z_fade: [f64; 2],
    /// Seconds without drive for the change to the next gear.
    pub shift_time: f64,
}

/// A surface under this car.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ground {
    /// Grip.
    pub mu: f64,
    /// Rolling resistance coefficient at rest.
    pub f0: f64,
    /// Limits of the axles.
    pub axle: AxleLimits,
    /// Slip of the driven tyres at their limit lengthwise: engine speed over road speed, less one.
    pub slip: f64,
}

/// Clutch slipping: coefficients and the square of the speed at which it closes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slip {
    /// Coefficients while it slips.
    pub mode: Mode,
    /// Square of the road speed at which the road's rpm reaches the engine's, m²/s².
    pub z_lock: f64,
}

/// One variant, ready to be driven.
#[derive(Debug, Clone, PartialEq)]
pub struct Machine {
    /// Torque, with the driver's refusal of low revs in it.
    pub table: TorqueTable,
    /// Gears from first to top.
    pub gears: Vec<Gear>,
    /// The lowest gear used on the move.
    pub lowest: usize,
    /// No drive: only the wheels turn with the car.
    pub coast: Mode,
    /// Launch in first gear.
    pub launch: Slip,
    /// Revs held in the lowest gear on the move.
    pub held: Slip,
    /// Drag per mass and z, ½ρ·C_d·A/m, 1/m.
    pub drag: f64,
    /// Downforce per mass and z, ½ρ·C_l·A/m, 1/m.
    pub downforce: f64,
    /// Rolling resistance per m/s.
    pub f1: f64,
    /// Rolling resistance per (m/s)².
    pub f2: f64,
    /// Surfaces of the course.
    pub ground: Vec<Ground>,
    /// Share of the tyres' braking that is used.
    pub brake_share: f64,
    /// Square of the driver's corner share.
    pub corner_share_squared: f64,
    /// Upper limit of the engine, rpm.
    pub limit_rpm: f64,
    /// Lowest rpm the driver allows.
    pub lowest_rpm: f64,
    /// Launch rpm.
    pub launch_rpm: f64,
}

/// Acceleration and what limits it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accel {
    /// m/s².
    pub a: f64,
    /// The tyres limit.
    pub traction: bool,
    /// How much more the engine could give than the tyres take, m/s².
    pub surplus: f64,
}

impl Ground {
    /// μN·e per mass, m/s²: what all tyres together still hold lengthwise.
    #[inline(always)]
    fn grip_left(&self, curvature: f64, z: f64, load: f64) -> f64 {
        let whole = self.mu * load;
        let lateral = z * curvature;
        (whole * whole - lateral * lateral).max(0.0).sqrt()
    }

    /// The same on a straight: the root of a square is the number itself, to the bit.
    #[inline(always)]
    fn grip_ahead(&self, load: f64) -> f64 {
        (self.mu * load).abs()
    }

    /// Tyre-limited drive force per mass, m/s², with a downforce per mass and z.
    #[inline(always)]
    pub(super) fn traction(&self, downforce: f64, cell: &Cell, z: f64) -> f64 {
        if cell.curvature == 0.0 {
            self.traction_ahead(downforce, cell, z)
        } else {
            self.traction_in_bend(downforce, cell, z)
        }
    }

    /// [`Self::traction`] on a straight.
    #[inline(always)]
    pub(super) fn traction_ahead(&self, downforce: f64, cell: &Cell, z: f64) -> f64 {
        let load = cell.g_cos + downforce * z;
        self.drive_force(load, self.grip_ahead(load), 0.0)
    }

    /// [`Self::traction`] whatever the curvature.
    #[inline(always)]
    pub(super) fn traction_in_bend(&self, downforce: f64, cell: &Cell, z: f64) -> f64 {
        let load = cell.g_cos + downforce * z;
        let transfer = self.axle.lateral * (z * cell.curvature) / load;
        self.drive_force(load, self.grip_left(cell.curvature, z, load), transfer)
    }

    /// Limits of the driven axle under a load, with what the tyres hold lengthwise and the share of load
    /// that the inside wheels lose.
    #[inline(always)]
    fn drive_force(&self, load: f64, left: f64, transfer: f64) -> f64 {
        let axle = &self.axle;
        let inside = axle.inside * (axle.half_share - transfer).max(0.0);
        lesser(lesser(axle.drive, inside) * left, axle.drive_lift * load)
    }

    /// Braking force per mass at the driver's share, m/s².
    #[inline(always)]
    fn brakes(&self, share: f64, downforce: f64, cell: &Cell, z: f64) -> f64 {
        if cell.curvature == 0.0 {
            self.brakes_ahead(share, downforce, cell, z)
        } else {
            self.brakes_in_bend(share, downforce, cell, z)
        }
    }

    /// Braking on a straight.
    #[inline(always)]
    pub(super) fn brakes_ahead(&self, share: f64, downforce: f64, cell: &Cell, z: f64) -> f64 {
        let load = cell.g_cos + downforce * z;
        lesser(share * self.grip_ahead(load), self.axle.brake_lift * load)
    }

    /// Braking whatever the curvature.
    #[inline(always)]
    pub(super) fn brakes_in_bend(&self, share: f64, downforce: f64, cell: &Cell, z: f64) -> f64 {
        let load = cell.g_cos + downforce * z;
        let left = self.grip_left(cell.curvature, z, load);
        lesser(share * left, self.axle.brake_lift * load)
    }
}

/// What resists per mass: rolling resistance at rest, per m/s and per (m/s)², and drag per z.
#[derive(Debug, Clone, Copy)]
pub(super) struct Resisting {
    pub(super) f0: f64,
    pub(super) f1: f64,
    pub(super) f2: f64,
    pub(super) drag: f64,
}

impl Resisting {
    /// m/s² at z = v².
    #[inline(always)]
    pub(super) fn at(&self, cell: &Cell, z: f64, v: f64) -> f64 {
        cell.g_sin + cell.g_cos * (self.f0 + self.f1 * v + self.f2 * z) + self.drag * z
    }
}

impl Machine {
    /// Resistance per mass, m/s², at z = v².
    #[inline(always)]
    pub fn resistance(&self, cell: &Cell, z: f64, v: f64) -> f64 {
        let resisting = Resisting {
            f0: self.ground[cell.surface as usize].f0,
            f1: self.f1,
            f2: self.f2,
            drag: self.drag,
        };
        resisting.at(cell, z, v)
    }

    /// Tyre-limited drive force per mass, m/s².
    #[inline(always)]
    pub fn traction(&self, cell: &Cell, z: f64) -> f64 {
        self.ground[cell.surface as usize].traction(self.downforce, cell, z)
    }

    /// Full-throttle acceleration under a mode.
    #[inline(always)]
    pub fn accelerate(&self, mode: &Mode, cell: &Cell, z: f64, v: f64) -> Accel {
        let resistance = self.resistance(cell, z, v);
        let engine = mode.c0 + mode.c2 * self.table.at(mode.c1 * v);
        let by_engine = (engine - resistance) * mode.inv_gamma;
        let by_tyres = self.traction(cell, z) - resistance;
        Accel {
            a: lesser(by_engine, by_tyres),
            traction: by_tyres < by_engine,
            surplus: by_engine - by_tyres,
        }
    }

    /// Acceleration by one law alone: the tyres' or the engine's, m/s².
    #[inline(always)]
    pub fn accelerate_by(&self, tyres: bool, mode: &Mode, cell: &Cell, z: f64) -> f64 {
        let v = z.sqrt();
        let resistance = self.resistance(cell, z, v);
        if tyres {
            self.traction(cell, z) - resistance
        } else {
            (mode.c0 + mode.c2 * self.table.at(mode.c1 * v) - resistance) * mode.inv_gamma
        }
    }

    /// How much more the engine could give than the tyres take, m/s².
    #[inline(always)]
    pub fn surplus(&self, mode: &Mode, cell: &Cell, z: f64) -> f64 {
        self.accelerate_by(false, mode, cell, z) - self.accelerate_by(true, mode, cell, z)
    }

    /// Deceleration with the brakes at the driver's limit, m/s²; negative where the slope wins.
    #[inline(always)]
    pub fn decelerate(&self, cell: &Cell, z: f64) -> f64 {
        let ground = &self.ground[cell.surface as usize];
        let brakes = ground.brakes(self.brake_share, self.downforce, cell, z);
        // A root only where something goes with the speed itself.
        let v = if self.f1 == 0.0 { 0.0 } else { z.sqrt() };
        brakes + self.resistance(cell, z, v)
    }

    /// Square of the speed the driver allows on a cell, m²/s².
    ///
    /// The tyres hold z·(κ − μ·½ρC_lA/m) ≤ μ·g·cosθ; in a corner given by its radius the driver takes
    /// that times the square of his corner share. A measured corner scales from what was driven
    /// with grip and share, a cap stays, but neither lifts the tyres' limit.
    pub fn plateau(&self, cell: &Cell, nominal: &super::cells::Nominal) -> f64 {
        let surface = cell.surface as usize;
        let mu = self.ground[surface].mu;
        let mut z = cell.cap;
        let bracket = cell.curvature - mu * self.downforce;
        if cell.curvature > 0.0 && bracket > 0.0 {
            let share = if cell.by_radius {
                self.corner_share_squared
            } else {
                1.0
            };
            z = z.min(mu * cell.g_cos / bracket * share);
        }
        if cell.measured < super::cells::UNLIMITED {
            let share = nominal.corner_share * nominal.corner_share;
            let scale = self.corner_share_squared / share * (mu / nominal.grip[surface]);
            z = z.min(cell.measured * scale);
        }
        z
    }

    /// Square of the speed at the limit of the gear below, m²/s²; 0 where there is none to go down to.
    #[inline(always)]
    pub fn lower_limit(&self, gear: usize) -> f64 {
        if gear > self.lowest {
            self.gears[gear - 1].z_limit
        } else {
            0.0
        }
    }

    /// The lowest gear on the move whose upshift lies above z: the rule of thumb for a corner exit.
    pub fn lowest_gear_below_upshift(&self, z: f64) -> usize {
        let top = self.gears.len() - 1;
        (self.lowest..top)
            .find(|&k| z < self.gears[k].z_cross.min(self.gears[k].z_light))
            .unwrap_or(top)
    }
}
