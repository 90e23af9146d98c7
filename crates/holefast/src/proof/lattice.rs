//! Square and pitch of adjusted places, and the best shift and turn: docs/design/prediction.md 5 at any
//! places, with
//! the exact value and the gradient there.

use super::geometry::P;
use crate::math;

/// mm per m in one.
pub(super) const PER_METRE: f64 = 1000.0;

/// Weights of the lattice fit f ≈ o + column · a + row · b over some holes.
#[derive(Clone, Debug)]
pub(super) struct Lattice {
    /// Index of each hole among the unknowns' holes.
    pub(super) holes: Vec<usize>,
    weights: Vec<[f64; 2]>,
    pitch: [f64; 2],
}

/// A figure in mm per m and its gradient: for each hole of the lattice, by x and y in mm.
#[derive(Clone, Debug)]
pub(super) struct Figure {
    pub(super) value: f64,
    pub(super) gradient: Vec<(usize, f64)>,
}

impl Lattice {
    /// The fit over holes given by index, column and row; `None` if they lie on one line.
    pub(super) fn of(holes: &[(usize, [f64; 2])], pitch: [f64; 2]) -> Option<Lattice> {
        let n = holes.len() as f64;
        let mean = [0, 1].map(|k| holes.iter().map(|(_, at)| at[k]).sum::<f64>() / n);
        let (mut cc, mut cr, mut rr) = (0.0, 0.0, 0.0);
        for (_, at) in holes {
            let [c, r] = [at[0] - mean[0], at[1] - mean[1]];
            cc += c * c;
            cr += c * r;
            rr += r * r;
        }
        let det = cc * rr - cr * cr;
        // Whole numbers off one line have a determinant of a quarter at least; no hole gives NaN.
        if det.is_nan() || det < 1e-6 {
            return None;
        }
        let weights = holes
            .iter()
            .map(|(_, at)| {
                let [c, r] = [at[0] - mean[0], at[1] - mean[1]];
                [(rr * c - cr * r) / det, (cc * r - cr * c) / det]
            })
            .collect();
        Some(Lattice { holes: holes.iter().map(|(hole, _)| *hole).collect(), weights, pitch })
    }

    fn axes(&self, places: &[P]) -> [P; 2] {
        let mut axes = [[0.0; 2]; 2];
        for (&hole, weights) in self.holes.iter().zip(&self.weights) {
            for (axis, weight) in axes.iter_mut().zip(weights) {
                axis[0] += weight * places[hole][0];
                axis[1] += weight * places[hole][1];
            }
        }
        axes
    }

    fn figure(&self, value: f64, of_axes: [P; 2]) -> Figure {
        let mut gradient = Vec::with_capacity(2 * self.holes.len());
        for (&hole, w) in self.holes.iter().zip(&self.weights) {
            let factor = |axis: usize| w[0] * of_axes[0][axis] + w[1] * of_axes[1][axis];
            gradient.extend([0, 1].map(|axis| (2 * hole + axis, factor(axis) * PER_METRE)));
        }
        Figure { value: value * PER_METRE, gradient }
    }

    /// Square, mm per m.
    pub(super) fn square(&self, places: &[P]) -> Figure {
        let [a, b] = self.axes(places);
        let angle = math::atan2(a[0] * b[1] - a[1] * b[0], a[0] * b[0] + a[1] * b[1]);
        let turn = |[x, y]: P, by: f64| {
            let squared = x * x + y * y;
            [-by * y / squared, by * x / squared]
        };
        self.figure(angle - std::f64::consts::FRAC_PI_2, [turn(a, -1.0), turn(b, 1.0)])
    }

    /// Deviation of pitch along x (0) or y (1), mm per m.
    pub(super) fn pitch(&self, places: &[P], which: usize) -> Figure {
        let axes = self.axes(places);
        let [x, y] = axes[which];
        let length = math::hypot(x, y);
        let nominal = self.pitch[which];
        let mut of_axes = [[0.0; 2]; 2];
        of_axes[which] = [x / (length * nominal), y / (length * nominal)];
        self.figure(length / nominal - 1.0, of_axes)
    }
}

/// The best shift and turn of some holes about their middle, by least squares.
#[derive(Clone, Debug)]
pub(super) struct Rigid {
    pub(super) holes: Vec<usize>,
    middle: P,
    per_inertia: f64,
}

impl Rigid {
    /// The fit over some of these nominal places.
    pub(super) fn of(holes: Vec<usize>, nominal: &[P]) -> Rigid {
        let n = holes.len().max(1) as f64;
        let middle = [0, 1].map(|k| holes.iter().map(|&h| nominal[h][k]).sum::<f64>() / n);
        let inertia: f64 = holes
            .iter()
            .map(|&h| {
                let [x, y] = [nominal[h][0] - middle[0], nominal[h][1] - middle[1]];
                x * x + y * y
            })
            .sum();
        Rigid { holes, middle, per_inertia: if inertia > 0.0 { 1.0 / inertia } else { 0.0 } }
    }

