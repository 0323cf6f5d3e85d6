//! The sheet: one page for the driver, for one spec at one venue.

use std::fmt::Write;

use serde::Serialize;

use super::looks::name;
use super::words::{Named, claim, slowest};
use super::{Page, render};
use crate::explain::{Exit, advice};
use crate::report::chart::isolated;
use crate::report::format::{
    capital, decimal, drive_word, gear, rpm, rpm_coarse, signed, thousands, wrap,
};
use crate::report::rank::Venue;
use crate::report::rank::gears::{advised, light_costs};
use crate::report::rank::words::{gearing_in_full, list, seconds, unreached};
use crate::report::states;
use crate::report::table::{Grid, Side};
use crate::study::runs::Strip;
use crate::study::{Setup, Told};
use crate::units::KILOMETRE_PER_HOUR;
use crate::venue::EventKind;

/// Advice told at most.
const TOLD: usize = 4;
/// Difference of torque that can be felt, N·m (common practice, no source).
const FELT: f64 = 3.0;

/// What the templates are given.
#[derive(Serialize)]
struct View {
    title: String,
    about: String,
    sentences: Vec<String>,
    holds: Vec<String>,
    other: Option<String>,
    corners: Vec<Corner>,
    limits: String,
    cautions: Vec<&'static str>,
}

/// A corner that is left at full throttle.
#[derive(Serialize)]
struct Corner {
    place: String,
    gear: String,
    revs: String,
    /// How much more or less the other spec pulls there, N·m.
    other: String,
}

/// The sheet as text.
pub fn text(page: &Page, index: usize) -> String {
    let Some(view) = view(page, index) else {
        return String::new();
    };
    let mut out = format!("{}\n{}\n\n", view.title, view.about);
    for line in view.sentences.iter().chain(&view.holds) {
        out.push_str(&wrap(line, "  "));
    }
    out.push('\n');
    let other = view
        .other
        .as_ref()
        .map(|other| format!("{other}\nthere, N·m"));
    let mut columns = vec![
        ("leaving", Side::Left),
        ("in", Side::Left),
        ("from\nrpm", Side::Right),
    ];
    if let Some(other) = &other {
        columns.push((other.as_str(), Side::Right));
    }
    let mut grid = Grid::new(&columns);
    for corner in view.corners {
        let mut cells = vec![corner.place, corner.gear, corner.revs];
        if other.is_some() {
            cells.push(corner.other);
        }
        grid.row(&cells);
    }
    out.push_str(&grid.text(0));
    out.push('\n');
    out.push_str(&wrap(&view.limits, "  "));
    for line in view.cautions {
        let _ = write!(out, "{}", wrap(line, "  "));
    }
    out
}

/// The sheet as HTML.
///
/// # Errors
/// Never with the templates of this crate.
pub fn html(page: &Page, index: usize) -> Result<String, minijinja::Error> {
    match view(page, index) {
        Some(view) => render("sheet.html", &view),
        None => Ok(String::new()),
    }
}

fn view(page: &Page, index: usize) -> Option<View> {
    let answer = &page.answer;
    let venue = answer.venue(index)?;
    let strip = page.strips.get(index)?.as_ref()?;
    let car = &answer.study.car;
    let trim = &car.trims[venue.entry.trim];
    let [spec, other] = strip.specs;
    Some(View {
        title: format!("{}: {}", isolated(venue.name()), name(answer, spec)),
        about: format!(
            "{}, {} trim, {}, {}",
            isolated(&car.name),
            trim.name,
            isolated(&trim.tyre),
            gearing_in_full(answer, Setup::FITTED)
        ),
        sentences: sentences(page, index, &venue, strip),
        holds: holds(page, index, &venue, spec),
        other: (other != spec).then(|| name(answer, other)),
        corners: strip.exits[0]
            .iter()
            .map(|(exit, place)| corner(page, strip, exit, place))
            .collect(),
        limits: limits(page, strip),
        cautions: cautions(venue.entry.course.kind),
    })
}

/// Three sentences: the answer, where to shift, what the other spec would feel like.
fn sentences(page: &Page, index: usize, venue: &Venue, strip: &Strip) -> Vec<String> {
    let answer = &page.answer;
    let kind = venue.entry.course.kind;
    let mut out = Vec::new();
    if let Some(verdict) = venue.verdict() {
        let names = [verdict.leader, verdict.next].map(|spec| name(answer, spec));
        let of = Named {
            names: [&names[0], &names[1]],
            unreached: &unreached(answer.study, [verdict.leader, verdict.next]),
        };
        out.push(claim(verdict, &of, kind, answer.plan.draws));
    }
    let [spec, other] = strip.specs;
    let limit = answer.engines.limit_rpm;
    let light = venue.entry.habits.shift_light_rpm;
    let at = match light {
        Some(light) if light < limit => format!("the light, {}", rpm_coarse(light)),
        _ if limit < answer.engines.rev_limit_rpm => {
            format!("{}, as far as all pulls reach", rpm(limit))
        }
        _ if answer.findings.assumes("rev_limit") => {
            format!(
                "{}, taken for the limit as none is written",
                rpm_coarse(limit)
            )
        }
        _ => format!("the limit, {}", rpm_coarse(limit)),
    };
    let early = match page.schedules.get(index).and_then(|all| all.get(spec)) {
        Some(Ok(found)) if found.early >= venue.useful() => format!(
            "; 500 rpm earlier costs {} s a {}",
            seconds(found.early, kind),
            drive_word(kind)
        ),
        _ => "; earlier costs nothing worth naming".to_owned(),
    };
    let low = slowest(strip).map(|(low, place)| {
        let how = if low.clutch {
            ", held there on the clutch"
        } else {
            ""
        };
        format!(
            ". Lowest revs to expect: {} in {}{how}, out of {}",
            rpm_coarse(low.rpm),
            gear(low.gear),
            isolated(place)
        )
    });
    out.push(format!(
        "Change up at {at}{early}{}.",
        low.unwrap_or_default()
    ));
    if other != spec {
        out.push(feel(page, strip));
    }
    out.extend(states::shown([venue.entry]));
    out
}

