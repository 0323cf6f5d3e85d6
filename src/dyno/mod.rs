//! From pulls to a torque curve.

pub mod attribution;
pub mod clock;
pub mod compare;
pub mod condition;
pub mod correction;
pub mod crossover;
pub mod curve;
pub mod design;
pub mod doubt;
pub mod draw;
pub mod engine;
pub mod levels;
mod linalg;
pub mod next;
pub mod outlying;
pub mod reach;
pub mod reduce;
pub mod repeatability;
#[cfg(test)]
mod sample;
pub mod shape;
pub mod stats;
pub mod testday;
pub mod wave;

pub use attribution::{Attribution, Change, Effect, Missing, attribute};
pub use compare::{CONFIDENCE, Comparison, CrossoverInterval, Gain, Interval, Stretch};
pub use condition::{Conditioned, Handling, Rows, Smoothing, condition, most_rows};
pub use correction::{
    CorrectionError, Limited, Outside, PrintedFactor, STANDARDS, Standard, recognise,
};
pub use crossover::{Crossover, crossovers};
pub use curve::{Curve, CurveError};
pub use design::Design;
pub use doubt::Doubt;
pub use draw::{Drawer, Normals};
pub use engine::{Breathing, Engine, Ignition, NotCorrected, compression_factor};
pub use levels::{Levels, Spread, Trend, Variances, t_quantile};
pub use next::{Layout, POWER, Step};
pub use outlying::{Outlying, Refit};
pub use reach::{Cut, ThinTop};
pub use reduce::{ReduceError, Reduced, ReducedPull, ReducedSpec};
pub use repeatability::{Repeatability, Worth};
pub use shape::{EXTENSION_RPM, Peak, shared_limit};
pub use stats::{Anova, Sample, Welch};
pub use testday::{Dyno, Fitting, MeasuredAt, Method, Pull, Spec, TestDay, Unlike};
pub use wave::Wave;
