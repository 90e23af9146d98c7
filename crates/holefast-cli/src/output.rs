//! Writes results: to standard output, or to a file that is written whole or not at all and never
//! put in the place of a file of another kind.

use std::io::{ErrorKind, Read, Write};
use std::path::{Path, PathBuf};

use crate::exit::Trouble;
use crate::words;

/// What a file is, told by its first bytes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// The shop book.
    Pdf,
    /// A drawing.
    Svg,
}

/// Bytes looked at to tell what a file is: enough for a declaration and a comment before `<svg`.
const HEAD: u64 = 1024;

impl Kind {
    fn is_kind_of(self, head: &[u8]) -> bool {
        match self {
            Kind::Pdf => head.starts_with(b"%PDF-"),
            Kind::Svg => {
                let text = String::from_utf8_lossy(head);
                let start = text.trim_start_matches('\u{feff}').trim_start();
                start.starts_with("<svg") || (start.starts_with('<') && start.contains("<svg"))
            }
        }
    }

    fn name(self) -> &'static str {
        match self {
            Kind::Pdf => "PDF",
            Kind::Svg => "SVG drawing",
        }
    }
}

/// Prints to standard output, all of it, as it is.
///
/// Errors: [`Trouble::ReaderGone`] where the pipe is closed, [`Trouble::File`] for a full disk and the like.
pub fn print(text: &str) -> Result<(), Trouble> {
    let mut out = std::io::stdout().lock();
    out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(|e| match e.kind() {
        ErrorKind::BrokenPipe => Trouble::ReaderGone,
        _ => Trouble::File { path: PathBuf::from("standard output"), message: e.to_string(), hint: None },
    })
}

/// Narrower than this a terminal breaks lines as it likes.
const LEAST_WIDTH: usize = 40;

/// Puts lines together, each with its end; the no-break spaces of printed matter become plain ones.
/// On a terminal long lines are broken between words, what follows set in under the last column.
pub fn lines(lines: &[String]) -> String {
    let width = terminal_size::terminal_size_of(std::io::stdout()).map(|(width, _)| usize::from(width.0));
    let broken = |line: &String| match width.filter(|&w| w >= LEAST_WIDTH) {
        Some(width) => broken(line, width),
        None => line.clone(),
    };
    lines.iter().map(broken).flat_map(|line| [line, "\n".to_owned()]).collect::<String>().replace('\u{a0}', " ")
}

/// A line broken between words so that no part has more than `width` letters, where its words allow.
fn broken(line: &str, width: usize) -> String {
    // columns of a table stand two spaces or more apart
    let column = line.rfind("  ").map_or(0, |at| line[..at + 2].chars().count());
    let indent = if column == 0 || column > width / 2 { 2 } else { column };
    let mut out = String::new();
    let mut used = 0;
    let mut pending = 0;
    for word in line.split(' ') {
        let letters = word.chars().count();
        if letters > 0 && used > 0 && used + pending + letters > width {
            out.push('\n');
            out.extend(std::iter::repeat_n(' ', indent));
            used = indent;
        } else {
            out.extend(std::iter::repeat_n(' ', pending));
            used += pending;
        }
        out.push_str(word);
        used += letters;
        pending = 1;
    }
    out
}

/// Makes sure, before the long work, that a file of this kind may be written there.
///
/// Errors: [`Trouble::File`] where something else stands, or the folder does not exist.
pub fn look(path: &Path, kind: Kind) -> Result<(), Trouble> {
    let folder = folder_of(path);
    if !folder.is_dir() {
        return Err(trouble(path, words::no_such_folder(folder), None));
    }
    let file = match std::fs::File::open(path) {
        Ok(file) => file,
        Err(e) if e.kind() == ErrorKind::NotFound => return Ok(()),
        Err(e) => return Err(trouble(path, e.to_string(), None)),
    };
    if !file.metadata().is_ok_and(|m| m.is_file()) {
        return Err(trouble(path, words::NOT_A_FILE.to_owned(), Some(words::CHOOSE_ANOTHER_NAME.to_owned())));
    }
    let mut head = Vec::new();
    file.take(HEAD).read_to_end(&mut head).map_err(|e| trouble(path, e.to_string(), None))?;
    if head.is_empty() || kind.is_kind_of(&head) {
        Ok(())
    } else {
        Err(trouble(path, words::another_kind(kind.name()), Some(words::CHOOSE_ANOTHER_NAME.to_owned())))
    }
}

/// Makes a folder for files, unless it is there; the folder it stands in must be.
///
/// Errors: [`Trouble::File`] with the system's own words.
pub fn make_folder(path: &Path) -> Result<(), Trouble> {
    if path.is_dir() {
        return Ok(());
    }
    std::fs::create_dir(path).map_err(|e| match e.kind() {
        ErrorKind::NotFound => trouble(path, words::no_such_folder(folder_of(path)), None),
        _ => trouble(path, e.to_string(), None),
    })
}

/// Writes a file of a kind whole or not at all, over a file of the same kind or none.
pub fn write(path: &Path, kind: Kind, bytes: &[u8]) -> Result<(), Trouble> {
    look(path, kind)?;
    whole(path, bytes)
}

/// Writes a file whole or not at all, over whatever stands there.
pub fn whole(path: &Path, bytes: &[u8]) -> Result<(), Trouble> {
    let failed = |e: std::io::Error| trouble(path, e.to_string(), None);
    // a link is followed, so that what it leads to is replaced and not the link
    let path = std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned());
    let mut builder = tempfile::Builder::new();
    builder.prefix(".holefast-");
    // the rights of any new file, less what the umask takes; temporary files are else the owner's only
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut file = builder.tempfile_in(folder_of(&path)).map_err(failed)?;
    file.write_all(bytes).map_err(failed)?;
    file.as_file().sync_all().map_err(failed)?;
    file.persist(&path).map_err(|e| failed(e.error))?;
    Ok(())
}

fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

fn trouble(path: &Path, message: String, hint: Option<String>) -> Trouble {
    Trouble::File { path: path.to_owned(), message, hint }
}

#[cfg(test)]
mod tests {
    use super::broken;

    #[test]
    fn long_lines_are_broken_between_words_under_their_column() {
        let row = "cards 20 to 23  open, first pass   49 dog holes, 24 with an edge clamp, 25 with a hold-down";
        let parts = broken(row, 60);
        let expected = "cards 20 to 23  open, first pass   49 dog holes, 24 with an\n  edge clamp, 25 with a hold-down";
        assert_eq!(parts, expected, "the column lies beyond the middle");
        let wide = broken(row, 72);
        let under = " ".repeat(35);
        assert_eq!(
            wide,
            format!(
                "cards 20 to 23  open, first pass   49 dog holes, 24 with an edge clamp,\n{under}25 with a hold-down"
            )
        );
        for width in [40, 60, 80] {
            for part in broken(row, width).lines() {
                assert!(part.chars().count() <= width, "{width}: {part}");
            }
            let words = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
            assert_eq!(words(&broken(row, width)), words(row));
        }
        assert_eq!(broken("   50 %  seat of bars", 80), "   50 %  seat of bars");
    }
}
