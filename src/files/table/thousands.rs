//! Commas and points that part thousands, told from those that part decimals by the whole column.

use super::Table;
use crate::files::finding::{Finding, Severity, quoted};
use crate::units::{self, Dimension, ENGINE_SPEED};

/// Highest engine speed, rpm, of a column read with decimals below which they cannot be meant.
const NO_ENGINE: f64 = 300.0;
/// Rows in which a decimal point is looked for.
const LOOKED_AT: usize = 400;

/// What parts the thousands of a column, beside the blanks and apostrophes that part nothing else.
#[derive(Debug, Clone, Copy)]
pub(super) struct Thousands {
    pub commas: bool,
    pub points: bool,
}

impl Thousands {
    /// The value of a cell whose thousands are parted.
    pub fn whole(self, cell: &str) -> Option<f64> {
        if self.points {
            return units::grouped_by_points(cell);
        }
        let parted = units::grouped(cell).filter(|(_, mark)| self.commas || *mark != ',');
        parted.map(|(value, _)| value)
    }
}

impl Table {
    /// Whether `2,500` in a column is two and a half thousand: where the table has decimal points, the
    /// column has numbers such as `1,234.5`, or no engine turns as slowly as decimals would say.
    ///
    /// # Errors
    /// Nothing tells: one finding for the column.
    pub(super) fn thousands(
        &self,
        column: usize,
        dimension: &'static Dimension,
    ) -> Result<bool, Box<Finding>> {
        let cells = (0..self.height()).map(|row| (row, self.cell(row, column)));
        let commas = cells.filter(|(_, cell)| cell.contains(','));
        let mut parted = Vec::new();
        for (row, cell) in commas {
            match units::grouped(units::apart(cell).0) {
                Some((value, ',')) => parted.push((row, cell, value)),
                _ => return Ok(false),
            }
        }
        let Some(&(row, cell, _)) = parted.first() else {
            return Ok(false);
        };
        let most = parted.iter().fold(0.0, |most: f64, part| most.max(part.2));
        let no_engine = std::ptr::eq(dimension, &ENGINE_SPEED) && most / 1000.0 < NO_ENGINE;
        let sure = |cell: &str| cell.contains('.') || cell.matches(',').count() > 1;
        if no_engine || parted.iter().any(|(_, cell, _)| sure(cell)) {
            return Ok(true);
        }
        if self.layout.decimal_comma {
            return Ok(false);
        }
        if self.has_points() {
            return Ok(true);
        }
        let as_written = (cell.replace(',', "."), cell.replace(',', ""));
        Err(self.two_ways(row, column, as_written))
    }

    /// Whether `2.500` in a column is two and a half thousand: where the table has decimal commas, and the column
    /// has numbers such as `1.234,5` or no engine turns as slowly as decimals would say.
    ///
    /// # Errors
    /// Nothing tells: one finding for the column.
    pub(super) fn thousands_by_points(
        &self,
        column: usize,
        dimension: &'static Dimension,
    ) -> Result<bool, Box<Finding>> {
        if !self.layout.decimal_comma {
            return Ok(false);
        }
        let cells = (0..self.height()).map(|row| (row, self.cell(row, column)));
        let mut parted = Vec::new();
        for (row, cell) in cells.filter(|(_, cell)| cell.contains('.')) {
            match units::grouped_by_points(cell) {
                Some(value) => parted.push((row, cell, value)),
                None => return Ok(false),
            }
        }
        let Some(&(row, cell, _)) = parted.first() else {
            return Ok(false);
        };
        let most = parted.iter().fold(0.0, |most: f64, part| most.max(part.2));
        let no_engine = std::ptr::eq(dimension, &ENGINE_SPEED) && most / 1000.0 < NO_ENGINE;
        let sure = |cell: &str| cell.contains(',') || cell.matches('.').count() > 1;
        if no_engine || parted.iter().any(|(_, cell, _)| sure(cell)) {
            return Ok(true);
        }
        let as_written = (cell.replace('.', ","), cell.replace('.', ""));
        Err(self.two_ways(row, column, as_written))
    }

    /// The fault of a cell that may be meant as either of two figures.
    fn two_ways(&self, row: usize, column: usize, either: (String, String)) -> Box<Finding> {
        let text = format!(
            "{} in row {} and others: {} can be read in two ways",
            quoted(&self.columns[column].name),
            row + 1,
            quoted(self.cell(row, column))
        );
        let remedy = format!("write {} or {} throughout", either.0, either.1);
        let finding = self.finding(Severity::Error, self.mark(row, column), text);
        Box::new(finding.remedy(remedy))
    }

    /// Whether some cell is a number with a decimal point.
    fn has_points(&self) -> bool {
        let decimal = |cell: &str| cell.contains('.') && cell.parse::<f64>().is_ok();
        let mut rows = 0..self.height().min(LOOKED_AT);
        rows.any(|row| (0..self.columns.len()).any(|column| decimal(self.cell(row, column))))
    }
}
