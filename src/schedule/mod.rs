//! Which gear out of each corner, and where to shift.
//!
//! A lap is swept forwards once with a set of *labels*: each is a state of the car at a station
//! with the seconds it took to get there. Wherever the driver could change gear a label splits in
//! two; a label that is later and slower than another in the same gear is dropped. At an end of
//! braking the speed is the road's, so labels differ only in time and in the upshift that braking
//! has hidden; there each splits into the gears it could leave in. What is left at the finish is
//! the shortest path over all plans, whether or not a dip of braking ended a stretch on the way.

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
