//! Every gearing that is offered, each spec's time with it behind the best of all.

use super::looks::{look, looks, name};
use crate::report::chart::{
    Axis, Canvas, FAINT, Figure, GRID, LETTERS, Plane, Sample, Size, Table, cut, key,
};
use crate::report::format::{clock, decimal, decimals};
use crate::report::rank::{Answer, Venue};
use crate::report::setup;
use crate::report::svg::Anchor;
use crate::study::SpecRun;

/// The chart; nothing where there is no choice.
pub fn figure(answer: &Answer, venue: &Venue, id: &str, specs: [usize; 2]) -> Option<Figure> {
    let offered = &answer.outcome.offered;
    if offered.len() < 2 {
        return None;
    }
    let best = venue.run.order(SpecRun::best_time).first()?.1;
    let kind = venue.entry.course.kind;
    let label = |index: usize| {
        let text = setup::both(&answer.study.car, offered[index]);
        match index {
            0 => format!("{text} (fitted)"),
            _ => text,
        }
    };
    let mut head = vec!["final drive, gears".to_owned()];
    head.extend(specs.map(|spec| name(answer, spec)));
    let mut table = Table::new(head);
    for index in 0..offered.len() {
        let mut cells = vec![label(index)];
        cells.extend(specs.map(|spec| match &venue.run.specs[spec].times[index] {
            Ok(time) => clock(*time, kind),
            Err(error) => error.to_string(),
        }));
        table.row(cells);
    }
    let behind: Vec<(String, Vec<(usize, f64)>)> = (0..offered.len())
        .map(|index| {
            let times = specs.iter().filter_map(|&spec| {
                let time = venue.run.specs[spec].times[index].as_ref().ok()?;
                Some((spec, time - best))
            });
            (label(index), times.collect())
        })
        .collect();
    let id = format!("{id}-gearings");
    Some(Figure::new(&id, title(answer, venue), table, |size| {
        (draw(answer, &id, &behind, decimals(kind), size), None)
    }))
}

fn title(answer: &Answer, venue: &Venue) -> String {
    let kind = venue.entry.course.kind;
    let Some(&(spec, best)) = venue.run.order(SpecRun::best_time).first() else {
        return "Gearings".to_owned();
    };
    let run = &venue.run.specs[spec];
    let with = run.best.map_or(String::new(), |index| {
        setup::both(&answer.study.car, answer.outcome.offered[index])
    });
    match run.time() {
        _ if run.best == Some(0) => {
            format!(
                "Gearing: no other suits {} better than what is fitted",
                name(answer, spec)
            )
        }
        Some(fitted) if fitted - best >= venue.useful() => format!(
            "Gearing: {with} takes {} s off the time of {} as geared",
            decimal(fitted - best, decimals(kind)),
            name(answer, spec)
        ),
        _ => format!(
            "Gearing: nothing offered is worth fitting here; {with} comes out first by a hair"
        ),
    }
}

fn draw(
    answer: &Answer,
    id: &str,
    behind: &[(String, Vec<(usize, f64)>)],
    places: usize,
    size: Size,
) -> String {
    let step = size.pick(40.0, 28.0);
    let head = 44.0;
    let height = head + step * behind.len() as f64 + 46.0;
    let mut canvas = Canvas::new(id, size, height, looks(answer));
    let mut specs: Vec<usize> = behind
        .iter()
        .flat_map(|(_, t)| t.iter().map(|(spec, _)| *spec))
        .collect();
    specs.sort_unstable();
    specs.dedup();
    let names = specs
        .iter()
        .map(|&spec| (look(answer, spec), name(answer, spec)));
    key(
        &mut canvas,
        (12.0, 18.0),
        Sample::Mark,
        &names.collect::<Vec<_>>(),
    );
    let most = behind
        .iter()
        .flat_map(|(_, t)| t)
        .map(|(_, t)| *t)
        .fold(0.02, f64::max);
    let plane = Plane {
        x: Axis::new(
            (0.0, 1.06 * most),
            (size.pick(18.0, 210.0), canvas.width - 22.0),
        ),
        y: Axis::new((0.0, 1.0), (height - 44.0, head - 8.0)),
    };
    plane.columns(&mut canvas, size.pick(5, 8));
    for (i, (label, times)) in behind.iter().enumerate() {
        let y = head + step * (i as f64 + size.pick(0.7, 0.5));
        let (left, right) = plane.x.pixels;
        match size {
            Size::Phone => canvas.text(
                (12.0, y - 12.0),
                &cut(label, LETTERS, canvas.width - 24.0),
                Anchor::Start,
            ),
            Size::Desk => canvas.text(
                (12.0, y + 4.0),
                &cut(label, LETTERS, left - 26.0),
                Anchor::Start,
            ),
        }
        canvas.rule((left, y), (right, y), GRID, 1.0);
        if let [(_, a), (_, b)] = times[..] {
            canvas.rule((plane.x.at(a), y), (plane.x.at(b), y), FAINT, 1.0);
        }
        for &(spec, time) in times {
            canvas.open_spec(look(answer, spec));
            canvas.mark((plane.x.at(time), y), look(answer, spec));
            canvas.close();
        }
    }
    plane.foot(
        &mut canvas,
        "seconds behind the best of all",
        size.pick(5, 8),
        |v| decimal(v, places.max(if most < 0.5 { 2 } else { 1 })),
    );
    let about =
        "A row a gearing, a mark a spec: how many seconds it is behind the best of all gearings.";
    canvas.finish("Times by gearing", about)
}
