//! The web app: its folder of static files, that folder served on this machine, and its trials in a
//! browser. Compiling for browsers is `wasm`'s matter, what the folder holds that of the app's tools.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::run::{self, Count};
use crate::{files, tools, wasm};

/// The page's views of one type instead of one type each: a twentieth of its size less.
const ERASED: &str = "--cfg erase_components";

/// Jobs that the command line makes books of for the trials, with their paper.
const BOOKS: [(&str, &str); 2] = [("first-top", "a4"), ("press-bench", "letter")];

/// Builds the folder; `install` gets what is missing.
pub fn build(install: bool) -> Result<(), String> {
    tools::look(install)?;
    let folder = made(Path::new("site"))?;
    println!("any web server can serve {}", folder.display());
    Ok(())
}

/// Builds the folder and serves it on the loopback address until it is stopped.
pub fn serve() -> Result<(), String> {
    let folder = made(Path::new(TRIALS))?;
    run::plainly(with_tools().arg("serve").arg(folder))
}

/// Lints the page and its tools, compiled as any program: nothing in them is for browsers alone.
pub fn lints(arguments: &[&str]) -> Result<(), String> {
    let mut command = Command::new("cargo");
    command.current_dir(app()).env("CARGO_TARGET_DIR", targets("web-tools"));
    run::with_last_words(command.args(["clippy", "--locked", "--workspace"]).args(arguments))
}

/// Runs the app's own tests, compiled as any program.
pub fn own_tests() -> (Count, Result<(), String>) {
    let mut own = Command::new("cargo");
    own.current_dir(app()).env("CARGO_TARGET_DIR", targets("web-tools"));
    run::counted(own.args(["test", "--locked", "--workspace"]))
}

/// Where the folder stands that trials are made on.
const TRIALS: &str = "trials/site";

/// Builds the folder for the trials; where it cannot be built there is none.
pub fn compiled() -> Result<(), String> {
    let _ = std::fs::remove_dir_all(targets("web").join(TRIALS));
    made(Path::new(TRIALS)).map(drop)
}

/// Tries the page in Chromium, in the folder that [`compiled`] has built; `long` for the longest.
pub fn all_trials(long: bool) -> (Count, Result<(), String>) {
    let folder = targets("web").join(TRIALS);
    let there =
        || if folder.is_dir() { Ok(()) } else { Err("there is no page to try: it was not compiled".to_owned()) };
    match there().and_then(|()| books()) {
        Ok(()) => {
            let mut trials = with_tools();
            if long {
                trials.env(crate::test::LONG, "1");
            }
            run::counted(trials.arg("browser").arg(folder).env("HOLEFAST_AXE", tools::axe()))
        }
        Err(message) => (Count::default(), Err(message)),
    }
}

/// Builds the app into a folder of this place and name; what is missing on the machine is an error that says so.
pub fn made_for(folder: &Path) -> Result<PathBuf, String> {
    tools::look(false)?;
    made(folder)
}

/// Builds the folder and runs the trials whose names contain a word.
pub fn trials(named: &str) -> Result<(), String> {
    tools::look(false)?;
    books()?;
    let folder = made(Path::new(TRIALS))?;
    run::plainly(with_tools().arg("browser").arg(folder).arg(named).env("HOLEFAST_AXE", tools::axe()))
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

/// The command line's own books, for comparing.
fn books() -> Result<(), String> {
    let folder = targets("web").join("trials/books");
    std::fs::create_dir_all(&folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    // compiled as its tests are: as a program of its own the core would be compiled once more
    let mut compile = Command::new("cargo");
    compile.current_dir(files::root()).args(["test", "--release", "--workspace", "--locked", "--no-run"]);
    run::with_last_words(&mut compile)?;
    let program = files::target().join("release/holefast").with_extension(std::env::consts::EXE_EXTENSION);
    for (name, paper) in BOOKS {
        let mut command = Command::new(&program);
        command.current_dir(files::root()).arg("book");
        command.arg(format!("examples/{name}.toml")).args(["--paper", paper, "--output"]);
        run::with_last_words(command.arg(folder.join(format!("{name}.pdf"))))?;
    }
    Ok(())
}

/// Compiles the page, its planner and its book maker and bundles them into a folder, by a relative path beside what
/// was compiled.
fn made(folder: &Path) -> Result<PathBuf, String> {
    let compiled = |packages: &[&str]| {
        let mut compile = wasm::for_browsers("build")?;
        compile.current_dir(app()).env("CARGO_TARGET_DIR", targets("web")).env("RUSTFLAGS", ERASED);
        compile.args(["--release", "--locked"]);
        for package in packages {
            compile.args(["--package", package]);
        }
        run::with_last_words(&mut compile)?;
        let out = targets("web").join(wasm::WEB_TARGET).join("release");
        let file = |package: &&str| out.join(format!("{}.wasm", package.replace('-', "_")));
        Ok::<Vec<PathBuf>, String>(packages.iter().map(file).collect())
    };
    let [page, book] = &compiled(&["holefast-web", "holefast-web-book"])?[..] else {
        return Err("page and book maker are two modules".to_owned());
    };
    // by itself: with its own door open the page, which takes from it too, would hold all of it
    let planner = &compiled(&["holefast-web-planner"])?[0];
    let folder = targets("web").join(folder);
    run::with_last_words(with_tools().arg("bundle").args([page, planner, book]).arg(&folder))?;
    Ok(folder)
}
