//! Places of many holes in a file of their own, as `places = "photo.json"` of a `[[reading]]` names it:
//! the file's keys become what the same keys of the reading would be, read by the same reader. Getting
//! the file's text is the caller's work.
//!
//! The file is JSON (RFC 8259): one object with `holefast_places` (1, the format), `units` ("mm" or
//! "in"), `holes`, `x`, `y`, and `u` or `covariance`, and `frame` where it is not "own"; numbers as in
//! the job, whose own `units` do not count here.

use std::collections::{BTreeMap, BTreeSet};

use serde_json::Value as Json;

use super::Units;
use super::edit::{Setting, remove, set};
use super::nearest::nearest;
use super::tree::{self, Entry, Node, Value, short};
use crate::fault::{Fault, Span};
use crate::measure::length::MM_PER_INCH;

/// The format of place files that this version reads.
pub const PLACES_FORMAT: u64 = 1;

/// Texts of the files that a job names, by the name written there, or why one could not be had.
pub type PlaceFiles = BTreeMap<String, Result<String, String>>;

/// Keys that the file has in place of the reading.
pub(super) const KEYS: [&str; 6] = ["holes", "x", "y", "u", "covariance", "frame"];

/// The files that a job's readings name, each once. A text that is no TOML names none.
pub fn place_files(text: &str) -> BTreeSet<String> {
    named(text).into_iter().map(|(_, name)| name).collect()
}

/// Which reading names which file.
fn named(text: &str) -> Vec<(usize, String)> {
    let Ok(entries) = tree::read(text) else { return Vec::new() };
    let readings = entries.iter().find(|entry| entry.key == "reading").map(|entry| &entry.node.value);
    let Some(Value::List(readings)) = readings else { return Vec::new() };
    let name = |node: &Node| match &node.value {
        Value::Table(entries) => match &entries.iter().find(|entry| entry.key == "places")?.node.value {
            Value::Text(name) => Some(name.clone()),
            _ => None,
        },
        _ => None,
    };
    readings.iter().enumerate().filter_map(|(i, node)| Some((i, name(node)?))).collect()
}

/// The job's text with the places of its files written into it, so that it stands alone: in a link, on
/// a phone. What else was written stays.
///
/// Errors: a file that is not at hand, or is not what it should be.
pub fn with_places_inside(text: &str, files: &PlaceFiles) -> Result<String, Fault> {
    let units = if tree::read(text).is_ok_and(|entries| is_in_inches(&entries)) { Units::Inch } else { Units::Mm };
    let mut text = text.to_owned();
    for (i, name) in named(&text) {
        let (own, entries) = opened(&name, files)?;
        for Entry { key, node, .. } in &entries {
            // Lengths in the job's own units; what has none, and what is no number, as it is.
            let by = match (own, units, key.as_str()) {
                (_, _, "covariance") => 1.0,
                (Units::Inch, Units::Mm, _) => MM_PER_INCH,
                (Units::Mm, Units::Inch, _) => 1.0 / MM_PER_INCH,
                _ => 1.0,
            };
            text = set(&text, &format!("reading[{i}].{key}"), &setting(node, by))?;
        }
        text = remove(&text, &format!("reading[{i}].places"))?;
    }
    Ok(text)
}

fn is_in_inches(entries: &[Entry]) -> bool {
    entries.iter().any(|e| e.key == "units" && matches!(&e.node.value, Value::Text(units) if units == "in"))
}

fn setting(node: &Node, by: f64) -> Setting {
    match &node.value {
        Value::Integer(n) => Setting::Number(*n as f64 * by),
        Value::Float(x) => Setting::Number(x * by),
        Value::Text(text) | Value::Date(text) => Setting::Text(text.clone()),
        Value::Flag(flag) => Setting::Flag(*flag),
        Value::List(items) => Setting::List(items.iter().map(|item| setting(item, by)).collect()),
        Value::Table(_) => Setting::List(Vec::new()), // `value` makes none
    }
}

