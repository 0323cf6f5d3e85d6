//! A car, a curve and habits compiled into a [`Machine`] for one course.

use super::LapError;
use super::cells::{Cell, Nominal, UNLIMITED};
use super::machine::{Gear, Ground, MAX_GEARS, Machine, Mode, Slip, TABLE_INTERVALS, TorqueTable};
use crate::car::axle::AxleLimits;
use crate::car::driveline::{force_per_torque, rpm_per_speed};
use crate::car::{Car, FirstGear, Gearbox, Habits, Rolling, Trim};
use crate::dyno::Curve;
use crate::units::STANDARD_GRAVITY;
use crate::venue::{Course, Surface};

/// Slip of driven tyres at their limit lengthwise on a paved road (common practice, no source).
const SLIP_PAVED: f64 = 0.08;
/// The same on a loose surface (common practice, no source).
const SLIP_LOOSE: f64 = 0.25;
/// Share of the lowest rpm over which a driver in a higher gear gives up on it.
pub(super) const LOWEST_RPM_FADE: f64 = 0.1;

/// Everything that makes one variant on one course.
#[derive(Debug, Clone)]
pub struct Variant<'a> {
    /// The car.
    pub car: &'a Car,
    /// The trim it goes in.
    pub trim: &'a Trim,
    /// Gears, fitted or offered.
    pub gearbox: &'a Gearbox,
    /// Final drive ratio.
    pub final_drive: f64,
    /// The driver.
    pub habits: Habits,
    /// The engine.
    pub curve: &'a Curve,
    /// The torque is measured behind the driveline, so that its losses are in the curve.
    pub at_wheels: bool,
    /// Upper limit of the engine shared by all specs of a comparison, rpm.
    pub limit_rpm: f64,
    /// Torque at the venue over the curve's: the air it breathes there.
    pub torque_factor: f64,
    /// Air density, kg/m³.
    pub air_density: f64,
    /// Mass above the trim's, kg (heavier parts).
    pub extra_mass: f64,
}

impl<'a> Variant<'a> {
    /// The car as it stands: fitted gears, given curve and habits, its own rev limit.
    pub fn fitted(
        car: &'a Car,
        trim: &'a Trim,
        habits: Habits,
        curve: &'a Curve,
        air_density: f64,
    ) -> Self {
        Self {
            car,
            trim,
            gearbox: &car.gearbox,
            final_drive: car.final_drive.ratio,
            habits,
            curve,
            at_wheels: false,
            limit_rpm: car.rev_limit_rpm,
            torque_factor: 1.0,
            air_density,
            extra_mass: 0.0,
        }
    }

    fn mass(&self) -> f64 {
        self.trim.mass + self.extra_mass
    }

    /// What measured apex speeds of a course were driven with, taken from this variant: its surfaces as
    /// they are written, whatever state the venue is in.
    ///
    /// # Errors
    /// [`LapError::NoGrip`] where the trim has none for a surface.
    pub fn nominal(&self, course: &Course) -> Result<Nominal, LapError> {
        let grip = course
            .surfaces
            .iter()
            .map(|s| written_grip(self.trim, s))
            .collect::<Result<_, _>>()?;
        Ok(Nominal {
            grip,
            corner_share: self.habits.corner_share,
            usual_share: course.kind.usual_share(),
            speeds: course.speeds,
            downforce: 0.5 * self.air_density * self.car.lift_area / self.mass(),
        })
    }

