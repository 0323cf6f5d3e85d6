//! The plan of a venue, its road drawn in the manner of the spec that gains there.

use super::looks::{look, looks, name};
use super::strip::{LEAST, place, told};
use crate::explain::Run;
use crate::report::chart::{Canvas, FAINT, Figure, INK, LETTERS, Size, Table, cut, ink, width};
use crate::report::format::{decimal, signed};
use crate::report::rank::{Answer, Venue};
use crate::report::svg::{Anchor, round_length};
use crate::report::venue::plan::spots;
use crate::study::runs::Strip;
use crate::venue::plan::Spot;

/// Gain per 100 m that is drawn as wide as can be, s.
const STRONG: f64 = 0.05;

/// The chart; nothing where no shape is known.
pub fn figure(answer: &Answer, venue: &Venue, id: &str, strip: &Strip) -> Option<Figure> {
    let spots = spots(&venue.entry.course);
    let turned = spots.iter().any(|spot| spot.heading.abs() > 0.5);
    if spots.len() < 2 || !turned {
        return None;
    }
    let names = strip.specs.map(|spec| name(answer, spec));
    let mut table = Table::new([
        "mark".to_owned(),
        "run".to_owned(),
        format!("{} gains, s", names[0]),
    ]);
    for (number, &index) in told(strip).iter().enumerate() {
        let run = &strip.runs[index];
        table.row(vec![
            (number + 1).to_string(),
            place(run),
            signed(run.gain(), 2),
        ]);
    }
    let title = match told(strip).first().map(|&i| &strip.runs[i]) {
        Some(run) => {
            let who = &names[usize::from(run.gain() < 0.0)];
            format!(
                "Where on the road: {who} gains most {} ({} s)",
                place(run),
                decimal(run.gain().abs(), 2)
            )
        }
        None => "Where on the road: no run makes a difference worth naming".to_owned(),
    };
    let id = format!("{id}-plan");
    Some(Figure::new(&id, title, table, |size| {
        (draw(answer, &id, &spots, strip, size), None)
    }))
}

/// From metres to pixels.
struct Map {
    scale: f64,
    west: f64,
    north: f64,
    left: f64,
    top: f64,
    height: f64,
}

impl Map {
    fn fit(spots: &[Spot], size: Size, top: f64) -> Self {
        let ends = |of: fn(&Spot) -> f64| {
            let values = spots.iter().map(of);
            values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
                (a.min(v), b.max(v))
            })
        };
        let ((west, east), (south, north)) = (ends(|s| s.x), ends(|s| s.y));
        let margin = 26.0;
        let room = (size.width() - 2.0 * margin, size.pick(330.0, 460.0));
        let scale = (room.0 / (east - west).max(1.0)).min(room.1 / (north - south).max(1.0));
        Self {
            scale,
            west,
            north,
            left: margin + 0.5 * (room.0 - scale * (east - west)),
            top: top + margin,
            height: scale * (north - south) + 2.0 * margin,
        }
    }

    fn at(&self, spot: &Spot) -> (f64, f64) {
        (
            self.left + self.scale * (spot.x - self.west),
            self.top + self.scale * (self.north - spot.y),
        )
    }
}

fn draw(answer: &Answer, id: &str, spots: &[Spot], strip: &Strip, size: Size) -> String {
    let key_height = 44.0;
    let map = Map::fit(spots, size, key_height);
    let mut canvas = Canvas::new(id, size, key_height + map.height + 26.0, looks(answer));
    key(&mut canvas, answer, strip);
    let drawn = spots.last().map_or(1.0, |spot| spot.distance).max(1.0);
    let driven: f64 = strip
        .runs
        .iter()
        .map(|run| run.length)
        .sum::<f64>()
        .max(1.0);
    let on_plan = |metres: f64| metres % driven * drawn / driven;
    let points = thinned(spots.iter().map(|spot| map.at(spot)));
    canvas.path(&points, "#b4b4b4", 2.0, "");
    for run in &strip.runs {
        if run.gain().abs() < LEAST {
            continue;
        }
        let (from, length) = (on_plan(run.from), run.length * drawn / driven);
        for (a, b) in [(from, from + length), (from - drawn, from + length - drawn)] {
            stretch(&mut canvas, answer, strip, run, &along(spots, &map, a, b));
        }
    }
    marks(&mut canvas, &map, spots, strip, on_plan);
    ends(&mut canvas, &points);
    bar_of_length(&mut canvas, &map);
    let about = "The road from above. Whole lines: the first spec gains; hollow lines: the second; the wider \
                 the more; thin grey: no difference worth naming.";
    canvas.finish("Plan by who gains", about)
}

/// The points of the road from one distance to another.
fn along(spots: &[Spot], map: &Map, from: f64, to: f64) -> Vec<(f64, f64)> {
    let inside = spots
        .iter()
        .filter(|spot| from <= spot.distance && spot.distance <= to);
    thinned(inside.map(|spot| map.at(spot)))
}

