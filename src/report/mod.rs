//! Tables, JSON, CSV; computes no physics.

pub mod findings;
pub mod format;
pub mod paint;
