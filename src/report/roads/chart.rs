//! The map of kinds of road as a chart: who is quicker by how much on each road that was driven, the
//! line along which the lead changes hands, the venues of the study.

use super::{Answer, cell, first, guessed};
use crate::report::chart::{
    Axis, Canvas, Chart, FAINT, GRID, INK, LETTERS, Plane, Sample, Size, alone, cut, ink, isolated,
    key, slug, width,
};
use crate::report::format::decimal;
use crate::report::svg::Anchor;
use crate::study::flip::{SPEEDS, STRAIGHTS, Spot};
use crate::units::KILOMETRE_PER_HOUR;

const HEIGHT: f64 = 520.0;
const LEFT: f64 = 46.0;
/// Room beyond the outermost roads, as a factor of speed and straight.
const MARGIN: f64 = 1.25;
/// Two figures are the same road's.
const SAME: f64 = 1e-6;
/// Widest name of a venue, px.
const NAME: f64 = 150.0;

/// The map alone, as it goes into a file.
pub fn chart(answer: &Answer) -> Chart {
    let map = answer.map;
    let names = [true, false].map(|one| isolated(answer.name(one)));
    let mut canvas = Canvas::new("roads", Size::Desk, HEIGHT, 0);
    let looks = [look(answer, true), look(answer, false)];
    let all: Vec<(usize, String)> = looks.into_iter().zip(names.clone()).collect();
    let top = 22.0 + key(&mut canvas, (LEFT, 18.0), Sample::Mark, &all);
    let ends = |list: &[f64]| (log(list[0] / MARGIN), log(list[list.len() - 1] * MARGIN));
    let plane = Plane {
        x: Axis::new(ends(&STRAIGHTS), (LEFT, canvas.width - 12.0)),
        y: Axis::new(ends(&SPEEDS), (HEIGHT - 46.0, top)),
    };
    grid(&mut canvas, &plane);
    for spot in &map.spots {
        figure(answer, &mut canvas, &plane, spot);
    }
    for [a, b] in pieces(&map.line) {
        let (width, dashes) = match a.not_measured || b.not_measured {
            true => (1.2, "2 6"),
            false => (2.6, ""),
        };
        canvas.path(&[at(&plane, &a), at(&plane, &b)], INK, width, dashes);
    }
    if guessed(answer).is_some() {
        let corner = (plane.x.pixels.1, plane.y.pixels.1 - 8.0);
        canvas.note(corner, "? not measured in both specs", Anchor::End);
    }
    venues(answer, &mut canvas, &plane);
    let about = format!(
        "Seconds per km by which {} is quicker (+) or slower (−) than {}, by typical straight and corner \
         speed. {}",
        names[0],
        names[1],
        [Some(first(answer)), guessed(answer)]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join(" ")
    );
    let title = format!(
        "{}: seconds per km to {} (+) or {} (−) by kind of road; the lead changes hands along the line",
        place(answer),
        names[0],
        names[1]
    );
    let files = [true, false].map(|one| slug(answer.name(one)));
    Chart {
        file: format!("roads-{}-or-{}.svg", files[0], files[1]),
        svg: alone(&canvas.finish(&title, &about), &title),
    }
}

/// `Level tarmac, circuit trim`.
fn place(answer: &Answer) -> String {
    let trim = &answer.study.car.trims[answer.map.trim].name;
    format!("Level {}, {trim} trim", answer.map.surface)
}

fn look(answer: &Answer, first: bool) -> usize {
    let (a, b) = answer.map.specs;
    answer.study.compared[if first { a } else { b }]
}

fn log(value: f64) -> f64 {
    value.ln()
}

fn at(plane: &Plane, spot: &Spot) -> (f64, f64) {
    let speed = spot.corner_speed / KILOMETRE_PER_HOUR;
    (
        plane.x.within(log(spot.straight)),
        plane.y.within(log(speed)),
    )
}

/// A line for every straight and every corner speed that was driven, with its figure.
fn grid(canvas: &mut Canvas, plane: &Plane) {
    let ((left, right), (bottom, top)) = (plane.x.pixels, plane.y.pixels);
    for speed in SPEEDS {
        let y = plane.y.at(log(speed));
        canvas.rule((left, y), (right, y), GRID, 1.0);
        canvas.note((left - 6.0, y + 4.0), &decimal(speed, 0), Anchor::End);
    }
    for straight in STRAIGHTS {
        let x = plane.x.at(log(straight));
        canvas.rule((x, bottom), (x, top), GRID, 1.0);
        canvas.note((x, bottom + 16.0), &decimal(straight, 0), Anchor::Middle);
    }
    canvas.rule((left, bottom), (right, bottom), FAINT, 1.0);
    canvas.note((2.0, top - 8.0), "typical corner, km/h", Anchor::Start);
    let middle = 0.5 * (left + right);
    canvas.note(
        (middle, bottom + 34.0),
        "typical straight, m",
        Anchor::Middle,
    );
}

