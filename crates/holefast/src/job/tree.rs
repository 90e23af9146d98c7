//! Job text as a plain tree in which every value knows its place, and what is wrong with the TOML.
//!
//! Inline tables, `[tables]` and `[[tables]]` come out alike, so that what a person may write in
//! several ways is read in one. What the values mean is the readers' work.

use toml_edit::{Array, Document, Item, TableLike};
use toml_parser::lexer::TokenKind;
use toml_parser::parser::{RecursionGuard, ValidateWhitespace};
use toml_parser::{ErrorSink, ParseError, Source};

use crate::fault::{Fault, Span};
use crate::measure::format;

/// Longest job text read, bytes. A job with a thousand readings is under 300 kB; photographs'
/// places live in files of their own.
pub const MOST_BYTES: usize = 4 << 20;

/// Deepest nesting of arrays and inline tables; nothing in a job needs more than five.
const MOST_NESTED: u32 = 16;

/// Longest dotted key or header, in parts: `[a.b.c]` has three. Without a limit a key of a million
/// parts would make a tree too deep to walk.
const MOST_PARTS: usize = 16;

/// Longest text that is read again and again to find more than one repeated key or malformed
/// number, bytes: twenty readings of this take a third of a second, of 4 MiB nine.
const MOST_REREAD: usize = 256 << 10;

/// Slips of TOML reported at once.
const MOST_SYNTAX_FAULTS: usize = 20;

/// A value with its place.
#[derive(Clone, Debug)]
pub(super) struct Node {
    pub value: Value,
    /// The value itself; of a table its header.
    pub span: Span,
}

/// What TOML holds.
#[derive(Clone, Debug)]
pub(super) enum Value {
    Integer(i64),
    Float(f64),
    Text(String),
    Flag(bool),
    Date(String),
    List(Vec<Node>),
    Table(Vec<Entry>),
}

/// A key and its value.
#[derive(Clone, Debug)]
pub(super) struct Entry {
    pub key: String,
    /// Place of the key.
    pub span: Span,
    pub node: Node,
}

impl Value {
    /// The value as a message shows it: itself where it is short, else in words.
    pub fn shown(&self) -> String {
        match self {
            Value::Integer(number) => number.to_string(),
            Value::Float(number) if number.is_nan() => "not a number".to_owned(),
            Value::Float(number) if number.is_infinite() => "infinite".to_owned(),
            Value::Float(number) => format::number(*number, 6),
            Value::Text(text) => format!("\"{}\"", short(text)),
            Value::Flag(flag) => flag.to_string(),
            Value::Date(_) => "a date".to_owned(),
            Value::List(items) if items.iter().any(|n| matches!(n.value, Value::Table(_))) => {
                "a list of tables".to_owned()
            }
            Value::List(_) => "a list".to_owned(),
            Value::Table(_) => "a table".to_owned(),
        }
    }
}

/// A text as a message quotes it: one line, not so long that the message itself is lost.
pub(super) fn short(text: &str) -> String {
    /// Characters shown.
    const MOST_SHOWN: usize = 40;
    let mut shown: String = text.chars().take(MOST_SHOWN).map(|c| if c.is_control() { ' ' } else { c }).collect();
    if text.chars().nth(MOST_SHOWN).is_some() {
        shown.push('…');
    }
    shown
}

/// Reads the text into a tree. Errors: all slips of TOML that can be told apart, in no order.
pub(super) fn read(text: &str) -> Result<Vec<Entry>, Vec<Fault>> {
    if text.len() > MOST_BYTES {
        let message = format!("the job has {} bytes, at most {MOST_BYTES} are read", text.len());
        return Err(vec![
            Fault::input(message)
                .at(Some(Span { start: 0, end: 0 }))
                .hint("keep the places of many holes in a file of their own: places = \"photo.json\""),
        ]);
    }
    let faults = syntax_faults(text);
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut text = text.to_owned();
    let mut faults = Vec::new();
    loop {
        match Document::parse(text.as_str()) {
            Ok(document) if faults.is_empty() => return Ok(entries(document.as_table(), text.len())),
            Ok(_) => return Err(faults),
            Err(error) => {
                let span = error.span().map(|r| Span { start: r.start, end: r.end });
                let span_or_start = span.unwrap_or(Span { start: 0, end: 0 });
                let word = text.get(span_or_start.start..span_or_start.end).unwrap_or("");
                let mut fault = worded(error.message(), word);
                if let Some(fraction) = fraction_at(&text, span_or_start.start) {
                    fault = bare_fraction(fraction);
                }
                faults.push(fault.at(Some(span_or_start)));
                // A repeated key or a malformed number is a matter of its own line: with that line
                // blanked (same length, so places hold) the next such slip is found too.
                let Some(blanked) = span.and_then(|span| blank_line(&text, span.start)) else { return Err(faults) };
                if faults.len() >= MOST_SYNTAX_FAULTS || text.len() > MOST_REREAD {
                    return Err(faults);
                }
                text = blanked;
            }
        }
    }
}

