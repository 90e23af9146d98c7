//! What the chores need on the machine beside a Rust toolchain, and how to get it.
//!
//! On Debian as root it can be installed here; elsewhere one line says what to run.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::wasm::Route;
use crate::{files, run};

/// Something a chore needs.
struct Tool {
    /// What it is for.
    purpose: &'static str,
    /// Debian's packages that bring it.
    packages: &'static [&'static str],
    /// True if it is there.
    there: fn() -> bool,
}

/// WebAssembly is compiled with Debian's own compiler where rustup's target is not there.
const TOOLS: [Tool; 7] = [
    Tool {
        purpose: "reading back the shop book",
        packages: &["poppler-utils"],
        there: || run::quietly(Command::new("pdftotext").arg("-v")) && run::quietly(Command::new("pdftoppm").arg("-v")),
    },
    Tool {
        purpose: "a second reader of the shop book",
        packages: &["qpdf"],
        there: || run::quietly(Command::new("qpdf").arg("--version")),
    },
    Tool {
        purpose: "reading codes back",
        packages: &["zbar-tools"],
        there: || run::quietly(Command::new("zbarimg").arg("--version")),
    },
    Tool {
        purpose: "running WebAssembly",
        packages: &["nodejs"],
        there: || run::quietly(Command::new("node").args(["--no-warnings", "--eval", "require('node:wasi')"])),
    },
    Tool {
        purpose: "getting what tries the web app's accessibility",
        packages: &["npm"],
        there: || run::quietly(Command::new("npm").arg("--version")),
    },
    Tool {
        purpose: "compiling WebAssembly",
        packages: &["rustc-web", "cargo-web", "rust-web-src", "lld-16", "wasi-libc"],
        there: || Route::find().is_some() && crate::wasm::for_browsers("build").is_ok(),
    },
    Tool {
        purpose: "trying the web app",
        packages: &["chromium", "chromium-driver"],
        there: || run::quietly(Command::new("chromedriver").arg("--version")),
    },
];

/// The rules for accessible pages that the web app is held against: npm's `axe-core`, this version.
const AXE: &str = "axe-core@4.14.1";

/// The script of those rules, in the target folder.
pub fn axe() -> PathBuf {
    files::root().join("target/npm/node_modules/axe-core/axe.min.js")
}

/// Gets those rules, if asked to.
fn look_for_axe(install: bool) -> Result<(), String> {
    if axe().exists() {
        return Ok(());
    }
    let mut npm = Command::new("npm");
    npm.current_dir(files::root()).args(["install", "--no-audit", "--no-fund", "--prefix", "target/npm", AXE]);
    if install && run::with_last_words(&mut npm).is_ok() && axe().exists() {
        return Ok(());
    }
    Err(format!("missing, for trying the web app's accessibility; run: npm install --prefix target/npm {AXE}"))
}

/// Looks for the tools, says what is missing, and installs it if asked to and able to.
///
/// Errors: one line that says what to run.
pub fn look(install: bool) -> Result<(), String> {
    let missing: Vec<&Tool> = TOOLS.iter().filter(|tool| !(tool.there)()).collect();
    let formatter = [("fmt", "rustfmt"), ("clippy", "clippy")];
    let components: Vec<&str> = formatter
        .iter()
        .filter(|(command, _)| !run::quietly(Command::new("cargo").args([command, "--version"])))
        .map(|&(_, component)| component)
        .collect();
    if missing.is_empty() && components.is_empty() {
        look_for_axe(install)?;
        println!("nothing is missing");
        return Ok(());
    }
    for tool in &missing {
        println!("missing, for {}: {}", tool.purpose, tool.packages.join(" "));
    }
    for component in &components {
        println!("missing, of the Rust toolchain: {component}");
    }
    if !components.is_empty() {
        let by_hand = format!("run: rustup component add {}", components.join(" "));
        if !install || !run::quietly(Command::new("rustup").args(["component", "add"]).args(&components)) {
            return Err(by_hand);
        }
    }
    let packages: Vec<&str> = missing.iter().flat_map(|tool| tool.packages).copied().collect();
    if packages.is_empty() {
        return look_for_axe(install);
    }
    let by_hand = format!("apt-get install --no-install-recommends {}", packages.join(" "));
    if !Path::new("/etc/debian_version").exists() {
        return Err(format!(
            "run: rustup target add {} {}; and install node (18.17 or later), poppler's pdftotext and pdftoppm, zbar's zbarimg, and chromedriver",
            crate::wasm::TARGET,
            crate::wasm::WEB_TARGET
        ));
    }
    if !install {
        return Err(format!("run: cargo xtask test --install as root, or: {by_hand}"));
    }
    if run::asked(Command::new("id").arg("-u")).as_deref() != Some("0") {
        return Err(format!("only root installs packages; run: sudo apt-get update && sudo {by_hand}"));
    }
    let apt = || {
        let mut command = Command::new("apt-get");
        command.env("DEBIAN_FRONTEND", "noninteractive");
        command
    };
    run::plainly(apt().args(["update", "--quiet"]))?;
    run::plainly(apt().args(["install", "--quiet", "--yes", "--no-install-recommends"]).args(&packages))?;
    match TOOLS.iter().find(|tool| !(tool.there)()) {
        Some(tool) => Err(format!("still missing after installing, for {}: {}", tool.purpose, tool.packages.join(" "))),
        None => look_for_axe(install),
    }
}
