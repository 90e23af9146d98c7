//! The files that tests read: golden files, and published inputs that may not be copied. Compiled for tests
//! only; integration tests take it in with `#[path = "../src/testing/files.rs"] mod files;`.
//!
//! Check values stand in `tests/data`, each group with its source, and are compiled into the tests.

#![allow(dead_code, reason = "no one test binary uses all of it")]

use std::path::Path;

/// Reads a file of published inputs that were handed over to be read where they are and not copied:
/// networks of textbooks, instances of cutting, two of NIST's data sets.
///
/// It is looked for in the nearest folder `shared` beside or above the repository, which stands alone
/// without it: where it is absent this says so and returns `None`, and the test is to return.
pub fn handed_over(path: &str) -> Option<String> {
    let mut folders = Path::new(env!("CARGO_MANIFEST_DIR")).ancestors();
    let found = folders.find_map(|folder| std::fs::read_to_string(folder.join("shared").join(path)).ok());
    if found.is_none() {
        println!("skipped: shared/{path} is not there; it may not be copied into the repository");
    }
    found
}

/// Compares a text with the golden file of that name in `crates/holefast/tests/golden`.
///
/// Words must be equal, numbers must agree to nine significant digits. `cargo xtask golden` writes
/// the file instead.
pub fn assert_golden(name: &str, text: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/golden").join(name);
    if std::env::var("HOLEFAST_GOLDEN").is_ok_and(|value| value == "write") {
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder).expect("the golden folder can be made");
        }
        std::fs::write(&path, text).expect("the golden file can be written");
        return;
    }
    let golden = std::fs::read_to_string(&path)
        .unwrap_or_else(|e| panic!("golden file {name}: {e}; cargo xtask golden writes it"));
    if let Some(difference) = first_difference(&golden, text) {
        panic!("golden file {name}: {difference}; if it is meant: cargo xtask golden, and read the difference");
    }
}

/// Numbers whose relative difference is below this agree to nine significant digits.
const NINE_DIGITS: f64 = 5e-10;

/// Where a result of exactly nil may come out as rounding noise on another platform; mm, mm per m
/// and mm² alike are far above this.
const NIL: f64 = 1e-12;

/// The first place where two texts differ, in words.
fn first_difference(golden: &str, text: &str) -> Option<String> {
    for (i, (old, new)) in golden.lines().zip(text.lines()).enumerate() {
        if old != new && !lines_agree(old, new) {
            return Some(format!("line {}\n  golden: {old}\n  now:    {new}\n", i + 1));
        }
    }
    let (old, new) = (golden.lines().count(), text.lines().count());
    (old != new).then(|| format!("{old} lines, now {new}"))
}

fn lines_agree(old: &str, new: &str) -> bool {
    let (old, new) = (pieces(old), pieces(new));
    old.len() == new.len()
        && old.iter().zip(&new).all(|(&old, &new)| {
            old == new
                || match (old.parse::<f64>(), new.parse::<f64>()) {
                    (Ok(a), Ok(b)) => (a - b).abs() <= NINE_DIGITS * a.abs().max(b.abs()) + NIL,
                    _ => false,
                }
        })
}

/// Cuts a line into numbers and what stands between them.
fn pieces(line: &str) -> Vec<&str> {
    let of_number = |c: char| c.is_ascii_digit() || "+-.eE".contains(c);
    let mut pieces = Vec::new();
    let mut start = 0;
    let mut inside = None;
    for (at, c) in line.char_indices() {
        if inside.is_some_and(|inside| inside != of_number(c)) {
            pieces.push(&line[start..at]);
            start = at;
        }
        inside = Some(of_number(c));
    }
    pieces.push(&line[start..]);
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tenth_digit_may_differ_and_the_ninth_may_not() {
        let old = "{\"sd\":0.123456789012,\"n\":[1,-2.5e-3]}";
        assert_eq!(first_difference(old, old), None);
        assert_eq!(first_difference(old, "{\"sd\":0.12345678902,\"n\":[1,-0.0025]}"), None);
        assert!(first_difference(old, "{\"sd\":0.123456799,\"n\":[1,-2.5e-3]}").is_some());
    }

    #[test]
    fn words_and_lines_must_be_equal() {
        assert!(first_difference("A1 1.0", "A2 1.0").is_some());
        assert!(first_difference("a\nb", "a").is_some());
        assert!(first_difference("a 1", "a x").is_some());
    }
}
