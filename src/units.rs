//! Numbers as people write them to SI, and back for display.
//!
//! Inside the library every quantity is `f64` in SI units, except engine speed, which the trade
//! and every curve quote in revolutions per minute: fields and parameters that hold it end in
//! `_rpm`.

/// Standard gravity, m/s². ISO 80000-3 (conventional value, CGPM 1901).
pub const STANDARD_GRAVITY: f64 = 9.806_65;
/// Revolutions per minute in one radian per second, 60/(2π).
pub const RPM_PER_RAD_PER_S: f64 = 60.0 / (2.0 * std::f64::consts::PI);
