//! Reads a job from its text, with every fault located.
//!
//! The text becomes a tree with places (`tree`), the tree's tables are read one by one with their
//! faults gathered (`read_top`, `read_kit`, `read_rest`), and what was read is compared with
//! itself (`fits`). No bytes make it panic; limits on size and depth keep it quick.
//!
//! What is not stated in a job is not assumed, except: bars may be turned over, 3 pins, 2 dogs,
//! one bar of a sort, wood gives 0.03 mm, minutes of an unhurried pace, confidence 0.95, a pair of
//! drill shanks as gauges, and an opening bit without lean. The last two are told as remarks.

use super::place_files::PlaceFiles;
use super::read::Reader;
use super::tree;
use super::{
    Job, Units, fits, read_cut, read_kit, read_notes, read_parts, read_proof, read_rest, read_top, read_trial,
};
use crate::fault::{Fault, Span};

/// The format of job files that this version reads.
pub const FORMAT: i64 = 1;

/// Faults told at once; the rest are counted.
const MOST_FAULTS: usize = 200;

/// What reading a job gives.
#[derive(Clone, Debug, PartialEq)]
pub struct Parsed {
    /// The job, if nothing but remarks was found.
    pub job: Option<Job>,
    /// All faults and remarks, in the order of the text, each with its place.
    pub faults: Vec<Fault>,
}

/// Reads a job that stands alone from bytes, which must be UTF-8; the place of the first byte that is
/// not is told.
pub fn parse_bytes(bytes: &[u8]) -> Parsed {
    match std::str::from_utf8(bytes) {
        Ok(text) => parse(text),
        Err(error) => {
            let at = error.valid_up_to();
            let byte = bytes.get(at).copied().unwrap_or(0);
            let fault = Fault::input(format!("byte {at} (0x{byte:02x}) is not UTF-8 text"))
                .at(Some(Span { start: at, end: at + 1 }))
                .hint("save the job as plain text in UTF-8");
            Parsed { job: None, faults: vec![fault] }
        }
    }
}

/// Reads a job that stands alone; all faults are reported at once.
pub fn parse(text: &str) -> Parsed {
    parse_with(text, &PlaceFiles::new())
}

/// Reads a job with the files that it names ([`place_files`](super::place_files)).
pub fn parse_with(text: &str, files: &PlaceFiles) -> Parsed {
    let (job, mut faults, dropped) = match tree::read(text) {
        Ok(entries) => read_with(&mut Reader { files: files.clone(), ..Reader::new() }, &entries),
        Err(faults) => (None, faults, 0),
    };
    faults.sort_by_key(|f| f.span.map_or(0, |s| s.start));
    faults.dedup();
    if faults.len() + dropped > MOST_FAULTS {
        let rest = dropped + faults.len().saturating_sub(MOST_FAULTS);
        faults.truncate(MOST_FAULTS);
        let span = faults.last().and_then(|f| f.span);
        let more = format!("and {rest} more faults and remarks");
        faults.push(if job.is_some() { Fault::remark(more) } else { Fault::input(more) }.at(span));
    }
    Parsed { job, faults }
}

/// Where the lengths of a job stand that can be read, in the order of the text.
pub(super) fn lengths(text: &str) -> Vec<Span> {
    let Ok(entries) = tree::read(text) else { return Vec::new() };
    let mut reader = Reader::new();
    // Read once more for these places alone; what else was found has been told.
    let _ = read_with(&mut reader, &entries);
    reader.lengths.sort_by_key(|span| span.start);
    reader.lengths.dedup();
    reader.lengths
}

/// The job, its faults, and how many more there were.
fn read_with(reader: &mut Reader, entries: &[tree::Entry]) -> (Option<Job>, Vec<Fault>, usize) {
    let r = &mut *reader;
    let root = r.root(entries);
    version(r, &root);
    let units = if r.need(&root, "units") { units(r, &root) } else { None };
    r.units = units.unwrap_or(Units::Mm);
    let name = if r.need(&root, "name") { r.text(&root, "name") } else { None };
    let note = r.text(&root, "note").unwrap_or("");
    let top = read_top::top(r, &root);
    let grid = read_top::grid(r, &root, top.as_ref());
    let keep_outs = read_top::keep_outs(r, &root, top.as_ref());
    let supports = read_top::supports(r, &root, top.as_ref());
    let kit = read_kit::kit(r, &root);
    let trial = read_trial::trial(r, &root, kit.as_ref().and_then(Option::as_ref));
    let kit = match (kit, trial.as_ref().and_then(Option::as_ref)) {
        (Some(Some(kit)), Some(trial)) => Some(Some(kit.after_trial(trial))),
        (kit, _) => kit,
    };
    if let Some(Some(kit)) = &kit {
        fits::check(r, kit, top.as_ref(), grid.as_ref());
    }
    let accuracy = read_rest::accuracy(r, &root);
    let climate = read_rest::climate(r, &root);
    let done = read_rest::done(r, &root, grid.as_ref());
    let extra = grid.as_ref().map_or(&[][..], |g| &g.extra);
    let spoiled = read_rest::spoiled(r, &root, grid.as_ref());
    let bench_notes = read_notes::bench_notes(r, &root, grid.as_ref());
    let ticked = read_notes::ticked(r, &root);
    let proof = read_proof::proof(r, &root, extra, kit.as_ref().and_then(Option::as_ref));
    let cuts = read_cut::cuts(r, &root, extra);
    let part_list = read_parts::parts(r, &root);

    let (mut faults, places) = (std::mem::take(&mut reader.faults), std::mem::take(&mut reader.places));
    let dropped = reader.dropped;
    if reader.refused {
        return (None, faults, dropped);
    }
    let build = || {
        Some(Job {
            name: name?.to_owned(),
            units: units?,
            note: note.to_owned(),
            top: top?,
            grid: grid?,
            keep_outs: keep_outs?,
            supports: supports?,
            kit: kit?,
            trial: trial?,
            climate: climate?,
            accuracy: accuracy?,
            done: done?,
            spoiled: spoiled?,
            bench_notes: bench_notes?,
            proof: proof?,
            ticked,
            cuts: cuts?,
            part_list: part_list?,
            places,
        })
    };
    let job = build();
    if job.is_none() {
        // Every reader that gives nothing has said why; should one ever not, say at least this.
        debug_assert!(false, "a reader gave nothing and no fault");
        faults.push(Fault::input("this job cannot be read").at(Some(Span { start: 0, end: 0 })));
    }
    (job, faults, dropped)
}

