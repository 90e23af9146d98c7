//! Exact: the most value that can be cut from a rectangle when there is no end of each part.
//!
//! Gilmore and Gomory's recursion over the normal patterns of both sides: the best of a rectangle is
//! a part, or the best of the two that a through cut makes of it. Beside its own use it bounds what
//! a limited number of parts can reach, and how many sheets a list needs.
//!
//! Cuts along x are weighed for all heights at once, cuts along y for [`ROWS`] widths at once: no two
//! widths that are nearer than the narrowest part hang on one another.

use pulp::{Arch, Simd, WithSimd};

use super::patterns::{reaching, sums};
use super::tree::{Plan, Planned};
use super::{Axis, Size};

/// Patterns per side at most: two tables of 2500 by 2500 take 50 MB.
pub(super) const MOST_PATTERNS: usize = 2500;

/// Widths done side by side for the cuts along y; whole wide registers.
const ROWS: usize = 32;

/// A part in one of its ways, grossed up, with its value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Valued {
    pub size: [Size; 2],
    pub value: u32,
    pub tag: u32,
}

/// The best value of every rectangle up to a sheet.
#[derive(Debug)]
pub(super) struct Table {
    x: Vec<Size>,
    y: Vec<Size>,
    /// Value by width and height; row and column nought are of no width.
    value: Vec<u32>,
    parts: Vec<Valued>,
}

impl Table {
    /// Works the table out for sheets up to `room`; none if there are too many patterns, or if the
    /// values may be too great for it.
    pub fn new(parts: &[Valued], room: [Size; 2]) -> Option<Table> {
        let parts: Vec<Valued> =
            parts.iter().copied().filter(|p| p.size[0] <= room[0] && p.size[1] <= room[1]).collect();
        let sides = |i: usize| parts.iter().map(|p| p.size[i]).collect::<Vec<_>>();
        let x = sums(&sides(0), room[0], MOST_PATTERNS)?;
        let y = sums(&sides(1), room[1], MOST_PATTERNS)?;
        let smallest = parts.iter().map(|p| p.size[0] as f64 * p.size[1] as f64).fold(f64::INFINITY, f64::min);
        let dearest = parts.iter().map(|p| f64::from(p.value)).fold(0.0, f64::max);
        let most = room[0] as f64 * room[1] as f64 / smallest * dearest;
        if most >= f64::from(u32::MAX / 2) {
            return None;
        }
        let mut table = Table { value: vec![0; (x.len() + 1) * (y.len() + 1)], x, y, parts };
        table.lay_parts();
        Arch::new().dispatch(Fill(&mut table));
        Some(table)
    }

    fn stride(&self) -> usize {
        self.y.len() + 1
    }

    /// Place of a rectangle in the table.
    fn at(&self, size: [Size; 2]) -> usize {
        reaching(&self.x, size[0]) * self.stride() + reaching(&self.y, size[1])
    }

    /// The most that can be cut from a rectangle.
    pub fn best(&self, size: [Size; 2]) -> u32 {
        self.value[self.at(size)]
    }

    fn lay_parts(&mut self) {
        for i in 0..self.parts.len() {
            let at = self.at(self.parts[i].size);
            self.value[at] = self.value[at].max(self.parts[i].value);
        }
        // what fits in a smaller rectangle fits in a larger one
        let stride = self.stride();
        for i in 0..=self.x.len() {
            for j in 0..stride {
                let left = if i > 0 { self.value[(i - 1) * stride + j] } else { 0 };
                let below = if j > 0 { self.value[i * stride + j - 1] } else { 0 };
                let here = &mut self.value[i * stride + j];
                *here = (*here).max(left).max(below);
            }
        }
    }

    /// How a rectangle is cut for the most: the part it is, or the axis and the length of the first
    /// piece; none where nothing is to be had.
    pub fn how(&self, size: [Size; 2]) -> Option<How> {
        let best = self.best(size);
        if best == 0 {
            return None;
        }
        let fits = |p: &&Valued| p.size[0] <= size[0] && p.size[1] <= size[1];
        if let Some(part) = self.parts.iter().find(|p| p.value == best && fits(p)) {
            return Some(How::Part(*part));
        }
        for axis in [Axis::X, Axis::Y] {
            let a = axis.index();
            let lengths = if axis == Axis::X { &self.x } else { &self.y };
            for &length in &lengths[..reaching(lengths, size[a] - 1)] {
                let (mut one, mut other) = (size, size);
                one[a] = length;
                other[a] -= length;
                if self.best(one) + self.best(other) == best {
                    return Some(How::Cut(axis, length));
                }
            }
        }
        None
    }
}

