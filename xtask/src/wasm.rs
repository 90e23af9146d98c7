//! Runs the core's tests as WebAssembly: the same tests, the same golden files, another machine. As a
//! chore of its own, and in long runs.
//!
//! Target: `wasm32-wasip1`, for there the runner's own summary and the golden files can be had;
//! the arithmetic is that of `wasm32-unknown-unknown`, for which the web app compiles the core. Two
//! ways to the standard library, see `docs/wasm.md`: the target that rustup installed, or
//! Debian's compiler with the library built from its source. The runtime is node's WASI.

use std::path::Path;
use std::process::Command;

use crate::files;
use crate::run::{self, Count};

/// The target whose binaries are run.
pub const TARGET: &str = "wasm32-wasip1";

/// The target of the web app.
pub const WEB_TARGET: &str = "wasm32-unknown-unknown";

/// What runs a test binary. Node 20's short way from compiled WebAssembly into its WASI ("fast API
/// calls") left it with a broken heap after a run of more than a minute: it fell over (SIGSEGV) six
/// times of eight when every test had passed, and not once in eight without.
const RUNNER: &str = "node --no-warnings --no-turbo-fast-api-calls ../../xtask/src/wasi.mjs";

/// Which tests: the core's own, and those that stand outside it.
const OWN: [&str; 1] = ["--lib"];
const OUTSIDE: [&str; 2] = ["--test", "all"];

/// How this machine compiles for WebAssembly.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Route {
    /// The toolchain has the target.
    Plain,
    /// Debian's `rustc-web`, with the standard library built from `rust-web-src`.
    Debian,
}

const DEBIAN_RUSTC: &str = "/usr/bin/rustc";
const DEBIAN_CARGO: &str = "/usr/bin/cargo";
const DEBIAN_LINKER: &str = "/usr/bin/wasm-ld-16";
/// Of the standard library, from `rust-web-src`.
const DEBIAN_SOURCE: &str = "/usr/lib/rustlib/src/rust/library/Cargo.lock";
/// What rustup's cargo sets for its children would lead Debian's to the other compiler.
const OTHER_COMPILER: [&str; 5] = ["RUSTUP_TOOLCHAIN", "CARGO", "RUSTC_WRAPPER", "RUSTDOC", "LD_LIBRARY_PATH"];
const DEBIAN_LIBC: &str = "/usr/lib/wasm32-wasi";

impl Route {
    /// Finds out which it is; `None` if neither.
    pub fn find() -> Option<Route> {
        if has_target(TARGET) {
            return Some(Route::Plain);
        }
        let libc = format!("{DEBIAN_LIBC}/crt1-command.o");
        let all = [DEBIAN_RUSTC, DEBIAN_CARGO, DEBIAN_LINKER, &libc, DEBIAN_SOURCE];
        all.iter().all(|path| Path::new(path).exists()).then_some(Route::Debian)
    }

    /// A cargo command for [`TARGET`], its `target` folder apart from the ordinary one, or the two compilers
    /// would rebuild each other's work.
    fn cargo(self, verb: &str) -> Command {
        let root = files::root();
        let mut command = match self {
            Route::Plain => Command::new("cargo"),
            Route::Debian => {
                let mut command = Command::new(DEBIAN_CARGO);
                command.env("RUSTC", DEBIAN_RUSTC).env("RUSTC_BOOTSTRAP", "1");
                for variable in OTHER_COMPILER {
                    command.env_remove(variable);
                }
                command
            }
        };
        command.current_dir(&root).args([verb, "--release", "--package", "holefast", "--target", TARGET]);
        command.env("CARGO_TARGET_DIR", root.join("target-wasm"));
        if self == Route::Debian {
            command.arg("-Zbuild-std=std,panic_abort,test");
            command.env("CARGO_TARGET_WASM32_WASIP1_LINKER", DEBIAN_LINKER);
            // the C library of Debian instead of the one rustup would bring along
            let without_threads = root.join("xtask/src/wasi-without-threads.txt");
            let flags = [
                "-Clink-self-contained=no".to_owned(),
                format!("-Clink-arg={DEBIAN_LIBC}/crt1-command.o"),
                format!("-Lnative={DEBIAN_LIBC}"),
                "-Clink-arg=-lc".to_owned(),
                format!("-Clink-arg=--allow-undefined-file={}", without_threads.display()),
            ];
            // encoded, since a path may hold spaces
            command.env("CARGO_ENCODED_RUSTFLAGS", flags.join("\u{1f}"));
        }
        command
    }
}

