//! House rules that no compiler checks: what reviewers would otherwise say again and again.

use std::collections::BTreeSet;
use std::path::Path;

use crate::files;

/// A file longer than this is two files: it can no longer be read in one sitting.
const MOST_LINES: usize = 900;

/// Bytes; a file above this is a data file in disguise.
const MOST_BYTES: usize = 100_000;

/// What the pure core may not name outside its tests, and what it gets instead.
const NOT_IN_THE_CORE: [(&str, &str); 8] = [
    ("std::fs", "text comes in as an argument"),
    ("std::io::", "text comes in as an argument"),
    ("std::net", "nothing talks to a network"),
    ("std::env::", "settings come in as arguments"),
    ("std::time", "dates come in as arguments"),
    ("std::thread", "the caller hands in a way to run blocks"),
    ("println!", "results are returned"),
    ("SystemTime", "dates come in as arguments"),
];

/// One rule broken at one place.
type Broken = String;

/// The chore.
pub fn only() -> Result<(), String> {
    let root = files::root();
    let mut broken: Vec<Broken> = Vec::new();
    let bibliography = std::fs::read_to_string(root.join("docs/bibliography.md")).unwrap_or_default();
    let keys = defined_keys(&bibliography);
    let files = files::all()?;
    for path in &files {
        let Ok(text) = std::fs::read_to_string(root.join(path)) else { continue };
        let name = path.to_string_lossy();
        let extension = path.extension().and_then(|e| e.to_str()).unwrap_or("");
        no_path_of_one_machine(&name, &text, &mut broken);
        if extension == "rs" {
            opens_with_what_it_is(&name, &text, &mut broken);
            not_too_long(&name, &text, &mut broken);
            cites_what_is_listed(&name, &text, &keys, &mut broken);
            if name.starts_with("crates/holefast/src/") {
                core_is_pure(&name, &text, &mut broken);
            }
        }
        if extension == "md" {
            links_lead_somewhere(&root, path, &text, &mut broken);
            if name != "docs/bibliography.md" {
                cites_what_is_listed(&name, &text, &keys, &mut broken);
            }
        }
        if name.starts_with(files::COMMANDS) && extension == "rs" {
            command_has_its_test(&root, path, &mut broken);
        }
        if name.ends_with("Cargo.toml") {
            dependencies_have_reasons(&root, &name, &text, &mut broken);
        }
    }
    one_typesetter(&root, &mut broken);
    for line in &broken {
        println!("{line}");
    }
    println!("{} files looked at, {} rules broken", files.len(), broken.len());
    if broken.is_empty() { Ok(()) } else { Err(format!("{} house rules broken", broken.len())) }
}

/// Crates that decide which bytes a book has, by the beginnings of their names.
const TYPESETTER: [&str; 12] = [
    "krilla",
    "pdf-writer",
    "subsetter",
    "skrifa",
    "read-fonts",
    "parley",
    "fontique",
    "harfrust",
    "icu_",
    "taffy",
    "flate2",
    "miniz_oxide",
];

/// Command line and web app have lock files of their own; their books must be the same, byte for byte.
fn one_typesetter(root: &Path, broken: &mut Vec<Broken>) {
    let locked = |path: &str| typesetter(&std::fs::read_to_string(root.join(path)).unwrap_or_default());
    let (ours, web) = (locked("Cargo.lock"), locked("crates/holefast-web/Cargo.lock"));
    if ours.is_empty() {
        broken.push("Cargo.lock: no typesetter in it".to_owned());
    }
    // the web app's tools have more of them
    for missing in ours.difference(&web) {
        broken.push(format!("{missing}: not in the web app's lock file; cargo update --precise there"));
    }
}

/// The typesetter's crates in a lock file, with their versions.
fn typesetter(lock: &str) -> BTreeSet<String> {
    let value =
        |line: &str, key: &str| line.strip_prefix(key)?.strip_prefix(" = \"")?.strip_suffix('"').map(str::to_owned);
    let lines: Vec<&str> = lock.lines().collect();
    let packages = lines.windows(2).filter_map(|pair| Some((value(pair[0], "name")?, value(pair[1], "version")?)));
    packages
        .filter(|(name, _)| TYPESETTER.iter().any(|start| name.starts_with(start)))
        .map(|(name, version)| format!("{name} {version}"))
        .collect()
}

