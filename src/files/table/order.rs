//! The order of rows, as spreadsheets change it that sort a table by one of its columns.

use super::Table;
use super::rows::Rows;

/// Fewest figures that tell, and the share of them that are new.
const FEWEST: usize = 5;
const DISTINCT: f64 = 0.3;

/// Whether figures never step back, or never forward, and are not all alike; what was worked out from others carries
/// their rounding to the last bits.
pub fn in_order(figures: &[f64]) -> bool {
    let near = |a: f64, b: f64| (a - b).abs() <= 1e-9 * a.abs().max(b.abs());
    let goes = |sign: f64| {
        let on = |pair: &[f64]| sign * (pair[1] - pair[0]) >= 0.0 || near(pair[0], pair[1]);
        figures.windows(2).all(on)
    };
    let own = figures.windows(2).filter(|pair| !near(pair[0], pair[1]));
    let own = own.count() + 1;
    let tells = own >= FEWEST && own as f64 >= DISTINCT * figures.len() as f64;
    tells && (goes(1.0) || goes(-1.0))
}

/// Whether no figure stands twice.
pub fn each_once(mut figures: Vec<f64>) -> bool {
    figures.sort_by(f64::total_cmp);
    figures.windows(2).all(|pair| pair[0] < pair[1])
}

impl Table {
    /// Puts the rows in rising order of these figures, one of each row.
    pub fn put_in_order(&mut self, key: &[f64]) {
        let mut order: Vec<usize> = (0..self.height()).collect();
        order.sort_by(|&a, &b| key[a].total_cmp(&key[b]));
        let width = self.columns.len();
        let mut rows = Rows::none_of(&self.rows);
        for row in order {
            rows.take_over(&self.rows, row, row * width..(row + 1) * width);
        }
        self.rows = rows;
    }
}
