//! The folder that any web server can serve: the page's files, the modules with their bindings, and the
//! worker that keeps them, which knows each by name and all of them by a digest. Planner and book maker
//! come when the page is there.

use std::fs;
use std::io::Write as _;
use std::path::Path;

use sha2::{Digest as _, Sha256};

use crate::icons;

/// What a first visit may fetch before the page can be used, gzipped, bytes: a shop's network is weak, and
/// at a megabit a second this is less than seven seconds.
const MOST_BEFORE_USE: usize = 830_000;

/// Files of the planner, which the page asks for when it is there.
const PLANNER: [&str; 3] = ["planner-worker.js", "holefast_web_planner.js", "holefast_web_planner_bg.wasm"];

/// The book maker's worker.
const BOOK_WORKER: &str = "book-worker.js";

/// The book maker's files as they are bound, their marks in the worker, and their ends.
const BOOK: [(&str, &str, &str); 2] =
    [("holefast_web_book.js", "@BINDINGS@", "js"), ("holefast_web_book_bg.wasm", "@MODULE@", "wasm")];

/// What its files' names begin with once they carry their version.
const BOOK_FILES: &str = "book-maker-";

/// What the book maker may take, gzipped, bytes: 1.5 MB is aimed at.
const MOST_OF_BOOK: usize = 1_900_000;

/// Writes the folder anew from the three modules: page, planner, book maker.
pub fn bundle(modules: [&Path; 3], folder: &Path) -> Result<(), String> {
    let _ = fs::remove_dir_all(folder);
    fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    for module in modules {
        bind(module, folder)?;
    }
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("../static");
    for entry in fs::read_dir(&from).map_err(|e| format!("{}: {e}", from.display()))? {
        let path = entry.map_err(|e| e.to_string())?.path();
        let name = path.file_name().unwrap_or_default();
        fs::copy(&path, folder.join(name)).map_err(|e| format!("{}: {e}", path.display()))?;
    }
    icons::draw(folder)?;
    name_by_version(folder)?;
    let mut names: Vec<String> = fs::read_dir(folder)
        .map_err(|e| e.to_string())?
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name != "keep.js")
        .collect();
    names.sort();
    let (mut digest, mut before_use, mut planner, mut book) = (Sha256::new(), 0, 0, 0);
    for name in &names {
        let bytes = fs::read(folder.join(name)).map_err(|e| format!("{name}: {e}"))?;
        digest.update(name.as_bytes());
        digest.update(&bytes);
        let fetched = match name.as_str() {
            name if PLANNER.contains(&name) => &mut planner,
            name if name == BOOK_WORKER || name.starts_with(BOOK_FILES) => &mut book,
            _ => &mut before_use,
        };
        *fetched += gzipped(&bytes)?.len();
    }
    let version = in_short(digest);
    // The page itself is asked for as the folder.
    let listed: Vec<String> =
        std::iter::once("'./'".to_owned()).chain(names.iter().map(|n| format!("'./{n}'"))).collect();
    let said = [("@VERSION@", &*version), ("/*@FILES@*/", &*listed.join(", "))];
    write_in(&folder.join("keep.js"), &said)?;
    println!("{}: {} files, version {version}", folder.display(), names.len() + 1);
    println!("gzipped: {} kB before use, then the planner, {} kB", before_use / 1000, planner / 1000);
    println!("and the book maker, {} kB", book / 1000);
    if before_use > MOST_BEFORE_USE {
        return Err(format!("a first visit fetches {before_use} bytes before use, {MOST_BEFORE_USE} at most"));
    }
    if book > MOST_OF_BOOK {
        return Err(format!("the book maker takes {book} bytes, {MOST_OF_BOOK} at most"));
    }
    Ok(())
}

/// Gives the book maker's files names that carry the digest of both, and writes them into its worker: a page kept
/// from an older version asks for its own maker, which a newer folder does not have, never for another one.
fn name_by_version(folder: &Path) -> Result<(), String> {
    let mut digest = Sha256::new();
    for (name, ..) in BOOK {
        digest.update(fs::read(folder.join(name)).map_err(|e| format!("{name}: {e}"))?);
    }
    let version = in_short(digest);
    let mut said = Vec::new();
    for (name, mark, end) in BOOK {
        let versioned = format!("{BOOK_FILES}{version}.{end}");
        fs::rename(folder.join(name), folder.join(&versioned)).map_err(|e| format!("{name}: {e}"))?;
        said.push((mark, versioned));
    }
    let said: Vec<(&str, &str)> = said.iter().map(|(mark, name)| (*mark, name.as_str())).collect();
    write_in(&folder.join(BOOK_WORKER), &said)
}

/// A module's bindings and the module without its names of functions, which nobody reads there.
fn bind(wasm: &Path, folder: &Path) -> Result<(), String> {
    let mut bindgen = wasm_bindgen_cli_support::Bindgen::new();
    bindgen.input_path(wasm).remove_name_section(true).remove_producers_section(true);
    bindgen
        .web(true)
        .and_then(|b| b.typescript(false).omit_default_module_path(true).generate(folder))
        .map_err(|e| format!("{}: {e:#}", wasm.display()))
}

/// Puts words into a file in place of their marks, each of which must be there.
fn write_in(path: &Path, words: &[(&str, &str)]) -> Result<(), String> {
    let told = |e: &dyn std::fmt::Display| format!("{}: {e}", path.display());
    let mut text = fs::read_to_string(path).map_err(|e| told(&e))?;
    for (mark, word) in words {
        if !text.contains(mark) {
            return Err(told(&format!("{mark} is not in it")));
        }
        text = text.replace(mark, word);
    }
    fs::write(path, text).map_err(|e| told(&e))
}

fn in_short(digest: Sha256) -> String {
    digest.finalize().iter().take(8).map(|byte| format!("{byte:02x}")).collect()
}

fn gzipped(bytes: &[u8]) -> Result<Vec<u8>, String> {
    let mut zip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    zip.write_all(bytes).and_then(|()| zip.finish()).map_err(|e| e.to_string())
}
