//! The transcendental functions, all through `libm`, so that native and WebAssembly builds give
//! the same bits. The standard library's own are banned by lint (`clippy.toml`).
//!
//! Angles in rad. Addition, multiplication, division and square root are exact to the last bit on
//! every platform and are used directly.

/// Sine of an angle in rad.
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}

/// Cosine of an angle in rad.
pub fn cos(x: f64) -> f64 {
    libm::cos(x)
}

/// Sine and cosine of an angle in rad.
pub fn sin_cos(x: f64) -> (f64, f64) {
    libm::sincos(x)
}

/// Tangent of an angle in rad.
pub fn tan(x: f64) -> f64 {
    libm::tan(x)
}

/// Angle in rad, −π/2 to π/2, whose sine is `x`; NaN outside −1 to 1.
pub fn asin(x: f64) -> f64 {
    libm::asin(x)
}

/// Angle in rad, 0 to π, whose cosine is `x`; NaN outside −1 to 1.
pub fn acos(x: f64) -> f64 {
    libm::acos(x)
}

/// Angle in rad, −π/2 to π/2, whose tangent is `x`.
pub fn atan(x: f64) -> f64 {
    libm::atan(x)
}

/// Direction of the vector (`x`, `y`) in rad, −π to π, counter-clockwise from +x.
pub fn atan2(y: f64, x: f64) -> f64 {
    libm::atan2(y, x)
}

/// Length of the vector (`x`, `y`).
pub fn hypot(x: f64, y: f64) -> f64 {
    libm::hypot(x, y)
}

/// e to the power `x`.
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// Natural logarithm.
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// Logarithm to base 10.
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// `x` to the power `y`.
pub fn pow(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}

/// Cube root.
pub fn cbrt(x: f64) -> f64 {
    libm::cbrt(x)
}

/// Error function, for normal probabilities.
pub fn erf(x: f64) -> f64 {
    libm::erf(x)
}

/// Complementary error function, exact in the tail where `1 - erf` loses all digits.
pub fn erfc(x: f64) -> f64 {
    libm::erfc(x)
}
