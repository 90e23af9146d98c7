//! Symmetric matrices of some hundred rows: Cholesky factor, inverse, null space.
//!
//! Written out, because what is printed must not hang on which kernel a library picks by processor:
//! every sum here is taken in one order, eight partial sums side by side, on every machine. The one
//! decomposition taken from a library is that into eigenvectors, needed only where something is left
//! free. Rows are kept whole, so that both factors of every product lie side by side in memory. The
//! long loops run in the widest registers there are (`pulp`); nothing is fused, so the bits are the same
//! in any.

use nalgebra::{DMatrix, SymmetricEigen};
use pulp::{Arch, Simd, WithSimd};

/// Eigenvalues of the scaled matrix below this share of the greatest are taken as nil: the
/// direction is free (docs/design/proof.md 4).
pub(super) const FREE: f64 = 1e-8;

/// A symmetric matrix; both halves are kept alike.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Symmetric {
    n: usize,
    values: Vec<f64>,
}

/// Lower factor of a positive definite matrix.
#[derive(Clone, Debug)]
pub(super) struct Factor {
    n: usize,
    rows: Vec<f64>,
}

impl Symmetric {
    pub(super) fn zeros(n: usize) -> Symmetric {
        Symmetric { n, values: vec![0.0; n * n] }
    }

    pub(super) fn n(&self) -> usize {
        self.n
    }

    pub(super) fn at(&self, i: usize, j: usize) -> f64 {
        self.values[i * self.n + j]
    }

    pub(super) fn row(&self, i: usize) -> &[f64] {
        &self.values[i * self.n..(i + 1) * self.n]
    }

    /// Adds to an entry and its mirror image.
    pub(super) fn add(&mut self, i: usize, j: usize, value: f64) {
        self.values[i * self.n + j] += value;
        if i != j {
            self.values[j * self.n + i] += value;
        }
    }

    /// Adds factor · a aᵀ, a given by its entries that are not nil.
    pub(super) fn add_square(&mut self, terms: &[(usize, f64)], factor: f64) {
        for &(i, a) in terms {
            let row = &mut self.values[i * self.n..(i + 1) * self.n];
            for &(j, b) in terms {
                row[j] += factor * a * b;
            }
        }
    }

    /// Adds factor · a aᵀ.
    pub(super) fn add_outer(&mut self, a: &[f64], factor: f64) {
        for (i, &ai) in a.iter().enumerate() {
            if ai != 0.0 {
                let scale = factor * ai;
                for (v, aj) in self.values[i * self.n..(i + 1) * self.n].iter_mut().zip(a) {
                    *v += scale * aj;
                }
            }
        }
    }

    /// The matrix times a vector.
    pub(super) fn times(&self, vector: &[f64]) -> Vec<f64> {
        (0..self.n).map(|i| dot(self.row(i), vector)).collect()
    }

    /// The matrix times a vector given by its entries that are not nil.
    pub(super) fn times_sparse(&self, terms: &[(usize, f64)]) -> Vec<f64> {
        let mut out = vec![0.0; self.n];
        for &(i, a) in terms {
            for (o, v) in out.iter_mut().zip(self.row(i)) {
                *o += a * v;
            }
        }
        out
    }

    /// aᵀ M b of two vectors given by their entries that are not nil.
    pub(super) fn between(&self, a: &[(usize, f64)], b: &[(usize, f64)]) -> f64 {
        a.iter().map(|&(i, x)| x * b.iter().map(|&(j, y)| self.at(i, j) * y).sum::<f64>()).sum()
    }

    /// Cholesky factor; `None` where a pivot is not above `least` times its diagonal entry.
    pub(super) fn factor(&self, least: f64) -> Option<Factor> {
        Arch::new().dispatch(Factoring(self, least))
    }

