//! One pull of a table: its rows checked, made into a rising curve, with what stands beside them.

use super::beside::{self, Rolled};
use super::channels;
use super::columns::{self, Columns};
use super::corrected::{self, Claim};
use super::tell::in_full;
use super::{
    FASTEST, FEWEST_POINTS, FilePull, MOST_TORQUE, Measured, Settings, Values, agree, choice,
    factor, weather,
};
use crate::dyno::{Conditioned, Handling, Method, Rows, condition, most_rows};
use crate::files::finding::{Finding, Findings, Severity, quoted};
use crate::files::source::Mark;
use crate::files::table::Table;
use crate::units::{SPEED, counted};

/// Torque that engines have, N·m (common practice, no source), a thousand times which a table has that lost its decimal points.
const LOST: std::ops::RangeInclusive<f64> = 5.0..=3000.0;

/// What torque is called that others are a share of, and what these are.
const REFERENCES: [&str; 6] = ["reference", "ref ", "nominal", "rated", "max", "soll"];
const SHARES: [&str; 4] = ["torque", "load", "moment", "couple"];
/// Fewest rows of a log, in which no engine's torque stays one figure.
const LOGGED: usize = 20;

/// One pull of a table.
pub struct Reader<'a> {
    pub(super) table: &'a Table,
    pub(super) columns: &'a Columns,
    pub(super) values: &'a Values,
    /// The rows of the pull.
    pub(super) rows: Vec<usize>,
    /// How many more lie beyond the engine speeds that count.
    pub(super) beyond: usize,
    pub(super) settings: &'a Settings,
}

