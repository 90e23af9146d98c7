//! Bad jobs: every file of `bad_jobs/` has one cause, named in its first line, and below it what
//! must be told and where, in lines that begin with `#>`. These lines are taken off before the
//! job is read.
//!
//! `HOLEFAST_GOLDEN=write` writes the lines anew; read the difference before it is kept.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use holefast::FaultKind;
use holefast::job::{Parsed, parse_bytes};

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/bad_jobs")
}

/// All bad jobs by name: the job's bytes and the lines that say what is expected.
fn bad_jobs() -> BTreeMap<String, (Vec<u8>, String)> {
    let mut all = BTreeMap::new();
    for entry in std::fs::read_dir(folder()).unwrap() {
        let path = entry.unwrap().path();
        let bytes = std::fs::read(&path).unwrap();
        let at = bytes.windows(3).position(|w| w == b"\n#>").map_or(bytes.len(), |at| at + 1);
        let expected = String::from_utf8(bytes[at..].to_vec()).unwrap();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        all.insert(name, (bytes[..at].to_vec(), expected));
    }
    all
}

/// What was told, one fault a line: `line:column kind: message`, its hint below.
fn told(bytes: &[u8], parsed: &Parsed) -> String {
    let text = String::from_utf8_lossy(bytes);
    let mut out = String::new();
    for fault in &parsed.faults {
        let kind = match fault.kind {
            FaultKind::Input => "input",
            FaultKind::Impossible => "impossible",
            FaultKind::Remark => "remark",
        };
        let (line, column) = fault.span.expect("every fault is located").line_and_column(&text);
        writeln!(out, "#> {line}:{column} {kind}: {}", fault.message).unwrap();
        if let Some(hint) = &fault.hint {
            writeln!(out, "#>   hint: {hint}").unwrap();
        }
    }
    out
}

#[test]
fn every_bad_job_is_told_what_is_wrong_and_where() {
    let write = std::env::var("HOLEFAST_GOLDEN").is_ok_and(|value| value == "write");
    let mut wrong = String::new();
    let mut first_faults = BTreeMap::new();
    let all = bad_jobs();
    for (name, (bytes, expected)) in &all {
        let parsed = parse_bytes(bytes);
        let told = told(bytes, &parsed);
        if write {
            let whole = [bytes.as_slice(), told.as_bytes()].concat();
            std::fs::write(folder().join(format!("{name}.toml")), whole).unwrap();
        } else if told != *expected {
            writeln!(wrong, "{name}: expected\n{expected}told\n{told}").unwrap();
        }
        assert!(parsed.job.is_none(), "{name} is read as a job");
        let refusals = parsed.faults.iter().filter(|f| f.kind != FaultKind::Remark);
        let messages: Vec<&str> = refusals.map(|f| f.message.as_str()).collect();
        assert!(!messages.is_empty(), "{name}");
        first_faults.entry(messages.join("; ")).or_insert_with(Vec::new).push(name.clone());
    }
    assert!(wrong.is_empty(), "{wrong}");
    // So many different causes are told in as many different ways.
    let alike: Vec<_> = first_faults.values().filter(|names| names.len() > 1).collect();
    assert!(alike.is_empty(), "told in the same words: {alike:?}");
    assert!(all.len() >= 170, "only {} bad jobs", all.len());
}

#[test]
fn messages_keep_to_their_form() {
    for (name, (bytes, _)) in bad_jobs() {
        for fault in parse_bytes(&bytes).faults {
            let first = fault.message.chars().next().unwrap();
            assert!(!first.is_uppercase(), "{name}: {}", fault.message);
            for text in [Some(&fault.message), fault.hint.as_ref()].into_iter().flatten() {
                assert!(!text.ends_with('.') && !text.contains('\n'), "{name}: {text}");
            }
        }
    }
}
