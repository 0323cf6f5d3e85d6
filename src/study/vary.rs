//! What another plausible value of an assumed input makes of a study.
//!
//! Each range is what was assumed ± two standard deviations (common practice, no source; a default
//! that is the middle of a range reaches to its ends).

use super::{Entry, Study};
use crate::car::driveline::{TYPICAL_PER_RATIO_SQUARED, TYPICAL_WHEELS};
use crate::car::{Car, Differential, FirstGear, Gearbox, Habits, Rotating};
use crate::lap::compile::usual_rolling;
use crate::venue::{Bend, EventKind};

/// Which end of the range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The lower end.
    Low,
    /// The upper end.
    High,
}

impl Side {
    fn sign(self) -> f64 {
        match self {
            Self::Low => -1.0,
            Self::High => 1.0,
        }
    }
}

/// Puts the input called `key` at one end of its plausible range; `false` where the key has no range
/// there or no lap depends on it. A key may end in the kind of event or the venue it holds for,
/// `brake_share.stage`, `line_allowance.Mill Lane`, or in the surface, `grip.gravel`.
pub fn vary(study: &mut Study, key: &str, side: Side) -> bool {
    let (base, part) = match key.split_once('.') {
        Some((base, part)) => (base, Some(part)),
        None => (key, None),
    };
    habits(study, base, part, side)
        || road(study, base, part, side)
        || car(&mut study.car, base, part, side)
}

/// A key whose other values make another road of the venue.
pub fn changes_road(key: &str) -> bool {
    let base = key.split('.').next().unwrap_or_default();
    matches!(base, "grades" | "corner speeds" | "line_allowance")
}

fn habits(study: &mut Study, key: &str, kind: Option<&str>, side: Side) -> bool {
    let sign = side.sign();
    let limit = study.car.rev_limit_rpm;
    let change: &dyn Fn(&mut Habits) = match key {
        "corner_share" => &|h| h.corner_share = (h.corner_share + 0.05 * sign).min(1.0),
        "brake_share" => &|h| h.brake_share = (h.brake_share + 0.05 * sign).min(1.0),
        "lowest_rpm" => &|h| h.lowest_rpm += 500.0 * sign,
        // Nobody shifts later than where it pays; 300 rpm below the limit is early.
        "shift_light" if side == Side::Low => &|h| h.shift_light_rpm = Some(limit - 300.0),
        _ => return false,
    };
    for entry in &mut study.entries {
        let known = entry.course.known.as_ref();
        let solved = key == "corner_share" && known.is_some_and(|k| k.corner_share.is_some());
        if !solved && kind.is_none_or(|kind| kind == kind_word(entry.course.kind)) {
            change(&mut entry.habits);
        }
    }
    true
}

fn kind_word(kind: EventKind) -> &'static str {
    match kind {
        EventKind::Stage => "stage",
        EventKind::Circuit => "circuit",
        EventKind::Hillclimb => "hillclimb",
        EventKind::Sprint => "sprint",
    }
}

fn road(study: &mut Study, key: &str, venue: Option<&str>, side: Side) -> bool {
    let sign = side.sign();
    let mut found = false;
    if key == "rolling" {
        for surface in study
            .entries
            .iter_mut()
            .flat_map(|e| &mut e.course.surfaces)
        {
            let usual = study
                .car
                .rolling
                .f0
                .unwrap_or_else(|| usual_rolling(surface));
            surface.rolling = Some(surface.rolling.unwrap_or(usual) * (1.0 + 0.16 * sign));
        }
        return true;
    }
    let here = |entry: &&mut Entry| venue.is_none_or(|venue| venue == entry.course.name);
    for section in study
        .entries
        .iter_mut()
        .filter(here)
        .flat_map(|e| &mut e.course.sections)
    {
        match (key, &mut section.bend) {
            ("grades" | "corner speeds", Bend::Measured { speed, .. }) => {
                *speed *= 1.0 + 0.12 * sign;
                found = true;
            }
            // A line only ever opens a radius.
            ("line_allowance", Bend::Radius { curvature }) if side == Side::High => {
                *curvature /= 1.1;
                found = true;
            }
            _ => {}
        }
    }
    found
}

fn car(car: &mut Car, key: &str, part: Option<&str>, side: Side) -> bool {
    let sign = side.sign();
    match key {
        "drag_area" => car.drag_area *= 1.0 + 0.1 * sign,
        "lift_area" => car.lift_area += 0.1 * sign,
        "differential" => return differential(car, sign),
        "inertia" => inertia(car, sign),
        "wheelbase" => car.wheelbase += 0.1 * sign,
        "track" => car.track_width += 0.05 * sign,
        "cg_height" => car.cg_height += 0.04 * sign,
        "weight_front" => car.front_share += 0.03 * sign,
        "roll_share" => car.roll_share += 0.15 * sign,
        "launch" => launch(car, 500.0 * sign),
        "rev_limit" => car.rev_limit_rpm += 200.0 * sign,
        "shift_time" => shift_time(car, 0.05 * sign),
        "efficiency" => efficiency(car, 0.015 * sign),
        "first_gear" if side == Side::Low => other_first_gear(car),
        "grip" => grip(car, part, 1.0 + 0.1 * sign),
        "tyre" => radius(car, 1.0 + 0.02 * sign),
        _ => return false,
    }
    true
}

fn differential(car: &mut Car, sign: f64) -> bool {
    let Differential::Bias(bias) = car.differential else {
        return false;
    };
    let other = if bias > 1.0 {
        (bias + 0.75 * sign).clamp(1.0, 5.0)
    } else {
        1.0 + 0.5 * sign
    };
    car.differential = Differential::Bias(other);
    other >= 1.0
}

