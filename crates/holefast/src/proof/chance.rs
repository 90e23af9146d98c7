//! Probabilities: the normal and the χ² distribution, their tails and quantiles.
//!
//! Through `math`, so the same bits everywhere. Normal: complementary error function. χ²: the
//! regularised incomplete gamma function by its series below the mean and by its continued fraction
//! above (textbook forms, from memory; held against the published critical values in the tests).
//! Quantiles by halving and Newton steps, to rounding.

use crate::math;

const SQRT_2: f64 = std::f64::consts::SQRT_2;

/// Chance that a standard normal number is at most `z`.
pub fn normal(z: f64) -> f64 {
    0.5 * math::erfc(-z / SQRT_2)
}

/// Density of the standard normal distribution.
pub fn normal_density(z: f64) -> f64 {
    /// 1/√(2π).
    const AT_NIL: f64 = 0.398_942_280_401_432_7;
    AT_NIL * math::exp(-0.5 * z * z)
}

/// Chance that a standard normal number lies between two limits; digits are kept in either tail.
pub fn normal_between(low: f64, high: f64) -> f64 {
    if low > 0.0 {
        0.5 * (math::erfc(low / SQRT_2) - math::erfc(high / SQRT_2))
    } else if high < 0.0 {
        0.5 * (math::erfc(-high / SQRT_2) - math::erfc(-low / SQRT_2))
    } else {
        1.0 - 0.5 * (math::erfc(-low / SQRT_2) + math::erfc(high / SQRT_2))
    }
}

