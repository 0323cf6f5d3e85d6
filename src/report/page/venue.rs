//! One venue of the page.

use serde::Serialize;

use super::looks::name;
use super::words::{self, Named, Number, claim};
use super::{Page, curves, gearings, ground, strip, trace};
use crate::explain::advice::under_light;
use crate::report::chart::{Figure, Table};
use crate::report::format::{clock, decimal, drive_word, kind_word, rpm_coarse, signed};
use crate::report::rank::gears::{advised, light_costs};
use crate::report::rank::words::{held_back, list, seconds, some_seconds, unreached};
use crate::report::rank::{Venue, known, roads, trade, why};
use crate::report::setup;
use crate::study::SpecRun;
use crate::study::runs::{Strip, rivals};

/// What the template is given.
#[derive(Serialize)]
pub struct View {
    id: String,
    name: String,
    about: String,
    claim: Option<String>,
    why: Option<String>,
    roads: Option<String>,
    known: Option<String>,
    fault: Option<String>,
    numbers: Vec<Number>,
    runs: Option<Figure>,
    told: Vec<String>,
    torque: Option<Figure>,
    plan: Option<Figure>,
    gearings: Option<Figure>,
    trace: Option<Figure>,
    advice: Vec<String>,
    trade: Option<Table>,
    trade_note: String,
    settle: Option<String>,
}

impl View {
    /// Every chart of the venue.
    pub fn figures(&self) -> impl Iterator<Item = &Figure> {
        let all = [
            &self.runs,
            &self.torque,
            &self.plan,
            &self.gearings,
            &self.trace,
        ];
        all.into_iter().flatten()
    }
}

/// Id of a venue on the page.
pub fn id(index: usize) -> String {
    format!("venue-{}", index + 1)
}

/// All venues.
pub fn views(page: &Page) -> Vec<View> {
    let venues = page.answer.venues().enumerate();
    venues
        .map(|(index, venue)| view(page, index, &venue))
        .collect()
}

fn view(page: &Page, index: usize, venue: &Venue) -> View {
    let answer = &page.answer;
    let id = id(index);
    let specs = rivals(answer.outcome, answer.certainty, index);
    let strip = page.strips.get(index).and_then(Option::as_ref);
    let strip = strip.filter(|strip| strip.specs[0] != strip.specs[1]);
    let kind = venue.entry.course.kind;
    let fault = venue
        .run
        .specs
        .iter()
        .find_map(|run| run.as_geared.as_ref().err());
    View {
        name: venue.name().to_owned(),
        about: about(page, venue),
        claim: venue.verdict().map(|verdict| {
            let names = [verdict.leader, verdict.next].map(|spec| name(answer, spec));
            let of = Named {
                names: [&names[0], &names[1]],
                unreached: &unreached(answer.study, [verdict.leader, verdict.next]),
            };
            claim(verdict, &of, kind, answer.plan.draws)
        }),
        why: why(answer, venue),
        roads: roads(answer, venue),
        known: known(venue),
        fault: fault.map(|error| format!("Cannot be driven: {error}.")),
        numbers: numbers(page, index, venue, specs, strip),
        runs: strip.map(|s| strip::figure(answer, &id, s)),
        told: strip
            .map(|s| told(page, s))
            .into_iter()
            .flatten()
            .chain(held_back(answer, venue))
            .collect(),
        torque: strip.map(|s| {
            let shown = curves::Shown {
                answer,
                venue: *venue,
                specs: s.specs,
                seconds: curves::Seconds::of(venue, s.specs),
            };
            curves::figure(&shown, &id)
        }),
        plan: strip.and_then(|s| ground::figure(answer, venue, &id, s)),
        gearings: specs.and_then(|specs| gearings::figure(answer, venue, &id, specs)),
        trace: strip.map(|s| trace::figure(answer, &id, s)),
        advice: specs
            .map(|specs| advice(page, index, specs[0]))
            .unwrap_or_default(),
        trade: trade_offs(venue),
        trade_note: venue
            .trade_offs
            .map(|found| trade::note(answer, found))
            .unwrap_or_default(),
        settle: settle(page, venue),
        id,
    }
}

fn about(page: &Page, venue: &Venue) -> String {
    let course = &venue.entry.course;
    let mut surfaces: Vec<String> = course.surfaces.iter().map(|s| s.name.clone()).collect();
    surfaces.dedup();
    let order = venue.run.order(SpecRun::time);
    let times: Vec<String> = order
        .iter()
        .map(|&(spec, time)| {
            let behind = time - order[0].1;
            let told = match some_seconds(behind, course.kind) {
                _ if spec == order[0].0 => clock(time, course.kind),
                Some(behind) => format!("{behind} s behind"),
                None => "level".to_owned(),
            };
            format!("{} {told}", name(&page.answer, spec))
        })
        .collect();
    let passes = match (venue.entry.laps, venue.entry.passes) {
        (Some(laps), _) => format!(", {laps} laps"),
        (None, 1) => String::new(),
        (None, passes) => format!(", driven {passes} times"),
    };
    format!(
        "{} of {} km, {}{passes}; {} trim. {}.",
        kind_word(course.kind),
        decimal(venue.run.length / 1000.0, 1),
        list(&surfaces),
        page.answer.study.car.trims[venue.entry.trim].name,
        list(&times),
    )
}

