//! What a person should look at in the rows of a pull.

use super::columns::Columns;
use super::reader::Reader;
use super::slip::Slip;
use super::{FEWEST_POINTS, lift, slip, ways};
use crate::dyno::{Conditioned, Handling, Method, Rows};
use crate::files::finding::{Findings, Severity, quoted};
use crate::files::table::Table;
use crate::units::counted;

/// Engine speeds that no engine is pulled at, rpm: they are in hundreds or thousands.
const SLOWEST: f64 = 300.0;
/// Share of the highest engine speed by which rows step back where another pull begins.
const RESTARTS: f64 = 0.4;
/// Share of the torque on both sides to which no engine's falls amid a pull at full throttle (common practice, no
/// source).
const DIP: f64 = 0.5;
/// Shares of the pull's middle torque between which it leaps where the throttle is opened, and the engine speeds
/// within which it does, rpm: a turbine takes longer (common practice, no source).
const SHUT: f64 = 0.3;
const OPEN: f64 = 0.7;
const LEAP: f64 = 350.0;
/// Rows named one by one in a finding.
const NAMED: usize = 5;

impl Reader<'_> {
    /// What was done to the rows, where a person should look.
    pub(super) fn tell(&self, rows: &Rows, made: &Conditioned, findings: &mut Findings) {
        let Handling {
            ran_down,
            turned_round,
            stood,
            way_down,
            ..
        } = &made.handling;
        let warning = |row: usize, text: String, remedy: &str| {
            let mark = self.mark(row);
            let warning = self.table.finding(Severity::Warning, mark, text);
            warning.remedy(remedy)
        };
        if *stood >= FEWEST_POINTS {
            let text = format!("the engine stands still at {stood} speeds: a step test?");
            let remedy =
                "say `dyno: {method: steps}`: on the way from step to step torque reads low";
            findings.push(warning(0, text, remedy).deciding());
        }
        let mut warn = |row: usize, text: String, remedy: &str| {
            findings.push(warning(row, text, remedy));
        };
        if let Some((row, text, remedy)) = self.out_of_order(rows, &made.handling) {
            warn(row, text, remedy);
        }
        if *way_down > 0 {
            let text = format!(
                "after the sweep the engine pulls on its way down too: {} left out",
                counted(*way_down, "row")
            );
            let remedy = "an engine that is slowing down reads otherwise; a file of its own makes \
                          it a pull of its own";
            let after = made.used.last().map_or(0, |last| last + 1);
            warn(after.min(rows.rpm.len() - 1), text, remedy);
        }
        if let Some((from, to)) = opening(made) {
            let row = (0..rows.rpm.len()).find(|&row| rows.rpm[row] >= made.rpm[from]);
            let text = format!(
                "torque leaps from {:.0} N·m at {:.0} rpm to {:.0} at {:.0}: was the throttle opened there?",
                made.torque[from], made.rpm[from], made.torque[to], made.rpm[to]
            );
            let remedy = "if so take out the rows before: they are no full throttle";
            warn(row.unwrap_or(0), text, remedy);
        }
        if let Some((rise, rpm)) = coming_up(made) {
            let row = (0..rows.rpm.len()).find(|&row| rows.rpm[row] >= made.rpm[0]);
            let text = format!(
                "torque rises by {:.0} % within {COMES_UP:.0} rpm of {:.0} rpm and hardly any more: was the load still \
                 coming up?",
                100.0 * rise,
                made.rpm[0]
            );
            let remedy =
                format!("if so take out the rows below {rpm:.0} rpm: they are no full load");
            warn(row.unwrap_or(0), text, &remedy);
        }
        if *ran_down {
            let text = "engine speed falls through this pull: a run down, not a pull";
            let remedy = "an engine that is slowing down gives back what spinning it up took: \
                          torque reads high";
            warn(
                made.used.first().copied().unwrap_or(0),
                text.to_owned(),
                remedy,
            );
        } else if *turned_round && self.settings.method == Method::Sweep {
            // Steps may be held from the highest down.
            let text = "rows from the highest engine speed down are turned round: a sheet from the top, not a run \
                        down";
            findings.push(self.table.assumed("rows", self.mark(0), text.to_owned()));
        }
    }

    /// Rows of a sheet whose engine speed does not rise; where a step test goes both ways, what they do not agree in.
    fn out_of_order(
        &self,
        rows: &Rows,
        handling: &Handling,
    ) -> Option<(usize, String, &'static str)> {
        let Handling {
            back_steps,
            repeats,
            ..
        } = handling;
        if handling.logged {
            return None;
        }
        let steps = self.settings.method == Method::Steps;
        if let Some(turn) = ways::turn(&rows.rpm).filter(|_| steps) {
            return ways::disagree(rows, turn);
        }
        let told = handling.turned_round || handling.stood >= FEWEST_POINTS;
        if back_steps + repeats == 0 || told {
            return None;
        }
        let row = (1..rows.rpm.len()).find(|&i| rows.rpm[i] <= rows.rpm[i - 1]);
        let row = row.unwrap_or(0);
        let text = format!(
            "engine speed steps back in {} and repeats in {}; sorted and merged",
            counted(*back_steps, "row"),
            counted(*repeats, "row")
        );
        let most = rows.rpm.iter().copied().fold(0.0, f64::max);
        let restarts = row > 0 && rows.rpm[row - 1] - rows.rpm[row] > RESTARTS * most;
        let remedy = match restarts {
            true => "where a file holds several pulls, number them in a column named `pull`",
            false => "write one row for each engine speed",
        };
        Some((row, text, remedy))
    }

    /// Torque that falls away and stays away, with what the file says of it.
    pub(super) fn tell_lift(
        &self,
        rows: &Rows,
        made: &Conditioned,
        label: &str,
        findings: &mut Findings,
    ) {
        let Some((before, after)) = lift(&made.rpm, &made.torque, made.handling.smoothed) else {
            return;
        };
        // Cams and valves lift too.
        let of_it = |line: &&str| {
            let line = line.to_lowercase();
            let lifted = ["lifted", "lift off", "lift-off"];
            lifted.iter().any(|word| line.contains(word))
        };
        let remark = self.table.notes().map(|(_, line)| line).find(of_it);
        let remark = remark.map_or(String::new(), |line| {
            format!(" (the file: {})", quoted(line.trim()))
        });
        let text = format!(
            "torque falls from {:.0} N·m at {:.0} rpm to {:.0} at {:.0} and stays down: was the throttle lifted, or did \
             the engine misfire?{remark}",
            made.torque[before], made.rpm[before], made.torque[after], made.rpm[after]
        );
        let row = (0..rows.rpm.len()).find(|&row| rows.rpm[row] >= made.rpm[before]);
        let column = self.columns.torque.or(self.columns.power).unwrap_or(0);
        let mark = self.table.mark(self.rows[row.unwrap_or(0)], column);
        let finding = self.table.finding(Severity::Warning, mark, text);
        let path = finding.position.as_ref().and_then(|at| at.path.file_name());
        let file = path.map_or("long-2.csv".into(), |name| name.to_string_lossy());
        let pull = match label {
            "" => String::new(),
            label => format!("pull: {label}, "),
        };
        let remedy = format!(
            "if so say in the test day how far this pull counts, as in `{{file: {file}, {pull}up_to: {:.0} rpm}}`; if \
             the engine really makes so little there, nothing is to be done",
            (made.rpm[before] / 50.0).floor() * 50.0
        );
        findings.push(finding.remedy(remedy).deciding());
    }

    /// One figure of a typed sheet that stands apart, else torque that goes and comes back.
    pub(super) fn tell_slip(&self, rows: &Rows, made: &Conditioned, findings: &mut Findings) {
        let column = self.columns.torque.or(self.columns.power);
        let column = column.or(self.columns.brake).unwrap_or(0);
        let typed = !made.handling.logged && made.used.len() == made.rpm.len();
        let Some(slip) = slip(&made.rpm, &made.torque).filter(|_| typed) else {
            if let Some(at) = dip(rows, made) {
                let text = format!(
                    "torque falls to {:.0} N·m at {:.0} rpm and comes back: was the throttle closed?",
                    rows.torque[at], rows.rpm[at]
                );
                let remedy = "if so set the pull aside in the test day, as in \
                              `{file: long-2.csv, set_aside: lifted}`: that is not what the engine makes";
                let mark = self.table.mark(self.rows[at], column);
                let finding = self.table.finding(Severity::Warning, mark, text);
                findings.push(finding.remedy(remedy).deciding());
            }
            return;
        };
        // The sheet may run from the top down.
        let stands = |row: &&usize| rows.rpm[**row] == made.rpm[slip.index];
        let Some(&at) = made.used.iter().find(stands) else {
            return;
        };
        let row = self.rows[at];
        let written = self.table.cell(row, column);
        let (text, remedy) = slip_in_words(
            &self.table.columns[column].name,
            written,
            &slip,
            slip.index + 1 == made.rpm.len(),
        );
        let mark = self.table.mark(row, column);
        findings.push(
            self.table
                .finding(slip.severity(), mark, text)
                .remedy(remedy),
        );
    }
}

