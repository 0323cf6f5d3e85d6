//! The season on one screen: one spec throughout, one gearing throughout, and what changes between
//! events win.

mod parts;
pub mod spend;
mod sure;

use std::fmt::Write;

use serde::Serialize;

use super::assumed;
use super::csv::{number, table};
use super::format::{capital, decimal, wrap};
use super::json::document;
use super::paint::Paint;
use super::rank::words::some_seconds;
use super::table::{Grid, Side};
use crate::files::finding::Findings;
use crate::files::finding::shell::shell_path;
use crate::study::roads::ROADS;
use crate::study::season::{Season, SeasonMoved, SeasonPlan};
use crate::study::times::Plan;
use crate::study::{Entry, Study};
use crate::units;
use crate::venue::EventKind;

pub use sure::{Measured, measured, unmeasured};

/// Everything that was worked out for a season.
#[derive(Debug)]
pub struct Answer<'a> {
    /// The study.
    pub study: &'a Study,
    /// What it comes to.
    pub season: &'a Season,
    /// What the assumptions could move of what lies between its two quickest specs, the largest first.
    pub moves: &'a [SeasonMoved],
    /// Everything found while reading.
    pub findings: &'a Findings,
    /// What was drawn.
    pub plan: &'a Plan,
    /// The study as it was named on the command line.
    pub path: &'a str,
}

/// A time of hours and minutes to the second, a short one to the tenth.
pub(super) fn long_clock(seconds: f64) -> String {
    let tenths = (seconds * 10.0).round();
    let (hours, rest) = ((tenths / 36_000.0).floor(), tenths % 36_000.0);
    let (minutes, rest) = ((rest / 600.0).floor(), rest % 600.0 / 10.0);
    match hours > 0.0 {
        true => format!("{hours:.0}:{minutes:02.0}:{rest:04.1}"),
        false => format!("{minutes:.0}:{rest:04.1}"),
    }
}

/// The season for people.
pub fn text(answer: &Answer, paint: Paint) -> String {
    let study = answer.study;
    let mut out = String::new();
    let events = study.entries.iter().filter(|e| e.weight > 0.0).count();
    let title = format!(
        "{}: {} {}, {}, {}",
        study.name,
        units::counted(events, "event"),
        if events == 1 {
            "that counts"
        } else {
            "that count"
        },
        study.car.name,
        parts::now(study, &answer.season.fits[0])
    );
    let _ = writeln!(out, "{}", paint.strong(&title));
    for line in answers(answer) {
        out.push_str(&wrap(&line, "  "));
    }
    out.push('\n');
    out.push_str(&table_of(answer).text(0));
    if let Some(line) = events_of_best(answer) {
        out.push_str(&wrap(&line, "  "));
    }
    out.push_str(&wrap(&counted(answer), "  "));
    let told = answer
        .moves
        .iter()
        .filter_map(|moved| assumption(answer, moved));
    out.push_str(&assumed::most_of_all(answer.findings, told));
    out.push_str(&wrap(&format!("Next: {}", next(answer)), "  "));
    out
}

/// The key of an assumption and what it could move; nothing where that rounds to nothing.
fn assumption(answer: &Answer, moved: &SeasonMoved) -> Option<String> {
    let by = some_seconds(moved.by.abs(), EventKind::Stage)?;
    let turns = match (moved.turns, moved.turns_at.first()) {
        (true, _) => ", turns the season round".to_owned(),
        (false, Some(&entry)) => format!(", turns {} round", answer.study.entries[entry].name),
        (false, None) => String::new(),
    };
    Some(format!("{} ({by} s{turns})", assumed::input(&moved.key)))
}

/// Which input that was assumed would turn the season round, and what to do about it; nothing where none would.
pub(super) fn turned(answer: &Answer) -> Option<String> {
    let moved = answer.moves.iter().find(|moved| moved.turns)?;
    let told = assumption(answer, moved)?;
    let next = assumed::to_write(&moved.key, "the season");
    Some(format!("Assumed: {told}. {}", capital(&next)))
}

/// What to do next.
fn next(answer: &Answer) -> String {
    match answer.moves.iter().find(|moved| moved.turns) {
        Some(moved) => assumed::to_write(&moved.key, "the season"),
        None => format!(
            "pullrank spend {} says what a second costs.",
            shell_path(answer.path)
        ),
    }
}