/// The gap on a road, in the colour of who is quicker; `=` where nobody can use it, behind `?` where it was not
/// measured.
fn figure(answer: &Answer, canvas: &mut Canvas, plane: &Plane, spot: &Spot) {
    let (x, y) = at(plane, spot);
    let text = cell(spot, answer.map.useful);
    let colour = match spot.gap.filter(|gap| gap.abs() >= answer.map.useful) {
        Some(gap) if !spot.not_measured => ink(look(answer, gap > 0.0)),
        _ => FAINT,
    };
    let half = 0.5 * width(&text, LETTERS);
    canvas.ground((x - half, y - 8.0), (2.0 * half, 16.0), "#ffffff");
    canvas.letters((x, y + 4.0), &text, Anchor::Middle, LETTERS, colour);
}

/// The pieces of the line: between four neighbouring roads it goes from one crossing to the next. Where
/// it crosses all four sides the nearer ones belong together.
fn pieces(line: &[Spot]) -> Vec<[Spot; 2]> {
    let same = |a: f64, b: f64| (a / b - 1.0).abs() < SAME;
    let mut pieces = Vec::new();
    for speeds in SPEEDS.windows(2) {
        for straights in STRAIGHTS.windows(2) {
            let side = |spot: &&Spot| {
                let speed = spot.corner_speed / KILOMETRE_PER_HOUR;
                let within = |list: &[f64], value: f64| {
                    (list[0] * (1.0 - SAME)..=list[1] * (1.0 + SAME)).contains(&value)
                };
                let on_row = speeds.iter().any(|s| same(speed, *s));
                let on_column = straights.iter().any(|s| same(spot.straight, *s));
                (on_row && within(straights, spot.straight)) || (on_column && within(speeds, speed))
            };
            let mut found: Vec<Spot> = line.iter().filter(side).copied().collect();
            found.sort_by(|a, b| a.straight.total_cmp(&b.straight));
            let pairs = found.chunks_exact(2).map(|pair| [pair[0], pair[1]]);
            pieces.extend(pairs);
        }
    }
    pieces
}

/// The venues of the study with the mark of who is quicker on their own road, named where there is
/// room.
fn venues(answer: &Answer, canvas: &mut Canvas, plane: &Plane) {
    let mut taken: Vec<(f64, f64, f64)> = Vec::new();
    for placed in &answer.map.venues {
        let (x, y) = at(plane, &placed.spot);
        match placed.driven {
            Some(gap) if gap.abs() >= answer.map.useful && !placed.not_measured => {
                canvas.dot((x, y), 8.5, "#ffffff", INK);
                canvas.mark((x, y), look(answer, gap > 0.0));
            }
            _ => canvas.dot((x, y), 6.0, "#ffffff", INK),
        }
        let name = &answer.study.entries[placed.entry].name;
        let name = cut(&isolated(name), LETTERS, NAME);
        let wide = width(&name, LETTERS);
        let right = x + 12.0 + wide < plane.x.pixels.1;
        let from = if right { x + 12.0 } else { x - 12.0 - wide };
        // Down, line by line, until no other name is met.
        let meets = |line: f64, taken: &[(f64, f64, f64)]| {
            taken
                .iter()
                .any(|&(a, b, other)| from < b && a < from + wide && (line - other).abs() < 15.0)
        };
        let mut line = y + 16.0;
        while meets(line, &taken) && line < plane.y.pixels.0 - 20.0 {
            line += 15.0;
        }
        canvas.ground((from, line - 13.0), (wide, 18.0), "#ffffff");
        canvas.letters((from, line), &name, Anchor::Start, LETTERS, INK);
        taken.push((from, from + wide, line));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(speed: f64, straight: f64) -> Spot {
        Spot {
            corner_speed: speed * KILOMETRE_PER_HOUR,
            straight,
            gap: Some(0.0),
            not_measured: false,
        }
    }

    #[test]
    fn the_line_is_joined_from_road_to_road() {
        let [low, high] = [SPEEDS[2], SPEEDS[3]];
        let [short, long] = [STRAIGHTS[4], STRAIGHTS[5]];
        let middle = 0.5 * (short + long);
        // Through one square from its lower to its upper side, and on to its right-hand neighbour.
        let line = [
            spot(low, middle),
            spot(high, middle),
            spot(0.5 * (SPEEDS[3] + SPEEDS[4]), long),
        ];
        let pieces = pieces(&line);
        assert_eq!(pieces.len(), 2, "{pieces:?}");
        assert_eq!(pieces[0], [line[0], line[1]]);
        assert_eq!(pieces[1], [line[1], line[2]]);
        assert!(super::pieces(&line[..1]).is_empty());
    }
}
