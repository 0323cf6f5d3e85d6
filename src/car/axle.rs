//! What the driven axle can put down and the brakes can take off, per unit of normal load.
//!
//! The car is a point mass with its centre of mass at height h over a wheelbase L, the static share
//! a of its weight on the front axle. Driving with force F moves F·h/L from front to rear. With μ
//! the grip and N the normal load of the whole car, straight ahead:
//!
//! - rear drive: F ≤ μ(1−a)N/(1 − μh/L), and F ≤ a·N·L/h, where the front wheels leave the road;
//!   the two meet at μh/L = a, beyond which the first is not the limit;
//! - front drive: F ≤ μ·a·N/(1 + μh/L);
//! - all-wheel drive: F ≤ μN, and F ≤ a·N·L/h;
//! - braking: F ≤ β·μN, and F ≤ (1−a)·N·L/h, where the rear wheels leave the road.
//!
//! In a corner the tyre-limited terms shrink by the ellipse factor e = √(1 − (m v²κ/(μN))²); the
//! wheel-lift terms do not. The rear-drive factor is never taken above μN, what all the weight on
//! the driven axle would hold: without this a car beyond the meeting point would keep full drive
//! at the cornering limit.
//!
//! The inside wheel carries ½·(axle load with its transfer) − ΔN, with ΔN = m·v²|κ|·h·s/track and
//! s the axle's share of roll stiffness. A differential with bias b passes (1+b) times what the
//! inside wheel holds, so straight ahead F ≤ (1+b)·μ·(½·share·N − ΔN)/(1 ∓ (1+b)·μh/(2L)), upper
//! sign rear, and in a corner the same times e: both limits use one ellipse, normalised by the
//! force straight ahead, so that an open differential without lateral transfer costs nothing.

use super::{Car, Differential, Drive};

/// Stands for "no such limit" where a product with zero must stay zero.
pub const NO_LIMIT: f64 = 1e300;

/// Limits of one axle layout on one grip, as coefficients of the normal load.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AxleLimits {
    /// Drive force over μN, tyres limiting, straight ahead.
    pub drive: f64,
    /// Drive force over N at which the unloaded axle leaves the road.
    pub drive_lift: f64,
    /// Differential: drive force over μN per unit of (half share − lateral transfer over N).
    pub inside: f64,
    /// Half the static share of the driven axle.
    pub half_share: f64,
    /// Lateral transfer of the driven axle over m·v²|κ|.
    pub lateral: f64,
    /// Brake force over N at which the rear wheels leave the road.
    pub brake_lift: f64,
}

impl AxleLimits {
    /// Limits of a car at grip `mu`.
    pub fn new(car: &Car, mu: f64) -> Self {
        let lean = car.cg_height / car.wheelbase;
        let front = car.front_share;
        let lift = |share: f64| if lean > 0.0 { share / lean } else { NO_LIMIT };
        let (drive, drive_lift, share, sign) = match car.drive {
            Drive::Rear => {
                let rest = 1.0 - mu * lean;
                let tyres = if rest > 0.0 {
                    (1.0 - front) / rest
                } else {
                    1.0
                };
                (tyres.min(1.0), lift(front), 1.0 - front, -1.0)
            }
            Drive::Front => (front / (1.0 + mu * lean), NO_LIMIT, front, 1.0),
            Drive::All => (1.0, lift(front), 1.0, 0.0),
        };
        let inside = match (car.differential, car.drive) {
            (Differential::Spool, _) | (_, Drive::All) => NO_LIMIT,
            (Differential::Bias(bias), _) => {
                let rest = 1.0 + sign * (1.0 + bias) * mu * lean / 2.0;
                if rest > 0.0 {
                    (1.0 + bias) / rest
                } else {
                    NO_LIMIT
                }
            }
        };
        Self {
            drive,
            drive_lift,
            inside,
            half_share: share / 2.0,
            // Without a differential limit the inside wheel must not matter, lifted or not.
            lateral: if inside < NO_LIMIT {
                car.cg_height * car.roll_share / car.track_width
            } else {
                0.0
            },
            brake_lift: lift(1.0 - front),
        }
    }
}

/// How the limits of an axle answer to grip, where they do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ByGrip {
    /// Derivative of [`AxleLimits::drive`] by μ.
    pub drive: f64,
    /// Derivative of [`AxleLimits::inside`] by μ.
    pub inside: f64,
}

impl ByGrip {
    /// Derivatives of [`AxleLimits::new`] by `mu`.
    pub fn new(car: &Car, mu: f64) -> Self {
        let lean = car.cg_height / car.wheelbase;
        let limits = AxleLimits::new(car, mu);
        // Each is c/(1 ∓ k·μ), whose derivative is ± k·(itself)²/c.
        let drive = match car.drive {
            Drive::Rear if limits.drive < 1.0 => {
                lean * limits.drive.powi(2) / (1.0 - car.front_share)
            }
            Drive::Front => -lean * limits.drive.powi(2) / car.front_share,
            _ => 0.0,
        };
        let inside = match (car.differential, car.drive) {
            (Differential::Bias(_), Drive::Rear) if limits.inside < NO_LIMIT => {
                lean / 2.0 * limits.inside.powi(2)
            }
            (Differential::Bias(_), Drive::Front) => -lean / 2.0 * limits.inside.powi(2),
            _ => 0.0,
        };
        Self { drive, inside }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::car::sample::point_mass;
    use approx::assert_relative_eq;

    /// The derivatives are the slopes of the limits, by central differences over 2·10⁻⁵ of μ.
    #[test]
    fn analytic_limits_answer_to_grip_as_they_say() {
        for drive in [Drive::Rear, Drive::Front, Drive::All] {
            for differential in [Differential::Bias(1.0), Differential::Bias(2.5)] {
                let car = Car {
                    drive,
                    differential,
                    cg_height: 0.5,
                    front_share: 0.56,
                    ..point_mass(1000.0, 1.0)
                };
                for mu in [0.4, 0.9] {
                    let [below, above] = [-1e-5, 1e-5].map(|step| AxleLimits::new(&car, mu + step));
                    let slope = |of: fn(&AxleLimits) -> f64| (of(&above) - of(&below)) / 2e-5;
                    let by_grip = ByGrip::new(&car, mu);
                    assert_relative_eq!(by_grip.drive, slope(|l| l.drive), epsilon = 1e-8);
                    assert_relative_eq!(by_grip.inside, slope(|l| l.inside), epsilon = 1e-8);
                }
            }
        }
    }
}
