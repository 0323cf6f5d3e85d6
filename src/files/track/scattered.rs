//! Points whose errors are new at each: what hangs on them.

use crate::files::yaml::Item;
use crate::venue::path::corners::Corner;
use crate::venue::path::scatter;
use crate::venue::path::survey::Survey;

/// Points that scatter by less, new at each point, leave the road its corners, m…
const SCATTERED: f64 = 0.8;
/// …unless so large a share of them hangs on a scatter of more than so many metres.
const HANGING: (f64, f64) = (0.25, 0.4);
/// What times were off by on three invented roads recorded once a second with errors that are new at each
/// point, of less than so many metres (`properties::scattered`).
const OFF: [(f64, &str); 3] = [
    (1.5, "from 4 % quick to 4 % slow"),
    (2.5, "from 3 % quick to 11 % slow"),
    (f64::INFINITY, "from 12 % quick to 28 % slow"),
];

/// Says that points scatter so much that corners hang on it; whether they do.
pub(super) fn tell(item: &Item, survey: &Survey) -> bool {
    let scatter = survey.road.scatter;
    let Some(text) = corners_hang(scatter, &survey.corners) else {
        return false;
    };
    let (_, off) = OFF[OFF.partition_point(|(metres, _)| *metres <= scatter)];
    let remedy = "record it with a better receiver, draw it on a map, or write pace notes";
    item.warning(
        format!("the points {text}; times over such recordings came out {off}"),
        remedy,
    );
    true
}

/// What corners hang on points that scatter by so many metres; `None` where hardly any does.
pub(super) fn corners_hang(scatter: f64, corners: &[Corner]) -> Option<String> {
    let (drowned, all) = (scatter::drowned(corners, scatter), corners.len());
    let hang = scatter >= HANGING.1 && drowned as f64 >= HANGING.0 * all as f64 && drowned > 1;
    if scatter < SCATTERED && !hang {
        return None;
    }
    let about = format!("scatter by {scatter:.1} m about a smooth line");
    Some(match drowned {
        0 => format!("{about}: gentle corners may be missing"),
        _ => format!(
            "{about}: {drowned} of {all} corners bend by less than twice that and may be none, and gentle ones \
             may be missing"
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::venue::pieces::Side;

    /// A corner so many metres long that turns by so many radians.
    fn corner(length: f64, turned: f64) -> Corner {
        Corner {
            start: 0.0,
            apex: 0.5 * length,
            end: length,
            turned,
            side: Side::Left,
            radius: length / turned,
            steps: (0, 1),
        }
    }

    #[test]
    fn a_slight_scatter_is_told_where_many_corners_hang_on_it() {
        // They leave their chords by 9.8 m and by 0.6 m.
        let (sound, gentle) = (corner(50.0, 1.57), corner(50.0, 0.1));
        let corners = [sound, gentle, gentle, sound];
        let said = corners_hang(0.5, &corners).unwrap();
        assert!(said.contains("2 of 4 corners bend by less"), "{said}");
        assert_eq!(corners_hang(0.3, &corners), None);
        assert_eq!(corners_hang(0.5, &[sound, sound, sound, gentle]), None);
        let said = corners_hang(0.9, &[sound; 4]).unwrap();
        assert!(said.ends_with(": gentle corners may be missing"), "{said}");
    }
}
