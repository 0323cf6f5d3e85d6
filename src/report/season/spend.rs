//! What to spend the money on, on one screen.

use std::fmt::Write;

use serde::Serialize;

use super::{long_clock, parts};
use crate::report::csv::{number, table};
use crate::report::format::{HELD, capital, decimal, of_draws, signed, thousands, wrap};
use crate::report::json::document;
use crate::report::paint::Paint;
use crate::report::table::{Grid, Side};
use crate::study::Study;
use crate::study::season::{Fit, Kind, Line, Money};
use crate::study::times::Plan;

/// What seconds are counted by: so much money.
const PER: f64 = 1000.0;
/// Seconds over a season that are worth a word.
const TOLD: f64 = 0.05;

/// Everything that was worked out about money.
#[derive(Debug)]
pub struct Answer<'a> {
    /// The study.
    pub study: &'a Study,
    /// Where to spend.
    pub money: &'a Money,
    /// What was drawn.
    pub plan: &'a Plan,
    /// The smallest difference over the season that anyone can use, s.
    pub useful: f64,
}

/// The list, the frontier, and what the dearer spec buys where.
pub fn text(answer: &Answer, paint: Paint) -> String {
    let (study, money) = (answer.study, answer.money);
    let mut out = String::new();
    let _ = writeln!(out, "{}", paint.strong(&title(answer)));
    out.push_str(&wrap(&first(answer), "  "));
    out.push('\n');
    out.push_str(&list(answer).text(0));
    out.push('\n');
    if let Some(frontier) = frontier(answer) {
        out.push_str(&frontier.text(0));
        if !answer.money.exhaustive {
            out.push_str(PAIRS);
            out.push('\n');
        }
    }
    if let Some(line) = dearer(answer) {
        out.push_str(&wrap(&line, "  "));
    }
    let without: Vec<String> = money
        .lines
        .iter()
        .filter(|line| line.terms.price.is_none())
        .map(|line| {
            let part = parts::part(study, line.kind, line.part);
            match line.used().filter(|s| *s > TOLD) {
                Some(wins) => format!("{part} ({} s)", signed(wins, 1)),
                None => part,
            }
        })
        .collect();
    if !without.is_empty() {
        let line = format!("No price is said for {}; add `price`.", without.join(", "));
        out.push_str(&wrap(&line, "  "));
    }
    out.push_str(&wrap(&caution(study), "  "));
    out
}

/// Where not every combination was driven.
pub(in crate::report) const PAIRS: &str =
    "Too much is offered to drive every combination: pairs were.";
/// What to mind.
pub(in crate::report) fn caution(study: &Study) -> String {
    let limits = !study.car.purchases.rev_limits.is_empty();
    let lights = study
        .entries
        .iter()
        .any(|e| e.habits.shift_light_rpm.is_some());
    let light = match limits && lights {
        true => "; the shift light moves with a rev limit",
        false => "",
    };
    format!(
        "Prices fitted, as the files say{light}. Parts win together what they win together: the steps above were \
         driven whole. Class rules, scrutineers and the makers' limits come first."
    )
}

fn title(answer: &Answer) -> String {
    let study = answer.study;
    let now = parts::now(study, &Fit::NOW);
    let season = answer.money.now.map_or(String::new(), |now| {
        format!(", a season of {}", long_clock(now))
    });
    format!("{}: {}, {now}{season}", study.name, study.car.name)
}

/// The best bargain first.
pub(in crate::report) fn first(answer: &Answer) -> String {
    let study = answer.study;
    let bargain = answer
        .money
        .lines
        .iter()
        .find(|line| line.per_money().is_some() && line.used().is_some_and(|s| s > TOLD));
    let Some(line) = bargain else {
        return "Nothing that is offered makes the season quicker.".to_owned();
    };
    let wins = line.used().unwrap_or(0.0);
    let sure = line.sure.as_ref().map_or(String::new(), |(range, won)| {
        format!(
            " (fitted throughout {} to {} s in {} draws, quicker in {})",
            decimal(range.low, 1),
            decimal(range.high, 1),
            of_draws(HELD, answer.plan.draws),
            of_draws(*won, answer.plan.draws)
        )
    });
    format!(
        "{} first: {} s over the season for {}{sure}.",
        capital(&parts::part(study, line.kind, line.part)),
        decimal(wins, 1),
        parts::money(study, line.terms.price.unwrap_or(0.0)),
    )
}

