//! The chance of a verdict where a bar did not go: drawn with a stated seed, not matched.
//!
//! Square and the gauges' distances are jointly normal before the gauges. The distances are drawn one
//! after another, each from its normal given those before, cut to what its gauge did; what was cut off
//! weighs the draw. Given all distances square is normal again, so each draw gives the chance itself,
//! not a yes or no (sequential importance sampling with the last step done exactly).

use super::chance::{normal, normal_between, normal_quantile};
use super::gauge::Gauge;
use crate::predict::uniforms;

/// Draws; the chance then has a noise below 0.002 in every case tried.
pub(super) const DRAWS: u64 = 40_000;

/// Square and the gauges' distances before the gauges, to first order.
pub(super) struct Joint {
    /// Square, mm per m; then the distances, mm.
    pub(super) mean: Vec<f64>,
    /// Their covariance, row after row.
    pub(super) covariance: Vec<f64>,
}

/// Chance that square lies within ± `limit` after all gauges; `None` where what they did has no chance
/// at all, or the covariance is none.
pub(super) fn drawn(joint: &Joint, gauges: &[Gauge], limit: f64, seed: u64) -> Option<f64> {
    let n = gauges.len() + 1;
    // Distances first, square last; the bars' own errors are part of what is drawn.
    let order: Vec<usize> = (1..n).chain([0]).collect();
    let entry = |i: usize, j: usize| {
        let (a, b) = (order[i], order[j]);
        let own = if i == j && a > 0 { gauges[a - 1].u * gauges[a - 1].u } else { 0.0 };
        joint.covariance[a * n + b] + own
    };
    let mut lower = vec![0.0; n * n];
    for i in 0..n {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| lower[i * n + k] * lower[j * n + k]).sum();
            let rest = entry(i, j) - sum;
            if i == j {
                if rest.is_nan() || rest < 0.0 {
                    return None;
                }
                lower[i * n + i] = rest.sqrt();
            } else {
                lower[i * n + j] = if lower[j * n + j] > 0.0 { rest / lower[j * n + j] } else { 0.0 };
            }
        }
    }
    let last = n - 1;
    let sd = lower[last * n + last];
    let (mut weights, mut within) = (0.0, 0.0);
    let mut z = vec![0.0; n];
    for draw in 0..DRAWS {
        let mut weight = 1.0;
        for i in 0..last {
            let gauge = &gauges[i];
            let own = lower[i * n + i];
            let mean = joint.mean[i + 1] + (0..i).map(|k| lower[i * n + k] * z[k]).sum::<f64>();
            let u = uniforms(seed, draw, i as u32)[0];
            let (a, b) = ((gauge.low - mean) / own, (gauge.high - mean) / own);
            z[i] = if own <= 0.0 {
                weight *= f64::from(u8::from((gauge.low..=gauge.high).contains(&mean) == gauge.went));
                0.0
            } else if gauge.went {
                let share = normal_between(a, b);
                weight *= share;
                between(a, b, u)
            } else {
                let (below, above) = (normal(a), normal(-b));
                weight *= below + above;
                let at = u * (below + above);
                if at < below { normal_quantile(at) } else { -normal_quantile(at - below) }
            };
            if weight <= 0.0 || !z[i].is_finite() {
                weight = 0.0;
                break;
            }
        }
        if weight > 0.0 {
            let mean = joint.mean[0] + (0..last).map(|k| lower[last * n + k] * z[k]).sum::<f64>();
            weights += weight;
            within += weight * inside(mean, sd, limit);
        }
    }
    (weights > 0.0).then(|| within / weights)
}

/// Chance that a normal number lies within ± `limit`.
pub(super) fn inside(mean: f64, sd: f64, limit: f64) -> f64 {
    if sd > 0.0 {
        normal_between((-limit - mean) / sd, (limit - mean) / sd)
    } else {
        f64::from(u8::from(mean.abs() <= limit))
    }
}

/// A standard normal number cut to a ≤ z ≤ b, at the share `u` of its chance.
fn between(a: f64, b: f64, u: f64) -> f64 {
    // From the tail that keeps its digits.
    let z = if a > 0.0 {
        let (top, bottom) = (normal(-a), normal(-b));
        -normal_quantile(top + u * (bottom - top))
    } else {
        let (low, high) = (normal(a), normal(b));
        normal_quantile(low + u * (high - low))
    };
    z.max(a).min(b)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_gauge_drawn_as_by_plain_drawing() {
        let gauge = Gauge { low: -0.05, high: 0.05, u: 0.012, went: false };
        let joint = Joint { mean: vec![0.1, 0.02], covariance: vec![0.04, 0.012, 0.012, 0.0049] };
        let drawn = drawn(&joint, &[gauge], 0.25, 1).unwrap();
        let slope = 0.012 / 0.0049;
        // The chance by plain drawing of both, counted.
        let (mut went, mut inside_of) = (0.0, 0.0);
        for draw in 0..200_000 {
            let u = uniforms(9, draw, 0);
            let z = [0, 1, 2].map(|k| normal_quantile(u[k]));
            let d = 0.02 + 0.07 * z[0];
            let s = 0.1 + slope * 0.07 * z[0] + (0.04 - slope * 0.012f64).sqrt() * z[1];
            if (d + 0.012 * z[2]).abs() > 0.05 {
                went += 1.0;
                inside_of += f64::from(u8::from(s.abs() <= 0.25));
            }
        }
        // Its noise is 0.0013.
        assert!((drawn - inside_of / went).abs() < 0.005, "{drawn} {}", inside_of / went);
    }
}
