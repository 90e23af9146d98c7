//! The web app: its folder of static files, that folder served on this machine, and its trials in a
//! browser. Compiling for browsers is `wasm`'s matter, what the folder holds that of the app's tools.

use std::path::PathBuf;
use std::process::Command;

use crate::run::{self, Count};
use crate::{files, tools, wasm};

/// Builds the folder; `install` gets what is missing.
pub fn build(install: bool) -> Result<(), String> {
    tools::look(install)?;
    made().map(|folder| println!("any web server can serve {}", folder.display()))
}

/// Builds the folder and serves it on the loopback address until it is stopped.
pub fn serve() -> Result<(), String> {
    let folder = made()?;
    run::plainly(with_tools().arg("serve").arg(folder))
}

/// Lints the page and its tools, compiled as any program: nothing in them is for browsers alone.
pub fn lints(arguments: &[&str]) -> Result<(), String> {
    let mut command = Command::new("cargo");
    command.current_dir(app()).env("CARGO_TARGET_DIR", targets("web-tools"));
    run::with_last_words(command.args(["clippy", "--locked", "--workspace"]).args(arguments))
}

/// Runs the app's own tests, builds the folder and tries the page in Chromium.
pub fn test() -> (Count, Result<(), String>) {
    let mut own = Command::new("cargo");
    own.current_dir(app()).env("CARGO_TARGET_DIR", targets("web-tools"));
    let (mut count, own) = run::counted(own.args(["test", "--locked", "--workspace"]));
    let (tried, page) = match made() {
        Ok(folder) => run::counted(with_tools().arg("browser").arg(folder).env("HOLEFAST_AXE", tools::axe())),
        Err(message) => (Count::default(), Err(message)),
    };
    count.add(tried);
    (count, own.and(page))
}

fn app() -> PathBuf {
    files::root().join("crates/holefast-web")
}

/// A target folder for each compiler, or they would rebuild each other's work.
fn targets(of: &str) -> PathBuf {
    files::root().join(format!("target-{of}"))
}

/// The app's own tools, compiled as any program.
fn with_tools() -> Command {
    let mut command = Command::new("cargo");
    command.current_dir(app()).env("CARGO_TARGET_DIR", targets("web-tools"));
    command.args(["run", "--quiet", "--locked", "--package", "holefast-web-tools", "--"]);
    command
}

fn made() -> Result<PathBuf, String> {
    let mut compile = wasm::for_browsers("build")?;
    compile.current_dir(app()).env("CARGO_TARGET_DIR", targets("web"));
    compile.args(["--release", "--locked", "--package", "holefast-web"]);
    run::with_last_words(&mut compile)?;
    let module = targets("web").join(wasm::WEB_TARGET).join("release/holefast_web.wasm");
    let folder = targets("web").join("site");
    run::with_last_words(with_tools().arg("bundle").arg(module).arg(&folder))?;
    Ok(folder)
}
