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

/// How many values fall into each of a row of equal intervals, about nil.
#[derive(Clone, Debug, PartialEq)]
pub struct Counts {
    /// The row reaches from minus this to plus this; what lies beyond is counted at its ends.
    pub reach: f64,
    /// From the least to the greatest.
    pub counts: Vec<u64>,
}

/// Intervals of a row: an odd number, so that nil lies in the middle of one.
const INTERVALS: usize = 41;

/// The row reaches so many root mean squares either way: of a normal distribution one value in 2,000
/// lies beyond.
const REACH: f64 = 3.5;

impl Counts {
    /// Counts values; `None` where they are fewer than two or all nil.
    pub fn of(values: &[f64]) -> Option<Counts> {
        if values.len() < 2 {
            return None;
        }
        let reach = REACH * (values.iter().map(|v| v * v).sum::<f64>() / values.len() as f64).sqrt();
        if !(reach.is_finite() && reach > 0.0) {
            return None;
        }
        let mut counts = vec![0; INTERVALS];
        for v in values {
            let at = (0.5 * (v / reach + 1.0) * INTERVALS as f64).clamp(0.0, (INTERVALS - 1) as f64);
            counts[at as usize] += 1;
        }
        Some(Counts { reach, counts })
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

    #[test]
    fn every_value_is_counted_once_and_the_middle_is_nil() {
        // By hand: an even ladder from -1 to 1 has the root mean square 1/√3, so the row reaches 3.5/√3 =
        // 2.02 either way, and each of 41 intervals of 0.0986 inside holds 4.93 % of the values.
        let values: Vec<f64> = (0..=20_000).map(|i| f64::from(i) / 10_000.0 - 1.0).collect();
        let Counts { reach, counts } = Counts::of(&values).unwrap();
        assert!((reach - 3.5 / 3f64.sqrt()).abs() < 1e-3);
        assert_eq!(counts.iter().sum::<u64>(), 20_001);
        assert!(counts[20].abs_diff(986) <= 1, "{}", counts[20]);
        assert_eq!((counts[0], counts[40]), (0, 0));
        assert_eq!(counts, counts.iter().rev().copied().collect::<Vec<_>>());
        assert_eq!(Counts::of(&[0.0, 0.0]), None);
    }
}
