//! Whether the figures of a log make sense: speeds against the road they cover, what no car does.

use super::gaps;
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::table::Table;
use crate::units::{KILOMETRE_PER_HOUR, SPEED, STANDARD_GRAVITY, TIME, Unit, counted};
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
/// Cars of club events stay below (common practice, no source), m/s.
const FAST: f64 = 300.0 * KILOMETRE_PER_HOUR;
/// Brakes and tyres of road and club cars change the speed by less (two g; common practice, no
/// source), m/s².
const HARD: f64 = 2.0 * STANDARD_GRAVITY;
/// No logger writes its rows further apart, s.
const SPARSE: f64 = 5.0;
/// So many rows make it the column and not a row.
const ROWS: usize = 5;
/// Acceleration across the road that only cars with much downforce pass (common practice, no source),
/// and the least that any corner shows, m/s².
const LATERAL: (f64, f64) = (4.0 * STANDARD_GRAVITY, 0.15 * STANDARD_GRAVITY);

/// The columns that are looked at.
pub(super) struct Columns {
    pub speed: usize,
    pub lateral: Option<usize>,
    pub time: Option<usize>,
}

/// Mends what fell out and asks about what makes no sense; `None` where that is refused.
pub(super) fn check(
    table: &Table,
    columns: &Columns,
    run: &mut Run,
    findings: &mut Findings,
) -> Option<()> {
    thousandths(table, columns, run, findings)?;
    gaps::mended(table, columns.speed, run, findings);
    gaps::frozen(table, columns.speed, run, findings);
    gaps::lost(table, columns.speed, run, findings)?;
    gaps::pauses(table, run, findings);
    let road = match columns.time {
        Some(_) => covered(run),
        None => None,
    };
    match road {
        Some(road) => compare(table, columns, &road, findings)?,
        None => plausible(table, columns, run, findings),
    }
    match columns.lateral {
        Some(column) => lateral(table, column, run, findings),
        None => Some(()),
    }
}

/// Refuses speeds that are below zero throughout: the row is not to blame.
pub(super) fn forwards(
    table: &Table,
    column: usize,
    speed: &[f64],
    findings: &mut Findings,
) -> Option<()> {
    let below = speed.iter().filter(|v| **v < 0.0).count();
    if 2 * below <= speed.len() {
        return Some(());
    }
    let heading = &table.columns[column];
    let text = format!(
        "{} is below zero in {below} of {}",
        quoted(&heading.name),
        counted(speed.len(), "row")
    );
    let finding = table.finding(Severity::Error, heading.mark, text);
    findings.push(finding.remedy("write speeds without a sign: forwards is above zero"));
    None
}

/// Refuses times without a unit that are no seconds: between two rows a car would cover a street.
fn thousandths(table: &Table, columns: &Columns, run: &Run, findings: &mut Findings) -> Option<()> {
    let bare = |column: &usize| {
        table.written_unit(*column).is_none()
            && table.cell(0, *column).trim().parse::<f64>().is_ok()
    };
    let Some(column) = columns.time.filter(bare) else {
        return Some(());
    };
    let mut steps: Vec<f64> = run.time.windows(2).map(|t| t[1] - t[0]).collect();
    steps.sort_by(f64::total_cmp);
    let usual = steps.get(steps.len() / 2).copied().unwrap_or_default();
    // With positions or distances the road itself tells.
    if usual < SPARSE || run.fixes.is_some() || run.distance.is_some() {
        return Some(());
    }
    let heading = &table.columns[column];
    let text = format!(
        "{} has no unit, and in seconds its rows would be {usual:.0} s apart",
        quoted(&heading.name)
    );
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

/// A road that the speeds cover, and the same by another column.
struct Road {
    /// By the speeds over the times, m.
    speeds: f64,
    /// By positions or distances, m.
    other: f64,
    /// Which of them.
    by: &'static str,
}

fn covered(run: &Run) -> Option<Road> {
    let (other, by) = match (&run.fixes, &run.distance) {
        (Some(fixes), _) => (by_positions(fixes, run), "the positions"),
        (None, Some(distance)) => (by_distance(distance, run), "the distances"),
        _ => return None,
    };
    let (speeds, other) = other;
    let tells = other.is_finite() && speeds > 0.0 && other > LEAST;
    tells.then_some(Road { speeds, other, by })
}

/// The road by speed up to a row, unless the log paused before it.
fn on(run: &Run, row: usize, pause: f64) -> Option<f64> {
    let dt = run.time[row] - run.time[row - 1];
    let mean = 0.5 * (run.speed[row] + run.speed[row - 1]);
    (0.0..=pause).contains(&dt).then_some(mean * dt)
}

/// The longest step of time that is no pause.
fn pause(run: &Run) -> f64 {
    let mut steps: Vec<f64> = run.time.windows(2).map(|t| t[1] - t[0]).collect();
    steps.sort_by(f64::total_cmp);
    let usual = steps.get(steps.len() / 2).copied().unwrap_or_default();
    APART.max(MANY * usual)
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
fn compare(table: &Table, columns: &Columns, road: &Road, findings: &mut Findings) -> Option<()> {
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
    let remedy = match other_unit(table, columns.speed, ratio) {
        Some(unit) => format!(
            "are the speeds in {unit}? write `{} ({unit})` in the heading",
            heading.name
        ),
        None => match columns.time.and_then(|time| other_time(table, time, ratio)) {
            Some(remedy) => remedy,
            None => "check the units of speed and time in the headings".to_owned(),
        },
    };
    findings.push(table.finding(severity, heading.mark, text).remedy(remedy));
    (!far).then_some(())
}

/// The unit of a column that would make it smaller by a factor.
fn other_unit(table: &Table, column: usize, factor: f64) -> Option<&'static str> {
    let written = table.written_unit(column)?;
    let own = SPEED.unit(written)?.factor;
    let off = |unit: &Unit| (own / unit.factor / factor - 1.0).abs();
    let best = SPEED
        .units
        .iter()
        .min_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(best) < LIKE).then(|| best.name())
}

