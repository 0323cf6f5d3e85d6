//! Where the pieces of a study's venues stand in their files, for what only shows on the road.

use std::path::Path;

use super::{folder, plan};
use crate::files::finding::{Findings, Position};
use crate::files::track;

/// The line of a piece of the road in the track of a venue, both counted from 0 in the order of the
/// study; `None` where the venue has no file.
pub fn piece(study: &Path, venue: usize, piece: usize) -> Option<Position> {
    // The files were read without a fault a moment ago.
    let mut ignored = Findings::new();
    let plan = match study.is_dir() {
        true => folder::plan(study, &mut ignored),
        false => plan::read(study, &mut ignored),
    };
    track::piece(&plan?.wanted.get(venue)?.track.path, piece)
}
