//! A bench for trying the command: an empty folder to work in, and helpers that read like sentences.

#![allow(dead_code, reason = "no one test file uses all of it")]

use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A folder of its own, gone when the test is over.
pub struct Bench {
    folder: tempfile::TempDir,
}

/// What one run of the command gave.
pub struct Ran {
    output: Output,
    what: String,
}

impl Bench {
    pub fn new() -> Bench {
        Bench { folder: tempfile::tempdir().unwrap() }
    }

    /// A bench with a job of the examples lying on it as `job.toml`.
    pub fn with(example: &str) -> Bench {
        let bench = Bench::new();
        bench.put("job.toml", std::fs::read(examples().join(example)).unwrap());
        bench
    }

    pub fn put(&self, name: &str, bytes: impl AsRef<[u8]>) {
        std::fs::write(self.path(name), bytes).unwrap();
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn read(&self, name: &str) -> Vec<u8> {
        std::fs::read(self.path(name)).unwrap_or_else(|e| panic!("{name}: {e}"))
    }

    pub fn text(&self, name: &str) -> String {
        String::from_utf8(self.read(name)).unwrap()
    }

    /// The names of what lies on the bench.
    pub fn all(&self) -> Vec<String> {
        let entries = std::fs::read_dir(self.folder.path()).unwrap();
        let mut names: Vec<String> = entries.map(|e| e.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    }

    /// Changes one piece of `job.toml`, which must be there once.
    pub fn change(&self, from: &str, to: &str) {
        let text = self.text("job.toml");
        assert_eq!(text.matches(from).count(), 1, "{from:?} stands there other than once");
        self.put("job.toml", text.replace(from, to));
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_holefast"));
        command.current_dir(self.folder.path()).args(arguments).env_remove("NO_COLOR");
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Ran {
        self.run_with(arguments, "")
    }

    /// Runs with a variable of the environment set.
    pub fn run_with_variable(&self, name: &str, value: &str, arguments: &[&str]) -> Ran {
        let output = self.command(arguments).env(name, value).stdin(Stdio::null()).output().unwrap();
        Ran { output, what: arguments.join(" ") }.went_well()
    }

    /// Runs with something to read on standard input.
    pub fn run_with(&self, arguments: &[&str], input: &str) -> Ran {
        let mut child = self
            .command(arguments)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        // a command that reads nothing closes the pipe, which is its right
        let _ = child.stdin.take().unwrap().write_all(input.as_bytes());
        Ran { output: child.wait_with_output().unwrap(), what: arguments.join(" ") }
    }

    /// Runs with nobody reading its standard output.
    pub fn run_into_a_closed_pipe(&self, arguments: &[&str]) -> Ran {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let child = self.command(arguments).stdin(Stdio::null()).stdout(writer).stderr(Stdio::piped()).spawn().unwrap();
        Ran { output: child.wait_with_output().unwrap(), what: arguments.join(" ") }
    }
}

impl Ran {
    pub fn out(&self) -> String {
        String::from_utf8(self.output.stdout.clone()).unwrap()
    }

    pub fn err(&self) -> String {
        String::from_utf8(self.output.stderr.clone()).unwrap()
    }

    fn code(&self) -> Option<i32> {
        self.output.status.code()
    }

    /// It did what it should.
    pub fn went_well(self) -> Ran {
        assert_eq!(self.code(), Some(0), "holefast {}\n{}", self.what, self.err());
        self
    }

    /// It ended with this exit code, saying all of this on standard error and nothing on standard output.
    pub fn ended_with(self, code: i32, said: &[&str]) -> Ran {
        assert_eq!(self.code(), Some(code), "holefast {}\n{}", self.what, self.err());
        assert_eq!(self.out(), "", "holefast {}", self.what);
        self.said(said)
    }

    /// It said all of this on standard error.
    pub fn said(self, said: &[&str]) -> Ran {
        for words in said {
            assert!(self.err().contains(words), "holefast {}: {words:?} is not in\n{}", self.what, self.err());
        }
        self
    }

    /// Standard output is data and nothing else.
    pub fn json(&self) -> serde_json::Value {
        serde_json::from_slice(&self.output.stdout).unwrap_or_else(|e| panic!("{}: {e}\n{}", self.what, self.out()))
    }
}

/// The folder of the examples.
pub fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples")
}

/// The names of the examples.
pub const EXAMPLES: [&str; 3] = ["trailer-top.toml", "press-bench.toml", "first-top.toml"];

/// The names of the subcommands: each is one file.
pub fn subcommands() -> Vec<String> {
    let entries = std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join("src/commands")).unwrap();
    let files = entries.map(|e| e.unwrap().path());
    files.map(|f| f.file_stem().unwrap().to_str().unwrap().to_owned()).filter(|name| name != "mod").collect()
}
