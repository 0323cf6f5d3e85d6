//! The report: one self-contained file with the answer, its reasons and everything it rests on.

mod curves;
mod drops;
mod gaps;
mod gearings;
mod ground;
mod looks;
mod rest;
mod season;
pub mod sheet;
mod strip;
mod trace;
mod venue;
pub(in crate::report) mod words;

use minijinja::Environment;
use minijinja::syntax::SyntaxConfig;
use minijinja::value::Serde;
use serde::Serialize;

use self::looks::{look, name};
use super::chart::{Chart, Figure, dashes, ink};
use super::rank::{Answer, next, summary};
use super::season::{Answer as Season, spend};
use super::states;
use crate::lap::LapError;
use crate::study::accuracy::Accuracy;
use crate::study::drops::Drop;
use crate::study::gearing::Suited;
use crate::study::runs::Strip;
use crate::study::schedules::Schedules;
use crate::study::{Setup, Word};

/// Everything the page is made from.
#[derive(Debug)]
pub struct Page<'a> {
    /// The ranking with its reasons.
    pub answer: Answer<'a>,
    /// Per venue, the two specs that matter, run by run.
    pub strips: &'a [Option<Strip>],
    /// Per venue and spec, as driven against at best.
    pub schedules: &'a [Vec<Result<Schedules, LapError>>],
    /// Per venue, how far the numbers are from those of a finer road.
    pub accuracy: &'a [Option<Accuracy>],
    /// Per venue, each spec with the gearing that suits it.
    pub suited: &'a [Vec<Suited>],
    /// Gear sets with what a change up does.
    pub drops: &'a [(Setup, Vec<Drop>)],
    /// The season, where there is one.
    pub season: Option<Season<'a>>,
    /// What to spend money on over the season.
    pub spend: Option<spend::Answer<'a>>,
    /// The files that were read, by name and text.
    pub inputs: &'a [Input],
    /// The command that makes the page again.
    pub command: &'a str,
}

/// A file that was read.
#[derive(Debug, Clone, Serialize)]
pub struct Input {
    /// Its name as it was read.
    pub name: String,
    /// Its size, bytes.
    pub size: usize,
    /// Its text; nothing where it is too large for a page.
    pub text: Option<String>,
}

/// A spec in the key of the page.
#[derive(Serialize)]
struct Key {
    look: usize,
    name: String,
    colour: &'static str,
    dashes: &'static str,
    about: String,
}

#[derive(Serialize)]
struct View {
    title: String,
    about: String,
    answer: Vec<String>,
    next: String,
    key: Vec<Key>,
    gaps: Option<Figure>,
    places: Vec<Place>,
    venues: Vec<venue::View>,
    season: Option<season::View>,
    drops: Option<Figure>,
    rest: rest::View,
    inputs: Vec<Input>,
    command: String,
    version: &'static str,
}

/// A venue in the list at the top.
#[derive(Serialize)]
struct Place {
    id: String,
    name: String,
    sign: &'static str,
    word: &'static str,
    ahead: String,
}

/// A sign for a verdict, read in grey as in colour.
fn sign(word: Option<Word>) -> &'static str {
    match word {
        Some(Word::Clear) => "●",
        Some(Word::Likely) => "◐",
        Some(Word::TooClose) => "○",
        Some(Word::NothingInIt) => "=",
        Some(Word::NotMeasured) => "?",
        None => "·",
    }
}

fn view(page: &Page) -> View {
    let answer = &page.answer;
    View {
        title: format!("{}: {}", answer.study.name, answer.study.car.name),
        about: about(answer),
        answer: (summary(answer).into_iter())
            .chain(states::shown(&answer.study.entries))
            .collect(),
        next: next(answer),
        key: key(answer),
        gaps: gaps::figure(answer),
        places: answer
            .venues()
            .enumerate()
            .map(|(index, venue)| {
                let verdict = venue.verdict();
                Place {
                    id: venue::id(index),
                    name: venue.name().to_owned(),
                    sign: sign(verdict.map(|v| v.word)),
                    word: verdict.map_or("", |v| v.word.text()),
                    ahead: match verdict {
                        Some(v) if matches!(v.word, Word::Clear | Word::Likely) => {
                            name(answer, v.leader)
                        }
                        _ => String::new(),
                    },
                }
            })
            .collect(),
        venues: venue::views(page),
        season: season::view(page),
        drops: drops::figure(answer, page.drops),
        rest: rest::view(page),
        inputs: page.inputs.to_vec(),
        command: page.command.to_owned(),
        version: env!("CARGO_PKG_VERSION"),
    }
}

fn about(answer: &Answer) -> String {
    let specs: Vec<String> = (0..answer.engines.list.len())
        .map(|s| name(answer, s))
        .collect();
    format!(
        "Which of {} belongs on the car, as it is geared ({}) and at other gearing. Torque is \
         corrected to {}.",
        super::rank::words::list(&specs),
        super::rank::words::gearing_in_full(answer, Setup::FITTED),
        answer.engines.standard.name()
    )
}

fn key(answer: &Answer) -> Vec<Key> {
    let specs = answer.engines.list.iter().enumerate();
    specs
        .map(|(spec, engine)| {
            let (torque, power) = (engine.curve.peak_torque(), engine.curve.peak_power());
            let look = look(answer, spec);
            Key {
                look,
                name: engine.name.clone(),
                colour: ink(look),
                dashes: dashes(look),
                about: format!(
                    "{} N·m at {}, {} kW at {}",
                    super::format::decimal(torque.value, 0),
                    super::format::rpm_fifty(torque.rpm),
                    super::format::decimal(power.value / 1000.0, 0),
                    super::format::rpm_fifty(power.rpm),
                ),
            }
        })
        .collect()
}

/// The page as HTML.
///
/// # Errors
/// Never with the templates of this crate.
pub fn html(page: &Page) -> Result<String, minijinja::Error> {
    render("report.html", &view(page))
}

/// Every chart of the page alone.
pub fn charts(page: &Page) -> Vec<Chart> {
    let view = view(page);
    let venues = view.venues.iter().flat_map(|venue| venue.figures());
    let all = view.gaps.iter().chain(venues).chain(view.drops.iter());
    all.map(Figure::chart).collect()
}

/// Fills a template with its parts and the looks of the page.
fn render(template: &str, view: &impl Serialize) -> Result<String, minijinja::Error> {
    let mut environment = Environment::new();
    let syntax = SyntaxConfig::builder()
        .trim_blocks(true)
        .lstrip_blocks(true)
        .build()?;
    environment.set_syntax(syntax);
    for (name, text) in [
        ("report.html", include_str!("report.html")),
        ("sheet.html", include_str!("sheet.html")),
        ("parts.html", include_str!("parts.html")),
    ] {
        environment.add_template(name, text)?;
    }
    environment.add_global("css", include_str!("page.css"));
    environment.add_global("script", include_str!("page.js"));
    environment.get_template(template)?.render(Serde(view))
}