/// The units and entries of a file, every place a job's text would have left at its beginning.
///
/// Errors: it is not at hand, or not of this format; of its entries only that they can be read at all.
pub(super) fn opened(name: &str, files: &PlaceFiles) -> Result<(Units, Vec<Entry>), Fault> {
    let in_file = |message: String| Fault::input(format!("{}: {message}", short(name)));
    let text = match files.get(name) {
        Some(Ok(text)) => text,
        Some(Err(why)) => return Err(in_file(why.clone()).hint("it is looked for beside the job")),
        None => {
            let hint = "open it together with the job, or write holes, x, y and u into the reading";
            return Err(Fault::input(format!("the file {} is not at hand", short(name))).hint(hint));
        }
    };
    if text.len() > tree::MOST_BYTES {
        return Err(in_file(format!("it has {} bytes, at most {} are read", text.len(), tree::MOST_BYTES)));
    }
    let json: Json = serde_json::from_str(text).map_err(|error| in_file(format!("no JSON: {error}")))?;
    let Json::Object(mut map) = json else {
        return Err(in_file("not an object with holes, x and y".to_owned()));
    };
    match map.remove("holefast_places") {
        Some(format) if format.as_u64() == Some(PLACES_FORMAT) => {}
        Some(format) => {
            let fault = in_file(format!("it is of format {}", short(&format.to_string())));
            return Err(fault.hint(format!("this version reads format {PLACES_FORMAT}")));
        }
        None => {
            let fault = in_file("it does not say that it holds places".to_owned());
            return Err(fault.hint(format!("add \"holefast_places\": {PLACES_FORMAT}")));
        }
    }
    let units = match map.remove("units").as_ref().and_then(Json::as_str) {
        Some("mm") => Units::Mm,
        Some("in") => Units::Inch,
        _ => {
            let fault = in_file("it does not say its units".to_owned());
            return Err(fault.hint("add \"units\": \"mm\" or \"in\""));
        }
    };
    let nowhere = Span { start: 0, end: 0 };
    let mut entries = Vec::new();
    for (key, json) in map {
        if !KEYS.contains(&key.as_str()) {
            let hint = match nearest(&key, KEYS) {
                Some(near) => format!("is `{near}` meant?"),
                None => format!("known are {}", KEYS.join(", ")),
            };
            return Err(in_file(format!("places have no key `{}`", short(&key))).hint(hint));
        }
        let value = value(&json).ok_or_else(|| in_file(format!("`{key}` holds what no place holds")))?;
        entries.push(Entry { key, span: nowhere, node: Node { value, span: nowhere } });
    }
    Ok((units, entries))
}

