//! Checks the tables that later work reads (proof, instruments, readings) by what
//! `schema` says of their keys, and no further.

use super::read::{MOST_ENTRIES, Reader, Table};
use super::schema::{self, Kind};
use super::tree::{Node, Value};
use super::values::Range;
use crate::fault::Fault;

impl Reader {
    /// Checks a table that later work reads by what `schema` says of its keys, and no further.
    pub fn check_kinds(&mut self, table: &Table<'_>) {
        for (key, _, kind) in schema::keys(table.name) {
            if let Some(node) = table.get(key) {
                let call = table.call(key);
                self.check_kind(node, &call, *kind);
            }
        }
    }

    fn check_kind(&mut self, node: &Node, call: &str, kind: Kind) {
        let wanted = match (kind, &node.value) {
            (Kind::Any, _)
            | (Kind::Number | Kind::Numbers, Value::Integer(_))
            | (Kind::Text, Value::Text(_))
            | (Kind::Flag, Value::Flag(_))
            | (Kind::Date, Value::Date | Value::Text(_)) => return,
            (Kind::Number | Kind::Numbers, Value::Float(number)) if number.is_finite() => return,
            (Kind::Whole, Value::Integer(number)) if *number >= 0 => return,
            (Kind::LengthOrUnknown, Value::Text(text)) if text == "unknown" => return,
            (Kind::Length | Kind::LengthOrUnknown | Kind::Lengths, Value::Integer(_) | Value::Float(_))
            | (Kind::Length | Kind::LengthOrUnknown | Kind::Lengths, Value::Text(_)) => {
                self.length_of(node, call, Range::PLACE);
                return;
            }
            (Kind::Lengths | Kind::Numbers | Kind::Texts, Value::List(items)) => {
                let each = match kind {
                    Kind::Lengths => Kind::Length,
                    Kind::Numbers => Kind::Number,
                    _ => Kind::Text,
                };
                for item in items.iter().take(MOST_ENTRIES) {
                    self.check_kind(item, call, each);
                }
                return;
            }
            (Kind::Length | Kind::LengthOrUnknown, _) => "a length",
            (Kind::Lengths, _) => "a length or a list of lengths",
            (Kind::Number, _) => "a finite number",
            (Kind::Numbers, _) => "a list of numbers",
            (Kind::Whole, _) => "a whole number, not negative",
            (Kind::Text, _) => "a text in quotes",
            (Kind::Texts, _) => "a list of texts",
            (Kind::Flag, _) => "true or false",
            (Kind::Date, _) => "a date as in 2026-05-16",
        };
        self.fault(node.span, Fault::input(format!("{call} must be {wanted}, this is {}", node.value.shown())));
    }
}
