//! Numbers as people read them: lengths in mm or inches, values with their uncertainty.
//!
//! All rounding goes through [`fixed`]. Everything comes in as mm or rad; nothing here decides
//! what is shown, only how.

use std::fmt;

use super::length::MM_PER_INCH;
use crate::job::Units;
use crate::kit::Limits;

/// Finest decimals of a length shown in mm: whole micrometres, as fine as a limit of size.
const MM_DECIMALS: usize = 3;
/// Finest decimals of a length shown in inches: a ten-thousandth, 2.5 µm.
const INCH_DECIMALS: usize = 4;

/// A number rounded to so many decimals: the one rounding function.
///
/// Rounds the number's exact binary value to the nearest decimal; where that lies exactly midway
/// (0.125 to two decimals) to the even digit, 0.12. A number typed as 1.005 is stored a little
/// below that and gives 1.00. Nought never carries a minus.
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.bytes().all(|b| matches!(b, b'0' | b'.')) => rest.to_owned(),
        _ => text,
    }
}

/// A number rounded to at most so many decimals, without noughts at its end.
pub fn number(value: f64, most_decimals: usize) -> String {
    let text = fixed(value, most_decimals);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// A length in the units people are shown, without unit or needless digits: `402.5`, `0.0315`.
pub fn length_bare(mm: f64, units: Units) -> String {
    match units {
        Units::Mm => number(mm, MM_DECIMALS),
        Units::Inch => number(mm / MM_PER_INCH, INCH_DECIMALS),
    }
}

/// A length with its unit: `402.5 mm`, `15.8465 in`.
pub fn length(mm: f64, units: Units) -> String {
    format!("{} {}", length_bare(mm, units), unit_name(units))
}

/// `mm` or `in`.
pub fn unit_name(units: Units) -> &'static str {
    match units {
        Units::Mm => "mm",
        Units::Inch => "in",
    }
}

/// Limits of size: `4 to 4.012 mm`, or one length where there is no spread.
pub fn limits(limits: Limits, units: Units) -> String {
    let (min, max) = (length_bare(limits.min, units), length_bare(limits.max, units));
    if min == max { format!("{min} {}", unit_name(units)) } else { format!("{min} to {max} {}", unit_name(units)) }
}

/// A number with its sign, plus too: `+0.12`, `-0.03`, and `0.00` without.
pub fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if text.starts_with('-') || text.bytes().all(|b| matches!(b, b'0' | b'.')) { text } else { format!("+{text}") }
}

/// An angle, given in rad, in degrees without needless digits: `67.5°`.
pub fn angle(rad: f64) -> String {
    /// A ten-thousandth of a degree is 0.002 mm per m, finer than anything bored.
    const DEGREE_DECIMALS: usize = 4;
    format!("{}°", number(rad.to_degrees(), DEGREE_DECIMALS))
}

/// A length as the nearest 64th of an inch and what is left over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sixtyfourths {
    /// Whole 64ths, signed.
    pub count: i64,
    /// Length less those 64ths, mm; at most half a 64th either way.
    pub left_over: f64,
}

/// Finds the nearest 64th; midway goes to the even one. Holds for lengths below 1e9 mm.
pub fn sixtyfourths(mm: f64) -> Sixtyfourths {
    let count = (mm / MM_PER_INCH * 64.0).round_ties_even();
    // 127/320 mm is a 64th; multiplied first so that whole 64ths leave exactly nothing.
    Sixtyfourths { count: count as i64, left_over: mm - count * 127.0 / 320.0 }
}

impl fmt::Display for Sixtyfourths {
    /// `1 1/2 in`, `3/4 in - 0.0012 in`; what is left over only from a ten-thousandth of an inch up.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (whole, part) = (self.count.unsigned_abs() / 64, self.count.unsigned_abs() % 64);
        if self.count < 0 {
            f.write_str("-")?;
        }
        let shift = part.trailing_zeros().min(6);
        match (whole, part) {
            (whole, 0) => write!(f, "{whole} in")?,
            (0, part) => write!(f, "{}/{} in", part >> shift, 64 >> shift)?,
            (whole, part) => write!(f, "{whole} {}/{} in", part >> shift, 64 >> shift)?,
        }
        let rest = number(self.left_over.abs() / MM_PER_INCH, INCH_DECIMALS);
        if rest == "0" {
            return Ok(());
        }
        write!(f, " {} {rest} in", if self.left_over < 0.0 { "-" } else { "+" })
    }
}

