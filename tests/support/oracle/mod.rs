//! The fastest schedule by label setting, for checking the search: equations of motion, stepping and
//! bookkeeping written anew from the forces. Of the library only the inputs are used: car, curve,
//! habits and course.
//!
//! Small even steps; every gear; an upshift at every step, at every edge and on the limiter; any
//! gear down while braking; what braking does not hide of an upshift is coasted; a state is dropped
//! only where another in the same gear is neither later nor slower (E. Q. V. Martins, "On a
//! multicriteria shortest path problem", European Journal of Operational Research 16 (1984)
//! 236–245, from memory), or where neighbours within 0.4 % of z leave it nothing to win.

mod forces;
mod fronts;
mod labels;
mod road;

use pullrank::lap::Variant;
use pullrank::venue::Course;

pub use labels::Optimum;

/// The shortest time of a variant on a course with steps of `step` m; none where no plan gets
/// round, or a lap does not begin where braking ends.
pub fn optimum(variant: &Variant, course: &Course, step: f64) -> Option<Optimum> {
    let forces = forces::Forces::new(variant, course);
    let road = road::Road::new(&forces, course, step)?;
    labels::optimum(&forces, &road)
}
