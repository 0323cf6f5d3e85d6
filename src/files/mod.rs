//! Strict readers with positions, one list of findings, the atomic writer.

mod aside;
pub mod car;
pub mod check;
pub mod finding;
pub mod folder;
mod foreign;
pub mod kind;
pub mod log;
pub mod nearest;
pub mod opened;
pub mod path;
pub mod pulls;
pub mod schema;
pub mod source;
pub mod starter;
pub mod study;
pub mod table;
pub mod terms;
pub mod testday;
pub mod track;
pub mod workbook;
pub mod write;
pub mod yaml;

#[cfg(test)]
mod random;
