//! What a release carries: the program for this machine with completions and manual pages, and the web app's
//! folder, each as one archive under `target/dist`.

use std::path::Path;
use std::process::Command;

use crate::{complete, files, run, web};

/// Papers that go with the program.
const PAPERS: [&str; 5] = ["README.md", "CHANGELOG.md", "LICENSE-APACHE", "LICENSE-MIT", FONT_LICENCE];

/// Goes with every copy of the papers' font, which stands in the program and in the page.
const FONT_LICENCE: &str = "crates/holefast-paper/fonts/OFL.txt";

/// Makes both archives.
pub fn make() -> Result<(), String> {
    let version = env!("CARGO_PKG_VERSION");
    let dist = files::target().join("dist");
    let machine = format!("holefast-{version}-{}-{}", std::env::consts::ARCH, std::env::consts::OS);
    let page = format!("holefast-web-{version}");
    let _ = std::fs::remove_dir_all(&dist);
    let beside = dist.join(&machine);
    let failed = |path: &Path, e: std::io::Error| format!("{}: {e}", path.display());
    std::fs::create_dir_all(&beside).map_err(|e| failed(&beside, e))?;

    let mut build = Command::new("cargo");
    build.current_dir(files::root()).args(["build", "--release", "--locked", "--package", "holefast-cli"]);
    run::with_last_words(&mut build)?;
    let name = format!("holefast{}", std::env::consts::EXE_SUFFIX);
    let program = files::target().join("release").join(&name);
    std::fs::copy(&program, beside.join(&name)).map_err(|e| failed(&program, e))?;
    for paper in PAPERS {
        copied(paper, &beside)?;
    }
    complete::write(&beside.join("completions-and-manual").to_string_lossy())?;
    packed(&dist, &machine)?;

    let site = web::made_for(&dist.join(&page))?;
    copied(FONT_LICENCE, &site)?;
    packed(&dist, &page)?;
    println!("{} has what a release carries; the page is in {} too", dist.display(), site.display());
    Ok(())
}

/// Copies one of our files into a folder, under its own name.
fn copied(file: &str, folder: &Path) -> Result<(), String> {
    let name = Path::new(file).file_name().unwrap_or_default();
    std::fs::copy(files::root().join(file), folder.join(name)).map(drop).map_err(|e| format!("{file}: {e}"))
}

/// Packs a folder into an archive beside it: the same files give the same bytes.
fn packed(dist: &Path, folder: &str) -> Result<(), String> {
    let archive = format!("{folder}.tar.gz");
    let mut tar = Command::new("tar");
    tar.current_dir(dist).args([
        "--create",
        "--gzip",
        "--sort=name",
        "--mtime=@0",
        "--mode=u=rwX,go=rX",
        "--owner=0",
        "--group=0",
    ]);
    run::with_last_words(tar.args(["--numeric-owner", "--file", &archive, folder]))?;
    let size = std::fs::metadata(dist.join(&archive)).map_or(0, |file| file.len());
    println!("{archive}: {:.1} MB", size as f64 / 1e6);
    Ok(())
}