/// Everything that can be bought.
pub(in crate::report) fn list(answer: &Answer) -> Grid {
    let study = answer.study;
    let per = match parts::currency(study) {
        Some(currency) => format!("s per\n{} {currency}", thousands(PER)),
        None => format!("s per\n{}", thousands(PER)),
    };
    let within = format!("{}\nlie within", of_draws(HELD, answer.plan.draws));
    let mut grid = Grid::new(&[
        ("", Side::Left),
        ("price\nfitted", Side::Right),
        ("wins s,\nthroughout", Side::Right),
        (&within, Side::Left),
        ("where it\nhelps", Side::Right),
        ("changes", Side::Right),
        ("work\neach", Side::Right),
        (&per, Side::Right),
    ]);
    for line in &answer.money.lines {
        let sure = line.sure.as_ref().map_or(String::new(), |(range, _)| {
            format!("{} to {}", decimal(range.low, 1), decimal(range.high, 1))
        });
        let (helps, changes) = match line.where_it_helps {
            Some((wins, changes)) => (decimal(wins, 1), changes.to_string()),
            None => (String::new(), "stays".to_owned()),
        };
        grid.row(&[
            parts::part(study, line.kind, line.part),
            line.terms.price.map_or(String::new(), thousands),
            line.wins.map_or("no lap".to_owned(), |s| signed(s, 1)),
            sure,
            helps,
            changes,
            line.terms.swap_time.map_or(String::new(), parts::work),
            line.per_money().map_or(String::new(), |rate| {
                if rate.is_finite() {
                    decimal(PER * rate, 1)
                } else {
                    String::new()
                }
            }),
        ]);
    }
    grid
}

/// What wins most for so much money; nothing where nothing wins.
pub(in crate::report) fn frontier(answer: &Answer) -> Option<Grid> {
    let study = answer.study;
    let steps: Vec<_> = answer
        .money
        .frontier
        .iter()
        .filter(|basket| basket.price > 0.0)
        .collect();
    if steps.is_empty() {
        return None;
    }
    let mut grid = Grid::new(&[
        ("most for the money", Side::Left),
        ("s", Side::Right),
        ("buy", Side::Left),
    ]);
    let mut before = Fit::NOW;
    for basket in steps {
        grid.row(&[
            parts::money(study, basket.price),
            decimal(basket.wins, 1),
            step(study, &before, &basket.fit),
        ]);
        before = basket.fit;
    }
    Some(grid)
}

/// What one basket has beside another: `+ 9/41, + limit of 7,500 rpm, without 9/35`.
fn step(study: &Study, before: &Fit, now: &Fit) -> String {
    let changed = |kind: &Kind| before.of(*kind) != now.of(*kind);
    let changed: Vec<Kind> = Kind::ALL.into_iter().filter(changed).collect();
    let more = changed.iter().filter_map(|&kind| {
        let part = now.of(kind)?;
        Some(format!("+ {}", parts::part(study, kind, part)))
    });
    let less = changed.iter().filter_map(|&kind| {
        let part = before.of(kind)?;
        Some(format!("without {}", parts::part(study, kind, part)))
    });
    more.chain(less).collect::<Vec<_>>().join(", ")
}

/// What the dearer of two specs buys where, against the cheaper.
pub(in crate::report) fn dearer(answer: &Answer) -> Option<String> {
    let study = answer.study;
    let own = parts::fitted(study);
    let own_price = study.test_day.specs[study.compared[own]].price?;
    let other = answer.money.lines.iter().find(|line| {
        line.kind == Kind::Spec && line.terms.price.is_some_and(|price| price != own_price)
    })?;
    let price = other.terms.price?;
    // Seconds that the dearer one wins at each event.
    let sign = if price > own_price { 1.0 } else { -1.0 };
    let (dear, cheap) = if price > own_price {
        (other.part, own)
    } else {
        (own, other.part)
    };
    let events = other.by_event.iter().enumerate();
    let gains: Vec<(usize, f64)> = events
        .filter_map(|(i, g)| Some((i, sign * (*g)?)))
        .collect();
    let told = |wanted: bool| -> Option<String> {
        let mut found: Vec<_> = gains
            .iter()
            .filter(|(_, g)| g.abs() >= TOLD && (*g > 0.0) == wanted)
            .collect();
        found.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
        let list: Vec<String> = found
            .iter()
            .map(|(event, gain)| {
                let name = &study.entries[*event].name;
                format!("{} s at {name}", decimal(gain.abs(), 1))
            })
            .collect();
        (!list.is_empty()).then(|| list.join(", "))
    };
    let asks = (price.max(own_price), price.min(own_price));
    let asks = (parts::money(study, asks.0), parts::money(study, asks.1));
    let (dear, cheap) = (parts::spec(study, dear), parts::spec(study, cheap));
    let what = match (told(true), told(false)) {
        (Some(buys), Some(loses)) => format!("buys {buys}, and loses {loses}"),
        (Some(buys), None) => format!("buys {buys}"),
        (None, Some(loses)) => format!("buys nothing, and loses {loses}"),
        (None, None) => "buys nothing that shows".to_owned(),
    };
    Some(format!(
        "{}, {} against {} for {cheap}, {what}, as the events count.",
        capital(dear),
        asks.0,
        asks.1
    ))
}

