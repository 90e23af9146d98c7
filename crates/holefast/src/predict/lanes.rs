//! Numbers of `W` virtual boards side by side, as arrays that the compiler turns into wide
//! registers.
//!
//! Only + − × ÷ √, comparisons and choices: every one is exact to the last bit on every platform,
//! and none is fused with another, so a lane comes out the same however wide the machine is.
//! Everything is inlined, so that one dispatch at the top decides the registers for all of it.

#![allow(clippy::needless_range_loop, reason = "lane by lane across several arrays")]

use std::ops::{Add, Div, Mul, Neg, Sub};

use crate::math;

/// One number for each of `W` boards.
#[derive(Clone, Copy, Debug, PartialEq)]
#[repr(align(64))]
pub(super) struct Lanes<const W: usize>(pub(super) [f64; W]);

/// A yes or no for each of `W` boards.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Mask<const W: usize>(pub(super) [bool; W]);

impl<const W: usize> Lanes<W> {
    pub(super) const NIL: Lanes<W> = Lanes([0.0; W]);

    /// The same number in every lane.
    #[inline(always)]
    pub(super) fn all(value: f64) -> Self {
        Lanes([value; W])
    }

    #[inline(always)]
    pub(super) fn map(self, f: impl Fn(f64) -> f64) -> Self {
        let mut out = [0.0; W];
        for lane in 0..W {
            out[lane] = f(self.0[lane]);
        }
        Lanes(out)
    }

    #[inline(always)]
    pub(super) fn zip(self, other: Self, f: impl Fn(f64, f64) -> f64) -> Self {
        let mut out = [0.0; W];
        for lane in 0..W {
            out[lane] = f(self.0[lane], other.0[lane]);
        }
        Lanes(out)
    }

    #[inline(always)]
    pub(super) fn sqrt(self) -> Self {
        self.map(f64::sqrt)
    }

    #[inline(always)]
    pub(super) fn abs(self) -> Self {
        self.map(f64::abs)
    }

    /// The greater of the two; lanes here are never NaN.
    #[inline(always)]
    pub(super) fn max(self, other: Self) -> Self {
        self.zip(other, |a, b| if a > b { a } else { b })
    }

    /// The lesser of the two.
    #[inline(always)]
    pub(super) fn min(self, other: Self) -> Self {
        self.zip(other, |a, b| if a < b { a } else { b })
    }

    /// Times a plain number.
    #[inline(always)]
    pub(super) fn scaled(self, by: f64) -> Self {
        self.map(|a| a * by)
    }

    #[inline(always)]
    pub(super) fn above(self, other: Self) -> Mask<W> {
        let mut out = [false; W];
        for lane in 0..W {
            out[lane] = self.0[lane] > other.0[lane];
        }
        Mask(out)
    }
}

impl<const W: usize> Mask<W> {
    pub(super) const NONE: Mask<W> = Mask([false; W]);

    #[inline(always)]
    pub(super) fn any(self) -> bool {
        self.0.iter().fold(false, |any, &m| any | m)
    }

    #[inline(always)]
    pub(super) fn every(self) -> bool {
        self.0.iter().fold(true, |all, &m| all & m)
    }

    #[inline(always)]
    pub(super) fn or(self, other: Self) -> Self {
        let mut out = self.0;
        for lane in 0..W {
            out[lane] |= other.0[lane];
        }
        Mask(out)
    }

    /// Where yes `a`, else `b`.
    #[inline(always)]
    pub(super) fn choose(self, a: Lanes<W>, b: Lanes<W>) -> Lanes<W> {
        let mut out = [0.0; W];
        for lane in 0..W {
            out[lane] = if self.0[lane] { a.0[lane] } else { b.0[lane] };
        }
        Lanes(out)
    }
}

macro_rules! lane_by_lane {
    ($trait:ident, $method:ident, $op:tt) => {
        impl<const W: usize> $trait for Lanes<W> {
            type Output = Self;

            #[inline(always)]
            fn $method(self, other: Self) -> Self {
                self.zip(other, |a, b| a $op b)
            }
        }
    };
}

