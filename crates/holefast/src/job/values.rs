//! Typed reading of values: what is not what it should be becomes a located fault.
//!
//! A getter returns `None` both where a key is missing and where it is faulty; the fault has then
//! been noted, so readers may go on and find the next one. Lengths come out in mm.

use super::nearest::nearest;
use super::read::{Reader, Table};
use super::tree::{Node, Value, short};
use crate::fault::{Fault, Span};
use crate::job::Units;
use crate::kit::Limits;
use crate::measure::iso286::{self, Feature};
use crate::measure::{format, length, mm_from_inch};

/// Longest length in a job, mm: no sheet, bar or rail is 10 m long; a greater one is a slip of
/// units or of the decimal sign.
pub const MOST_LENGTH: f64 = 10_000.0;

/// What a length or number may be.
#[derive(Clone, Copy, Debug)]
pub(super) struct Range {
    /// Least.
    pub least: f64,
    /// Greatest.
    pub most: f64,
    /// The least itself is out.
    pub open: bool,
}

impl Range {
    /// Any place on or about the sheet, mm.
    pub const PLACE: Range = Range { least: -MOST_LENGTH, most: MOST_LENGTH, open: false };
    /// Sizes, mm: what is thinner than a tenth is not a thing of wood or steel.
    pub const SIZE: Range = Range { least: 0.1, most: MOST_LENGTH, open: false };
    /// Distances that may be nought, mm.
    pub const DISTANCE: Range = Range { least: 0.0, most: MOST_LENGTH, open: false };
    /// Diameters of bits, pins, dogs and holes, mm.
    pub const DIAMETER: Range = Range { least: 0.1, most: 200.0, open: false };
    /// Clearances, spreads and positions, mm: more than this is not play but a wrong size.
    pub const FINE: Range = Range { least: 0.0, most: 5.0, open: false };
    /// A hole less its bit, mm; wood may spring back a little.
    pub const OVERSIZE: Range = Range { least: -0.5, most: 5.0, open: false };
}

