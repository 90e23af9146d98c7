//! The checks against published data, which stays in `../shared` (or where `HOLEFAST_SHARED` says;
//! found as `crates/holefast/src/testing/files.rs` finds it).
//!
//! They are ordinary tests whose path has the word `reference` in it; `cargo xtask test` runs them
//! with all others. Without the data each of them says that it was skipped; with CI=true that is a
//! failure.

use std::path::PathBuf;
use std::process::Command;

use crate::{files, run};

/// True if the data is there.
fn there() -> bool {
    match std::env::var_os("HOLEFAST_SHARED") {
        Some(folder) => PathBuf::from(folder).is_dir(),
        None => files::root().ancestors().skip(1).any(|folder| folder.join("shared/reference").is_dir()),
    }
}

/// True if this run may not do without the data.
fn required() -> bool {
    std::env::var("CI").is_ok_and(|value| value == "true")
}

/// Says whether the data is there. Errors: it is not, and the run may not do without.
pub fn look() -> Result<(), String> {
    if there() {
        println!("data for the reference checks: there");
        Ok(())
    } else if required() {
        Err("data for the reference checks: not there, and with CI=true they may not be skipped".to_owned())
    } else {
        println!("data for the reference checks: not there, they will be skipped");
        Ok(())
    }
}

/// The chore of its own.
pub fn only() -> Result<(), String> {
    look()?;
    let mut command = Command::new("cargo");
    command.current_dir(files::root());
    command.args(["test", "--release", "--package", "holefast", "reference", "--", "--show-output"]);
    let (count, outcome) = run::counted(&mut command);
    println!("\n{count}");
    outcome
}
