//! Readers of the tape: what happened on a lap, in the words of the trade.

pub mod advice;
pub mod bands;
pub mod revs;
pub mod runs;
pub mod slip;
pub mod states;
pub mod trace;
pub mod worth;

pub use advice::{Advice, Done, Driven, Upshift, advice};
pub use bands::{Bands, bands};
pub use revs::{Revs, Span, Use};
pub use runs::{Run, runs};
pub use slip::slip;
pub use states::{Exit, Lowest, States, exits, lowest, states};
pub use trace::{Step, trace};
pub use worth::{BandWorth, Derivatives, Point, Worth};