    #[inline(always)]
    fn factored<S: Simd>(&self, simd: S, least: f64) -> Option<Factor> {
        let n = self.n;
        let mut rows = vec![0.0; n * n];
        for first in (0..n).step_by(TOGETHER) {
            let count = TOGETHER.min(n - first);
            let (done, rest) = rows.split_at_mut(first * n);
            let mut block = rest[..count * n].chunks_exact_mut(n);
            // Columns of rows done before, for all rows of the block at once.
            if let (Some(a), Some(b), Some(c), Some(d)) = (block.next(), block.next(), block.next(), block.next()) {
                let own = [0, 1, 2, 3].map(|k| self.row(first + k));
                for j in 0..first {
                    let other = &done[j * n..j * n + n];
                    let sums = dots(simd, [&a[..j], &b[..j], &c[..j], &d[..j]], &other[..j]);
                    a[j] = (own[0][j] - sums[0]) * other[j];
                    b[j] = (own[1][j] - sums[1]) * other[j];
                    c[j] = (own[2][j] - sums[2]) * other[j];
                    d[j] = (own[3][j] - sums[3]) * other[j];
                }
            } else {
                for (k, row) in rest[..count * n].chunks_exact_mut(n).enumerate() {
                    let own = self.row(first + k);
                    for j in 0..first {
                        let other = &done[j * n..j * n + n];
                        row[j] = (own[j] - one(simd, &row[..j], &other[..j])) * other[j];
                    }
                }
            }
            // What the rows of the block have among themselves.
            for i in first..first + count {
                let (done, rest) = rows.split_at_mut(i * n);
                let row = &mut rest[..n];
                let own = self.row(i);
                for j in first..i {
                    let other = &done[j * n..j * n + n];
                    row[j] = (own[j] - one(simd, &row[..j], &other[..j])) * other[j];
                }
                let pivot = own[i] - one(simd, &row[..i], &row[..i]);
                // NaN is refused with the rest
                if !(pivot > least * own[i] && pivot > 0.0) {
                    return None;
                }
                // the reciprocal is kept: every use divides by it
                row[i] = 1.0 / pivot.sqrt();
            }
        }
        Some(Factor { n, rows })
    }

    /// The factor where nothing is free and that can be told without eigenvectors: 1/λ of the least
    /// eigenvalue of the scaled matrix is at most the trace of its inverse, and the greatest is at most
    /// its own trace n.
    pub(super) fn factor_if_fixed(&self) -> Option<Factor> {
        let factor = self.factor(1e-12)?;
        let trace: f64 = factor.inverse_diagonal().iter().enumerate().map(|(i, v)| v * self.at(i, i)).sum();
        (1.0 / trace > FREE * self.n as f64).then_some(factor)
    }

    /// An orthonormal basis of the null space of the matrix, each vector scaled back from the matrix
    /// whose diagonal is one; empty where nothing is free.
    pub(super) fn null_space(&self) -> Vec<Vec<f64>> {
        let n = self.n;
        if n == 0 {
            return Vec::new();
        }
        if self.factor_if_fixed().is_some() {
            return Vec::new();
        }
        let scale: Vec<f64> =
            (0..n).map(|i| if self.at(i, i) > 0.0 { 1.0 / self.at(i, i).sqrt() } else { 1.0 }).collect();
        let mut scaled = Symmetric::zeros(n);
        for i in 0..n {
            for j in 0..n {
                scaled.values[i * n + j] = self.at(i, j) * scale[i] * scale[j];
            }
        }
        let eigen = SymmetricEigen::new(DMatrix::from_row_slice(n, n, &scaled.values));
        let greatest = eigen.eigenvalues.iter().fold(0.0f64, |m, v| m.max(*v));
        let free = (0..n).filter(|&k| eigen.eigenvalues[k] <= FREE * greatest);
        let vectors =
            free.map(|k| (0..n).map(|i| eigen.eigenvectors[(i, k)] * scale[i]).collect::<Vec<f64>>()).collect();
        orthonormal(vectors)
    }
}

/// Gram–Schmidt, twice; vectors that depend on those before are left out.
pub(super) fn orthonormal(vectors: Vec<Vec<f64>>) -> Vec<Vec<f64>> {
    /// What is left of a vector that depends on others, relative to it.
    const DEPENDENT: f64 = 1e-6;
    let mut out: Vec<Vec<f64>> = Vec::with_capacity(vectors.len());
    for mut vector in vectors {
        let before = dot(&vector, &vector).sqrt();
        for _ in 0..2 {
            for other in &out {
                let share = dot(&vector, other);
                for (v, o) in vector.iter_mut().zip(other) {
                    *v -= share * o;
                }
            }
        }
        let left = dot(&vector, &vector).sqrt();
        if left > DEPENDENT * before && left > 0.0 {
            vector.iter_mut().for_each(|v| *v /= left);
            out.push(vector);
        }
    }
    out
}

impl Factor {
    /// Solves M x = b.
    pub(super) fn solve(&self, b: &[f64]) -> Vec<f64> {
        let n = self.n;
        let mut x = self.half(b);
        for i in (0..n).rev() {
            let row = &self.rows[i * n..i * n + i + 1];
            x[i] *= row[i];
            let value = x[i];
            for (x, l) in x[..i].iter_mut().zip(row) {
                *x -= value * l;
            }
        }
        x
    }

    /// Solves L x = b.
    pub(super) fn half(&self, b: &[f64]) -> Vec<f64> {
        let n = self.n;
        let mut x = b.to_vec();
        for i in 0..n {
            let row = &self.rows[i * n..i * n + i + 1];
            x[i] = (x[i] - dot(&row[..i], &x[..i])) * row[i];
        }
        x
    }

