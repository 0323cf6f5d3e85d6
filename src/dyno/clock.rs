//! When each pull was made: by the clock where pulls carry it, else from their order.

use super::reduce::ReducedPull;
use super::testday::TestDay;

/// Time from one pull to the next on one fitting where no clock says, h (common practice).
pub const PULL_HOURS: f64 = 0.1;
/// Time from the last pull on one fitting to the first on the next where no clock says, h (common
/// practice for a bolt-on part).
pub const CHANGE_HOURS: f64 = 0.75;

/// Sets the hours of pulls that stand in the order of the day, from its first pull on.
///
/// A pull without a clock follows the one before it by [`PULL_HOURS`] or [`CHANGE_HOURS`]; so does
/// one whose clock would run backwards. The reader refuses clocks that do.
pub(super) fn set_hours(day: &TestDay, pulls: &mut [ReducedPull]) {
    // Where midnight lies on the scale of hours, known from the first clock on.
    let mut midnight = None;
    let mut before: Option<(f64, (usize, usize))> = None;
    let mut today = None;
    for pull in pulls {
        // Another day has clocks of its own.
        if today.replace(pull.day) != Some(pull.day) {
            midnight = None;
        }
        let clock = day.specs[pull.spec].fittings[pull.fitting].pulls[pull.index].clock;
        let fitting = (pull.spec, pull.fitting);
        let by_order = match before {
            None => 0.0,
            Some((hours, same)) if same == fitting => hours + PULL_HOURS,
            Some((hours, _)) => hours + CHANGE_HOURS,
        };
        let by_clock = clock.map(|seconds| {
            let hours = seconds / 3600.0;
            hours - *midnight.get_or_insert(hours - by_order)
        });
        pull.hours = match (by_clock, before) {
            (Some(hours), Some((last, _))) if hours < last => by_order,
            (Some(hours), _) => hours,
            (None, _) => by_order,
        };
        before = Some((pull.hours, fitting));
    }
}
