//! What was mended in a path, and what is worth knowing of it.

use super::laps::Seen;
use super::stands::Stood;

/// Something that was mended or is worth knowing.
#[derive(Debug, Clone, PartialEq)]
pub enum Note {
    /// Fixes at the place and time of the one before.
    Repeats(usize),
    /// The recorder stood.
    Stands {
        /// Where.
        place: Stood,
        /// How often.
        count: usize,
        /// Fixes of it.
        fixes: usize,
        /// For how long in all, s, where the path has times.
        seconds: Option<f64>,
    },
    /// A fix thrown aside, taken out.
    Spike {
        /// The fix.
        fix: usize,
        /// How far off, m.
        metres: f64,
    },
    /// Lone fixes thrown aside, farther than the recording scatters and than a car goes, taken out.
    Thrown {
        /// The first.
        fix: usize,
        /// How far off the farthest is, m.
        metres: f64,
        /// How many there are.
        count: usize,
    },
    /// What was recorded before a stand near the start, or behind one near the end, was cut off.
    Beyond {
        /// Which end, as driven.
        place: Stood,
        /// How many fixes.
        fixes: usize,
        /// How far they lead, m.
        metres: f64,
        /// How long they took, s.
        seconds: f64,
    },
    /// Points were not in the order of their times, and are put in it.
    Disordered {
        /// The first fix that is before the one before it.
        fix: usize,
    },
    /// Time goes backwards: no times are used.
    Backwards {
        /// The first fix that is before the one before it.
        fix: usize,
    },
    /// The loop was open and closed by a straight.
    Open {
        /// From its end to its start, m.
        gap: f64,
    },
    /// Laps were found and one of them taken.
    Laps {
        /// All of them.
        laps: Vec<Seen>,
        /// Which, from 1.
        taken: usize,
        /// Whether it was asked for by its number.
        asked: bool,
        /// Where the line across the road is that laps are cut at, m after the first point; 0 where it
        /// was asked for.
        line: f64,
    },
    /// Heights that are none were left out.
    Heights {
        /// The first fix with one.
        fix: usize,
        /// What it says, m.
        metres: f64,
        /// How many.
        count: usize,
    },
    /// All heights are the same and were left out.
    Flat {
        /// What they say, m.
        metres: f64,
    },
    /// Pieces of the road are not in the recording.
    Holes {
        /// The fix before the longest.
        fix: usize,
        /// Where that is, m of path from its start.
        at: f64,
        /// How far it leads, m.
        metres: f64,
        /// How long it took, s.
        seconds: f64,
        /// How many there are.
        count: usize,
    },
    /// The positions leap aside within one row and stay there.
    Leaps {
        /// The fix behind the first.
        fix: usize,
        /// How far, m.
        metres: f64,
        /// How many there are.
        count: usize,
    },
    /// The path passes a place where it is to be cut several times.
    Passes {
        /// `from` or `to`.
        what: &'static str,
        /// How often.
        count: usize,
    },
    /// The car would have gone round a corner harder than cars do.
    Hard {
        /// The fix before its tightest part.
        fix: usize,
        /// Where that is, along the road as cut, m on the map.
        at: f64,
        /// Sideways acceleration, m/s².
        across: f64,
    },
    /// The path comes back over itself.
    Retraces {
        /// Where it turns about, m of path from its start.
        at: f64,
        /// For how far, m.
        metres: f64,
    },
    /// The path goes over its road again, the same way.
    Again {
        /// Where it does so first, m of path from its start.
        from: f64,
        /// And last, m.
        to: f64,
        /// Where that road begins and ends, m of path from its start.
        first: (f64, f64),
    },
}