    /// Compiles the machine for a course.
    ///
    /// # Errors
    /// No grip for a surface, too many gears, a launch or a lowest rpm outside the engine's range.
    pub fn compile(&self, course: &Course) -> Result<Machine, LapError> {
        let count = self.gearbox.ratios.len();
        if count == 0 || count > MAX_GEARS {
            return Err(LapError::TooManyGears(count));
        }
        let (car, mass, habits) = (self.car, self.mass(), &self.habits);
        let start_surface = course.sections.first().map_or(0, |s| s.surface);
        let launch_rpm = self.launch_rpm(&course.surfaces[start_surface])?;
        let lowest_rpm = habits.lowest_rpm;
        if lowest_rpm >= self.limit_rpm {
            return Err(LapError::Lowest {
                lowest: lowest_rpm,
                limit: self.limit_rpm,
            });
        }
        let fade = |rpm: f64| {
            if lowest_rpm > 0.0 {
                ((rpm / lowest_rpm - (1.0 - LOWEST_RPM_FADE)) / LOWEST_RPM_FADE).clamp(0.0, 1.0)
            } else {
                1.0
            }
        };
        let torque = |rpm: f64| self.torque_factor * self.curve.torque(rpm).max(0.0);
        let coast = Mode {
            c0: 0.0,
            c1: 0.0,
            c2: 0.0,
            inv_gamma: 1.0
                / car
                    .rotating
                    .open_clutch_factor(mass, self.trim.rolling_radius),
        };
        let lowest = usize::from(self.gearbox.first_gear == FirstGear::StartOnly && count > 1);
        let gears: Vec<Gear> = (0..count).map(|k| self.gear(k, mass)).collect();
        let slip = |gear: &Gear, rpm: f64| Slip {
            mode: Mode {
                c0: torque(rpm) * gear.mode.c2,
                ..coast
            },
            z_lock: (rpm / gear.mode.c1).powi(2),
        };
        let ground = course
            .surfaces
            .iter()
            .map(|s| {
                let mu = grip(self.trim, s)?;
                Ok(Ground {
                    mu,
                    f0: self.rolling(s),
                    axle: AxleLimits::new(car, mu),
                    slip: usual_slip(s),
                })
            })
            .collect::<Result<Vec<_>, LapError>>()?;
        let mut reader = self.curve.reader();
        let mut machine = Machine {
            table: TorqueTable::new(table_top(self.limit_rpm, lowest_rpm), |rpm| {
                fade(rpm) * (self.torque_factor * reader(rpm).max(0.0))
            }),
            launch: slip(&gears[0], launch_rpm.max(lowest_rpm)),
            held: slip(&gears[lowest], lowest_rpm),
            gears,
            lowest,
            coast,
            drag: 0.5 * self.air_density * car.drag_area / mass,
            downforce: 0.5 * self.air_density * car.lift_area / mass,
            f1: car.rolling.f1,
            f2: car.rolling.f2,
            ground,
            brake_share: habits.brake_share,
            corner_share_squared: habits.corner_share * habits.corner_share,
            limit_rpm: self.limit_rpm,
            lowest_rpm,
            launch_rpm: launch_rpm.max(lowest_rpm),
        };
        machine.set_shift_points(habits.shift_light_rpm);
        Ok(machine)
    }

    fn gear(&self, k: usize, mass: f64) -> Gear {
        let ratio = self.gearbox.ratios[k];
        let radius = self.trim.rolling_radius;
        let total = ratio * self.final_drive;
        let efficiency = if self.at_wheels {
            1.0
        } else {
            nth(&self.gearbox.efficiency, k, 1.0)
        };
        let gamma = self
            .car
            .rotating
            .mass_factor(k, ratio, self.final_drive, mass, radius);
        let c1 = rpm_per_speed(total, radius);
        let z_limit = (self.limit_rpm / c1).powi(2);
        Gear {
            mode: Mode {
                c0: 0.0,
                c1,
                c2: force_per_torque(total, efficiency, radius) / mass,
                inv_gamma: 1.0 / gamma,
            },
            z_limit,
            z_cross: z_limit,
            z_light: z_limit,
            z_fade: [1.0 - LOWEST_RPM_FADE, 1.0]
                .map(|share| (share * self.habits.lowest_rpm / c1).powi(2)),
            shift_time: nth(&self.gearbox.shift_times, k, 0.0),
        }
    }

    fn launch_rpm(&self, surface: &Surface) -> Result<f64, LapError> {
        let of = |name: &str| self.car.launch_rpm.get(name).copied();
        let launch = of(&surface.name)
            .or_else(|| of(&surface.like))
            .unwrap_or(self.car.default_launch_rpm);
        if launch > 0.0 && launch <= self.limit_rpm {
            Ok(launch)
        } else {
            Err(LapError::Launch {
                launch,
                limit: self.limit_rpm,
            })
        }
    }

    fn rolling(&self, surface: &Surface) -> f64 {
        surface
            .rolling
            .or(self.car.rolling.f0)
            .unwrap_or_else(|| usual_rolling(surface))
    }
}

/// Rolling resistance coefficient f0 of a surface where neither it nor the car says one.
pub fn usual_rolling(surface: &Surface) -> f64 {
    if is_loose(&surface.like) {
        Rolling::LOOSE
    } else {
        Rolling::PAVED
    }
}

