//! Lengths as people write them, read into mm.
//!
//! A string always carries its own unit: `"3/4 in"`, `"19.05 mm"`, `"1 1/2 in"`, `"19,05 mm"`.
//! A string without a unit is refused with the spelling that would work, never guessed at.
//! Reading a bare number in the job's units is left to the job's reader.

/// Millimetres in an inch, exact by definition.
pub const MM_PER_INCH: f64 = 25.4;

/// Why a text is not a length.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum LengthError {
    /// A number without unit; the text itself, trimmed.
    NoUnit(String),
    /// A unit that is not known.
    UnknownUnit {
        /// The number before it.
        number: String,
        /// The unit as written.
        unit: String,
    },
    /// No number can be read.
    NotANumber(String),
    /// Both a comma and a point, or two of one: which is the decimal sign cannot be told.
    TwoDecimalSigns(String),
    /// A fraction over nothing.
    ZeroDenominator(String),
    /// More than can be held.
    NotFinite,
}

impl LengthError {
    /// What is wrong, lower case, no full stop.
    pub fn message(&self) -> String {
        match self {
            LengthError::NoUnit(text) => format!("\"{text}\" has no unit"),
            LengthError::UnknownUnit { unit, .. } => format!("\"{unit}\" is not a unit of length known here"),
            LengthError::NotANumber(text) => format!("\"{text}\" is not a length"),
            LengthError::TwoDecimalSigns(text) => format!("\"{text}\" has more than one decimal sign"),
            LengthError::ZeroDenominator(text) => format!("\"{text}\" divides by zero"),
            LengthError::NotFinite => "this length is not a finite number".to_owned(),
        }
    }

    /// The way out.
    pub fn hint(&self) -> String {
        match self {
            LengthError::NoUnit(text) => {
                format!("write \"{text} mm\" or \"{text} in\", or the bare number for the job's own units")
            }
            LengthError::UnknownUnit { number, .. } => format!("write \"{number} mm\" or \"{number} in\""),
            LengthError::TwoDecimalSigns(_) => {
                "write one decimal point or comma and no thousands signs, as in \"1450.5 mm\"".to_owned()
            }
            LengthError::NotANumber(_) | LengthError::ZeroDenominator(_) | LengthError::NotFinite => {
                "write a length as in \"19.05 mm\", \"3/4 in\" or \"1 1/2 in\"".to_owned()
            }
        }
    }
}

/// Inches to mm, rounded once for every number of inches that is a binary fraction: 3/4 gives
/// the same bits as 19.05.
pub fn mm_from_inch(inches: f64) -> f64 {
    inches * 127.0 / 5.0
}

/// Reads a length that carries its own unit; the result is finite, in mm, and keeps its sign.
///
/// Units: mm, cm, m, in (also inch, inches and the double prime).
pub fn parse_length(text: &str) -> Result<f64, LengthError> {
    let (number, unit) = split_unit(text);
    if unit.is_empty() {
        // Whether the unit or the number is missing decides what the hint should say.
        read_number(number)?;
        return Err(LengthError::NoUnit(number.to_owned()));
    }
    let to_mm: fn(f64) -> f64 = match unit {
        "mm" => |v| v,
        "cm" => |v| v * 10.0,
        "m" => |v| v * 1000.0,
        "in" | "inch" | "inches" | "\"" | "″" => mm_from_inch,
        _ => {
            if number.is_empty() {
                return Err(LengthError::NotANumber(short(text)));
            }
            return Err(LengthError::UnknownUnit { number: short(number), unit: short(unit) });
        }
    };
    let mm = to_mm(read_number(number)?);
    if mm.is_finite() { Ok(mm) } else { Err(LengthError::NotFinite) }
}

/// True for `1,450 mm`: a comma before just three digits, which some write for thousands. It is
/// read as the decimal comma that it is here; whoever reads it may want to say so.
pub fn may_mean_thousands(text: &str) -> bool {
    let (number, _) = split_unit(text);
    let number = number.trim_start_matches(['-', '+']);
    match number.split_once(',') {
        Some((whole, part)) => {
            let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
            digits(whole) && whole.len() <= 3 && !whole.starts_with('0') && digits(part) && part.len() == 3
        }
        None => false,
    }
}

/// Splits into the number as written and the unit after it, both trimmed.
pub(super) fn split_unit(text: &str) -> (&str, &str) {
    let text = text.trim();
    let is_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | '+' | '-' | ' ');
    let end = text.find(|c: char| !is_number(c)).unwrap_or(text.len());
    (text[..end].trim(), text[end..].trim())
}

