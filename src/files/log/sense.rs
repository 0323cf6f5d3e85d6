//! Whether the figures of a log make sense: speeds against the road they cover, what no car does.

use super::{gaps, units};
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::table::{Table, filled};
use crate::units::{KILOMETRE_PER_HOUR, SPEED, STANDARD_GRAVITY, Unit, counted, number};
use crate::venue::log::Run;

/// Rows further apart in time than this, s, are no run.
const APART: f64 = 3.0;
/// Cars of club events stay below (common practice, no source), m/s.
const FAST: f64 = 300.0 * KILOMETRE_PER_HOUR;
/// Brakes and tyres of road and club cars change the speed by less (two g; common practice, no
/// source), m/s².
const HARD: f64 = 2.0 * STANDARD_GRAVITY;
/// So many rows make it the column and not a row.
const ROWS: usize = 5;
/// Acceleration across the road that only cars with much downforce pass (common practice, no source),
/// and the least that any corner shows, m/s².
const LATERAL: (f64, f64) = (4.0 * STANDARD_GRAVITY, 0.15 * STANDARD_GRAVITY);

/// Speeds waver this far below zero while a car stands (common practice, no source), m/s.
const STANDS: f64 = -2.0 * KILOMETRE_PER_HOUR;

/// The columns that are looked at.
pub(super) struct Columns {
    pub speed: usize,
    /// Acceleration across the road, or the yaw rate that it is taken from.
    pub lateral: Option<usize>,
    pub yaw: bool,
    pub distance: Option<usize>,
    pub time: Option<usize>,
}

/// Mends what fell out, which goes to `gaps`, and asks about what makes no sense; `None` where that is refused.
pub(super) fn check(
    table: &Table,
    columns: &Columns,
    run: &mut Run,
    gaps: &mut Findings,
    findings: &mut Findings,
) -> Option<Vec<usize>> {
    units::thousandths(table, columns, run, findings)?;
    units::thin(table, columns, run, findings)?;
    let mut holes = gaps::mended(table, columns.speed, run, gaps);
    holes.extend(gaps::frozen(table, columns.speed, run, gaps));
    gaps::lost(table, columns.speed, run, findings)?;
    holes.extend(gaps::pauses(table, run, gaps));
    let road = match columns.time {
        Some(_) => units::covered(run),
        None => None,
    };
    match road {
        Some(road) => units::compare(table, columns, &road, findings)?,
        None => plausible(table, columns, run, findings),
    }
    if let Some(column) = columns.lateral {
        lateral(table, column, columns.yaw, run, findings)?;
    }
    Some(holes)
}

/// A car that has pulled away for a second is hardly faster, m/s (0.5 g; common practice, no source).
const PULLS_AWAY: f64 = 5.0;

