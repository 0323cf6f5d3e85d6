//! From the coefficients of a machine to what people give: the car, the air, the driver.

use super::law::Gradient;
use super::{Derivatives, Point};
use crate::car::Rotating;
use crate::car::axle::ByGrip;
use crate::lap::{Machine, Variant};

/// Derivatives by the inputs.
pub(super) fn derivatives(
    variant: &Variant,
    machine: &Machine,
    gradient: &Gradient,
) -> Derivatives {
    let (mass, radius) = (
        variant.trim.mass + variant.extra_mass,
        variant.trim.rolling_radius,
    );
    let mut found = Derivatives {
        rolling: gradient.f0,
        corner_share: 2.0 * variant.habits.corner_share * gradient.share,
        ..Derivatives::default()
    };
    let drives = forces(machine, gradient);
    let driven: f64 = drives.iter().sum();
    (found.torque, found.efficiency) = (driven, driven);
    found.mass =
        -(driven + gradient.drag * machine.drag + gradient.downforce * machine.downforce) / mass;
    found.rolling_radius = -driven / radius;
    let per_area = 0.5 * variant.air_density / mass;
    found.drag_area = gradient.drag * per_area;
    found.lift_area = gradient.downforce * per_area;
    let areas = found.drag_area * variant.car.drag_area + found.lift_area * variant.car.lift_area;
    found.air_density = areas / variant.air_density;
    found.grip = grip(variant, machine, gradient);
    let final_drive = variant.final_drive;
    for (k, gear) in machine.gears.iter().enumerate() {
        let own = &gradient.gears[k];
        let ratio = variant.gearbox.ratios[k];
        let turned = own.c1 * gear.mode.c1;
        let inertia = inertia(variant, k);
        // d(1/γ) = −dγ/γ².
        let per_gamma = -own.inv_gamma * gear.mode.inv_gamma * gear.mode.inv_gamma;
        found.shift_time += own.shift_time;
        found.rolling_radius -= (turned + 2.0 * per_gamma * inertia.per_mass) / radius;
        found.mass -= per_gamma * inertia.per_mass / mass;
        found.inertia += per_gamma * inertia.per_mass;
        found
            .ratios
            .push((drives[k] + turned + per_gamma * inertia.by_gear) / ratio);
        found.final_drive += (drives[k] + turned + per_gamma * inertia.by_final) / final_drive;
    }
    let open = machine.coast.inv_gamma;
    let per_gamma = -gradient.open * open * open;
    if let Rotating::Inertias { .. } = variant.car.rotating {
        let wheels = 1.0 / open - 1.0;
        found.mass -= per_gamma * wheels / mass;
        found.rolling_radius -= 2.0 * per_gamma * wheels / radius;
        found.inertia += per_gamma * wheels;
    }
    found
}

/// Seconds per factor on the engine's force, gear by gear, with the slipping clutch's in its gear.
fn forces(machine: &Machine, gradient: &Gradient) -> Vec<f64> {
    let gears = machine.gears.iter().zip(&gradient.gears);
    let mut forces: Vec<f64> = gears.map(|(gear, own)| own.c2 * gear.mode.c2).collect();
    forces[0] += gradient.launch * machine.launch.mode.c0;
    forces[machine.lowest] += gradient.held * machine.held.mode.c0;
    forces
}

/// How the mass factor of a gear answers.
struct Inertia {
    /// To a factor on all inertias, and with the opposite sign on the mass.
    per_mass: f64,
    /// To a factor on the gear's ratio.
    by_gear: f64,
    /// To a factor on the final drive.
    by_final: f64,
}

fn inertia(variant: &Variant, k: usize) -> Inertia {
    let (ratio, final_drive) = (variant.gearbox.ratios[k], variant.final_drive);
    let (mass, radius) = (
        variant.trim.mass + variant.extra_mass,
        variant.trim.rolling_radius,
    );
    let rotating = &variant.car.rotating;
    let gamma = |ratio: f64, drive: f64| rotating.mass_factor(k, ratio, drive, mass, radius);
    let whole = gamma(ratio, final_drive);
    // Polynomials in the squares of both ratios: without either, what is left is exact.
    let without_gear = gamma(0.0, final_drive);
    let without_both = gamma(0.0, 0.0);
    let given = matches!(rotating, Rotating::Inertias { .. });
    Inertia {
        per_mass: if given { whole - 1.0 } else { 0.0 },
        by_gear: 2.0 * (whole - without_gear),
        by_final: 2.0 * (whole - without_both),
    }
}

/// Seconds per factor on the grip of every surface.
fn grip(variant: &Variant, machine: &Machine, gradient: &Gradient) -> f64 {
    let grounds = machine.ground.iter().zip(&gradient.ground);
    grounds
        .map(|(ground, own)| {
            let by_mu = ByGrip::new(variant.car, ground.mu);
            ground.mu * (own.mu + own.drive * by_mu.drive + own.inside * by_mu.inside)
        })
        .sum()
}

/// What torque is worth at each engine speed of the table, at the launch and where revs are held.
pub(super) fn points(variant: &Variant, machine: &Machine, gradient: &Gradient) -> Vec<Point> {
    let table = &machine.table;
    let knots = table.torque.iter().zip(&gradient.torque).enumerate();
    let mut points: Vec<Point> = knots
        .map(|(i, (torque, bar))| {
            let rpm = i as f64 / table.per_rpm;
            let own = variant.curve.torque(rpm);
            // The table holds the curve times the air's factor and the driver's refusal of low revs.
            let share = if own > 0.0 { torque / own } else { 0.0 };
            let per_nm = bar * share;
            Point { rpm, per_nm }
        })
        .collect();
    let factor = variant.torque_factor;
    for (rpm, gear, bar) in [
        (machine.launch_rpm, 0, gradient.launch),
        (machine.lowest_rpm, machine.lowest, gradient.held),
    ] {
        let per_nm = bar * machine.gears[gear].mode.c2 * factor;
        points.push(Point { rpm, per_nm });
    }
    points.sort_by(|a, b| a.rpm.total_cmp(&b.rpm));
    points
}
