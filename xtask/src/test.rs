//! Everything that must hold, in one command, the same at home and in CI.
//!
//! Every step runs even if one before it failed, so that one run tells all; the run ends with what
//! failed and, alone on its last line, how many tests passed, failed and were skipped.

use std::process::Command;
use std::time::{Duration, Instant};

use crate::run::{self, Count};
use crate::{files, reference, tidy, tools, wasm, web};

/// What a step gives: its tests, if it runs any, and whether it holds.
type Outcome = (Count, Result<(), String>);

/// One step of the run.
struct Step {
    name: &'static str,
    run: fn() -> Outcome,
}

// Lints, tests and documents share the release profile, so that build scripts and macros are built once.
const STEPS: [Step; 7] = [
    Step {
        name: "format",
        run: || {
            // The web app is a workspace of its own.
            let mut web = cargo(&["fmt", "--all", "--check", "--manifest-path", "crates/holefast-web/Cargo.toml"]);
            let (count, outcome) = untested(cargo(&["fmt", "--all", "--check"]));
            (count, outcome.and(run::with_last_words(&mut web)))
        },
    },
    Step { name: "tidy", run: || (Count::default(), tidy::only()) },
    Step {
        name: "lints",
        run: || {
            const STRICT: [&str; 4] = ["--all-targets", "--", "--deny", "warnings"];
            let (count, outcome) = untested(cargo(&[&["clippy", "--release", "--workspace"][..], &STRICT].concat()));
            (count, outcome.and(web::lints(&STRICT)))
        },
    },
    Step {
        name: "tests of every crate",
        run: || {
            let data = reference::look();
            let mut command = cargo(&["test", "--release", "--workspace", "--no-fail-fast", "--", "--show-output"]);
            let (count, outcome) = run::counted(&mut command);
            (count, outcome.and(data))
        },
    },
    Step {
        name: "documents",
        run: || {
            let mut command = cargo(&["doc", "--release", "--workspace", "--no-deps"]);
            command.env("RUSTDOCFLAGS", "--deny warnings");
            untested(command)
        },
    },
    Step { name: "the core's tests as WebAssembly", run: wasm::test },
    Step { name: "the web app in Chromium", run: web::test },
];

/// The chore.
pub fn all(install: bool) -> Result<(), String> {
    println!("== what the machine must have");
    tools::look(install)?;
    let mut total = Count::default();
    let mut lines: Vec<(&str, Duration, Outcome)> = Vec::new();
    for (i, step) in STEPS.iter().enumerate() {
        println!("\n== {} of {}: {}", i + 1, STEPS.len(), step.name);
        let start = Instant::now();
        let outcome = (step.run)();
        total.add(outcome.0);
        lines.push((step.name, start.elapsed(), outcome));
    }
    println!("\n== all steps");
    for (name, time, (count, outcome)) in &lines {
        let tests = if *count == Count::default() { String::new() } else { format!(": {count}") };
        let end = if outcome.is_ok() { "holds" } else { "FAILS" };
        println!("{end}  {:>5.0} s  {name}{tests}", time.as_secs_f64());
    }
    let broken: Vec<String> = lines
        .iter()
        .filter_map(|(name, _, (_, outcome))| outcome.as_ref().err().map(|message| format!("{name}: {message}")))
        .collect();
    println!("\n{total}");
    if broken.is_empty() { Ok(()) } else { Err(broken.join("\nxtask: ")) }
}

fn cargo(arguments: &[&str]) -> Command {
    let mut command = Command::new("cargo");
    command.current_dir(files::root()).args(arguments);
    command
}

fn untested(mut command: Command) -> Outcome {
    (Count::default(), run::with_last_words(&mut command))
}