    /// Rows of the transposed inverse of L: row i has its entries from column i on.
    fn inverse_rows(&self) -> Vec<f64> {
        Arch::new().dispatch(InvertingRows(self))
    }

    #[inline(always)]
    fn inverted_rows<S: Simd>(&self, simd: S) -> Vec<f64> {
        let n = self.n;
        let mut t = vec![0.0; n * n];
        for (block, rows) in t.chunks_mut(TOGETHER * n).enumerate() {
            let first = block * TOGETHER;
            let count = rows.len() / n;
            // The block's own corner, then all further columns for its rows at once.
            for (at, row) in rows.chunks_exact_mut(n).enumerate() {
                let i = first + at;
                row[i] = self.rows[i * n + i];
                for k in i + 1..first + count {
                    let l = &self.rows[k * n..k * n + n];
                    row[k] = -one(simd, &l[i..k], &row[i..k]) * l[k];
                }
            }
            let mut each = rows.chunks_exact_mut(n);
            if let (Some(a), Some(b), Some(c), Some(d)) = (each.next(), each.next(), each.next(), each.next()) {
                for k in first + TOGETHER..n {
                    let l = &self.rows[k * n..k * n + n];
                    let sums = dots(simd, [&a[first..k], &b[first..k], &c[first..k], &d[first..k]], &l[first..k]);
                    a[k] = -sums[0] * l[k];
                    b[k] = -sums[1] * l[k];
                    c[k] = -sums[2] * l[k];
                    d[k] = -sums[3] * l[k];
                }
            }
        }
        t
    }

    /// The inverse of M.
    pub(super) fn inverse(&self) -> Symmetric {
        let t = self.inverse_rows();
        Arch::new().dispatch(Inverting(self, &t))
    }

    #[inline(always)]
    fn inverted<S: Simd>(&self, simd: S, t: &[f64]) -> Symmetric {
        let n = self.n;
        let mut values = vec![0.0; n * n];
        let mut put = |i: usize, j: usize, value: f64| {
            values[i * n + j] = value;
            values[j * n + i] = value;
        };
        for first in (0..n).step_by(TOGETHER) {
            let row = |i: usize| &t[i * n + first..(i + 1) * n];
            let count = TOGETHER.min(n - first);
            if count == TOGETHER {
                let block = [0, 1, 2, 3].map(|k| row(first + k));
                for j in 0..first {
                    for (k, value) in dots(simd, block, row(j)).into_iter().enumerate() {
                        put(first + k, j, value);
                    }
                }
            } else {
                (first..n).for_each(|i| (0..first).for_each(|j| put(i, j, one(simd, row(i), row(j)))));
            }
            (first..first + count).for_each(|i| (first..=i).for_each(|j| put(i, j, one(simd, row(i), row(j)))));
        }
        Symmetric { n, values }
    }

    fn inverse_diagonal(&self) -> Vec<f64> {
        let n = self.n;
        let t = self.inverse_rows();
        (0..n).map(|i| dot(&t[i * n + i..(i + 1) * n], &t[i * n + i..(i + 1) * n])).collect()
    }
}

/// The long loops as what `pulp` runs in the widest registers; a closure would not be inlined there.
struct Factoring<'a>(&'a Symmetric, f64);
/// See [`Factoring`].
struct InvertingRows<'a>(&'a Factor);
/// See [`Factoring`].
struct Inverting<'a>(&'a Factor, &'a [f64]);

impl WithSimd for Factoring<'_> {
    type Output = Option<Factor>;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Option<Factor> {
        self.0.factored(simd, self.1)
    }
}

impl WithSimd for InvertingRows<'_> {
    type Output = Vec<f64>;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Vec<f64> {
        self.0.inverted_rows(simd)
    }
}

impl WithSimd for Inverting<'_> {
    type Output = Symmetric;

    #[inline(always)]
    fn with_simd<S: Simd>(self, simd: S) -> Symmetric {
        self.0.inverted(simd, self.1)
    }
}

/// Rows that are worked on together: what the fourth needs of the far one is then still at hand.
const TOGETHER: usize = 4;

/// [`dot`] of one pair.
#[inline(always)]
fn one<S: Simd>(simd: S, a: &[f64], b: &[f64]) -> f64 {
    dots(simd, [a], b)[0]
}

