//! After the event: predicted against actual.

mod advice;
mod odd;

use std::fmt::Write;

use serde::Serialize;

use super::csv::{number, table};
use super::format::{capital, clock, decimal, decimals, kind_word, percent, signed, wrap};
use super::json::document;
use super::paint::Paint;
use super::table::{Grid, Side};
use crate::study::results::{Between, CornersBy, Fitted, Kind, Review, Reviewed};
use crate::study::times::Plan;
use crate::study::{Engines, Study};
use crate::units;
use advice::{advice, place_of, run_of};
pub use odd::{Asked, asked};

/// Everything that was worked out about results.
#[derive(Debug)]
pub struct Answer<'a> {
    /// The study.
    pub study: &'a Study,
    /// Its specs.
    pub engines: &'a Engines,
    /// What the results say.
    pub review: &'a Review,
    /// What was drawn.
    pub plan: &'a Plan,
}

impl Answer<'_> {
    /// A result as nobody takes it for another.
    fn run_of(&self, event: &Reviewed) -> String {
        run_of(self.study, self.engines, &event.result)
    }
}

/// The results for people.
pub fn text(answer: &Answer, paint: Paint) -> String {
    let review = answer.review;
    let mut out = String::new();
    let count = units::counted(review.events.len(), "result");
    let title = format!("{}: {count} against what was predicted", answer.study.name);
    let _ = writeln!(out, "{}", paint.strong(&title));
    out.push_str(&wrap(&next(answer), "  "));
    out.push('\n');
    let mut grid = Grid::new(&[
        ("", Side::Left),
        ("spec", Side::Left),
        ("predicted", Side::Right),
        ("95 of 100\nlie within", Side::Left),
        ("driven", Side::Right),
        ("off", Side::Right),
        ("corner\nshare", Side::Left),
    ]);
    for event in &review.events {
        grid.row(&row(answer, event));
    }
    out.push_str(&grid.text(0));
    for event in &review.events {
        if let Some(why) = &event.result.set_aside {
            let line = format!("Set aside: {} ({why}).", answer.run_of(event));
            out.push_str(&wrap(&line, "  "));
        }
    }
    for one in asked(answer.study, answer.engines, &review.odd) {
        let line = format!("{} {}.", one.text, capital(&one.remedy));
        out.push_str(&wrap(&line, "  "));
    }
    for one in &review.between {
        out.push_str(&wrap(&between(answer, one), "  "));
    }
    for kind in &review.kinds {
        out.push_str(&wrap(&shares(answer, kind), "  "));
    }
    for (index, event) in review.events.iter().enumerate() {
        if review.odd.asks(index) {
            continue;
        }
        if let Some(line) = advice(answer, event) {
            out.push_str(&wrap(&line, "  "));
        }
    }
    out
}

fn row(answer: &Answer, event: &Reviewed) -> [String; 7] {
    let result = &event.result;
    let entry = &answer.study.entries[result.entry];
    let kind = entry.course.kind;
    let name = place_of(entry, result.condition.as_ref());
    let off = event
        .predicted
        .map_or(String::new(), |p| signed(result.time - p, decimals(kind)));
    [
        name,
        answer.engines.list[result.spec].name.clone(),
        event
            .predicted
            .map_or("no lap".to_owned(), |p| clock(p, kind)),
        event.range.map_or(String::new(), |range| {
            format!("{} to {}", clock(range.low, kind), clock(range.high, kind))
        }),
        clock(result.time, kind),
        off,
        match event.result.set_aside {
            Some(_) => "set aside".to_owned(),
            None => share(event.share),
        },
    ]
}

fn share(share: Fitted) -> String {
    match share {
        Fitted::Share(share) => percent(share),
        Fitted::Quicker => "none so quick".to_owned(),
        Fitted::Slower => "none so slow".to_owned(),
        Fitted::Unknown => String::new(),
    }
}