lane_by_lane!(Add, add, +);
lane_by_lane!(Sub, sub, -);
lane_by_lane!(Mul, mul, *);
lane_by_lane!(Div, div, /);

impl<const W: usize> Neg for Lanes<W> {
    type Output = Self;

    #[inline(always)]
    fn neg(self) -> Self {
        self.map(|a| -a)
    }
}

/// Natural logarithm of numbers from 2⁻³³ to 1.
///
/// x = m·2ᵉ with m in √½ to √2, ln m = 2·atanh(s), s = (m − 1)/(m + 1), |s| ≤ 0.1716: the series
/// to s¹¹ leaves 2·s¹³/13 ≤ 2e-11, far below what a drawn number can show. Tested against `libm`.
#[inline(always)]
pub(super) fn ln<const W: usize>(x: Lanes<W>) -> Lanes<W> {
    /// √½, as bits: exponents are counted from there.
    const ROOT_HALF: u64 = 0x3FE6_A09E_667F_3BCD;
    const ONE: u64 = 0x3FF0_0000_0000_0000;
    const MANTISSA: u64 = 0x000F_FFFF_FFFF_FFFF;
    /// 2⁵² as bits: a whole number put below it is that many units of its last place.
    const TWO_52: u64 = 0x4330_0000_0000_0000;
    x.map(|x| {
        // Bias the bits so that the exponent field counts from √½, and take m back from them.
        let bits = x.to_bits().wrapping_add(ONE - ROOT_HALF);
        let exponent = f64::from_bits((bits >> 52) | TWO_52) - (4_503_599_627_370_496.0 + 1023.0);
        let m = f64::from_bits((bits & MANTISSA) + ROOT_HALF);
        let s = (m - 1.0) / (m + 1.0);
        let q = s * s;
        let series = q * (1.0 / 3.0 + q * (1.0 / 5.0 + q * (1.0 / 7.0 + q * (1.0 / 9.0 + q * (1.0 / 11.0)))));
        exponent * std::f64::consts::LN_2 + 2.0 * (s + s * series)
    })
}

/// Sine of θ, |θ| ≤ π/4, by its series to θ¹¹: leaves θ¹³/13! ≤ 7e-12.
#[inline(always)]
fn sin_eighth(theta: f64, q: f64) -> f64 {
    let series =
        -1.0 / 6.0 + q * (1.0 / 120.0 + q * (-1.0 / 5_040.0 + q * (1.0 / 362_880.0 + q * (-1.0 / 39_916_800.0))));
    theta + theta * (q * series)
}

/// Cosine of θ, θ² = q, |θ| ≤ π/4, by its series to θ¹²: leaves θ¹⁴/14! ≤ 4e-13.
#[inline(always)]
fn cos_eighth(q: f64) -> f64 {
    let series =
        1.0 / 24.0 + q * (-1.0 / 720.0 + q * (1.0 / 40_320.0 + q * (-1.0 / 3_628_800.0 + q * (1.0 / 479_001_600.0))));
    1.0 - 0.5 * q + q * q * series
}

/// Sine and cosine of `turns` whole turns, 0 to 1, within 1e-11.
///
/// The turn is folded to an eighth each side of the nearest quarter. Tested against `libm`.
#[inline(always)]
pub(super) fn sin_cos_turns<const W: usize>(turns: Lanes<W>) -> (Lanes<W>, Lanes<W>) {
    /// Adding and taking it away rounds to the nearest whole number; its low bits hold it.
    const ROUND: f64 = 6_755_399_441_055_744.0;
    let (mut sin, mut cos) = ([0.0; W], [0.0; W]);
    for lane in 0..W {
        let shifted = 4.0 * turns.0[lane] + ROUND;
        let quarter = shifted.to_bits();
        let theta = (turns.0[lane] - 0.25 * (shifted - ROUND)) * std::f64::consts::TAU;
        let q = theta * theta;
        let (s, c) = (sin_eighth(theta, q), cos_eighth(q));
        // Quarter 0: (s, c); 1: (c, −s); 2: (−s, −c); 3: (−c, s).
        let swap = 0u64.wrapping_sub(quarter & 1);
        let (s, c) = (s.to_bits(), c.to_bits());
        let differ = (s ^ c) & swap;
        sin[lane] = f64::from_bits((s ^ differ) ^ ((quarter & 2) << 62));
        cos[lane] = f64::from_bits((c ^ differ) ^ ((quarter.wrapping_add(1) & 2) << 62));
    }
    (Lanes(sin), Lanes(cos))
}

