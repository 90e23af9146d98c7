//! Runs a command and, if it runs tests, counts them from the runner's own summary lines.
//!
//! A test that finds its data absent prints a line that opens with `skipped:` and returns; the
//! runner counts it as passed, this file counts it as skipped.

use std::collections::VecDeque;
use std::io::{BufRead, BufReader, Write};
use std::process::{ChildStderr, Command, ExitStatus, Stdio};

/// What test runners counted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Count {
    pub passed: u64,
    pub failed: u64,
    pub skipped: u64,
}

impl Count {
    pub fn add(&mut self, other: Count) {
        self.passed += other.passed;
        self.failed += other.failed;
        self.skipped += other.skipped;
    }
}

impl std::fmt::Display for Count {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} passed, {} failed, {} skipped", self.passed, self.failed, self.skipped)
    }
}

/// Runs a command with its output going where ours goes.
pub fn plainly(command: &mut Command) -> Result<(), String> {
    let status = command.status().map_err(|e| format!("{}: {e}", name(command)))?;
    if status.success() { Ok(()) } else { Err(format!("{} ended with {status}", name(command))) }
}

/// Lines of a failing command's words that are said again at the end of a run.
const LAST_WORDS: usize = 60;

/// Runs a command as [`plainly`] does; if it fails, the message has the last of what it said on
/// standard error, so that it stands at the end of a long run too.
pub fn with_last_words(command: &mut Command) -> Result<(), String> {
    let mut child = command.stderr(Stdio::piped()).spawn().map_err(|e| format!("{}: {e}", name(command)))?;
    let last = child.stderr.take().map(passed_on).unwrap_or_default();
    let status = child.wait().map_err(|e| format!("{}: {e}", name(command)))?;
    if status.success() { Ok(()) } else { Err(badly_ended(command, status, &last)) }
}

/// Passes on what a command says on standard error until it is at its end; returns the last of it.
fn passed_on(stderr: ChildStderr) -> VecDeque<String> {
    let mut last: VecDeque<String> = VecDeque::new();
    for line in BufReader::new(stderr).split(b'\n').map_while(Result::ok) {
        let line = String::from_utf8_lossy(&line).into_owned();
        eprintln!("{line}");
        if last.len() == LAST_WORDS {
            last.pop_front();
        }
        last.push_back(line);
    }
    last
}

fn badly_ended(command: &Command, status: ExitStatus, last: &VecDeque<String>) -> String {
    let said: String = last.iter().flat_map(|line| ["\n    ", line]).collect();
    format!("{} ended with {status}; it said:{said}", name(command))
}

/// True if the command starts and ends well; its output is thrown away.
pub fn quietly(command: &mut Command) -> bool {
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok_and(|s| s.success())
}

/// Returns what the command prints, trimmed; `None` if it does not start or fails.
pub fn asked(command: &mut Command) -> Option<String> {
    let output = command.stdin(Stdio::null()).stderr(Stdio::null()).output().ok()?;
    output.status.success().then(|| String::from_utf8_lossy(&output.stdout).trim().to_owned())
}

/// Runs a command that runs tests (with `--show-output`), passing its output on as it comes.
///
/// What passing tests print is left out, but for their `skipped:` lines. The message of a failure has
/// the names of the tests that failed and the last of what was said on standard error.
pub fn counted(command: &mut Command) -> (Count, Result<(), String>) {
    counted_to(command, &mut std::io::stdout())
}

fn counted_to(command: &mut Command, out: &mut dyn Write) -> (Count, Result<(), String>) {
    let mut count = Count::default();
    let mut child = match command.stdout(Stdio::piped()).stderr(Stdio::piped()).spawn() {
        Ok(child) => child,
        Err(e) => return (count, Err(format!("{}: {e}", name(command)))),
    };
    let mut reader = Reader::default();
    let words = child.stderr.take().map(|stderr| std::thread::spawn(|| passed_on(stderr)));
    let mut fell: VecDeque<String> = VecDeque::new();
    if let Some(stdout) = child.stdout.take() {
        for line in BufReader::new(stdout).split(b'\n').map_while(Result::ok) {
            let line = String::from_utf8_lossy(&line);
            if line.starts_with("test ") && line.ends_with("FAILED") && fell.len() < LAST_WORDS {
                fell.push_back(line.clone().into_owned());
            }
            if reader.line(&line) {
                // a reader of ours that has gone away is no reason to stop the tests
                let _ = writeln!(out, "{line}");
            }
        }
    }
    count.add(reader.count);
    // a reader that panicked has nothing to say
    fell.extend(words.and_then(|w| w.join().ok()).unwrap_or_default());
    let outcome = match child.wait() {
        Ok(status) if status.success() => Ok(()),
        Ok(status) => Err(badly_ended(command, status, &fell)),
        Err(e) => Err(format!("{}: {e}", name(command))),
    };
    (count, outcome)
}

