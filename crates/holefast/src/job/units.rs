//! Switching a job between millimetres and inches without moving anything: every bare number that is a
//! length gets its old unit written to it, and those that carry the new unit become bare.

use super::parse::{lengths, parse};
use super::{Job, Units};
use crate::fault::{Fault, FaultKind, Span};

/// A unit as a length carries it.
fn suffix(units: Units) -> &'static str {
    match units {
        Units::Mm => "mm",
        Units::Inch => "in",
    }
}

/// The text of the same job with these units. Nothing is converted and nothing rounded: 1450 in a job
/// of millimetres becomes "1450 mm" in one of inches, and 1450 again on the way back.
///
/// Errors: the text is no job that can be read; then nothing is changed.
pub fn in_units(text: &str, units: Units) -> Result<String, Fault> {
    let parsed = parse(text);
    let Some(job) = parsed.job else {
        let why = parsed.faults.into_iter().find(|f| f.kind != FaultKind::Remark);
        return Err(why.unwrap_or_else(|| Fault::input("this job cannot be read")));
    };
    if job.units == units {
        return Ok(text.to_owned());
    }
    let Some(&at) = job.places.get("units") else { return Err(Fault::input("this job has no line `units`")) };
    let mut changes = vec![(at, format!("\"{}\"", suffix(units)))];
    for span in lengths(text) {
        if let Some(written) = text.get(span.start..span.end).and_then(|old| rewritten(old, job.units, units)) {
            changes.push((span, written));
        }
    }
    changes.sort_by_key(|(span, _)| span.start);
    let changed = replaced(text, &changes);
    // What was written must say the same lengths; anything else would bore holes elsewhere.
    match parse(&changed).job {
        Some(after) if same(&job, &after) => Ok(changed),
        _ => Err(Fault::input("this job cannot be switched to other units").hint("change its numbers by hand")),
    }
}

/// A length in another unit's job, if it has to be written in another way.
fn rewritten(old: &str, from: Units, to: Units) -> Option<String> {
    let quoted = old.strip_prefix('"').and_then(|s| s.strip_suffix('"'));
    match quoted {
        None => old.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '.')).then(|| {
            // TOML lets long numbers be parted by lines.
            format!("\"{} {}\"", old.replace('_', ""), suffix(from))
        }),
        Some(inner) => {
            let number = inner.strip_suffix(suffix(to))?.trim_end();
            // Only what TOML too calls a number: 1450, 19.05, -3.
            let digits = number.strip_prefix('-').unwrap_or(number);
            let (whole, part) = digits.split_once('.').unwrap_or((digits, "0"));
            let plain = |s: &str| !s.is_empty() && s.bytes().all(|b| b.is_ascii_digit());
            let sound = plain(whole) && plain(part) && (whole == "0" || !whole.starts_with('0'));
            sound.then(|| number.to_owned())
        }
    }
}

fn replaced(text: &str, changes: &[(Span, String)]) -> String {
    let mut out = String::with_capacity(text.len() + 8 * changes.len());
    let mut done = 0;
    for (span, written) in changes {
        if span.start >= done {
            out.push_str(&text[done..span.start]);
            out.push_str(written);
            done = span.end;
        }
    }
    out.push_str(&text[done..]);
    out
}

/// True if two jobs say the same in all that is made of wood and steel.
fn same(a: &Job, b: &Job) -> bool {
    a.top == b.top
        && a.grid == b.grid
        && a.keep_outs == b.keep_outs
        && a.supports == b.supports
        && a.kit == b.kit
        && a.trial == b.trial
        && a.done == b.done
        && a.cuts == b.cuts
        && a.proof.without_places() == b.proof.without_places()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_say_the_same_in_the_other_unit() {
        let readings = "[proof]\nprior = { hole = 0.05, square = 0.3, pitch = 0.1 }\n[[instrument]]\nname = \"square\"\n\
                        reads = [\"angle\"]\nu = 0.03\nzero = 0.2\nblade = 300\n[[instrument]]\nname = \"rod\"\n\
                        reads = [\"distance\"]\nu = 0.05\nscale = 0.1\nzero = 0.2\nrange = [100, 900]\n[[reading]]\n\
                        kind = \"distance\"\nbetween = [\"A1\", \"C3\"]\nwith = \"rod\"\nvalue = 291.4\nover = \"dogs\"\n\
                        faces = \"outer\"\ndiameters = [19.98, 19.99]\n";
        let text = format!("{}\n{readings}", crate::job::new_job(&crate::job::NewJob::new("Bench", Units::Mm)));
        let there = in_units(&text, Units::Inch).unwrap();
        assert!(there.contains("value = \"291.4 mm\"") && there.contains("scale = 0.1\n"), "{there}");
        assert_eq!(there.matches("zero = 0.2\n").count(), 1, "of the square alone: {there}");
        assert_eq!(in_units(&there, Units::Mm).unwrap(), text);
    }

    #[test]
    fn every_example_goes_to_the_other_unit_and_back_and_says_the_same() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../examples");
        let mut seen = 0;
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.extension().is_none_or(|e| e != "toml") {
                continue;
            }
            let text = std::fs::read_to_string(&path).unwrap();
            let job = parse(&text).job.unwrap();
            let other = if job.units == Units::Mm { Units::Inch } else { Units::Mm };
            let there = in_units(&text, other).unwrap();
            let after = parse(&there).job.unwrap();
            assert_eq!(after.units, other, "{}", path.display());
            assert!(same(&job, &after), "{}", path.display());
            assert_eq!(crate::top::lay_out(&job).unwrap().holes, crate::top::lay_out(&after).unwrap().holes);
            let back = in_units(&there, job.units).unwrap();
            assert!(same(&job, &parse(&back).job.unwrap()));
            if !text.contains(" mm\"") && !text.contains(" in\"") {
                assert_eq!(back, text, "{}", path.display());
            }
            seen += 1;
        }
        assert!(seen >= 3, "only {seen} examples");
    }

    #[test]
    fn lengths_alone_are_rewritten() {
        for (old, from, to, new) in [
            ("1450", Units::Mm, Units::Inch, Some("\"1450 mm\"")),
            ("1_450.5", Units::Mm, Units::Inch, Some("\"1450.5 mm\"")),
            ("\"1450 mm\"", Units::Inch, Units::Mm, Some("1450")),
            ("\"-0.5 in\"", Units::Mm, Units::Inch, Some("-0.5")),
            ("\"3/4 in\"", Units::Mm, Units::Inch, None),
            ("\"0750 mm\"", Units::Inch, Units::Mm, None),
            ("\"19,05 mm\"", Units::Inch, Units::Mm, None),
            ("\"19.05 mm\"", Units::Mm, Units::Inch, None),
        ] {
            assert_eq!(rewritten(old, from, to).as_deref(), new, "{old}");
        }
        assert!(in_units("units = ", Units::Mm).is_err());
    }
}
