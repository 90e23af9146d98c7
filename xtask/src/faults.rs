//! Thirty deliberate faults across the rooms, each put in by itself and looked for by the short run of tests: what
//! is not found needs a test of its own.
//!
//! They are made in a work tree of their own under `target/faults`, on the last commit; no file here is touched.

use std::path::Path;
use std::process::Command;
use std::time::Instant;

use crate::{files, run};

/// A fault: what it is, in which file, which text, which must stand there once, and what takes its place.
struct Mistake {
    what: &'static str,
    file: &'static str,
    found: &'static str,
    instead: &'static str,
}

const fn mistake(what: &'static str, file: &'static str, found: &'static str, instead: &'static str) -> Mistake {
    Mistake { what, file, found, instead }
}

#[rustfmt::skip] // one fault, four lines
const MISTAKES: [Mistake; 30] = [
    mistake("a misfit shared to the wrong pin", "crates/holefast/src/predict/board.rs",
        "let by = r1 + excess.scaled(0.5);",
        "let by = r2 + excess.scaled(0.5);"),
    mistake("one clearance counted twice", "crates/holefast/src/predict/board.rs",
        "let excess = g.abs() - (r1 + r2);",
        "let excess = g.abs() - (r1 + r1);"),
    mistake("a tolerance taken for another distribution", "crates/holefast/src/predict/covariance.rs",
        "position * position / 3.0",
        "position * position / 2.0"),
    mistake("the play of a bit doubled", "crates/holefast/src/predict/linear.rs",
        "(bit.clearance.mean_square() / 16.0).sqrt()",
        "(bit.clearance.mean_square() / 4.0).sqrt()"),
    mistake("the greatest for the mean", "crates/holefast/src/kit/mod.rs",
        "0.5 * (self.min + self.max)",
        "self.max"),
    mistake("a check's limit doubled", "crates/holefast/src/plan/bars/checks.rs",
        "misfit_mm: misfit,",
        "misfit_mm: 2.0 * misfit,"),
    mistake("bars that ignore keep-outs", "crates/holefast/src/plan/bars/ground.rs",
        "keep_outs.iter().filter(|k| k.side != Side::Below).all(|k| self.stays_off(k.shape))",
        "keep_outs.iter().all(|_| true)"),
    mistake("a hole opened twice passes", "crates/holefast/src/replay/bore.rs",
        "return Err(Fault::impossible(format!(\"{name} is opened twice\")));",
        "{}"),
    mistake("no caution for a bar that stands out", "crates/holefast/src/words/cards/setup.rs",
        ".filter(|_| !is_propped(setup, &placed.id))",
        ".filter(|_| false)"),
    mistake("no caution to draw the pin", "crates/holefast/src/words/cards/setup.rs",
        "{} draw the pin, see it in your hand, then drill: a bit on a hardened pin shatters.",
        "{} go on."),
    mistake("the wrong card's number", "crates/holefast/src/words/numbers.rs",
        "self.card_of.get(index).copied().flatten().map(|card| card + 1)",
        "self.card_of.get(index).copied().flatten().map(|card| card + 2)"),
    mistake("a default of the inch template in millimetres", "crates/holefast/src/job/template.rs",
        "clamp: \"5\",",
        "clamp: \"120\","),
    mistake("the climate left out", "crates/holefast/src/desk.rs",
        "Ok(Model::new(kit, plan)?.in_climate(&self.job.top, self.job.climate.as_ref()))",
        "Ok(Model::new(kit, plan)?)"),
    mistake("one degree of freedom too few", "crates/holefast/src/proof/report.rs",
        "fit.free.len()).saturating_sub(fit.x.len());",
        "fit.free.len()).saturating_sub(fit.x.len() + 1);"),
    mistake("another inch", "crates/holefast/src/measure/length.rs",
        "pub const MM_PER_INCH: f64 = 25.4;",
        "pub const MM_PER_INCH: f64 = 25.0;"),
    mistake("sixty-fourths cut off instead of rounded", "crates/holefast/src/measure/format.rs",
        "(mm / MM_PER_INCH * 64.0).round_ties_even()",
        "(mm / MM_PER_INCH * 64.0).floor()"),
    mistake("the shim at the other dog", "crates/holefast/src/cut/shim.rs",
        "usize::from(needed >= 0.0)",
        "usize::from(needed < 0.0)"),
    mistake("the kerf forgotten at the stop", "crates/holefast/src/cut/stop.rs",
        "if self.kept == Kept::Beyond { self.kerf } else { 0.0 }",
        "0.0"),
    mistake("parts nearer than the kerf pass as sawn apart", "crates/holefast/src/breakdown/legal.rs",
        "if rect.at[axis] >= reach + kerf {",
        "if rect.at[axis] >= reach {"),
    mistake("a wrong area of stock passes", "crates/holefast/src/breakdown/legal.rs",
        "if (area - breakdown.stock_area).abs() > 1e-9 * area {",
        "if area < 0.0 {"),
    mistake("drawings upside down", "crates/holefast/src/drawing/scene.rs",
        "self.margin.above + (self.clip.y1 - at.top.y) / self.ratio",
        "self.margin.above + (at.top.y - self.clip.y0) / self.ratio"),
    mistake("another exit code for a file", "crates/holefast-cli/src/exit.rs",
        "Trouble::File { .. } => 4,",
        "Trouble::File { .. } => 1,"),
    mistake("a file of another kind is overwritten", "crates/holefast-cli/src/output.rs",
        "if head.is_empty() || kind.is_kind_of(&head) {",
        "if head.is_empty() || kind.is_kind_of(&head) || !head.is_empty() {"),
    mistake("the rest of a parted block is lost", "crates/holefast-paper/src/page/flow.rs",
        "self.give_back(rest);",
        "drop(rest);"),
    mistake("long words are not broken", "crates/holefast-paper/src/page/text.rs",
        "breaks.push(start);",
        "let _ = start;"),
    mistake("a list of openings on no half", "crates/holefast-paper/src/book/lay/halves.rs",
        ".filter(|_| i + 1 == count)",
        ".filter(|_| i == count)"),
    mistake("letters that the font lacks are not named", "crates/holefast-paper/src/page/faces.rs",
        "self.lacking.insert(one);",
        "let _ = one;"),
    mistake("no list of places in the PDF", "crates/holefast-paper/src/pdf.rs",
        "document.set_outline(outline(pages));",
        ""),
    mistake("marks of a name in an SVG", "crates/holefast-paper/src/svg.rs",
        "'<' => out.push_str(\"&lt;\"),",
        "'<' => out.push('<'),"),
    mistake("places by the plan taken for proved ones", "crates/holefast/src/desk.rs",
        "Ok(Places::proved(layout, &proved_holes(self.job, layout, &ask)?))",
        "proved_holes(self.job, layout, &ask)?;\n        self.places_by_plan()"),
];

