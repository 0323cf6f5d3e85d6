//! Engine speed along the road, for those who want to look closer.

use super::looks::{look, looks, name};
use crate::report::chart::{Axis, Canvas, FAINT, Figure, Plane, Table, ink};
use crate::report::format::{decimal, gear, rpm, thousands};
use crate::report::rank::Answer;
use crate::report::svg::Anchor;
use crate::study::runs::Strip;
use crate::units::KILOMETRE_PER_HOUR;

/// The chart: the first of the two specs.
pub fn figure(answer: &Answer, id: &str, strip: &Strip) -> Figure {
    let spec = strip.specs[0];
    let points = &strip.traces[0];
    let length: f64 = strip.runs.iter().map(|run| run.length).sum::<f64>() / 1000.0;
    let mut table = Table::new(["km", "rpm", "gear", "km/h"]);
    for run in &strip.runs {
        let i = points
            .partition_point(|p| p.distance < run.from)
            .min(points.len().saturating_sub(1));
        if let Some(point) = points.get(i) {
            table.row(vec![
                decimal(point.distance / 1000.0, 2),
                thousands((point.rpm / 10.0).round() * 10.0),
                gear(point.gear),
                decimal(point.speed / KILOMETRE_PER_HOUR, 0),
            ]);
        }
    }
    let crossing = answer
        .engines
        .crossings(strip.specs[0], strip.specs[1])
        .first()
        .map(|c| c.rpm);
    let title = match crossing {
        Some(at) => format!(
            "Engine speed of {} along the road, and the crossing at {}",
            name(answer, spec),
            rpm(at)
        ),
        None => format!("Engine speed of {} along the road", name(answer, spec)),
    };
    let id = format!("{id}-revs");
    Figure::new(&id, title, table, |size| {
        let mut canvas = Canvas::new(&id, size, size.pick(220.0, 250.0), looks(answer));
        let high = points.iter().map(|p| p.rpm).fold(1000.0, f64::max);
        let plane = Plane {
            x: Axis::new((0.0, length.max(0.001)), (48.0, canvas.width - 10.0)),
            y: Axis::new((0.0, 1.05 * high), (canvas.height - 42.0, 30.0)),
        };
        plane.rows(&mut canvas, "engine speed, rpm", size.pick(4, 6), thousands);
        let line = points.iter().map(|p| (p.distance / 1000.0, p.rpm));
        canvas.path(&plane.all(line), ink(look(answer, spec)), 1.1, "");
        if let Some(at) = crossing {
            let (left, right) = plane.x.pixels;
            let y = plane.y.at(at);
            canvas.path(&[(left, y), (right, y)], FAINT, 1.2, "5 3");
            canvas.note((right, y - 4.0), "curves cross", Anchor::End);
        }
        plane.foot(&mut canvas, "km along the road", size.pick(5, 10), |v| {
            decimal(v, if length < 4.0 { 1 } else { 0 })
        });
        (
            canvas.finish(
                "Engine speed along the road",
                "A line of engine speed over distance.",
            ),
            None,
        )
    })
}
