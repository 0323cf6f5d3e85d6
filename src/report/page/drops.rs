//! What a change up does to the engine speed: a bar a gear from where the engine lands to where it is
//! left, with the crossing across.

use super::looks::looks;
use crate::report::chart::{Axis, Canvas, Figure, INK, LETTERS, Plane, Size, Table, cut, width};
use crate::report::format::{gear, rpm, thousands};
use crate::report::rank::Answer;
use crate::report::setup;
use crate::report::svg::Anchor;
use crate::study::Setup;
use crate::study::drops::Drop;

/// The chart; nothing for a single gear.
pub fn figure(answer: &Answer, sets: &[(Setup, Vec<Drop>)]) -> Option<Figure> {
    if sets.iter().all(|(_, drops)| drops.is_empty()) {
        return None;
    }
    let car = &answer.study.car;
    let named: Vec<(String, &[Drop])> = sets
        .iter()
        .map(|(setup, drops)| {
            let fitted = if *setup == Setup::FITTED {
                " (fitted)"
            } else {
                ""
            };
            (
                format!("{}{fitted}", setup::gear_set(car, *setup)),
                &drops[..],
            )
        })
        .collect();
    let crossing = match answer.engines.list.len() {
        2 => answer.engines.crossings(0, 1).first().map(|c| c.rpm),
        _ => None,
    };
    let mut table = Table::new(["gear set", "change", "from rpm", "to rpm"]);
    for (set, drops) in &named {
        for drop in *drops {
            table.row(vec![
                set.clone(),
                format!("{} to {}", gear(drop.from), gear(drop.from + 1)),
                round(drop.at_rpm),
                round(drop.to_rpm),
            ]);
        }
    }
    let title = title(&named, crossing);
    Some(Figure::new("drops", title, table, |size| {
        (draw(answer, &named, crossing, size), None)
    }))
}

fn round(value: f64) -> String {
    thousands((value / 10.0).round() * 10.0)
}

fn title(sets: &[(String, &[Drop])], crossing: Option<f64>) -> String {
    let Some(crossing) = crossing else {
        return "Where a change up drops the engine to".to_owned();
    };
    let parts: Vec<String> = sets
        .iter()
        .map(|(set, drops)| {
            let below = drops.iter().filter(|drop| drop.to_rpm < crossing).count();
            match below {
                0 => format!("with {set} no change drops the engine below it"),
                n if n == drops.len() => format!("with {set} every change does"),
                n => format!("with {set} {n} of {} changes do", drops.len()),
            }
        })
        .collect();
    format!(
        "Dropping below the crossing at {}: {}",
        rpm(crossing),
        parts.join("; ")
    )
}

fn draw(answer: &Answer, sets: &[(String, &[Drop])], crossing: Option<f64>, size: Size) -> String {
    let step = 24.0;
    let rows: usize = sets.iter().map(|(_, drops)| drops.len()).sum();
    let height = 34.0 + step * rows as f64 + 26.0 * sets.len() as f64 + 46.0;
    let mut canvas = Canvas::new("drops", size, height, looks(answer));
    let all = || sets.iter().flat_map(|(_, drops)| drops.iter());
    let low = all()
        .map(|d| d.to_rpm)
        .chain(crossing)
        .fold(f64::INFINITY, f64::min);
    let high = all().map(|d| d.at_rpm).fold(0.0, f64::max);
    let plane = Plane {
        x: Axis::new(
            (low - 500.0, high + 200.0),
            (size.pick(84.0, 110.0), canvas.width - 14.0),
        ),
        y: Axis::new((0.0, 1.0), (height - 44.0, 26.0)),
    };
    plane.columns(&mut canvas, size.pick(4, 9));
    if let Some(crossing) = crossing {
        let x = plane.x.at(crossing);
        canvas.path(&[(x, 24.0), (x, height - 44.0)], INK, 1.4, "5 3");
        let text = format!("curves cross at {}", rpm(crossing));
        let half = 0.5 * width(&text, LETTERS);
        let middle = x.clamp(half + 4.0, canvas.width - half - 4.0);
        canvas.text((middle, 16.0), &text, Anchor::Middle);
    }
    let mut y = 34.0;
    for (set, drops) in sets {
        canvas.text(
            (12.0, y + 14.0),
            &cut(set, LETTERS, canvas.width - 24.0),
            Anchor::Start,
        );
        y += 26.0;
        for drop in *drops {
            let (from, to) = (plane.x.at(drop.to_rpm), plane.x.at(drop.at_rpm));
            let label = format!("{} to {}", gear(drop.from), gear(drop.from + 1));
            canvas.note((12.0, y + 10.0), &label, Anchor::Start);
            canvas.ground((from, y), (to - from, 13.0), "#c9c9c9");
            canvas.rule((from, y - 2.0), (from, y + 15.0), INK, 2.0);
            canvas.letters(
                (from + 5.0, y + 10.5),
                &round(drop.to_rpm),
                Anchor::Start,
                11.0,
                INK,
            );
            y += step;
        }
    }
    plane.foot(
        &mut canvas,
        "engine speed, rpm: after the change and before",
        size.pick(4, 9),
        thousands,
    );
    let about = "A bar a change up: from the engine speed in the next gear to the one at which the gear is left.";
    canvas.finish("What a change up does to the engine speed", about)
}
