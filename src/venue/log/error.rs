//! Why a log is no venue.

use crate::units::KILOMETRE_PER_HOUR;
use crate::venue::path::clean::{LONGEST, PathError};

/// Why a log is no venue.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum LogError {
    /// Columns of different lengths or none.
    #[error("the log is empty")]
    Empty,
    /// A value that is not finite, or a negative speed.
    #[error("row {row} holds a speed or time that is none")]
    NotFinite {
        /// Row, from 1.
        row: usize,
    },
    /// Time or distance goes backwards.
    #[error("{what} goes backwards at row {row}")]
    Backwards {
        /// Row, from 1.
        row: usize,
        /// `time` or `distance`.
        what: &'static str,
    },
    /// A speed that no car has.
    #[error("a speed of {:.0} km/h in row {row}", .speed / KILOMETRE_PER_HOUR)]
    TooFast {
        /// Row, from 1.
        row: usize,
        /// What it says, m/s.
        speed: f64,
    },
    /// Longer than any event.
    #[error("the log covers {:.0} km, and at most {:.0} km are one run", .0 / 1000.0, LONGEST / 1000.0)]
    Long(f64),
    /// The car hardly moves.
    #[error("the log covers {0:.0} m: too little for a venue")]
    Short(f64),
    /// A part by its places is wanted of a log without positions: cut its rows.
    #[error("the log has no positions that tell where a part of it begins or ends")]
    Unplaced,
    /// The positions are no road.
    #[error("{0}")]
    Path(#[from] PathError),
}
