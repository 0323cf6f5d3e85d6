//! Strict readers with positions, one list of findings, the atomic writer.

pub mod finding;
