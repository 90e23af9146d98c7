//! The folder that any web server can serve: the page's files, the modules with their bindings, and the
//! worker that keeps them, which knows each by name and all of them by a digest. The planner comes when
//! the page is there; the book maker, many times both, is a file beside them that no first visit fetches.

use std::fs;
use std::io::Write as _;
use std::path::Path;

use sha2::{Digest as _, Sha256};

use crate::icons;

/// What a first visit may fetch before the page can be used, gzipped, bytes: a shop's network is weak, and
/// at a megabit a second this is six seconds and a half.
const MOST_BEFORE_USE: usize = 800_000;

/// Files of the planner, which the page asks for when it is there.
const PLANNER: [&str; 3] = ["planner-worker.js", "holefast_web_planner.js", "holefast_web_planner_bg.wasm"];

/// Ending of the book maker's file: gzipped by us, whatever a server does or leaves undone.
const PACK: &str = ".pack";

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
    let (pack, store, size) = pack(folder)?;
    let bytes = size.to_string();
    write_in(&folder.join("book-worker.js"), &[("@FILE@", &pack), ("@BYTES@", &bytes), ("@STORE@", &store)])?;

    icons::draw(folder)?;
    let mut names: Vec<String> = fs::read_dir(folder)
        .map_err(|e| e.to_string())?
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name != "keep.js" && !name.ends_with(PACK))
        .collect();
    names.sort();
    let (mut digest, mut before_use, mut planner) = (Sha256::new(), 0, 0);
    for name in &names {
        let bytes = fs::read(folder.join(name)).map_err(|e| format!("{name}: {e}"))?;
        digest.update(name.as_bytes());
        digest.update(&bytes);
        let fetched = if PLANNER.contains(&name.as_str()) { &mut planner } else { &mut before_use };
        *fetched += gzipped(&bytes)?.len();
    }
    let version = in_short(digest);
    // The page itself is asked for as the folder.
    let listed: Vec<String> =
        std::iter::once("'./'".to_owned()).chain(names.iter().map(|n| format!("'./{n}'"))).collect();
    let said =
        [("@VERSION@", &*version), ("/*@FILES@*/", &*listed.join(", ")), ("@FILE@", &*pack), ("@STORE@", &*store)];
    write_in(&folder.join("keep.js"), &said)?;
    println!("{}: {} files, version {version}", folder.display(), names.len() + 1);
    println!("gzipped: {} kB before use, then the planner, {} kB", before_use / 1000, planner / 1000);
    println!("beside them the book maker, {pack}: {} kB", size / 1000);
    if before_use > MOST_BEFORE_USE {
        return Err(format!("a first visit fetches {before_use} bytes before use, {MOST_BEFORE_USE} at most"));
    }
    Ok(())
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

/// Makes one file of the book maker's module; returns its name, that of its store in a browser, and its
/// size. Both names go by what is in it, so that a page never meets the maker of another version.
fn pack(folder: &Path) -> Result<(String, String, usize), String> {
    let path = folder.join("holefast_web_book_bg.wasm");
    let module = fs::read(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    fs::remove_file(&path).map_err(|e| format!("{}: {e}", path.display()))?;
    let digest = in_short(Sha256::new_with_prefix(&module));
    let name = format!("book-{digest}{PACK}");
    let packed = gzipped(&module)?;
    fs::write(folder.join(&name), &packed).map_err(|e| format!("{name}: {e}"))?;
    Ok((name, format!("holefast book {digest}"), packed.len()))
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