/// Sums of products of some vectors with one, each in the order of [`dot`].
#[inline(always)]
fn dots<S: Simd, const M: usize>(simd: S, a: [&[f64]; M], b: &[f64]) -> [f64; M] {
    let n = b.len();
    let wide = n - n % WIDE;
    let sums = match S::F64_LANES {
        8 => partial_sums::<S, M, 1>(simd, a.map(|a| &a[..wide]), &b[..wide]),
        4 => partial_sums::<S, M, 2>(simd, a.map(|a| &a[..wide]), &b[..wide]),
        2 => partial_sums::<S, M, 4>(simd, a.map(|a| &a[..wide]), &b[..wide]),
        _ => partial_sums::<S, M, 8>(simd, a.map(|a| &a[..wide]), &b[..wide]),
    };
    let mut out = [0.0; M];
    for ((out, sums), a) in out.iter_mut().zip(&sums).zip(a) {
        *out = together(sums) + a[wide..n].iter().zip(&b[wide..]).map(|(x, y)| x * y).sum::<f64>();
    }
    out
}

/// The eight partial sums of each product, in so many registers; nothing is fused.
#[inline(always)]
fn partial_sums<S: Simd, const M: usize, const REGISTERS: usize>(
    simd: S,
    a: [&[f64]; M],
    b: &[f64],
) -> [[f64; WIDE]; M] {
    let b = S::as_simd_f64s(b).0.as_chunks::<REGISTERS>().0;
    let a = a.map(|a| &S::as_simd_f64s(a).0.as_chunks::<REGISTERS>().0[..b.len()]);
    let mut sums = [[simd.splat_f64s(0.0); REGISTERS]; M];
    for (at, y) in b.iter().enumerate() {
        for (sums, a) in sums.iter_mut().zip(&a) {
            for ((sum, x), y) in sums.iter_mut().zip(&a[at]).zip(y) {
                *sum = simd.add_f64s(*sum, simd.mul_f64s(*x, *y));
            }
        }
    }
    let mut out = [[0.0; WIDE]; M];
    for (out, sums) in out.iter_mut().zip(&sums) {
        out.copy_from_slice(pulp::bytemuck::cast_slice(sums));
    }
    out
}

/// Partial sums of a dot product.
const WIDE: usize = 8;

#[inline(always)]
fn together(sums: &[f64; WIDE]) -> f64 {
    ((sums[0] + sums[4]) + (sums[1] + sums[5])) + ((sums[2] + sums[6]) + (sums[3] + sums[7]))
}

/// Sum of products in eight partial sums, so that the compiler may take wide registers without
/// changing the order.
#[inline(always)]
pub(super) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let n = a.len().min(b.len());
    let (a, b) = (&a[..n], &b[..n]);
    let mut sums = [0.0; WIDE];
    let (wide_a, rest_a) = a.as_chunks::<WIDE>();
    let (wide_b, rest_b) = b.as_chunks::<WIDE>();
    for (x, y) in wide_a.iter().zip(wide_b) {
        for k in 0..WIDE {
            sums[k] += x[k] * y[k];
        }
    }
    let rest: f64 = rest_a.iter().zip(rest_b).map(|(x, y)| x * y).sum();
    together(&sums) + rest
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example(n: usize) -> Symmetric {
        let mut m = Symmetric::zeros(n);
        for i in 0..n {
            for j in 0..=i {
                m.add(i, j, 1.0 / (1.0 + i as f64 + j as f64) + if i == j { 0.3 } else { 0.0 });
            }
        }
        m
    }

    #[test]
    fn factor_inverse_and_solution_multiply_back() {
        for n in [1, 2, 7, 8, 9, 31] {
            let m = example(n);
            let factor = m.factor(1e-12).unwrap();
            let inverse = factor.inverse();
            for i in 0..n {
                let mut unit = vec![0.0; n];
                unit[i] = 1.0;
                let column = m.times(&factor.solve(&unit));
                for (j, found) in column.iter().enumerate() {
                    let wanted = if i == j { 1.0 } else { 0.0 };
                    assert!((dot(m.row(i), inverse.row(j)) - wanted).abs() < 1e-12, "{n}");
                    assert!((found - wanted).abs() < 1e-12, "{n}");
                }
            }
        }
    }

    #[test]
    fn what_is_free_is_found_and_nothing_else() {
        // A ring of springs: only the common shift is free.
        let mut ring = Symmetric::zeros(5);
        for i in 0..5 {
            ring.add_square(&[(i, 1.0), ((i + 1) % 5, -1.0)], 1e4 + i as f64);
        }
        let free = ring.null_space();
        assert_eq!(free.len(), 1);
        assert!(free[0].iter().all(|v| (v.abs() - 0.2f64.sqrt()).abs() < 1e-9), "{free:?}");
        assert!(ring.factor(1e-12).is_none());
        ring.add_square(&[(2, 1.0)], 1.0);
        assert_eq!(ring.null_space(), Vec::<Vec<f64>>::new());
        assert_eq!(Symmetric::zeros(3).null_space().len(), 3);
    }
}
