//! Dense matrices of a test day's size: tens of rows, symmetric positive definite where inverted.

use std::ops::{Index, IndexMut};

/// A matrix, row by row.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Matrix {
    rows: usize,
    columns: usize,
    cells: Vec<f64>,
}

impl Index<(usize, usize)> for Matrix {
    type Output = f64;
    fn index(&self, (row, column): (usize, usize)) -> &f64 {
        &self.cells[row * self.columns + column]
    }
}

impl IndexMut<(usize, usize)> for Matrix {
    fn index_mut(&mut self, (row, column): (usize, usize)) -> &mut f64 {
        &mut self.cells[row * self.columns + column]
    }
}

impl Matrix {
    /// A matrix from a function of row and column.
    pub fn new(rows: usize, columns: usize, cell: impl Fn(usize, usize) -> f64) -> Self {
        let cells = (0..rows * columns)
            .map(|i| cell(i / columns, i % columns))
            .collect();
        Self {
            rows,
            columns,
            cells,
        }
    }

    /// How many rows.
    pub fn rows(&self) -> usize {
        self.rows
    }

    /// Number of columns.
    pub fn columns(&self) -> usize {
        self.columns
    }

    /// One row.
    pub fn row(&self, row: usize) -> &[f64] {
        &self.cells[row * self.columns..(row + 1) * self.columns]
    }

    /// Rows and columns exchanged.
    pub fn transposed(&self) -> Self {
        Self::new(self.columns, self.rows, |i, j| self[(j, i)])
    }

    /// Product with another matrix.
    pub fn times(&self, other: &Self) -> Self {
        let mut product = Self::new(self.rows, other.columns, |_, _| 0.0);
        for i in 0..self.rows {
            for k in 0..self.columns {
                let factor = self[(i, k)];
                if factor != 0.0 {
                    for j in 0..other.columns {
                        product[(i, j)] += factor * other[(k, j)];
                    }
                }
            }
        }
        product
    }

    /// Product with a column of numbers.
    pub fn times_vector(&self, vector: &[f64]) -> Vec<f64> {
        (0..self.rows)
            .map(|row| dot(self.row(row), vector))
            .collect()
    }

    /// This less another of the same size.
    pub fn minus(&self, other: &Self) -> Self {
        Self::new(self.rows, self.columns, |i, j| self[(i, j)] - other[(i, j)])
    }

    /// Sum of the diagonal of the product with another matrix.
    pub fn trace_with(&self, other: &Self) -> f64 {
        let mut sum = 0.0;
        for i in 0..self.rows {
            for k in 0..self.columns {
                sum += self[(i, k)] * other[(k, i)];
            }
        }
        sum
    }

    /// The lower Cholesky factor; `None` where the matrix is not positive definite.
    pub fn cholesky(&self) -> Option<Self> {
        let n = self.rows;
        let mut lower = Self::new(n, n, |_, _| 0.0);
        for i in 0..n {
            for j in 0..=i {
                let inner: f64 = dot(&lower.row(i)[..j], &lower.row(j)[..j]);
                let left = self[(i, j)] - inner;
                if i == j {
                    if left.is_nan() || left <= 0.0 {
                        return None;
                    }
                    lower[(i, i)] = left.sqrt();
                } else {
                    lower[(i, j)] = left / lower[(j, j)];
                }
            }
        }
        Some(lower)
    }

    /// The inverse of a symmetric positive definite matrix; `None` where it is not.
    pub fn inverse(&self) -> Option<Self> {
        let n = self.rows;
        let lower = self.cholesky()?;
        let mut inverse = Self::new(n, n, |_, _| 0.0);
        let mut column = vec![0.0; n];
        for j in 0..n {
            for i in 0..n {
                let unit = if i == j { 1.0 } else { 0.0 };
                column[i] = (unit - dot(&lower.row(i)[..i], &column[..i])) / lower[(i, i)];
            }
            for i in (0..n).rev() {
                let above: f64 = (i + 1..n).map(|k| lower[(k, i)] * column[k]).sum();
                column[i] = (column[i] - above) / lower[(i, i)];
            }
            for (i, value) in column.iter().enumerate() {
                inverse[(i, j)] = *value;
            }
        }
        Some(inverse)
    }
}

/// Sum of products.
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn analytic_inverse_of_compound_symmetry() {
        // (b I + a 11')⁻¹ = (I − a/(b + n a) 11')/b
        let (a, b, n) = (0.7, 0.3, 5);
        let unit = |i: usize, j: usize| if i == j { 1.0 } else { 0.0 };
        let matrix = Matrix::new(n, n, |i, j| a + b * unit(i, j));
        let inverse = matrix.inverse().unwrap();
        for i in 0..n {
            for j in 0..n {
                let wanted = (unit(i, j) - a / (b + n as f64 * a)) / b;
                assert_relative_eq!(inverse[(i, j)], wanted, epsilon = 1e-12);
            }
        }
        let product = matrix.times(&inverse);
        assert_relative_eq!(
            product.trace_with(&Matrix::new(n, n, unit)),
            5.0,
            epsilon = 1e-12
        );
    }

    #[test]
    fn what_has_no_inverse_gives_none() {
        let singular = Matrix::new(2, 2, |_, _| 1.0);
        assert!(singular.inverse().is_none());
        assert!(Matrix::new(1, 1, |_, _| f64::NAN).cholesky().is_none());
    }
}