/// What to expect of the next prediction.
fn next(answer: &Answer) -> String {
    let mut out: Vec<String> = Vec::new();
    let aside = |event: &Reviewed| event.result.set_aside.is_some();
    let events = || answer.review.events.iter();
    for event in events().filter(|event| !event.counts() && !aside(event)) {
        out.push(answer.run_of(event));
    }
    out.dedup();
    let left_out = match out.as_slice() {
        [] => String::new(),
        out => format!(" Not counted, as no driving gives it: {}.", out.join("; ")),
    };
    let Some(next) = answer.review.next else {
        if events().all(aside) {
            return "Every result is set aside.".to_owned();
        }
        if events().all(|event| event.is_known) {
            return "Known times alone: they say nothing of the next one.".to_owned();
        }
        return match left_out.is_empty() {
            true => "No result could be predicted.".to_owned(),
            false => format!("No result is near its prediction.{left_out}"),
        };
    };
    let by = decimal(100.0 * (next.factor - 1.0).abs(), 1);
    let way = if next.factor > 1.0 {
        "slower"
    } else {
        "quicker"
    };
    let mean = match next.results {
        1 => format!("You were {by} % {way} than predicted"),
        n => format!("Over {n} results you were {by} % {way} than predicted"),
    };
    match next.between {
        Some((low, high)) => format!(
            "{mean}; the next time will lie between {} and {} % of its prediction in 95 of 100 events. \
             Gaps between specs are surer than times.{left_out}",
            decimal(100.0 * low, 1),
            decimal(100.0 * high, 1)
        ),
        None if next.results > 1 => {
            format!("{mean}. They are all of one venue, and say little of the next one.{left_out}")
        }
        None => format!("{mean}. One result says little of the next; two begin to.{left_out}"),
    }
}

/// A gap between specs that was driven otherwise than predicted.
fn between(answer: &Answer, one: &Between) -> String {
    let entry = &answer.study.entries[one.entry];
    let places = decimals(entry.course.kind);
    let name = |spec: usize| &answer.engines.list[spec].name;
    format!(
        "{}: {} was driven {} s quicker than {} ({} and {}), where {} s is predicted: tyres, the road, the weather or the \
         driver made the rest, and these runs do not tell it from the spec.",
        place_of(entry, one.condition.as_ref()),
        name(one.specs.0),
        decimal(one.driven, places),
        name(one.specs.1),
        units::counted(one.runs.0, "run"),
        one.runs.1,
        signed(one.predicted, places)
    )
}

/// The share to write down, and what it changes between the specs.
fn shares(answer: &Answer, kind: &Kind) -> String {
    let name = kind_word(kind.kind);
    let (fitted, taken) = (percent(kind.fitted), percent(kind.taken));
    if !kind.moves() {
        return format!("{fitted} of a {name}'s corners, as taken.");
    }
    let mut line = format!(
        "{fitted} of a {name}'s corners in place of {taken}: write `corner_share: {{{name}: {fitted}}}`."
    );
    let places = decimals(kind.kind);
    for (entry, (quicker, slower), [then, now]) in &kind.gaps {
        let gaps = [*then, *now].map(|gap| signed(gap, places));
        if gaps[0] == gaps[1] {
            continue;
        }
        let _ = write!(
            line,
            " {}: {} leads {} by {} s in place of {}.",
            answer.study.entries[*entry].name,
            answer.engines.list[*quicker].name,
            answer.engines.list[*slower].name,
            gaps[1],
            gaps[0]
        );
    }
    line
}

#[derive(Serialize)]
struct Body<'a> {
    study: &'a str,
    draws: u64,
    seed: u64,
    results: Vec<ResultBody<'a>>,
    /// Questions about results that hardly belong with the others.
    asked: Vec<String>,
    between: Vec<BetweenBody<'a>>,
    kinds: Vec<KindBody<'a>>,
    next: Option<NextBody>,
}

/// A gap between two specs that was driven otherwise than predicted.
#[derive(Serialize)]
struct BetweenBody<'a> {
    venue: &'a str,
    conditions: Option<&'a str>,
    quicker: &'a str,
    slower: &'a str,
    driven_s: f64,
    predicted_s: f64,
}

