//! `holefast manual`: the manual pages, one for the whole and one for each subcommand.

use std::path::PathBuf;

use clap::Args;

use crate::exit::Trouble;
use crate::output;

/// Prints the manual page
///
/// Without a subcommand, the page of the whole, which names the others. Read it with:
///   holefast manual | man -l -
#[derive(Args)]
#[command(verbatim_doc_comment)]
pub struct Manual {
    /// The subcommand whose page it is
    subcommand: Option<String>,
}

impl Manual {
    pub fn run(self) -> Result<(), Trouble> {
        let mut definition = super::definition();
        definition.build();
        let page = match self.subcommand.as_deref() {
            None => definition,
            Some(name) => {
                let found = definition.find_subcommand(name).cloned();
                // the page's own title, as the page of the whole refers to it
                let title = format!("holefast-{name}");
                found.map_or(definition, |command| command.display_name(title))
            }
        };
        let mut text = Vec::new();
        clap_mangen::Man::new(page).render(&mut text).map_err(|e| Trouble::File {
            path: PathBuf::from("standard output"),
            message: e.to_string(),
            hint: None,
        })?;
        output::print(&String::from_utf8_lossy(&text))
    }
}
