//! What would be told twice, or be read from one of two: columns of one name, faults of one row.

use super::{Table, folded};
use crate::files::finding::{Finding, Findings, Severity, quoted};

/// Share of the largest value of a column by which another of the same name may differ: of the same unit, as
/// through fewer decimals, and of another.
const OF_ONE_UNIT: f64 = 0.003;
const OF_TWO_UNITS: f64 = 0.01;

impl Table {
    /// Share of the largest value by which two columns of one name may differ.
    pub(super) fn may_differ(&self, one: usize, other: usize) -> f64 {
        match self.written_unit(one) == self.written_unit(other) {
            true => OF_ONE_UNIT,
            false => OF_TWO_UNITS,
        }
    }

    /// Refuses a column beside another of the same name that says something else; `differs` tells
    /// so of that column in a row, `None` where the two cannot be compared.
    pub(super) fn alone(
        &self,
        column: usize,
        differs: impl Fn(usize, usize) -> Option<bool>,
        findings: &mut Findings,
    ) -> bool {
        let name = folded(&self.columns[column].name);
        let twins = (0..self.columns.len())
            .filter(|&i| i != column && folded(&self.columns[i].name) == name);
        for twin in twins {
            let row = (0..self.height()).find(|&row| differs(twin, row) == Some(true));
            let Some(row) = row else { continue };
            let heading = |i: usize| {
                let mark = self.columns[i].mark;
                let line = self.source.line(mark.line).chars();
                let shown = line
                    .skip(mark.column as usize - 1)
                    .take(mark.width as usize);
                quoted(&shown.collect::<String>())
            };
            let (first, second) = (column.min(twin), column.max(twin));
            let text = format!(
                "columns {} and {} are both called {}, as {} and {}, and differ in row {}",
                first + 1,
                second + 1,
                quoted(&self.columns[column].name),
                heading(first),
                heading(second),
                row + 1
            );
            let finding = self.finding(Severity::Error, self.columns[second].mark, text);
            findings.push(finding.remedy(self.which_counts(first, second - first)));
            return false;
        }
        true
    }

    /// Remedy for a column and another of its name so far behind it: where all headings repeat so, from the first or
    /// behind those that all runs share, none need be lost.
    fn which_counts(&self, column: usize, apart: usize) -> &'static str {
        let name = |column: usize| folded(&self.columns[column].name);
        let last = (0..self.columns.len()).rfind(|&column| !name(column).is_empty());
        let end = last.map_or(0, |last| last + 1);
        let repeats = |behind: &usize| name(*behind) == name(*behind - apart);
        let repeating = (apart..end).rev().take_while(repeats).count();
        let start = end - apart - repeating;
        let repeat = repeating >= apart && start <= column;
        match repeat && apart > 1 {
            true => {
                "several runs side by side? give the columns of each a file of its own, or put them one under another \
                 with a column `pull` that numbers them"
            }
            false => "rename the one that does not count, or take it out",
        }
    }

    /// As the readers of numbers do, makes sure that no other column of this one's name has other
    /// cells.
    pub fn alone_as_written(&self, column: usize, findings: &mut Findings) -> bool {
        let differs = |twin, row| Some(self.cell(row, twin) != self.cell(row, column));
        self.alone(column, differs, findings)
    }

    /// Whether a fault of this row was told already.
    pub fn told(&self, row: usize, findings: &Findings) -> bool {
        told(
            &self.finding(Severity::Error, self.mark(row, 0), ""),
            findings,
        )
    }
}

/// Whether there is a fault on the line of this one.
pub fn told(finding: &Finding, findings: &Findings) -> bool {
    let line = |f: &Finding| f.position.as_ref().map(|p| (p.line, p.path.clone()));
    let here = line(finding).filter(|(line, _)| *line > 0);
    here.is_some() && findings.of(Severity::Error).any(|f| line(f) == here)
}
