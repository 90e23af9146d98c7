//! No bytes make reading a job panic, run away, or break what it promises.
//!
//! The fuzz target's corpus is replayed here (the long run is `fuzz/README.md`'s), the examples
//! and bad jobs are mutated with a fixed seed, and inputs made to be slow or deep are read.

use std::path::{Path, PathBuf};

use holefast::FaultKind;
use holefast::job::{MOST_BYTES, parse, parse_bytes};

fn repository() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

/// All files of a folder of the repository, in the order of their names.
fn files(folder: &str) -> Vec<Vec<u8>> {
    let mut paths: Vec<PathBuf> =
        std::fs::read_dir(repository().join(folder)).unwrap().map(|entry| entry.unwrap().path()).collect();
    paths.sort();
    paths.iter().filter(|path| path.is_file()).map(|path| std::fs::read(path).unwrap()).collect()
}

fn seeds() -> Vec<Vec<u8>> {
    ["fuzz/corpus/job", "examples", "crates/holefast/tests/bad_jobs"].iter().flat_map(|folder| files(folder)).collect()
}

/// Reads, and checks what reading promises of every job and every text.
fn check(bytes: &[u8]) -> bool {
    let parsed = parse_bytes(bytes);
    let refused = parsed.faults.iter().any(|f| f.kind != FaultKind::Remark);
    assert_eq!(parsed.job.is_none(), refused, "{:?}", parsed.faults);
    let mut last = 0;
    for fault in &parsed.faults {
        let span = fault.span.expect("every fault is located");
        assert!(last <= span.start && span.start <= span.end && span.end <= bytes.len().max(1), "{fault:?}");
        assert!(!fault.message.is_empty() && !fault.message.ends_with('.'), "{fault:?}");
        last = span.start;
    }
    if let Some(job) = &parsed.job {
        assert!(job.places.values().all(|span| span.start <= span.end && span.end <= bytes.len()));
        assert!(job.top.outline.len() >= 3 && job.grid.pitch.iter().all(|pitch| *pitch > job.grid.hole));
        if let Some(kit) = &job.kit {
            assert!(!kit.bars.is_empty() && !kit.gauges.is_empty() && kit.pin.count >= 2);
        }
    }
    parsed.job.is_some()
}

/// A counter-based random stream (splitmix64), so that a failure can be met again.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, n: usize) -> usize {
        (self.next() % n.max(1) as u64) as usize
    }
}

/// What is put in by a mutation: bytes that mean something to TOML or to a job.
const PIECES: [&[u8]; 20] = [
    b"\"",
    b"'",
    b"[",
    b"]",
    b"{",
    b"}",
    b"=",
    b"\n",
    b",",
    b".",
    b"#",
    b"-",
    b"0",
    b"1e999",
    b"nan",
    b" in",
    b" H7",
    b"\xff",
    b"\xc3\xa9",
    b"\"\"\"",
];

fn mutate(seed: &[u8], other: &[u8], random: &mut Random) -> Vec<u8> {
    let mut bytes = seed.to_vec();
    for _ in 0..=random.below(4) {
        let at = random.below(bytes.len() + 1);
        let end = (at + random.below(12)).min(bytes.len());
        match random.below(6) {
            0 if at < bytes.len() => bytes[at] = random.next() as u8,
            1 => {
                bytes.drain(at..end);
            }
            2 => {
                let piece = PIECES[random.below(PIECES.len())];
                bytes.splice(at..at, piece.iter().copied());
            }
            3 => {
                let piece = bytes[at..end].to_vec();
                let to = random.below(bytes.len() + 1);
                bytes.splice(to..to, piece);
            }
            4 => {
                let from = random.below(other.len() + 1);
                let to = (from + random.below(200)).min(other.len());
                bytes.splice(at..end, other[from..to].iter().copied());
            }
            _ => bytes.truncate(at.max(bytes.len() / 2)),
        }
    }
    bytes
}

#[test]
fn the_corpus_is_replayed() {
    let all = seeds();
    assert!(all.len() > 100, "{} seeds", all.len());
    let read = all.iter().filter(|bytes| check(bytes)).count();
    assert!(read >= 3, "the examples at least are jobs");
}

#[test]
fn twenty_thousand_mutations() {
    let seeds = seeds();
    let mut random = Random(20_261_125);
    let mut read = 0;
    for _ in 0..20_000 {
        let (seed, other) = (random.below(seeds.len()), random.below(seeds.len()));
        let bytes = mutate(&seeds[seed], &seeds[other], &mut random);
        read += usize::from(check(&bytes));
    }
    // Both ways out are taken often, or the mutations would test only half of the reader.
    assert!((20..18_000).contains(&read), "{read} of 20000 were jobs");
}

#[test]
fn every_prefix_of_an_example() {
    for bytes in files("examples") {
        for end in (0..bytes.len()).step_by(3) {
            check(&bytes[..end]);
        }
    }
}

#[test]
fn long_and_deep_inputs_end() {
    let repeat = |piece: &str, most: usize| piece.repeat(most / piece.len());
    let most = 400_000;
    for text in [
        repeat("[", most),
        repeat("{a=", most),
        format!("x = {}", repeat("[", most)),
        format!("x = {}", repeat("{a=", most)),
        repeat("a.", most),
        format!("[{}a]\nb = 1", repeat("a.", most)),
        repeat("a = 1\n", most),
        repeat("[[kit.bar]]\n", most),
        repeat("[[keep_out]]\nname = 1\n", most),
        format!("[grid]\nskip = [{}]", repeat("\"A1\",", most)),
        format!("[top]\nlength = 1000\nwidth = 1000\noutline = [{}]", repeat("[0,0],", most)),
        format!("name = \"{}\"", repeat("x", most)),
        format!("[top]\nmaterial = \"{}\"", repeat("x", most)),
        format!("[top]\nlength = {}", repeat("9", most)),
        format!("[top]\nlength = \"{} mm\"", repeat("9", most)),
        (0..most / 10).map(|i| format!("k{i} = 1\n")).collect(),
    ] {
        assert!(!check(text.as_bytes()), "{}", &text[..40]);
    }
    let parsed = parse(&" ".repeat(MOST_BYTES + 1));
    assert!(parsed.faults[0].message.contains("bytes"), "{:?}", parsed.faults);
}

#[test]
fn line_ends_and_a_byte_order_mark_change_nothing() {
    for bytes in files("examples") {
        let text = String::from_utf8(bytes).unwrap();
        let plain = parse(&text).job.unwrap();
        for other in [text.replace('\n', "\r\n"), format!("\u{feff}{text}")] {
            let mut job = parse(&other).job.expect("it is read all the same");
            job.places = plain.places.clone();
            for (note, same) in job.bench_notes.iter_mut().zip(&plain.bench_notes) {
                note.span = same.span;
            }
            assert_eq!(job, plain);
        }
    }
}