/// A cargo command that compiles for browsers, without a package or a target folder yet.
///
/// Errors: this machine has no way to; the message says what to run.
pub fn for_browsers(verb: &str) -> Result<Command, String> {
    if has_target(WEB_TARGET) {
        let mut command = Command::new("cargo");
        command.args([verb, "--target", WEB_TARGET]);
        return Ok(command);
    }
    let there = [DEBIAN_RUSTC, DEBIAN_CARGO, DEBIAN_LINKER, DEBIAN_SOURCE].iter().all(|path| Path::new(path).exists());
    if !there {
        return Err(format!("run: rustup target add {WEB_TARGET}; or, on Debian as root: cargo xtask web --install"));
    }
    let mut command = Command::new(DEBIAN_CARGO);
    command.env("RUSTC", DEBIAN_RUSTC).env("RUSTC_BOOTSTRAP", "1");
    for variable in OTHER_COMPILER {
        command.env_remove(variable);
    }
    command.env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_LINKER", DEBIAN_LINKER);
    command.args([verb, "-Zbuild-std=std,panic_abort", "--target", WEB_TARGET]);
    Ok(command)
}

fn has_target(target: &str) -> bool {
    let folder = run::asked(Command::new("rustc").args(["--print", "target-libdir", "--target", target]));
    folder.is_some_and(|folder| Path::new(&folder).is_dir())
}

/// The chore of its own: runs the tests and closes with their number.
pub fn only() -> Result<(), String> {
    let (count, outcome) = test();
    println!("\n{count}");
    outcome
}

/// Runs the core's tests and returns how many there were.
pub fn test() -> (Count, Result<(), String>) {
    let Some(route) = Route::find() else {
        return (
            Count::default(),
            Err("no way to compile WebAssembly here: run cargo xtask test --install".to_owned()),
        );
    };
    println!(
        "{TARGET} by {}",
        match route {
            Route::Plain => "the toolchain's own target",
            Route::Debian => "Debian's compiler, standard library from source",
        }
    );
    let with = |arguments: &[&str]| {
        let mut command = route.cargo("test");
        // the runner is a list split at spaces; a relative path from the package's folder has none
        command.env("CARGO_TARGET_WASM32_WASIP1_RUNNER", RUNNER);
        command.args(arguments);
        command
    };
    const WHICH: [&str; 2] = ["--lib", "--tests"];
    if let Err(message) = run::plainly(&mut with(&[&WHICH[..], &["--no-run"]].concat())) {
        return (Count::default(), Err(message));
    }
    // A WebAssembly program of tests has one thread: the core's own tests and those outside it run side by side.
    let run = |which: &'static [&'static str]| {
        let mut command = with(&[which, &["--no-fail-fast", "--", "--show-output"]].concat());
        command.env("RUST_BACKTRACE", "0");
        move || run::counted(&mut command)
    };
    let (own, outside) = std::thread::scope(|scope| {
        let outside = scope.spawn(run(&OUTSIDE));
        (run(&OWN)(), outside.join())
    });
    let outside =
        outside.unwrap_or_else(|_| (Count::default(), Err("the tests outside the core were not counted".to_owned())));
    let mut count = own.0;
    count.add(outside.0);
    let Err(first) = own.1.and(outside.1) else { return (count, Ok(())) };
    // A panic ends a WebAssembly program at once, so the runner never shows what the test
    // said; once more without its hands over the output.
    println!("\nonce more, with what the failing test says:");
    let (_, second) = run::counted(&mut with(&[&WHICH[..], &["--", "--nocapture"]].concat()));
    let second = second.err().unwrap_or_else(|| "the second run passed".to_owned());
    (Count { failed: count.failed.max(1), ..count }, Err(format!("{first}\nonce more: {second}")))
}
