//! Small dense matrices for linkages: at most some tens of rows.
//!
//! Written out rather than taken from a library: the one at hand picks its product's kernel by
//! processor (fused or not), and what is printed must not hang on that.

use std::ops::{Index, IndexMut};

/// A matrix, row after row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Dense {
    pub(super) rows: usize,
    pub(super) columns: usize,
    values: Vec<f64>,
}

impl Index<(usize, usize)> for Dense {
    type Output = f64;

    fn index(&self, (row, column): (usize, usize)) -> &f64 {
        &self.values[row * self.columns + column]
    }
}

impl IndexMut<(usize, usize)> for Dense {
    fn index_mut(&mut self, (row, column): (usize, usize)) -> &mut f64 {
        &mut self.values[row * self.columns + column]
    }
}

impl Dense {
    pub(super) fn zeros(rows: usize, columns: usize) -> Dense {
        Dense { rows, columns, values: vec![0.0; rows * columns] }
    }

    pub(super) fn from_fn(rows: usize, columns: usize, value: impl Fn(usize, usize) -> f64) -> Dense {
        let values = (0..rows * columns).map(|i| value(i / columns, i % columns)).collect();
        Dense { rows, columns, values }
    }

    pub(super) fn row(&self, row: usize) -> &[f64] {
        &self.values[row * self.columns..(row + 1) * self.columns]
    }

    pub(super) fn transposed(&self) -> Dense {
        Dense::from_fn(self.columns, self.rows, |i, j| self[(j, i)])
    }

    pub(super) fn times(&self, other: &Dense) -> Dense {
        Dense::from_fn(self.rows, other.columns, |i, j| (0..self.columns).map(|k| self[(i, k)] * other[(k, j)]).sum())
    }

    pub(super) fn times_vector(&self, vector: &[f64]) -> Vec<f64> {
        (0..self.rows).map(|i| self.row(i).iter().zip(vector).map(|(a, b)| a * b).sum()).collect()
    }

    /// Inverse of a square matrix by Gauss–Jordan with row pivots; `None` if a pivot falls below
    /// `least` times the greatest entry.
    pub(super) fn inverse(&self, least: f64) -> Option<Dense> {
        let n = self.rows;
        let mut left = self.clone();
        let mut right = Dense::from_fn(n, n, |i, j| if i == j { 1.0 } else { 0.0 });
        let floor = least * self.values.iter().fold(0.0f64, |m, v| m.max(v.abs()));
        for step in 0..n {
            let pivot = (step..n).max_by(|&i, &j| left[(i, step)].abs().total_cmp(&left[(j, step)].abs()))?;
            let size = left[(pivot, step)].abs();
            if size.is_nan() || size <= floor {
                return None;
            }
            for j in 0..n {
                left.values.swap(pivot * n + j, step * n + j);
                right.values.swap(pivot * n + j, step * n + j);
            }
            let scale = 1.0 / left[(step, step)];
            for j in 0..n {
                left[(step, j)] *= scale;
                right[(step, j)] *= scale;
            }
            for i in (0..n).filter(|&i| i != step) {
                let factor = left[(i, step)];
                for j in 0..n {
                    let (l, r) = (left[(step, j)], right[(step, j)]);
                    left[(i, j)] -= factor * l;
                    right[(i, j)] -= factor * r;
                }
            }
        }
        Some(right)
    }

    /// Lower factor of a symmetric positive semi-definite matrix; columns of directions without
    /// spread are nil.
    pub(super) fn lower_factor(&self) -> Dense {
        let n = self.rows;
        let mut lower = Dense::zeros(n, n);
        for j in 0..n {
            let rest = self[(j, j)] - lower.row(j)[..j].iter().map(|v| v * v).sum::<f64>();
            // Rounding leaves this share of the diagonal where nothing is left.
            if rest <= 1e-13 * self[(j, j)] {
                continue;
            }
            lower[(j, j)] = rest.sqrt();
            for i in j + 1..n {
                let sum: f64 = (0..j).map(|k| lower[(i, k)] * lower[(j, k)]).sum();
                lower[(i, j)] = (self[(i, j)] - sum) / lower[(j, j)];
            }
        }
        lower
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inverse_and_factor_multiply_back() {
        let a = Dense::from_fn(4, 4, |i, j| 1.0 / (1.0 + i as f64 + j as f64) + if i == j { 0.1 } else { 0.0 });
        let unit = a.times(&a.inverse(1e-12).unwrap());
        let l = a.lower_factor();
        let back = l.times(&l.transposed());
        for i in 0..4 {
            for j in 0..4 {
                assert!((unit[(i, j)] - if i == j { 1.0 } else { 0.0 }).abs() < 1e-12);
                assert!((back[(i, j)] - a[(i, j)]).abs() < 1e-14);
            }
        }
    }

    #[test]
    fn a_singular_matrix_has_no_inverse() {
        assert!(Dense::from_fn(3, 3, |i, j| (i + j) as f64).inverse(1e-9).is_none());
        assert!(Dense::from_fn(2, 2, |_, _| f64::NAN).inverse(1e-9).is_none());
    }
}
