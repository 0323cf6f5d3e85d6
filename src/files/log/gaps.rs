//! Where a log does not say how fast the car was: speeds that fall out or freeze, rows that are missing.

use std::ops::Range;

use crate::files::finding::{Findings, Severity};
use crate::files::table::Table;
use crate::units::{KILOMETRE_PER_HOUR, counted};
use crate::venue::log::{Run, distances, dropouts};
use crate::venue::path::laps::{MOVING, is_hole};

/// A loss that is shorter than this, s, and in which no corner can take this share off the speed is back at
/// once.
const AT_ONCE: f64 = 1.5;
const SHALLOW: f64 = 0.2;
/// Gaps that are told one by one.
const LISTED: usize = 5;

/// Rows whose speed is a guess, and where they lie.
struct Gap {
    rows: Range<usize>,
    /// From the start of the log, m.
    at: f64,
    metres: f64,
    seconds: f64,
}

impl Gap {
    /// Between the last sound row before some and the first behind them.
    fn about(rows: &Range<usize>, run: &Run, distance: &[f64]) -> Self {
        let (before, after) = (rows.start - 1, rows.end);
        Self {
            rows: rows.clone(),
            at: distance[before],
            metres: distance[after] - distance[before],
            seconds: run.time[after] - run.time[before],
        }
    }

    fn place(&self) -> String {
        format!(
            "for {:.1} s and {:.0} m, {:.2} km from its start",
            self.seconds,
            self.metres,
            self.at / 1000.0
        )
    }
}

/// What becomes of corners where the speed is not known.
fn unseen(run: &Run, lowest: Option<f64>) -> String {
    let slow = lowest.map_or(String::new(), |speed| {
        format!(", even one at {:.0} km/h,", speed / KILOMETRE_PER_HOUR)
    });
    match run.fixes.is_some() || run.lateral.is_some() {
        true => format!("a corner there{slow} is taken too fast"),
        false => format!("a corner there{slow} is not seen"),
    }
}

/// Tells of the first of some one by one, and of the rest together, each with the one that it is told at.
fn listed<T>(
    all: &[T],
    one: impl Fn(&T) -> String,
    rest: impl Fn(&[T]) -> String,
    mut tell: impl FnMut(&T, String),
) {
    let (first, more) = all.split_at(all.len().min(LISTED));
    first.iter().for_each(|item| tell(item, one(item)));
    if let Some(item) = more.first() {
        tell(item, rest(more));
    }
}

/// Metres of some gaps together.
fn metres(gaps: &[Gap]) -> f64 {
    gaps.iter().map(|gap| gap.metres).sum()
}

const AGAIN: &str = "cut the file before or after it, or log the run again";

/// Puts speeds that fell out between their neighbours and tells of it. Gives the first rows of what was lost for
/// longer than a moment.
pub(super) fn mended(
    table: &Table,
    column: usize,
    run: &mut Run,
    findings: &mut Findings,
) -> Vec<usize> {
    let lost = run.speed.clone();
    let mended = dropouts::mend(&run.time, &mut run.speed);
    let distance = distances(run);
    let lowest = |gap: &Gap| dropouts::lowest(&run.time, &run.speed, &gap.rows);
    let gaps = mended.iter().map(|rows| Gap::about(rows, run, &distance));
    let (deep, short): (Vec<Gap>, Vec<Gap>) = gaps.partition(|gap| {
        let ends = run.speed[gap.rows.start - 1].min(run.speed[gap.rows.end]);
        gap.seconds > AT_ONCE || lowest(gap) < (1.0 - SHALLOW) * ends
    });
    let kmh = |row: usize| lost[row] / KILOMETRE_PER_HOUR;
    let mut tell = |first: usize, text: String, remedy: &str| {
        let finding = table.finding(Severity::Warning, table.mark(first, column), text);
        findings.push(finding.remedy(remedy));
    };
    if let Some(Gap { rows, .. }) = short.first() {
        let count: usize = short.iter().map(|gap| gap.rows.len()).sum();
        let moves = match lost[rows.start] > lost[rows.start - 1] {
            true => "leaps",
            false => "falls",
        };
        let text = format!(
            "the speed {moves} from {:.0} to {:.0} km/h and is back at once, as no car does ({} in all): \
             put between their neighbours",
            kmh(rows.start - 1),
            kmh(rows.start),
            counted(count, "row"),
        );
        tell(
            rows.start,
            text,
            "look why the logger loses its speed there",
        );
    }
    let one = |gap: &Gap| {
        format!(
            "the speed is lost {}, between {:.0} and {:.0} km/h: put between them, and {}",
            gap.place(),
            kmh(gap.rows.start - 1),
            kmh(gap.rows.end),
            unseen(run, Some(lowest(gap)))
        )
    };
    let rest = |more: &[Gap]| {
        format!(
            "the speed is lost {} times more, {:.0} m in all: {}",
            more.len(),
            metres(more),
            unseen(run, None)
        )
    };
    listed(&deep, one, rest, |gap, text| {
        tell(gap.rows.start, text, AGAIN);
    });
    deep.iter().map(|gap| gap.rows.start).collect()
}

