//! How a template comes to rest on its locators: second moments of the uniform seat at nominal
//! geometry, and the weighted least-squares pose that stands for its centroid when the located
//! holes are off their places.
//!
//! Slips and clearances in mm. Drawing seats on virtual boards is `board`'s work.

/// Points of the quadrature over the along-slip. The integrand is periodic and smooth unless the
/// clearances agree, where the error falls with the fourth power: 1e-8 of the moment at 64 points.
const QUADRATURE_POINTS: usize = 64;

/// Variances of the uniform seat of one template on two locators, at nominal geometry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TwoPinMoments {
    /// Of the slip along the line of the two, common to both, mm².
    pub along: f64,
    /// Of the slip across at the first and at the second, mm²; the two are uncorrelated.
    pub across: [f64; 2],
}

/// Returns the second moments of the seat of one template on two locators of radial clearances
/// `r1`, `r2` (mm, above nil).
///
/// The along-slip u has density in proportion to √(r1² − u²)·√(r2² − u²); each across-slip is
/// uniform on its chord, so its variance is the mean of (r² − u²)/3. Equal clearances: r²/5 along
/// and 4r²/15 across.
pub fn two_pin_moments(r1: f64, r2: f64) -> TwoPinMoments {
    let along = if r1 == r2 {
        r1 * r1 / 5.0
    } else {
        let (tight, loose) = if r1 < r2 { (r1, r2) } else { (r2, r1) };
        // u = tight · sin t turns one root and the step du into cos² t.
        let (mut mass, mut second) = (0.0, 0.0);
        for (sin, cos) in quarter_turn() {
            let u = tight * sin;
            let weight = cos * cos * (loose * loose - u * u).sqrt();
            mass += weight;
            second += weight * u * u;
        }
        second / mass
    };
    TwoPinMoments { along, across: [(r1 * r1 - along) / 3.0, (r2 * r2 - along) / 3.0] }
}

/// Sines and cosines at the midpoints of equal steps over a quarter turn.
fn quarter_turn() -> impl Iterator<Item = (f64, f64)> {
    // Turned on step by step: cheaper than a sine each, and good to 1e-14 over so few steps.
    let step = std::f64::consts::FRAC_PI_2 / QUADRATURE_POINTS as f64;
    let (sin_step, cos_step) = crate::math::sin_cos(step);
    let first = crate::math::sin_cos(0.5 * step);
    std::iter::successors(Some(first), move |&(sin, cos)| {
        Some((sin * cos_step + cos * sin_step, cos * cos_step - sin * sin_step))
    })
    .take(QUADRATURE_POINTS)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The plain sum over a fine lattice of the three slips: slow, and shares nothing with the
    /// quadrature but the definition.
    fn by_lattice(r1: f64, r2: f64) -> TwoPinMoments {
        let n = 400;
        let reach = r1.min(r2);
        let (mut mass, mut uu, mut v1, mut v2) = (0.0, 0.0, 0.0, 0.0);
        for i in 0..n {
            let u = reach * ((2 * i + 1) as f64 / n as f64 - 1.0);
            let (c1, c2) = ((r1 * r1 - u * u).sqrt(), (r2 * r2 - u * u).sqrt());
            let area = 4.0 * c1 * c2;
            mass += area;
            uu += area * u * u;
            // mean of v² over a chord ±c, summed rather than integrated
            let chord = |c: f64| {
                (0..50).map(|j| (c * ((2 * j + 1) as f64 / 50.0 - 1.0)).abs()).map(|v| v * v).sum::<f64>() / 50.0
            };
            v1 += area * chord(c1);
            v2 += area * chord(c2);
        }
        TwoPinMoments { along: uu / mass, across: [v1 / mass, v2 / mass] }
    }

    #[test]
    fn equal_clearances_give_a_fifth_and_four_fifteenths() {
        // By hand: density (r² − u²), so E u² = ∫u²(r²−u²)/∫(r²−u²) = (4r⁵/15)/(4r³/3) = r²/5,
        // and E v² = (r² − r²/5)/3 = 4r²/15.
        let m = two_pin_moments(0.03, 0.03);
        assert!((m.along - 0.0009 / 5.0).abs() < 1e-18);
        assert!((m.across[0] - 4.0 * 0.0009 / 15.0).abs() < 1e-18 && m.across[0] == m.across[1]);
        // and the quadrature reaches the same limit from beside it
        let near = two_pin_moments(0.03, 0.03 * (1.0 + 1e-12));
        assert!((near.along / m.along - 1.0).abs() < 1e-6, "{near:?} {m:?}");
    }

    #[test]
    fn a_very_loose_second_pin_leaves_the_disc_of_the_first() {
        // By hand: with r2 → ∞ the density of u is the semicircle's, E u² = r²/4 along and across.
        let m = two_pin_moments(0.02, 2000.0);
        assert!((m.along / (0.0004 / 4.0) - 1.0).abs() < 1e-9);
        assert!((m.across[0] / (0.0004 / 4.0) - 1.0).abs() < 1e-9);
        assert!((m.across[1] / (2000.0f64 * 2000.0 / 3.0) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn unequal_clearances_agree_with_a_plain_sum() {
        for (r1, r2) in [(0.02, 0.03), (0.03, 0.02), (0.001, 0.04), (0.02, 0.0201)] {
            let (fast, slow) = (two_pin_moments(r1, r2), by_lattice(r1, r2));
            assert!((fast.along / slow.along - 1.0).abs() < 1e-3, "{r1} {r2} {fast:?} {slow:?}");
            for k in 0..2 {
                assert!((fast.across[k] / slow.across[k] - 1.0).abs() < 1e-3, "{r1} {r2} {fast:?} {slow:?}");
            }
        }
    }
}
