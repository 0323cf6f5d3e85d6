//! How far the numbers are from those of a finer road.

use super::Answer;
use crate::report::format::{decimal, thousands, wrap};
use crate::report::table::{Grid, Side};

/// Venue by venue, the cells and what cutting every one in two changes.
pub fn accuracy(answer: &Answer) -> String {
    let small = |value: f64| match value < 0.000_05 {
        true => "less than 0.0001".to_owned(),
        false => decimal(value, 4),
    };
    let mut grid = Grid::new(&[
        ("accuracy, s", Side::Left),
        ("cells", Side::Right),
        ("mean\nlength, m", Side::Right),
        ("error of a time\nby estimate", Side::Right),
        ("halved, times\nmove by at most", Side::Right),
        ("halved, the gap\nmoves by", Side::Right),
    ]);
    for venue in answer.venues() {
        let Some(found) = venue.accuracy else {
            continue;
        };
        let stated = venue.run.road.as_ref().ok().and_then(|road| road.error);
        grid.row(&[
            venue.name().to_owned(),
            thousands(found.cells as f64),
            decimal(found.mean_length, 1),
            stated.map_or(String::new(), small),
            small(found.time),
            found.gap.map_or(String::new(), small),
        ]);
    }
    let note = "Errors of the arithmetic alone: cells are cut so that a time lies within 0.0005 s of \
                that on the finest road tried. What the inputs leave open is the interval of the gap.";
    format!("{}{}", grid.text(0), wrap(note, "  "))
}
