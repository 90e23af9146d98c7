//! Reads a job file, or a job from standard input, and shows what the core has to say about it.

use std::io::Read;
use std::path::{Component, Path, PathBuf};

use holefast::{Fault, FaultKind, Job, job};

use crate::exit::Trouble;
use crate::{faults, words};

/// A job file longer than this is no job file; it is not read to its end.
const MOST_BYTES: u64 = 8 << 20;

/// A job and the text it came from.
pub struct JobFile {
    /// Where it came from.
    pub path: PathBuf,
    /// The text.
    pub text: String,
    /// The job.
    pub job: Job,
    files: job::PlaceFiles,
}

impl JobFile {
    /// Reads a job; `-` is standard input. Remarks are shown on standard error.
    pub fn read(path: &Path) -> Result<JobFile, Trouble> {
        let bytes = read_bytes(path)?;
        let mut files = job::PlaceFiles::new();
        let parsed = match std::str::from_utf8(&bytes) {
            Ok(text) => {
                files = files_of(path, text);
                job::parse_with(text, &files)
            }
            Err(_) => job::parse_bytes(&bytes),
        };
        let text = String::from_utf8_lossy(&bytes).into_owned();
        match parsed.job {
            Some(job) if parsed.faults.iter().all(|f| f.kind == FaultKind::Remark) => {
                faults::show(path, &text, &parsed.faults);
                Ok(JobFile { path: path.to_owned(), text, job, files })
            }
            _ => Err(Trouble::Faults { path: path.to_owned(), text, faults: parsed.faults }),
        }
    }

    /// The job's text as it stands alone, what it names in other files written into it.
    pub fn alone(&self) -> Result<String, Trouble> {
        job::with_places_inside(&self.text, &self.files).map_err(|fault| self.trouble(vec![fault]))
    }

    /// Faults found in this job later on.
    pub fn trouble(&self, faults: Vec<Fault>) -> Trouble {
        Trouble::Faults { path: self.path.clone(), text: self.text.clone(), faults }
    }
}

/// The files that a job names, each read beside it.
fn files_of(path: &Path, text: &str) -> job::PlaceFiles {
    let folder = path.parent().unwrap_or(Path::new(""));
    let read = |name: &str| {
        // A job that came from somebody else must not reach what does not lie beside it.
        if !Path::new(name).components().all(|part| matches!(part, Component::Normal(_))) {
            return Err(words::NOT_BESIDE.to_owned());
        }
        let bytes = read_bytes(&folder.join(name)).map_err(|trouble| match trouble {
            Trouble::File { message, .. } => message,
            _ => words::NO_SUCH_FILE.to_owned(),
        })?;
        String::from_utf8(bytes).map_err(|_| words::NOT_TEXT.to_owned())
    };
    job::place_files(text).into_iter().map(|name| (name.clone(), read(&name))).collect()
}

/// Reads all of a file that a person named; `-` is standard input.
pub fn read_bytes(path: &Path) -> Result<Vec<u8>, Trouble> {
    let failed = |message: String, hint: Option<String>| Trouble::File { path: path.to_owned(), message, hint };
    let mut bytes = Vec::new();
    let read = if path == Path::new("-") {
        std::io::stdin().lock().take(MOST_BYTES + 1).read_to_end(&mut bytes)
    } else {
        std::fs::File::open(path).and_then(|file| file.take(MOST_BYTES + 1).read_to_end(&mut bytes))
    };
    match read {
        Ok(_) if bytes.len() as u64 > MOST_BYTES => Err(failed(words::too_long(MOST_BYTES), None)),
        Ok(_) => Ok(bytes),
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => {
            Err(failed(words::NO_SUCH_FILE.to_owned(), Some(words::NEW_WRITES_ONE.to_owned())))
        }
        Err(e) => Err(failed(e.to_string(), None)),
    }
}
