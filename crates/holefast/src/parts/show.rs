//! The broken-down list as data: what `holefast parts --json` prints. Lengths in mm, places from the
//! corner of the untrimmed sheet, x along its length.

use serde::Serialize;

use super::{CutList, Makes, Why, in_mm};
use crate::breakdown::{Axis, Made, Proof, Rect};
use crate::job::Job;

/// All of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Show {
    /// One for each thickness.
    pub batches: Vec<ShowBatch>,
}

/// Parts and stock of one thickness.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShowBatch {
    /// Absent where none is stated.
    pub thickness_mm: Option<f64>,
    /// Whole area of the stock taken.
    pub stock_m2: f64,
    /// No less stock will do.
    pub proved: bool,
    /// If not: by how much at most the stock exceeds what could do, as a share.
    pub within: Option<f64>,
    /// Rounds of the search.
    pub rounds: u64,
    /// The sheets.
    pub sheets: Vec<ShowSheet>,
    /// The cuts, in order.
    pub cuts: Vec<ShowCut>,
}

/// One sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShowSheet {
    /// From 1.
    pub number: usize,
    /// The stock's name.
    pub stock: String,
    /// Its length.
    pub length_mm: f64,
    /// Its width.
    pub width_mm: f64,
    /// What the saw takes.
    pub kerf_mm: f64,
    /// What comes off each edge.
    pub trim_mm: f64,
    /// The parts.
    pub parts: Vec<ShowPiece>,
    /// What is left over.
    pub offcuts: Vec<ShowPiece>,
}

/// A part or an offcut on its sheet.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShowPiece {
    /// The part's name; absent for an offcut.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// The part's length lies along y; absent for an offcut.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub turned: Option<bool>,
    /// Nearest corner.
    pub x_mm: f64,
    /// Nearest corner.
    pub y_mm: f64,
    /// Side along x.
    pub along_x_mm: f64,
    /// Side along y.
    pub along_y_mm: f64,
}

/// A cut.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ShowCut {
    /// From 1.
    pub number: usize,
    /// The sheet's number.
    pub sheet: usize,
    /// `reference edge`, `square end`, `far edge` or `piece`.
    pub why: &'static str,
    /// The mark of the piece that is cut.
    pub from: String,
    /// The direction it is measured in.
    pub along: &'static str,
    /// From the edge it is measured from to the kerf.
    pub set_mm: f64,
    /// Place of that edge.
    pub edge_mm: f64,
    /// Where the cut begins and ends, along the other direction.
    pub runs_mm: [f64; 2],
    /// What comes off: a part's name, a mark, `offcut` or `waste`.
    pub makes: String,
    /// What is left then; absent while more is cut off it.
    pub leaves: Option<String>,
    /// Fence or stop is set anew.
    pub new_setting: bool,
}

/// Returns the data as text.
pub fn to_json(job: &Job, list: &CutList) -> String {
    let mut text = serde_json::to_string_pretty(&show(job, list)).unwrap_or_default();
    text.push('\n');
    text
}

/// Returns the data.
pub fn show(job: &Job, list: &CutList) -> Show {
    Show { batches: list.batches.iter().map(|batch| batch_of(job, batch)).collect() }
}

fn batch_of(job: &Job, batch: &super::Batch) -> ShowBatch {
    let all = &job.part_list;
    let name = |part: usize| all.parts[batch.parts[part]].name.clone();
    let sheets = batch.breakdown.sheets.iter().enumerate().map(|(i, sheet)| {
        let stock = &all.stock[batch.stock[sheet.stock]];
        let mut parts = Vec::new();
        let mut offcuts = Vec::new();
        for piece in sheet.whole.all() {
            match piece.made {
                Made::Part { part, turned } => parts.push(place(piece.rect, Some(name(part)), Some(turned))),
                Made::Offcut => offcuts.push(place(piece.rect, None, None)),
                Made::Cut { .. } => {}
            }
        }
        ShowSheet {
            number: i + 1,
            stock: stock.name.clone(),
            length_mm: stock.length,
            width_mm: stock.width,
            kerf_mm: stock.kerf,
            trim_mm: stock.trim,
            parts,
            offcuts,
        }
    });
    let told = |makes: &Makes| match makes {
        Makes::Nothing => "waste".to_owned(),
        Makes::Part(part) => name(*part),
        Makes::Marked(mark) => mark.clone(),
        Makes::Offcut => "offcut".to_owned(),
    };
    let cuts = batch.steps.iter().map(|step| ShowCut {
        number: step.number,
        sheet: step.sheet + 1,
        why: match step.why {
            Why::ReferenceEdge => "reference edge",
            Why::SquareEnd => "square end",
            Why::FarEdge => "far edge",
            Why::Piece => "piece",
        },
        from: step.from.clone(),
        along: match step.along {
            Axis::X => "length",
            Axis::Y => "width",
        },
        set_mm: in_mm(step.set),
        edge_mm: in_mm(step.at[0]),
        runs_mm: step.runs.map(in_mm),
        makes: told(&step.makes),
        leaves: step.leaves.as_ref().map(told),
        new_setting: step.new_setting,
    });
    ShowBatch {
        thickness_mm: batch.thickness,
        stock_m2: batch
            .breakdown
            .sheets
            .iter()
            .map(|s| &all.stock[batch.stock[s.stock]])
            .map(|s| s.length * s.width / 1e6)
            .sum(),
        proved: batch.breakdown.proof == Proof::Best,
        within: match batch.breakdown.proof {
            Proof::Best => None,
            Proof::Within(share) => Some(share),
        },
        rounds: batch.breakdown.rounds,
        sheets: sheets.collect(),
        cuts: cuts.collect(),
    }
}

fn place(rect: Rect, name: Option<String>, turned: Option<bool>) -> ShowPiece {
    let [x_mm, y_mm] = rect.at.map(in_mm);
    let [along_x_mm, along_y_mm] = rect.size.map(in_mm);
    ShowPiece { name, turned, x_mm, y_mm, along_x_mm, along_y_mm }
}
