//! `holefast new`: a commented job that runs as it stands.

use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};

use holefast::job::{self, NewJob};

use crate::exit::Trouble;
use crate::{faults, output, words};

/// Writes a commented job file that runs as it stands
///
/// Measure your sheet and change [top] first, then say which bars, pins and bits you have under
/// [kit]. A file that stands there already is left alone, unless --force is given; then what stood
/// there is kept under another name.
#[derive(Args)]
pub struct New {
    /// The file to write; - prints it
    #[arg(default_value = "top.toml")]
    file: PathBuf,
    /// What bare numbers in it are
    #[arg(long, value_enum, default_value_t = Units::Mm)]
    units: Units,
    /// Replace a file that stands there, keeping it under another name
    #[arg(long)]
    force: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum Units {
    /// Millimetres
    Mm,
    /// Inches
    In,
}

impl New {
    pub fn run(self) -> Result<(), Trouble> {
        let units = match self.units {
            Units::Mm => job::Units::Mm,
            Units::In => job::Units::Inch,
        };
        let text = job::new_job(&NewJob::new(words::NEW_NAME, units));
        if self.file == Path::new("-") {
            return output::print(&text);
        }
        if std::fs::symlink_metadata(&self.file).is_ok() {
            if !self.force {
                return Err(Trouble::File {
                    path: self.file,
                    message: words::EXISTS_ALREADY.to_owned(),
                    hint: Some(words::FORCE_KEEPS_A_BACKUP.to_owned()),
                });
            }
            faults::remark(&words::kept_as(&keep(&self.file)?));
        }
        output::whole(&self.file, text.as_bytes())?;
        faults::remark(&words::new_written(&self.file));
        Ok(())
    }
}

/// Backups tried before giving up: `x.toml.1`, `x.toml.2`, …
const MOST_BACKUPS: u32 = 1000;

/// Gives what stands there a second name, the first that is free, and returns it.
fn keep(path: &Path) -> Result<PathBuf, Trouble> {
    let failed = |message: String| Trouble::File { path: path.to_owned(), message, hint: None };
    if !path.is_file() {
        return Err(failed(words::NOT_A_FILE.to_owned()));
    }
    for n in 1..=MOST_BACKUPS {
        let mut name = path.as_os_str().to_owned();
        name.push(format!(".{n}"));
        let backup = PathBuf::from(name);
        // a hard link never replaces a file; where the file system has none, a copy does as well
        match std::fs::hard_link(path, &backup) {
            Ok(()) => return Ok(backup),
            Err(e) if e.kind() == ErrorKind::AlreadyExists => {}
            Err(_) if backup.exists() => {}
            Err(_) => {
                std::fs::copy(path, &backup).map_err(|e| failed(e.to_string()))?;
                return Ok(backup);
            }
        }
    }
    Err(failed(words::TOO_MANY_BACKUPS.to_owned()))
}