/// Takes a car that stands for standing, where its speed wavers about zero, and refuses speeds further below.
pub(super) fn forwards(
    table: &Table,
    column: usize,
    speed: &mut [f64],
    at: &[f64],
    findings: &mut Findings,
) -> Option<()> {
    let heading = &table.columns[column];
    let below: Vec<usize> = (0..speed.len()).filter(|&row| speed[row] < 0.0).collect();
    let Some(&first) = below.first() else {
        return Some(());
    };
    let minus_one =
        |row: &usize| number(table.cell(*row, column)).is_ok_and(|(value, _)| value == -1.0);
    if below.len() < speed.len() / 2 && below.iter().all(minus_one) {
        let known: Vec<usize> = (0..speed.len()).filter(|&row| speed[row] >= 0.0).collect();
        let values: Vec<Option<f64>> = speed
            .iter()
            .map(|v| Some(*v).filter(|v| *v >= 0.0))
            .collect();
        speed.copy_from_slice(&filled(&values, &known, at));
        // A phone that waits at the line, or has stopped behind it, knows no speed either.
        if let (Some(&begins), Some(&ends)) = (known.first(), known.last()) {
            if speed[begins] < PULLS_AWAY {
                speed[..begins].fill(0.0);
            }
            if speed[ends] < PULLS_AWAY {
                speed[ends + 1..].fill(0.0);
            }
        }
        let text = format!(
            "{} is -1 in {} of {}, here first, as phones write where they know none: put between those beside them, and standing before and behind them where \
             those are slow",
            quoted(&heading.name),
            below.len(),
            counted(speed.len(), "row")
        );
        let finding = table.finding(Severity::Warning, table.mark(first, column), text);
        findings.push(finding.remedy(
            "where a corner lies in them its speed is a guess: log the run again if it matters",
        ));
        return Some(());
    }
    let lowest = speed.iter().copied().fold(0.0, f64::min);
    if lowest >= STANDS {
        speed.iter_mut().for_each(|v| *v = v.max(0.0));
        let text = format!(
            "{} of down to {:.1} km/h: standing",
            quoted(&heading.name),
            lowest / KILOMETRE_PER_HOUR
        );
        findings.push(table.assumed("rows", heading.mark, text));
        return Some(());
    }
    let text = format!(
        "{} is below zero in {} of {}, here first",
        quoted(&heading.name),
        below.len(),
        counted(speed.len(), "row")
    );
    let finding = table.finding(Severity::Error, table.mark(first, column), text);
    findings.push(finding.remedy("write speeds without a sign: forwards is above zero"));
    None
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
    if let Some(every) = held(&run.speed).filter(|_| fastest <= FAST) {
        let text = format!(
            "{} is new in one row of {every} only: its receiver is slower than the log, and how hard the car brakes is \
             not in it",
            quoted(&heading.name)
        );
        let finding = table.finding(Severity::Warning, heading.mark, text);
        findings.push(finding.remedy(
            "log it from a faster receiver; the road and its corners are read all the same",
        ));
        return;
    }
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
        _ => "check the unit of the speeds in the heading; were decimals lost in a spreadsheet, 677 for 67.7? export the log again"
            .to_owned(),
    };
    let finding = table.finding(Severity::Warning, heading.mark, text);
    findings.push(finding.remedy(remedy));
}

/// In how many rows of a car on the move speed changes once, where that is one of several (receivers are asked five
/// or ten times as often as they are new: common practice, no source).
fn held(speed: &[f64]) -> Option<usize> {
    const SEVERAL: usize = 4;
    const STANDS: f64 = 0.5;
    let moving = || speed.windows(2).filter(|pair| pair[1] > STANDS);
    let new = moving().filter(|pair| pair[0] != pair[1]).count();
    let every = (moving().count() + new / 2) / new.max(1);
    (new > 0 && every >= SEVERAL).then_some(every)
}

/// Refuses acceleration across the road that is in another unit, where the road's shape hangs on it.
fn lateral(
    table: &Table,
    column: usize,
    yaw: bool,
    run: &mut Run,
    findings: &mut Findings,
) -> Option<()> {
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
    let (usual, finer, what) = match yaw {
        true => ("rad/s", "deg/s", " times the speed"),
        false => ("g", "m/s2", ""),
    };
    let finding = |text: String, severity, unit: &str| {
        let finding: Finding = table.finding(severity, heading.mark, text);
        let name = &heading.name;
        let written = table
            .written_unit(column)
            .unwrap_or(if yaw { finer } else { usual });
        finding.remedy(match written.eq_ignore_ascii_case(unit) {
            false => format!("is it in {unit}? write `{name} ({unit})` in the heading"),
            true => "look why the logger shows none, or take the column out".to_owned(),
        })
    };
    if reached > LATERAL.0 {
        let text = format!(
            "{}{what} passes {g:.1} g in one row of twenty",
            quoted(&heading.name)
        );
        let severity = if shapes {
            Severity::Error
        } else {
            Severity::Warning
        };
        findings.push(finding(text, severity, finer));
        return (!shapes).then_some(());
    }
    let most = sizes.last().copied().unwrap_or_default();
    if shapes && most < LATERAL.1 {
        let most = most / STANDARD_GRAVITY;
        let text = format!(
            "{}{what} never passes {most:.2} g: left out, and corners are where the speed dips",
            quoted(&heading.name)
        );
        findings.push(finding(text, Severity::Warning, usual));
        run.lateral = None;
    }
    Some(())
}