fn version(reader: &mut Reader, root: &super::read::Table<'_>) {
    if !reader.need(root, "holefast") {
        return;
    }
    let Some(node) = root.get("holefast") else { return };
    let fault = match node.value {
        tree::Value::Integer(FORMAT) => return,
        tree::Value::Integer(n) if n > FORMAT => {
            Fault::input(format!("this job is of format {n}, this program reads format {FORMAT}"))
                .hint("take a newer holefast, or the job as it was saved for an older one")
        }
        tree::Value::Integer(n) => Fault::input(format!("there is no format {n}, this program reads format {FORMAT}"))
            .hint(format!("write holefast = {FORMAT}")),
        _ => Fault::input(format!("holefast must be the format's number, this is {}", node.value.shown()))
            .hint(format!("write holefast = {FORMAT}")),
    };
    reader.fault(node.span, fault);
}

fn units(reader: &mut Reader, root: &super::read::Table<'_>) -> Option<Units> {
    let before = reader.faults.len();
    let units = reader.word(root, "units", &[("mm", Units::Mm), ("in", Units::Inch)]);
    if units.is_none()
        && let Some(fault) = reader.faults.get_mut(before)
    {
        fault.hint =
            Some("units = \"mm\" or units = \"in\"; single lengths may carry another, as in \"19.05 mm\"".to_owned());
    }
    units
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fault::FaultKind;

    /// The job with one text put for another.
    fn with(old: &str, new: &str) -> Parsed {
        let text = crate::job::new_job(&crate::job::NewJob::new("Bench", Units::Mm));
        assert!(text.contains(old), "{old}");
        parse(&text.replace(old, new))
    }

    #[test]
    fn remarks_do_not_refuse_the_job() {
        let text = crate::job::new_job(&crate::job::NewJob::new("Bench", Units::Mm));
        let gauge = text[text.find("[[kit.gauge]]").unwrap()..text.find("[kit.pilot_bit]").unwrap()].to_owned();
        for (old, new, told) in [
            ("lean = 0.04", "# lean", "states no `lean`"),
            (gauge.as_str(), "", "has no gauge"),
            ("diameter = \"4 h6\"", "diameter = [3.99, 4.001]", "some pairs will be tight"),
            ("thickness = 18", "thickness = \"18,000 mm\"", "decimal comma"),
            (
                "[accuracy]",
                "[[keep_out]]\nname = \"far\"\ncircle = [-50, 0, 20]\nclearance = 1\nside = \"both\"\n[accuracy]",
                "beside the sheet",
            ),
            ("[accuracy]", "[[cut]]\n[accuracy]", "[[cut]] is empty"),
        ] {
            let parsed = with(old, new);
            let remarks: Vec<&Fault> = parsed.faults.iter().filter(|f| f.message.contains(told)).collect();
            assert!(!remarks.is_empty(), "{told}: {:?}", parsed.faults);
            assert!(parsed.faults.iter().all(|f| f.kind == FaultKind::Remark), "{:?}", parsed.faults);
            assert!(parsed.job.is_some(), "{told}");
        }
    }

    #[test]
    fn places_lead_to_the_text() {
        let text = crate::job::new_job(&crate::job::NewJob::new("Bench", Units::Mm));
        let job = parse(&text).job.unwrap();
        let at = |path: &str| job.span(path).map(|span| &text[span.start..span.end]);
        assert_eq!(at("grid.rows"), Some("\"fit\""));
        assert_eq!(at("kit.bar[0].bore"), Some("\"4 H7\""));
        assert_eq!(at("kit.bar[0]"), Some("[[kit.bar]]"));
        assert_eq!(at("kit.pin.diameter"), Some("\"4 h6\""));
        // Not written: the table it would stand in.
        assert_eq!(at("grid.skip"), Some("[grid]"));
        assert_eq!(at("kit.wood.give"), Some("[kit]"));
        assert_eq!(at("climate.use"), None);
    }

    #[test]
    fn an_inch_job_and_the_same_in_mm_are_one() {
        let text = crate::job::new_job(&crate::job::NewJob::new("Bench", Units::Inch));
        let inch = parse(&text).job.unwrap();
        let other =
            text.replace("length = 48 ", "length = \"1219.2 mm\" ").replace("pitch = 4 ", "pitch = \"101.6 mm\" ");
        assert_ne!(other, text);
        let mm = parse(&other).job.unwrap();
        assert_eq!((inch.top, inch.grid, inch.kit), (mm.top, mm.grid, mm.kit));
    }

    #[test]
    fn an_outline_written_clockwise_is_turned() {
        let square = "thickness = 18\noutline = [[0, 0], [0, 700], [1200, 700], [1200, 0]]";
        let job = with("thickness = 18", square).job.unwrap();
        let corners = job.top.outline;
        let area: f64 =
            (0..4).map(|i| corners[i].x * corners[(i + 1) % 4].y - corners[(i + 1) % 4].x * corners[i].y).sum();
        assert_eq!(area / 2.0, 1200.0 * 700.0);
    }
}
