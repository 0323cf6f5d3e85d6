//! The forces on the car, N, and the accelerations they give.

use pullrank::car::{Differential, Drive, FirstGear, Rolling, Rotating};
use pullrank::lap::Variant;
use pullrank::units::STANDARD_GRAVITY as G;
use pullrank::venue::{Bend, Course, Section};

/// No limit on speed, m²/s².
pub const FREE: f64 = 1e6;

/// The road at one place.
#[derive(Debug, Clone, Copy)]
pub struct Spot {
    pub curvature: f64,
    /// Parts of g across and along the road, m/s².
    pub across: f64,
    pub along: f64,
    pub grip: f64,
    pub rolling: f64,
    /// Square of the speed that the driver allows, m²/s².
    pub allowed: f64,
}

/// What drives the car.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Pull {
    Gear(usize),
    /// The clutch slips in a gear at an engine speed, rpm.
    Slip(usize, f64),
    Nothing,
}

/// A car, an engine and a driver.
pub struct Forces<'a> {
    pub variant: &'a Variant<'a>,
    mass: f64,
    radius: f64,
    /// Total ratios.
    total: Vec<f64>,
    /// Mass that each gear moves, kg.
    moved: Vec<f64>,
    moved_open: f64,
    pub lowest: usize,
    pub launch_rpm: f64,
}

impl<'a> Forces<'a> {
    pub fn new(variant: &'a Variant<'a>, course: &Course) -> Self {
        let (car, trim) = (variant.car, variant.trim);
        let (mass, radius) = (trim.mass + variant.extra_mass, trim.rolling_radius);
        let ratios = &variant.gearbox.ratios;
        let total: Vec<f64> = ratios.iter().map(|i| i * variant.final_drive).collect();
        let spun = |k: usize| match &car.rotating {
            Rotating::None => 1.0,
            Rotating::Typical => 1.04 + 0.0025 * total[k] * total[k],
            Rotating::Inertias {
                engine,
                wheels,
                gearbox,
                shaft,
            } => {
                let turning = engine + gearbox[k.min(gearbox.len() - 1)];
                let at_wheels =
                    wheels + shaft * variant.final_drive.powi(2) + turning * total[k].powi(2);
                1.0 + at_wheels / (mass * radius * radius)
            }
        };
        let open = match &car.rotating {
            Rotating::None => 1.0,
            Rotating::Typical => 1.04,
            Rotating::Inertias { wheels, .. } => 1.0 + wheels / (mass * radius * radius),
        };
        let start = &course.surfaces[course.sections[0].surface];
        let launch = [&start.name, &start.like]
            .iter()
            .find_map(|name| car.launch_rpm.get(*name).copied())
            .unwrap_or(car.default_launch_rpm);
        let start_only = variant.gearbox.first_gear == FirstGear::StartOnly && total.len() > 1;
        Self {
            variant,
            mass,
            radius,
            moved: (0..total.len()).map(|k| mass * spun(k)).collect(),
            moved_open: mass * open,
            lowest: usize::from(start_only),
            launch_rpm: launch.max(variant.habits.lowest_rpm),
            total,
        }
    }

    pub fn gears(&self) -> usize {
        self.total.len()
    }

    /// Seconds from gear k to the next.
    pub fn shift_time(&self, k: usize) -> f64 {
        let times = &self.variant.gearbox.shift_times;
        times.get(k).or(times.last()).copied().unwrap_or(0.0)
    }

    fn rpm(&self, k: usize, v: f64) -> f64 {
        60.0 / std::f64::consts::TAU * self.total[k] * v / self.radius
    }

    /// Square of the road speed, m²/s², at an engine speed.
    pub fn z_at(&self, k: usize, rpm: f64) -> f64 {
        (rpm / self.rpm(k, 1.0)).powi(2)
    }

    pub fn z_limit(&self, k: usize) -> f64 {
        self.z_at(k, self.variant.limit_rpm)
    }

    fn wheel_force(&self, k: usize, rpm: f64) -> f64 {
        let eta = &self.variant.gearbox.efficiency;
        let eta = match self.variant.at_wheels {
            true => 1.0,
            false => eta.get(k).or(eta.last()).copied().unwrap_or(1.0),
        };
        let torque = self.variant.torque_factor * self.variant.curve.torque(rpm).max(0.0);
        torque * self.total[k] * eta / self.radius
    }

    /// The driver gives up on revs below his lowest.
    fn willing(&self, rpm: f64) -> f64 {
        let lowest = self.variant.habits.lowest_rpm;
        if lowest > 0.0 {
            ((rpm / lowest - 0.9) / 0.1).clamp(0.0, 1.0)
        } else {
            1.0
        }
    }

    fn load(&self, at: &Spot, z: f64) -> f64 {
        self.mass * at.across + 0.5 * self.variant.air_density * self.variant.car.lift_area * z
    }

