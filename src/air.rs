//! The air: what an engine breathes and a body pushes through. A leaf that `dyno` and `venue` share.

/// A state of moist air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Air {
    /// Total (barometric) pressure at the place, Pa.
    pub pressure: f64,
    /// Temperature, K.
    pub temperature: f64,
    /// Relative humidity, 0 to 1.
    pub humidity: f64,
}