/// The first engine speeds of a pull over which its load comes up, rpm; the rise of torque there that no engine at full
/// throttle has, and that over as much again which has an end (common practice, no source).
const COMES_UP: f64 = 150.0;
const STEEP: f64 = 0.15;
const FLAT: f64 = 0.06;

/// By what share torque rises where a pull begins, and where that ends, rpm, where it is too steep for an engine.
fn coming_up(made: &Conditioned) -> Option<(f64, f64)> {
    let begin = *made.rpm.first()?;
    let torque = |rpm: f64| {
        let next = made.rpm.iter().position(|n| *n >= rpm)?;
        let last = next.checked_sub(1)?;
        let share = (rpm - made.rpm[last]) / (made.rpm[next] - made.rpm[last]);
        Some(made.torque[last] + share * (made.torque[next] - made.torque[last]))
    };
    let first = *made.torque.first().filter(|torque| **torque > 0.0)?;
    let rise = torque(begin + COMES_UP)? / first - 1.0;
    let after = torque(begin + 4.0 * COMES_UP)? / torque(begin + 2.0 * COMES_UP)? - 1.0;
    (rise > STEEP && after < FLAT).then_some((rise, begin + 3.0 * COMES_UP))
}

/// The points between which a pull leaps from next to no torque to most of it near its beginning.
fn opening(made: &Conditioned) -> Option<(usize, usize)> {
    let mut sorted = made.torque.clone();
    sorted.sort_by(f64::total_cmp);
    let middle = sorted.get(sorted.len() / 2)?;
    let to = made
        .torque
        .iter()
        .position(|torque| *torque > OPEN * middle)?;
    let shut = |i: &usize| made.torque[*i] < SHUT * middle;
    let from = (0..to).rev().find(shut)?;
    let near = made.rpm[to] - made.rpm[from] < LEAP;
    // One low row may be a slip, which is asked about elsewhere.
    (near && from > 0 && (0..from).all(|i| shut(&i))).then_some((from, to))
}