impl Reader {
    /// A text.
    pub fn text<'n>(&mut self, table: &Table<'n>, key: &str) -> Option<&'n str> {
        match &table.get(key)?.value {
            Value::Text(text) => Some(text),
            _ => {
                self.wrong_type_with_example(table, key, "a text in quotes");
                None
            }
        }
    }

    /// One of a few words.
    pub fn word<T: Copy>(&mut self, table: &Table<'_>, key: &str, words: &[(&str, T)]) -> Option<T> {
        let text = self.text(table, key)?;
        if let Some((_, value)) = words.iter().find(|(word, _)| *word == text) {
            return Some(*value);
        }
        let known: Vec<String> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
        let shown = short(text);
        let hint = match nearest(text, words.iter().map(|(word, _)| *word)) {
            Some(near) => format!("is \"{near}\" meant?"),
            None => format!("write {}", known.join(" or ")),
        };
        let message = format!("{} must be {}, not \"{shown}\"", table.call(key), known.join(" or "));
        self.fault(table.place(key), Fault::input(message).hint(hint));
        None
    }

    /// true or false.
    pub fn flag(&mut self, table: &Table<'_>, key: &str) -> Option<bool> {
        match table.get(key)?.value {
            Value::Flag(flag) => Some(flag),
            _ => {
                self.wrong_type(table, key, "true or false", format!("write {key} = true, without quotes"));
                None
            }
        }
    }

    /// A whole number within limits, both included.
    pub fn whole(&mut self, table: &Table<'_>, key: &str, least: u32, most: u32) -> Option<u32> {
        let number = match table.get(key)?.value {
            Value::Integer(number) => number,
            _ => {
                self.wrong_type_with_example(table, key, "a whole number");
                return None;
            }
        };
        match u32::try_from(number) {
            Ok(n) if (least..=most).contains(&n) => Some(n),
            _ => {
                let message = format!("{} is {number}, it must be {least} to {most}", table.call(key));
                self.fault(table.place(key), Fault::input(message));
                None
            }
        }
    }

    /// A plain number in some unit, within limits.
    pub fn number(&mut self, table: &Table<'_>, key: &str, unit: &str, range: Range) -> Option<f64> {
        let node = table.get(key)?;
        if !matches!(node.value, Value::Integer(_) | Value::Float(_)) {
            self.wrong_type_with_example(table, key, "a plain number");
            return None;
        }
        let call = table.call(key);
        self.number_of(node, &call, unit, range)
    }

    /// Any value as a plain number.
    pub fn number_of(&mut self, node: &Node, call: &str, unit: &str, range: Range) -> Option<f64> {
        let number = match node.value {
            Value::Integer(number) => number as f64,
            Value::Float(number) => number,
            _ => {
                let message = format!("{call} must be a plain number, this is {}", node.value.shown());
                self.fault(node.span, Fault::input(message));
                return None;
            }
        };
        self.in_range(number, node.span, call, range, |v| with_unit(v, unit))
    }

    /// One plain number for both directions, or two.
    pub fn one_or_two_numbers(&mut self, table: &Table<'_>, key: &str, unit: &str, range: Range) -> Option<[f64; 2]> {
        let node = table.get(key)?;
        let Value::List(items) = &node.value else {
            return self.number(table, key, unit, range).map(|value| [value, value]);
        };
        let call = table.call(key);
        let [first, second] = items.as_slice() else {
            let message = format!("{call} must have 2 entries, this has {}", items.len());
            self.fault(node.span, Fault::input(message).hint("one along the grain and one across it: [8000, 500]"));
            return None;
        };
        let first = self.number_of(first, &call, unit, range);
        let second = self.number_of(second, &call, unit, range);
        Some([first?, second?])
    }

    /// A length in mm.
    pub fn length(&mut self, table: &Table<'_>, key: &str, range: Range) -> Option<f64> {
        let node = table.get(key)?;
        let call = table.call(key);
        self.length_of(node, &call, range)
    }

    /// A length that must be there.
    pub fn need_length(&mut self, table: &Table<'_>, key: &str, range: Range) -> Option<f64> {
        if self.need(table, key) { self.length(table, key, range) } else { None }
    }

    /// Any value as a length in mm.
    pub fn length_of(&mut self, node: &Node, call: &str, range: Range) -> Option<f64> {
        self.lengths.push(node.span);
        let mm = match &node.value {
            Value::Integer(number) => self.bare(*number as f64),
            Value::Float(number) => self.bare(*number),
            Value::Text(text) => match length::parse_length(text) {
                Ok(mm) => {
                    if length::may_mean_thousands(text) {
                        let message = format!("{call}: the comma in \"{}\" is read as a decimal comma", short(text));
                        let remark = Fault::remark(message).hint("thousands are written without a sign: \"1450 mm\"");
                        self.fault(node.span, remark);
                    }
                    mm
                }
                Err(error) => {
                    let fault = Fault::input(format!("{call}: {}", error.message())).hint(error.hint());
                    self.fault(node.span, fault);
                    return None;
                }
            },
            other => {
                let message = format!("{call} must be a length, this is {}", other.shown());
                let hint = "write a number in the job's units, or a text with its own unit as in \"19.05 mm\"";
                self.fault(node.span, Fault::input(message).hint(hint));
                return None;
            }
        };
        let units = self.units;
        let read = self.in_range(mm, node.span, call, range, |v| format::length(v, units));
        if read.is_none() {
            self.hint_at_mm(node, mm, range);
        }
        read
    }

    fn bare(&self, number: f64) -> f64 {
        match self.units {
            Units::Mm => number,
            Units::Inch => mm_from_inch(number),
        }
    }

    fn in_range(
        &mut self,
        value: f64,
        span: Span,
        call: &str,
        range: Range,
        say: impl Fn(f64) -> String,
    ) -> Option<f64> {
        let message = if !value.is_finite() {
            format!("{call} is {}, it must be a finite number", Value::Float(value).shown())
        } else if value < range.least || (range.open && value == range.least) {
            let bound = if range.open { "more than" } else { "at least" };
            format!("{call} is {}, it must be {bound} {}", say(value), say(range.least))
        } else if value > range.most {
            format!("{call} is {}, it can be at most {}", say(value), say(range.most))
        } else {
            return Some(value);
        };
        self.fault(span, Fault::input(message));
        None
    }

    /// In an inch job, mm typed without unit are the likely cause of a length that is too great.
    fn hint_at_mm(&mut self, node: &Node, mm: f64, range: Range) {
        let number = match node.value {
            Value::Integer(number) => number as f64,
            Value::Float(number) => number,
            _ => return,
        };
        if self.units == Units::Inch
            && mm > range.most
            && number <= range.most
            && let Some(fault) = self.faults.last_mut()
        {
            fault.hint = Some(format!("bare numbers are inches in this job: \"{} mm\"", format::number(number, 4)));
        }
    }

    /// The items of a list.
    pub fn list<'n>(&mut self, table: &Table<'n>, key: &str, wanted: &str) -> Option<&'n [Node]> {
        match &table.get(key)?.value {
            Value::List(items) => self.not_too_many(table, key, items.len()).then_some(items),
            _ => {
                self.wrong_type_with_example(table, key, wanted);
                None
            }
        }
    }

    /// So many lengths, in mm.
    pub fn lengths<const N: usize>(&mut self, table: &Table<'_>, key: &str, range: Range) -> Option<[f64; N]> {
        let items = self.list(table, key, &format!("a list of {N} lengths"))?;
        let call = table.call(key);
        self.lengths_of(items, table.place(key), &call, range)
    }

    /// So many lengths of a list, in mm.
    pub fn lengths_of<const N: usize>(
        &mut self,
        items: &[Node],
        span: Span,
        call: &str,
        range: Range,
    ) -> Option<[f64; N]> {
        if items.len() != N {
            let message = format!("{call} must have {N} entries, this has {}", items.len());
            self.fault(span, Fault::input(message));
            return None;
        }
        let mut out = Some([0.0; N]);
        for (i, item) in items.iter().enumerate() {
            match (self.length_of(item, call, range), &mut out) {
                (Some(mm), Some(values)) => values[i] = mm,
                _ => out = None,
            }
        }
        out
    }

    /// One length for both directions, or two, in mm.
    pub fn one_or_two(&mut self, table: &Table<'_>, key: &str, range: Range) -> Option<[f64; 2]> {
        match &table.get(key)?.value {
            Value::List(_) => self.lengths(table, key, range),
            _ => self.length(table, key, range).map(|mm| [mm, mm]),
        }
    }

    /// Limits, in mm: a length (no spread), `[min, max]`, or an ISO 286 code for that feature
    /// where it is one that has a class.
    pub fn limits(&mut self, table: &Table<'_>, key: &str, feature: Option<Feature>, range: Range) -> Option<Limits> {
        let node = table.get(key)?;
        let call = table.call(key);
        match &node.value {
            Value::List(items) => {
                let [min, max] = self.lengths_of(items, node.span, &call, range)?;
                if min > max {
                    let message = format!("{call} runs from {} down to {}", self.say(min), self.say(max));
                    self.fault(node.span, Fault::input(message).hint("write the lesser first, [min, max]"));
                    return None;
                }
                Some(Limits::new(min, max))
            }
            Value::Text(text) if feature.is_some() && iso286::looks_like_code(text) => {
                self.code(text, node.span, &call, feature, range)
            }
            _ => self.length_of(node, &call, range).map(Limits::exact),
        }
    }

    fn code(&mut self, text: &str, span: Span, call: &str, feature: Option<Feature>, range: Range) -> Option<Limits> {
        let read = match iso286::parse_code(text) {
            Ok(read) => read,
            Err(error) => {
                self.fault(span, Fault::input(format!("{call}: {}", error.message())).hint(error.hint()));
                return None;
            }
        };
        if feature != Some(read.feature) {
            let (is, wanted, turned) = match read.feature {
                Feature::Shaft => ("a shaft's class", "a bore", text.to_uppercase()),
                Feature::Hole => ("a bore's class", "a shaft", text.to_lowercase()),
            };
            let message = format!("{call}: \"{text}\" is {is}, this is {wanted}");
            self.fault(span, Fault::input(message).hint(format!("capitals are bores: \"{turned}\"")));
            return None;
        }
        let units = self.units;
        self.in_range(read.limits.min, span, call, range, |v| format::length(v, units))?;
        Some(read.limits)
    }

    /// Limits that must be there.
    pub fn need_limits(
        &mut self,
        table: &Table<'_>,
        key: &str,
        feature: Option<Feature>,
        range: Range,
    ) -> Option<Limits> {
        if self.need(table, key) { self.limits(table, key, feature, range) } else { None }
    }
}

fn with_unit(value: f64, unit: &str) -> String {
    let number = format::number(value, 4);
    if unit.is_empty() { number } else { format!("{number} {unit}") }
}
