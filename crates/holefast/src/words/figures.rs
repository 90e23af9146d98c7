//! Figures as people read them: lengths in the job's units, times, shares.

use crate::job::Units;
use crate::kit::Limits;

const MM_PER_INCH: f64 = 25.4;

/// Inch lengths within this of a 64th are shown as fractions: a ten-thousandth of an inch, far
/// below what anybody sets a rule to.
const FRACTION_TOLERANCE_INCH: f64 = 0.0001;

/// A length without its unit: mm to a tenth, or inches as a fraction down to a 64th where it is
/// one, else to a thousandth.
pub fn bare_length(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => trimmed(mm, 1),
        Units::Inch => {
            let inches = mm / MM_PER_INCH;
            let parts = (inches.abs() * 64.0).round();
            if (inches.abs() - parts / 64.0).abs() > FRACTION_TOLERANCE_INCH || parts > 1e9 {
                return trimmed(inches, 3);
            }
            let sign = if inches < 0.0 && parts > 0.0 { "-" } else { "" };
            let (whole, mut over, mut under) = (parts as u64 / 64, parts as u64 % 64, 64);
            while over > 0 && over % 2 == 0 {
                over /= 2;
                under /= 2;
            }
            match (whole, over) {
                (w, 0) => format!("{sign}{w}"),
                (0, o) => format!("{sign}{o}/{under}"),
                (w, o) => format!("{sign}{w}\u{a0}{o}/{under}"),
            }
        }
    }
}

/// A length with its unit.
pub fn length(units: Units, mm: f64) -> String {
    format!("{}\u{a0}{}", bare_length(units, mm), unit(units))
}

/// A length that nobody sets out by: whole mm, or eighths of an inch.
pub fn about_length(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => length(units, mm.round()),
        Units::Inch => length(units, (mm / MM_PER_INCH * 8.0).round() / 8.0 * MM_PER_INCH),
    }
}

/// A small length such as a misfit: hundredths of a mm, or ten-thousandths of an inch.
pub fn fine(units: Units, mm: f64) -> String {
    match units {
        Units::Mm => format!("{}\u{a0}mm", trimmed(mm, 2)),
        Units::Inch => format!("{}\u{a0}in", trimmed(mm / MM_PER_INCH, 4)),
    }
}

/// A diameter's limits: one figure, or "4 to 4.012 mm".
pub fn limits(units: Units, limits: Limits) -> String {
    let (scale, places) = match units {
        Units::Mm => (1.0, 3),
        Units::Inch => (MM_PER_INCH, 4),
    };
    let (min, max) = (trimmed(limits.min / scale, places), trimmed(limits.max / scale, places));
    if min == max { format!("{min}\u{a0}{}", unit(units)) } else { format!("{min} to {max}\u{a0}{}", unit(units)) }
}

/// mm per m, to two figures; the same in inch jobs.
pub fn per_metre(value: f64) -> String {
    format!("{}\u{a0}mm per metre", two_figures(value))
}

/// Minutes, or hours and minutes from two hours on.
pub fn minutes(minutes: f64) -> String {
    let all = minutes.max(0.0).round() as u64;
    match (all / 60, all % 60) {
        (_, _) if all == 0 => "under a\u{a0}minute".to_owned(),
        (0, 1) => "1\u{a0}minute".to_owned(),
        (0, m) => format!("{m}\u{a0}minutes"),
        (h, m) => format!("{h}\u{a0}h\u{a0}{m:02}"),
    }
}

/// A share as percent: whole, to a tenth near nil and near all; never all where it is not all.
pub fn share(value: f64) -> String {
    let percent = 100.0 * value;
    if (99.0..100.0).contains(&percent) {
        format!("{:.1}\u{a0}%", (10.0 * percent).floor() / 10.0)
    } else if percent >= 1.0 || percent == 0.0 {
        format!("{percent:.0}\u{a0}%")
    } else {
        format!("{percent:.1}\u{a0}%")
    }
}

/// "95 times in 100", "999 times in 1000"; never promises all where it is not all.
pub fn shares_of_hundred(value: f64) -> String {
    for of in [100.0, 1000.0, 10_000.0] {
        let n = (value * of).floor();
        let enough = n < of - 0.5;
        if enough && (of == 100.0 || n > of - 10.5) {
            // 95 in 100; 99.9 in 100 needs the next size up.
            if of == 100.0 && n >= 99.0 {
                continue;
            }
            return format!("{n:.0} times in {of:.0}");
        }
        if enough {
            return format!("{n:.0} times in {of:.0}");
        }
    }
    "more than 9999 times in 10\u{a0}000".to_owned()
}

/// Set-up numbers as "5" or "20 to 68".
pub fn span_of(first: u32, last: u32) -> String {
    if first == last { first.to_string() } else { format!("{first} to {last}") }
}

fn unit(units: Units) -> &'static str {
    match units {
        Units::Mm => "mm",
        Units::Inch => "in",
    }
}

/// Two significant figures, for uncertainties and limits.
fn two_figures(value: f64) -> String {
    let size = value.abs();
    if size == 0.0 || !size.is_finite() {
        return trimmed(value, 0);
    }
    let mut places = 0;
    let mut scaled = size;
    while scaled < 9.95 && places < 6 {
        scaled *= 10.0;
        places += 1;
    }
    format!("{value:.places$}")
}

/// Decimal with at most so many places, no trailing zeros, no negative nought.
pub(super) fn trimmed(value: f64, places: usize) -> String {
    let mut text = format!("{value:.places$}");
    if text.contains('.') {
        text.truncate(text.trim_end_matches('0').trim_end_matches('.').len());
    }
    if text == "-0" { "0".to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_read_as_on_a_rule() {
        for (units, mm, shown) in [
            (Units::Mm, 402.5, "402.5\u{a0}mm"),
            (Units::Mm, 100.0, "100\u{a0}mm"),
            (Units::Mm, -0.04, "0\u{a0}mm"),
            (Units::Inch, 19.05, "3/4\u{a0}in"),
            (Units::Inch, 25.4 * 3.9375, "3\u{a0}15/16\u{a0}in"),
            (Units::Inch, 101.6, "4\u{a0}in"),
            (Units::Inch, 100.0, "3.937\u{a0}in"),
            (Units::Inch, -25.4 / 64.0, "-1/64\u{a0}in"),
        ] {
            assert_eq!(length(units, mm), shown);
        }
    }

    #[test]
    fn shares_never_promise_all() {
        assert_eq!(shares_of_hundred(0.95), "95 times in 100");
        assert_eq!(shares_of_hundred(0.999), "999 times in 1000");
        assert_eq!(shares_of_hundred(0.9937), "993 times in 1000");
        assert_eq!(shares_of_hundred(1.0), "more than 9999 times in 10\u{a0}000");
        assert_eq!(shares_of_hundred(0.5), "50 times in 100");
    }

    #[test]
    fn a_share_is_not_all_unless_it_is() {
        for (value, shown) in [(0.9996, "99.9"), (1.0, "100"), (0.52, "52"), (0.0, "0"), (0.004, "0.4")] {
            assert_eq!(share(value), format!("{shown}\u{a0}%"));
        }
    }

    #[test]
    fn figures_have_two_digits() {
        for (value, shown) in [(0.0943, "0.094"), (0.44, "0.44"), (1.234, "1.2"), (0.0999, "0.10"), (12.3, "12")] {
            assert_eq!(per_metre(value), format!("{shown}\u{a0}mm per metre"));
        }
    }
}
