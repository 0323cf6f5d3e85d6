//! Sentences made by rules: what may be said of a gap, and to how many digits.
//!
//! A spec is called quicker only where the whole interval, as it is printed, lies on its side of zero.

use super::looks::name;
use crate::explain::Exit;
use crate::report::chart::isolated;
use crate::report::format::{
    HELD, capital, decimal, drive_word, gear, of_draws, percent, rpm_coarse,
};
use crate::report::rank::words::{seconds, some_seconds};
use crate::report::rank::{Answer, Venue};
use crate::study::runs::Strip;
use crate::study::verdict::Range;
use crate::study::{Verdict, Word};
use crate::venue::EventKind;

/// Two specs by their names, and the rpm that what lies between them hangs on where it was not measured.
pub struct Named<'a> {
    pub names: [&'a str; 2],
    pub unreached: &'a str,
}

/// What may be said of a verdict, in one sentence.
pub fn claim(verdict: &Verdict, of: &Named, kind: EventKind, draws: u64) -> String {
    let [leader, next] = of.names;
    let per = per(kind);
    let between = between(&verdict.gap, kind);
    let wins = of_draws(verdict.wins[verdict.leader], draws);
    let held = of_draws(HELD, draws);
    let middle = some_seconds(verdict.gap.median, kind);
    let some = match &middle {
        Some(middle) => format!("by some {middle} s {per}"),
        None => "by less than the clock shows".to_owned(),
    };
    let middle = middle.unwrap_or_default();
    let surely = some_seconds(verdict.gap.low.max(0.0), kind).is_some();
    let text = match verdict.word {
        Word::Clear if surely => format!(
            "{leader} is quicker than {next} by {middle} s {per}: {held} draws say {between}, and it wins {wins}"
        ),
        Word::Clear | Word::Likely => format!(
            "{leader} is likely ahead of {next}, {some}: {held} draws say {between}, and it wins {wins}"
        ),
        Word::TooClose => format!(
            "too close to call between {leader} and {next}: {held} draws say {leader} is {between} {per}; it wins {wins}"
        ),
        Word::NothingInIt => format!(
            "nothing in it between {leader} and {next}: in {} draws the difference is less than \
             anyone can use; {held} lie within {between} {per}",
            of_draws(verdict.level, draws)
        ),
        Word::NotMeasured => format!(
            "not measured: more than a fifth of what lies between {leader} and {next} comes from {}; pull both over the same range",
            of.unreached
        ),
    };
    format!("{}.", capital(&text))
}

fn per(kind: EventKind) -> String {
    format!("a {}", drive_word(kind))
}

/// An interval in words, the leader's side being ahead: `0.1 to 0.9 s`, `0.3 s behind to 0.7 s ahead`.
pub fn between(gap: &Range, kind: EventKind) -> String {
    let low = some_seconds(gap.low, kind).map(|_| gap.low);
    let high = some_seconds(gap.high, kind).map(|_| gap.high);
    let text = |value: f64| seconds(value.abs(), kind);
    match (low, high) {
        (Some(low), Some(high)) if low > 0.0 => format!("{} to {} s", text(low), text(high)),
        (Some(low), Some(high)) if high > 0.0 => {
            format!("{} s behind to {} s ahead", text(low), text(high))
        }
        (Some(low), Some(high)) => format!("{} to {} s behind", text(high), text(low)),
        (Some(low), None) if low < 0.0 => format!("{} s behind to level", text(low)),
        (Some(_), None) | (None, None) => "level".to_owned(),
        (None, Some(high)) if high > 0.0 => format!("level to {} s ahead", text(high)),
        (None, Some(high)) => format!("level to {} s behind", text(high)),
    }
}

/// One of the five numbers of a venue.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Number {
    /// What it is.
    pub label: String,
    /// The number.
    pub value: String,
    /// What belongs to it.
    pub more: String,
}

fn number(label: impl Into<String>, value: impl Into<String>, more: impl Into<String>) -> Number {
    Number {
        label: label.into(),
        value: value.into(),
        more: more.into(),
    }
}

/// The gap in the trade's unit, with its interval and wins.
pub fn gap(answer: &Answer, venue: &Venue) -> Option<Number> {
    let verdict = venue.verdict()?;
    let kind = venue.entry.course.kind;
    let median = verdict.gap.median;
    let whole = match some_seconds(median, kind) {
        Some(text) => format!("{text} s"),
        None => "less than the clock shows".to_owned(),
    };
    let value = match kind {
        EventKind::Stage => {
            let per_km = decimal(median / (venue.run.length / 1000.0), 2);
            format!("{per_km} s/km, {whole}")
        }
        _ => format!("{whole} {}", per(kind)),
    };
    let more = format!(
        "in the middle of the draws, {} before {}: {}; wins {}",
        name(answer, verdict.leader),
        name(answer, verdict.next),
        between(&verdict.gap, kind),
        of_draws(verdict.wins[verdict.leader], answer.plan.draws)
    );
    Some(number("Between them", value, more))
}