/// The row of the least torque where that is less than [`DIP`] of what the pull reaches both before and
/// after it.
fn dip(rows: &Rows, made: &Conditioned) -> Option<usize> {
    let torque: Vec<f64> = made.used.iter().map(|&row| rows.torque[row]).collect();
    let mut after = torque.clone();
    for i in (1..after.len()).rev() {
        after[i - 1] = after[i - 1].max(after[i]);
    }
    let mut before = 0.0_f64;
    let mut worst: Option<(usize, f64)> = None;
    for (i, &value) in torque.iter().enumerate() {
        before = before.max(value);
        let share = value / before.min(after[i]);
        if share < worst.map_or(DIP, |(_, least)| least) {
            worst = Some((i, share));
        }
    }
    worst.map(|(i, _)| made.used[i])
}

/// Rows of a file that were left out because they leap from their neighbours.
pub fn tell_spikes(table: &Table, columns: &Columns, rows: &[usize], findings: &mut Findings) {
    let column = columns.torque.or(columns.power).unwrap_or(0);
    let Some(&first) = rows.first() else { return };
    let text = format!(
        "{} left out as spikes: {}",
        counted(rows.len(), "row"),
        lines(table, rows)
    );
    let finding = table.finding(Severity::Warning, table.mark(first, column), text);
    findings.push(finding.remedy("look for ignition noise or a loose connection"));
}

/// The lines of some rows, the first few by number: `line 12, 14`.
pub fn lines(table: &Table, rows: &[usize]) -> String {
    let line = |row: &usize| table.mark(*row, 0).line.to_string();
    let mut lines: Vec<String> = rows.iter().take(NAMED).map(line).collect();
    if rows.len() > NAMED {
        lines.push("…".to_owned());
    }
    format!("line {}", lines.join(", "))
}

/// A slip as a question, and what to do; `last` where nothing was pulled above it.
pub fn slip_in_words(what: &str, written: &str, slip: &Slip, last: bool) -> (String, &'static str) {
    if slip.impossible {
        let text = format!(
            "{what}: {} is {:.1} times what stands beside it, as no engine makes: a digit too many?",
            quoted(written),
            1.0 + slip.off
        );
        return (text, "look at the sheet again, and write 200 for 2000");
    }
    let side = if slip.off > 0.0 { "above" } else { "below" };
    let what_they_say = match slip.curved {
        true => "curve through",
        false => "line between",
    };
    let text = format!(
        "{what}: {} lies {:.0} % {side} the {what_they_say} its neighbours: a slip of the pen?",
        quoted(written),
        100.0 * slip.off.abs()
    );
    let remedy = match (slip.off < 0.0, last) {
        (true, true) => "look at the sheet again; leave a point on the limiter out",
        (true, false) => {
            "look at the sheet again; a dip of the engine's own stands in its other pulls too"
        }
        (false, _) => "look at the sheet again; every other point lies near that line",
    };
    (text, remedy)
}

/// Remedy for engine speeds of which the highest is no engine's; `None` where it may be one.
pub fn in_full(most: f64) -> Option<String> {
    if most >= SLOWEST {
        return None;
    }
    let (of, times) = scale(most);
    Some(match most > 0.0 {
        true => format!(
            "rpm in {of}? write them in full, {:.0} for {most}",
            most * times
        ),
        false => "is this the column of engine speed?".to_owned(),
    })
}

/// What highest engine speeds far too low are written in.
fn scale(most: f64) -> (&'static str, f64) {
    match most {
        most if most < 25.0 => ("thousands", 1000.0),
        _ => ("hundreds", 100.0),
    }
}
