//! The checks against figures from outside: standards, tables, cases worked out independently.
//!
//! They are ordinary tests whose path has the word `reference` in it; `cargo xtask test` runs them
//! with all others. Their figures stand in `crates/holefast/tests/data`, each group with its source,
//! or in the test itself. A few published inputs may not be copied; tests of those are skipped where
//! they are absent (`handed_over` in `crates/holefast/src/testing/files.rs`).

use std::process::Command;

use crate::{files, run};

/// Where the figures stand.
const DATA: &str = "crates/holefast/tests/data/";

/// The chore: where the figures are from, then the tests.
pub fn only() -> Result<(), String> {
    for (name, sources) in sources()? {
        println!("{name}");
        sources.iter().for_each(|source| println!("    {source}"));
    }
    println!();
    let mut command = Command::new("cargo");
    command.current_dir(files::root());
    command.args(["test", "--release", "--package", "holefast", "--package", "holefast-cli"]);
    command.args(["reference", "--", "--show-output"]);
    let (count, outcome) = run::counted(&mut command);
    println!("\n{count}");
    outcome
}

/// Every file of figures with what it says of its sources.
///
/// Errors: a file cannot be read, or says nothing.
fn sources() -> Result<Vec<(String, Vec<String>)>, String> {
    let mut found = Vec::new();
    for path in files::all()?.iter().filter(|path| path.starts_with(DATA)) {
        let name = path.display().to_string();
        let text = std::fs::read_to_string(files::root().join(path)).map_err(|e| format!("{name}: {e}"))?;
        let sources: Vec<String> = text.lines().filter_map(source).map(str::to_owned).collect();
        if sources.is_empty() {
            return Err(format!("{name}: does not say where its figures are from"));
        }
        found.push((name, sources));
    }
    Ok(found)
}

/// The source that a line gives: `# source: …` in tables and jobs, `"source": "…"` in JSON.
fn source(line: &str) -> Option<&str> {
    let line = line.trim();
    if let Some(said) = line.strip_prefix("# source: ") {
        return Some(said);
    }
    line.strip_prefix("\"source\": \"")?.trim_end_matches(',').strip_suffix('"')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_source_is_read_in_either_form() {
        assert_eq!(source("# source: a table"), Some("a table"));
        assert_eq!(source("  \"source\": \"a table, by hand\","), Some("a table, by hand"));
        assert_eq!(source("# a table"), None);
    }

    #[test]
    fn every_file_of_figures_says_where_they_are_from() {
        let found = sources().unwrap();
        assert!(found.len() >= 20, "{}", found.len());
    }
}
