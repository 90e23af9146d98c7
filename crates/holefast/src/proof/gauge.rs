//! Go and no-go: what it tells of a distance that a pinned bar went in, or did not.
//!
//! The bar went in iff low ≤ D + e ≤ high with e ~ N(0, u²). Of D ~ N(m, v) before, mean and variance
//! after are those of a truncated normal (closed forms); several gauges are matched one after another
//! until none changes (expectation propagation), each standing as a normal factor
//! exp(ν D − ½ τ D²) in the adjustment. τ is negative where a bar that did not go widens the spread:
//! the truth is then two-humped, and the verdict's chance is taken from [`super::sampling`].

use super::chance::{normal, normal_between, normal_density};

/// One gauge that was tried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Gauge {
    /// Distances between which it goes, mm.
    pub low: f64,
    /// See `low`.
    pub high: f64,
    /// Standard uncertainty of the bar's own length, mm.
    pub u: f64,
    /// It went.
    pub went: bool,
}

/// A distance after the gauge was tried.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct After {
    /// Mean, mm.
    pub mean: f64,
    /// Variance, mm².
    pub variance: f64,
    /// Chance, before, of what happened.
    pub chance: f64,
}

/// A normal factor that stands for a gauge.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Site {
    /// τ, 1/mm².
    pub(super) precision: f64,
    /// ν, 1/mm.
    pub(super) weight: f64,
}

/// Chances below this are not told from nought; mean and variance are then put at the nearer limit.
const NO_CHANCE: f64 = 1e-200;
/// Rounding of a variance far out in a tail: never below this share of what it was.
const LEAST_LEFT: f64 = 1e-9;

impl Gauge {
    /// Mean and variance of a distance after the gauge, from those before.
    pub fn after(&self, mean: f64, variance: f64) -> After {
        let total = variance + self.u * self.u;
        let s = total.sqrt();
        let (a, b) = ((self.low - mean) / s, (self.high - mean) / s);
        let (fa, fb) = (normal_density(a), normal_density(b));
        let sign = if self.went { 1.0 } else { -1.0 };
        let chance = if self.went { normal_between(a, b) } else { normal(a) + normal(-b) };
        if chance < NO_CHANCE {
            let nearest = mean.clamp(self.low, self.high);
            return After { mean: nearest, variance: variance.min(self.u * self.u), chance };
        }
        let shift = sign * (fa - fb) / chance;
        let spread = (1.0 + sign * (a * fa - b * fb) / chance - shift * shift).max(LEAST_LEFT);
        let gain = variance / total;
        After { mean: mean + gain * s * shift, variance: gain * self.u * self.u + gain * gain * total * spread, chance }
    }

    /// What a bar that went tells where nothing else is known: the distance lies within its play.
    pub(super) fn alone(&self) -> Site {
        if !self.went {
            return Site::default();
        }
        let half = 0.5 * (self.high - self.low);
        let precision = 1.0 / (half * half / 3.0 + self.u * self.u);
        Site { precision, weight: precision * 0.5 * (self.low + self.high) }
    }
}

/// What all gauges tell together.
#[derive(Clone, Debug)]
pub(super) struct Matched {
    pub(super) sites: Vec<Site>,
    /// Chance of what each did, from all other readings.
    pub(super) chances: Vec<f64>,
    /// None changed at the end.
    pub(super) settled: bool,
}

/// Rounds of matching; a handful is usual.
const MOST_ROUNDS: usize = 200;
/// A gauge has settled when its mean moves by less than this share of its spread.
const SETTLED: f64 = 1e-10;
/// Changes are taken in full unless they would leave a spread that is none; then by half.
const HALVINGS: usize = 30;

