//! Everything that must hold, in one command, the same at home and in CI.
//!
//! Every step runs even if one before it failed, so that one run tells all; the run ends with what
//! failed and, alone on its last line, how many tests passed, failed and were skipped.

use std::process::Command;
use std::time::{Duration, Instant};

use crate::run::{self, Count};
use crate::{files, tidy, tools, wasm, web};

/// What a step gives: its tests, if it runs any, and whether it holds.
type Outcome = (Count, Result<(), String>);

/// How everything is run.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Gets what is missing.
    install: bool,
    /// Random and statistical tests several times as long.
    long: bool,
}

impl Options {
    /// From what was typed.
    pub fn read(typed: &[&str]) -> Result<Options, String> {
        let mut options = Options::default();
        for word in typed {
            match *word {
                "--install" => options.install = true,
                "--long" => options.long = true,
                other => return Err(format!("test knows --install and --long, not {other}")),
            }
        }
        Ok(options)
    }
}

/// What tests look for that can be longer than usual.
pub const LONG: &str = "HOLEFAST_LONG";

/// One step of the run.
#[derive(Clone, Copy)]
struct Step {
    name: &'static str,
    /// What runs it, or most of it, alone.
    alone: &'static str,
    /// Left out of short runs, which say so.
    long: bool,
    run: fn(Options) -> Outcome,
}

/// First, for they say at once what else may be spared.
const AT_ONCE: [Step; 2] = [
    Step {
        name: "format",
        alone: "cargo fmt --all --check, here and in crates/holefast-web",
        long: false,
        run: |_| {
            // The web app is a workspace of its own.
            let mut web = cargo(&["fmt", "--all", "--check", "--manifest-path", "crates/holefast-web/Cargo.toml"]);
            let (count, outcome) = untested(cargo(&["fmt", "--all", "--check"]));
            (count, outcome.and(run::with_last_words(&mut web)))
        },
    },
    Step { name: "tidy", alone: "cargo xtask tidy", long: false, run: |_| (Count::default(), tidy::only()) },
];

// Lints, tests and documents share the release profile, so that build scripts and macros are built once.
const COMPILED_HERE: [Step; 3] = [
    Step {
        name: "lints",
        alone: "cargo clippy --release --workspace --all-targets -- --deny warnings",
        long: false,
        run: |_| untested(cargo(&[&["clippy", "--release", "--workspace"][..], &STRICT].concat())),
    },
    Step {
        name: "tests of every crate",
        alone: "cargo test --release --workspace NAME",
        long: false,
        run: |options| {
            let mut command = cargo(&["test", "--release", "--workspace", "--no-fail-fast", "--", "--show-output"]);
            if options.long {
                command.env(LONG, "1");
            }
            run::counted(&mut command)
        },
    },
    Step {
        name: "documents",
        alone: "cargo doc --release --workspace --no-deps",
        long: false,
        run: |_| {
            let mut command = cargo(&["doc", "--release", "--workspace", "--no-deps"]);
            command.env("RUSTDOCFLAGS", "--deny warnings");
            untested(command)
        },
    },
];

/// Beside them, in target folders of their own: compilers leave a core idle now and then, and wait for one another.
const COMPILED_ELSEWHERE: [Step; 4] = [
    Step {
        name: "the core's tests as WebAssembly",
        alone: "cargo xtask wasm",
        // The web app's book is compared with the command line's in every run (`AT_LAST`), byte for byte; every test of
        // the core compiled once more takes as long as all that.
        long: true,
        run: |_| wasm::test(),
    },
    Step {
        name: "the web app compiled",
        alone: "cargo xtask web",
        long: false,
        run: |_| (Count::default(), web::compiled()),
    },
    Step {
        name: "lints of the web app",
        alone: "cargo clippy --workspace --all-targets -- --deny warnings, in crates/holefast-web",
        long: false,
        run: |_| (Count::default(), web::lints(&STRICT)),
    },
    Step {
        name: "the web app's own tests",
        alone: "cargo test --workspace, in crates/holefast-web",
        long: false,
        run: |_| web::own_tests(),
    },
];

/// When nothing else runs: some of them hold what they measure against a limit.
const AT_LAST: [Step; 1] = [Step {
    name: "the web app in Chromium",
    alone: "cargo xtask trials NAME",
    long: false,
    run: |options| web::all_trials(options.long),
}];

const STRICT: [&str; 4] = ["--all-targets", "--", "--deny", "warnings"];

/// A step that was run: how long it took and what came of it.
type Done = (&'static Step, Duration, Outcome);

/// Runs steps one after another.
fn run_all(steps: &'static [Step], options: Options) -> Vec<Done> {
    let run = |step: &'static Step| {
        println!("\n== {}", step.name);
        let start = Instant::now();
        let outcome = (step.run)(options);
        println!("\n== {}: done after {:.0} s", step.name, start.elapsed().as_secs_f64());
        (step, start.elapsed(), outcome)
    };
    let (now, left_out): (Vec<&Step>, Vec<&Step>) = steps.iter().partition(|step| options.long || !step.long);
    for step in left_out {
        println!("\n== {}: not run, only with --long", step.name);
    }
    now.into_iter().map(run).collect()
}

/// The chore.
pub fn all(options: Options) -> Result<(), String> {
    println!("== what the machine must have");
    tools::look(options.install)?;
    let mut lines = run_all(&AT_ONCE, options);
    let (here, elsewhere) = std::thread::scope(|scope| {
        let elsewhere = scope.spawn(move || run_all(&COMPILED_ELSEWHERE, options));
        (run_all(&COMPILED_HERE, options), elsewhere.join())
    });
    lines.extend(here);
    match elsewhere {
        Ok(more) => lines.extend(more),
        Err(_) => lines.push((&COMPILED_ELSEWHERE[0], Duration::ZERO, (Count::default(), Err("broke off".to_owned())))),
    }
    lines.extend(run_all(&AT_LAST, options));
    let mut total = Count::default();
    lines.iter().for_each(|(_, _, (count, _))| total.add(*count));
    println!("\n== all steps");
    for (step, time, (count, outcome)) in &lines {
        let tests = if *count == Count::default() { String::new() } else { format!(": {count}") };
        let (end, alone) =
            if outcome.is_ok() { ("holds", String::new()) } else { ("FAILS", format!("; alone: {}", step.alone)) };
        println!("{end}  {:>5.0} s  {}{tests}{alone}", time.as_secs_f64(), step.name);
    }
    let broken: Vec<String> = lines
        .iter()
        .filter_map(|(step, _, (_, outcome))| outcome.as_ref().err().map(|message| format!("{}: {message}", step.name)))
        .collect();
    let all = [&AT_ONCE[..], &COMPILED_HERE, &COMPILED_ELSEWHERE, &AT_LAST].concat();
    for step in all.iter().filter(|step| step.long && !options.long) {
        println!("not run      {}: only with --long", step.name);
    }
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
