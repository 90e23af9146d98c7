//! The shop book: cover, kit, safety, one card for every set-up, opening order, finishing, budget,
//! reading sheet, as a PDF.
//!
//! `pages` gathers what stands on which page, `model` is the data handed over, `book.typ` sets it.
//! Words of the cards and all drawings come ready from the core; nothing is computed here but page
//! numbers and sizes. No date, no font of the machine: the same job gives the same bytes.

mod expectation;
mod model;
mod pages;
mod text;
mod whole;
mod world;

use std::collections::BTreeMap;

use holefast::cut::{Places, Settled};
use holefast::parts::CutList;
use holefast::parts::on_top::OnTop;
use holefast::proof::Proof;
use holefast::{Fault, Job, Layout, Plan};
use typst::foundations::Smart;
use typst_layout::PagedDocument;
use typst_pdf::PdfOptions;

pub use expectation::{BudgetRow, CheckWorth, Expectation};
pub use whole::{BOARDS, Made, Making, Stage, make};

/// Paper to print on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Paper {
    /// 210 × 297 mm.
    A4,
    /// 8 1/2 × 11 in.
    Letter,
}

impl Paper {
    /// Width and height, mm, upright.
    pub fn size(self) -> [f64; 2] {
        match self {
            Paper::A4 => [210.0, 297.0],
            Paper::Letter => [215.9, 279.4],
        }
    }
}

/// How the book is made.
#[derive(Clone, Debug, PartialEq)]
pub struct BookOptions {
    /// Paper.
    pub paper: Paper,
    /// Digest of the job's text ([`digest()`](crate::digest())).
    pub digest: String,
    /// Where the job can be opened on a phone, if anywhere: the cover has it as a code.
    pub site: Option<Site>,
}

/// A page that opens jobs, and the job to be opened there.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    /// Address of the page ([`page_address`](crate::link::page_address)).
    pub page: String,
    /// The job's text.
    pub job_text: String,
}

/// Pages that hang on what a job has beside its top: cuts with the places they rest on, readings, parts.
#[derive(Clone, Debug, PartialEq)]
pub struct MorePages {
    /// Where the dog holes are.
    pub places: Places,
    /// The cuts, in the order of their cards.
    pub settled: Vec<Settled>,
    /// What the readings have proved.
    pub proof: Option<Proof>,
    /// The list of parts.
    pub list: Option<ListPages>,
}

/// A list of parts, broken down and set up on the top.
#[derive(Clone, Debug, PartialEq)]
pub struct ListPages {
    /// Its sheets and cuts.
    pub list: CutList,
    /// How they are made on the top; `None` where the kit has no guide rail.
    pub top: Option<OnTop>,
}

impl MorePages {
    /// Neither cuts, readings nor parts.
    pub fn none(layout: &Layout) -> MorePages {
        MorePages { places: Places::planned(layout), settled: Vec::new(), proof: None, list: None }
    }
}

/// Makes the shop book without pages for cuts, readings and parts and returns the PDF.
///
/// Errors: as [`book_with_more`].
pub fn book(
    job: &Job,
    layout: &Layout,
    plan: &Plan,
    expected: &Expectation,
    options: &BookOptions,
) -> Result<Vec<u8>, Fault> {
    book_with_more(job, layout, plan, expected, options, &MorePages::none(layout))
}

/// Makes the shop book, with a card for each of these cuts, the list of parts and what is proved, and
/// returns the PDF.
///
/// Errors: a fault with the typesetter's own words; not met unless a file of this crate is broken.
pub fn book_with_more(
    job: &Job,
    layout: &Layout,
    plan: &Plan,
    expected: &Expectation,
    options: &BookOptions,
    more: &MorePages,
) -> Result<Vec<u8>, Fault> {
    let broken = |what: String| {
        Fault::impossible(format!("the shop book could not be set: {what}"))
            .hint("this is a fault of the program: please hand on the job with it")
    };
    let mut files: BTreeMap<String, Vec<u8>> = BTreeMap::new();
    let model = pages::gather(job, layout, plan, expected, options, more, &mut files);
    let data = serde_json::to_vec(&model).map_err(|e| broken(e.to_string()))?;
    files.insert("/book.json".to_owned(), data);
    let papers = world::Papers::new(include_str!("book.typ"), files).ok_or_else(|| broken("no template".to_owned()))?;
    let said = |errors: &[typst::diag::SourceDiagnostic]| {
        errors.iter().map(|e| e.message.to_string()).collect::<Vec<_>>().join("; ")
    };
    let document: PagedDocument = typst::compile(&papers).output.map_err(|e| broken(said(&e)))?;
    let pdf_options = PdfOptions {
        ident: Smart::Custom(format!("{} {}", options.digest, holefast::VERSION)),
        creator: Smart::Custom(Some(format!("holefast {}", holefast::VERSION))),
        ..PdfOptions::default()
    };
    let pdf = typst_pdf::pdf(&document, &pdf_options).map_err(|e| broken(said(&e)))?;
    // Memoized layouts of this book are of no use to the next.
    typst::comemo::evict(0);
    Ok(pdf)
}