/// JSON as what TOML holds; none for null and objects.
fn value(json: &Json) -> Option<Value> {
    Some(match json {
        Json::Bool(flag) => Value::Flag(*flag),
        Json::Number(n) => match n.as_i64() {
            Some(whole) => Value::Integer(whole),
            None => Value::Float(n.as_f64()?),
        },
        Json::String(text) => Value::Text(text.clone()),
        Json::Array(items) => Value::List(
            items
                .iter()
                .map(|item| Some(Node { value: value(item)?, span: Span { start: 0, end: 0 } }))
                .collect::<Option<_>>()?,
        ),
        Json::Null | Json::Object(_) => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Job, parse, parse_with};
    use crate::reading::What;

    const TOP: &str = include_str!("../../../../examples/trailer-top.toml");
    const FILE: &str = r#"{ "holefast_places": 1, "units": "mm", "holes": ["A1", "A3", "C1"],
        "x": [0.0, 200.03, 0.02], "y": [0.0, -0.01, 199.96], "u": 0.05 }"#;

    fn with(reading: &str) -> String {
        format!("{TOP}\n[[reading]] # the photograph\nkind = \"place\"\n{reading}\n")
    }

    fn files(text: &str) -> PlaceFiles {
        [("photo.json".to_owned(), Ok(text.to_owned()))].into()
    }

    fn last(job: &Job) -> (What, Option<f64>) {
        let last = job.proof.readings.last().unwrap();
        (last.what.clone(), last.u)
    }

    #[test]
    fn a_file_says_what_the_same_keys_in_the_job_would() {
        let named = with("places = \"photo.json\"\ndate = 2026-05-16");
        assert_eq!(place_files(&named).into_iter().collect::<Vec<_>>(), ["photo.json"]);
        let written = with(
            "holes = [\"A1\", \"A3\", \"C1\"]\nx = [0.0, 200.03, 0.02]\ny = [0.0, -0.01, 199.96]\nu = 0.05\ndate = 2026-05-16",
        );
        let by_file = parse_with(&named, &files(FILE));
        let by_text = parse(&written);
        assert_eq!(by_file.faults, by_text.faults);
        let (by_file, by_text) = (by_file.job.unwrap(), by_text.job.unwrap());
        assert_eq!(last(&by_file), last(&by_text));
        assert_eq!(by_file.proof.readings.last().unwrap().date, by_text.proof.readings.last().unwrap().date);
    }

    #[test]
    fn a_file_has_units_of_its_own_whatever_the_jobs_are() {
        let text = with("places = \"photo.json\"");
        let inches = FILE.replace("\"mm\"", "\"in\"").replace("200.03", "7.875").replace("0.05", "0.002");
        let (what, u) = last(&parse_with(&text, &files(&inches)).job.unwrap());
        let What::Place { x, .. } = what else { panic!() };
        assert!((x[1] - 7.875 * 25.4).abs() < 1e-9 && (u.unwrap() - 0.0508).abs() < 1e-9, "{x:?} {u:?}");
        let in_inches = crate::job::in_units(TOP, Units::Inch).unwrap();
        let text = format!("{in_inches}\n[[reading]]\nkind = \"place\"\nplaces = \"photo.json\"\n");
        let parsed = parse_with(&text, &files(FILE));
        let (what, _) = last(parsed.job.as_ref().unwrap());
        let What::Place { x, .. } = what else { panic!() };
        assert!((x[1] - 200.03).abs() < 1e-9, "{x:?}");
    }

    #[test]
    fn written_into_the_job_they_say_the_same_and_the_rest_stays() {
        for units in [Units::Mm, Units::Inch] {
            let top = crate::job::in_units(TOP, units).unwrap();
            let text = format!("{top}\n[[reading]] # the photograph\nkind = \"place\"\nplaces = \"photo.json\"\n");
            for file in [FILE.to_owned(), FILE.replace("\"mm\"", "\"in\"").replace("200.03", "7.875")] {
                let inside = with_places_inside(&text, &files(&file)).unwrap();
                assert!(inside.contains("# the photograph") && !inside.contains("places ="), "{inside}");
                let by_file = last(&parse_with(&text, &files(&file)).job.unwrap());
                let by_text = last(&parse(&inside).job.unwrap());
                let (What::Place { x, y, .. }, What::Place { x: u, y: v, .. }) = (by_file.0, by_text.0) else {
                    panic!()
                };
                for (a, b) in x.iter().chain(&y).zip(u.iter().chain(&v)) {
                    assert!((a - b).abs() < 1e-9, "{a} {b}");
                }
            }
        }
    }

    #[test]
    fn what_is_wrong_is_said_with_the_files_name_at_its_place_in_the_job() {
        let text = with("places = \"photo.json\"");
        let at = text.rfind("\"photo.json\"").unwrap();
        let told = |file: &str| {
            let parsed = parse_with(&text, &files(file));
            assert!(parsed.job.is_none(), "{file}");
            let fault = parsed.faults.into_iter().find(|f| f.message.starts_with("photo.json")).unwrap();
            assert_eq!(fault.span.unwrap().start, at, "{fault:?}");
            fault.message
        };
        for (file, what) in [
            ("", "no JSON"),
            ("[1]", "not an object"),
            ("{}", "does not say that it holds places"),
            (&FILE.replace("\"mm\"", "\"furlong\""), "units"),
            (&FILE.replace("_places\": 1", "_places\": 2"), "format 2"),
            (&FILE.replace("\"u\"", "\"v\""), "no key `v`"),
            (&FILE.replace("-0.01, ", ""), "2 entries, and there are 3 holes"),
            (&FILE.replace("200.03", "1e999"), "no JSON"),
            (&FILE.replace("200.03", "null"), "`x` holds"),
            (&FILE.replace("200.03", "1e300"), "reading.x"),
            (&FILE.replace("\"A3\"", "\"A1\""), "A1 twice"),
            (&FILE.replace(", \"u\": 0.05", ", \"u\": -1"), "reading.u"),
        ] {
            assert!(told(file).contains(what), "{what}: {}", told(file));
        }
        let deep = format!("{}1{}", "[".repeat(100_000), "]".repeat(100_000));
        assert!(told(&deep).contains("no JSON"));
    }

    #[test]
    fn a_file_that_is_not_there_and_keys_written_twice_are_refused() {
        let text = with("places = \"photo.json\"");
        let parsed = parse(&text);
        assert!(parsed.faults.iter().any(|f| f.message.contains("not at hand")), "{:?}", parsed.faults);
        let unread = [("photo.json".to_owned(), Err("no such file".to_owned()))].into();
        assert!(parse_with(&text, &unread).faults.iter().any(|f| f.message.contains("no such file")));
        let twice = with("places = \"photo.json\"\nx = [1, 2, 3]");
        let parsed = parse_with(&twice, &files(FILE));
        assert!(parsed.faults.iter().any(|f| f.message.contains("`x`")), "{:?}", parsed.faults);
        assert!(with_places_inside(&text, &PlaceFiles::new()).is_err());
    }
}
