//! `holefast complete`: shell completions.

use clap::Args;
use clap_complete::Shell;

use crate::exit::Trouble;
use crate::output;

/// Prints completions for a shell
///
/// Save what it prints where your shell looks for completions; for bash, for example:
///   holefast complete bash > ~/.local/share/bash-completion/completions/holefast
#[derive(Args)]
#[command(verbatim_doc_comment)]
pub struct Complete {
    /// The shell
    shell: Shell,
}

impl Complete {
    pub fn run(self) -> Result<(), Trouble> {
        let mut text = Vec::new();
        clap_complete::generate(self.shell, &mut super::definition(), "holefast", &mut text);
        output::print(&String::from_utf8_lossy(&text))
    }
}
