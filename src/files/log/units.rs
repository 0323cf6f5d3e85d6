//! Whether the units of a log's headings fit each other and what loggers do.

use super::sense::Columns;
use crate::files::finding::{Findings, Severity, quoted};
use crate::files::table::Table;
use crate::units::{Dimension, KILOMETRE_PER_HOUR, LENGTH, SPEED, TIME, Unit};
use crate::venue::log::Run;
use crate::venue::path::{Fix, Place, geodesy};

/// Speeds may differ from the road they cover by this factor before it is told: straight lines between
/// positions cut corners by a percent. Common practice, no source.
const TOLD: f64 = 1.03;
/// By up to this factor wheels slip and gauges flatter; beyond, another unit is looked for.
const ASKED: f64 = 1.14;
/// Off by more than this and by the factor of another unit they are in that unit.
const REFUSED: f64 = 1.4;
/// How near the factor of a unit is that unit's, relative.
const LIKE: f64 = 0.08;
/// Positions nearer than this to the last one counted show more of their errors than of the road, m.
const STEP: f64 = 20.0;
/// Less road tells nothing, m.
const LEAST: f64 = 100.0;
/// Rows further apart in time than this, s, and than so many usual rows are no run.
const APART: f64 = 3.0;
const MANY: f64 = 10.0;
/// No logger writes its rows further apart, s, and hardly one nearer.
const SPARSE: f64 = 5.0;
const DENSE: f64 = 5e-4;
/// A car that makes laps is faster in the middle, m/s.
const DRIVEN: f64 = 3.0;

/// What a road is known by.
const POSITIONS: &str = "the positions";
const DISTANCES: &str = "the distances";

/// The middle one of some values.
fn middle(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied().unwrap_or_default()
}

/// The time between two rows, s.
fn usual_step(run: &Run) -> f64 {
    middle(run.time.windows(2).map(|t| t[1] - t[0]))
}

/// Refuses times that are no seconds: between two rows a car would cover a street.
pub(super) fn thousandths(
    table: &Table,
    columns: &Columns,
    run: &Run,
    findings: &mut Findings,
) -> Option<()> {
    let seconds = |column: &usize| match table.written_unit(*column) {
        Some(unit) => TIME.unit(unit).is_some_and(|unit| unit.factor == 1.0),
        None => table.cell(0, *column).trim().parse::<f64>().is_ok(),
    };
    let Some(column) = columns.time.filter(seconds) else {
        return Some(());
    };
    let usual = usual_step(run);
    // With positions or distances the road itself tells.
    if usual < SPARSE || run.fixes.is_some() || run.distance.is_some() {
        return Some(());
    }
    let heading = &table.columns[column];
    let name = quoted(&heading.name);
    let text = match table.written_unit(column) {
        Some(unit) => {
            format!("{name} is in {unit} by its heading, and its rows are {usual:.0} s apart")
        }
        None => format!("{name} has no unit, and in seconds its rows would be {usual:.0} s apart"),
    };
    let remedy = format!(
        "are the times in ms? write `{} (ms)` in the heading",
        heading.name
    );
    findings.push(
        table
            .finding(Severity::Error, heading.mark, text)
            .remedy(remedy),
    );
    None
}

/// Refuses distances that, at the speeds beside them, no logger writes so near to each other.
pub(super) fn thin(
    table: &Table,
    columns: &Columns,
    run: &Run,
    findings: &mut Findings,
) -> Option<()> {
    let (Some(distance), Some(column), None) = (&run.distance, columns.distance, columns.time)
    else {
        return Some(());
    };
    let steps = || {
        distance
            .windows(2)
            .map(|d| d[1] - d[0])
            .filter(|step| *step > 0.0)
    };
    let (step, speed) = (middle(steps()), middle(run.speed.iter().copied()));
    let length: f64 = steps().sum();
    if step == 0.0 || speed < DRIVEN || length >= LEAST && step >= DENSE * speed {
        return Some(());
    }
    let heading = &table.columns[column];
    let unit = LENGTH.unit(table.written_unit(column).unwrap_or("m"))?;
    let text = format!(
        "{} {} {}, and its rows would be {:.2} mm apart at {:.0} km/h",
        quoted(&heading.name),
        match table.written_unit(column) {
            Some(_) => "is in",
            None => "has no unit and is taken as",
        },
        unit.name(),
        1000.0 * step,
        speed / KILOMETRE_PER_HOUR
    );
    let remedy = match unit.factor == 1.0 {
        true => format!(
            "are the distances in km? write `{} (km)` in the heading",
            heading.name
        ),
        false => "check the unit of the distances in the heading".to_owned(),
    };
    let finding = table.finding(Severity::Error, heading.mark, text);
    findings.push(finding.remedy(remedy));
    None
}

/// A road that the speeds cover, and the same by another column.
pub(super) struct Road {
    /// By the speeds over the times, m.
    speeds: f64,
    /// By positions or distances, m.
    other: f64,
    /// Which of them.
    by: &'static str,
    /// Its rows are further apart in time than any logger's.
    sparse: bool,
}

pub(super) fn covered(run: &Run) -> Option<Road> {
    let (other, by) = match (&run.fixes, &run.distance) {
        (Some(fixes), _) => (by_positions(fixes, run), POSITIONS),
        (None, Some(distance)) => (by_distance(distance, run), DISTANCES),
        _ => return None,
    };
    let (speeds, other) = other;
    // Positions that hardly move show their errors alone.
    let least = if run.fixes.is_some() { LEAST } else { 0.0 };
    let tells = other.is_finite() && speeds > 0.0 && other > least && speeds.max(other) > LEAST;
    tells.then_some(Road {
        speeds,
        other,
        by,
        sparse: usual_step(run) >= SPARSE,
    })
}