/// One spec, one final drive, and the plan.
pub(super) fn answers(answer: &Answer) -> Vec<String> {
    let (study, season) = (answer.study, answer.season);
    let mut lines = Vec::new();
    if season.as_geared.is_empty() {
        return vec!["No spec can be driven at every event.".to_owned()];
    }
    if let Some(verdict) = &season.verdict {
        lines.push(format!(
            "One spec all season, as geared: {}",
            sure::sentence(study, &verdict.verdict, answer.plan.draws)
        ));
        lines.extend(sure::unmeasured(study, verdict));
    }
    if let Some(first) = season
        .compromise
        .iter()
        .min_by(|a, b| a.seconds.total_cmp(&b.seconds))
    {
        let now = season.seconds[0].iter().copied().sum::<Option<f64>>();
        let wins = match now {
            Some(now) if now > first.seconds => {
                let by = decimal(now - first.seconds, 1);
                format!(", {by} s quicker than as it stands")
            }
            _ => ", as it stands".to_owned(),
        };
        lines.push(format!(
            "One final drive all season: {}{wins}; each event's own would win {} s more.",
            parts::fit(study, &season.fits[first.fit]),
            decimal(first.cost, 1)
        ));
    }
    lines
}

/// What can be had over the season, with its price and work.
pub(super) fn table_of(answer: &Answer) -> Grid {
    let (study, season) = (answer.study, answer.season);
    let buy = match parts::currency(study) {
        Some(currency) => format!("to buy,\n{currency}"),
        None => "to buy".to_owned(),
    };
    let mut grid = Grid::new(&[
        ("", Side::Left),
        ("season", Side::Right),
        ("wins s", Side::Right),
        ("work", Side::Right),
        (&buy, Side::Right),
        ("parts", Side::Left),
    ]);
    let now = season.seconds[0].iter().copied().sum::<Option<f64>>();
    let wins = |seconds: f64| now.map_or(String::new(), |now| decimal(now - seconds, 1));
    if let Some(now) = now {
        let cells = ["as it stands", &long_clock(now), "", "", "", ""];
        grid.row(&cells.map(str::to_owned));
    }
    let best = season
        .compromise
        .iter()
        .map(|c| (c.fit, c.seconds, "one final drive"));
    let best = best.min_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((fit, seconds, name)) = best {
        let bought: Vec<_> = season.fits[fit].parts().collect();
        grid.row(&[
            name.to_owned(),
            long_clock(seconds),
            wins(seconds),
            String::new(),
            price(answer, bought.iter().copied()),
            parts::basket(study, bought.into_iter()),
        ]);
    }
    for plan in &season.plans {
        grid.row(&[
            match plan.plan.changes {
                0 => "one of each".to_owned(),
                1 => "1 change".to_owned(),
                changes => format!("{changes} changes"),
            },
            long_clock(plan.plan.seconds),
            wins(plan.plan.seconds),
            match plan.plan.work {
                0.0 => String::new(),
                work => parts::work(work),
            },
            price(answer, plan.parts.iter().copied()),
            parts::basket(study, plan.parts.iter().copied()),
        ]);
    }
    grid
}

fn price(
    answer: &Answer,
    bought: impl Iterator<Item = (crate::study::season::Kind, usize)>,
) -> String {
    let prices =
        bought.map(|(kind, part)| crate::study::season::terms(answer.study, kind, part).price);
    match prices.sum::<Option<f64>>() {
        Some(sum) => super::format::thousands(sum),
        None => "not said".to_owned(),
    }
}

/// What is in the car at each event of the plan that wins most.
pub(super) fn events_of_best(answer: &Answer) -> Option<String> {
    let plans = &answer.season.plans;
    let best = plans.last().filter(|p| p.plan.changes > 0)?;
    let groups = groups(answer, best);
    let told: Vec<String> = groups
        .iter()
        .map(|(fit, events)| format!("{fit} at {}", events.join(", ")))
        .collect();
    Some(capital(&format!(
        "with the most changes: {}.",
        told.join("; ")
    )))
}

/// The choices of a plan, each with its events.
fn groups(answer: &Answer, plan: &SeasonPlan) -> Vec<(String, Vec<String>)> {
    let mut groups: Vec<(String, Vec<String>)> = Vec::new();
    for (event, &choice) in plan.plan.choices.iter().enumerate() {
        let name = answer.study.entries[event].name.clone();
        let fit = parts::fit(answer.study, &answer.season.fits[choice]);
        match groups.iter_mut().find(|(known, _)| *known == fit) {
            Some((_, events)) => events.push(name),
            None => groups.push((fit, vec![name])),
        }
    }
    groups
}

/// What was counted, and what could not be.
pub(super) fn counted(answer: &Answer) -> String {
    let rules = &answer.study.rules;
    let mut text =
        "Counted: every run and lap by its weight, a race's first lap from rest, of best-of \
                    runs one, wet and dry by their chances"
            .to_owned();
    let sketched = |e: &Entry| e.weight > 0.0 && e.course.sketch.is_some();
    if answer.study.entries.iter().any(sketched) {
        let _ = write!(text, "; a sketch by the mean of its {ROADS} roads");
    }
    if let Some(class) = &rules.allowed_in {
        let _ = write!(text, "; only parts tagged for {class} (scrutineers decide)");
    }
    if let Some(least) = rules.minimum_mass {
        let _ = write!(text, "; ballast up to {} kg", decimal(least, 0));
    }
    text.push_str(". Only parts with a swap time are changed between events");
    let sealed = answer.study.entries.iter().filter(|e| e.sealed);
    let sealed: Vec<&str> = sealed.map(|e| e.name.as_str()).collect();
    if !sealed.is_empty() {
        let _ = write!(text, ", none before {} (sealed)", sealed.join(", "));
    }
    text.push_str(". Points, rivals and dropped events are not reckoned.");
    text
}