impl Reader<'_> {
    /// Makes the pull; what is wrong with it becomes findings.
    pub(super) fn pull(
        &self,
        name: String,
        label: String,
        spikes: &mut Vec<usize>,
        findings: &mut Findings,
    ) -> Option<FilePull> {
        self.check_range(findings)?;
        let pick = |of: &Vec<f64>| self.rows.iter().map(|&row| of[row]).collect::<Vec<f64>>();
        let rows = Rows {
            rpm: pick(&self.values.rpm),
            torque: pick(&self.values.torque),
            time: self.values.time.as_ref().map(pick),
            throttle: self.values.throttle.as_ref().map(pick),
        };
        self.check_rows(&rows, findings)?;
        let made = condition(&rows, self.settings.method, self.settings.smoothing);
        spikes.extend(made.handling.spikes.iter().map(|&row| self.rows[row]));
        self.tell(&rows, &made, findings);
        self.tell_lift(&rows, &made, &label, findings);
        self.check_points(&rows, &made, findings)?;
        self.tell_slip(&rows, &made, findings);
        if let Some(power) = &self.values.power {
            let used: Vec<usize> = made.used.iter().map(|&i| self.rows[i]).collect();
            let of = agree::Columns {
                rpm: &self.values.rpm,
                torque: &self.values.torque,
                power,
                units: (
                    self.columns.unit(self.table, self.columns.torque),
                    self.columns.unit(self.table, self.columns.power),
                ),
                corrected: (
                    self.is_corrected(self.columns.torque),
                    self.is_corrected(self.columns.power),
                ),
            };
            if let Some(fault) = agree::check(&of, &used) {
                let (row, column) = (fault.row, self.columns.torque.unwrap_or(0));
                let mark = self.table.mark(row, column);
                let finding = self.table.finding(fault.severity, mark, fault.text);
                findings.push(finding.remedy(fault.remedy));
            }
        }
        let used: Vec<usize> = made.used.iter().map(|&i| self.rows[i]).collect();
        let channels = channels::channels(self.table, self.columns, &used);
        let rolled = self.rolled(&used);
        Some(FilePull {
            name,
            label,
            rpm: made.rpm,
            torque: made.torque,
            acceleration: made.acceleration,
            handling: Handling {
                road_speed: self
                    .settings
                    .speed_per_1000_rpm
                    .filter(|_| self.columns.rpm.is_none()),
                rows: made.handling.rows + self.beyond,
                outside: made.handling.outside + self.beyond,
                counts: self.settings.counts,
                slips: rolled.is_some_and(|rolled| rolled.slips()),
                ..made.handling
            },
            channels,
            measured: self.measured(&used),
            rolled,
            by_place: None,
        })
    }

    /// What road speed says beside engine speed.
    fn rolled(&self, used: &[usize]) -> Option<Rolled> {
        let column = self.columns.speed_beside?;
        let unit = SPEED.unit(self.table.written_unit(column)?)?;
        let speed = columns::values(self.table, column, used)?;
        let speed: Vec<f64> = speed.into_iter().map(|speed| unit.to_si(speed)).collect();
        let rpm: Vec<f64> = used.iter().map(|&row| self.values.rpm[row]).collect();
        beside::rolled(&speed, &rpm)
    }

    fn measured(&self, used: &[usize]) -> Measured {
        let columns = self.columns;
        let column = columns.torque.or(columns.power).or(columns.brake);
        let heading = column.map(|column| &self.table.columns[column]);
        let mark = heading.map_or(Mark::default(), |heading| heading.mark);
        let raw = || column.is_some_and(|column| factor::is_raw(self.table, column, used));
        Measured {
            name: heading.map_or(String::new(), |heading| heading.name.clone()),
            unit: column.map_or(String::new(), |column| self.unit(column)),
            at: self.table.finding(Severity::Warning, mark, ""),
            corrected: column.and_then(|column| self.claim(column, raw())),
            factor: factor::factor(self.table, used).filter(|_| !raw()),
            boost: beside::boost(self.table, used),
            among: columns
                .among
                .iter()
                .map(|&i| self.table.columns[i].name.clone())
                .collect(),
            beside: column.and_then(|column| beside::other(self.table, column)),
            weather: weather::stated(self.table),
        }
    }

    /// Unit of what was measured as the file has it; empty where it has none.
    fn unit(&self, column: usize) -> String {
        let in_words = || {
            let all = [&columns::OF_TORQUE, &columns::OF_POWER].into_iter();
            let mut units = all.filter_map(|of| choice::unit_in_words(self.table, column, of));
            units.next().map(|(written, _)| written)
        };
        let written = self.table.written_unit(column).or_else(in_words);
        written.unwrap_or_default().to_owned()
    }

    /// What the heading of what was measured says of correction, or a line beside the table: that is of another
    /// column where this one is `raw`.
    fn claim(&self, column: usize, raw: bool) -> Option<(Claim, String, Finding)> {
        let at = |mark| self.table.finding(Severity::Warning, mark, "");
        let written = self.table.heading(column);
        let mark = self.table.columns[column].mark;
        let heading = corrected::in_heading(&written).map(|claim| (claim, written, at(mark)));
        let line = || {
            self.table.notes().find_map(|(mark, line)| {
                let claim = corrected::in_line(line)?;
                Some((claim, line.trim().to_owned(), at(mark)))
            })
        };
        match heading {
            // A line may name the standard that the heading leaves open.
            Some(heading) if heading.0.to.is_empty() => line()
                .filter(|line| !line.0.to.is_empty())
                .or(Some(heading)),
            Some(heading) => Some(heading),
            None if raw => None,
            None => line(),
        }
    }

    /// Whether the heading of a column says that its figures are corrected.
    fn is_corrected(&self, column: Option<usize>) -> bool {
        column.is_some_and(|column| corrected::in_heading(&self.table.heading(column)).is_some())
    }

    pub(super) fn mark(&self, row: usize) -> Mark {
        let speed = self.columns.rpm.or(self.columns.speed);
        self.table.mark(self.rows[row], speed.unwrap_or(0))
    }

    /// Rows enough within the engine speeds that count.
    fn check_range(&self, findings: &mut Findings) -> Option<()> {
        let Some((from, to)) = self.settings.counts else {
            return Some(());
        };
        if self.rows.len() >= FEWEST_POINTS || self.beyond == 0 {
            return Some(());
        }
        let text = format!(
            "{} of {} in this pull lie within the engine speeds that count, {from:.0} to {to:.0} rpm: fewer than \
             {FEWEST_POINTS} tell nothing of a curve",
            self.rows.len(),
            self.rows.len() + self.beyond
        );
        let finding = self.table.finding(Severity::Error, Mark::default(), text);
        let remedy = "look at `from` and `up_to` in the test day; a pull of which nothing counts is set aside: \
                      `set_aside: why`";
        findings.push(finding.remedy(remedy));
        None
    }

    /// Times that run on, and engine speeds that an engine has.
    fn check_rows(&self, rows: &Rows, findings: &mut Findings) -> Option<()> {
        let before = findings.errors();
        let fault =
            |row: usize, text: String| self.table.finding(Severity::Error, self.mark(row), text);
        if let Some(time) = &rows.time
            && let Some(back) = (1..time.len()).find(|&i| time[i] < time[i - 1])
        {
            let text = format!("time runs backwards in row {}", self.rows[back] + 1);
            let remedy = "where a file holds several pulls, number them in a column named `pull`";
            findings.push(fault(back, text).remedy(remedy));
        }
        if let Some(low) = rows.rpm.iter().position(|n| *n < 0.0) {
            let text = format!("an engine speed of {} rpm", rows.rpm[low]);
            findings.push(fault(low, text).remedy("take the row out"));
        }
        let sane = |torque: &f64| torque.is_finite() && torque.abs() <= MOST_TORQUE;
        if let Some(row) = rows.torque.iter().position(|torque| !sane(torque)) {
            let text = format!(
                "row {}: torque or power that no engine has",
                self.rows[row] + 1
            );
            let lost = rows
                .torque
                .iter()
                .all(|torque| LOST.contains(&(torque / 1e3)));
            let remedy = match lost {
                true => {
                    "were decimals lost, 130359 for 130.359, in a spreadsheet that took the point for that of thousands? \
                     export the file again, and open it nowhere in between"
                }
                false => "check the unit of the column",
            };
            findings.push(fault(row, text).remedy(remedy));
        }
        let most = rows.rpm.iter().copied().fold(0.0, f64::max);
        if let Some(remedy) = in_full(most) {
            let text = format!("the highest engine speed is {most} rpm");
            findings.push(fault(0, text).remedy(remedy));
        } else if most > FASTEST {
            let row = rows.rpm.iter().position(|&n| n == most).unwrap_or(0);
            let text = format!("an engine speed of {most:.0} rpm");
            findings.push(fault(row, text).remedy(
                "engine speeds up to 25,000 rpm are read: take the row out if it is the tachometer's hiccup",
            ));
        }
        (findings.errors() == before).then_some(())
    }

    /// What is wrong with torque that is one figure in every row of a log, where it is called a reference or stands
    /// beside a share of it in per cent: what it is a share of, and no engine's curve.
    fn constant(&self, made: &Conditioned) -> Option<Finding> {
        // Few rows of a sheet may lie on a plateau.
        if made.used.len() < LOGGED {
            return None;
        }
        let mut used = made.used.iter().map(|&i| self.values.torque[self.rows[i]]);
        let first = used.next()?;
        let column = self
            .columns
            .torque
            .filter(|_| used.all(|torque| torque == first))?;
        let heading = &self.table.columns[column];
        let named = heading.name.to_lowercase();
        let is_named = REFERENCES.iter().any(|word| named.contains(word));
        let share = |column: usize| {
            let heading = self.table.heading(column).to_lowercase();
            heading.contains('%') && SHARES.iter().any(|word| heading.contains(word))
        };
        if !is_named && !(0..self.table.columns.len()).any(share) {
            return None;
        }
        let text = format!(
            "{} is {} in every row: no engine's torque",
            quoted(&heading.name),
            self.table.cell(self.rows[0], column)
        );
        let finding = self.table.finding(Severity::Error, heading.mark, text);
        Some(finding.remedy(
            "a reference or a rated figure? head the column that was measured `torque`; what an engine's computer makes of \
             it in per cent is reckoned, not measured, and knows nothing of other parts",
        ))
    }

    /// Enough points, and torque above zero at all of them.
    fn check_points(&self, rows: &Rows, made: &Conditioned, findings: &mut Findings) -> Option<()> {
        let row = |i: usize| made.used.get(i).copied().unwrap_or(0);
        if made.rpm.len() < FEWEST_POINTS {
            let text = format!(
                "{} in this pull: fewer than {FEWEST_POINTS} tell nothing of a curve",
                counted(made.rpm.len(), "engine speed")
            );
            let finding = self.table.finding(Severity::Error, self.mark(row(0)), text);
            let remedy = match made.handling.logged && self.settings.method == Method::Steps {
                true => unheld(rows),
                false => "eight to twelve, evenly spread, make a good sheet".to_owned(),
            };
            findings.push(finding.remedy(remedy));
            return None;
        }
        if let Some(finding) = self.constant(made) {
            findings.push(finding);
            return None;
        }
        let low = made
            .used
            .iter()
            .copied()
            .find(|&i| self.values.torque[self.rows[i]] <= 0.0);
        if let Some(low) = low {
            let at = self.rows[low];
            let column = self.columns.torque.or(self.columns.power);
            let mark = self.table.mark(at, column.unwrap_or(0));
            let text = format!(
                "row {}: at full throttle torque and power are above zero",
                at + 1
            );
            let finding = self.table.finding(Severity::Error, mark, text);
            let pulls = |&i: &usize| self.values.torque[self.rows[i]] > 0.0;
            let remedy = match made.used.iter().any(pulls) {
                true => "take out rows where the engine is not pulling",
                false => {
                    "no row is: if the sign is the dyno's own, turn it round in the whole column"
                }
            };
            findings.push(finding.remedy(remedy));
            return None;
        }
        Some(())
    }
}

/// What a log needs in which the engine is held at too few speeds.
fn unheld(rows: &Rows) -> String {
    let most = counted(most_rows(rows), "row");
    let over = match rows.time {
        Some(_) => ", over a second",
        None => "",
    };
    format!(
        "`method: steps` reads where the engine is held, at {FEWEST_POINTS} speeds or more: two rows or more one after \
         another within 25 rpm{over}; here the longest such stretch has {most}; is this a sweep? say `dyno: {{method: sweep}}`"
    )
}