/// Sine of a uniform angle between −90° and +90°, from a uniform number: the same law as the
/// cosine of a whole turn, and no quarters to choose between. Series to θ¹⁵: within 7e-12.
#[inline(always)]
pub(super) fn sin_half_turn<const W: usize>(u: Lanes<W>) -> Lanes<W> {
    u.map(|u| {
        let theta = (u - 0.5) * std::f64::consts::PI;
        let q = theta * theta;
        let series = -1.0 / 6.0
            + q * (1.0 / 120.0
                + q * (-1.0 / 5_040.0
                    + q * (1.0 / 362_880.0
                        + q * (-1.0 / 39_916_800.0 + q * (1.0 / 6_227_020_800.0 + q * (-1.0 / 1_307_674_368_000.0))))));
        theta + theta * (q * series)
    })
}

/// Two independent standard normal numbers for each board, from two uniform ones (Box and Muller
/// 1958, from memory).
#[inline(always)]
pub(super) fn normals<const W: usize>(u: Lanes<W>, v: Lanes<W>) -> [Lanes<W>; 2] {
    let radius = ln(u).scaled(-2.0).sqrt();
    let (sin, cos) = sin_cos_turns(v);
    [radius * cos, radius * sin]
}

/// Angles whose tangent is `across`/`along`, rad.
///
/// Small ones (tangent up to 0.02, far more than any board) by the series to x⁷, within 1e-16;
/// others lane by lane through `math`.
#[inline(always)]
pub(super) fn small_angle<const W: usize>(across: Lanes<W>, along: Lanes<W>) -> Lanes<W> {
    const SMALL: f64 = 0.02;
    let x = across / along;
    let small = x.map(|x| {
        let q = x * x;
        x + x * q * (-1.0 / 3.0 + q * (1.0 / 5.0 + q * (-1.0 / 7.0)))
    });
    let mut out = small;
    for lane in 0..W {
        let ordinary = x.0[lane].abs() <= SMALL && along.0[lane] > 0.0;
        if !ordinary {
            out.0[lane] = math::atan2(across.0[lane], along.0[lane]);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn logarithm_sine_and_cosine_agree_with_libm() {
        let (mut worst_ln, mut worst_trig, mut worst_half) = (0.0f64, 0.0f64, 0.0f64);
        for i in 0..400_000u32 {
            let u = (f64::from(i) + 0.5) / 400_000.0;
            let small = u * math::pow(2.0, -f64::from(i % 34));
            worst_ln = worst_ln.max((ln(Lanes([small])).0[0] - math::ln(small)).abs());
            let (s, c) = sin_cos_turns(Lanes([u]));
            let (ls, lc) = math::sin_cos(u * std::f64::consts::TAU);
            worst_trig = worst_trig.max((s.0[0] - ls).abs()).max((c.0[0] - lc).abs());
            let half = math::sin((u - 0.5) * std::f64::consts::PI);
            worst_half = worst_half.max((sin_half_turn(Lanes([u])).0[0] - half).abs());
        }
        assert!(worst_ln < 2e-11, "{worst_ln:e}");
        assert!(worst_trig < 1e-11, "{worst_trig:e}");
        assert!(worst_half < 7e-12, "{worst_half:e}");
    }

    #[test]
    fn angles_small_and_large_agree_with_libm() {
        for (across, along) in [(1e-5, 1.0), (-0.0199, 1.0), (0.021, 1.0), (3.0, 0.5), (0.1, -1.0), (1.0, 0.0)] {
            let [angle] = small_angle(Lanes([across]), Lanes([along])).0;
            assert!((angle - math::atan2(across, along)).abs() < 2e-16, "{across} {along}");
        }
    }
}