/// The text with the line around a byte turned into spaces; `None` if it was blank already.
fn blank_line(text: &str, at: usize) -> Option<String> {
    let bytes = text.as_bytes();
    let at = at.min(bytes.len());
    let start = bytes[..at].iter().rposition(|&b| b == b'\n').map_or(0, |i| i + 1);
    let end = bytes[at..].iter().position(|&b| b == b'\n').map_or(bytes.len(), |i| at + i);
    if bytes[start..end].iter().all(|&b| b == b' ') {
        return None;
    }
    let mut blanked = String::with_capacity(text.len());
    blanked.push_str(&text[..start]);
    blanked.extend(std::iter::repeat_n(' ', end - start));
    blanked.push_str(&text[end..]);
    Some(blanked)
}

/// Slips that can be seen without building values: brackets, quotes, missing `=`, depth.
fn syntax_faults(text: &str) -> Vec<Fault> {
    let source = Source::new(text);
    let tokens = source.lex().into_vec();
    let mut faults = Vec::new();
    let mut parts = 1;
    for token in &tokens {
        match token.kind() {
            TokenKind::Dot => parts += 1,
            TokenKind::Atom | TokenKind::Whitespace | TokenKind::BasicString | TokenKind::LiteralString => {}
            _ => parts = 1,
        }
        if parts > MOST_PARTS {
            let span = Span { start: token.span().start(), end: token.span().end() };
            let message = format!("this key has more than {MOST_PARTS} parts");
            return vec![Fault::input(message).at(Some(span))];
        }
    }
    let mut events = Vec::with_capacity(tokens.len());
    let mut checked = ValidateWhitespace::new(&mut events, source);
    let mut guarded = RecursionGuard::new(&mut checked, MOST_NESTED);
    let mut sink = Sink { faults: &mut faults };
    toml_parser::parser::parse_document(&tokens, &mut guarded, &mut sink);
    for fault in &mut faults {
        let at = fault.span.map_or(0, |span| span.start);
        let digit = |i: Option<usize>| i.and_then(|i| text.as_bytes().get(i)).is_some_and(u8::is_ascii_digit);
        if text.as_bytes().get(at) == Some(&b',') && digit(at.checked_sub(1)) && digit(Some(at + 1)) {
            fault.hint = Some("a bare number takes a point, 18.5; a comma may stand in a text, \"18,5 mm\"".to_owned());
        } else if let Some(fraction) = fraction_at(text, at) {
            let said = bare_fraction(fraction);
            (fault.message, fault.hint) = (said.message, said.hint);
        }
    }
    faults
}

/// The bare fraction in the value of the line with this place: "36 1/2" of `length = 36 1/2 # long`.
fn fraction_at(text: &str, at: usize) -> Option<&str> {
    let from = text.get(..at)?.rfind('\n').map_or(0, |i| i + 1);
    let line = text[from..].lines().next()?;
    let value = line.split_once('=')?.1.split('#').next()?.trim();
    let is_number = |part: &str| !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit());
    let parts = value.split_once('/').is_some_and(|(before, under)| {
        is_number(under)
            && (1..=2).contains(&before.split_whitespace().count())
            && before.split_whitespace().all(is_number)
    });
    parts.then_some(value)
}

fn bare_fraction(fraction: &str) -> Fault {
    Fault::input(format!("{fraction} is no number as it stands"))
        .hint(format!("a length with a fraction stands in quotes: \"{fraction} in\""))
}

struct Sink<'f> {
    faults: &'f mut Vec<Fault>,
}

