//! What is known of the holes before a reading, as precision: nil where nothing is known.
//!
//! A stated prior has Σ₀ = hole²·I + square²·s sᵀ + pitch_x²·x xᵀ + pitch_y²·y yᵀ with s = (−(y−ȳ), 0),
//! x = (x−x̄, 0), y = (0, y−ȳ) in m over the whole grid. A field that is unknown has exactly no
//! precision: with V the finite part and U the unknown fields, Λ = V⁻¹ − V⁻¹U(UᵀV⁻¹U)⁻¹UᵀV⁻¹. Since V is
//! scatter and a few fields, V⁻¹ is too (Woodbury), and nothing large is inverted. The prediction's
//! covariance is inverted as it is.

use super::geometry::P;
use super::lattice::PER_METRE;
use super::matrix::{Symmetric, dot};
use super::riding::Ride;
use crate::reading::{Known, Stated};

/// Added to a predicted covariance, mm per axis: nothing bored is known finer, and a plan without any
/// wander would leave a matrix that has no inverse.
const FLOOR: f64 = 0.001;

/// A prior over the places of holes.
#[derive(Clone, Debug)]
pub(super) struct HolePrior {
    /// Precision over the places and whatever rides along.
    pub(super) precision: Symmetric,
    /// Number of finite pieces of knowledge in it.
    pub(super) finite: usize,
    /// Bars whose holes are unknowns behind the places.
    pub(super) rides: Vec<Ride>,
}

impl HolePrior {
    /// Nothing.
    pub(super) fn none(unknowns: usize) -> HolePrior {
        HolePrior { precision: Symmetric::zeros(unknowns), finite: 0, rides: Vec::new() }
    }

    /// As stated; `grid` marks the holes whose middle the fields turn about.
    pub(super) fn stated(prior: &Stated, nominal: &[P], grid: &[bool]) -> HolePrior {
        let n = 2 * nominal.len();
        let Known::Within(hole) = prior.hole else { return HolePrior::none(n) };
        let count = grid.iter().filter(|g| **g).count().max(1) as f64;
        let middle =
            [0, 1].map(|k| nominal.iter().zip(grid).filter(|(_, g)| **g).map(|(p, _)| p[k]).sum::<f64>() / count);
        let field = |of: fn(f64, f64) -> P| -> Vec<f64> {
            nominal.iter().flat_map(|p| of((p[0] - middle[0]) / PER_METRE, (p[1] - middle[1]) / PER_METRE)).collect()
        };
        let fields = [
            (prior.square, field(|_, y| [-y, 0.0])),
            (prior.pitch[0], field(|x, _| [x, 0.0])),
            (prior.pitch[1], field(|_, y| [0.0, y])),
        ];
        let weight = 1.0 / (hole * hole);
        let mut precision = Symmetric::zeros(n);
        for i in 0..n {
            precision.add(i, i, weight);
        }
        let mut finite = n;
        // One field after another, each by the exact rank-one change it makes; unknown ones last, as the
        // limit of a spread without end.
        let known = |k: &Known| matches!(k, Known::Within(_));
        for (spread, field) in fields.iter().filter(|(k, _)| known(k)).chain(fields.iter().filter(|(k, _)| !known(k))) {
            let held = precision.times(field);
            let seen = dot(field, &held);
            if seen <= 1e-12 * weight {
                continue; // the grid has no extent that way
            }
            match spread {
                Known::Within(sd) => precision.add_outer(&held, -sd * sd / (1.0 + sd * sd * seen)),
                Known::Unknown => {
                    precision.add_outer(&held, -1.0 / seen);
                    finite -= 1;
                }
            }
        }
        HolePrior { precision, finite, rides: Vec::new() }
    }

    /// From a covariance, row after row; `None` if it is not one.
    pub(super) fn from_covariance(n: usize, values: &[f64], places: usize) -> Option<HolePrior> {
        let mut covariance = Symmetric::zeros(n);
        for i in 0..n {
            for j in 0..=i {
                covariance.add(i, j, values[i * n + j]);
            }
            if i < places {
                covariance.add(i, i, FLOOR * FLOOR);
            }
        }
        let precision = covariance.factor(1e-13)?.inverse();
        Some(HolePrior { precision, finite: n, rides: Vec::new() })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn places() -> Vec<P> {
        (0..12).map(|i| [100.0 + 96.0 * f64::from(i % 4), 60.0 + 80.0 * f64::from(i / 4)]).collect()
    }

    fn fields(places: &[P]) -> [Vec<f64>; 3] {
        let n = places.len() as f64;
        let m = [0, 1].map(|k| places.iter().map(|p| p[k]).sum::<f64>() / n);
        let of = |f: &dyn Fn(&P) -> P| places.iter().flat_map(f).collect::<Vec<f64>>();
        [
            of(&|p| [-(p[1] - m[1]) / 1000.0, 0.0]),
            of(&|p| [(p[0] - m[0]) / 1000.0, 0.0]),
            of(&|p| [0.0, (p[1] - m[1]) / 1000.0]),
        ]
    }

    #[test]
    fn a_finite_prior_is_the_inverse_of_its_covariance() {
        let places = places();
        let n = 2 * places.len();
        let prior = Stated {
            hole: Known::Within(0.05),
            square: Known::Within(0.3),
            pitch: [Known::Within(0.1), Known::Within(0.2)],
        };
        let mut covariance = Symmetric::zeros(n);
        for i in 0..n {
            covariance.add(i, i, 0.0025);
        }
        for (field, sd) in fields(&places).iter().zip([0.3, 0.1, 0.2]) {
            covariance.add_outer(field, sd * sd);
        }
        let wanted = covariance.factor(1e-13).unwrap().inverse();
        let found = HolePrior::stated(&prior, &places, &[true; 12]);
        assert_eq!(found.finite, n);
        for i in 0..n {
            for j in 0..n {
                assert!((found.precision.at(i, j) - wanted.at(i, j)).abs() < 1e-9 * wanted.at(i, i));
            }
        }
    }

    #[test]
    fn what_is_unknown_has_no_precision_at_all() {
        let places = places();
        let prior =
            Stated { hole: Known::Within(0.1), square: Known::Unknown, pitch: [Known::Unknown, Known::Within(0.1)] };
        let found = HolePrior::stated(&prior, &places, &[true; 12]);
        let [square, x, y] = fields(&places);
        assert_eq!(found.finite, 22);
        for field in [&square, &x] {
            assert!(found.precision.times(field).iter().all(|v| v.abs() < 1e-10));
        }
        assert!(dot(&y, &found.precision.times(&y)) > 1.0);
        // The limit of a spread without end.
        let wide = HolePrior::stated(
            &Stated { square: Known::Within(1e5), pitch: [Known::Within(1e5), Known::Within(0.1)], ..prior },
            &places,
            &[true; 12],
        );
        for i in 0..24 {
            for j in 0..24 {
                assert!((wide.precision.at(i, j) - found.precision.at(i, j)).abs() < 1e-6, "{i} {j}");
            }
        }
    }
}