    fn ellipse(&self, at: &Spot, z: f64) -> f64 {
        let used = self.mass * z * at.curvature / (at.grip * self.load(at, z));
        (1.0 - used * used).max(0.0).sqrt()
    }

    fn resistance(&self, at: &Spot, z: f64) -> f64 {
        let car = self.variant.car;
        let rolling = at.rolling + car.rolling.f1 * z.sqrt() + car.rolling.f2 * z;
        0.5 * self.variant.air_density * car.drag_area * z
            + self.mass * (at.across * rolling + at.along)
    }

    /// What the driven wheels can put down, N.
    fn tyres(&self, at: &Spot, z: f64) -> f64 {
        let car = self.variant.car;
        let (load, e) = (self.load(at, z), self.ellipse(at, z));
        let (a, lean) = (car.front_share, car.cg_height / car.wheelbase);
        let whole = at.grip * load;
        let (share, sign) = match car.drive {
            Drive::Rear => (1.0 - a, -1.0),
            Drive::Front => (a, 1.0),
            Drive::All => (1.0, 0.0),
        };
        let shifted = 1.0 + sign * at.grip * lean;
        let mut force = if shifted > 0.0 {
            (share * whole / shifted).min(whole) * e
        } else {
            whole * e
        };
        if let (Differential::Bias(b), true) = (car.differential, car.drive != Drive::All) {
            let over =
                self.mass * z * at.curvature * car.cg_height * car.roll_share / car.track_width;
            let shifted = 1.0 + sign * (1.0 + b) * at.grip * lean / 2.0;
            if shifted > 0.0 {
                let inside = (0.5 * share * load - over).max(0.0);
                force = force.min((1.0 + b) * at.grip * e * inside / shifted);
            }
        }
        if car.drive != Drive::Front && lean > 0.0 {
            force = force.min(a * load / lean);
        }
        force
    }

    /// Full-throttle acceleration, m/s², and whether the tyres limit it.
    pub fn accelerate(&self, pull: Pull, at: &Spot, z: f64) -> (f64, bool) {
        let (force, moved) = match pull {
            Pull::Gear(k) => {
                let rpm = self.rpm(k, z.sqrt());
                (self.wheel_force(k, rpm) * self.willing(rpm), self.moved[k])
            }
            Pull::Slip(k, rpm) => (self.wheel_force(k, rpm), self.moved_open),
            Pull::Nothing => (0.0, self.moved_open),
        };
        let resistance = self.resistance(at, z);
        let by_engine = (force - resistance) / moved;
        let by_tyres = (self.tyres(at, z) - resistance) / self.mass;
        (by_engine.min(by_tyres), by_tyres < by_engine)
    }

    /// Acceleration with all that the tyres take, m/s².
    pub fn by_tyres(&self, at: &Spot, z: f64) -> f64 {
        (self.tyres(at, z) - self.resistance(at, z)) / self.mass
    }

    /// Deceleration with the brakes at the driver's limit, m/s².
    pub fn brake(&self, at: &Spot, z: f64) -> f64 {
        let car = self.variant.car;
        let load = self.load(at, z);
        let mut force = self.variant.habits.brake_share * at.grip * load * self.ellipse(at, z);
        if car.cg_height > 0.0 {
            force = force.min((1.0 - car.front_share) * load * car.wheelbase / car.cg_height);
        }
        (force + self.resistance(at, z)) / self.mass
    }

    /// The road of a section.
    pub fn spot(&self, course: &Course, section: &Section) -> Spot {
        let (variant, surface) = (self.variant, &course.surfaces[section.surface]);
        let grips = &variant.trim.grip;
        let grip = grips
            .get(&surface.name)
            .copied()
            .unwrap_or_else(|| grips[&surface.like] * surface.factor);
        let loose = surface.like.contains("gravel") || surface.like.contains("snow");
        let usual = if loose {
            Rolling::LOOSE
        } else {
            Rolling::PAVED
        };
        let cos = 1.0 / (1.0 + section.slope * section.slope).sqrt();
        let (across, along) = (G * cos, G * section.slope * cos);
        let lift = 0.5 * variant.air_density * variant.car.lift_area / self.mass;
        let share = variant.habits.corner_share.powi(2);
        let (curvature, share, measured) = match section.bend {
            Bend::Straight => (0.0, 1.0, FREE),
            Bend::Radius { curvature } => (curvature.abs(), share, FREE),
            Bend::Measured { speed, .. } => {
                let (z, usual) = (speed * speed, course.kind.usual_share().powi(2));
                (usual * grip * (across + lift * z) / z, 1.0, z)
            }
        };
        let mut allowed = measured.min(section.cap.map_or(FREE, |v| v * v));
        let net = curvature - grip * lift;
        if curvature > 0.0 && net > 0.0 {
            allowed = allowed.min(grip * across / net * share);
        }
        Spot {
            curvature,
            across,
            along,
            grip,
            rolling: surface.rolling.or(variant.car.rolling.f0).unwrap_or(usual),
            allowed,
        }
    }
}
