//! pullrank says which engine spec you want at which venue, by how much, how sure it is, and why.

pub mod air;
pub mod car;
pub mod cli;
pub mod dyno;
pub mod explain;
pub mod files;
pub mod lap;
pub mod report;
pub mod schedule;
pub mod study;
pub mod units;
pub mod venue;
