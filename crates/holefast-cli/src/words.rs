//! Everything the command line itself says to people, in one place and ready to be translated.
//!
//! What papers and web app say too stands in the core's own catalogue, `holefast::words`. Help
//! texts stand at the arguments they explain.

use std::path::Path;

use holefast::replay::Replayed;

/// The name that stands in an output's place belongs to a folder or a device.
pub const NOT_A_FILE: &str = "not an ordinary file";
/// A job that is not there.
pub const NO_SUCH_FILE: &str = "no such file";
/// A file that a job names and that does not lie with it.
pub const NOT_BESIDE: &str = "its name leads away from the job; a job names only files that lie beside it";
/// A file of bytes that are no text.
pub const NOT_TEXT: &str = "not UTF-8 text";
/// The way to a first job.
pub const NEW_WRITES_ONE: &str = "holefast new writes a job that runs as it stands";
/// Nothing to set up.
pub const NO_CUT: &str = "the job has no cut";
/// The way out then.
pub const ADD_A_CUT: &str = "add a table [[cut]] with name and angle; or try holefast angle JOB 67.5";
/// A drawing of several cuts was asked for.
pub const ONE_CUT: &str = "a drawing shows one cut: name it with --only";
/// The way out where an output would replace something else.
pub const CHOOSE_ANOTHER_NAME: &str = "choose another name with -o";
/// What a new job is called until its maker calls it something else.
pub const NEW_NAME: &str = "A new top";
/// `new` found a file.
pub const EXISTS_ALREADY: &str = "stands there already, and is left alone";
/// The way out then.
pub const FORCE_KEEPS_A_BACKUP: &str = "--force replaces it and keeps what stood there under another name";
/// `new --force` found no free name for what stood there.
pub const TOO_MANY_BACKUPS: &str = "there are a thousand backups of it already";
/// Progress while the planner tries its ways.
pub const PLANNING: &str = "trying the ways to bore it";
/// Progress while virtual boards are built.
pub const BUILDING: &str = "building virtual boards";
/// Progress while a list of parts is broken down.
pub const BREAKING_DOWN: &str = "breaking the stock down";
/// Progress while the list's cuts get fence, rail and stop.
pub const SETTING_UP: &str = "setting the cuts up";
/// Progress while the book is set.
pub const SETTING: &str = "setting the book";

pub fn no_such_cut(name: &str) -> String {
    format!("the job has no cut \"{name}\"")
}

pub fn cuts<'a>(names: impl Iterator<Item = &'a str>) -> String {
    format!("its cuts: {}", names.map(|name| format!("\"{name}\"")).collect::<Vec<_>>().join(", "))
}

pub fn no_such_folder(folder: &Path) -> String {
    format!("there is no folder {}", folder.display())
}

pub fn another_kind(wanted: &str) -> String {
    format!("something else stands there already: it is no {wanted}, so it is left alone")
}

pub fn too_long(limit: u64) -> String {
    format!("longer than {} MB, which no job is", limit >> 20)
}

pub fn so_many_faults(n: usize) -> String {
    format!("{n} faults")
}

pub fn replayed(done: &Replayed) -> String {
    let not_stated = if done.not_stated.is_empty() {
        String::new()
    } else {
        format!("\nnot looked at, since kit or plan do not state it: {}", done.not_stated.join(", "))
    };
    format!(
        "the plan can be done: {} set-ups, {} of them checks; {} pilots, {} holes opened{not_stated}",
        done.setups, done.checks, done.pilots, done.opened
    )
}

pub fn kept_as(path: &Path) -> String {
    format!("what stood there is kept as {}", path.display())
}

pub fn new_written(path: &Path) -> String {
    let path = path.display();
    format!("{path} is a job that runs as it stands; change [top] first\nthen: holefast book {path}")
}

/// Pages of an earlier, longer book in the same folder: the first of them, and how many.
pub fn older_pages(first: usize, count: usize) -> Option<String> {
    match count {
        0 => None,
        1 => Some(format!("page {first} in that folder is left over from an earlier book")),
        _ => Some(format!("pages {first} to {} in that folder are left over from an earlier book", first + count - 1)),
    }
}

pub fn written(what: &str, path: &Path) -> String {
    format!("{what} written to {}", path.display())
}