/// The five numbers, as far as they are known.
fn numbers(
    page: &Page,
    index: usize,
    venue: &Venue,
    specs: Option<[usize; 2]>,
    strip: Option<&Strip>,
) -> Vec<Number> {
    let answer = &page.answer;
    let Some(specs) = specs else {
        return Vec::new();
    };
    [
        words::gap(answer, venue),
        words::below(answer, venue, specs),
        strip.and_then(words::lowest),
        shift(page, index, venue, specs[0]),
        money(page, index, venue, specs),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// Where the driver shifts, and what 500 rpm earlier costs.
fn shift(page: &Page, index: usize, venue: &Venue, spec: usize) -> Option<Number> {
    let schedules = page.schedules.get(index)?.get(spec)?.as_ref().ok()?;
    let habits = &venue.entry.habits;
    let limit = page.answer.engines.limit_rpm;
    let at = habits
        .shift_light_rpm
        .map_or(limit, |light| light.min(limit));
    let kind = venue.entry.course.kind;
    let early = schedules.early;
    let more = match early >= venue.useful() {
        true => format!(
            "500 rpm earlier costs {} s a {}",
            seconds(early, kind),
            drive_word(kind)
        ),
        false => "500 rpm earlier costs nothing worth naming".to_owned(),
    };
    Some(Number {
        label: "Change up at".to_owned(),
        value: rpm_coarse(at),
        more,
    })
}

/// What the better gearing gains, beside what the specs cost.
fn money(page: &Page, index: usize, venue: &Venue, specs: [usize; 2]) -> Option<Number> {
    let answer = &page.answer;
    let suited = page
        .suited
        .get(index)?
        .iter()
        .find(|one| one.spec == specs[0])?;
    let kind = venue.entry.course.kind;
    let car = &answer.study.car;
    let unit = answer.study.test_day.currency.as_deref().unwrap_or("");
    let price = |value: f64| {
        format!("{} {unit}", crate::report::format::thousands(value))
            .trim_end()
            .to_owned()
    };
    let between = match specs.map(|spec| answer.engines.list[spec].price) {
        [Some(a), Some(b)] if a != b => {
            let dearer = specs[usize::from(b > a)];
            format!(
                "{} costs {} more than the other",
                name(answer, dearer),
                price((a - b).abs())
            )
        }
        _ => String::new(),
    };
    let gain = suited.gain.filter(|gain| *gain >= venue.useful());
    let Some(gain) = gain else {
        return Some(Number {
            label: "On gearing instead".to_owned(),
            value: "nothing to gain".to_owned(),
            more: between,
        });
    };
    let setup = answer.outcome.offered[suited.best];
    let cost = [
        setup
            .gearbox
            .and_then(|i| car.gearbox_options[i].terms.price),
        setup
            .final_drive
            .and_then(|i| car.final_drive_options[i].terms.price),
    ];
    let cost: f64 = cost.into_iter().flatten().sum();
    let cost = match cost > 0.0 {
        true => format!(" for {}", price(cost)),
        false => String::new(),
    };
    Some(Number {
        label: "On gearing instead".to_owned(),
        value: format!("{} s{cost}", seconds(gain, kind)),
        more: [format!("with {}", setup::both(car, setup)), between]
            .into_iter()
            .filter(|text| !text.is_empty())
            .collect::<Vec<_>>()
            .join("; "),
    })
}

/// The runs that matter most, in words.
fn told(page: &Page, one: &Strip) -> Vec<String> {
    strip::told(one)
        .into_iter()
        .map(|index| {
            let run = &one.runs[index];
            let spec = one.specs[usize::from(run.gain() < 0.0)];
            format!(
                "{}: {} {} s",
                strip::place(run),
                name(&page.answer, spec),
                signed(run.gain().abs(), 2)
            )
        })
        .collect()
}

/// What a better choice of gears would gain.
fn advice(page: &Page, index: usize, spec: usize) -> Vec<String> {
    let Some(Ok(schedules)) = page.schedules.get(index).and_then(|all| all.get(spec)) else {
        return Vec::new();
    };
    let light = page.answer.study.entries[index].habits.shift_light_rpm;
    let (told, past) = under_light(&schedules.advice, light);
    let told = told.into_iter().take(3).map(|one| advised(one, light));
    told.chain(light_costs(light, past)).collect()
}

/// What changes to the car are worth.
fn trade_offs(venue: &Venue) -> Option<Table> {
    let rows = trade::rows(venue);
    let mut table = Table::new(["what a change is worth, s", "less", "more"]);
    rows.into_iter().for_each(|row| table.row(row.into()));
    (!table.rows.is_empty()).then_some(table)
}

/// What would settle an open verdict.
fn settle(page: &Page, venue: &Venue) -> Option<String> {
    let settle = venue.certainty?.settle.as_ref()?;
    match &settle.step {
        Some(step) => Some(format!(
            "What would settle it: {}.",
            crate::report::rank::done(&page.answer, step)
        )),
        None => some_seconds(settle.by_pulls, venue.entry.course.kind).map(|left| {
            format!("Two more refits would not settle it: the pulls alone leave ± {left} s.")
        }),
    }
}
