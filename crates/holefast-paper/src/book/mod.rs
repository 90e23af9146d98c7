//! The shop book: cover, kit, safety, one card for every set-up, opening order, finishing, budget,
//! reading sheet, page by page.
//!
//! `pages` gathers what stands on which page, `lay` sets it. Words of the cards and all drawings come ready
//! from the core; nothing is computed here but places on paper. No date, no font of the machine: the same
//! job gives the same bytes.

mod expectation;
mod lay;
mod pages;
mod text;
mod whole;

use std::collections::BTreeSet;

use holefast::cut::{Places, Settled};
use holefast::drawing::Theme;
use holefast::parts::CutList;
use holefast::parts::on_top::OnTop;
use holefast::proof::Proof;
use holefast::{Fault, Job, Layout, Plan};

use crate::page::{Faces, Page, Remark};
use crate::pdf::{About, Check};

pub use expectation::{BudgetRow, CheckWorth, Expectation};
pub use whole::{Made, Making, Stage, make};

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

/// A book, set: its pages, and what there is to say of them.
pub struct Book {
    /// The pages, in order.
    pub pages: Vec<Page>,
    /// What had to be shortened, what the papers' faces lack; each a fault of kind remark.
    pub remarks: Vec<Fault>,
    title: String,
    identity: String,
    faces: Faces,
}

impl Book {
    /// The book as a PDF.
    ///
    /// Errors: a fault with the writer's own words; not met unless a page is not what it should be.
    pub fn pdf(&mut self) -> Result<Vec<u8>, Fault> {
        self.written(Check::None)
    }

    /// The same, held against what a program can tell of PDF for universal access (ISO 14289-1).
    ///
    /// Errors: as [`Book::pdf`], and what falls short of it.
    pub fn accessible_pdf(&mut self) -> Result<Vec<u8>, Fault> {
        self.written(Check::Access)
    }

    fn written(&mut self, check: Check) -> Result<Vec<u8>, Fault> {
        let creator = format!("holefast {}", holefast::VERSION);
        let about = About { title: &self.title, language: "en-GB", creator: &creator, identity: &self.identity, check };
        crate::pdf::pdf(&self.pages, &about, &mut self.faces)
            .map_err(|what| Fault::impossible(format!("the shop book could not be written: {what}")).hint(text::BUG))
    }

    /// A page as an SVG file, from 0; none past the last.
    pub fn svg(&self, page: usize) -> Option<String> {
        self.pages.get(page).map(|page| crate::svg(&page.scene, &Theme::PAPER))
    }
}

/// Sets the shop book without pages for cuts, readings and parts.
pub fn book(job: &Job, layout: &Layout, plan: &Plan, expected: &Expectation, options: &BookOptions) -> Book {
    book_with_more(job, layout, plan, expected, options, &MorePages::none(layout))
}

/// Sets the shop book, with a card for each of these cuts, the list of parts and what is proved.
pub fn book_with_more(
    job: &Job,
    layout: &Layout,
    plan: &Plan,
    expected: &Expectation,
    options: &BookOptions,
    more: &MorePages,
) -> Book {
    let mut lay = pages::gather(job, layout, plan, expected, options, more);
    for page in &lay.pages {
        lay.faces.look_over(&page.scene);
    }
    let remarks: BTreeSet<&Remark> = lay.remarks.iter().collect();
    Book {
        pages: lay.pages,
        remarks: remarks.into_iter().map(text::remark).chain(text::lacking(lay.faces.lacking())).collect(),
        title: format!("{}: {}", text::BOOK, job.name),
        identity: format!("{} {}", options.digest, holefast::VERSION),
        faces: lay.faces,
    }
}
