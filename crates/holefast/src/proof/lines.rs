//! Lines of holes as proved: which row and column make the best right angle on this very top, what
//! shim makes it better, and how straight rows and columns are.

use super::adjusted::{Adjusted, Estimate};
use super::geometry::{self, P};
use super::lattice::{Figure, PER_METRE};

/// A row and a column that carry fence and rail.
#[derive(Clone, Debug, PartialEq)]
pub struct RightAngle {
    /// Fence holes, both in one row.
    pub fence: [String; 2],
    /// Rail holes, both in one column, the first nearer to the reference edge.
    pub rail: [String; 2],
    /// Departure of the angle from 90°, mm per m, positive as square is.
    pub error: Estimate,
    /// |error| + 2 u, mm per m.
    pub bound: f64,
    /// The shorter of the two bases, mm.
    pub base: f64,
    /// Hole whose dog takes the shim, the rail lying on the side of the higher columns.
    pub shim_at: String,
    /// Its thickness, mm.
    pub shim: f64,
}

/// How far a line of holes bends.
#[derive(Clone, Debug, PartialEq)]
pub struct Bend {
    /// First and last hole.
    pub line: [String; 2],
    /// The hole farthest from the line's own best line.
    pub hole: String,
    /// Its offset, mm, positive to the left of first → last.
    pub offset: Estimate,
}

/// Bounds are told apart in steps of this, mm per m; within a step the longer base is better.
const STEP: f64 = 0.05;
/// Arrangements told.
const BEST: usize = 3;

impl Adjusted {
    /// The few best right angles of a row's ends with a column's ends.
    pub(super) fn right_angles(&self) -> Vec<RightAngle> {
        let places = self.places();
        let rows = self.ends(|c| (c.row, c.column));
        let columns = self.ends(|c| (c.column, c.row));
        let mut all: Vec<RightAngle> = Vec::new();
        for fence in &rows {
            for rail in &columns {
                all.extend(self.right_angle(*fence, *rail, &places));
            }
        }
        let step = |r: &RightAngle| (r.bound / STEP).floor();
        all.sort_by(|a, b| {
            step(a)
                .total_cmp(&step(b))
                .then(b.base.total_cmp(&a.base))
                .then(a.bound.total_cmp(&b.bound))
                .then(a.fence.cmp(&b.fence))
        });
        all.truncate(BEST);
        all
    }

    fn right_angle(&self, fence: [usize; 2], rail: [usize; 2], places: &[P]) -> Option<RightAngle> {
        let at = |line: [usize; 2]| line.map(|h| places[h]);
        let (angle, slopes) = geometry::angle(at(fence), at(rail));
        let gradient = gradient(fence.into_iter().chain(rail), &slopes);
        let value = (angle - std::f64::consts::FRAC_PI_2) * PER_METRE;
        let error = self.fixed(&Figure { value, gradient })?;
        let length = |line: [usize; 2]| geometry::distance(places[line[0]], places[line[1]]).0;
        let name = |h: usize| self.model.holes[h].name.clone();
        Some(RightAngle {
            fence: fence.map(name),
            rail: rail.map(name),
            error,
            bound: error.value.abs() + 2.0 * error.u,
            base: length(fence).min(length(rail)),
            // The rail leans away from the higher columns where the angle is more than 90°: its far end
            // is brought over by a shim there, else its near end.
            shim_at: name(rail[usize::from(error.value > 0.0)]),
            shim: error.value.abs() / PER_METRE * length(rail),
        })
    }

    /// A figure where nothing free changes it. Free directions are those at nominal places, so the
    /// gradient's own turn with the adjusted places is allowed for.
    fn fixed(&self, figure: &Figure) -> Option<Estimate> {
        /// Adjusted places turn a gradient by some thousandths at most.
        const TURN: f64 = 5e-3;
        let size = figure.gradient.iter().map(|(_, v)| v * v).sum::<f64>().sqrt();
        let free = self.fit.free.iter().any(|z| {
            let along: f64 = figure.gradient.iter().map(|&(i, v)| v * z[i]).sum();
            let own = z[..2 * self.model.holes.len()].iter().map(|v| v * v).sum::<f64>().sqrt();
            along.abs() > TURN * size * own
        });
        (!free).then(|| self.estimate(figure))
    }