impl ErrorSink for Sink<'_> {
    fn report_error(&mut self, error: ParseError) {
        if self.faults.len() >= MOST_SYNTAX_FAULTS {
            return;
        }
        let mut message = error.description().to_owned();
        if let Some(expected) = error.expected() {
            let words: Vec<String> = expected
                .iter()
                .map(|e| match e {
                    toml_parser::Expected::Literal("\n") => "the end of the line".to_owned(),
                    toml_parser::Expected::Literal(text) => format!("`{text}`"),
                    toml_parser::Expected::Description(text) => (*text).to_owned(),
                    _ => "something else".to_owned(),
                })
                .collect();
            if !words.is_empty() {
                message = format!("{message}, expected {}", words.join(" or "));
            }
        }
        let place = error.unexpected().or(error.context());
        let span = place.map_or(Span { start: 0, end: 0 }, |s| Span { start: s.start(), end: s.end() });
        // One slip often trips the parser twice at the same place.
        if self.faults.iter().any(|f| f.span.is_some_and(|other| other.start == span.start)) {
            return;
        }
        self.faults.push(worded(&message, "").at(Some(span)));
    }
}

/// A TOML error in our words; `word` is the text at its place, where one word stands there.
fn worded(message: &str, word: &str) -> Fault {
    let message = message.trim().trim_end_matches('.');
    if message.starts_with("cannot recurse") {
        return Fault::input(format!("lists or tables are nested more than {MOST_NESTED} deep"));
    }
    let mut first = message.chars();
    let lower: String = first.next().map(|c| c.to_ascii_lowercase()).into_iter().chain(first).collect();
    let fault = Fault::input(format!("not well-formed TOML: {lower}"));
    if lower.contains("must be quoted") {
        fault.hint("a text stands in quotes: \"birch plywood\", \"18 mm\"")
    } else if lower.contains("duplicate key") {
        let fault = Fault::input(format!("`{}` stands twice", short(word)));
        fault.hint("each key may stand once in a table; for a second bar, keep-out or support repeat the [[header]]")
    } else {
        fault
    }
}

fn entries(table: &dyn TableLike, text_len: usize) -> Vec<Entry> {
    let mut out = Vec::new();
    for (name, item) in table.iter() {
        let key = table.key(name).and_then(toml_edit::Key::span);
        let Some(node) = node(item, text_len, key.clone()) else { continue };
        out.push(Entry { key: name.to_owned(), span: key.map_or(node.span, |r| span(r, text_len)), node });
    }
    out
}

fn node(item: &Item, text_len: usize, key: Option<std::ops::Range<usize>>) -> Option<Node> {
    let place = item.span().or(key).map_or(Span { start: 0, end: 0 }, |r| span(r, text_len));
    let value = match item {
        Item::None => return None,
        Item::Value(value) => return Some(value_node(value, text_len, place)),
        Item::Table(table) => Value::Table(entries(table, text_len)),
        Item::ArrayOfTables(tables) => Value::List(
            tables
                .iter()
                .map(|table| Node {
                    value: Value::Table(entries(table, text_len)),
                    span: table.span().map_or(place, |r| span(r, text_len)),
                })
                .collect(),
        ),
    };
    Some(Node { value, span: place })
}

fn value_node(value: &toml_edit::Value, text_len: usize, or: Span) -> Node {
    let place = value.span().map_or(or, |r| span(r, text_len));
    let value = match value {
        toml_edit::Value::String(text) => Value::Text(text.value().clone()),
        toml_edit::Value::Integer(number) => Value::Integer(*number.value()),
        toml_edit::Value::Float(number) => Value::Float(*number.value()),
        toml_edit::Value::Boolean(flag) => Value::Flag(*flag.value()),
        toml_edit::Value::Datetime(date) => Value::Date(date.value().to_string()),
        toml_edit::Value::Array(array) => Value::List(list(array, text_len, place)),
        toml_edit::Value::InlineTable(table) => Value::Table(entries(table, text_len)),
    };
    Node { value, span: place }
}

fn list(array: &Array, text_len: usize, or: Span) -> Vec<Node> {
    array.iter().map(|value| value_node(value, text_len, or)).collect()
}

fn span(range: std::ops::Range<usize>, text_len: usize) -> Span {
    let start = range.start.min(text_len);
    Span { start, end: range.end.clamp(start, text_len) }
}