#[derive(Serialize)]
struct Body<'a> {
    #[serde(flatten)]
    head: parts::Head<'a>,
    parts: Vec<PartBody<'a>>,
    frontier: Vec<BasketBody>,
    every_combination: bool,
}

#[derive(Serialize)]
struct PartBody<'a> {
    kind: &'static str,
    part: String,
    price: Option<f64>,
    swap_time_s: Option<f64>,
    wins_throughout_s: Option<f64>,
    low_s: Option<f64>,
    high_s: Option<f64>,
    wins_of_100: Option<f64>,
    wins_where_it_helps_s: Option<f64>,
    changes: Option<usize>,
    s_per_money: Option<f64>,
    by_event: Vec<EventBody<'a>>,
}

#[derive(Serialize)]
struct EventBody<'a> {
    venue: &'a str,
    wins_s: Option<f64>,
}

#[derive(Serialize)]
struct BasketBody {
    price: f64,
    wins_s: f64,
    buy: Vec<String>,
}

/// The answer as JSON.
pub fn json(answer: &Answer) -> String {
    let (study, money) = (answer.study, answer.money);
    document(
        "spend",
        &Body {
            head: parts::head(study, answer.plan, answer.useful, money.now),
            parts: money
                .lines
                .iter()
                .map(|line| part_body(study, line))
                .collect(),
            frontier: money
                .frontier
                .iter()
                .map(|basket| BasketBody {
                    price: basket.price,
                    wins_s: basket.wins,
                    buy: basket
                        .fit
                        .parts()
                        .map(|(kind, part)| parts::part(study, kind, part))
                        .collect(),
                })
                .collect(),
            every_combination: money.exhaustive,
        },
    )
}

fn part_body<'a>(study: &'a Study, line: &Line) -> PartBody<'a> {
    let events = study.entries.iter().zip(&line.by_event);
    let (range, won) = line.sure.unzip();
    PartBody {
        kind: parts::kind(line.kind),
        part: parts::part(study, line.kind, line.part),
        price: line.terms.price,
        swap_time_s: line.terms.swap_time,
        wins_throughout_s: line.wins,
        low_s: range.map(|r| r.low),
        high_s: range.map(|r| r.high),
        wins_of_100: won.map(|won| 100.0 * won),
        wins_where_it_helps_s: line.where_it_helps.map(|(wins, _)| wins),
        changes: line.where_it_helps.map(|(_, changes)| changes),
        s_per_money: line.per_money().filter(|rate| rate.is_finite()),
        by_event: events
            .map(|(entry, wins)| EventBody {
                venue: &entry.name,
                wins_s: *wins,
            })
            .collect(),
    }
}

/// A row per part and event.
pub fn csv(answer: &Answer) -> String {
    let study = answer.study;
    let header = ["kind", "part", "price", "swap_time_s", "venue", "wins_s"];
    let rows = answer.money.lines.iter().flat_map(|line| {
        let events = study.entries.iter().zip(&line.by_event);
        let rows: Vec<Vec<String>> = events
            .map(|(entry, wins)| {
                vec![
                    parts::kind(line.kind).to_owned(),
                    parts::part(study, line.kind, line.part),
                    number(line.terms.price, 2),
                    number(line.terms.swap_time, 0),
                    entry.name.clone(),
                    number(*wins, 3),
                ]
            })
            .collect();
        rows
    });
    table(&header, rows)
}