/// Points at least a pixel and a half apart, with both ends.
fn thinned(points: impl Iterator<Item = (f64, f64)>) -> Vec<(f64, f64)> {
    let mut kept: Vec<(f64, f64)> = Vec::new();
    let mut last = None;
    for point in points {
        let near = |(x, y): &(f64, f64)| (x - point.0).hypot(y - point.1) < 1.5;
        last = Some(point).filter(|_| kept.last().is_some_and(near));
        if last.is_none() {
            kept.push(point);
        }
    }
    kept.extend(last);
    kept
}

fn stretch(canvas: &mut Canvas, answer: &Answer, strip: &Strip, run: &Run, points: &[(f64, f64)]) {
    if points.len() < 2 {
        return;
    }
    let spec = strip.specs[usize::from(run.gain() < 0.0)];
    let strength = (100.0 * run.gain().abs() / run.length / STRONG).min(1.0);
    let wide = 4.0 + 6.0 * strength;
    let look = look(answer, spec);
    canvas.open_spec(look);
    canvas.path(points, ink(look), wide, "");
    if run.gain() < 0.0 {
        canvas.path(points, "#ffffff", wide - 3.2, "");
    }
    canvas.close();
}

/// What the lines mean.
fn key(canvas: &mut Canvas, answer: &Answer, strip: &Strip) {
    for (row, &spec) in strip.specs.iter().enumerate() {
        let y = 16.0 + 18.0 * row as f64;
        let look = look(answer, spec);
        let sample = [(12.0, y - 4.0), (42.0, y - 4.0)];
        canvas.path(&sample, ink(look), 7.0, "");
        if row == 1 {
            canvas.path(&sample, "#ffffff", 3.8, "");
        }
        let text = format!("{} gains", name(answer, spec));
        let text = cut(&text, LETTERS, canvas.width - 60.0);
        canvas.letters((52.0, y), &text, Anchor::Start, LETTERS, ink(look));
    }
}

/// Numbers beside the runs that are told.
fn marks(
    canvas: &mut Canvas,
    map: &Map,
    spots: &[Spot],
    strip: &Strip,
    on_plan: impl Fn(f64) -> f64,
) {
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for (number, &index) in told(strip).iter().enumerate() {
        let run = &strip.runs[index];
        let middle = on_plan(run.from + 0.5 * run.length);
        let i = spots
            .partition_point(|spot| spot.distance < middle)
            .min(spots.len() - 1);
        let spot = &spots[i];
        let (x, y) = map.at(spot);
        let (dx, dy) = (-spot.heading.sin(), -spot.heading.cos());
        let sides = [15.0, -15.0].map(|d| (x + d * dx, y + d * dy));
        let road = |at: (f64, f64)| {
            let near = spots.iter().map(|s| map.at(s));
            near.map(|(a, b)| (a - at.0).hypot(b - at.1))
                .fold(f64::INFINITY, f64::min)
        };
        let free = |at: &(f64, f64)| {
            taken
                .iter()
                .map(|(a, b)| (a - at.0).hypot(b - at.1))
                .fold(road(*at), f64::min)
        };
        let best = match free(&sides[0]) >= free(&sides[1]) {
            true => sides[0],
            false => sides[1],
        };
        taken.push(best);
        canvas.dot(best, 8.5, "#ffffff", INK);
        canvas.letters(
            (best.0, best.1 + 4.0),
            &(number + 1).to_string(),
            Anchor::Middle,
            11.0,
            INK,
        );
    }
}

fn ends(canvas: &mut Canvas, points: &[(f64, f64)]) {
    if let (Some(first), Some(last)) = (points.first(), points.last()) {
        if (first.0 - last.0).hypot(first.1 - last.1) > 12.0 {
            canvas.dot(*last, 4.5, "#ffffff", INK);
        }
        canvas.dot(*first, 4.5, INK, INK);
    }
}

/// A round length of the map, as a bar, and what the dots at the ends are.
fn bar_of_length(canvas: &mut Canvas, map: &Map) {
    let (length, text) = round_length(130.0 / map.scale);
    let y = canvas.height - 10.0;
    let end = 12.0 + length * map.scale;
    for (a, b) in [
        ((12.0, y - 4.0), (12.0, y)),
        ((12.0, y), (end, y)),
        ((end, y), (end, y - 4.0)),
    ] {
        canvas.rule(a, b, FAINT, 1.4);
    }
    canvas.note((end + 8.0, y + 2.0), &text, Anchor::Start);
    let dots = "● start  ○ finish";
    canvas.note(
        (canvas.width - 12.0 - width(dots, 11.0), y + 2.0),
        dots,
        Anchor::Start,
    );
}
