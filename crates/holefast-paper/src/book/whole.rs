//! The whole way from a job to its book: layout, plan, prediction, pages. Command line and web app go
//! it alike, so that their books say the same.

use holefast::breakdown::Effort;
use holefast::cut::{Places, places_for, settle};
use holefast::parts::on_top::on_top;
use holefast::parts::{break_down, usual_rounds};
use holefast::plan::{PlanOptions, make_plan};
use holefast::predict::{Ask, Model, Prediction, Run, lessen, lines_of, predict};
use holefast::proof::{Proof, ProofAsk, prove};
use holefast::reading::Prior;
use holefast::{Fault, FaultKind, Job, Layout, Plan, top};

use super::{Book, BookOptions, Expectation, ListPages, MorePages, Paper, Site, book_with_more};
use crate::digest;

/// Virtual boards behind a book's expected accuracy, where nothing else is asked for.
pub const BOARDS: u64 = 20_000;

/// The seed of a book's virtual boards: the same job gives the same book.
const SEED: u64 = 1;

/// The seed of the search for a breakdown, that of `holefast parts` and `cut`.
const LIST_SEED: u64 = 1;

/// What is being done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stage {
    /// Layout and plan.
    Planning,
    /// Virtual boards and what their results say.
    Predicting,
    /// The pages.
    Setting,
}

/// How a book is made.
pub struct Making<'a> {
    /// Paper to print on.
    pub paper: Paper,
    /// Virtual boards; 0 leaves the expectation at first order.
    pub boards: u64,
    /// Address of a page that opens the job ([`page_address`](crate::link::page_address)), for a code on
    /// the cover.
    pub site: Option<String>,
    /// Works the blocks of boards out.
    pub run: &'a Run<'a>,
    /// Called when a stage begins.
    pub tell: &'a dyn Fn(Stage),
}

/// A book and what it was made from.
pub struct Made {
    /// The layout.
    pub layout: Layout,
    /// The plan.
    pub plan: Plan,
    /// The prediction.
    pub prediction: Prediction,
    /// What there is to say of the job's cuts.
    pub remarks: Vec<Fault>,
    /// The book.
    pub book: Book,
}

/// Makes the book of a job; `text` is what the job was read from.
///
/// Errors: what layout, plan or prediction find impossible.
pub fn make(text: &str, job: &Job, making: &Making<'_>) -> Result<Made, Vec<Fault>> {
    (making.tell)(Stage::Planning);
    let layout = top::lay_out(job)?;
    let plan = make_plan(job, &layout, &PlanOptions::default())?;
    // A job without a kit has no plan.
    let kit = job.kit.as_ref().ok_or_else(|| vec![Fault::impossible("the job has no kit").hint("add [kit]")])?;
    (making.tell)(Stage::Predicting);
    let model = Model::new(kit, &plan)?.in_climate(&job.top, job.climate.as_ref());
    let ask = Ask {
        boards: making.boards,
        seed: SEED,
        checks: true,
        lines: lines_of(job),
        square_limit: job.accuracy.square,
    };
    let prediction = predict(&model, &ask, making.run)?;
    let lessenings = lessen(kit, &plan)?;
    (making.tell)(Stage::Setting);
    let expected = Expectation::of(&prediction, &lessenings, job.accuracy.confidence, job.units);
    let site = making.site.clone().map(|page| Site { page, job_text: text.to_owned() });
    let options = BookOptions { paper: making.paper, digest: digest(text), site };
    let (mut more, mut remarks) = match (job.cuts.is_empty(), job.part_list.parts.is_empty()) {
        (true, true) => (MorePages::none(&layout), Vec::new()),
        _ => {
            let (places, mut remarks) = places_for(job, &layout, Some(&model));
            let settled = settle(job, &places)?;
            let list = listed(job, &places, &mut remarks);
            (MorePages { places, settled, proof: None, list }, remarks)
        }
    };
    more.proof = proved(job, &layout, &model, &mut remarks);
    remarks.extend(more.settled.iter().flat_map(|cut| cut.remarks.clone()));
    let book = book_with_more(job, &layout, &plan, &expected, &options, &more);
    remarks.extend(book.remarks.iter().cloned());
    Ok(Made { layout, plan, prediction, remarks, book })
}

/// The job's list of parts, broken down and set up. One that cannot be cut leaves its pages out and is
/// told: the top is bored all the same.
fn listed(job: &Job, places: &Places, remarks: &mut Vec<Fault>) -> Option<ListPages> {
    if job.part_list.parts.is_empty() {
        return None;
    }
    let effort = Effort { rounds: usual_rounds(job), seed: LIST_SEED };
    match break_down(job, effort, &mut |_| true) {
        Ok(list) => {
            remarks.extend(list.remarks.iter().cloned());
            let top = on_top(job, places, &list, &mut |_| true);
            Some(ListPages { list, top })
        }
        Err(faults) => {
            remarks.extend(left_out("the list of parts", faults));
            None
        }
    }
}

/// Faults of what is left out of the book, as remarks.
fn left_out(what: &str, faults: Vec<Fault>) -> impl Iterator<Item = Fault> {
    faults.into_iter().map(move |fault| match fault.kind {
        FaultKind::Remark => fault,
        _ => Fault { kind: FaultKind::Remark, message: format!("no page of {what}: {}", fault.message), ..fault },
    })
}

/// What the job's readings prove. Readings that cannot be used leave their page out and are told: who makes
/// a book may be on the way to better ones.
fn proved(job: &Job, layout: &Layout, model: &Model, remarks: &mut Vec<Fault>) -> Option<Proof> {
    if job.proof.readings.is_empty() {
        return None;
    }
    let prediction = (job.proof.prior == Some(Prior::Prediction)).then(|| model.hole_covariance());
    match prove(job, layout, &ProofAsk { prediction: prediction.as_ref(), seed: SEED }) {
        Ok(proof) => Some(proof),
        Err(faults) => {
            remarks.extend(left_out("what is proved", faults));
            None
        }
    }
}
