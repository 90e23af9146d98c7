//! The layout in words: what `holefast show` prints, and the pieces its messages are made of.
//!
//! Numbers come ready from [`crate::top`]; nothing is worked out here but their rounding for print.

/// A length as text with its unit, to a hundredth, without idle noughts: `9.5 mm`, `12 mm`.
pub(crate) fn mm(length: f64) -> String {
    format!("{} mm", number(length))
}

/// A number to a hundredth, without idle noughts and without a sign on nil.
pub(crate) fn number(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
