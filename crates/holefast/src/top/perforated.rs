//! How much of a sheet's stiffness a square grid of holes leaves.
//!
//! Ratio of the modulus in the plane of a sheet with holes to the sheet's own, by φ, the part of
//! its area that the holes take. Thinly bored sheets follow 1/(1 + 3 φ) exactly; beyond, the
//! ratio is that law times a correction between figures worked out by finite elements
//! (independently, in plane stress: load along a row of the grid, square arrays; no
//! dependence on Poisson's ratio). In bending it holds nearly, for sheets about as thick as the
//! wood between holes or thicker; a grid whose pitches differ is taken by its area alone.

use std::f64::consts::PI;

/// Part of the area, and ratio by finite elements: holes of 0.2083, 0.3125, 0.38 and 0.5 pitches.
const WORKED_OUT: [(f64, f64); 5] =
    [(0.0, 1.0), (0.03409, 0.90724), (0.0767, 0.81211), (0.11341, 0.74327), (0.19635, 0.61682)];

/// Part of the area up to which [`ratio_left`] is known: holes of half the pitch.
pub(super) const MOST_OPEN: f64 = 0.25 * PI * 0.25;

/// Returns the part of the stiffness left; `None` beyond [`MOST_OPEN`].
pub(super) fn ratio_left(open: f64) -> Option<f64> {
    let law = |open: f64| 1.0 / (1.0 + 3.0 * open);
    // The last figure is rounded to five digits.
    let open = if (MOST_OPEN..MOST_OPEN + 1e-5).contains(&open) { MOST_OPEN } else { open };
    let (end, last) = WORKED_OUT[WORKED_OUT.len() - 1];
    if open >= end && open <= MOST_OPEN {
        return Some(last);
    }
    WORKED_OUT.windows(2).find_map(|pair| {
        let ((from, ratio_from), (to, ratio_to)) = (pair[0], pair[1]);
        (from..=to).contains(&open).then(|| {
            let (one, two) = (ratio_from / law(from), ratio_to / law(to));
            law(open) * (one + (two - one) * (open - from) / (to - from))
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of_pitch(hole: f64) -> Option<f64> {
        ratio_left(0.25 * PI * hole * hole)
    }

    #[test]
    fn reference_values_of_finite_elements() {
        // Source: finite elements in plane stress, worked out independently, good to 1 %; ours to a thousandth.
        for (hole, expected) in
            [(20.0 / 96.0, 0.9072), (20.0 / 64.0, 0.8121), (0.38, 0.7433), (0.5, 0.6168), (0.0, 1.0)]
        {
            let found = of_pitch(hole).unwrap();
            assert!((found - expected).abs() < 1e-3, "{hole}: {found}, expected {expected}");
        }
        // Open area of 20 mm on 96 mm: 3.409 %.
        assert!((0.25 * PI * (20.0f64 / 96.0) * (20.0 / 96.0) - 0.03409).abs() < 5e-6);
        assert_eq!(of_pitch(0.51), None);
    }

    #[test]
    fn between_the_figures_it_falls_and_stays_below_the_thin_law() {
        let mut before = 1.0;
        for n in 1..=190 {
            let open = f64::from(n) * 1e-3;
            let here = ratio_left(open).unwrap();
            assert!(here < before && here < 1.0002 / (1.0 + 3.0 * open), "{open}: {here}");
            before = here;
        }
    }
}
