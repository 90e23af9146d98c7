//! A list of parts in words: what `holefast parts` prints, and what is told where it cannot be cut.

use crate::breakdown::{Axis, Made, Proof};
use crate::job::{Job, Units};
use crate::measure::format;
use crate::parts::{Batch, CutList, Makes, Step, Why, in_mm};

/// No parts in the job.
pub const NO_PARTS: &str = "the job has no [[part]], so there is nothing to cut";
/// The way out then.
pub const ADD_PARTS: &str = "add [[part]] with name, length, width and quantity, and [[stock]]";
/// No stock in the job.
pub const NO_STOCK: &str = "the job has no [[stock]] to cut its parts from";
/// The way out then.
pub const ADD_STOCK: &str = "add [[stock]] with name, length, width, quantity and kerf";
/// Some state a thickness.
pub const STATE_THICKNESS: &str = "state the thickness of every part and sheet, or of none";
/// Grain.
pub const FREE_THE_GRAIN: &str =
    "write grain = \"any\" if it may lie either way, or add stock it fits on with its grain";
/// Too large.
pub const LARGER_SHEET: &str = "add a larger sheet, or join the part from two";
/// Too narrow.
pub const CUT_WIDER: &str = "cut it from a wider strip by other means, or lower breakdown.narrowest if your saw's \
                             instructions allow it";
/// Narrow.
pub const HOLD_IT: &str = "hold it with a clamp, never by hand; breakdown.narrowest refuses what is narrower";
/// Stock does not suffice, and a few sheets more do not help.
pub const MORE_STOCK: &str = "add more [[stock]], or take parts out";

/// What is taken care of at the saw.
pub const CAUTIONS: [&str; 3] = [
    "take care: work and rail clamped; the blade set just deep enough; eyes, ears and lungs protected",
    "take care: small parts and narrow strips are held by a clamp, never by hand; an offcut is never trapped between stop and blade; what comes off is supported",
    "take care: the tool makers' instructions and local rules come first",
];

/// Parts left over.
pub fn find_no_place(left: u32, all: u32, which: &[String]) -> String {
    /// So many sorts are named.
    const NAMED: usize = 5;
    let mut named = which.iter().take(NAMED).cloned().collect::<Vec<_>>().join(", ");
    if which.len() > NAMED {
        named.push_str(&format!(" and {} more sorts", which.len() - NAMED));
    }
    format!("{left} of {all} parts find no place in this stock: {named}")
}

/// So many sheets more would do.
pub fn so_many_more(more: u32, name: &str) -> String {
    format!("with {more} more of \"{name}\" all of them are cut")
}

/// An entry without a thickness among others that have one.
pub fn no_thickness(name: &str) -> String {
    format!("\"{name}\" states no thickness, others do")
}

/// No stock so thick.
pub fn no_such_thickness(name: &str, thickness: &str) -> String {
    format!("part \"{name}\" is {thickness} thick, and no stock is")
}

/// It would fit across its grain.
pub fn against_the_grain(name: &str) -> String {
    format!("part \"{name}\" fits on the stock only across the grain it asks for")
}

/// The stock has none.
pub fn no_grain_to_follow(name: &str) -> String {
    format!("part \"{name}\" asks for a grain, and the stock it fits on has none")
}

/// Larger than any sheet.
pub fn too_large(name: &str, size: &str, room: &str, over: &str) -> String {
    format!("part \"{name}\" is {size}, the sheet nearest to that has {room} after trimming: {over} too large")
}

/// Narrower than the job allows.
pub fn too_narrow(name: &str, narrow: &str, least: &str) -> String {
    format!("part \"{name}\" is {narrow} wide, the job allows nothing narrower than {least}")
}

/// Narrow, where the job allows anything.
pub fn narrow(name: &str, narrow: &str) -> String {
    format!("part \"{name}\" is only {narrow} wide")
}

/// Two sides with one unit: `600 x 200 mm`.
pub fn size(length: f64, width: f64, units: Units) -> String {
    format!("{} x {}", format::length_bare(length, units), format::length(width, units))
}

/// Returns the lines that `holefast parts` prints.
pub fn lines(job: &Job, list: &CutList) -> Vec<String> {
    let mut lines = Vec::new();
    for batch in &list.batches {
        lines.extend(thick(job, list, batch));
        lines.extend(summary(job, batch));
        for number in 0..batch.breakdown.sheets.len() {
            sheet(job, batch, number, &mut lines);
        }
    }
    lines.extend(cuts_in_all(job, list));
    lines.extend(CAUTIONS.map(str::to_owned));
    lines
}

/// How thick the parts of a batch are, where there are several.
pub fn thick(job: &Job, list: &CutList, batch: &Batch) -> Option<String> {
    let thickness = batch.thickness.filter(|_| list.batches.len() > 1)?;
    Some(format!("{} thick:", format::length(thickness, job.units)))
}

/// How many cuts and settings there are, and what is cut afterwards.
pub fn cuts_in_all(job: &Job, list: &CutList) -> Vec<String> {
    let settings = list.batches.iter().flat_map(|b| &b.steps).filter(|s| s.new_setting).count();
    let cuts: usize = list.batches.iter().map(|b| b.steps.len()).sum();
    let mut lines = vec![format!("{cuts} cuts, {settings} settings (*: fence or stop is set anew)")];
    if job.part_list.parts.iter().any(|p| p.ends.is_some_and(|ends| ends != [90.0, 90.0])) {
        lines.push("ends that are not square are cut from these blanks afterwards".to_owned());
    }
    lines
}

