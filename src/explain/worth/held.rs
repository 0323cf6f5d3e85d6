//! The lap of a changed variant under the schedule of another: gears, the places of changes and the
//! engine speeds of upshifts stay.

use super::{Derivatives, Point, Worth};
use crate::car::Rotating;
use crate::lap::{Cells, LapError, Limits, Machine, NoTape, Variant, lap};
use crate::schedule::{ChangeKind, FollowSchedule, Schedule};
use crate::venue::Course;

/// Seconds of a variant on cells, shifting at the engine speeds at which `schedule` does in a
/// machine of its own.
///
/// # Errors
/// As [`lap`].
pub fn held(
    variant: &Variant,
    course: &Course,
    cells: &Cells,
    (schedule, own): (&Schedule, &Machine),
) -> Result<f64, LapError> {
    let machine = variant.compile(course)?;
    let limits = Limits::new(&machine, cells)?;
    drive(&machine, cells, &limits, &geared(schedule, own, &machine))
}

fn drive(
    machine: &Machine,
    cells: &Cells,
    limits: &Limits,
    schedule: &Schedule,
) -> Result<f64, LapError> {
    let mut driver = FollowSchedule::new(schedule, cells.len());
    Ok(lap(machine, cells, limits, &mut driver, &mut NoTape)?.time)
}

/// The schedule with its upshifts at the same engine speeds in another machine.
fn geared(schedule: &Schedule, own: &Machine, machine: &Machine) -> Schedule {
    let mut other = schedule.clone();
    for change in &mut other.changes {
        if let ChangeKind::Up(z) = &mut change.kind {
            let from = usize::from(change.gear) - 1;
            let ratio = own.gears[from].mode.c1 / machine.gears[from].mode.c1;
            *z *= ratio * ratio;
        }
    }
    other
}

/// Knots of the torque table that are changed together.
const TOGETHER: usize = 8;

/// Derivatives by central differences.
pub(super) fn worth(
    variant: &Variant,
    course: &Course,
    (machine, cells, limits): (&Machine, &Cells, &Limits),
    schedule: &Schedule,
) -> Result<Worth, LapError> {
    let at = |variant: &Variant| held(variant, course, cells, (schedule, machine));
    let slope = |step: f64, change: &dyn Fn(&mut Variant, f64)| -> Result<f64, LapError> {
        let side = |step| {
            let mut other = variant.clone();
            change(&mut other, step);
            at(&other)
        };
        Ok((side(step)? - side(-step)?) / (2.0 * step))
    };
    let on_car = |step: f64, change: &dyn Fn(&mut crate::car::Car, f64)| {
        let side = |step: f64| {
            let mut car = variant.car.clone();
            change(&mut car, step);
            let index = variant.car.trims.iter().position(|t| t == variant.trim);
            let mut other = variant.clone();
            other.trim = &car.trims[index.unwrap_or(0)];
            other.car = &car;
            held(&other, course, cells, (schedule, machine))
        };
        Ok::<f64, LapError>((side(step)? - side(-step)?) / (2.0 * step))
    };
    let on_gears = |step: f64, change: &dyn Fn(&mut crate::car::Gearbox, f64)| {
        let side = |step: f64| {
            let mut gearbox = variant.gearbox.clone();
            change(&mut gearbox, step);
            let mut other = variant.clone();
            other.gearbox = &gearbox;
            held(&other, course, cells, (schedule, machine))
        };
        Ok::<f64, LapError>((side(step)? - side(-step)?) / (2.0 * step))
    };
    let torque = slope(1e-5, &|v, s| v.torque_factor *= 1.0 + s)?;
    let ratios = (0..variant.gearbox.ratios.len())
        .map(|k| on_gears(1e-5, &|g, s| g.ratios[k] += s))
        .collect::<Result<Vec<f64>, LapError>>()?;
    let derivatives = Derivatives {
        torque,
        mass: slope(1e-2, &|v, s| v.extra_mass += s)?,
        grip: on_car(1e-5, &|car, s| {
            let grips = car.trims.iter_mut().flat_map(|t| t.grip.values_mut());
            grips.for_each(|grip| *grip *= 1.0 + s);
        })?,
        drag_area: on_car(1e-5, &|car, s| car.drag_area += s)?,
        lift_area: on_car(1e-5, &|car, s| car.lift_area += s)?,
        rolling: on_car(1e-7, &|car, s| {
            car.rolling.f0 = car.rolling.f0.map(|f0| f0 + s)
        })?,
        efficiency: torque,
        final_drive: slope(1e-5, &|v, s| v.final_drive += s)?,
        ratios,
        rolling_radius: on_car(1e-6, &|car, s| {
            car.trims.iter_mut().for_each(|t| t.rolling_radius += s);
        })?,
        shift_time: on_gears(1e-6, &|g, s| g.shift_times.iter_mut().for_each(|t| *t += s))?,
        air_density: slope(1e-5, &|v, s| v.air_density += s)?,
        corner_share: slope(-1e-6, &|v, s| v.habits.corner_share += s)?,
        inertia: on_car(1e-5, &|car, s| {
            if let Rotating::Inertias {
                engine,
                wheels,
                gearbox,
                shaft,
            } = &mut car.rotating
            {
                *engine *= 1.0 + s;
                *wheels *= 1.0 + s;
                *shaft *= 1.0 + s;
                gearbox.iter_mut().for_each(|inertia| *inertia *= 1.0 + s);
            }
        })?,
    };
    let points = points(variant, (machine, cells, limits), schedule)?;
    Ok(Worth {
        time: at(variant)?,
        points,
        derivatives,
    })
}

fn points(
    variant: &Variant,
    (machine, cells, limits): (&Machine, &Cells, &Limits),
    schedule: &Schedule,
) -> Result<Vec<Point>, LapError> {
    let step = 1e-3;
    let count = machine.table.torque.len();
    let mut points = Vec::new();
    for first in (0..count).step_by(TOGETHER) {
        let knots = first..(first + TOGETHER).min(count);
        let side = |step: f64| {
            let mut other = machine.clone();
            for torque in &mut other.table.torque[knots.clone()] {
                *torque += step * variant.torque_factor;
            }
            drive(&other, cells, limits, schedule)
        };
        let all = (side(step)? - side(-step)?) / (2.0 * step);
        points.extend(knots.clone().map(|knot| Point {
            rpm: knot as f64 / machine.table.per_rpm,
            per_nm: all / knots.len() as f64,
        }));
    }
    for (rpm, gear, launch) in [
        (machine.launch_rpm, 0, true),
        (machine.lowest_rpm, machine.lowest, false),
    ] {
        let side = |step: f64| {
            let mut other = machine.clone();
            let force = step * variant.torque_factor * machine.gears[gear].mode.c2;
            let slip = if launch {
                &mut other.launch
            } else {
                &mut other.held
            };
            slip.mode.c0 += force;
            drive(&other, cells, limits, schedule)
        };
        let per_nm = (side(step)? - side(-step)?) / (2.0 * step);
        points.push(Point { rpm, per_nm });
    }
    points.sort_by(|a, b| a.rpm.total_cmp(&b.rpm));
    Ok(points)
}
