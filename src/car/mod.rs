//! The car and its driver as plain numbers: gearbox, tyre, driveline, axle grip, habits.

pub mod axle;
pub mod driveline;
pub mod load;
pub mod offer;
#[cfg(test)]
pub(crate) mod sample;
pub mod tyre;

use std::collections::BTreeMap;
use std::f64::consts::PI;

use offer::{Purchases, Terms};

/// Which axle drives.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Drive {
    /// Front-wheel drive.
    Front,
    /// Rear-wheel drive.
    Rear,
    /// All-wheel drive.
    All,
}

/// What joins the two driven wheels of an axle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Differential {
    /// The driven wheels turn as one: no inside-wheel limit.
    Spool,
    /// Torque at the wheel with grip over torque at the one without: 1 is an open differential,
    /// 2 to 3.5 a plate differential, at most 5.
    Bias(f64),
}

/// When first gear may be used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FirstGear {
    /// For the start only.
    StartOnly,
    /// Whenever it is the best gear.
    AnyTime,
}

/// A set of gears.
#[derive(Debug, Clone, PartialEq)]
pub struct Gearbox {
    /// Name for people; the fitted one may be nameless.
    pub name: Option<String>,
    /// Ratios from first to top, strictly falling.
    pub ratios: Vec<f64>,
    /// Seconds without drive for the change from gear k to k+1, one per change.
    pub shift_times: Vec<f64>,
    /// When first may be used.
    pub first_gear: FirstGear,
    /// Driveline efficiency per gear, 0 to 1.
    pub efficiency: Vec<f64>,
    /// What it costs and asks for.
    pub terms: Terms,
}

/// A final drive with the drop gears before it: the number, and the teeth where they are known.
#[derive(Debug, Clone, PartialEq)]
pub struct FinalDrive {
    /// Ratio, crownwheel over pinion, times that of the drop gears.
    pub ratio: f64,
    /// Pinion and crownwheel teeth.
    pub teeth: Option<(u32, u32)>,
    /// Driving and driven teeth of a pair of drop gears before it; the ratio contains them.
    pub drop_gear: Option<(u32, u32)>,
    /// What it costs and asks for.
    pub terms: Terms,
}

/// What turns with the wheels and the engine, kg·m².
#[derive(Debug, Clone, PartialEq)]
pub enum Rotating {
    /// Mass factor of ordinary cars, 1.04 + 0.0025 G².
    Typical,
    /// Inertias given.
    Inertias {
        /// Engine with flywheel and clutch, kg·m².
        engine: f64,
        /// All wheels together, kg·m².
        wheels: f64,
        /// Gearbox per gear, at the input shaft, kg·m².
        gearbox: Vec<f64>,
        /// Propeller shaft, turning at final-drive input speed, kg·m².
        shaft: f64,
    },
    /// No rotating inertia at all (textbook cases).
    None,
}

/// The car as it goes to a kind of event.
#[derive(Debug, Clone, PartialEq)]
pub struct Trim {
    /// Name as the file writes it.
    pub name: String,
    /// Mass with crew and fuel, kg.
    pub mass: f64,
    /// Rolling radius, m.
    pub rolling_radius: f64,
    /// The tyre as written, for people.
    pub tyre: String,
    /// Grip per surface name.
    pub grip: BTreeMap<String, f64>,
}

/// Rolling resistance coefficient f0 + f1·v + f2·v², v in m/s.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rolling {
    /// Constant term; `None` takes the default of the surface.
    pub f0: Option<f64>,
    /// Per m/s.
    pub f1: f64,
    /// Per (m/s)².
    pub f2: f64,
}

impl Rolling {
    /// Coefficient f0 of a paved road where nothing is said (common practice).
    pub const PAVED: f64 = 0.014;
    /// Coefficient f0 of a loose surface where nothing is said: the middle of 0.025 to 0.035 (common
    /// practice).
    pub const LOOSE: f64 = 0.030;
}

/// A car.
#[derive(Debug, Clone, PartialEq)]
pub struct Car {
    /// Name for people.
    pub name: String,
    /// Driven axle.
    pub drive: Drive,
    /// Fitted gears.
    pub gearbox: Gearbox,
    /// Fitted final drive.
    pub final_drive: FinalDrive,
    /// Engine speed limit, rpm.
    pub rev_limit_rpm: f64,
    /// The trims it has, at least one.
    pub trims: Vec<Trim>,
    /// Static share of the weight on the front axle, 0 to 1.
    pub front_share: f64,
    /// Wheelbase, m.
    pub wheelbase: f64,
    /// Track width, m.
    pub track_width: f64,
    /// Height of the centre of mass, m.
    pub cg_height: f64,
    /// Drag area C_d·A, m².
    pub drag_area: f64,
    /// Lift area C_l·A pressing down, m²; positive is downforce.
    pub lift_area: f64,
    /// Rolling resistance.
    pub rolling: Rolling,
    /// Differential of the driven axle.
    pub differential: Differential,
    /// The driven axle's share of the car's roll stiffness, 0 to 1.
    pub roll_share: f64,
    /// Rotating inertia.
    pub rotating: Rotating,
    /// Launch rpm per surface name.
    pub launch_rpm: BTreeMap<String, f64>,
    /// Launch rpm where the surface has none of its own.
    pub default_launch_rpm: f64,
    /// Bore and stroke in m and number of cylinders, where known.
    pub engine: Option<EngineSize>,
    /// Final drives that could be fitted (the fitted one need not be repeated).
    pub final_drive_options: Vec<FinalDrive>,
    /// Gear sets that could be fitted.
    pub gearbox_options: Vec<Gearbox>,
    /// What else could be bought.
    pub purchases: Purchases,
    /// One standard deviation of each uncertain input.
    pub uncertain: Uncertain,
}

/// Size of the engine.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct EngineSize {
    /// Bore, m.
    pub bore: f64,
    /// Stroke, m.
    pub stroke: f64,
    /// Number of cylinders.
    pub cylinders: u32,
}

impl EngineSize {
    /// Swept volume of all cylinders, m³.
    pub fn displacement(&self) -> f64 {
        0.25 * PI * self.bore * self.bore * self.stroke * f64::from(self.cylinders)
    }

    /// Brake mean effective pressure of a four-stroke engine at a torque in N·m, Pa: by definition 4π times
    /// torque over displacement.
    pub fn mean_effective_pressure(&self, torque: f64) -> f64 {
        4.0 * PI * torque / self.displacement()
    }
}

/// One standard deviation of each uncertain input; relative ones are fractions.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Uncertain {
    /// Mass, kg.
    pub mass: f64,
    /// Drag area, fraction.
    pub drag_area: f64,
    /// Grip, fraction.
    pub grip: f64,
    /// Shift time, s.
    pub shift_time: f64,
    /// Rolling radius, fraction.
    pub rolling_radius: f64,
    /// Air density, fraction.
    pub air_density: f64,
}

/// The driver's habits at one kind of event.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Habits {
    /// Share of the cornering limit speed that is driven, 0 to 1.
    pub corner_share: f64,
    /// Share of the tyres' braking that driver and balance use, 0 to 1.
    pub brake_share: f64,
    /// Engine speed below which the driver slips the clutch or takes a lower gear, rpm; 0 is never.
    pub lowest_rpm: f64,
    /// Engine speed at which the driver changes up, rpm; `None` shifts where the car gains.
    pub shift_light_rpm: Option<f64>,
}