    /// For a hole at a nominal place: by how much its x and y after the fit hang on shift x, shift y
    /// and turn: rows of B with what divides them.
    fn basis(&self, nominal: P) -> [[f64; 3]; 2] {
        let [x, y] = [nominal[0] - self.middle[0], nominal[1] - self.middle[1]];
        [[1.0, 0.0, -y], [0.0, 1.0, x]]
    }

    fn scale(&self) -> [f64; 3] {
        let n = 1.0 / self.holes.len().max(1) as f64;
        [n, n, self.per_inertia]
    }

    /// Each hole's deviation after the fit, written out, as terms over all unknowns: pairs for x and for y.
    #[cfg(test)]
    pub(super) fn residual_terms(&self, hole: usize, nominal: &[P]) -> [Vec<(usize, f64)>; 2] {
        let own = self.basis(nominal[hole]);
        let scale = self.scale();
        [0, 1].map(|axis| {
            let mut terms = Vec::with_capacity(2 * self.holes.len() + 1);
            for &other in &self.holes {
                let theirs = self.basis(nominal[other]);
                for (k, their) in theirs.iter().enumerate() {
                    let share: f64 = (0..3).map(|m| own[axis][m] * scale[m] * their[m]).sum();
                    terms.push((2 * other + k, -share));
                }
            }
            terms.push((2 * hole + axis, 1.0));
            terms
        })
    }

    /// Sums Bᵀd over all holes as terms: shift x, shift y and turn of the fit.
    pub(super) fn sums(&self, nominal: &[P]) -> [Vec<(usize, f64)>; 3] {
        [0, 1, 2].map(|m| {
            self.holes
                .iter()
                .flat_map(|&h| {
                    let b = self.basis(nominal[h]);
                    [(2 * h, b[0][m]), (2 * h + 1, b[1][m])]
                })
                .filter(|(_, v)| *v != 0.0)
                .collect()
        })
    }

    /// B of a hole times the scales: what a hole takes of the three sums.
    pub(super) fn takes(&self, nominal: P) -> [[f64; 3]; 2] {
        let scale = self.scale();
        self.basis(nominal).map(|row| [row[0] * scale[0], row[1] * scale[1], row[2] * scale[2]])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn grid() -> (Lattice, Vec<P>) {
        let cells: Vec<(usize, [f64; 2])> =
            (0..12).filter(|i| *i != 5).enumerate().map(|(k, i)| (k, [(i % 4) as f64, (i / 4) as f64])).collect();
        let places = cells
            .iter()
            .map(|(k, [c, r])| [96.0 * c + 0.3 * (*k as f64 * 1.7).fract(), 96.0 * r - 0.2 * (*k as f64 * 2.3).fract()])
            .collect();
        (Lattice::of(&cells, [96.0; 2]).unwrap(), places)
    }

    #[test]
    fn gradients_are_those_of_the_values() {
        let (lattice, places) = grid();
        for of in [&|p: &[P]| lattice.square(p), &|p: &[P]| lattice.pitch(p, 0), &|p: &[P]| lattice.pitch(p, 1)]
            as [&dyn Fn(&[P]) -> Figure; 3]
        {
            for (at, slope) in of(&places).gradient {
                let moved = |by: f64| {
                    let mut places = places.clone();
                    places[at / 2][at % 2] += by;
                    of(&places).value
                };
                assert!(((moved(1e-4) - moved(-1e-4)) / 2e-4 - slope).abs() < 1e-7);
            }
        }
    }

    #[test]
    fn a_leaning_column_is_positive_when_it_leans_to_the_left() {
        let cells: Vec<(usize, [f64; 2])> = (0..4).map(|i| (i, [(i % 2) as f64, (i / 2) as f64])).collect();
        let lattice = Lattice::of(&cells, [100.0; 2]).unwrap();
        let places = [[0.0, 0.0], [100.1, 0.0], [-0.05, 100.0], [100.05, 100.0]];
        assert!((lattice.square(&places).value - 0.5).abs() < 1e-6);
        assert!((lattice.pitch(&places, 0).value - 1.0).abs() < 1e-6);
        assert!(Lattice::of(&cells[..2], [100.0; 2]).is_none());
    }

    #[test]
    fn a_shift_and_a_turn_leave_nothing_after_the_fit() {
        let nominal: Vec<P> = (0..6).map(|i| [100.0 * f64::from(i % 3), 80.0 * f64::from(i / 3)]).collect();
        let rigid = Rigid::of((0..6).collect(), &nominal);
        for hole in 0..6 {
            for terms in rigid.residual_terms(hole, &nominal) {
                let moved = |d: &dyn Fn(P) -> P| terms.iter().map(|(i, t)| t * d(nominal[i / 2])[i % 2]).sum::<f64>();
                assert!(moved(&|_| [0.7, -0.4]).abs() < 1e-12);
                assert!(moved(&|p| [-1e-3 * p[1], 1e-3 * p[0]]).abs() < 1e-12);
            }
        }
    }
}