/// The road by speed up to a row, unless the log paused before it.
fn on(run: &Run, row: usize, pause: f64) -> Option<f64> {
    let dt = run.time[row] - run.time[row - 1];
    let mean = 0.5 * (run.speed[row] + run.speed[row - 1]);
    (0.0..=pause).contains(&dt).then_some(mean * dt)
}

/// The longest step of time that is no pause.
fn pause(run: &Run) -> f64 {
    APART.max(MANY * usual_step(run))
}

fn by_distance(distance: &[f64], run: &Run) -> (f64, f64) {
    let (rows, pause) = (1..run.speed.len(), pause(run));
    rows.filter_map(|row| Some((on(run, row, pause)?, distance[row] - distance[row - 1])))
        .fold((0.0, 0.0), |(a, b), (x, y)| (a + x, b + y))
}

/// By the speeds, and by positions [`STEP`] apart: an arc is longer than its chord by δ²/24, δ what it turns.
fn by_positions(fixes: &[Fix], run: &Run) -> (f64, f64) {
    let (mut speeds, mut arcs, mut part) = (0.0, 0.0, 0.0);
    let (mut from, mut before, pause) = (0, None, pause(run));
    for row in 1..fixes.len() {
        let Some(step) = on(run, row, pause) else {
            (from, before, part) = (row, None, 0.0);
            continue;
        };
        part += step;
        let chord = apart(&fixes[from], &fixes[row]);
        let line = chord.0.hypot(chord.1);
        if line >= STEP {
            let turns = before.map_or(0.0, |before| angle(before, chord).clamp(-1.0, 1.0));
            speeds += part;
            arcs += line * (1.0 + turns * turns / 24.0);
            (from, before, part) = (row, Some(chord), 0.0);
        }
    }
    (speeds, arcs)
}

/// From one point to the next, m east and north.
fn apart(a: &Fix, b: &Fix) -> (f64, f64) {
    match (a.place, b.place) {
        (Place::LatLon(a), Place::LatLon(b)) => geodesy::step(a, b),
        (Place::Plane(ax, ay), Place::Plane(bx, by)) => (bx - ax, by - ay),
        _ => (0.0, 0.0),
    }
}

/// From one direction to another, rad.
fn angle(a: (f64, f64), b: (f64, f64)) -> f64 {
    (a.0 * b.1 - a.1 * b.0).atan2(a.0 * b.0 + a.1 * b.1)
}

/// Refuses speeds that are in another unit than their heading says, asks about others that do not fit.
pub(super) fn compare(
    table: &Table,
    columns: &Columns,
    road: &Road,
    findings: &mut Findings,
) -> Option<()> {
    let ratio = road.speeds / road.other;
    if (1.0 / TOLD..=TOLD).contains(&ratio) {
        return Some(());
    }
    let km = |metres: f64| metres / 1000.0;
    let text = format!(
        "the speeds over the times make {:.2} km, {} {:.2} km",
        km(road.speeds),
        road.by,
        km(road.other)
    );
    let heading = &table.columns[columns.speed];
    if (1.0 / ASKED..=ASKED).contains(&ratio) {
        let more = if ratio > 1.0 { "more" } else { "less" };
        let text = format!("{text}: {:.1} % {more}", 100.0 * (ratio - 1.0).abs());
        let remedy = format!(
            "wheels slip and tyres wear: call the receiver's speed `speed`, or take {:.3} times this one",
            1.0 / ratio
        );
        findings.push(
            table
                .finding(Severity::Warning, heading.mark, text)
                .remedy(remedy),
        );
        return Some(());
    }
    let far = !(1.0 / REFUSED..=REFUSED).contains(&ratio);
    let severity = if far {
        Severity::Error
    } else {
        Severity::Warning
    };
    let remedy = unit_meant(table, columns, road).unwrap_or_else(|| {
        let which = match road.by {
            POSITIONS => "speed and time",
            _ => "speed, time and distance",
        };
        format!("check the units of {which} in the headings")
    });
    findings.push(table.finding(severity, heading.mark, text).remedy(remedy));
    (!far).then_some(())
}

/// Which heading would make the speeds fit the road with another unit, and which unit.
fn unit_meant(table: &Table, columns: &Columns, road: &Road) -> Option<String> {
    let ratio = road.speeds / road.other;
    let wrong = |column: Option<usize>, dimension: &'static Dimension, factor: f64, what: &str| {
        let unit = other_unit(table, column?, dimension, factor)?;
        let name = &table.columns[column?].name;
        Some(format!(
            "are the {what} in {unit}? write `{name} ({unit})` in the heading"
        ))
    };
    let speed = || wrong(Some(columns.speed), &SPEED, ratio, "speeds");
    let time = || wrong(columns.time, &TIME, ratio, "times");
    let distance = || {
        let column = columns.distance.filter(|_| road.by == DISTANCES);
        wrong(column, &LENGTH, 1.0 / ratio, "distances")
    };
    match road.sparse {
        true => time().or_else(speed).or_else(distance),
        false => speed().or_else(distance).or_else(time),
    }
}

/// The unit of a column that would make it smaller by a factor.
fn other_unit(
    table: &Table,
    column: usize,
    dimension: &'static Dimension,
    factor: f64,
) -> Option<&'static str> {
    let own = match table.written_unit(column) {
        Some(written) => dimension.unit(written)?.factor,
        // Bare times and distances are in s and m.
        None => 1.0,
    };
    let off = |unit: &Unit| (unit.factor / own * factor - 1.0).abs();
    let best = dimension
        .units
        .iter()
        .min_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(best) < LIKE).then(|| best.name())
}
