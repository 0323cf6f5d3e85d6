//! Logs of runs that were not driven for the clock.

use crate::files::car::usual_grip;
use crate::files::yaml::Item;
use crate::venue::Course;

/// Share of the usual grip that corners of an event reach at the least (common practice, no source): a careful
/// driver's hard ones reach 0.65, traffic 0.4.
const EVENT: f64 = 0.5;

/// Asks about a run whose hardest corners are those of a recce, not of an event.
pub(super) fn ask(item: &Item, course: &Course) {
    let surface = &course.surfaces[0];
    let shown = course.log.as_ref().and_then(|facts| facts.shown.grip);
    let Some((reached, usual)) = shown.zip(usual_grip(&surface.like)) else {
        return;
    };
    let likely = course.conditions.iter().filter(|state| state.chance > 0.0);
    let state = likely.map(|state| state.factor).fold(1.0, f64::min);
    let usual = usual * surface.factor * state;
    if reached >= EVENT * usual {
        return;
    }
    item.warning(
        format!(
            "the corners of this log are driven at {reached:.2} g at most, where {} grips to {usual:.2} g: was it \
             driven for the clock?",
            surface.name
        ),
        "the speeds of a recce are no corner speeds: take its road alone, as in `path: run.csv`; on a surface that \
         grips less say which, as in `surface: wet tarmac`",
    );
}
