//! Finds the repository and its files.

use std::path::{Path, PathBuf};

/// The repository's folder.
pub fn root() -> PathBuf {
    // the manifest of xtask stands one folder below the repository's
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().unwrap_or(Path::new(".")).to_owned()
}

/// Where cargo puts what it compiles.
pub fn target() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR").map_or_else(|| root().join("target"), |folder| root().join(folder))
}

/// The folder in which each subcommand is one file.
pub const COMMANDS: &str = "crates/holefast-cli/src/commands/";

/// The names of the subcommands, in the order of their names.
pub fn subcommands() -> Result<Vec<String>, String> {
    let files = all()?;
    let stems = files.iter().filter(|path| path.starts_with(COMMANDS)).filter_map(|path| path.file_stem());
    Ok(stems.map(|stem| stem.to_string_lossy().into_owned()).filter(|stem| stem != "mod").collect())
}

/// A folder of the repository is not looked into if it has one of these names.
const NOT_OURS: [&str; 8] =
    ["target", "target-wasm", "target-web", "target-web-tools", ".git", "artifacts", "coverage", "corpus"];

/// Every file of the repository, built and fetched things apart, in the order of their names;
/// paths relative to the root.
pub fn all() -> Result<Vec<PathBuf>, String> {
    let root = root();
    let mut found = Vec::new();
    let mut folders = vec![root.clone()];
    while let Some(folder) = folders.pop() {
        let entries = std::fs::read_dir(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
        for entry in entries {
            let path = entry.map_err(|e| format!("{}: {e}", folder.display()))?.path();
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            if path.is_dir() {
                if !NOT_OURS.contains(&name.as_str()) && !name.ends_with(".venv") {
                    folders.push(path);
                }
            } else if NOT_OURS.contains(&name.as_str()) {
                // in a second work tree `.git` is a file
            } else if let Ok(relative) = path.strip_prefix(&root) {
                found.push(relative.to_owned());
            }
        }
    }
    found.sort();
    Ok(found)
}
