//! Gearings in words.

use super::format::decimal;
use crate::car::Car;
use crate::study::Setup;

/// What differs from what is fitted: `9/41, close five-speed, 175/60R13`; of what is fitted the final
/// drive.
pub fn short(car: &Car, setup: Setup) -> String {
    let mut parts = Vec::new();
    if setup.final_drive.is_some() || setup == Setup::FITTED {
        parts.push(drive(car, setup));
    }
    if setup.gearbox.is_some() {
        parts.push(gear_set(car, setup));
    }
    parts.extend(tyre(car, setup).map(str::to_owned));
    parts.join(", ")
}

/// Final drive and gear set, and tyres that are not the car's own: `9/41, close five-speed`.
pub fn both(car: &Car, setup: Setup) -> String {
    let mut parts = vec![drive(car, setup), gear_set(car, setup)];
    parts.extend(tyre(car, setup).map(str::to_owned));
    parts.join(", ")
}

/// The tyres by their name; `None` for the car's own.
pub fn tyre(car: &Car, setup: Setup) -> Option<&str> {
    let tyre = &car.purchases.tyres[setup.tyre?];
    Some(&tyre.name)
}

/// The gear set by its name, or by its count of gears.
pub fn gear_set(car: &Car, setup: Setup) -> String {
    let gears = setup.gearbox(car);
    gears
        .name
        .clone()
        .unwrap_or_else(|| format!("{} gears", gears.ratios.len()))
}

/// The final drive by its teeth, or its ratio.
pub fn drive(car: &Car, setup: Setup) -> String {
    let drive = setup.final_drive(car);
    match (drive.teeth, drive.drop_gear) {
        (Some((pinion, crown)), None) => format!("{pinion}/{crown}"),
        (Some((pinion, crown)), Some((driving, driven))) => {
            format!("{pinion}/{crown} behind {driving}/{driven}")
        }
        (None, _) => decimal(drive.ratio, 2),
    }
}
