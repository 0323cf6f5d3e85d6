//! The laps of a recording in words.

use crate::files::yaml::Item;
use crate::venue::path::laps::{Seen, is_as_long, is_whole, usual};

/// Laps that are told one by one.
const LISTED: usize = 12;

/// Their times one by one by the numbers they go by, with the lengths of those that are longer or shorter than the
/// others, and which lack rows; nothing without times.
pub(super) fn listed(laps: &[Seen], number: impl Fn(usize) -> i64) -> String {
    let told = |(index, lap): (usize, &Seen)| {
        let time = format!("{} {:.1} s", number(index), lap.seconds?);
        let time = match is_whole(laps, index) {
            true => time,
            false => format!("{time} over {:.0} m", lap.metres),
        };
        Some(match lap.holed {
            true => format!("{time} with a hole"),
            false => time,
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

/// Why a lap was taken that nobody named.
pub(super) fn why(laps: &[Seen], taken: usize) -> &'static str {
    let (own, usual) = (laps[taken].seconds, usual(laps));
    let faster = |lap: &usize| {
        laps[*lap]
            .seconds
            .zip(own)
            .is_some_and(|(other, own)| other < own)
    };
    let (others, holed): (Vec<usize>, Vec<usize>) = (0..laps.len())
        .filter(faster)
        .partition(|&lap| !is_as_long(&laps[lap], usual) || !laps[lap].holed);
    match (holed.is_empty() || laps[taken].holed, others.is_empty()) {
        (true, true) if holed.is_empty() => "the fastest",
        (true, _) => "the fastest of those that are whole",
        (false, true) => "the fastest without a hole",
        (false, false) => "the fastest of those that are whole and without a hole",
    }
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
