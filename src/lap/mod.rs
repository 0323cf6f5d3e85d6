//! One machine on one course: limits, driving, a tape of what happened.

pub mod tape;

pub use tape::{NoTape, Phase, Record, Sink, Tape};