/// Decimals at which an uncertainty shows two figures: 3 for 0.043, 0 for 12 and above.
///
/// `None` for an uncertainty that is nought or not finite.
pub fn decimals_for(u: f64) -> Option<usize> {
    /// Nothing here is known finer than this; a smaller uncertainty is shown as nought.
    const FINEST: usize = 9;
    if !(u.is_finite() && u > 0.0) {
        return None;
    }
    // By trial: the least number of decimals at which the rounded figure has two digits. Rounding
    // first makes 0.0996 become 0.10, not 0.100.
    (0..=FINEST)
        .find(|&decimals| {
            let text = fixed(u, decimals);
            text.bytes().filter(u8::is_ascii_digit).skip_while(|&b| b == b'0').count() >= 2
        })
        .or(Some(FINEST))
}

/// A value and its uncertainty, the uncertainty to two figures and the value to match:
/// (`0.140`, `0.043`). Without a usable uncertainty the value has three decimals and `u` is `None`.
pub fn value_and_uncertainty(value: f64, u: f64) -> (String, Option<String>) {
    match decimals_for(u) {
        Some(decimals) => (fixed(value, decimals), Some(fixed(u, decimals))),
        None => (fixed(value, MM_DECIMALS), None),
    }
}

/// `0.140 ± 0.043 mm/m`; what the uncertainty's factor is stands beside it, not in it.
pub fn with_uncertainty(value: f64, u: f64, unit: &str) -> String {
    match value_and_uncertainty(value, u) {
        (value, Some(u)) => format!("{value} ± {u} {unit}"),
        (value, None) => format!("{value} {unit}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ties_go_to_the_even_digit_and_nought_has_no_sign() {
        for (value, decimals, text) in [
            (0.125, 2, "0.12"),
            (0.375, 2, "0.38"),
            (2.5, 0, "2"),
            (3.5, 0, "4"),
            (1.005, 2, "1.00"),
            (-0.0004, 3, "0.000"),
            (-0.0006, 3, "-0.001"),
            (-0.0, 0, "0"),
            (1e21, 0, "1000000000000000000000"),
        ] {
            assert_eq!(fixed(value, decimals), text, "{value}");
        }
    }

    #[test]
    fn lengths_have_no_needless_digits() {
        for (mm, in_mm, in_inch) in [
            (1450.0, "1450 mm", "57.0866 in"),
            (402.5, "402.5 mm", "15.8465 in"),
            (101.6, "101.6 mm", "4 in"),
            (19.05, "19.05 mm", "0.75 in"),
            (0.0, "0 mm", "0 in"),
            (-4.012, "-4.012 mm", "-0.158 in"),
            (100.0, "100 mm", "3.937 in"),
        ] {
            assert_eq!(length(mm, Units::Mm), in_mm);
            assert_eq!(length(mm, Units::Inch), in_inch);
        }
        assert_eq!(limits(Limits::new(4.0, 4.012), Units::Mm), "4 to 4.012 mm");
        assert_eq!(limits(Limits::exact(4.0), Units::Mm), "4 mm");
    }

    #[test]
    fn nearest_64th_with_what_is_left_over() {
        for (mm, text) in [
            (19.05, "3/4 in"),
            (38.1, "1 1/2 in"),
            (0.0, "0 in"),
            (25.4, "1 in"),
            (20.0, "25/32 in + 0.0062 in"),
            (96.0, "3 25/32 in - 0.0017 in"),
            (-19.0, "-3/4 in + 0.002 in"),
            (127.0 / 320.0, "1/64 in"),
        ] {
            assert_eq!(sixtyfourths(mm).to_string(), text);
        }
        // Put together again, by another way: nothing is lost, and the rest is at most half a 64th.
        for i in -4000..4000 {
            let mm = f64::from(i) * 0.37;
            let parts = sixtyfourths(mm);
            assert!((parts.count as f64 / 64.0 * 25.4 + parts.left_over - mm).abs() < 1e-9);
            assert!(parts.left_over.abs() <= 25.4 / 128.0 + 1e-9);
        }
    }

    #[test]
    fn an_uncertainty_has_two_figures() {
        for (value, u, text) in [
            (0.14, 0.0432, "0.140 ± 0.043 mm"),
            (0.14, 0.0996, "0.14 ± 0.10 mm"),
            (963.4567, 0.25, "963.46 ± 0.25 mm"),
            (963.4567, 12.4, "963 ± 12 mm"),
            (963.4567, 124.0, "963 ± 124 mm"),
            (-0.0001, 1.04, "0.0 ± 1.0 mm"),
            (1.0, 9.96, "1 ± 10 mm"),
            (1.0, 0.0, "1.000 mm"),
            (1.0, f64::NAN, "1.000 mm"),
        ] {
            assert_eq!(with_uncertainty(value, u, "mm"), text);
        }
    }

    #[test]
    fn signs_and_angles() {
        assert_eq!(signed(0.123, 2), "+0.12");
        assert_eq!(signed(-0.123, 2), "-0.12");
        assert_eq!(signed(0.001, 2), "0.00");
        assert_eq!(angle(67.5f64.to_radians()), "67.5°");
    }
}