/// What the other spec would feel like, and where most.
fn feel(page: &Page, strip: &Strip) -> String {
    let answer = &page.answer;
    let [spec, other] = strip.specs;
    let who = name(answer, other);
    let crossings = answer.engines.crossings(other, spec);
    let general = match crossings[..] {
        [] if answer.engines.told(other, spec) == Told::Untold => {
            format!("{who} would pull alike as far as the pulls tell")
        }
        [one] if one.first_leads_below => {
            format!(
                "{who} would pull harder below {} and less above",
                rpm(one.rpm)
            )
        }
        [one] => format!(
            "{who} would pull less below {} and harder above",
            rpm(one.rpm)
        ),
        [] => format!("{who} would pull alike or to one side everywhere"),
        _ => format!("{who} would pull harder here and less there"),
    };
    let felt = strip.exits[0].iter().filter_map(|(exit, place)| {
        let more = more(page, strip, exit.rpm)?;
        (more.abs() >= FELT && !exit.clutch).then_some((more, exit, place))
    });
    let most = felt.max_by(|a, b| a.0.abs().total_cmp(&b.0.abs()));
    let most = most.map(|(more, exit, place)| {
        format!(
            ": most to be felt out of {} ({} N·m at {})",
            isolated(place),
            signed(more, 0),
            rpm_coarse(exit.rpm)
        )
    });
    capital(&format!("{general}{}.", most.unwrap_or_default()))
}

/// How much more the other spec pulls at an engine speed, N·m, where both were measured.
fn more(page: &Page, strip: &Strip, at: f64) -> Option<f64> {
    let [own, other] = strip
        .specs
        .map(|spec| &page.answer.engines.list[spec].curve);
    (own.reaches(at) && other.reaches(at)).then(|| other.torque(at) - own.torque(at))
}

fn corner(page: &Page, strip: &Strip, exit: &Exit, place: &str) -> Corner {
    let revs = thousands((exit.rpm / 100.0).round() * 100.0);
    Corner {
        place: match exit.speed > 0.0 {
            true => isolated(place),
            false => "the start".to_owned(),
        },
        gear: gear(exit.gear),
        revs: match exit.clutch {
            true => format!("{revs}, clutch"),
            false => revs,
        },
        other: more(page, strip, exit.rpm).map_or(String::new(), |more| signed(more, 0)),
    }
}

/// Where holding or leaving a gear is worth telling, and what the driver's light costs.
fn holds(page: &Page, index: usize, venue: &Venue, spec: usize) -> Vec<String> {
    let light = venue.entry.habits.shift_light_rpm;
    match page.schedules.get(index).and_then(|all| all.get(spec)) {
        Some(Ok(found)) => {
            let (told, past) = advice::under_light(&found.advice, light);
            let told = told.into_iter().take(TOLD);
            let told = told.map(|one| format!("{}.", advised(one, light)));
            told.chain(light_costs(light, past)).collect()
        }
        _ => Vec::new(),
    }
}

/// Above which road speeds a change down passes the limit.
fn limits(page: &Page, strip: &Strip) -> String {
    let lower = strip.limit_speeds.len().saturating_sub(1);
    let speeds: Vec<String> = strip.limit_speeds[..lower]
        .iter()
        .enumerate()
        .map(|(index, speed)| {
            format!(
                "{} above {} km/h",
                gear(index),
                decimal(speed / KILOMETRE_PER_HOUR, 0)
            )
        })
        .collect();
    format!(
        "Over-rev: never into {}; there a change down passes the limit of {} rpm, and no limiter helps.",
        list(&speeds).replace(" and ", " or "),
        thousands(page.answer.engines.rev_limit_rpm)
    )
}

fn cautions(kind: EventKind) -> Vec<&'static str> {
    let mut out =
        vec!["For closed venues and permitted tests only; gears and revs here are not orders."];
    if kind == EventKind::Stage {
        out.push(
            "These are not pace notes, and nothing on this sheet is to be read on the stage: learn it before. \
             Recce at recce speed and within the law.",
        );
    }
    out.push(
        "Worked out for a point mass on one line: what you see, hear and feel comes first. The event's \
         regulations and the makers' limits of engine, clutch, tyres and brakes stand above all of it.",
    );
    out
}