impl Table {
    /// The whole plan for a rectangle, none where nothing is to be had.
    pub fn plan(&self, size: [Size; 2]) -> Option<Plan> {
        match self.how(size)? {
            How::Part(part) => Some(Plan { size: part.size, what: Planned::Part(part.tag) }),
            How::Cut(axis, length) => {
                let a = axis.index();
                let (mut one, mut other) = (size, size);
                one[a] = length;
                other[a] -= length;
                match (self.plan(one), self.plan(other)) {
                    (Some(one), Some(other)) => Some(Plan::beside(axis, one, other)),
                    (one, other) => one.or(other),
                }
            }
        }
    }
}

/// How a rectangle is cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum How {
    /// The part lies in its corner.
    Part(Valued),
    /// It is parted along an axis, the first piece of this length.
    Cut(Axis, Size),
}

struct Fill<'t>(&'t mut Table);

impl WithSimd for Fill<'_> {
    type Output = ();

    #[inline(always)]
    fn with_simd<S: Simd>(self, _simd: S) {
        fill(self.0);
    }
}

/// For each pattern as a whole and each of its first pieces up to half of it, the place of what is
/// left.
fn others(lengths: &[Size]) -> Vec<Vec<u16>> {
    let of = |i: usize| -> Vec<u16> {
        let whole = lengths[i];
        let half = reaching(lengths, whole / 2);
        lengths[..half].iter().map(|&first| reaching(lengths, whole - first) as u16).collect()
    };
    (0..lengths.len()).map(of).collect()
}

#[inline(always)]
fn fill(table: &mut Table) {
    let stride = table.stride();
    let (n_x, n_y) = (table.x.len(), table.y.len());
    let (other_x, other_y) = (others(&table.x), others(&table.y));
    let Some(&narrowest) = table.x.first() else { return };
    let mut block: Vec<[u32; ROWS]> = vec![[0; ROWS]; stride];
    let mut from = 1;
    while from <= n_x {
        // widths in one block differ by less than the narrowest part
        let mut to = from;
        while to <= n_x && to - from < ROWS && table.x[to - 1] < table.x[from - 1] + narrowest {
            to += 1;
        }
        for i in from..to {
            let (done, rest) = table.value.split_at_mut(i * stride);
            let row = &mut rest[..stride];
            for (first, &other) in other_x[i - 1].iter().enumerate() {
                let one = &done[(first + 1) * stride..][..stride];
                let two = &done[usize::from(other) * stride..][..stride];
                for ((r, &a), &b) in row.iter_mut().zip(one).zip(two) {
                    *r = (*r).max(a + b);
                }
            }
            let before = &done[(i - 1) * stride..][..stride];
            for (r, &a) in row.iter_mut().zip(before) {
                *r = (*r).max(a);
            }
        }
        for (j, lanes) in block.iter_mut().enumerate() {
            for (lane, i) in (from..to).enumerate() {
                lanes[lane] = table.value[i * stride + j];
            }
        }
        for j in 1..=n_y {
            let mut best = block[j];
            for (lane, below) in best.iter_mut().zip(&block[j - 1]) {
                *lane = (*lane).max(*below);
            }
            for (first, &other) in other_y[j - 1].iter().enumerate() {
                let one = &block[first + 1];
                let two = &block[usize::from(other)];
                for lane in 0..ROWS {
                    best[lane] = best[lane].max(one[lane] + two[lane]);
                }
            }
            // a wider one of the block is at least as good as a narrower one
            for lane in 1..ROWS {
                best[lane] = best[lane].max(best[lane - 1]);
            }
            block[j] = best;
            for (lane, i) in (from..to).enumerate() {
                table.value[i * stride + j] = best[lane];
            }
        }
        from = to;
    }
}