/// Asks about speeds that stay the same to the digit until they jump. Gives the rows behind them.
pub(super) fn frozen(
    table: &Table,
    column: usize,
    run: &Run,
    findings: &mut Findings,
) -> Vec<usize> {
    let frozen = dropouts::frozen(&run.time, &run.speed);
    let Some(first) = frozen.first() else {
        return Vec::new();
    };
    let distance = distances(run);
    let (from, to) = (first.start, first.end - 1);
    let more = match frozen.len() {
        1 => String::new(),
        count => format!(" ({count} times in this log)"),
    };
    let text = format!(
        "the speed is frozen at {:.1} km/h for {:.1} s and {:.0} m before it jumps here{more}: {}",
        run.speed[from] / KILOMETRE_PER_HOUR,
        run.time[to] - run.time[from],
        distance[to] - distance[from],
        unseen(run, None)
    );
    let finding = table.finding(Severity::Warning, table.mark(first.end, column), text);
    findings.push(finding.remedy("cut the file there, or log the run again"));
    frozen.iter().map(|rows| rows.end).collect()
}

/// Refuses a speed that is naught amid full speed for longer than can be guessed.
pub(super) fn lost(table: &Table, column: usize, run: &Run, findings: &mut Findings) -> Option<()> {
    let Some(rows) = dropouts::lost(&run.time, &run.speed) else {
        return Some(());
    };
    let kmh = |row: usize| run.speed[row] / KILOMETRE_PER_HOUR;
    let text = format!(
        "the speed is 0 for {:.1} s between {:.0} and {:.0} km/h, as no car stops and starts: it was not \
         recorded",
        run.time[rows.end] - run.time[rows.start],
        kmh(rows.start - 1),
        kmh(rows.end),
    );
    let finding = table.finding(Severity::Error, table.mark(rows.start, column), text);
    findings.push(finding.remedy(AGAIN));
    None
}

/// Asks about pauses on the move: the road in them is a guess from the speeds before and after. Gives the rows
/// behind them.
pub(super) fn pauses(table: &Table, run: &Run, findings: &mut Findings) -> Vec<usize> {
    let mut steps: Vec<f64> = run.time.windows(2).map(|t| t[1] - t[0]).collect();
    let middle = steps.len() / 2;
    if steps.is_empty() {
        return Vec::new();
    }
    let usual = *steps.select_nth_unstable_by(middle, f64::total_cmp).1;
    let distance = distances(run);
    let pauses = |gap: &Gap| {
        let moves = run.speed[gap.rows.start - 1].min(run.speed[gap.rows.end]) > MOVING;
        moves && is_hole(gap.seconds, gap.metres, usual)
    };
    let gaps = (1..run.speed.len()).map(|row| Gap::about(&(row..row), run, &distance));
    let found: Vec<Gap> = gaps.filter(pauses).collect();
    let one = |gap: &Gap| {
        format!(
            "the log pauses {}, on the move: {}, and the road is a guess",
            gap.place(),
            unseen(run, None)
        )
    };
    let rest = |more: &[Gap]| {
        format!(
            "the log pauses on the move {} times more, {:.0} m in all: {}",
            more.len(),
            metres(more),
            unseen(run, None)
        )
    };
    listed(&found, one, rest, |gap, text| {
        let finding = table.finding(Severity::Warning, table.mark(gap.rows.end, 0), text);
        findings.push(finding.remedy("cut the file there, or log the run again"));
    });
    found.iter().map(|gap| gap.rows.end).collect()
}

/// Asks about seconds that have another number of rows than is usual, where the clock tells whole seconds alone;
/// each with its first row and how many there are. Gives those rows.
pub(super) fn uneven(
    table: &Table,
    (column, usual): (usize, usize),
    seconds: &[Range<usize>],
    findings: &mut Findings,
) -> Vec<usize> {
    let one = |rows: &Range<usize>| {
        let guessed = match rows.len() < usual {
            true => "rows are missing in it, and the road there is a guess",
            false => "its times are a guess",
        };
        format!(
            "this second has {} rows, and {usual} are usual: {guessed}",
            rows.len()
        )
    };
    let rest = |more: &[Range<usize>]| {
        format!(
            "{} more seconds have other numbers of rows than {usual}",
            more.len()
        )
    };
    listed(seconds, one, rest, |rows, text| {
        let finding = table.finding(Severity::Warning, table.mark(rows.start, column), text);
        let remedy = "log the run again, or keep the parts of a second when the file is saved";
        findings.push(finding.remedy(remedy));
    });
    seconds.iter().map(|rows| rows.start).collect()
}