/// Reads `19.05`, `19,05`, `3/4`, `1 1/2` or `1-1/2`, with or without a sign.
pub(super) fn read_number(text: &str) -> Result<f64, LengthError> {
    let wrong = || LengthError::NotANumber(short(text));
    let (negative, rest) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let value = match rest.split_once('/') {
        None => read_decimal(rest)?,
        Some((above, below)) => {
            let above = above.trim_end();
            let (whole, above) = match above.rsplit_once([' ', '-']) {
                Some((whole, above)) => (read_whole(whole.trim()).ok_or_else(wrong)?, above),
                None => (0.0, above),
            };
            let above = read_whole(above.trim()).ok_or_else(wrong)?;
            let below = read_whole(below.trim()).ok_or_else(wrong)?;
            if below == 0.0 {
                return Err(LengthError::ZeroDenominator(short(text)));
            }
            (whole * below + above) / below
        }
    };
    if !value.is_finite() {
        return Err(LengthError::NotFinite);
    }
    Ok(if negative { -value } else { value })
}

/// Digits only.
fn read_whole(text: &str) -> Option<f64> {
    (!text.is_empty() && text.bytes().all(|b| b.is_ascii_digit())).then(|| text.parse().ok())?
}

/// Digits with at most one decimal point or comma.
fn read_decimal(text: &str) -> Result<f64, LengthError> {
    let signs = text.bytes().filter(|b| matches!(b, b'.' | b',')).count();
    let others = text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b','));
    if !others || !text.bytes().any(|b| b.is_ascii_digit()) {
        return Err(LengthError::NotANumber(short(text)));
    }
    if signs > 1 {
        return Err(LengthError::TwoDecimalSigns(short(text)));
    }
    text.replace(',', ".").parse().map_err(|_| LengthError::NotANumber(short(text)))
}

/// The text as a message quotes it: not longer than a line can bear.
fn short(text: &str) -> String {
    /// Characters of a quoted text; more would push the message itself out of sight.
    const MOST_QUOTED: usize = 40;
    let text = text.trim();
    if text.chars().count() <= MOST_QUOTED {
        text.to_owned()
    } else {
        text.chars().take(MOST_QUOTED).chain("…".chars()).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_in_every_spelling() {
        for (text, mm) in [
            ("19.05 mm", 19.05),
            ("19,05 mm", 19.05),
            ("19.05mm", 19.05),
            ("  3/4 in ", 19.05),
            ("1 1/2 in", 38.1),
            ("1-1/2 in", 38.1),
            ("-1 1/2 in", -38.1),
            ("+2 cm", 20.0),
            ("1.2 m", 1200.0),
            (".5 in", 12.7),
            ("4\"", 101.6),
            ("4 inches", 101.6),
            ("0 mm", 0.0),
        ] {
            assert_eq!(parse_length(text), Ok(mm), "{text}");
        }
    }

    #[test]
    fn every_64th_of_an_inch_is_the_nearest_double_to_its_decimal() {
        for n in 0..=64 * 12 {
            let text = format!("{n}/64 in");
            // 25.4 n / 64 = 127 n / 320, written out exactly in decimal by whole numbers.
            let micro = 127_000_000_000_000u64 * n / 320;
            let decimal = format!("{}.{:012} mm", micro / 1_000_000_000_000, micro % 1_000_000_000_000);
            assert_eq!(parse_length(&text), parse_length(&decimal), "{text} against {decimal}");
        }
    }

    #[test]
    fn a_unit_is_never_guessed() {
        let fault = parse_length("3/4").unwrap_err();
        assert_eq!(fault, LengthError::NoUnit("3/4".to_owned()));
        assert!(fault.hint().contains("\"3/4 in\""), "{}", fault.hint());
        assert_eq!(
            parse_length("3 furlongs").unwrap_err(),
            LengthError::UnknownUnit { number: "3".to_owned(), unit: "furlongs".to_owned() }
        );
    }

    #[test]
    fn a_comma_before_three_digits_may_mean_thousands() {
        for (text, may) in [
            ("1,450 mm", true),
            ("-12,000 mm", true),
            ("19,05 mm", false),
            ("0,125 in", false),
            ("1450,125 mm", false),
            ("1,4500 mm", false),
            ("1.450 mm", false),
        ] {
            assert_eq!(may_mean_thousands(text), may, "{text}");
        }
    }

    #[test]
    fn what_is_no_length_is_refused() {
        for text in ["", " ", "mm", "in", "1e3 mm", "1/0 in", "1,450.5 mm", "1.2.3 mm", "--1 mm", "1 2 mm", "1/2/3 in"]
        {
            assert!(parse_length(text).is_err(), "{text}");
        }
        assert_eq!(parse_length(&format!("{} mm", "9".repeat(400))), Err(LengthError::NotFinite));
        for text in ["nan mm", "inf mm", "½ in", "１ mm"] {
            assert!(parse_length(text).is_err(), "{text}");
        }
    }
}