/// Matches gauges one after another. `mean` and `covariance` (row after row) are of their distances,
/// with `sites` counted in.
pub(super) fn matched(gauges: &[Gauge], mut mean: Vec<f64>, mut covariance: Vec<f64>, mut sites: Vec<Site>) -> Matched {
    let n = gauges.len();
    let mut chances = vec![f64::NAN; n];
    for _ in 0..MOST_ROUNDS {
        let mut moved = 0.0f64;
        for (i, gauge) in gauges.iter().enumerate() {
            let own = covariance[i * n + i];
            let site = sites[i];
            // What the other readings say: this gauge's factor taken out again.
            let rest = 1.0 / own - site.precision;
            let wanted = if rest * own <= 1e-9 {
                // Only this gauge fixes the distance.
                chances[i] = f64::NAN;
                gauge.alone()
            } else {
                let before = (mean[i] / own - site.weight) / rest;
                let after = gauge.after(before, 1.0 / rest);
                chances[i] = after.chance;
                let precision = 1.0 / after.variance - rest;
                Site { precision, weight: after.mean / after.variance - before * rest }
            };
            let mut change = Site { precision: wanted.precision - site.precision, weight: wanted.weight - site.weight };
            for _ in 0..HALVINGS {
                if 1.0 + change.precision * own > 1e-6 {
                    break;
                }
                change = Site { precision: 0.5 * change.precision, weight: 0.5 * change.weight };
            }
            let factor = 1.0 / (1.0 + change.precision * own);
            let step = (change.weight - change.precision * mean[i]) * factor;
            moved = moved.max((step * own).abs() / own.sqrt()).max((change.precision * own).abs());
            let column: Vec<f64> = (0..n).map(|k| covariance[k * n + i]).collect();
            for k in 0..n {
                mean[k] += column[k] * step;
                for l in 0..n {
                    covariance[k * n + l] -= change.precision * factor * column[k] * column[l];
                }
            }
            sites[i] = Site { precision: site.precision + change.precision, weight: site.weight + change.weight };
        }
        if moved < SETTLED {
            return Matched { sites, chances, settled: true };
        }
    }
    Matched { sites, chances, settled: false }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn moments_of_one_gauge_as_in_the_reference() {
        let all: serde_json::Value =
            serde_json::from_str(include_str!("../../tests/data/worked/formulas.json")).unwrap();
        let cases = all["gauges"]["cases"].as_array().unwrap();
        for case in cases {
            let number = |key: &str| case[key].as_f64().unwrap();
            let gauge = Gauge { low: number("low"), high: number("high"), u: number("u"), went: case["went"] == true };
            let after = gauge.after(number("mean"), number("sd") * number("sd"));
            for (found, key) in
                [(after.mean, "mean_after"), (after.variance.sqrt(), "sd_after"), (after.chance, "chance")]
            {
                assert!((found - number(key)).abs() <= 1e-6 * number(key).abs(), "{key} {found} {case}");
            }
        }
        assert_eq!(cases.len(), 12);
    }

    #[test]
    fn far_out_nothing_breaks() {
        for went in [true, false] {
            for mean in [-1e6, -40.0, -3.0, 0.0, 3.0, 40.0, 1e6] {
                let after = Gauge { low: -0.05, high: 0.05, u: 0.01, went }.after(mean, 0.04);
                assert!(
                    after.mean.is_finite() && after.variance > 0.0 && (0.0..=1.0).contains(&after.chance),
                    "{after:?}"
                );
            }
        }
    }

    #[test]
    fn one_gauge_is_matched_in_one_round_and_two_alike_agree() {
        let gauge = Gauge { low: -0.08, high: 0.04, u: 0.01, went: true };
        let one = matched(&[gauge], vec![0.0], vec![0.004], vec![Site::default()]);
        let after = gauge.after(0.0, 0.004);
        let variance = 1.0 / (1.0 / 0.004 + one.sites[0].precision);
        assert!(one.settled && (variance - after.variance).abs() < 1e-12);
        assert!((variance * one.sites[0].weight - after.mean).abs() < 1e-12);
        let two = matched(&[gauge; 2], vec![0.0; 2], vec![0.004, 0.003, 0.003, 0.004], vec![Site::default(); 2]);
        assert!(two.settled && (two.sites[0].precision / two.sites[1].precision - 1.0).abs() < 1e-6);
        assert!((two.chances[0] - two.chances[1]).abs() < 1e-6);
    }
}