/// The number that a standard normal one stays below with chance `p`; infinite at 0 and 1.
pub fn normal_quantile(p: f64) -> f64 {
    if p.is_nan() || p <= 0.0 {
        return f64::NEG_INFINITY;
    }
    if p >= 1.0 {
        return f64::INFINITY;
    }
    if p > 0.5 {
        return -normal_quantile(1.0 - p);
    }
    // No double above nil has a quantile below -39.
    let (mut low, mut high) = (-39.0f64, 0.0f64);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if normal(middle) < p { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// Chance that |z| is at least this.
pub fn beyond(z: f64) -> f64 {
    math::erfc(z.abs() / SQRT_2)
}

/// Limit that |z| reaches with chance `level`: 3.2905 for 0.001.
pub fn two_sided(level: f64) -> f64 {
    -normal_quantile(0.5 * level)
}

/// Chance that χ² with so many degrees of freedom is at least `x`.
pub fn chi_square_beyond(x: f64, freedom: usize) -> f64 {
    if freedom == 0 || x.is_nan() {
        return f64::NAN;
    }
    if x <= 0.0 {
        return 1.0;
    }
    let (a, x) = (0.5 * freedom as f64, 0.5 * x);
    let front = math::exp(a * math::ln(x) - x - libm::lgamma(a));
    if x < a + 1.0 { 1.0 - front * series(a, x) } else { front * fraction(a, x) }
}

/// γ(a, x) / (xᵃ e⁻ˣ) by its power series.
fn series(a: f64, x: f64) -> f64 {
    let (mut term, mut sum, mut n) = (1.0 / a, 1.0 / a, a);
    while term > 1e-17 * sum {
        n += 1.0;
        term *= x / n;
        sum += term;
    }
    sum
}

/// Γ(a, x) / (xᵃ e⁻ˣ) by its continued fraction, evaluated forwards (Lentz).
fn fraction(a: f64, x: f64) -> f64 {
    /// Stands for nil where a denominator would vanish.
    const TINY: f64 = 1e-300;
    let mut b = x + 1.0 - a;
    let mut c = 1.0 / TINY;
    let mut d = 1.0 / b;
    let mut h = d;
    for i in 1..10_000 {
        let n = f64::from(i);
        let an = -n * (n - a);
        b += 2.0;
        d = an * d + b;
        d = if d.abs() < TINY { TINY } else { d };
        c = b + an / c;
        c = if c.abs() < TINY { TINY } else { c };
        d = 1.0 / d;
        let step = d * c;
        h *= step;
        if (step - 1.0).abs() < 1e-16 {
            break;
        }
    }
    h
}

/// The number that χ² reaches with chance `level`: 3.8415 for one degree of freedom and 0.05.
pub fn chi_square_limit(level: f64, freedom: usize) -> f64 {
    if freedom == 0 {
        return f64::NAN;
    }
    let mut high = freedom as f64 + 10.0;
    while chi_square_beyond(high, freedom) > level {
        high *= 2.0;
    }
    let mut low = 0.0;
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if chi_square_beyond(middle, freedom) > level { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

/// How far off, squared and in standard deviations, something must be for a χ² test of this level to
/// find it with chance `power`: 17.07 for one degree of freedom, 0.001 and 0.8.
pub fn shift_found(level: f64, freedom: usize, power: f64) -> f64 {
    let limit = chi_square_limit(level, freedom);
    // χ² about a shift is a mixture of plain ones, two degrees apart, by the chances of Poisson.
    let found = |shift: f64| {
        let mean = 0.5 * shift;
        let (mut share, mut sum) = (math::exp(-mean), 0.0);
        for j in 0..400 {
            sum += share * chi_square_beyond(limit, freedom + 2 * j);
            share *= mean / (j as f64 + 1.0);
        }
        sum
    };
    let (mut low, mut high) = (0.0, 200.0);
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if found(middle) < power { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn critical_values_as_in_the_reference() {
        // Baarda's limits for two sides, and the shifts found by power.
        let all: serde_json::Value =
            serde_json::from_str(include_str!("../../tests/data/critical-values.json")).unwrap();
        let mut compared = 0;
        for row in all["baarda"].as_array().unwrap() {
            let level = row["alpha0"].as_f64().unwrap();
            assert!((two_sided(level) - row["k_two_sided"].as_f64().unwrap()).abs() < 6e-5, "{row}");
            for (power, delta) in row["delta0"].as_object().unwrap() {
                let found = two_sided(level) + normal_quantile(power.parse().unwrap());
                assert!((found - delta.as_f64().unwrap()).abs() < 6e-5, "{row}");
                compared += 1;
            }
        }
        assert!(compared >= 16, "{compared}");
    }

    #[test]
    fn chi_square_limits_and_tails() {
        // Any table of χ² at 5 %, 1 %: from memory, to the printed digits.
        for (freedom, level, limit) in [
            (1, 0.05, 3.841_459),
            (2, 0.05, 5.991_465),
            (8, 0.05, 15.507_313),
            (14, 0.01, 29.141_238),
            (100, 0.05, 124.342),
        ] {
            assert!((chi_square_limit(level, freedom) - limit).abs() < 1e-3, "{freedom}");
            assert!((chi_square_beyond(chi_square_limit(level, freedom), freedom) - level).abs() < 1e-12);
        }
        // Two degrees of freedom: exp(-x/2), exactly.
        for x in [0.1, 1.0, 5.0, 40.0, 300.0] {
            let exact = math::exp(-0.5 * x);
            assert!((chi_square_beyond(x, 2) / exact - 1.0).abs() < 1e-12, "{x}");
        }
    }

    #[test]
    fn shifts_that_are_found() {
        // One degree of freedom: the square of Baarda's δ, 17.0746 for 0.001 and 0.8 but for the far tail.
        assert!((shift_found(0.001, 1, 0.8) - 17.0746).abs() < 1e-3);
        assert!(shift_found(0.001, 2, 0.8) > shift_found(0.001, 1, 0.8));
    }

    #[test]
    fn quantiles_lead_back() {
        for p in [1e-12, 1e-3, 0.05, 0.3, 0.5, 0.8, 0.999] {
            assert!((normal(normal_quantile(p)) / p - 1.0).abs() < 1e-9, "{p}");
        }
        assert!((normal_between(-1.96, 1.96) - 0.95).abs() < 1e-5);
        // Far out, where 1 − Φ has no digits left.
        assert!((normal_between(10.0, 11.0) / normal_between(-11.0, -10.0) - 1.0).abs() < 1e-12);
    }
}
