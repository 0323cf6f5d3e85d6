//! Readers of the tape: what happened on a lap, in the words of the trade.

pub mod bands;
pub mod revs;
pub mod states;

pub use bands::{Bands, bands};
pub use revs::{Revs, Span, Use};
pub use states::{Exit, Lowest, States, exits, lowest, states};
