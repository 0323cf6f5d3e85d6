//! Charts of a test day: two curves with their bands and crossover, their difference underneath on
//! the same engine speeds.

use plotters::coord::Shift;
use plotters::coord::types::RangedCoordf64;
use plotters::prelude::*;

use super::Sheet;
use super::words;
use crate::dyno::{CONFIDENCE, Comparison, Stretch};
use crate::report::chart::{Chart, INK, described, faint, ink, px, slug, stroke};
use crate::report::format::{rpm, signed};

/// Narrow enough that letters can still be read on a phone.
const SIZE: (u32, u32) = (720, 640);
const UPPER: u32 = 400;
/// Longest name of a spec, letters, and longest title in large letters.
const NAME: usize = 28;
const TITLE: usize = 76;
/// Step of the drawn curves, rpm.
const STEP_RPM: f64 = 25.0;

type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;
type Plane<'a, 'b> = ChartContext<'a, SVGBackend<'b>, Cartesian2d<RangedCoordf64, RangedCoordf64>>;
type Drawn = Result<(), Box<dyn std::error::Error>>;

/// One chart for every comparison.
pub fn charts(sheet: &Sheet) -> Vec<Chart> {
    sheet
        .comparisons
        .iter()
        .filter_map(|comparison| chart(sheet, comparison).ok())
        .collect()
}

fn chart(sheet: &Sheet, c: &Comparison) -> Result<Chart, Box<dyn std::error::Error>> {
    let (a, b) = (sheet.name_of(c.first), sheet.name_of(c.second));
    let title = words::headline(sheet, c);
    let names = [short(a), short(b)];
    let drawn = words::headline_of(sheet, c, [&names[0], &names[1]]);
    let mut svg = String::new();
    {
        let root = SVGBackend::with_string(&mut svg, (px(SIZE.0), px(SIZE.1))).into_drawing_area();
        root.fill(&WHITE)?;
        let (upper, lower) = root.split_vertically(px(UPPER));
        curves(sheet, c, &upper, &drawn)?;
        difference(sheet, c, &lower, &names)?;
        root.present()?;
    }
    let percent = 100.0 * CONFIDENCE;
    let desc = format!(
        "Corrected torque of {a} and {b} against engine speed with {percent:.0} % bands; below, {a} \
         less {b} with its band. {}",
        words::crossing(sheet, c)
    );
    Ok(Chart {
        file: format!("{}-less-{}.svg", slug(a), slug(b)),
        svg: described(&svg, SIZE, &title, &desc),
    })
}

/// A name that a chart has room for.
fn short(name: &str) -> String {
    match name.char_indices().nth(NAME) {
        Some((end, _)) => {
            let cut = name[..end].rfind(' ').filter(|&at| at > end / 2);
            format!("{}…", &name[..cut.unwrap_or(end)])
        }
        None => name.to_owned(),
    }
}

/// Engine speeds of a stretch, ends included.
fn speeds(range: &Stretch) -> Vec<f64> {
    let steps = ((range.to_rpm - range.from_rpm) / STEP_RPM).ceil().max(1.0) as usize;
    let at = |k: usize| range.from_rpm + (range.to_rpm - range.from_rpm) * k as f64 / steps as f64;
    (0..=steps).map(at).collect()
}

/// Shades the stretches in which nobody surely leads.
fn shade(plane: &mut Plane, c: &Comparison, low: f64, high: f64) -> Drawn {
    plane.draw_series(c.unresolved.iter().map(|s| {
        Rectangle::new(
            [(s.from_rpm, low), (s.to_rpm, high)],
            INK.mix(0.07).filled(),
        )
    }))?;
    Ok(())
}

fn curves(sheet: &Sheet, c: &Comparison, area: &Area, title: &str) -> Drawn {
    let specs = [c.second, c.first];
    let ends = specs.map(|spec| {
        let curve = &sheet.reduced.specs[spec].curve;
        (curve.first_rpm(), curve.last_rpm())
    });
    let (from, to) = (ends[0].0.min(ends[1].0), ends[0].1.max(ends[1].1));
    let (mut low, mut high) = (f64::INFINITY, 0.0f64);
    let mut bands = Vec::new();
    for (&spec, (from_rpm, to_rpm)) in specs.iter().zip(ends) {
        let band: Vec<_> = speeds(&Stretch { from_rpm, to_rpm })
            .into_iter()
            .map(|n| (n, sheet.reduced.torque(spec, n)))
            .collect();
        for (_, torque) in &band {
            (low, high) = (low.min(torque.low), high.max(torque.high));
        }
        bands.push((spec, band));
    }
    let room = 0.08 * (high - low);
    let mut plane = ChartBuilder::on(area)
        .caption(title, ("sans-serif", px(letters_of(title)), &INK))
        .margin(px(12))
        .margin_right(px(24))
        .set_label_area_size(LabelAreaPosition::Left, px(58))
        .build_cartesian_2d(from..to, low - room..high + room)?;
    mesh(&mut plane, "corrected torque, N·m", None)?;
    shade(&mut plane, c, low - room, high + room)?;
    for (spec, band) in &bands {
        let edge = band.iter().map(|(n, t)| (*n, t.high));
        let back = band.iter().rev().map(|(n, t)| (*n, t.low));
        let outline: Vec<(f64, f64)> = edge.chain(back).collect();
        plane.draw_series([Polygon::new(outline, faint(*spec))])?;
    }
    for (spec, band) in &bands {
        let line = band.iter().map(|(n, t)| (*n, t.value)).collect();
        stroke(&mut plane, line, *spec)?;
    }
    labels(sheet, &mut plane, &specs, high + room, to - from)?;
    for one in &c.crossovers {
        let marks = one.at_rpm.iter().map(|&n| {
            let at = (n, sheet.reduced.specs[c.first].curve.torque(n));
            EmptyElement::at(at)
                + Circle::new((0, 0), px(4), INK.stroke_width(px(2)))
                + Text::new(rpm(n), (px(8) as i32, px(10) as i32), letters(14, INK))
        });
        plane.draw_series(marks)?;
    }
    Ok(())
}