/// The same of times.
fn other_time(table: &Table, column: usize, factor: f64) -> Option<String> {
    let own = match table.written_unit(column) {
        Some(written) => TIME.unit(written)?.factor,
        None => 1.0,
    };
    let off = |unit: &Unit| (own / unit.factor / factor - 1.0).abs();
    let best = TIME.units.iter().min_by(|a, b| off(a).total_cmp(&off(b)))?;
    (off(best) < LIKE).then(|| {
        let (name, unit) = (&table.columns[column].name, best.name());
        format!("are the times in {unit}? write `{name} ({unit})` in the heading")
    })
}

/// Asks about speeds that no car has, where nothing else tells.
fn plausible(table: &Table, columns: &Columns, run: &Run, findings: &mut Findings) {
    let fastest = run.speed.iter().copied().fold(0.0, f64::max);
    let hard = run.speed.windows(2).zip(run.time.windows(2));
    let brakes = |(v, t): (&[f64], &[f64])| {
        let dt = t[1] - t[0];
        (0.0..=APART).contains(&dt) && v[0] - v[1] > HARD * dt && v[0] - v[1] > 1.0
    };
    let hard = hard.filter(|(v, t)| brakes((v, t))).count();
    if fastest <= FAST && hard < ROWS.max(run.speed.len() / 200) {
        return;
    }
    let heading = &table.columns[columns.speed];
    let what = if fastest > FAST {
        format!(
            "{} reaches {:.0} km/h",
            quoted(&heading.name),
            fastest / KILOMETRE_PER_HOUR
        )
    } else {
        format!(
            "{} falls by more than 2 g in {hard} rows",
            quoted(&heading.name)
        )
    };
    let text = format!("{what}: more than cars of these events do");
    let name = &heading.name;
    let written = table.written_unit(columns.speed).unwrap_or_default();
    let remedy = match SPEED.unit(written).map(Unit::name) {
        Some("m/s") => format!("are the speeds in km/h? write `{name} (km/h)` in the heading"),
        _ => "check the unit of the speeds in the heading".to_owned(),
    };
    let finding = table.finding(Severity::Warning, heading.mark, text);
    findings.push(finding.remedy(remedy));
}

/// Refuses acceleration across the road that is in another unit, where the road's shape hangs on it.
fn lateral(table: &Table, column: usize, run: &Run, findings: &mut Findings) -> Option<()> {
    let Some(values) = &run.lateral else {
        return Some(());
    };
    let mut sizes: Vec<f64> = values.iter().map(|a| a.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    // Not the largest: a kerb is no corner.
    let reached = *sizes.get(sizes.len().saturating_sub(1) * 95 / 100)?;
    let heading = &table.columns[column];
    let g = reached / STANDARD_GRAVITY;
    let shapes = run.fixes.is_none();
    let finding = |text: String, severity, unit: &str| {
        let finding: Finding = table.finding(severity, heading.mark, text);
        let name = &heading.name;
        finding.remedy(format!(
            "is it in {unit}? write `{name} ({unit})` in the heading"
        ))
    };
    if reached > LATERAL.0 {
        let text = format!(
            "{} passes {g:.1} g in one row of twenty",
            quoted(&heading.name)
        );
        let severity = if shapes {
            Severity::Error
        } else {
            Severity::Warning
        };
        findings.push(finding(text, severity, "m/s2"));
        return (!shapes).then_some(());
    }
    let most = sizes.last().copied().unwrap_or_default();
    if shapes && most < LATERAL.1 {
        let most = most / STANDARD_GRAVITY;
        let text = format!(
            "{} never passes {most:.2} g: the road has no corners",
            quoted(&heading.name)
        );
        findings.push(finding(text, Severity::Warning, "g"));
    }
    Some(())
}