    /// First and last adjusted hole of every line, by a key (line, place in it).
    fn ends(&self, key: impl Fn(crate::top::Cell) -> (u32, u32)) -> Vec<[usize; 2]> {
        self.lines(key).into_iter().filter(|line| line.len() >= 2).map(|line| [line[0], line[line.len() - 1]]).collect()
    }

    fn lines(&self, key: impl Fn(crate::top::Cell) -> (u32, u32)) -> Vec<Vec<usize>> {
        let mut cells: Vec<((u32, u32), usize)> =
            self.model.holes.iter().enumerate().filter_map(|(i, h)| Some((key(h.cell?), i))).collect();
        cells.sort_unstable();
        cells.chunk_by(|a, b| a.0.0 == b.0.0).map(|line| line.iter().map(|(_, hole)| *hole).collect()).collect()
    }

    /// The row and the column with a hole farthest from their own best line, of those with three read
    /// holes at least: nothing is told of a line that nobody looked along.
    pub(super) fn bends(&self) -> [Option<Bend>; 2] {
        let worst = |lines: Vec<Vec<usize>>| {
            let read = |line: &[usize]| line.iter().filter(|&&h| self.model.holes[h].read).count();
            let bends = lines.iter().filter(|line| read(line) >= 3).flat_map(|line| self.bends_of(line));
            bends.max_by(|a, b| a.offset.value.abs().total_cmp(&b.offset.value.abs()))
        };
        [worst(self.lines(|c| (c.row, c.column))), worst(self.lines(|c| (c.column, c.row)))]
    }

    fn bends_of(&self, line: &[usize]) -> Vec<Bend> {
        let (first, last) = (line[0], line[line.len() - 1]);
        let nominal = |h: usize| self.model.holes[h].nominal;
        let (a, b) = (nominal(first), nominal(last));
        let length = geometry::distance(a, b).0;
        let normal = [-(b[1] - a[1]) / length, (b[0] - a[0]) / length];
        let along: Vec<f64> = line.iter().map(|&h| geometry::distance(a, nominal(h)).0).collect();
        let n = line.len() as f64;
        let mean = along.iter().sum::<f64>() / n;
        let inertia: f64 = along.iter().map(|t| (t - mean) * (t - mean)).sum();
        let read = line.iter().enumerate().filter(|(_, h)| self.model.holes[**h].read);
        read.filter_map(|(k, &hole)| {
            let share = |l: usize| 1.0 / n + (along[k] - mean) * (along[l] - mean) / inertia;
            let gradient: Vec<(usize, f64)> = line
                .iter()
                .enumerate()
                .flat_map(|(l, &h)| {
                    let factor = if l == k { 1.0 - share(l) } else { -share(l) };
                    [(2 * h, factor * normal[0]), (2 * h + 1, factor * normal[1])]
                })
                .collect();
            let value = gradient.iter().map(|&(i, f)| f * self.fit.x[i]).sum();
            let offset = self.fixed(&Figure { value, gradient })?;
            let name = |h: usize| self.model.holes[h].name.clone();
            Some(Bend { line: [name(first), name(last)], hole: name(hole), offset })
        })
        .collect()
    }
}

/// Slopes of an angle, in mm per m, as terms; a hole named twice is added up.
fn gradient(holes: impl Iterator<Item = usize>, slopes: &[P]) -> Vec<(usize, f64)> {
    let mut terms: Vec<(usize, f64)> = Vec::with_capacity(2 * slopes.len());
    for (hole, slope) in holes.zip(slopes) {
        for (axis, along) in slope.iter().enumerate() {
            let (at, value) = (2 * hole + axis, along * PER_METRE);
            match terms.iter_mut().find(|(k, _)| *k == at) {
                Some((_, sum)) => *sum += value,
                None => terms.push((at, value)),
            }
        }
    }
    terms
}
