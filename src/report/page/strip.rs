//! The strip: a bar for every run from corner to corner, saying who gains there.

use super::looks::{look, looks, name};
use crate::explain::Run;
use crate::report::chart::{Axis, Canvas, Figure, INK, Plane, Sample, Size, Table, key};
use crate::report::format::{decimal, signed};
use crate::report::rank::Answer;
use crate::report::svg::Anchor;
use crate::study::runs::Strip;

/// Runs that are marked with a number and told in words at most.
pub const TOLD: usize = 5;
/// Seconds below which a run is not told.
pub const LEAST: f64 = 0.005;

/// The runs that matter most, the largest difference first, by their place in the strip.
pub fn told(strip: &Strip) -> Vec<usize> {
    let mut order: Vec<usize> = (0..strip.runs.len()).collect();
    order.sort_by(|&a, &b| {
        let size = |i: usize| strip.runs[i].gain().abs();
        size(b).total_cmp(&size(a)).then(a.cmp(&b))
    });
    order.retain(|&i| strip.runs[i].gain().abs() >= LEAST);
    order.truncate(TOLD);
    order
}

/// Where a run is, in words: `out of the quarry hairpin`, `off the line`.
pub fn place(run: &Run) -> String {
    match run.start {
        true => "off the line".to_owned(),
        false => format!("out of {}", crate::report::chart::isolated(&run.place)),
    }
}

/// The chart.
pub fn figure(answer: &Answer, id: &str, strip: &Strip) -> Figure {
    let first = name(answer, strip.specs[0]);
    let second = name(answer, strip.specs[1]);
    let mut table = Table::new([
        "from, km".to_owned(),
        "run".to_owned(),
        "length, m".to_owned(),
        format!("{first} gains, s"),
    ]);
    for run in &strip.runs {
        table.row_at(
            run.from / 1000.0,
            vec![
                decimal(run.from / 1000.0, 2),
                place(run),
                decimal(run.length, 0),
                signed(run.gain(), 2),
            ],
        );
    }
    let title = title(strip, &first, &second);
    Figure::new(&format!("{id}-runs"), title, table, |size| {
        let (svg, plane) = draw(answer, id, strip, size);
        (svg, Some(plane))
    })
}

fn title(strip: &Strip, first: &str, second: &str) -> String {
    let won = |sign: f64| -> f64 {
        let gains = strip.runs.iter().map(|run| sign * run.gain());
        gains.filter(|gain| *gain > 0.0).sum()
    };
    let count = |sign: f64| {
        let gains = strip.runs.iter().map(|run| sign * run.gain());
        gains.filter(|gain| *gain >= LEAST).count()
    };
    let all = strip.runs.len();
    let side = |name: &str, sign: f64| match count(sign) {
        0 => format!("{name} gains on none of {all} runs worth naming"),
        n => format!(
            "{name} gains on {n} of {all} runs, {} s in all",
            decimal(won(sign), 2)
        ),
    };
    let back = match count(-1.0) {
        0 => format!("{second} on none"),
        n => format!("{second} on {n}, {} s", decimal(won(-1.0), 2)),
    };
    format!("From corner to corner: {}; {back}", side(first, 1.0))
}

fn draw(answer: &Answer, id: &str, strip: &Strip, size: Size) -> (String, Plane) {
    let mut canvas = Canvas::new(
        &format!("{id}-runs"),
        size,
        size.pick(236.0, 250.0),
        looks(answer),
    );
    let names = strip
        .specs
        .map(|spec| (look(answer, spec), format!("{} gains", name(answer, spec))));
    let top = key(&mut canvas, (12.0, 16.0), Sample::Bar, &names) + 34.0;
    let most = strip
        .runs
        .iter()
        .map(|run| run.gain().abs())
        .fold(0.02, f64::max);
    let low = strip.runs.iter().map(Run::gain).fold(-0.3 * most, f64::min);
    let high = strip.runs.iter().map(Run::gain).fold(0.3 * most, f64::max);
    let length: f64 = strip.runs.iter().map(|run| run.length).sum::<f64>() / 1000.0;
    let plane = Plane {
        x: Axis::new((0.0, length.max(0.001)), (48.0, canvas.width - 10.0)),
        y: Axis::new((1.25 * low, 1.2 * high), (canvas.height - 42.0, top)),
    };
    let places = plane.y.places(5, 2);
    plane.rows(&mut canvas, "seconds won or lost", 5, |v| signed(v, places));
    for run in &strip.runs {
        let spec = strip.specs[usize::from(run.gain() < 0.0)];
        canvas.open_spec(look(answer, spec));
        for (from, to) in pieces(run, length) {
            let (x0, x1) = (plane.x.at(from), plane.x.at(to));
            let zero = plane.y.at(0.0);
            canvas.bar(
                (x0 + 0.6, zero),
                ((x1 - x0 - 1.2).max(0.8), plane.y.at(run.gain()) - zero),
                look(answer, spec),
            );
        }
        canvas.close();
    }
    plane.zero(&mut canvas);
    let mut taken: Vec<(f64, f64)> = Vec::new();
    for (number, &index) in told(strip).iter().enumerate() {
        let run = &strip.runs[index];
        let middle = run.from / 1000.0 + 0.0005 * run.length;
        let x = plane.x.at(if middle > length {
            middle - length
        } else {
            middle
        });
        let up = run.gain() >= 0.0;
        let y = plane.y.at(run.gain()) + if up { -5.0 } else { 14.0 };
        let near = |&(a, b): &(f64, f64)| (a - x).abs() < 11.0 && (b - y).abs() < 12.0;
        if !taken.iter().any(near) {
            taken.push((x, y));
            canvas.letters((x, y), &(number + 1).to_string(), Anchor::Middle, 12.0, INK);
        }
    }
    plane.foot(&mut canvas, "km along the road", size.pick(5, 10), |v| {
        decimal(v, if length < 4.0 { 1 } else { 0 })
    });
    let about = "A bar for every run from the end of one braking to the end of the next, as wide as the \
                 run is long. Up: the first spec gains. Numbers name the runs told in the text.";
    (
        canvas.finish("Seconds won or lost from corner to corner", about),
        plane,
    )
}

/// A run as stretches of the road, km: two where it goes over the line of a lap.
fn pieces(run: &Run, length: f64) -> Vec<(f64, f64)> {
    let (from, to) = (run.from / 1000.0, (run.from + run.length) / 1000.0);
    match to > length + 1e-6 {
        true => vec![(from, length), (0.0, to - length)],
        false => vec![(from, to)],
    }
}
