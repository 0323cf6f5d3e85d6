//! Times of minutes and seconds that were read as hours and minutes.

use super::road_length;
use crate::venue::Course;

/// Nobody drives for the clock more slowly than this over a whole road, m/s (a quick walk; common practice, no
/// source).
const CRAWL: f64 = 2.0;
/// And nobody quicker.
const FASTEST: f64 = 90.0;

/// What is asked about a time of hours, s, in which a road is hardly walked, where it is driven in as many minutes;
/// with what to write.
pub fn ask_hours(course: &Course, time: f64) -> Option<(String, String)> {
    let length = road_length(course);
    let meant = time / 60.0;
    if time < 3600.0 || length > CRAWL * time || !(CRAWL..=FASTEST).contains(&(length / meant)) {
        return None;
    }
    let minutes = (time / 60.0).floor();
    let text = format!(
        "{:.0} h {:.0} min for the {:.1} km of {}: no car is so slow",
        (minutes / 60.0).floor(),
        minutes % 60.0,
        length / 1000.0,
        course.name
    );
    let remedy = format!(
        "minutes and seconds? write `time: \"{:.0}:{:04.1}\"`",
        (meant / 60.0).floor(),
        meant % 60.0
    );
    Some((text, remedy))
}
