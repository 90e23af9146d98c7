//! Writing back: sets or takes out one value of a job's text by its dotted path, and leaves the
//! maker's comments, order and spacing as they are.
//!
//! Paths are those of `Job::places`: `grid.pitch`, `kit.bar[0].bore`. Whether the value makes sense
//! is told by reading the new text again.

use toml_edit::{Array, ArrayOfTables, DocumentMut, Item, Table, TableLike, Value};

use crate::fault::Fault;

/// A value to write.
#[derive(Clone, Debug, PartialEq)]
pub enum Setting {
    /// A number in the job's units, or of no unit; whole ones are written without a point.
    Number(f64),
    /// A text.
    Text(String),
    /// true or false.
    Flag(bool),
    /// A list.
    List(Vec<Setting>),
}

impl Setting {
    fn value(&self) -> Result<Value, Fault> {
        /// Every whole number up to here is a double exactly.
        const MOST_WHOLE: f64 = 9e15;
        Ok(match self {
            Setting::Number(n) if !n.is_finite() => return Err(Fault::input("this number is not finite")),
            Setting::Number(n) if n.fract() == 0.0 && n.abs() < MOST_WHOLE => Value::from(*n as i64),
            Setting::Number(n) => Value::from(*n),
            Setting::Text(text) => Value::from(text.as_str()),
            Setting::Flag(flag) => Value::from(*flag),
            Setting::List(items) => {
                let mut array = Array::new();
                for item in items {
                    array.push(item.value()?);
                }
                Value::Array(array)
            }
        })
    }
}

/// One step of a path.
#[derive(Debug, PartialEq)]
struct Step<'p> {
    key: &'p str,
    index: Option<usize>,
}

/// The text with one value set. A key that is not there yet is added at the end of its table, a
/// table at the end of the job, and an entry of a list of tables if its index is the next one.
///
/// Errors: the text is not TOML, the path is malformed or runs through something that is no table.
pub fn set(text: &str, path: &str, setting: &Setting) -> Result<String, Fault> {
    let mut document = read(text)?;
    let value = setting.value()?;
    let steps = steps(path)?;
    let Some((last, tables)) = steps.split_last() else { return Err(malformed(path)) };
    let mut table: &mut dyn TableLike = document.as_table_mut();
    for step in tables {
        table = enter(table, step, path)?;
    }
    match last.index {
        None => match table.get_mut(last.key) {
            Some(Item::Value(old)) => replace(old, value),
            Some(_) => return Err(no_value(path)),
            None => {
                table.insert(last.key, Item::Value(value));
            }
        },
        Some(index) => {
            let array = table.get_mut(last.key).and_then(Item::as_array_mut).ok_or_else(|| not_there(path))?;
            if index == array.len() {
                array.push(value);
            } else {
                replace(array.get_mut(index).ok_or_else(|| not_there(path))?, value);
            }
        }
    }
    Ok(document.to_string())
}

/// The text without a key, or without an entry of a list; its own comment goes with it.
///
/// Errors: as [`set`], and where there is nothing at the path.
pub fn remove(text: &str, path: &str) -> Result<String, Fault> {
    let mut document = read(text)?;
    let steps = steps(path)?;
    let Some((last, tables)) = steps.split_last() else { return Err(malformed(path)) };
    let mut table: &mut dyn TableLike = document.as_table_mut();
    for step in tables {
        if table.get(step.key).is_none() {
            return Err(not_there(path));
        }
        table = enter(table, step, path)?;
    }
    match last.index {
        None => {
            table.remove(last.key).ok_or_else(|| not_there(path))?;
        }
        Some(index) => match table.get_mut(last.key) {
            Some(Item::ArrayOfTables(list)) if index < list.len() => {
                list.remove(index);
                if list.is_empty() {
                    table.remove(last.key);
                }
            }
            Some(Item::Value(Value::Array(list))) if index < list.len() => {
                list.remove(index);
            }
            _ => return Err(not_there(path)),
        },
    }
    Ok(document.to_string())
}

fn read(text: &str) -> Result<DocumentMut, Fault> {
    // The reader's own limits first: an edit of a text that cannot be read is refused.
    if let Err(faults) = super::tree::read(text) {
        return Err(faults.into_iter().next().unwrap_or_else(|| Fault::input("this text is not TOML")));
    }
    text.parse().map_err(|_| Fault::input("this text is not TOML"))
}

fn steps(path: &str) -> Result<Vec<Step<'_>>, Fault> {
    path.split('.')
        .map(|part| {
            let (key, index) = match part.split_once('[') {
                None => (part, None),
                Some((key, rest)) => {
                    let digits = rest.strip_suffix(']').ok_or_else(|| malformed(path))?;
                    (key, Some(digits.parse().map_err(|_| malformed(path))?))
                }
            };
            let sound = !key.is_empty() && key.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_' || b == b'-');
            if sound { Ok(Step { key, index }) } else { Err(malformed(path)) }
        })
        .collect()
}