/// Slip of the driven tyres at their limit lengthwise on a surface: engine speed over road speed, less
/// one.
pub fn usual_slip(surface: &Surface) -> f64 {
    if is_loose(&surface.like) {
        SLIP_LOOSE
    } else {
        SLIP_PAVED
    }
}

/// Where the torque table ends: at the limit, or a little above it, so that the lowest rpm and nine
/// tenths of it are knots. Torque has a kink at both.
fn table_top(limit_rpm: f64, lowest_rpm: f64) -> f64 {
    let tenths = (LOWEST_RPM_FADE * lowest_rpm / limit_rpm * TABLE_INTERVALS as f64).floor();
    if tenths >= 1.0 {
        LOWEST_RPM_FADE * lowest_rpm / tenths * TABLE_INTERVALS as f64
    } else {
        limit_rpm
    }
}

/// Whether a surface is loose by its name: gravel, forest, mud, sand, snow.
pub fn is_loose(name: &str) -> bool {
    ["gravel", "forest", "mud", "sand", "snow", "loose", "grass"]
        .iter()
        .any(|word| name.contains(word))
}

fn nth(values: &[f64], k: usize, default: f64) -> f64 {
    values.get(k).or(values.last()).copied().unwrap_or(default)
}

/// Grip of a trim on a surface in the state that the venue is in.
fn grip(trim: &Trim, surface: &Surface) -> Result<f64, LapError> {
    written_grip(trim, surface).map(|grip| grip * surface.state)
}

/// Grip of a trim on a surface as it is written: its own by name, else that of what it is like times the factor.
fn written_grip(trim: &Trim, surface: &Surface) -> Result<f64, LapError> {
    trim.grip
        .get(&surface.name)
        .copied()
        .or_else(|| trim.grip.get(&surface.like).map(|g| g * surface.factor))
        .ok_or_else(|| LapError::NoGrip(surface.name.clone()))
}

/// Lateral acceleration that a driver takes corners of a surface at, as it is written and on the level, m/s²;
/// `None` where the trim has no grip for it.
pub fn cornering(trim: &Trim, surface: &Surface, corner_share: f64) -> Option<f64> {
    let grip = written_grip(trim, surface).ok()?;
    Some(corner_share * corner_share * grip * STANDARD_GRAVITY)
}

impl Machine {
    /// Finds the upshift of each gear: the last crossing of accelerations below the limiter, on the
    /// level on the course's first surface, and the driver's light.
    fn set_shift_points(&mut self, light_rpm: Option<f64>) {
        let level = Cell {
            length: 1.0,
            curvature: 0.0,
            g_cos: STANDARD_GRAVITY,
            g_sin: 0.0,
            measured: UNLIMITED,
            cap: UNLIMITED,
            surface: 0,
            by_radius: false,
            section: 0,
        };
        for k in 0..self.gears.len() {
            let gear = self.gears[k];
            if k + 1 < self.gears.len() {
                self.gears[k].z_cross = self.crossing(k, &level);
            }
            self.gears[k].z_light = match light_rpm {
                Some(rpm) => (rpm.min(self.limit_rpm) / gear.mode.c1).powi(2),
                None => self.gears[k].z_cross,
            };
        }
    }

    /// How much more gear k accelerates than the next, engine against engine, m/s².
    fn advantage(&self, k: usize, level: &Cell, z: f64) -> f64 {
        let v = z.sqrt();
        let resistance = self.resistance(level, z, v);
        let by = |mode: &Mode| (mode.c2 * self.table.at(mode.c1 * v) - resistance) * mode.inv_gamma;
        by(&self.gears[k].mode) - by(&self.gears[k + 1].mode)
    }

    fn crossing(&self, k: usize, level: &Cell) -> f64 {
        let limit = self.gears[k].z_limit;
        if self.advantage(k, level, limit) >= 0.0 {
            return limit;
        }
        let steps = 2 * TABLE_INTERVALS;
        let v_limit = limit.sqrt();
        let at = |i: usize| (v_limit * i as f64 / steps as f64).powi(2);
        let Some(below) = (1..steps)
            .rev()
            .find(|&i| self.advantage(k, level, at(i)) >= 0.0)
        else {
            return limit;
        };
        let (mut low, mut high) = (at(below), at(below + 1));
        for _ in 0..60 {
            let mid = 0.5 * (low + high);
            if self.advantage(k, level, mid) >= 0.0 {
                low = mid
            } else {
                high = mid
            }
        }
        0.5 * (low + high)
    }
}