#[derive(Serialize)]
struct ResultBody<'a> {
    venue: &'a str,
    spec: &'a str,
    conditions: Option<&'a str>,
    driven_s: f64,
    predicted_s: Option<f64>,
    predicted_low_s: Option<f64>,
    predicted_high_s: Option<f64>,
    corner_share: Option<f64>,
    corners_by: &'static str,
    /// Grip of its state over the dry with which the time comes out, where corners are driven as another state tells.
    grip_factor: Option<f64>,
    set_aside: Option<&'a str>,
}

#[derive(Serialize)]
struct KindBody<'a> {
    kind: &'static str,
    results: usize,
    corner_share_taken: f64,
    corner_share_fitted: f64,
    gaps: Vec<GapBody<'a>>,
}

#[derive(Serialize)]
struct GapBody<'a> {
    venue: &'a str,
    quicker: &'a str,
    slower: &'a str,
    as_taken_s: f64,
    as_fitted_s: f64,
}

#[derive(Serialize)]
struct NextBody {
    results: usize,
    factor: f64,
    low: Option<f64>,
    high: Option<f64>,
}

/// The results as JSON.
pub fn json(answer: &Answer) -> String {
    let review = answer.review;
    let venue = |entry: usize| answer.study.entries[entry].name.as_str();
    let spec = |spec: usize| answer.engines.list[spec].name.as_str();
    let result = |event: &'_ Reviewed| {
        let Fitted::Share(share) = event.share else {
            return None;
        };
        Some(share)
    };
    document(
        "results",
        &Body {
            study: &answer.study.name,
            draws: answer.plan.draws,
            seed: answer.plan.seed,
            results: review
                .events
                .iter()
                .map(|event| ResultBody {
                    venue: venue(event.result.entry),
                    spec: spec(event.result.spec),
                    conditions: event.result.condition.as_deref(),
                    driven_s: event.result.time,
                    predicted_s: event.predicted,
                    predicted_low_s: event.range.map(|r| r.low),
                    predicted_high_s: event.range.map(|r| r.high),
                    corner_share: result(event),
                    corners_by: match event.corners_by {
                        CornersBy::Share => "share",
                        CornersBy::Known => "known",
                        CornersBy::Speeds => "speeds",
                    },
                    grip_factor: event.state.map(|state| state.factor),
                    set_aside: event.result.set_aside.as_deref(),
                })
                .collect(),
            asked: asked(answer.study, answer.engines, &review.odd)
                .into_iter()
                .map(|one| one.text)
                .collect(),
            between: review
                .between
                .iter()
                .map(|one| BetweenBody {
                    venue: venue(one.entry),
                    conditions: one.condition.as_deref(),
                    quicker: spec(one.specs.0),
                    slower: spec(one.specs.1),
                    driven_s: one.driven,
                    predicted_s: one.predicted,
                })
                .collect(),
            kinds: review
                .kinds
                .iter()
                .map(|kind| KindBody {
                    kind: kind_word(kind.kind),
                    results: kind.results,
                    corner_share_taken: kind.taken,
                    corner_share_fitted: kind.fitted,
                    gaps: kind
                        .gaps
                        .iter()
                        .map(|(entry, (quicker, slower), [then, now])| GapBody {
                            venue: venue(*entry),
                            quicker: spec(*quicker),
                            slower: spec(*slower),
                            as_taken_s: *then,
                            as_fitted_s: *now,
                        })
                        .collect(),
                })
                .collect(),
            next: review.next.map(|next| NextBody {
                results: next.results,
                factor: next.factor,
                low: next.between.map(|b| b.0),
                high: next.between.map(|b| b.1),
            }),
        },
    )
}

/// A row per result.
pub fn csv(answer: &Answer) -> String {
    let header = [
        "venue",
        "spec",
        "driven_s",
        "predicted_s",
        "corner_share",
        "set_aside",
    ];
    let rows = answer.review.events.iter().map(|event| {
        let share = match event.share {
            Fitted::Share(share) => Some(share),
            _ => None,
        };
        vec![
            answer.study.entries[event.result.entry].name.clone(),
            answer.engines.list[event.result.spec].name.clone(),
            decimal(event.result.time, 2),
            number(event.predicted, 3),
            number(share, 4),
            event.result.set_aside.clone().unwrap_or_default(),
        ]
    });
    table(&header, rows)
}