/// Goes into a table, making it where there is none.
fn enter<'t>(table: &'t mut dyn TableLike, step: &Step<'_>, path: &str) -> Result<&'t mut dyn TableLike, Fault> {
    if table.get(step.key).is_none() {
        let new = match step.index {
            None => Item::Table(Table::new()),
            Some(_) => Item::ArrayOfTables(ArrayOfTables::new()),
        };
        table.insert(step.key, new);
    }
    let item = table.get_mut(step.key).ok_or_else(|| not_there(path))?;
    match (item, step.index) {
        (item, None) => item.as_table_like_mut().ok_or_else(|| no_table(step.key)),
        (Item::ArrayOfTables(list), Some(index)) => {
            if index == list.len() {
                list.push(Table::new());
            }
            list.get_mut(index).map(|t| t as &mut dyn TableLike).ok_or_else(|| not_there(path))
        }
        (Item::Value(Value::Array(list)), Some(index)) => list
            .get_mut(index)
            .and_then(Value::as_inline_table_mut)
            .map(|t| t as &mut dyn TableLike)
            .ok_or_else(|| not_there(path)),
        _ => Err(no_table(step.key)),
    }
}

/// Puts a value in the place of another, with the space and comment around it.
fn replace(old: &mut Value, mut new: Value) {
    *new.decor_mut() = old.decor().clone();
    *old = new;
}

fn malformed(path: &str) -> Fault {
    Fault::input(format!("\"{path}\" is not a path")).hint("write keys with points between: kit.bar[0].bore")
}

fn not_there(path: &str) -> Fault {
    Fault::input(format!("the job has no {path}"))
}

fn no_table(key: &str) -> Fault {
    Fault::input(format!("{key} is not a table of the kind the path asks for"))
}

fn no_value(path: &str) -> Fault {
    Fault::input(format!("{path} is a table, not a value"))
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "\
# my bench
holefast = 1
name = \"x\"   # working title

[grid]   # the holes
pitch = 100            # as the bars
skip = [ \"C4\",  \"D4:D9\" ]

[[kit.bar]]
name = \"L\"  # borrowed
# the next line was measured
bore = \"4 H7\"
";

    fn number(n: f64) -> Setting {
        Setting::Number(n)
    }

    #[test]
    fn only_the_value_changes() {
        for (path, setting, old, new) in [
            ("grid.pitch", number(96.0), "pitch = 100 ", "pitch = 96 "),
            ("grid.pitch", number(96.5), "pitch = 100 ", "pitch = 96.5 "),
            ("name", Setting::Text("a \"b\"".to_owned()), "\"x\" ", "'a \"b\"' "),
            ("grid.skip[1]", Setting::Text("E1".to_owned()), "\"D4:D9\"", "\"E1\""),
            ("kit.bar[0].bore", Setting::List(vec![number(4.0), number(4.012)]), "\"4 H7\"\n", "[4, 4.012]\n"),
        ] {
            assert_eq!(set(TEXT, path, &setting).unwrap(), TEXT.replace(old, new), "{path}");
        }
    }

    #[test]
    fn what_is_not_there_is_added_at_the_end_of_its_table() {
        assert_eq!(
            set(TEXT, "grid.edge", &number(45.0)).unwrap(),
            TEXT.replace("\"D4:D9\" ]\n", "\"D4:D9\" ]\nedge = 45\n")
        );
        assert_eq!(
            set(TEXT, "kit.bar[0].turn_over", &Setting::Flag(false)).unwrap(),
            format!("{TEXT}turn_over = false\n")
        );
        let with_accuracy = set(TEXT, "accuracy.square", &number(0.25)).unwrap();
        assert!(with_accuracy.starts_with(TEXT), "{with_accuracy}");
        assert!(with_accuracy.ends_with("[accuracy]\nsquare = 0.25\n"), "{with_accuracy}");
        let second = set(TEXT, "kit.bar[1].name", &Setting::Text("M".to_owned())).unwrap();
        assert!(second.starts_with(TEXT) && second.ends_with("[[kit.bar]]\nname = \"M\"\n"), "{second}");
    }

    #[test]
    fn taking_out_leaves_the_rest() {
        assert_eq!(remove(TEXT, "grid.pitch").unwrap(), TEXT.replace("pitch = 100            # as the bars\n", ""));
        assert!(!remove(TEXT, "kit.bar[0]").unwrap().contains("kit.bar"));
        assert_eq!(remove(TEXT, "grid.edge").unwrap_err().message, "the job has no grid.edge");
    }

    #[test]
    fn what_cannot_be_set_is_refused() {
        for (path, setting) in [
            ("", number(1.0)),
            ("grid..pitch", number(1.0)),
            ("grid.pitch[", number(1.0)),
            ("grid[0].pitch", number(1.0)),
            ("name.x", number(1.0)),
            ("kit.bar[7].bore", number(1.0)),
            ("grid", number(1.0)),
            ("grid.pitch", number(f64::NAN)),
        ] {
            assert!(set(TEXT, path, &setting).is_err(), "{path}");
        }
        assert!(set("a = [", "a", &number(1.0)).is_err());
    }
}
