//! Readings from a table of text (CSV), as a spreadsheet saves one: a line of keys, then a reading a
//! line. Every cell becomes what the same key of `[[reading]]` would be, and is read by the same
//! reader; faults are located in the table's own text.
//!
//! Cells are parted by comma, semicolon or tab, whichever the first line has; quotes as usual
//! (RFC 4180). Where it is not the comma that parts them, a number may have a decimal comma. Several
//! holes or lengths stand in one cell with spaces between (`A1 G9`), two lines with a slash
//! (`A1 A14 / A1 G1`). Empty cells are not written; lines that begin with # are remarks.

use super::Job;
use super::nearest::nearest;
use super::read::{MOST_ENTRIES, Reader};
use super::read_reading::reading;
use super::schema::{self, Kind};
use super::tree::{Entry, MOST_BYTES, Node, Value, short};
use crate::fault::{Fault, Span};
use crate::reading::Reading;

/// A cell with its place.
#[derive(Clone, Debug)]
struct CellText {
    text: String,
    span: Span,
}

/// Reads readings from a table; remarks go with them.
///
/// Errors: all slips, each with its place in `text`.
pub fn readings_from_csv(text: &str, job: &Job) -> Result<(Vec<Reading>, Vec<Fault>), Vec<Fault>> {
    let whole = Span { start: 0, end: 0 };
    if text.len() > MOST_BYTES {
        return Err(vec![
            Fault::input(format!("the table has {} bytes, at most {MOST_BYTES} are read", text.len())).at(Some(whole)),
        ]);
    }
    let text_start = if text.starts_with('\u{feff}') { '\u{feff}'.len_utf8() } else { 0 };
    let head = text[text_start..].lines().find(|line| !line.starts_with('#') && !line.trim().is_empty()).unwrap_or("");
    let parted_by = [b';', b'\t', b','].into_iter().find(|&by| head.bytes().any(|b| b == by)).unwrap_or(b',');
    let mut lines = split(text, text_start, parted_by)?.into_iter();
    let Some(keys) = lines.next() else {
        let fault = Fault::input("the table is empty").at(Some(whole));
        return Err(vec![fault.hint("its first line names keys: kind, between, with, value")]);
    };
    let mut reader = Reader::new();
    reader.units = job.units;
    let known = || schema::keys("reading").iter().map(|(key, _, _)| *key);
    for (i, key) in keys.iter().enumerate() {
        if !known().any(|k| k == key.text) {
            let hint = match nearest(&key.text, known()) {
                Some(near) => format!("is `{near}` meant?"),
                None => format!("known are {}", known().collect::<Vec<_>>().join(", ")),
            };
            reader.fault(key.span, Fault::input(format!("a reading has no key `{}`", short(&key.text))).hint(hint));
        } else if keys[..i].iter().any(|other| other.text == key.text) {
            reader.fault(key.span, Fault::input(format!("the column `{}` stands there twice", key.text)));
        }
    }
    if reader.refused {
        return Err(reader.faults);
    }
    let mut readings = Vec::new();
    for (row, cells) in lines.enumerate() {
        let span = Span { start: cells[0].span.start, end: cells[cells.len() - 1].span.end };
        if row >= MOST_ENTRIES {
            reader.fault(span, Fault::input(format!("the table has more than {MOST_ENTRIES} lines")));
            break;
        }
        if cells.len() > keys.len() {
            let message = format!("this line has {} cells, and the first line names {} keys", cells.len(), keys.len());
            reader
                .fault(span, Fault::input(message).hint("a decimal comma in a table parted by commas? write a point"));
            continue;
        }
        let entries: Vec<Entry> = keys
            .iter()
            .zip(&cells)
            .filter(|(_, cell)| !cell.text.is_empty())
            .map(|(key, cell)| Entry { key: key.text.clone(), span: cell.span, node: node(&key.text, cell, parted_by) })
            .collect();
        let table = reader.open(&entries, "reading", format!("readings[{row}]"), span);
        readings.extend(reading(&mut reader, &table, &job.grid.extra, job.kit.as_ref()));
    }
    if reader.refused {
        return Err(reader.faults);
    }
    Ok((readings, reader.faults))
}

