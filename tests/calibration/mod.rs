//! Whether what is said with a confidence is right as often as it says.

mod bootstrap;
mod intervals;
mod verdicts;

#[path = "../../examples/calibration.rs"]
#[allow(dead_code, reason = "its main is not called here")]
mod simulated;
