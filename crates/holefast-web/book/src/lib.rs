//! The book maker: a job's text becomes its shop book, in a module of its own, which the page does not wait
//! for. A worker of the page runs it; every step is that of `holefast_paper`, as on the command line.

use holefast::desk::BOARDS_OF_A_BOOK as BOARDS;
use holefast::predict::{BLOCK, Block};
use holefast::{Fault, FaultKind, words};
use holefast_paper::book::{Making, Stage, make};
use holefast_paper::link::page_address;
use holefast_paper::{Book, Paper};
use js_sys::{Function, Uint8Array};
use serde_json::json;
use wasm_bindgen::prelude::wasm_bindgen;
use wasm_bindgen::{JsError, JsValue};

/// A book that was made.
#[wasm_bindgen]
pub struct Made {
    book: Book,
}

#[wasm_bindgen]
impl Made {
    /// How many pages it has.
    pub fn pages(&self) -> usize {
        self.book.pages.len()
    }

    /// A page as a drawing, from 0; empty past the last.
    pub fn page(&self, page: usize) -> String {
        self.book.svg(page).unwrap_or_default()
    }

    /// The whole as a PDF.
    ///
    /// Errors: an error that is no fault of the job.
    pub fn pdf(&mut self) -> Result<Uint8Array, JsError> {
        let pdf = self.book.pdf().map_err(|fault| JsError::new(&fault.message))?;
        Ok(Uint8Array::from(pdf.as_slice()))
    }
}

/// The type that the pages are set in, to be shown in it: regular or bold.
#[wasm_bindgen]
pub fn face(bold: bool) -> Uint8Array {
    Uint8Array::from(holefast_paper::page::FACES[usize::from(bold)])
}

/// Makes the shop book of a job. `paper` is "letter" or anything else for A4. `site`
/// is the address of a page that opens jobs, for a code on the cover; without one that is an address there
/// is no code.
/// `told` is called as the work goes on with the name of a stage ("planning", "boards", "setting"),
/// what is done of it and of how much, both 0 where that is not known; and with "remarks" and their
/// list.
///
/// Errors: the faults, as a list like that of the remarks: `[{ line, message, hint }]` as JSON, where
/// line and hint may be null.
#[wasm_bindgen]
pub fn book(job: &str, paper: &str, site: &str, told: &Function) -> Result<Made, JsValue> {
    let listed = |faults: &[Fault]| JsValue::from_str(&list(job, faults));
    // A page that does not listen is no reason to stop.
    let tell = |stage: &str, done: u64, of: u64| {
        let _ = told.call3(&JsValue::NULL, &stage.into(), &(done as f64).into(), &(of as f64).into());
    };
    let one_after_another = |blocks: usize, work: &(dyn Fn(usize) -> Block + Sync)| -> Vec<Block> {
        let each = |index: usize| {
            tell("boards", (index * BLOCK as usize) as u64, BOARDS);
            work(index)
        };
        (0..blocks).map(each).collect()
    };
    let making = Making {
        paper: if paper == "letter" { Paper::Letter } else { Paper::A4 },
        boards: BOARDS,
        site: page_address(site).ok(),
        run: &one_after_another,
        tell: &|stage| match stage {
            Stage::Planning => tell("planning", 0, 0),
            Stage::Predicting => tell("boards", 0, BOARDS),
            Stage::Setting => tell("setting", 0, 0),
        },
    };
    let parsed = holefast::job::parse(job);
    let (mut remarks, slips): (Vec<Fault>, Vec<Fault>) =
        parsed.faults.into_iter().partition(|fault| fault.kind == FaultKind::Remark);
    let Some(read) = parsed.job.filter(|_| slips.is_empty()) else { return Err(listed(&slips)) };
    let made = make(job, &read, &making).map_err(|faults| listed(&faults))?;
    remarks.extend(made.remarks.iter().cloned());
    remarks.extend(words::astray(&read, &made.plan));
    if !remarks.is_empty() {
        let _ = told.call2(&JsValue::NULL, &"remarks".into(), &listed(&remarks));
    }
    Ok(Made { book: made.book })
}

/// Faults as the page shows them.
fn list(text: &str, faults: &[Fault]) -> String {
    let each = |fault: &Fault| {
        json!({
            "line": fault.span.map(|span| span.line_and_column(text).0),
            "message": words::sentence(&fault.message),
            "hint": fault.hint.as_deref().map(words::sentence),
        })
    };
    json!(faults.iter().map(each).collect::<Vec<_>>()).to_string()
}
