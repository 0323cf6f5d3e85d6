//! Tables, JSON, CSV, pictures; computes no physics.

pub mod assumed;
pub mod car;
pub mod chart;
pub mod check;
pub mod csv;
pub mod findings;
pub mod format;
pub mod gearing;
pub mod json;
pub mod page;
pub mod paint;
pub mod pulls;
pub mod rank;
pub mod results;
pub mod roads;
pub mod season;
pub mod setup;
pub mod starter;
pub mod states;
pub mod svg;
pub mod table;
pub mod torque;
pub mod venue;
