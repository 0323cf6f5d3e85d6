//! Units of the handbooks. Exact by definition, except the pound-force, which takes standard gravity.

/// Metres in a foot.
pub const FOOT: f64 = 0.3048;
/// Metres in an inch.
pub const INCH: f64 = 0.0254;
/// m/s in a mile per hour.
pub const MPH: f64 = 0.44704;
/// Kilograms in a pound.
pub const POUND: f64 = 0.453_592_37;
/// Newtons in a pound-force.
pub const POUND_FORCE: f64 = POUND * 9.806_65;
/// kg/m³ in a slug per cubic foot.
pub const SLUG_PER_CUBIC_FOOT: f64 = POUND_FORCE / FOOT / (FOOT * FOOT * FOOT);
/// kg·m² in an inch-pound-force-second squared.
pub const INCH_POUND_SECOND_SQUARED: f64 = INCH * POUND_FORCE;
