//! What suits and how sure that is, in sentences.

use super::{Answer, ratios};
use crate::report::format::{HELD, clock, decimal, decimals, of_draws};
use crate::report::page::words::between;
use crate::report::rank::words::unreached;
use crate::report::setup::{both, drive, short};
use crate::study::gearing::Suited;
use crate::study::ideal::IdealDrive;
use crate::study::{Setup, Word, useful};

/// Where what suits is not sure to be quicker than the fitted gearing; nothing where it is everywhere.
pub(super) fn unsure(answer: &Answer) -> Option<String> {
    let told: Vec<String> = (0..answer.study.entries.len())
        .filter(|&index| !answer.not_measured[index])
        .filter(|&index| answer.sure[index].is_some_and(|sure| sure.word != Word::Clear))
        .filter_map(|index| {
            let name = &answer.study.entries[index].name;
            Some(format!("at {name} {}", over_fitted(answer, index)?))
        })
        .collect();
    let fitted = both(&answer.study.car, Setup::FITTED);
    (!told.is_empty()).then(|| {
        format!(
            "That it is quicker than {fitted} as fitted is not sure everywhere: {}.",
            told.join("; ")
        )
    })
}

/// That nobody knows whose gearing is to be fitted at a venue; nothing where it was measured.
pub(super) fn guessed(answer: &Answer, index: usize) -> Option<String> {
    let [first, next, ..] = &answer.suited[index][..] else {
        return None;
    };
    answer.not_measured[index].then(|| {
        let pair = [first.spec, next.spec];
        let [one, other] = pair.map(|spec| &answer.engines.list[spec].name);
        format!(
            "Not measured at {}: too much of what lies between {one} and {other} comes from {}. Pull both over the same \
             range before a gearing is chosen.",
            answer.study.entries[index].name,
            unreached(answer.study, pair)
        )
    })
}

/// What the gearing that suits a venue's quickest spec wins over the fitted one, and how surely.
pub(super) fn in_draws(answer: &Answer, index: usize) -> Option<String> {
    let one = answer.suited[index].first()?;
    let car = &answer.study.car;
    Some(format!(
        "{} with {} beside {} as fitted: {}.",
        answer.engines.list[one.spec].name,
        short(car, answer.outcome.offered[one.best]),
        both(car, Setup::FITTED),
        over_fitted(answer, index)?
    ))
}

/// `0.3 s, likely (0.1 s behind to 0.6 s ahead in 95 of 100 draws)`.
fn over_fitted(answer: &Answer, index: usize) -> Option<String> {
    let sure = answer.sure[index]?;
    let one = answer.suited[index].first()?;
    let kind = answer.study.entries[index].course.kind;
    let draws = answer.plan.draws;
    Some(format!(
        "{} s, {} ({} in {} draws, quicker in {})",
        decimal(one.gain?, decimals(kind)),
        sure.word.text(),
        between(&sure.gain, kind),
        of_draws(HELD, draws),
        of_draws(sure.won, draws)
    ))
}

/// The ideal final drive of a spec with its band, and the quickest of those that are offered.
pub(super) fn ideal_drive(answer: &Answer, index: usize, one: &Suited) -> Option<String> {
    let ideal = one.ideal?;
    let kind = answer.study.entries[index].course.kind;
    let name = &answer.engines.list[one.spec].name;
    let fitted = drive(&answer.study.car, Setup::FITTED);
    let best = format!("{} ({}", decimal(ideal.ratio, 2), clock(ideal.time, kind));
    let wins = answer.outcome.venues[index].specs[one.spec]
        .time()
        .map(|time| time - ideal.time);
    if wins.is_some_and(|wins| wins < useful_at(answer, index)) {
        return Some(format!(
            "No final drive makes {name} with the fitted gears quicker than {fitted} as fitted by what anyone can \
             tell; the best of all would be {best})."
        ));
    }
    let wins = wins.map_or(String::new(), |wins| {
        let by = decimal(wins, decimals(kind));
        format!(", {by} s quicker than {fitted} as fitted")
    });
    Some(format!(
        "Ideal final drive of {name} with the fitted gears: {best}{wins}); from {} to {} nobody could tell.{}",
        decimal(ideal.band.0, 2),
        decimal(ideal.band.1, 2),
        offered(answer, index, one, &ideal)
    ))
}

/// Which of the final drives that are offered is the quickest, and why where that is not the one nearest to the
/// ideal.
fn offered(answer: &Answer, index: usize, one: &Suited, ideal: &IdealDrive) -> String {
    let times = &answer.outcome.venues[index].specs[one.spec].times;
    let time = |i: usize| times[i].as_ref().ok().copied();
    let Some((quickest, best)) = ideal.quickest.and_then(|i| Some((i, time(i)?))) else {
        return String::new();
    };
    let useful = useful_at(answer, index);
    let name = |i: usize| drive(&answer.study.car, answer.outcome.offered[i]);
    let as_fitted = if quickest == 0 { " as fitted" } else { "" };
    let as_good = if best - ideal.time < useful {
        ", as good as that"
    } else {
        ""
    };
    let told = format!(
        " The quickest offered is {}{as_fitted}{as_good}",
        name(quickest)
    );
    if quickest == ideal.nearest {
        return told + ".";
    }
    let near = name(ideal.nearest);
    match time(ideal.nearest).map(|time| time - best) {
        Some(by) if by < useful => format!("{told}; {near}, nearer to it, does as well."),
        Some(by) => {
            let why = match ideal.apart {
                true => "two ratios suit, each with other gears in use",
                false => "time is lost faster on its side",
            };
            let by = decimal(by, decimals(answer.study.entries[index].course.kind));
            format!("{told}; {near}, nearer to it, is {by} s slower: {why}.")
        }
        None => format!("{told}; {near}, nearer to it, gives no lap."),
    }
}

/// The ratios that nobody could tell from the ideal one, with the fitted one where it does as well.
pub(super) fn ideal_band(answer: &Answer, index: usize, one: &Suited) -> String {
    let Some(ideal) = one.ideal else {
        return String::new();
    };
    let band = ratios(ideal.band);
    let fitted = answer.study.car.final_drive.ratio;
    let within = (ideal.band.0..=ideal.band.1).contains(&fitted);
    let time = answer.outcome.venues[index].specs[one.spec].time();
    match time.is_some_and(|time| time - ideal.time < useful_at(answer, index)) && !within {
        true => format!("{} or {band}", decimal(fitted, 1)),
        false => band,
    }
}

/// The smallest difference that anyone can use at a venue, s.
fn useful_at(answer: &Answer, index: usize) -> f64 {
    let kind = answer.study.entries[index].course.kind;
    useful(kind, answer.outcome.venues[index].length)
}
