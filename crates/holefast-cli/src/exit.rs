//! What can end a command early, and the exit code of each kind: the only place that maps them.

use std::path::PathBuf;
use std::process::ExitCode;

use holefast::{Fault, FaultKind};

/// Printed at the end of the long help.
pub const HELP: &str = "Exit codes:
  0  done
  1  a slip in what was written: in the job or the plan
  2  the command line itself was not understood
  3  well written, but it cannot be made: the message says what would work
  4  a file could not be read or written";

/// Why a command ended without its result.
#[derive(Debug)]
pub enum Trouble {
    /// Faults of a text that was read.
    Faults {
        /// The file it came from.
        path: PathBuf,
        /// The text, for showing the lines.
        text: String,
        /// All of them.
        faults: Vec<Fault>,
    },
    /// A file that could not be read or written.
    File {
        /// Which.
        path: PathBuf,
        /// What went wrong.
        message: String,
        /// The way out.
        hint: Option<String>,
    },
    /// Something typed on the command line that only the core can tell is wrong.
    Typed {
        /// What is wrong.
        fault: Fault,
    },
    /// Whoever read our output has gone; nothing to say and nobody to say it to.
    ReaderGone,
}

/// The exit code of a trouble.
pub fn code(trouble: &Trouble) -> ExitCode {
    ExitCode::from(match trouble {
        Trouble::Faults { faults, .. } if faults.iter().any(|f| f.kind == FaultKind::Input) => 1,
        Trouble::Faults { .. } => 3,
        Trouble::Typed { .. } => 2,
        Trouble::File { .. } => 4,
        Trouble::ReaderGone => 0,
    })
}
