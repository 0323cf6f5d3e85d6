//! What is taken for a driver, and which trim a car goes in, where nobody says.

use crate::car::{Car, Habits, Trim};
pub use crate::lap::compile::{is_loose, usual_slip as slip};
use crate::venue::{Course, EventKind};

/// Lowest rpm a driver lets the engine drop to, and its share of the rev limit: the larger counts
/// (common practice).
const LOWEST: (f64, f64) = (3000.0, 0.40);
/// Share of the rev limit above which nobody keeps an engine that does not reach far beyond
/// [`LOWEST`].
const SLOW_ENGINE: f64 = 0.60;

/// Share of the tyres' braking that is used (common practice; on a stage the middle of 0.80 to
/// 0.85).
fn brake_share(kind: EventKind) -> f64 {
    match kind {
        EventKind::Stage => 0.825,
        EventKind::Circuit | EventKind::Hillclimb | EventKind::Sprint => 0.90,
    }
}

/// A driver's habits at a kind of event, for an engine that revs to `limit_rpm`; shifts where the
/// car gains by it.
pub fn habits(kind: EventKind, limit_rpm: f64) -> Habits {
    let lowest = LOWEST.0.max(LOWEST.1 * limit_rpm);
    Habits {
        corner_share: kind.usual_share(),
        brake_share: brake_share(kind),
        lowest_rpm: lowest.min(SLOW_ENGINE * limit_rpm),
        shift_light_rpm: None,
    }
}

/// Index of the trim for a course: the one called as the kind of event, as the first surface or as
/// what that is like; otherwise the first that has grip on every surface, or the first of all.
/// `kind` is the word for the kind of event.
pub fn trim(car: &Car, course: &Course, kind: &str) -> usize {
    let ground = course.surfaces.first();
    let names = [
        Some(kind),
        ground.map(|s| s.name.as_str()),
        ground.map(|s| s.like.as_str()),
    ];
    let called = |name: &str| car.trims.iter().position(|trim| trim.name == name);
    let grips = |trim: &Trim| {
        let known = |name: &str| trim.grip.contains_key(name);
        course
            .surfaces
            .iter()
            .all(|s| known(&s.name) || known(&s.like))
    };
    names
        .into_iter()
        .flatten()
        .find_map(called)
        .or_else(|| car.trims.iter().position(grips))
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::venue::Surface;

    #[test]
    fn a_slow_engine_is_not_kept_near_its_limit() {
        let lowest = |limit| habits(EventKind::Stage, limit).lowest_rpm;
        assert_eq!(lowest(7200.0), 3000.0);
        assert_eq!(lowest(9000.0), 3600.0);
        assert_eq!(lowest(4000.0), 2400.0);
    }

    #[test]
    fn the_kind_of_event_goes_before_the_surface() {
        let mut car = crate::study::tests::study(Vec::new()).car;
        let fitted = car.trims[0].clone();
        car.trims = ["tarmac", "circuit", "gravel"]
            .map(|name| Trim {
                name: name.to_owned(),
                ..fitted.clone()
            })
            .to_vec();
        let mut course = Course::new("road", EventKind::Circuit);
        course.surfaces = vec![Surface::plain("tarmac")];
        assert_eq!(trim(&car, &course, "circuit"), 1);
        assert_eq!(trim(&car, &course, "stage"), 0);
        course.surfaces = vec![Surface::plain("gravel")];
        assert_eq!(trim(&car, &course, "stage"), 2);
    }
}
