//! Which gear out of each corner, and where to shift.
//!
//! A lap is swept forwards once with a set of *labels*: each is a state of the car at a station
//! with the seconds it took to get there. Wherever the driver could change gear a label splits in
//! two; a label that is later and slower than another in the same gear is dropped. At an end of
//! braking the speed is the road's, so labels differ only in time and in the upshift that braking
//! has hidden; there each splits into the gears it could leave in. What is left at the finish is
//! the shortest path over all plans, whether or not a dip of braking ended a stretch on the way.
//!
//! Times are in seconds, speeds squared in m²/s², places in cells since the lap's first. The method is
//! label setting on two criteria (E. Q. V. Martins, European Journal of Operational Research 16 (1984)
//! 236–245, from memory); what is tried, and where, is this crate's own. Against label setting at every
//! quarter of a metre, and against an optimal-control solver, it stands in `tests/reference/schedule`.

mod candidates;
mod cell;
pub mod grade;
mod labels;
mod memory;
mod menu;
mod plan;
mod quickest;
mod search;
mod starts;
#[cfg(test)]
mod tests;
mod together;

pub use candidates::Choice;
pub use menu::Menu;
pub use plan::{Change, ChangeKind, FollowSchedule, Found, Schedule};
pub use quickest::{Quickest, Workspace, quickest};
pub use search::search;
pub use together::{Entrant, PACK, Pack, quickest_of};
