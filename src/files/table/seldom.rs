//! Columns that are filled in one row of several, as where channels of different rates share a file.

use super::{Table, cell::is_gap};
use crate::files::finding::{Findings, quoted};
use crate::units::Dimension;

/// Fewest filled rows that tell.
const FEWEST: usize = 5;
/// So large a share of the steps from one filled row to the next are about the usual one.
const REGULAR: f64 = 0.9;
/// A longer step than so many usual ones is a loss, and nothing is put into it.
const LONGEST: usize = 10;

/// A column that is empty in most rows and filled regularly.
#[derive(Debug, Clone)]
pub struct Seldom {
    /// The rows that are filled.
    rows: Vec<usize>,
    /// The usual step from one to the next.
    pub every: usize,
    /// The longest stretch without a value, at the ends too.
    longest: usize,
}

impl Table {
    /// Whether a cell says that there is no value.
    pub fn is_empty(&self, row: usize, column: usize) -> bool {
        is_gap(self.cell(row, column))
    }

    /// Whether a column is empty in most rows and filled regularly.
    pub fn seldom(&self, column: usize) -> Option<Seldom> {
        let filled = |&row: &usize| !self.is_empty(row, column);
        let rows: Vec<usize> = (0..self.height()).filter(filled).collect();
        if rows.len() < FEWEST || 2 * rows.len() > self.height() + 1 {
            return None;
        }
        let mut steps: Vec<usize> = rows.windows(2).map(|pair| pair[1] - pair[0]).collect();
        steps.sort_unstable();
        let every = steps[steps.len() / 2];
        let near = (every / 2).max(1);
        let usual = steps.iter().filter(|step| step.abs_diff(every) <= near);
        let ends = rows[0].max(self.height() - 1 - rows[rows.len() - 1]);
        (every > 1 && usual.count() as f64 >= REGULAR * steps.len() as f64).then(|| Seldom {
            every,
            longest: ends.max(steps[steps.len() - 1]),
            rows,
        })
    }

    /// As [`Table::numbers`]; a column that is filled in one row of several is interpolated over `at`, which
    /// rises with the rows, and that is listed as assumed.
    pub fn numbers_between(
        &self,
        column: usize,
        dimension: &'static Dimension,
        bare: Option<&str>,
        at: &[f64],
        findings: &mut Findings,
    ) -> Option<Vec<f64>> {
        let Some(seldom) = self
            .seldom(column)
            .filter(|seldom| seldom.longest <= LONGEST * seldom.every)
        else {
            return self.numbers(column, dimension, bare, findings);
        };
        let values = self.with_gaps(column, dimension, bare, findings)?;
        let heading = &self.columns[column];
        let text = format!(
            "{} is filled in one row of {}: interpolated between them",
            quoted(&heading.name),
            seldom.every
        );
        findings.push(self.assumed("rows", heading.mark, text));
        Some(filled(&values, &seldom.rows, at))
    }
}

/// Values between the known ones by what `at` says, before the first and behind the last as those are.
pub fn filled(values: &[Option<f64>], known: &[usize], at: &[f64]) -> Vec<f64> {
    let value = |row: usize| values[row].unwrap_or_default();
    let mut next = 0;
    (0..values.len())
        .map(|row| {
            while next < known.len() && known[next] < row {
                next += 1;
            }
            let (before, after) = (next.saturating_sub(1), next.min(known.len() - 1));
            let (a, b) = (known[before], known[after]);
            if row <= a || a == b || row >= b {
                return value(if row <= a { a } else { b });
            }
            let share = match at[b] > at[a] {
                true => ((at[row] - at[a]) / (at[b] - at[a])).clamp(0.0, 1.0),
                false => (row - a) as f64 / (b - a) as f64,
            };
            value(a) + share * (value(b) - value(a))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::files::source::Source;
    use crate::units::LENGTH;

    fn table(rows: &str) -> Table {
        let source = Source::new("run.csv", format!("at,height (m)\n{rows}"));
        Table::parse(source, &mut Findings::new()).unwrap()
    }

    #[test]
    fn what_is_filled_regularly_is_interpolated_in_time() {
        let rows = "0,10\n1,\n2,\n4,18\n5,\n6,\n8,10\n9,\n10,\n12,2\n13,\n14,\n16,6\n17,\n";
        let table = table(rows);
        let at = table
            .numbers(0, &LENGTH, Some("m"), &mut Findings::new())
            .unwrap();
        let mut findings = Findings::new();
        let found = table
            .numbers_between(1, &LENGTH, None, &at, &mut findings)
            .unwrap();
        let wanted = [
            10.0, 12.0, 14.0, 18.0, 16.0, 14.0, 10.0, 8.0, 6.0, 2.0, 3.0, 4.0, 6.0, 6.0,
        ];
        assert_eq!(found, wanted);
        assert!(
            format!("{findings:?}").contains("one row of 3"),
            "{findings:?}"
        );
    }

    /// A channel of every third row that falls silent for long, amid the run or at its end.
    #[test]
    fn nothing_is_put_into_a_long_loss() {
        for silent in [60..120, 150..200] {
            let row = |row: usize| match row.is_multiple_of(3) && !silent.contains(&row) {
                true => format!("{row},{row}\n"),
                false => format!("{row},\n"),
            };
            let table = table(&(0..200).map(row).collect::<String>());
            assert!(table.seldom(1).is_some());
            let at: Vec<f64> = (0..200).map(f64::from).collect();
            let mut findings = Findings::new();
            let found = table.numbers_between(1, &LENGTH, None, &at, &mut findings);
            assert!(found.is_none() && findings.has_errors(), "{silent:?}");
        }
    }

    #[test]
    fn what_is_lost_is_no_slow_channel() {
        let mut lone = "0,1\n1,2\n2,3\n3,\n4,5\n5,6\n6,7\n7,8\n".to_owned();
        assert!(table(&lone).seldom(1).is_none());
        // Empty for long in the end, and between.
        (8..60).for_each(|row| lone += &format!("{row},\n"));
        let table = table(&lone);
        let at: Vec<f64> = (0..table.height()).map(|row| row as f64).collect();
        let mut findings = Findings::new();
        assert_eq!(
            table.numbers_between(1, &LENGTH, None, &at, &mut findings),
            None
        );
        assert!(findings.has_errors());
    }
}
