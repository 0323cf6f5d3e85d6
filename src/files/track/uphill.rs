//! Whether a hillclimb goes up.

use crate::files::yaml::Map;
use crate::venue::character::character;
use crate::venue::{Course, EventKind};

/// A hill that falls by more than this, m, and that many times as much as it climbs, is asked about.
const FALLS: f64 = 10.0;
const TIMES: f64 = 2.0;

/// Asks about a hillclimb that was recorded on the way down.
pub(super) fn ask(map: &Map, course: &Course) {
    if course.kind != EventKind::Hillclimb {
        return;
    }
    let road = character(course);
    if road.descent > FALLS && road.descent > TIMES * road.climb {
        let text = format!(
            "this hillclimb falls {:.0} m and climbs {:.0}: was the road recorded on the way down?",
            road.descent, road.climb
        );
        let remedy = "if so turn it round, as in `path: {file: hill.gpx, reverse: yes}`; slopes of pieces rise where they are \
                      above zero";
        map.item().ask(text, remedy);
    }
}
