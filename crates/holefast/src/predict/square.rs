//! What is asked of the finished grid: the least-squares lattice through the dog holes, square and
//! pitch from it (docs/design/prediction.md 5).
//!
//! f(row, column) ≈ o + column · a + row · b. Square is the angle from a to b less a right angle;
//! pitch deviation is the length of a or b over its nominal length, less one.

use super::model::Model;
use super::simulate::PER_METRE;

/// Why square and pitch are not defined.
pub(super) const ON_ONE_LINE: &str = "the finished holes lie on one line";

/// The lattice fit of a model's finished grid holes.
#[derive(Clone, Debug)]
pub(super) struct Lattice {
    /// Holes with a row and a column that end as dog holes.
    pub(super) holes: Vec<usize>,
    /// Weight of each hole's place in a and in b.
    pub(super) weights: Vec<[f64; 2]>,
    /// Nominal a and b, mm.
    pub(super) nominal: [[f64; 2]; 2],
}

/// Finished holes that have a row and a column.
pub(super) fn finished(model: &Model) -> Vec<usize> {
    (0..model.holes.len())
        .filter(|&i| model.holes[i].opened && model.holes[i].row.is_some() && model.holes[i].column.is_some())
        .collect()
}

impl Lattice {
    /// The fit; `None` if the finished holes lie on one line.
    pub(super) fn of(model: &Model) -> Option<Lattice> {
        let holes = finished(model);
        let n = holes.len() as f64;
        let place = |&i: &usize| {
            let hole = &model.holes[i];
            (f64::from(hole.column.unwrap_or(0)), f64::from(hole.row.unwrap_or(0)))
        };
        let (mut sum_c, mut sum_r) = (0.0, 0.0);
        for (c, r) in holes.iter().map(place) {
            sum_c += c;
            sum_r += r;
        }
        let (mean_c, mean_r) = (sum_c / n, sum_r / n);
        let (mut cc, mut cr, mut rr) = (0.0, 0.0, 0.0);
        for (c, r) in holes.iter().map(place) {
            cc += (c - mean_c) * (c - mean_c);
            cr += (c - mean_c) * (r - mean_r);
            rr += (r - mean_r) * (r - mean_r);
        }
        let det = cc * rr - cr * cr;
        // Whole numbers off one line have a determinant of a quarter at least; no hole gives NaN.
        if det.is_nan() || det < 1e-6 {
            return None;
        }
        let weights: Vec<[f64; 2]> = holes
            .iter()
            .map(place)
            .map(|(c, r)| {
                let (c, r) = (c - mean_c, r - mean_r);
                [(rr * c - cr * r) / det, (cc * r - cr * c) / det]
            })
            .collect();
        let mut nominal = [[0.0; 2]; 2];
        for (&i, w) in holes.iter().zip(&weights) {
            for (vector, weight) in nominal.iter_mut().zip(w) {
                vector[0] += weight * model.holes[i].x;
                vector[1] += weight * model.holes[i].y;
            }
        }
        Some(Lattice { holes, weights, nominal })
    }

    /// The lattice of the same holes on a sheet so many times as long along x and y.
    pub(super) fn grown(&self, by: [f64; 2]) -> Lattice {
        Lattice { nominal: self.nominal.map(|[x, y]| [x * by[0], y * by[1]]), ..self.clone() }
    }

    /// Factors of each hole's deviation (x, y) in square, rad per mm.
    pub(super) fn square_factors(&self) -> impl Iterator<Item = (usize, [f64; 2])> + '_ {
        let [ta, tb] = self.nominal.map(turn_of);
        self.holes
            .iter()
            .zip(&self.weights)
            .map(move |(&i, w)| (i, [0, 1].map(|axis| w[1] * tb[axis] - w[0] * ta[axis])))
    }

    /// Factors of each hole's deviation in the pitch deviation along x (`which` 0) or y (1), per mm.
    pub(super) fn pitch_factors(&self, which: usize) -> impl Iterator<Item = (usize, [f64; 2])> + '_ {
        let [x, y] = self.nominal[which];
        let squared = x * x + y * y;
        self.holes.iter().zip(&self.weights).map(move |(&i, w)| (i, [w[which] * x / squared, w[which] * y / squared]))
    }
}

/// Turn of a vector, rad, for a small change of it: factors of the change's x and y.
pub(super) fn turn_of([x, y]: [f64; 2]) -> [f64; 2] {
    let squared = x * x + y * y;
    [-y / squared, x / squared]
}

/// The best shift and turn of finished holes, about their middle.
#[derive(Clone, Debug)]
pub(super) struct RigidFit {
    /// Holes that are fitted.
    pub(super) holes: Vec<usize>,
    /// Middle of their nominal places, mm.
    pub(super) middle: [f64; 2],
    /// Nominal place of each from the middle, mm.
    pub(super) centred: Vec<[f64; 2]>,
    /// One over the sum of the squared distances from the middle; nil for a single hole.
    pub(super) per_inertia: f64,
}

impl RigidFit {
    /// The fit over the finished holes of the grid; `None` if there are none.
    pub(super) fn of(model: &Model) -> Option<RigidFit> {
        let holes = finished(model);
        if holes.is_empty() {
            return None;
        }
        let n = holes.len() as f64;
        let sum = holes.iter().fold([0.0; 2], |s, &i| [s[0] + model.holes[i].x, s[1] + model.holes[i].y]);
        let middle = [sum[0] / n, sum[1] / n];
        let centred: Vec<[f64; 2]> =
            holes.iter().map(|&i| [model.holes[i].x - middle[0], model.holes[i].y - middle[1]]).collect();
        let inertia: f64 = centred.iter().map(|c| c[0] * c[0] + c[1] * c[1]).sum();
        Some(RigidFit { holes, middle, centred, per_inertia: if inertia > 0.0 { 1.0 / inertia } else { 0.0 } })
    }

    /// Mean square of the holes' distances from their places, mm², after strains along x and y, mm
    /// per m, and the best shift and turn.
    pub(super) fn mean_square_after(&self, strain: [f64; 2]) -> f64 {
        let [x, y] = strain.map(|s| s / PER_METRE);
        let turn = self.per_inertia * self.centred.iter().map(|c| (y - x) * c[0] * c[1]).sum::<f64>();
        let of = |c: &[f64; 2]| {
            let left = [x * c[0] + turn * c[1], y * c[1] - turn * c[0]];
            left[0] * left[0] + left[1] * left[1]
        };
        self.centred.iter().map(of).sum::<f64>() / self.holes.len() as f64
    }
}