/// Ordinary cars' mass factor is a fit: what turns may be a third more or less.
fn inertia(car: &mut Car, sign: f64) {
    let scale = 1.0 + 0.33 * sign;
    if car.rotating == Rotating::Typical
        && let Some(trim) = car.trims.first()
    {
        let unit = trim.mass * trim.rolling_radius * trim.rolling_radius;
        car.rotating = Rotating::Inertias {
            engine: TYPICAL_PER_RATIO_SQUARED * unit,
            wheels: (TYPICAL_WHEELS - 1.0) * unit,
            gearbox: Vec::new(),
            shaft: 0.0,
        };
    }
    if let Rotating::Inertias { engine, wheels, .. } = &mut car.rotating {
        *engine *= scale;
        *wheels *= scale;
    }
}

fn each_gearbox(car: &mut Car, change: impl Fn(&mut Gearbox)) {
    change(&mut car.gearbox);
    car.gearbox_options.iter_mut().for_each(change);
}

fn shift_time(car: &mut Car, more: f64) {
    each_gearbox(car, |gears| {
        gears
            .shift_times
            .iter_mut()
            .for_each(|t| *t = (*t + more).max(0.0))
    });
}

fn efficiency(car: &mut Car, more: f64) {
    each_gearbox(car, |gears| {
        gears
            .efficiency
            .iter_mut()
            .for_each(|e| *e = (*e + more).min(1.0))
    });
}

fn other_first_gear(car: &mut Car) {
    each_gearbox(car, |gears| {
        gears.first_gear = match gears.first_gear {
            FirstGear::StartOnly => FirstGear::AnyTime,
            FirstGear::AnyTime => FirstGear::StartOnly,
        };
    });
}

fn launch(car: &mut Car, more: f64) {
    car.default_launch_rpm += more;
    car.launch_rpm.values_mut().for_each(|rpm| *rpm += more);
}

/// On one surface or on all.
fn grip(car: &mut Car, surface: Option<&str>, scale: f64) {
    let all = car.trims.iter_mut().flat_map(|trim| &mut trim.grip);
    let these = all.filter(|(name, _)| surface.is_none_or(|surface| surface == *name));
    these.for_each(|(_, grip)| *grip *= scale);
}

fn radius(car: &mut Car, scale: f64) {
    car.trims
        .iter_mut()
        .for_each(|trim| trim.rolling_radius *= scale);
}

#[cfg(test)]
mod tests {
    use super::super::tests::{car, entry, study};
    use super::*;

    #[test]
    fn every_key_with_a_range_changes_something() {
        let keys = [
            "corner_share",
            "brake_share",
            "lowest_rpm",
            "drag_area",
            "lift_area",
            "rolling",
            "differential",
            "inertia",
            "wheelbase",
            "track",
            "cg_height",
            "weight_front",
            "roll_share",
            "launch",
            "rev_limit",
            "shift_time",
            "efficiency",
            "grip",
            "tyre",
        ];
        let nominal = study(vec![entry("tarmac")]);
        for key in keys {
            for side in [Side::Low, Side::High] {
                let mut other = nominal.clone();
                assert!(vary(&mut other, key, side), "{key}");
                assert_ne!(other, nominal, "{key}");
            }
        }
        let mut other = nominal.clone();
        assert!(!vary(&mut other, "repeatability", Side::Low));
        assert_eq!(other, nominal);
    }

    #[test]
    fn a_habit_of_one_kind_of_event_leaves_the_others_alone() {
        let nominal = study(vec![entry("tarmac")]);
        let mut other = nominal.clone();
        assert!(vary(&mut other, "brake_share.circuit", Side::Low));
        assert_eq!(other, nominal);
        assert!(vary(&mut other, "brake_share.stage", Side::Low));
        approx::assert_relative_eq!(other.entries[0].habits.brake_share, 0.80);
    }

    #[test]
    fn grip_on_one_surface_leaves_the_others_alone() {
        let mut nominal = study(vec![entry("tarmac")]);
        let grip = &mut nominal.car.trims[0].grip;
        grip.insert("tarmac".to_owned(), 1.05);
        grip.insert("gravel".to_owned(), 0.625);
        let mut other = nominal.clone();
        assert!(vary(&mut other, "grip.gravel", Side::High));
        let grip = &other.car.trims[0].grip;
        assert_eq!((grip["tarmac"], grip["gravel"]), (1.05, 1.1 * 0.625));
    }

    #[test]
    fn a_road_varies_at_the_venue_it_was_assumed_for() {
        let nominal = study(vec![entry("tarmac")]);
        let mut other = nominal.clone();
        assert!(!vary(&mut other, "line_allowance.elsewhere", Side::High));
        assert_eq!(other, nominal);
        assert!(vary(&mut other, "line_allowance.lanes", Side::High));
        assert_ne!(other, nominal);
        assert!(changes_road("line_allowance.lanes"));
    }

    #[test]
    fn ordinary_inertia_written_out_is_the_same_car() {
        let ordinary = car();
        let mut written = ordinary.clone();
        inertia(&mut written, 0.0);
        let trim = &ordinary.trims[0];
        for (gear, ratio) in ordinary.gearbox.ratios.iter().enumerate() {
            let factor = |car: &Car| {
                let drive = car.final_drive.ratio;
                car.rotating
                    .mass_factor(gear, *ratio, drive, trim.mass, trim.rolling_radius)
            };
            approx::assert_relative_eq!(factor(&written), factor(&ordinary), max_relative = 1e-12);
        }
    }
}
