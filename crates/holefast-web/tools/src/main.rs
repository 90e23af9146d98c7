//! Chores of the web app, called by `cargo xtask web`: `bundle PAGE PLANNER BOOK FOLDER` (three modules),
//! `serve FOLDER`, `browser FOLDER [WORD OF A TRIAL'S NAME]`, `pictures FOLDER TO [WORD OF A
//! PICTURE'S NAME]`.

mod access;
mod book;
mod bore;
mod browser;
mod bundle;
mod cut;
mod driver;
mod icons;
mod lay_out;
mod pictures;
mod prove;
mod serve;
mod shelf;

use std::path::Path;
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let outcome = match arguments[..] {
        ["bundle", page, planner, book, folder] => {
            bundle::bundle([page, planner, book].map(Path::new), Path::new(folder))
        }
        ["serve", folder] => serve::forever(Path::new(folder)),
        ["browser", folder] => browser::all(Path::new(folder), ""),
        ["browser", folder, named] => browser::all(Path::new(folder), named),
        ["pictures", folder, to] => pictures::all(Path::new(folder), Path::new(to), ""),
        ["pictures", folder, to, named] => pictures::all(Path::new(folder), Path::new(to), named),
        _ => Err("bundle PAGE PLANNER BOOK FOLDER, serve FOLDER, browser FOLDER [WORD] or pictures FOLDER TO [WORD]"
            .to_owned()),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("web: {message}");
            ExitCode::FAILURE
        }
    }
}