/// Follows the output of libtest line by line.
#[derive(Default)]
struct Reader {
    count: Count,
    /// Inside the `successes:` part, where the output of passing tests stands.
    in_successes: bool,
    /// The passing test whose output this is has said already that it was skipped.
    said_skipped: bool,
    /// Skipped tests of this binary, which its summary will count as passed.
    said: u64,
}

impl Reader {
    /// Takes one line; true if it is to be shown.
    fn line(&mut self, line: &str) -> bool {
        if line == "successes:" {
            self.in_successes = true;
            return false;
        }
        if line == "failures:" {
            self.in_successes = false;
        }
        if let Some(summary) = line.strip_prefix("test result: ") {
            self.in_successes = false;
            let number = |word: &str| {
                let before = summary.split(word).next()?.trim_end();
                before.rsplit(' ').next()?.parse::<u64>().ok()
            };
            let found = summary.contains(" passed;") && summary.contains(" failed;");
            if found {
                self.count.passed += number(" passed;").unwrap_or(0).saturating_sub(self.said);
                self.count.failed += number(" failed;").unwrap_or(0);
                self.count.skipped += number(" ignored;").unwrap_or(0) + self.said;
            }
            self.said = 0;
            return true;
        }
        if !self.in_successes {
            return true;
        }
        if line.starts_with("---- ") {
            self.said_skipped = false;
        }
        let skipped = line.trim_start().starts_with("skipped:");
        if skipped && !self.said_skipped {
            self.said_skipped = true;
            self.said += 1;
        }
        skipped
    }
}

fn name(command: &Command) -> String {
    let mut words = vec![command.get_program().to_string_lossy().into_owned()];
    words.extend(command.get_args().take(3).map(|a| a.to_string_lossy().into_owned()));
    words.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(lines: &str) -> (Count, Vec<&str>) {
        let mut reader = Reader::default();
        let shown = lines.lines().filter(|line| reader.line(line)).collect();
        (reader.count, shown)
    }

    #[cfg(unix)]
    #[test]
    fn a_failing_command_is_told_with_its_last_words() {
        let said = |script: &str| with_last_words(Command::new("sh").args(["-c", script]));
        assert_eq!(said("echo chatter >&2"), Ok(()));
        let message = said("echo chatter >&2; echo the reason >&2; exit 101").unwrap_err();
        assert!(message.contains("exit status: 101") && message.ends_with("the reason"), "{message}");
        let long = said("i=0; while [ $i -lt 99 ]; do i=$((i+1)); echo line $i >&2; done; exit 1").unwrap_err();
        assert!(!long.contains("line 39\n") && long.contains("line 40\n") && long.ends_with("line 99"), "{long}");
    }

    #[cfg(unix)]
    #[test]
    fn tests_that_fail_are_named_with_what_was_said() {
        // Into nowhere: whoever counts this test's own run would count these lines too.
        let said = |script: &str| counted_to(Command::new("sh").args(["-c", script]), &mut std::io::sink());
        let script = "echo 'test a ... ok'; echo 'test b ... FAILED'; echo why >&2; \
                      echo 'test result: FAILED. 1 passed; 1 failed; 0 ignored'; exit 101";
        let (count, outcome) = said(script);
        assert_eq!(count, Count { passed: 1, failed: 1, skipped: 0 });
        let message = outcome.unwrap_err();
        assert!(message.ends_with("it said:\n    test b ... FAILED\n    why"), "{message}");
        assert_eq!(said("echo why >&2; echo 'test result: ok. 2 passed; 0 failed'").1, Ok(()));
    }

    #[test]
    fn two_binaries_are_added_up() {
        let (count, _) = read(
            "test result: ok. 12 passed; 0 failed; 2 ignored; 0 measured; 0 filtered out; finished in 0.01s\n\
             test result: FAILED. 3 passed; 1 failed; 0 ignored; 0 measured; 0 filtered out; finished in 0.01s",
        );
        assert_eq!(count, Count { passed: 15, failed: 1, skipped: 2 });
    }

    #[test]
    fn a_skipped_test_is_counted_once_and_not_as_passed() {
        let (count, shown) = read(
            "test a ... ok\nsuccesses:\n\n---- a stdout ----\nchatter\nskipped: no data\nskipped: nor this\n\n\
             successes:\n    a\n\ntest result: ok. 5 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out",
        );
        assert_eq!(count, Count { passed: 4, failed: 0, skipped: 1 });
        assert!(!shown.contains(&"chatter"), "{shown:?}");
        assert!(shown.contains(&"skipped: no data"), "{shown:?}");
    }
}
