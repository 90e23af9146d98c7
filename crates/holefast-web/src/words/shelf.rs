//! What the page says of jobs on the device, links, files and newer versions.

use crate::shelf::{Saved, Why};

/// Beside the job's name: whether it stands.
pub fn saved(saved: &Saved) -> &'static str {
    match saved {
        Saved::Fresh => "",
        Saved::Stands => "Saved on this device",
        Saved::Not(_) => "Not saved on this device",
        Saved::Theirs => "Not saved: changed in another tab, too",
    }
}

/// Why it does not stand, and what to do.
pub fn not_saved(why: &Why) -> (&'static str, String) {
    match why {
        Why::Full => (
            "No room left on this device",
            "Your last change is not saved. Save the job as a file now; then take jobs off the list for good, or make \
             room on the device."
                .to_owned(),
        ),
        Why::Refused => (
            "This browser keeps nothing for this page",
            "It may be a private window, or storage is switched off. Everything works until the page is closed: save \
             the job as a file before."
                .to_owned(),
        ),
        Why::Other(said) => (
            "The job could not be saved on this device",
            format!("Save it as a file now. The browser says: {}", said.trim()),
        ),
    }
}

/// Two tabs.
pub const THEIRS: &str = "Another tab has changed this job";
/// What that means.
pub const THEIRS_MORE: &str = "What you see here is not what stands on the device now. Nothing is lost either way.";
/// The first way.
pub const TAKE_THEIRS: &str = "Take theirs";
/// The second.
pub const KEEP_MINE: &str = "Keep mine as another job";

/// A newer version of the page.
pub const NEWER: &str = "A newer version of this page is ready";
/// When to take it.
pub const NEWER_MORE: &str = "Take it when it suits: your jobs stay as they are.";
/// Takes it.
pub const TAKE_NEWER: &str = "Take it now";
/// Another tab took it.
pub const NEWER_TAKEN: &str = "A newer version of this page was taken in another tab";
/// Opens it here.
pub const OPEN_NEWER: &str = "Open it here, too";
/// Puts a note aside.
pub const LATER: &str = "Later";
/// Puts it away.
pub const CLOSE: &str = "Close";

/// A job came.
pub fn came(name: &str) -> String {
    format!("\u{201c}{name}\u{201d} stands beside your other jobs now")
}
/// It was here.
pub fn was_here(name: &str) -> String {
    format!("\u{201c}{name}\u{201d} is on this device already, word for word, and is open now")
}
/// What came could not be taken.
pub fn not_taken(what: &str) -> String {
    format!("The {what} could not be opened; your jobs are as they were")
}
/// A job was taken off the list.
pub fn removed(name: &str) -> String {
    format!("\u{201c}{name}\u{201d} is off the list")
}
/// Unsaved changes were found.
pub fn found(n: usize) -> String {
    let jobs = if n == 1 { "is kept as a job of its own" } else { "are kept as jobs of their own" };
    format!("What a page had not saved when it closed {jobs}")
}
/// A copy is suggested.
pub const COPY_DUE: &str = "It is a while since this job left this device";
/// What for.
pub const COPY_DUE_MORE: &str = "A copy as a file outlives a lost phone and a cleared browser.";

/// The link.
pub const LINK: &str = "A link that holds the job";
/// What it does.
pub const LINK_MORE: &str = "The whole job stands in the link itself; nothing is stored anywhere else. Whoever opens it \
                             gets it as a job beside their own.";
/// Where this page is served.
pub const HERE_ONLY: &str = "This page is served on this device alone: the link opens here, and on no other device.";
/// Copies it.
pub const COPY_LINK: &str = "Copy the link";
/// Done.
pub const COPIED: &str = "Copied";
/// The browser did not let us.
pub const NOT_COPIED: &str = "The browser does not let the page copy: select the link and copy it yourself";
/// Label of the link as text.
pub const LINK_TEXT: &str = "The link";
/// The code.
pub const CODE: &str = "The job as a QR code: point another phone at it";
/// None.
pub const NO_CODE: &str = "The job is too long for a QR code that reads well. The link holds it all the same.";
/// A job that cannot be read makes no link.
pub const NO_LINK: &str = "The job cannot be read as it stands: mend its text in Lay out first.";

/// The drawing as a file.
pub const DRAWING: &str = "Drawing";
/// What it is.
pub const DRAWING_MORE: &str = "The top as a picture that any drawing program opens and every printer prints.";
/// Saves it.
pub const SAVE_DRAWING: &str = "Save as SVG";

/// Over the list.
pub const JOBS: &str = "Jobs on this device";
/// None yet.
pub const NO_JOBS: &str = "Only the example so far. What you change is kept here by itself.";
/// Label of the name's field.
pub const NAME: &str = "Name of the open job";
/// The open one.
pub const OPEN_NOW: &str = "open";
/// Opens one.
pub const OPEN: &str = "Open";
/// Doubles one.
pub const DUPLICATE: &str = "Duplicate";
/// Takes one off.
pub const REMOVE: &str = "Remove";
/// Brings it back.
pub const BRING_BACK: &str = "Bring back";
/// No way back.
pub const FOR_GOOD: &str = "Remove for good";
/// Over those off the list.
pub fn off_the_list(n: usize) -> String {
    format!("Off the list ({n})")
}
/// When a job was changed.
pub fn changed(when: &str) -> String {
    format!("changed {when}")
}
/// Over what cannot be read.
pub const BROKEN: &str = "Set aside: what stands here cannot be read as a job";
/// What to do about it.
pub fn broken(why: &str) -> String {
    format!("It is left as it is. {}", holefast::words::sentence(why))
}
/// Saves what cannot be read.
pub const SAVE_BROKEN: &str = "Save it as a file";
/// Whether the store lasts.
pub fn lasting(lasting: Option<bool>) -> &'static str {
    match lasting {
        Some(true) => "This browser keeps them until you clear them.",
        Some(false) => {
            "This browser has not promised to keep them: short of room it may clear them. Keep a copy as a file."
        }
        None => "Whether this browser keeps them when it runs short of room it does not say. Keep a copy as a file.",
    }
}
