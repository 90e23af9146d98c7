//! Rewrites the golden files and snapshots. The difference is read by a person before it is
//! committed: a changed number is a changed result and belongs in the changelog.

use std::process::Command;

use crate::{files, run};

/// Set for the tests that compare with golden files: they write instead of comparing.
pub const VARIABLE: &str = "HOLEFAST_GOLDEN";

/// The chore.
pub fn rewrite() -> Result<(), String> {
    let mut command = Command::new("cargo");
    command.current_dir(files::root()).args(["test", "--release", "--workspace", "--no-fail-fast"]);
    command.env(VARIABLE, "write").env("INSTA_UPDATE", "always");
    let (_, outcome) = run::counted(&mut command);
    println!("\nread the difference (git diff) before committing it");
    outcome
}
