//! What the answer rests on: assumptions, accuracy, cautions.

use serde::Serialize;

use super::Page;
use crate::files::finding::Severity;
use crate::report::chart::Table;
use crate::report::format::{decimal, gear, thousands};
use crate::report::rank::words::what_it_moves;
use crate::units::KILOMETRE_PER_HOUR;
use crate::venue::EventKind;

/// What the template is given.
#[derive(Serialize)]
pub struct View {
    assumed: Vec<Assumed>,
    moves: &'static str,
    warned: Vec<String>,
    accuracy: Option<Table>,
    draws: String,
    cautions: Vec<String>,
}

/// One assumption.
#[derive(Serialize)]
struct Assumed {
    text: String,
    moves: Option<String>,
    turns: Option<String>,
}

/// Gathers it.
pub fn view(page: &Page) -> View {
    let answer = &page.answer;
    let warnings = answer.findings.of(Severity::Warning);
    View {
        assumed: assumed(page),
        moves: match answer.engines.list.len() {
            1 => "a time",
            _ => "a gap",
        },
        warned: warnings.map(|f| f.text.clone()).collect(),
        accuracy: accuracy(page),
        draws: format!(
            "{} draws, seed {}: in each the pulls scatter anew as the test day shows they do, parts are \
             taken off and put back, and mass, grip, drag area, shift time, rolling radius, air, the \
             driver's habits and corner speeds written by hand take other values.",
            answer.plan.draws, answer.plan.seed
        ),
        cautions: cautions(page),
    }
}

fn assumed(page: &Page) -> Vec<Assumed> {
    let answer = &page.answer;
    let rank = |key: Option<&str>| {
        let of = |key: &str| answer.moves.iter().position(|m| m.key == key);
        key.and_then(of).unwrap_or(usize::MAX)
    };
    let mut found: Vec<_> = answer.findings.of(Severity::Assumed).collect();
    found.sort_by_key(|f| rank(f.key.as_deref()));
    found.dedup_by(|a, b| a.text == b.text);
    found
        .into_iter()
        .map(|finding| {
            let moved = answer
                .moves
                .iter()
                .find(|m| Some(m.key.as_str()) == finding.key.as_deref());
            let turned = moved.and_then(|m| m.turns.first());
            Assumed {
                text: finding.text.clone(),
                moves: moved.and_then(|m| what_it_moves(answer, m)),
                turns: turned.map(|&entry| answer.study.entries[entry].name.clone()),
            }
        })
        .collect()
}

fn accuracy(page: &Page) -> Option<Table> {
    let mut table = Table::new([
        "venue",
        "cells",
        "mean length, m",
        "times move by at most, s",
        "the gap by, s",
    ]);
    for (venue, found) in page.answer.venues().zip(page.accuracy) {
        let Some(found) = found else { continue };
        let small = |value: f64| match value < 0.0005 {
            true => "less than 0.001".to_owned(),
            false => decimal(value, 3),
        };
        table.row(vec![
            venue.name().to_owned(),
            thousands(found.cells as f64),
            decimal(found.mean_length, 1),
            small(found.time),
            found.gap.map_or(String::new(), small),
        ]);
    }
    (!table.rows.is_empty()).then_some(table)
}

/// The cautions that apply to this car and these venues.
fn cautions(page: &Page) -> Vec<String> {
    let answer = &page.answer;
    let mut out = vec![
        "For closed venues and permitted tests only. Speeds in this report are not targets."
            .to_owned(),
    ];
    let stage = |kind| kind == EventKind::Stage;
    if answer.study.entries.iter().any(|e| stage(e.course.kind)) {
        out.push(
            "Nothing here is pace notes and nothing is to be read on the stage; recce at recce speed and \
             within the law."
                .to_owned(),
        );
    }
    let over = page
        .suited
        .iter()
        .flatten()
        .filter_map(|one| one.cautions.over_rev);
    if let Some(over) = over.max_by(|a, b| a.rpm.total_cmp(&b.rpm)) {
        out.push(format!(
            "Over-rev: at the fastest point a change down to {} would turn the engine at {} rpm, over its \
             limit of {}; not above {} km/h. A limiter does not help on a downchange.",
            gear(over.gear),
            thousands((over.rpm / 100.0).round() * 100.0),
            thousands(answer.engines.rev_limit_rpm),
            decimal(over.above / KILOMETRE_PER_HOUR, 0)
        ));
    }
    for (venue, suited) in answer.venues().zip(page.suited) {
        let rated = suited.first().and_then(|one| one.cautions.beyond_tyre);
        if let Some(rated) = rated {
            out.push(format!(
                "At {} the car is faster than the {} km/h that its tyre is rated for.",
                venue.name(),
                decimal(rated / KILOMETRE_PER_HOUR, 0)
            ));
        }
    }
    out.extend([
        "Another final drive or gear set: look at propshaft speed, at the tyre's speed symbol and load (of \
         competition tyres: with their maker) and at the speedometer on road sections. More speed needs \
         brakes, cooling and belts to match."
            .to_owned(),
        "What engine, clutch and flywheel stand is their makers' to say. On the dyno: straps, guards, nobody \
         in line with what turns, exhaust led out, ears covered, extinguisher at hand; stop on oil pressure, \
         mixture or knock; never rev beyond the builder's limit to fill in a curve."
            .to_owned(),
        "The car is a point mass on one line, quasi-steady. Trust differences before absolute times; no time \
         is promised. Class, noise and homologation: the event's regulations and its scrutineers decide."
            .to_owned(),
    ]);
    out
}
