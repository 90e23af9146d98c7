//! Typed reading of tables: every value that is not what it should be becomes a located fault,
//! every key that is read gets its place. What the tables mean is left to the readers above.
//!
//! A getter returns `None` both where a key is missing and where it is faulty; the fault has then
//! been noted, so readers may go on and find the next one.

use std::collections::BTreeMap;

use super::nearest::nearest;
use super::schema::{self, Kind};
use super::tree::{Entry, Node, Value, short};
use crate::fault::{Fault, FaultKind, Span};
use crate::job::Units;
use crate::kit::Limits;
use crate::measure::format;
use crate::measure::iso286::{self, Feature};
use crate::measure::{length, mm_from_inch};

/// Longest length in a job, mm: no sheet, bar or rail is 10 m long; a greater one is a slip of
/// units or of the decimal sign.
pub const MOST_LENGTH: f64 = 10_000.0;

/// Most entries of any list in a job.
pub const MOST_ENTRIES: usize = 10_000;

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

/// A table being read.
#[derive(Clone, Debug)]
pub(super) struct Table<'n> {
    entries: &'n [Entry],
    /// As in `schema`, for messages: `kit.bar`.
    pub name: &'static str,
    /// As in `Job::places`: `kit.bar[0]`.
    pub path: String,
    /// Its header.
    pub span: Span,
}

impl<'n> Table<'n> {
    /// The value of a key, if written.
    pub fn get(&self, key: &str) -> Option<&'n Node> {
        self.entries.iter().find(|e| e.key == key).map(|e| &e.node)
    }

    /// Where a key's value stands, or else the table's header.
    pub fn place(&self, key: &str) -> Span {
        self.get(key).map_or(self.span, |node| node.span)
    }

    /// True if no key at all is written in it.
    pub fn is_empty(&self) -> bool {
        self.entries.is_empty()
    }

    /// The name of a key as messages call it.
    pub fn call(&self, key: &str) -> String {
        if self.name.is_empty() { key.to_owned() } else { format!("{}.{key}", self.name) }
    }

    fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }
}

/// Reads a job's tables; gathers faults and places.
#[derive(Debug)]
pub(super) struct Reader {
    /// What bare numbers are.
    pub units: Units,
    pub faults: Vec<Fault>,
    /// Faults and remarks that were too many to keep.
    pub dropped: usize,
    /// True once anything but a remark was found.
    pub refused: bool,
    pub places: BTreeMap<String, Span>,
}

/// Faults kept; a text with more is not a job, and a million of them would fill the memory.
const MOST_KEPT: usize = 2_000;

impl Reader {
    pub fn new() -> Reader {
        Reader { units: Units::Mm, faults: Vec::new(), dropped: 0, refused: false, places: BTreeMap::new() }
    }

    /// Notes a fault at a place.
    pub fn fault(&mut self, span: Span, fault: Fault) {
        self.refused |= fault.kind != FaultKind::Remark;
        if self.faults.len() < MOST_KEPT {
            self.faults.push(fault.at(Some(span)));
        } else {
            self.dropped += 1;
        }
    }

    /// A length for a message, in the job's units.
    pub fn say(&self, mm: f64) -> String {
        format::length(mm, self.units)
    }

    // Tables

