//! The folder that any web server can serve: the page's files, the module with its bindings, and the
//! worker that keeps them, which knows each by name and all of them by a digest.

use std::fs;
use std::io::Write as _;
use std::path::Path;

use sha2::{Digest as _, Sha256};

/// What a first visit may fetch in all, gzipped, bytes: a shop's network is weak.
const MOST_FETCHED: usize = 700_000;

/// Writes the folder anew.
pub fn bundle(wasm: &Path, folder: &Path) -> Result<(), String> {
    let _ = fs::remove_dir_all(folder);
    fs::create_dir_all(folder).map_err(|e| format!("{}: {e}", folder.display()))?;
    let mut bindgen = wasm_bindgen_cli_support::Bindgen::new();
    bindgen
        .input_path(wasm)
        .web(true)
        // Names of functions are half of the module, and no browser shows them to anybody.
        .and_then(|b| b.typescript(false).remove_name_section(true).omit_default_module_path(true).generate(folder))
        .map_err(|e| format!("{}: {e:#}", wasm.display()))?;
    let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("../static");
    for entry in fs::read_dir(&from).map_err(|e| format!("{}: {e}", from.display()))? {
        let path = entry.map_err(|e| e.to_string())?.path();
        let name = path.file_name().unwrap_or_default();
        fs::copy(&path, folder.join(name)).map_err(|e| format!("{}: {e}", path.display()))?;
    }
    let mut names: Vec<String> = fs::read_dir(folder)
        .map_err(|e| e.to_string())?
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .filter(|name| name != "keep.js")
        .collect();
    names.sort();
    let (mut digest, mut fetched) = (Sha256::new(), 0);
    for name in &names {
        let bytes = fs::read(folder.join(name)).map_err(|e| format!("{name}: {e}"))?;
        digest.update(name.as_bytes());
        digest.update(&bytes);
        fetched += gzipped(&bytes)?;
    }
    let version: String = digest.finalize().iter().take(8).map(|byte| format!("{byte:02x}")).collect();
    let keep = fs::read_to_string(folder.join("keep.js")).map_err(|e| format!("keep.js: {e}"))?;
    // The page itself is asked for as the folder.
    let listed: Vec<String> =
        std::iter::once("'./'".to_owned()).chain(names.iter().map(|n| format!("'./{n}'"))).collect();
    let keep = keep.replace("@VERSION@", &version).replace("/*@FILES@*/", &listed.join(", "));
    fs::write(folder.join("keep.js"), keep).map_err(|e| format!("keep.js: {e}"))?;
    println!("{}: {} files, {} kB gzipped, version {version}", folder.display(), names.len() + 1, fetched / 1000);
    if fetched > MOST_FETCHED {
        return Err(format!("a first visit fetches {fetched} bytes, {MOST_FETCHED} at most"));
    }
    Ok(())
}

fn gzipped(bytes: &[u8]) -> Result<usize, String> {
    let mut zip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::best());
    zip.write_all(bytes).and_then(|()| zip.finish()).map(|all| all.len()).map_err(|e| e.to_string())
}