/// What a batch comes to: sheets taken, how much of them becomes parts, whether that is proved best.
pub fn summary(job: &Job, batch: &Batch) -> [String; 2] {
    let list = &job.part_list;
    let n: u32 = batch.parts.iter().map(|&i| list.parts[i].quantity).sum();
    let there: u32 = batch.stock.iter().map(|&i| list.stock[i].quantity).sum();
    let area: f64 =
        batch.parts.iter().map(|&i| &list.parts[i]).map(|p| p.length * p.width * f64::from(p.quantity)).sum();
    let stock: f64 =
        batch.breakdown.sheets.iter().map(|s| &list.stock[batch.stock[s.stock]]).map(|s| s.length * s.width).sum();
    let parts = if n == 1 { "part" } else { "parts" };
    let taken = batch.breakdown.sheets.len();
    let area = format!(
        "{n} {parts} from {taken} of {there} sheets and offcuts; {} % of their area becomes parts",
        format::fixed(100.0 * area / stock, 0)
    );
    let proof = match batch.breakdown.proof {
        Proof::Best => "proved best: no less stock will do".to_owned(),
        Proof::Within(share) => {
            format!("whether less stock would do is not proved; at most {} % less", less(share))
        }
    };
    [area, proof]
}

/// A share by which the stock exceeds the bound, as how much less it could be, percent.
fn less(share: f64) -> String {
    format::fixed(100.0 * share / (1.0 + share), 1)
}

fn sheet(job: &Job, batch: &Batch, number: usize, lines: &mut Vec<String>) {
    lines.push(sheet_line(job, batch, number));
    for step in batch.steps.iter().filter(|s| s.sheet == number) {
        lines.push(step_line(job, batch, step));
    }
    lines.push(format!("   {}", left_line(job, batch, number)));
}

/// Which sheet it is, how large, what its saw takes, and its edges.
pub fn sheet_line(job: &Job, batch: &Batch, number: usize) -> String {
    let stock = &job.part_list.stock[batch.stock[batch.breakdown.sheets[number].stock]];
    let trimmed = match stock.trim {
        0.0 => "its edges taken as they come: try them with a straightedge and square first".to_owned(),
        trim => format!("edges trimmed by {}", format::length(trim, job.units)),
    };
    let size = size(stock.length, stock.width, job.units);
    let kerf = format::length(stock.kerf, job.units);
    format!("sheet {}: {}, {size}, kerf {kerf}, {trimmed}", number + 1, stock.name)
}

/// What is left of a sheet.
pub fn left_line(job: &Job, batch: &Batch, number: usize) -> String {
    let keep: Vec<String> = kept(job, batch, number).iter().map(|&[a, b]| size(a, b, job.units)).collect();
    match keep.len() {
        0 => "nothing worth keeping is left".to_owned(),
        1 => format!("left to keep: {}", keep[0]),
        n => format!("left to keep: {n} offcuts: {}", keep.join(", ")),
    }
}

/// Offcuts of a sheet that are worth keeping, mm, the longer side first, largest first.
pub(crate) fn kept(job: &Job, batch: &Batch, number: usize) -> Vec<[f64; 2]> {
    let [long, short] = job.part_list.useful;
    let pieces = batch.breakdown.sheets[number].whole.all();
    let offcuts = pieces.iter().filter(|p| p.made == Made::Offcut).map(|p| p.rect.size.map(in_mm));
    let sides = offcuts.map(|[a, b]| [a.max(b), a.min(b)]);
    let mut keep: Vec<[f64; 2]> = sides.filter(|s| s[0] >= long && s[1] >= short).collect();
    keep.sort_by(|a, b| (b[0] * b[1]).total_cmp(&(a[0] * a[1])));
    keep
}

pub(crate) fn step_line(job: &Job, batch: &Batch, step: &Step) -> String {
    let star = if step.new_setting { "*" } else { " " };
    format!("{:>4}{star} {}", step.number, step_words(job, batch, step))
}

/// What is cut off what, and what is left then.
pub fn step_words(job: &Job, batch: &Batch, step: &Step) -> String {
    let set = format::length(in_mm(step.set), job.units);
    let direction = match step.along {
        Axis::X => "across",
        Axis::Y => "along",
    };
    let what = match step.why {
        Why::ReferenceEdge => format!("trim the reference edge of {}", step.from),
        Why::SquareEnd => format!("trim an end of {} square to it", step.from),
        Why::FarEdge => format!("trim the edge of {} across from it, at {set}", step.from),
        Why::Piece => format!("{direction} {}, {set} off: {}", step.from, named(job, batch, &step.makes)),
    };
    let left = match &step.leaves {
        None | Some(Makes::Nothing) => String::new(),
        Some(makes) => format!("; left: {}", named(job, batch, makes)),
    };
    format!("{what}{left}")
}

/// What comes off, in words.
fn named(job: &Job, batch: &Batch, makes: &Makes) -> String {
    match makes {
        Makes::Nothing => "waste".to_owned(),
        Makes::Part(part) => job.part_list.parts[batch.parts[*part]].name.clone(),
        Makes::Marked(mark) => mark.clone(),
        Makes::Offcut => "offcut".to_owned(),
    }
}

/// What the drawing of some of the sheets shows, by their numbers, in a sentence.
pub fn about_some(list: &CutList, first: usize, last: usize) -> String {
    let sheets: usize = list.batches.iter().map(|b| b.breakdown.sheets.len()).sum();
    format!("Sheets {first} to {last} of {sheets}, with the parts that are cut from them and the cuts' numbers")
}

/// What the drawing of the sheets shows, in a sentence.
pub fn about(list: &CutList) -> String {
    let sheets: usize = list.batches.iter().map(|b| b.breakdown.sheets.len()).sum();
    let cuts: usize = list.batches.iter().map(|b| b.steps.len()).sum();
    format!("{sheets} sheets with the parts that are cut from them; {cuts} cuts numbered in their order")
}