/// A cell as the value that its key takes.
fn node(key: &str, cell: &CellText, parted_by: u8) -> Node {
    let kind = schema::keys("reading").iter().find(|(k, _, _)| *k == key).map_or(Kind::Text, |(_, _, kind)| *kind);
    let span = cell.span;
    let plain = |value| Node { value, span };
    let number = |text: &str| -> Value {
        let point = if parted_by == b',' { text.to_owned() } else { text.replace(',', ".") };
        let bare = point.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b'-' | b'+' | b'e' | b'E'));
        match point.parse::<f64>() {
            Ok(value) if bare => Value::Float(value),
            _ => Value::Text(text.to_owned()),
        }
    };
    let texts = |text: &str| -> Value {
        Value::List(text.split_whitespace().map(|part| plain(Value::Text(part.to_owned()))).collect())
    };
    let text = cell.text.as_str();
    plain(match kind {
        Kind::Length | Kind::LengthOrUnknown | Kind::Number | Kind::Numbers | Kind::Whole => number(text),
        Kind::Lengths => {
            let parts: Vec<Value> = text.split_whitespace().map(number).collect();
            // Units stand apart from their numbers: then the cell is one length, or is told as it is.
            let all_bare = parts.iter().all(|part| matches!(part, Value::Float(_)));
            let lists = matches!(key, "x" | "y");
            match parts.len() {
                0 | 1 if !lists => number(text),
                _ if all_bare => Value::List(parts.into_iter().map(plain).collect()),
                _ => Value::Text(text.to_owned()),
            }
        }
        Kind::Texts => texts(text),
        Kind::Flag => match text.to_ascii_lowercase().as_str() {
            "true" => Value::Flag(true),
            "false" => Value::Flag(false),
            _ => Value::Text(text.to_owned()),
        },
        Kind::Any if key == "lines" => Value::List(text.split('/').map(|line| plain(texts(line))).collect()),
        Kind::Any | Kind::Text | Kind::Date => Value::Text(text.to_owned()),
    })
}

