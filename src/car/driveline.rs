//! Ratios, speeds, wheel force and rotating inertia.
//!
//! With G = i_gear·i_final the total ratio, r the rolling radius and η the efficiency:
//! engine speed n = 60/(2π)·G·v/r, wheel force F = τ·G·η/r, and the mass factor
//!
//! γ = 1 + (ΣI_wheel + I_shaft·i_final² + (I_engine + I_gearbox)·G²)/(m·r²)
//!
//! Without inertias γ = 1.04 + 0.0025·G², a fit to ordinary cars (Gillespie, "Fundamentals of
//! Vehicle Dynamics", chapter 2, from memory).

use super::Rotating;
use crate::units::RPM_PER_RAD_PER_S;

/// Total ratio above which the ordinary-car fit of the mass factor is far outside its range.
pub const TYPICAL_RATIO_MAX: f64 = 16.0;
/// Mass factor of the wheels alone where no inertias are given.
pub const TYPICAL_WHEELS: f64 = 1.04;
/// Growth of the mass factor with the square of the total ratio where no inertias are given.
pub const TYPICAL_PER_RATIO_SQUARED: f64 = 0.0025;

/// Engine speed per road speed, rpm per m/s, for a total ratio and a rolling radius in m.
pub fn rpm_per_speed(total_ratio: f64, rolling_radius: f64) -> f64 {
    RPM_PER_RAD_PER_S * total_ratio / rolling_radius
}

/// Wheel force per engine torque, N per N·m.
pub fn force_per_torque(total_ratio: f64, efficiency: f64, rolling_radius: f64) -> f64 {
    total_ratio * efficiency / rolling_radius
}

impl Rotating {
    /// Mass factor γ in a gear: gear index from 0, gear ratio, final drive, mass in kg, rolling
    /// radius in m.
    pub fn mass_factor(
        &self,
        gear: usize,
        ratio: f64,
        final_drive: f64,
        mass: f64,
        radius: f64,
    ) -> f64 {
        let total = ratio * final_drive;
        match self {
            Rotating::None => 1.0,
            Rotating::Typical => TYPICAL_WHEELS + TYPICAL_PER_RATIO_SQUARED * total * total,
            Rotating::Inertias {
                engine,
                wheels,
                gearbox,
                shaft,
            } => {
                let box_inertia = gearbox.get(gear).or(gearbox.last()).copied().unwrap_or(0.0);
                let sum = wheels
                    + shaft * final_drive * final_drive
                    + (engine + box_inertia) * total * total;
                1.0 + sum / (mass * radius * radius)
            }
        }
    }

    /// Mass factor with the clutch open: only the wheels turn with the car.
    pub fn open_clutch_factor(&self, mass: f64, radius: f64) -> f64 {
        match self {
            Rotating::None => 1.0,
            Rotating::Typical => TYPICAL_WHEELS,
            Rotating::Inertias { wheels, .. } => 1.0 + wheels / (mass * radius * radius),
        }
    }
}