fn opens_with_what_it_is(name: &str, text: &str, broken: &mut Vec<Broken>) {
    if !text.starts_with("//! ") {
        broken.push(format!("{name}: does not open with a //! line saying what it is for"));
    }
    if text.starts_with("//! (being written)") {
        broken.push(format!("{name}: still a stub"));
    }
}

fn not_too_long(name: &str, text: &str, broken: &mut Vec<Broken>) {
    let lines = text.lines().count();
    if lines > MOST_LINES || text.len() > MOST_BYTES {
        let limit = format!("{MOST_LINES} lines and {MOST_BYTES} bytes");
        broken.push(format!("{name}: {lines} lines, {} bytes; the limit is {limit}: split it", text.len()));
    }
}

/// Folders that exist on one machine only; spelt in parts so that this file passes its own rule.
fn no_path_of_one_machine(name: &str, text: &str, broken: &mut Vec<Broken>) {
    for folder in ["work", "root", "home", "tmp", "Users", "farm"] {
        let path = format!("/{folder}/");
        for (i, line) in text.lines().enumerate() {
            let starts_a_path =
                |at: usize| !line[..at].ends_with(|c: char| c.is_alphanumeric() || "._-)}/".contains(c));
            if line.match_indices(&path).any(|(at, _)| starts_a_path(at)) {
                broken.push(format!("{name}:{}: names {path}, a path of one machine", i + 1));
            }
        }
    }
}

/// The part of a source file before its tests.
fn before_tests(text: &str) -> &str {
    text.split("#[cfg(test)]").next().unwrap_or("")
}

fn core_is_pure(name: &str, text: &str, broken: &mut Vec<Broken>) {
    // whole files that are compiled for tests only
    if name.contains("/src/testing") || name.ends_with("/tests.rs") {
        return;
    }
    for (i, line) in before_tests(text).lines().enumerate() {
        let code = line.split("//").next().unwrap_or("");
        for (word, instead) in NOT_IN_THE_CORE {
            if code.contains(word) {
                broken.push(format!("{name}:{}: the core names {word}; {instead}", i + 1));
            }
        }
    }
}

/// Keys that the bibliography defines: lines that open with `- **[KEY]**` or `**[KEY]**`.
fn defined_keys(bibliography: &str) -> BTreeSet<String> {
    let starts = bibliography.lines().filter_map(|line| line.trim_start_matches("- ").strip_prefix("**["));
    starts.filter_map(|rest| rest.split_once(']')).map(|(key, _)| key.to_owned()).collect()
}

/// Citation keys in a text: `[JCGM100]`, `[ISO286-1]`; capitals, digits and hyphens, four or more,
/// a letter first, at least one digit or only letters as in `[SALMON11]`; not a link, not code.
fn cited_keys(text: &str) -> Vec<(usize, String)> {
    let mut found = Vec::new();
    for (i, line) in text.lines().enumerate() {
        let mut rest = line;
        while let Some(open) = rest.find('[') {
            let before = &rest[..open];
            let after = &rest[open + 1..];
            let Some((key, next)) = after.split_once(']') else { break };
            let first = key.bytes().next().is_some_and(|b| b.is_ascii_uppercase());
            let all = key.bytes().all(|b| b.is_ascii_uppercase() || b.is_ascii_digit() || b == b'-');
            let prose = !before.ends_with('#') && !next.starts_with('(') && before.matches('`').count() % 2 == 0;
            if key.len() >= 4 && first && all && prose {
                found.push((i + 1, key.to_owned()));
            }
            rest = after;
        }
    }
    found
}

fn cites_what_is_listed(name: &str, text: &str, keys: &BTreeSet<String>, broken: &mut Vec<Broken>) {
    let comments: String;
    let text = if name.ends_with(".rs") {
        let comment = |line: &str| line.find("//").map_or(String::new(), |at| line[at..].to_owned());
        comments = text.lines().map(comment).collect::<Vec<_>>().join("\n");
        &comments
    } else {
        text
    };
    for (line, key) in cited_keys(text) {
        if !keys.contains(&key) {
            broken.push(format!("{name}:{line}: cites [{key}], which docs/bibliography.md does not list"));
        }
    }
}