#[derive(Serialize)]
struct Body<'a> {
    #[serde(flatten)]
    head: parts::Head<'a>,
    as_geared: Vec<SpecBody<'a>>,
    verdict: Option<VerdictBody<'a>>,
    one_final_drive: Vec<CompromiseBody>,
    plans: Vec<PlanBody<'a>>,
    assumptions: Vec<Assumption<'a>>,
}

#[derive(Serialize)]
struct Assumption<'a> {
    key: &'a str,
    /// Of what lies between the leader and the next.
    moves_gap_by_s: f64,
    turns_season: bool,
    turns: Vec<&'a str>,
}

#[derive(Serialize)]
struct SpecBody<'a> {
    spec: &'a str,
    season_s: f64,
}

#[derive(Serialize)]
struct VerdictBody<'a> {
    word: &'static str,
    leader: &'a str,
    next: &'a str,
    gap_median_s: f64,
    gap_low_s: f64,
    gap_high_s: f64,
    wins_of_100: Vec<f64>,
    #[serde(flatten)]
    measured: Measured,
}

#[derive(Serialize)]
struct CompromiseBody {
    fit: String,
    season_s: f64,
    cost_s: f64,
}

#[derive(Serialize)]
struct PlanBody<'a> {
    changes: usize,
    season_s: f64,
    work_s: f64,
    price: Option<f64>,
    events: Vec<EventBody<'a>>,
}

#[derive(Serialize)]
struct EventBody<'a> {
    venue: &'a str,
    fit: String,
    seconds: Option<f64>,
}

/// The season as JSON.
pub fn json(answer: &Answer) -> String {
    let (study, season) = (answer.study, answer.season);
    let fit = |index: usize| parts::fit(study, &season.fits[index]);
    let event = |(index, choice): (usize, &usize)| EventBody {
        venue: &study.entries[index].name,
        fit: fit(*choice),
        seconds: season.seconds[*choice][index],
    };
    document(
        "season",
        &Body {
            head: parts::head(
                study,
                answer.plan,
                season.useful,
                season.seconds[0].iter().copied().sum(),
            ),
            as_geared: season
                .as_geared
                .iter()
                .map(|&(spec, season_s)| SpecBody {
                    spec: parts::spec(study, spec),
                    season_s,
                })
                .collect(),
            verdict: season.verdict.as_ref().map(|sure| VerdictBody {
                word: sure.verdict.word.text(),
                leader: parts::spec(study, sure.verdict.leader),
                next: parts::spec(study, sure.verdict.next),
                gap_median_s: sure.verdict.gap.median,
                gap_low_s: sure.verdict.gap.low,
                gap_high_s: sure.verdict.gap.high,
                wins_of_100: sure.verdict.wins.iter().map(|won| 100.0 * won).collect(),
                measured: measured(study, sure),
            }),
            one_final_drive: season
                .compromise
                .iter()
                .map(|one| CompromiseBody {
                    fit: fit(one.fit),
                    season_s: one.seconds,
                    cost_s: one.cost,
                })
                .collect(),
            assumptions: answer
                .moves
                .iter()
                .map(|moved| Assumption {
                    key: &moved.key,
                    moves_gap_by_s: moved.by,
                    turns_season: moved.turns,
                    turns: moved
                        .turns_at
                        .iter()
                        .map(|&entry| study.entries[entry].name.as_str())
                        .collect(),
                })
                .collect(),
            plans: season
                .plans
                .iter()
                .map(|plan| PlanBody {
                    changes: plan.plan.changes,
                    season_s: plan.plan.seconds,
                    work_s: plan.plan.work,
                    price: plan.price,
                    events: plan.plan.choices.iter().enumerate().map(event).collect(),
                })
                .collect(),
        },
    )
}

/// A row per choice and event.
pub fn csv(answer: &Answer) -> String {
    let (study, season) = (answer.study, answer.season);
    let header = ["fit", "venue", "weight", "seconds"];
    let rows = season
        .fits
        .iter()
        .zip(&season.seconds)
        .flat_map(|(fit, row)| {
            let fit = parts::fit(study, fit);
            let events = study.entries.iter().zip(row);
            let rows: Vec<Vec<String>> = events
                .map(|(entry, seconds)| {
                    vec![
                        fit.clone(),
                        entry.name.clone(),
                        decimal(entry.weight, 3),
                        number(*seconds, 3),
                    ]
                })
                .collect();
            rows
        });
    table(&header, rows)
}
