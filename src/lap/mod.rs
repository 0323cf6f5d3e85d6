//! One machine on one course: limits, driving, a tape of what happened.
//!
//! [`Variant::compile`] turns car, curve and habits into a [`Machine`]; [`Cells`] is the course cut
//! into short pieces; [`Limits`] is what the road allows, computed backwards; [`lap`] drives
//! forwards under a [`Plan`] per stretch and writes records into a [`Sink`].

pub mod advance;
pub mod cells;
pub mod compile;
pub mod drive;
mod error;
pub mod limits;
pub mod machine;
pub mod tape;
#[cfg(test)]
mod tests;

pub use advance::{Plan, State};
pub use cells::{Cell, Cells, Nominal};
pub use compile::Variant;
pub use drive::{Arrival, Lap, lap, plain_rule, stretch};
pub use error::LapError;
pub use limits::Limits;
pub use machine::Machine;
pub use tape::{NoTape, Phase, Record, Sink, Tape};