/// Lines of cells; remarks and empty lines are left out.
fn split(text: &str, start: usize, parted_by: u8) -> Result<Vec<Vec<CellText>>, Vec<Fault>> {
    let bytes = text.as_bytes();
    let mut lines = Vec::new();
    let mut at = start;
    while at < bytes.len() {
        if bytes[at] == b'#' {
            at = bytes[at..].iter().position(|b| *b == b'\n').map_or(bytes.len(), |n| at + n + 1);
            continue;
        }
        let mut cells = Vec::new();
        loop {
            let begin = at;
            let mut cell = String::new();
            if bytes.get(at) == Some(&b'"') {
                at += 1;
                loop {
                    let Some(close) = bytes[at..].iter().position(|b| *b == b'"').map(|n| at + n) else {
                        let fault =
                            Fault::input("this quote is not closed").at(Some(Span { start: begin, end: begin + 1 }));
                        return Err(vec![fault.hint("end the cell with a second \"")]);
                    };
                    cell.push_str(&text[at..close]);
                    at = close + 1;
                    if bytes.get(at) != Some(&b'"') {
                        break;
                    }
                    cell.push('"');
                    at += 1;
                }
            }
            let rest = bytes[at..].iter().position(|b| *b == parted_by || *b == b'\n').map_or(bytes.len(), |n| at + n);
            cell.push_str(&text[at..rest]);
            cells.push(CellText { text: cell.trim().to_owned(), span: Span { start: begin, end: rest } });
            at = rest + 1;
            if bytes.get(rest) != Some(&parted_by) {
                break;
            }
        }
        if cells.iter().any(|cell| !cell.text.is_empty()) {
            lines.push(cells);
        }
    }
    Ok(lines)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{NewJob, Units, new_job, parse};
    use crate::reading::{Taken, What};

    fn job(units: Units) -> Job {
        parse(&new_job(&NewJob::new("Bench", units))).job.unwrap()
    }

    #[test]
    fn a_table_reads_as_the_tables_of_a_job_do() {
        let table = "# at the bench\nkind,between,with,value,over,faces,diameters,note\n\
                     distance,A1 C3,tape,271.6,,,,\n\
                     distance,\"A3 C1\",tape,291.4 mm,dogs,outer,19.98 19.99,\"read \"\"twice\"\"\"\n\n";
        let toml = "[[reading]]\nkind = \"distance\"\nbetween = [\"A1\", \"C3\"]\nwith = \"tape\"\nvalue = 271.6\n\
                    [[reading]]\nkind = \"distance\"\nbetween = [\"A3\", \"C1\"]\nwith = \"tape\"\nvalue = 291.4\n\
                    over = \"dogs\"\nfaces = \"outer\"\ndiameters = [19.98, 19.99]\nnote = 'read \"twice\"'\n";
        let text = new_job(&NewJob::new("Bench", Units::Mm));
        let wanted = parse(&format!("{text}\n{toml}")).job.unwrap().proof.readings;
        let strip = |mut readings: Vec<Reading>| {
            for r in &mut readings {
                (r.span, r.value_span, r.with_span) = (None, None, None);
            }
            readings
        };
        let (found, remarks) = readings_from_csv(table, &job(Units::Mm)).unwrap();
        assert_eq!(strip(found), strip(wanted));
        assert_eq!(remarks, []);
    }

    #[test]
    fn semicolons_allow_a_decimal_comma_and_inches_are_the_jobs() {
        let table = "kind;between;value;u\r\ndistance;A1 C3;271,6;0,05\r\n";
        let (found, _) = readings_from_csv(table, &job(Units::Mm)).unwrap();
        assert_eq!(
            found[0].what,
            What::Distance { between: ["A1".into(), "C3".into()], value: 271.6, taken: Taken::CENTRES }
        );
        assert_eq!(found[0].u, Some(0.05));
        let (found, _) =
            readings_from_csv("kind,between,value,u\ndistance,A1 C3,10,0.002\n", &job(Units::Inch)).unwrap();
        assert!(matches!(found[0].what, What::Distance { value: 254.0, .. }));
    }

    #[test]
    fn slips_are_told_at_their_cell() {
        let told = |table: &str| {
            let faults = readings_from_csv(table, &job(Units::Mm)).unwrap_err();
            let place = faults[0].span.map(|s| table[s.start..s.end].to_owned());
            (faults[0].message.clone(), place.unwrap())
        };
        for (table, message, place) in [
            ("knd,between\n", "a reading has no key `knd`", "knd"),
            ("kind,kind\n", "the column `kind` stands there twice", "kind"),
            ("kind,between,value\ndistanse,A1 B1,3\n", "reading.kind must be", "distanse"),
            ("kind,between,value\ndistance,A1,3\n", "reading.between must name 2 holes, this names 1", "A1"),
            ("kind,between,value\ndistance,A1 B1,-3\n", "reading.value is -3 mm, it must be more than 0 mm", "-3"),
            (
                "kind,between,value\ndistance,A1 B1,96,4\n",
                "this line has 4 cells, and the first line names 3 keys",
                "distance,A1 B1,96,4",
            ),
            ("kind,note\ndistance,\"open\n", "this quote is not closed", "\""),
            (
                "kind,of,from,value\noffset,A2,A1 A3,0.1,\n",
                "this line has 5 cells, and the first line names 4 keys",
                "offset,A2,A1 A3,0.1,",
            ),
            ("", "the table is empty", ""),
        ] {
            let (said, at) = told(table);
            assert!(said.starts_with(message), "{table}: {said}");
            assert_eq!(at, place, "{table}");
        }
    }
}