/// Every relative link and picture of a paper exists.
fn links_lead_somewhere(root: &Path, path: &Path, text: &str, broken: &mut Vec<Broken>) {
    let folder = root.join(path.parent().unwrap_or(Path::new("")));
    for part in text.split("](").skip(1) {
        let target = part.split([')', ' ', '#']).next().unwrap_or("");
        let outside = target.is_empty() || target.contains("://") || target.starts_with("mailto:");
        if !outside && !folder.join(target).exists() {
            broken.push(format!("{}: links to {target}, which is not there", path.display()));
        }
    }
}

fn command_has_its_test(root: &Path, path: &Path, broken: &mut Vec<Broken>) {
    let name = path.file_name().unwrap_or_default();
    if name != "mod.rs" && !root.join("crates/holefast-cli/tests").join(name).exists() {
        broken.push(format!("{}: no test file of the same name in crates/holefast-cli/tests", path.display()));
    }
}

/// Every crate that a manifest names is in docs/dependencies.md.
fn dependencies_have_reasons(root: &Path, name: &str, text: &str, broken: &mut Vec<Broken>) {
    let reasons = std::fs::read_to_string(root.join("docs/dependencies.md")).unwrap_or_default();
    let mut in_dependencies = false;
    for line in text.lines() {
        if line.starts_with('[') {
            in_dependencies = line.trim_end_matches(']').ends_with("dependencies");
            continue;
        }
        let Some((key, _)) = line.split_once('=') else { continue };
        let dependency = key.trim().trim_end_matches(".workspace");
        let ours = dependency.starts_with("holefast");
        if in_dependencies && !dependency.starts_with('#') && !ours && !reasons.contains(&format!("`{dependency}`")) {
            broken.push(format!("{name}: depends on {dependency}, for which docs/dependencies.md gives no reason"));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_are_told_from_links_and_code() {
        let keys = |text| cited_keys(text).into_iter().map(|(_, key)| key).collect::<Vec<_>>();
        assert_eq!(keys("as in [JCGM100] and [ISO286-1] 4.2"), ["JCGM100", "ISO286-1"]);
        assert_eq!(keys("[PDF](x) `a[JCGM100]` [a, b] [Plan] #[TEST] [AB]"), [""; 0]);
    }

    #[test]
    fn keys_are_defined_where_a_line_opens_with_them() {
        let keys = defined_keys("- **[JCGM100]** GUM\n**[GTR190]** x\nsee [OTHER1]");
        assert_eq!(keys.into_iter().collect::<Vec<_>>(), ["GTR190", "JCGM100"]);
    }

    #[test]
    fn a_path_of_one_machine_is_found_and_a_part_of_another_is_not() {
        let broken_by = |text: String| {
            let mut broken = Vec::new();
            no_path_of_one_machine("x", &text, &mut broken);
            broken.len()
        };
        assert_eq!(broken_by(format!("read /{}/me/x", "home")), 1);
        assert_eq!(broken_by(format!("read ../my/{}/x", "home")), 0);
    }

    #[test]
    fn the_core_is_looked_at_only_before_its_tests() {
        let mut broken = Vec::new();
        core_is_pure("a.rs", "use std::fs;\n// std::fs\n#[cfg(test)]\nmod tests { use std::fs; }", &mut broken);
        assert_eq!(broken.len(), 1, "{broken:?}");
    }

    #[test]
    fn the_typesetter_of_a_lock_file_is_told_by_name_and_version() {
        let lock = "[[package]]\nname = \"pdf-writer\"\nversion = \"0.15.1\"\nsource = \"x\"\n\n\
                    [[package]]\nname = \"serde\"\nversion = \"1.0.0\"\n";
        assert_eq!(typesetter(lock).into_iter().collect::<Vec<_>>(), ["pdf-writer 0.15.1"]);
    }

    #[test]
    fn a_dependency_without_a_reason_is_found() {
        let mut broken = Vec::new();
        let manifest = "[dependencies]\nholefast.workspace = true\nno-such-crate = \"1\"\n[features]\nx = []";
        dependencies_have_reasons(Path::new("nowhere"), "Cargo.toml", manifest, &mut broken);
        assert_eq!(broken.len(), 1, "{broken:?}");
    }
}
