//! From pulls to a torque curve.

pub mod correction;
pub mod crossover;
pub mod curve;
pub mod shape;

pub use correction::{
    CorrectionError, Limited, Outside, PrintedFactor, STANDARDS, Standard, recognise,
};
pub use crossover::{Crossover, crossovers};
pub use curve::{Curve, CurveError};
pub use shape::{EXTENSION_RPM, Peak, shared_limit};

use std::collections::BTreeMap;

use crate::air::Air;

/// Where the torque was measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MeasuredAt {
    /// At the flywheel, on an engine dyno.
    Flywheel,
    /// At the rolls, with the flywheel figure estimated by the dyno's own software.
    FlywheelEstimated,
    /// At the hubs: driveline losses are inside.
    Hubs,
    /// At the wheels: driveline and tyre losses are inside.
    Wheels,
}

/// The dynamometer and how it was used.
#[derive(Debug, Clone, PartialEq)]
pub struct Dyno {
    /// Where torque was measured.
    pub measured_at: MeasuredAt,
}

/// One full-throttle run.
#[derive(Debug, Clone, PartialEq)]
pub struct Pull {
    /// Name for people: file name, or "typed in".
    pub name: String,
    /// Engine speed, rpm, rising.
    pub rpm: Vec<f64>,
    /// Torque as it stands in the file, N·m.
    pub torque: Vec<f64>,
    /// The air it breathed, if known.
    pub air: Option<Air>,
    /// What the file's figures are already corrected to.
    pub corrected: Standard,
}

/// One occasion on which a spec was put together.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitting {
    /// Its pulls in order.
    pub pulls: Vec<Pull>,
}

/// A named state of the engine.
#[derive(Debug, Clone, PartialEq)]
pub struct Spec {
    /// Name, unique in the test day.
    pub name: String,
    /// Which parts are fitted: kind of part to name of part.
    pub parts: BTreeMap<String, String>,
    /// What it costs, in the test day's currency.
    pub price: Option<f64>,
    /// Mass of the parts that differ, kg.
    pub mass: Option<f64>,
    /// Occasions on which it was fitted, in order.
    pub fittings: Vec<Fitting>,
}

/// One day on one dyno.
#[derive(Debug, Clone, PartialEq)]
pub struct TestDay {
    /// The dyno.
    pub dyno: Dyno,
    /// The standard that pulls are brought to.
    pub correct_to: Standard,
    /// Currency of the prices.
    pub currency: Option<String>,
    /// Specs in the order of the file.
    pub specs: Vec<Spec>,
}