/// Share of full throttle below the crossing.
pub fn below(answer: &Answer, venue: &Venue, specs: [usize; 2]) -> Option<Number> {
    let crossings = answer.engines.crossings(specs[0], specs[1]);
    let [one] = crossings[..] else {
        return None;
    };
    let reading = venue.run.specs[specs[0]].as_geared.as_ref().ok()?;
    let share = crate::explain::bands::full_share_below(&reading.spans, one.rpm)?;
    let strong = specs[usize::from(!one.first_leads_below)];
    Some(number(
        format!(
            "Full throttle below {}",
            crate::report::format::rpm(one.rpm)
        ),
        percent(share),
        format!("where {} is the stronger", name(answer, strong)),
    ))
}

/// The lowest revs that the engine has to pull from, and out of which corner.
pub fn lowest(strip: &Strip) -> Option<Number> {
    let (low, place) = slowest(strip)?;
    let how = if low.clutch {
        ", held on the clutch"
    } else {
        ""
    };
    Some(number(
        "Lowest revs",
        format!("{} in {}", rpm_coarse(low.rpm), gear(low.gear)),
        format!("out of {}{how}", isolated(place)),
    ))
}

/// Where the first of two specs leaves a corner with the lowest revs, the slowest of such.
pub fn slowest(strip: &Strip) -> Option<(&Exit, &str)> {
    let exits = strip.exits[0].iter().filter(|(exit, _)| exit.speed > 0.0);
    let lowest = exits.min_by(|(a, _), (b, _)| {
        let coarse = |exit: &Exit| (exit.rpm / 50.0).round();
        let revs = coarse(a).total_cmp(&coarse(b));
        revs.then(a.speed.total_cmp(&b.speed))
    });
    lowest.map(|(exit, place)| (exit, place.as_str()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::venue::EventKind::{Circuit, Stage};

    fn verdict(word: Word, low: f64, median: f64, high: f64) -> Verdict {
        let gap = Range { median, low, high };
        Verdict {
            word,
            leader: 0,
            next: 1,
            gap,
            wins: vec![0.97, 0.03],
            behind: vec![gap, gap],
            level: 0.9,
            draws: 300,
        }
    }

    fn say(word: Word, low: f64, median: f64, high: f64, kind: EventKind) -> String {
        claim(
            &verdict(word, low, median, high),
            &Named {
                names: ["long", "short"],
                unreached: "rpm that no pull reached",
            },
            kind,
            2000,
        )
    }

    /// Over every sign of both ends and every word.
    #[test]
    fn nobody_is_called_quicker_whose_interval_reaches_zero() {
        let ends = [-1.2, -0.3, -0.04, -0.004, 0.0, 0.004, 0.04, 0.3, 1.2];
        let words = [
            Word::Clear,
            Word::Likely,
            Word::TooClose,
            Word::NothingInIt,
            Word::NotMeasured,
        ];
        for kind in [Stage, Circuit] {
            let least = if kind == Stage { 0.05 } else { 0.005 };
            for word in words {
                for low in ends {
                    for high in ends.into_iter().filter(|high| *high >= low) {
                        let text = say(word, low, 0.5 * (low + high), high, kind);
                        let claims = text.contains("quicker") || text.contains("faster");
                        assert!(!claims || (word == Word::Clear && low >= least), "{text}");
                    }
                }
            }
        }
        assert!(
            say(Word::Clear, 0.3, 0.6, 1.2, Stage)
                .contains("is quicker than short by 0.6 s a stage")
        );
    }

    #[test]
    fn digits_follow_how_the_event_is_timed() {
        let stage = say(Word::Clear, 0.31, 0.618, 1.24, Stage);
        assert!(
            stage.contains("0.6 s") && stage.contains("0.3 to 1.2 s") && !stage.contains("0.62"),
            "{stage}"
        );
        let lap = say(Word::Clear, 0.31, 0.618, 1.24, Circuit);
        assert!(
            lap.contains("0.62 s a lap") && lap.contains("0.31 to 1.24 s"),
            "{lap}"
        );
    }

    #[test]
    fn intervals_are_told_by_their_sides() {
        let at = |low: f64, high: f64| {
            between(
                &Range {
                    median: 0.0,
                    low,
                    high,
                },
                Stage,
            )
        };
        assert_eq!(at(0.1, 0.9), "0.1 to 0.9 s");
        assert_eq!(at(-0.3, 0.7), "0.3 s behind to 0.7 s ahead");
        assert_eq!(at(0.01, 0.7), "level to 0.7 s ahead");
        assert_eq!(at(-0.7, 0.02), "0.7 s behind to level");
        assert_eq!(at(-0.7, -0.2), "0.2 to 0.7 s behind");
        assert_eq!(at(-0.01, 0.01), "level");
    }
}
