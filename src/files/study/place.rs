//! Where pieces and known times of a study's venues stand in their files, for what only shows on the
//! road.

use std::path::{Path, PathBuf};

use super::{folder, plan};
use crate::files::finding::{Findings, Position};
use crate::files::track;

/// The line of a piece of the road in the track of a venue, both counted from 0 in the order of the
/// study; `None` where the venue has no file.
pub fn piece(study: &Path, venue: usize, piece: usize) -> Option<Position> {
    track::piece(&track_of(study, venue)?, piece)
}

/// The line of the known time in the track of a venue; `None` where the venue has no file.
pub fn known(study: &Path, venue: usize) -> Option<Position> {
    track::known(&track_of(study, venue)?)
}

/// The track file of a venue.
fn track_of(study: &Path, venue: usize) -> Option<PathBuf> {
    // The files were read without a fault a moment ago.
    let mut ignored = Findings::new();
    let plan = match study.is_dir() {
        true => folder::plan(study, &mut ignored),
        false => plan::read(study, &mut ignored),
    };
    Some(plan?.wanted.get(venue)?.track.path.clone())
}
