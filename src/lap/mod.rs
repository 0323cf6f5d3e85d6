//! One machine on one course: limits, driving, a tape of what happened.
//!
//! [`Variant::compile`] turns car, curve and habits into a [`Machine`]; [`Cells`] is the course cut
//! into short pieces; [`Limits`] is what the road allows, computed backwards; [`lap`] drives
//! forwards with a [`Driver`] who decides on gears, and writes records into a [`Sink`].

pub mod advance;
mod arc;
pub mod batch;
pub mod cells;
pub mod compile;
pub mod drive;
mod error;
mod join;
pub mod lanes;
pub mod limits;
pub mod machine;
mod motion;
pub mod tape;
#[cfg(test)]
pub(crate) mod tests;

pub use advance::State;
pub use cells::{Cell, Cells, Nominal};
pub use compile::{Variant, cornering};
pub use drive::{Arrival, Driver, Lap, PlainRule, lap, stretch};
pub use error::LapError;
pub use limits::Limits;
pub use machine::Machine;
pub use tape::{NoTape, Phase, Record, Sink, Tape};
