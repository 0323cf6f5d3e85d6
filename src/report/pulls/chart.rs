//! Charts of a test day: two curves with their bands and crossover, their difference underneath on
//! the same engine speeds.

use super::Sheet;
use super::words;
use crate::dyno::{CONFIDENCE, Comparison, CrossoverInterval};
use crate::report::chart::{
    Axis, Canvas, Chart, INK, LETTERS, Plane, Sample, Size, alone, cut, key, slug,
};
use crate::report::format::{decimal, signed, thousands};
use crate::report::svg::Anchor;
use crate::report::torque::{self, Line, OPEN, speeds};

/// Room for a spec's name in a title, px.
const NAME: f64 = 190.0;
const LEFT: f64 = 52.0;
const CURVES: f64 = 300.0;
const DIFFERENCE: f64 = 170.0;

/// One chart for every comparison.
pub fn charts(sheet: &Sheet) -> Vec<Chart> {
    let comparisons = sheet.comparisons.iter();
    comparisons
        .map(|comparison| chart(sheet, comparison))
        .collect()
}

fn chart(sheet: &Sheet, c: &Comparison) -> Chart {
    let (a, b) = (sheet.name_of(c.first), sheet.name_of(c.second));
    let title = words::headline(sheet, c);
    let names = [a, b].map(|name| cut(name, LETTERS, NAME));
    let drawn = words::headline_of(sheet, c, [&names[0], &names[1]]);
    let percent = decimal(100.0 * CONFIDENCE, 0);
    let about = format!(
        "Corrected torque of {a} and {b} against engine speed with {percent} % bands; below, {a} \
         less {b} with its band. {}",
        words::crossing(sheet, c)
    );
    let lines = [c.second, c.first].map(|spec| line(sheet, spec));
    let ends = lines.iter().flat_map(|line| &line.points).map(|(n, _)| *n);
    let from = ends.clone().fold(f64::INFINITY, f64::min);
    let to = ends.fold(0.0, f64::max);
    let file = format!("{}-less-{}", slug(a), slug(b));
    let specs = sheet.reduced.specs.len();
    let mut canvas = Canvas::new("pulls", Size::Desk, 590.0, specs);
    let names: Vec<(usize, String)> = lines.iter().map(|l| (l.look, l.name.clone())).collect();
    let key = key(&mut canvas, (LEFT, 16.0), Sample::Line, &names);
    let x = Axis::new((from, to), (LEFT, canvas.width - 18.0));
    let top = key + 30.0;
    let plane = Plane {
        x,
        y: Axis::new(torque::bounds(&lines), (top + CURVES - key, top)),
    };
    shade(&mut canvas, &plane, c);
    plane.columns(&mut canvas, 10);
    plane.rows(&mut canvas, "corrected torque, N·m", 7, |v| decimal(v, 0));
    let curve = &sheet.reduced.specs[c.first].curve;
    let crossings: Vec<(f64, f64)> = c
        .crossovers
        .iter()
        .filter_map(CrossoverInterval::told)
        .map(|one| (one.rpm, curve.torque(one.rpm)))
        .collect();
    torque::draw(&mut canvas, &plane, &lines, &crossings);
    difference(sheet, c, &mut canvas, x, plane.y.pixels.0 + 34.0);
    Chart {
        file: format!("{file}.svg"),
        svg: alone(&canvas.finish(&title, &about), &drawn),
    }
}

fn line(sheet: &Sheet, spec: usize) -> Line {
    let curve = &sheet.reduced.specs[spec].curve;
    let at = |n: f64| {
        let t = sheet.reduced.torque(spec, n);
        (n, [t.value, t.low, t.high])
    };
    Line {
        look: spec,
        name: sheet.name_of(spec).to_owned(),
        points: speeds(curve.first_rpm(), curve.last_rpm())
            .into_iter()
            .map(at)
            .collect(),
    }
}

/// Shades the stretches in which nobody surely leads.
fn shade(canvas: &mut Canvas, plane: &Plane, c: &Comparison) {
    let (bottom, top) = plane.y.pixels;
    for stretch in &c.unresolved {
        let (from, to) = (
            plane.x.within(stretch.from_rpm),
            plane.x.within(stretch.to_rpm),
        );
        canvas.ground((from, top), (to - from, bottom - top), OPEN);
    }
}

fn difference(sheet: &Sheet, c: &Comparison, canvas: &mut Canvas, x: Axis, top: f64) {
    let (one, other) = (
        &sheet.reduced.specs[c.first].curve,
        &sheet.reduced.specs[c.second].curve,
    );
    let points: Vec<(f64, f64, f64)> = speeds(c.range.from_rpm, c.range.to_rpm)
        .into_iter()
        .map(|n| {
            let (x, y) = (one.torque(n), other.torque(n));
            (n, x - y, c.half_width_at(n) * 0.5 * (x + y))
        })
        .collect();
    let most = points
        .iter()
        .map(|(_, d, h)| d.abs() + h)
        .fold(0.1, f64::max);
    let plane = Plane {
        x,
        y: Axis::new((-1.08 * most, 1.08 * most), (top + DIFFERENCE, top)),
    };
    shade(canvas, &plane, c);
    plane.columns(canvas, 10);
    plane.rows(canvas, "difference, N·m", 6, |v| signed(v, 0));
    plane.zero(canvas);
    let edge = points.iter().map(|(n, d, h)| (*n, d + h));
    let back = points.iter().rev().map(|(n, d, h)| (*n, d - h));
    canvas.pale(&plane.all(edge.chain(back)), c.first);
    canvas.curve(&plane.all(points.iter().map(|(n, d, _)| (*n, *d))), c.first);
    let [a, b] = [c.first, c.second].map(|spec| cut(sheet.name_of(spec), LETTERS, NAME));
    let note = format!("{a} less {b}; grey: nobody surely leads");
    canvas.letters((LEFT + 8.0, top + 16.0), &note, Anchor::Start, 12.0, INK);
    plane.foot(canvas, "engine speed, rpm", 10, thousands);
}
