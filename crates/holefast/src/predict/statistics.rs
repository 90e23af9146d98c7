//! Figures of a list of numbers: mean, standard deviation and its noise, quantiles.

/// Mean, spread and quantiles of the boards' values of one quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sample {
    /// Mean.
    pub mean: f64,
    /// Standard deviation.
    pub sd: f64,
    /// Statistical noise of `sd`: its own standard uncertainty, from the fourth moment.
    pub sd_noise: f64,
    /// 2.5 % quantile.
    pub q025: f64,
    /// 97.5 % quantile.
    pub q975: f64,
}

impl Sample {
    /// Figures of these values; `None` without at least two of them.
    pub fn of(values: &[f64]) -> Option<Sample> {
        if values.len() < 2 {
            return None;
        }
        let n = values.len() as f64;
        let mean = values.iter().sum::<f64>() / n;
        let (mut second, mut fourth) = (0.0, 0.0);
        for v in values {
            let squared = (v - mean) * (v - mean);
            second += squared;
            fourth += squared * squared;
        }
        let variance = second / (n - 1.0);
        let sd = variance.sqrt();
        // var s² ≈ (μ4 − σ⁴)/n, and s² = sd² makes u(s) = u(s²)/(2 sd).
        let noise = ((fourth / n - variance * variance).max(0.0) / n).sqrt() / (2.0 * sd);
        let mut sorted = values.to_vec();
        sorted.sort_unstable_by(f64::total_cmp);
        Some(Sample {
            mean,
            sd,
            sd_noise: if sd > 0.0 { noise } else { 0.0 },
            q025: quantile(&sorted, 0.025),
            q975: quantile(&sorted, 0.975),
        })
    }
}

/// Quantile of sorted values, not empty, linear between neighbours: the one at share · (n − 1).
pub(super) fn quantile(sorted: &[f64], share: f64) -> f64 {
    let at = share * (sorted.len() - 1) as f64;
    let below = at.floor() as usize;
    let above = (below + 1).min(sorted.len() - 1);
    sorted[below] + (at - below as f64) * (sorted[above] - sorted[below])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_even_ladder_has_the_figures_of_the_rectangular() {
        // By hand: 0 … 1 in n steps: mean ½, variance 1/12, quantiles themselves, and with
        // μ4 = 1/80 the noise √((1/80 − 1/144)/n)/(2/√12).
        let values: Vec<f64> = (0..=10_000).map(|i| f64::from(i) / 10_000.0).collect();
        let s = Sample::of(&values).unwrap();
        assert!((s.mean - 0.5).abs() < 1e-12 && (s.sd - 1.0 / 12f64.sqrt()).abs() < 1e-4);
        assert!((s.q025 - 0.025).abs() < 1e-12 && (s.q975 - 0.975).abs() < 1e-12);
        let noise = ((1.0 / 80.0 - 1.0 / 144.0) / 1e4f64).sqrt() * 12f64.sqrt() / 2.0;
        assert!((s.sd_noise / noise - 1.0).abs() < 1e-2);
        assert_eq!(Sample::of(&[1.0]), None);
    }
}
