//! The chores of this repository, as Rust: `cargo xtask CHORE`, one file per chore.
//!
//! What a chore has in common with the others (running a command, counting tests, finding files)
//! stands in `run` and `files`; what must be on the machine, in `tools`.

mod complete;
mod dist;
mod faults;
mod files;
mod golden;
mod reference;
mod run;
mod test;
mod tidy;
mod tools;
mod wasm;
mod web;

use std::process::ExitCode;

const HELP: &str = "\
cargo xtask CHORE

  test [--install] [--long]
                     everything that must hold: format, lints, tidy, all tests, documents, the
                     web app in a browser; --install gets what is missing,
                     --long makes random tests several times as long and runs the core's as WebAssembly
  wasm               the core's tests as WebAssembly only
  web [--install]    the web app as a folder of static files; --install gets what is missing
  web --serve        the same, served on this machine only
  trials [NAME]      only the trials in a browser, or those whose names contain NAME
  reference          only the checks against figures from outside, with their sources
  tidy               only the house rules that no compiler checks
  faults [WORD]      thirty deliberate faults, each of which the short run of tests must find
  golden             rewrite the golden files; read the difference before committing it
  dist               what a release carries, under target/dist: the program for this machine, the web app
  complete DIR       write shell completions and the manual page to DIR
";

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let outcome = match arguments[..] {
        ["test", ref options @ ..] => test::Options::read(options).and_then(test::all),
        ["wasm"] => wasm::only(),
        ["web"] => web::build(false),
        ["web", "--install"] => web::build(true),
        ["web", "--serve"] => web::serve(),
        ["trials"] => web::trials(""),
        ["trials", named] => web::trials(named),
        ["reference"] => reference::only(),
        ["tidy"] => tidy::only(),
        ["faults"] => faults::all(""),
        ["faults", named] => faults::all(named),
        ["golden"] => golden::rewrite(),
        ["dist"] => dist::make(),
        ["complete", folder] => complete::write(folder),
        [] | ["help" | "--help" | "-h"] => {
            print!("{HELP}");
            Ok(())
        }
        _ => Err(format!("no such chore: {}\n\n{HELP}", arguments.join(" "))),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("xtask: {message}");
            ExitCode::FAILURE
        }
    }
}