/// Puts in each fault whose description contains a word, and says which test finds it.
pub fn all(named: &str) -> Result<(), String> {
    let tree = files::target().join("faults/tree");
    let git = |arguments: &[&str]| run::quietly(Command::new("git").current_dir(files::root()).args(arguments));
    let at = tree.to_string_lossy().into_owned();
    git(&["worktree", "remove", "--force", &at]);
    if !git(&["worktree", "add", "--force", "--detach", &at, "HEAD"]) {
        return Err(format!("git worktree add {at} failed"));
    }
    if let Some(test) = failing(&tree)? {
        return Err(format!("without any fault {test} fails"));
    }
    let chosen: Vec<&Mistake> = MISTAKES.iter().filter(|mistake| mistake.what.contains(named)).collect();
    let mut missed = Vec::new();
    for mistake in &chosen {
        let start = Instant::now();
        let path = tree.join(mistake.file);
        let text = read(&path)?;
        if text.matches(mistake.found).count() != 1 {
            return Err(format!("{}: \"{}\" does not stand there once", mistake.file, mistake.found));
        }
        write(&path, &text.replace(mistake.found, mistake.instead))?;
        let found = failing(&tree)?;
        write(&path, &text)?;
        let after = start.elapsed().as_secs();
        match found {
            Some(test) => println!("found   {after:>4} s  {}: {test}", mistake.what),
            None => {
                println!("MISSED  {after:>4} s  {}", mistake.what);
                missed.push(mistake.what);
            }
        }
    }
    git(&["worktree", "remove", "--force", &at]);
    println!("{} of {} found", chosen.len() - missed.len(), chosen.len());
    if missed.is_empty() { Ok(()) } else { Err(format!("missed: {}", missed.join("; "))) }
}

fn read(path: &Path) -> Result<String, String> {
    std::fs::read_to_string(path).map_err(|e| format!("{}: {e}", path.display()))
}

fn write(path: &Path, text: &str) -> Result<(), String> {
    std::fs::write(path, text).map_err(|e| format!("{}: {e}", path.display()))
}

/// The first test that fails in a tree; none if all pass.
///
/// Errors: it cannot be compiled, for that finds no fault.
fn failing(tree: &Path) -> Result<Option<String>, String> {
    let test = |more: &[&str]| {
        let mut command = Command::new("cargo");
        command.current_dir(tree).args(["test", "--release", "--workspace", "--quiet"]).args(more);
        command.env("CARGO_TARGET_DIR", files::target().join("faults/build"));
        // a change is compiled in seconds
        command.env("CARGO_PROFILE_RELEASE_INCREMENTAL", "true");
        command
    };
    run::with_last_words(&mut test(&["--no-run"]))?;
    let output = test(&[]).output().map_err(|e| format!("cargo: {e}"))?;
    if output.status.success() {
        return Ok(None);
    }
    let said = String::from_utf8_lossy(&output.stdout).into_owned();
    let test = said.lines().find_map(|line| line.strip_prefix("---- ")?.split(" stdout").next());
    test.map(|test| Some(test.to_owned())).ok_or_else(|| "the tests ended badly, and none of them failed".to_owned())
}