    /// The job's own table: checks its keys.
    pub fn root<'n>(&mut self, entries: &'n [Entry]) -> Table<'n> {
        self.open(entries, "", String::new(), Span { start: 0, end: 0 })
    }

    /// A table of a table, if written; checks its keys.
    pub fn table<'n>(&mut self, of: &Table<'n>, key: &str, name: &'static str) -> Option<Table<'n>> {
        let node = of.get(key)?;
        match &node.value {
            Value::Table(entries) => Some(self.open(entries, name, of.path_of(key), node.span)),
            Value::List(items) if matches!(items.first(), Some(Node { value: Value::Table(_), .. })) => {
                self.fault(
                    items.get(1).unwrap_or(&items[0]).span,
                    Fault::input(format!("there can be only one [{name}]")).hint(format!("write [{name}] once")),
                );
                None
            }
            _ => {
                self.wrong_type(of, key, "a table", format!("write [{name}] with its keys on the lines below"));
                None
            }
        }
    }

    /// A table that must be there.
    pub fn need_table<'n>(&mut self, of: &Table<'n>, key: &str, name: &'static str) -> Option<Table<'n>> {
        if of.get(key).is_none() {
            let keys: Vec<&str> = schema::required(name).iter().map(|(k, _, _)| *k).collect();
            let fault = Fault::input(format!("[{name}] is missing"))
                .hint(format!("add a table [{name}] with {}", keys.join(", ")));
            self.fault(of.span, fault);
            return None;
        }
        self.table(of, key, name)
    }

    /// A list of tables, empty if not written; entries without any key are left out with a remark.
    pub fn tables<'n>(&mut self, of: &Table<'n>, key: &str, name: &'static str) -> Vec<Table<'n>> {
        let Some(node) = of.get(key) else { return Vec::new() };
        let hint = || format!("write [[{name}]] with two brackets, once for each");
        let Value::List(items) = &node.value else {
            self.wrong_type(of, key, "a list of tables", hint());
            return Vec::new();
        };
        if !self.not_too_many(of, key, items.len()) {
            return Vec::new();
        }
        let mut tables = Vec::new();
        for (i, item) in items.iter().enumerate() {
            let Value::Table(entries) = &item.value else {
                let message = format!("{} must hold tables, this is {}", of.call(key), item.value.shown());
                self.fault(item.span, Fault::input(message).hint(hint()));
                continue;
            };
            let path = format!("{}[{i}]", of.path_of(key));
            let table = self.open(entries, name, path, item.span);
            if table.is_empty() {
                let remark = Fault::remark(format!("this [[{name}]] is empty and is left out"));
                self.fault(item.span, remark.hint("fill it in or take it out"));
            } else {
                tables.push(table);
            }
        }
        tables
    }

    /// Notes the places of known keys and finds fault with unknown ones.
    fn open<'n>(&mut self, entries: &'n [Entry], name: &'static str, path: String, span: Span) -> Table<'n> {
        let table = Table { entries, name, path, span };
        if !table.path.is_empty() {
            self.places.insert(table.path.clone(), span);
        }
        let keys = schema::keys(name);
        for entry in entries {
            if keys.iter().any(|(k, _, _)| *k == entry.key) {
                self.places.insert(table.path_of(&entry.key), entry.node.span);
            } else {
                self.unknown_key(&table, entry);
            }
        }
        table
    }

    fn unknown_key(&mut self, table: &Table<'_>, entry: &Entry) {
        if self.faults.len() >= MOST_KEPT {
            self.refused = true;
            self.dropped += 1;
            return;
        }
        let known = schema::keys(table.name).iter().map(|(k, _, _)| *k);
        let place = if table.name.is_empty() { "a job".to_owned() } else { format!("[{}]", table.name) };
        let shown = short(&entry.key);
        let hint = if let Some(near) = nearest(&entry.key, known.clone()) {
            format!("is `{near}` meant?")
        } else if let Some(home) = schema::tables_with(&entry.key, table.name).next() {
            let home = if home.is_empty() { "the top of the job".to_owned() } else { format!("[{home}]") };
            format!("`{shown}` belongs in {home}")
        } else {
            format!("known here: {}", known.collect::<Vec<_>>().join(", "))
        };
        self.fault(entry.span, Fault::input(format!("{place} has no key `{shown}`")).hint(hint));
    }

    fn wrong_type(&mut self, table: &Table<'_>, key: &str, wanted: &str, hint: String) {
        let shown = table.get(key).map_or("missing".to_owned(), |n| n.value.shown());
        let message = format!("{} must be {wanted}, this is {shown}", table.call(key));
        self.fault(table.place(key), Fault::input(message).hint(hint));
    }

    fn wrong_type_with_example(&mut self, table: &Table<'_>, key: &str, wanted: &str) {
        let hint = format!("write {key} = {}", example(table.name, key));
        self.wrong_type(table, key, wanted, hint);
    }

    /// Notes a fault if a key is not written; true if it is.
    pub fn need(&mut self, table: &Table<'_>, key: &str) -> bool {
        if table.get(key).is_some() {
            return true;
        }
        let place = if table.name.is_empty() { "the job".to_owned() } else { format!("[{}]", table.name) };
        let fault =
            Fault::input(format!("{place} lacks `{key}`")).hint(format!("add {key} = {}", example(table.name, key)));
        self.fault(table.span, fault);
        false
    }

    fn not_too_many(&mut self, table: &Table<'_>, key: &str, count: usize) -> bool {
        if count > MOST_ENTRIES {
            let message = format!("{} has {count} entries, at most {MOST_ENTRIES} are read", table.call(key));
            self.fault(table.place(key), Fault::input(message));
        }
        count <= MOST_ENTRIES
    }

    // Values

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
        let number = match node.value {
            Value::Integer(number) => number as f64,
            Value::Float(number) => number,
            _ => {
                self.wrong_type_with_example(table, key, "a plain number");
                return None;
            }
        };
        let call = table.call(key);
        self.in_range(number, node.span, &call, range, |v| with_unit(v, unit))
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

fn example(table: &str, key: &str) -> &'static str {
    schema::keys(table).iter().find(|(k, _, _)| *k == key).map_or("…", |(_, example, _)| example)
}

fn with_unit(value: f64, unit: &str) -> String {
    let number = format::number(value, 4);
    if unit.is_empty() { number } else { format!("{number} {unit}") }
}
