//! Walking a job's tables: unknown and missing keys become located faults, every known key gets
//! its place. Values are `values`' work, what the tables mean is left to the readers above.

use std::collections::BTreeMap;

use super::nearest::nearest;
use super::place_files::PlaceFiles;
use super::schema;
use super::tree::{Entry, Node, Value, short};
use crate::fault::{Fault, FaultKind, Span};
use crate::job::Units;
use crate::measure::format;

/// Most entries of any list in a job.
pub const MOST_ENTRIES: usize = 10_000;

/// A table being read.
#[derive(Clone, Debug)]
pub(super) struct Table<'n> {
    /// Everything that is written in it.
    pub entries: &'n [Entry],
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

    /// The keys that are written, in their order.
    pub fn keys(&self) -> impl Iterator<Item = &'n str> + use<'n> {
        self.entries.iter().map(|entry| entry.key.as_str())
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
    /// Where lengths stand, bare numbers and texts with their unit.
    pub lengths: Vec<Span>,
    /// What the files say that the job names.
    pub files: PlaceFiles,
}

/// Faults kept; a text with more is not a job, and a million of them would fill the memory.
const MOST_KEPT: usize = 2_000;

impl Reader {
    pub fn new() -> Reader {
        Reader {
            units: Units::Mm,
            faults: Vec::new(),
            dropped: 0,
            refused: false,
            places: BTreeMap::new(),
            lengths: Vec::new(),
            files: PlaceFiles::new(),
        }
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
            if self.is_mistyped(of, key) {
                return None;
            }
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
    pub fn open<'n>(&mut self, entries: &'n [Entry], name: &'static str, path: String, span: Span) -> Table<'n> {
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

    pub fn wrong_type(&mut self, table: &Table<'_>, key: &str, wanted: &str, hint: String) {
        let shown = table.get(key).map_or("missing".to_owned(), |n| n.value.shown());
        let message = format!("{} must be {wanted}, this is {shown}", table.call(key));
        self.fault(table.place(key), Fault::input(message).hint(hint));
    }

    pub fn wrong_type_with_example(&mut self, table: &Table<'_>, key: &str, wanted: &str) {
        let hint = format!("write {key} = {}", example(table.name, key));
        self.wrong_type(table, key, wanted, hint);
    }

    /// Notes a fault if a key is not written; true if it is.
    pub fn need(&mut self, table: &Table<'_>, key: &str) -> bool {
        if table.get(key).is_some() {
            return true;
        }
        if self.is_mistyped(table, key) {
            return false;
        }
        let place = if table.name.is_empty() { "the job".to_owned() } else { format!("[{}]", table.name) };
        let fault =
            Fault::input(format!("{place} lacks `{key}`")).hint(format!("add {key} = {}", example(table.name, key)));
        self.fault(table.span, fault);
        false
    }

    /// True if an unknown key of this table was told to mean `key`: then one slip is one fault.
    fn is_mistyped(&self, table: &Table<'_>, key: &str) -> bool {
        let known = || schema::keys(table.name).iter().map(|(k, _, _)| *k);
        let unknown = table.entries.iter().filter(|entry| known().all(|k| k != entry.key));
        unknown.into_iter().any(|entry| nearest(&entry.key, known()) == Some(key))
    }

    pub fn not_too_many(&mut self, table: &Table<'_>, key: &str, count: usize) -> bool {
        if count > MOST_ENTRIES {
            let message = format!("{} has {count} entries, at most {MOST_ENTRIES} are read", table.call(key));
            self.fault(table.place(key), Fault::input(message));
        }
        count <= MOST_ENTRIES
    }
}

pub(super) fn example(table: &str, key: &str) -> &'static str {
    schema::keys(table).iter().find(|(k, _, _)| *k == key).map_or("…", |(_, example, _)| example)
}
