//! The laps of a recording in words.

use crate::files::yaml::Item;
use crate::venue::path::laps::{Seen, is_whole, usual};

/// Laps that are told one by one.
const LISTED: usize = 12;

/// Their times one by one, with the lengths of those that are longer or shorter than the others; nothing without
/// times.
pub(super) fn listed(laps: &[Seen]) -> String {
    let told = |(index, lap): (usize, &Seen)| {
        let time = format!("{} {:.1} s", index + 1, lap.seconds?);
        Some(match is_whole(laps, index) {
            true => time,
            false => format!("{time} over {:.0} m", lap.metres),
        })
    };
    let all: Option<Vec<String>> = laps.iter().take(LISTED).enumerate().map(told).collect();
    let Some(mut all) = all.filter(|all| all.len() > 1) else {
        return String::new();
    };
    if laps.len() > LISTED {
        all.push("…".to_owned());
    }
    format!(" ({})", all.join(", "))
}

/// Asks about a lap that is longer or shorter than the others.
pub(super) fn ask_whole(item: &Item, laps: &[Seen], taken: usize) {
    let Some(usual) = usual(laps).filter(|_| !is_whole(laps, taken - 1)) else {
        return;
    };
    let text = format!(
        "lap {taken} is {:.0} m long, and the others {usual:.0}: is it whole, and by the road that counts?",
        laps[taken - 1].metres
    );
    item.warning(text, "take another, as in `{file: …, lap: 2}`");
}