/// Size of a title that keeps it within the chart, pixels.
fn letters_of(title: &str) -> u32 {
    if title.chars().count() <= TITLE {
        17
    } else {
        13
    }
}

/// The specs' names with a piece of their line, at the top left.
fn labels(sheet: &Sheet, plane: &mut Plane, specs: &[usize], top: f64, width: f64) -> Drawn {
    let from = plane.as_coord_spec().get_x_range().start;
    let height = {
        let range = plane.as_coord_spec().get_y_range();
        range.end - range.start
    };
    for (k, &spec) in specs.iter().enumerate() {
        let y = top - (0.07 + 0.075 * k as f64) * height;
        let (start, end) = (from + 0.02 * width, from + 0.09 * width);
        stroke(plane, vec![(start, y), (end, y)], spec)?;
        let name = Text::new(
            short(sheet.name_of(spec)),
            (from + 0.10 * width, y + 0.02 * height),
            letters(15, ink(spec)),
        );
        plane.draw_series([name])?;
    }
    Ok(())
}

fn difference(sheet: &Sheet, c: &Comparison, area: &Area, names: &[String; 2]) -> Drawn {
    let (a, b) = (
        &sheet.reduced.specs[c.first].curve,
        &sheet.reduced.specs[c.second].curve,
    );
    let (from, to) = (
        a.first_rpm().min(b.first_rpm()),
        a.last_rpm().max(b.last_rpm()),
    );
    let points: Vec<(f64, f64, f64)> = speeds(&c.range)
        .into_iter()
        .map(|n| {
            let (x, y) = (a.torque(n), b.torque(n));
            (n, x - y, c.half_width * 0.5 * (x + y))
        })
        .collect();
    let most = points
        .iter()
        .map(|(_, d, h)| d.abs() + h)
        .fold(0.0, f64::max);
    let mut plane = ChartBuilder::on(area)
        .margin(px(12))
        .margin_right(px(24))
        .margin_top(px(4))
        .set_label_area_size(LabelAreaPosition::Left, px(58))
        .set_label_area_size(LabelAreaPosition::Bottom, px(40))
        .build_cartesian_2d(from..to, -1.1 * most..1.1 * most)?;
    mesh(&mut plane, "difference, N·m", Some("engine speed, rpm"))?;
    shade(&mut plane, c, -1.1 * most, 1.1 * most)?;
    let edge = points.iter().map(|(n, d, h)| (*n, d + h));
    let back = points.iter().rev().map(|(n, d, h)| (*n, d - h));
    let outline: Vec<(f64, f64)> = edge.chain(back).collect();
    plane.draw_series([Polygon::new(outline, faint(c.first))])?;
    plane.draw_series(LineSeries::new(
        [(from, 0.0), (to, 0.0)],
        INK.stroke_width(px(1)),
    ))?;
    let line = points.iter().map(|(n, d, _)| (*n, *d)).collect();
    stroke(&mut plane, line, c.first)?;
    let note = format!("{} less {}; grey: nobody surely leads", names[0], names[1]);
    let place = (from + 0.02 * (to - from), 1.0 * most);
    plane.draw_series([Text::new(note, place, letters(14, INK))])?;
    Ok(())
}

fn letters(size: u32, colour: RGBColor) -> TextStyle<'static> {
    ("sans-serif", px(size)).into_font().color(&colour)
}

/// Axes with units and a quiet grid.
fn mesh(plane: &mut Plane, y: &str, x: Option<&str>) -> Drawn {
    let signed_values = plane.as_coord_spec().get_y_range().start < 0.0;
    let label = move |value: &f64| match signed_values {
        true => signed(*value, 0),
        false => format!("{value:.0}"),
    };
    let speed = |value: &f64| crate::report::format::thousands(*value);
    let mut mesh = plane.configure_mesh();
    mesh.light_line_style(TRANSPARENT)
        .bold_line_style(INK.mix(0.12).stroke_width(px(1)))
        .axis_style(INK.mix(0.6).stroke_width(px(1)))
        .label_style(("sans-serif", px(13), &INK))
        .axis_desc_style(("sans-serif", px(14), &INK))
        .y_desc(y)
        .y_labels(7)
        .y_label_formatter(&label)
        .x_label_formatter(&speed)
        .x_labels(11)
        .set_all_tick_mark_size(px(5));
    if let Some(x) = x {
        mesh.x_desc(x);
    }
    mesh.draw()?;
    Ok(())
}
