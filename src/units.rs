//! Numbers as people write them to SI, and back for display.
//!
//! Inside the library every quantity is `f64` in SI units, except engine speed, which the trade
//! and every curve quote in revolutions per minute: fields and parameters that hold it end in
//! `_rpm`.
//!
//! ```
//! use pullrank::units::{self, MASS, TORQUE};
//!
//! assert_eq!(units::read("960 kg", &MASS, None).unwrap().si, 960.0);
//! assert!((units::read("162 lb-ft", &TORQUE, None).unwrap().si - 219.642).abs() < 1e-3);
//! let fault = units::read("900 mm", &MASS, None).unwrap_err();
//! assert_eq!(fault.to_string(), "`900 mm` is a length");
//! ```

mod dimension;
mod number;
mod table;

pub use dimension::{Dimension, Fault, Reading, Unit, clock, read, read_share, read_slope, unit};
pub use number::{NumberFault, apart, counted, grouped, grouped_by_points, number, plain};
pub use table::*;

/// Standard gravity, m/s². ISO 80000-3 (conventional value, CGPM 1901).
pub const STANDARD_GRAVITY: f64 = 9.806_65;
/// Revolutions per minute in one radian per second, 60/(2π).
pub const RPM_PER_RAD_PER_S: f64 = 60.0 / (2.0 * std::f64::consts::PI);

#[cfg(test)]
mod tests;
