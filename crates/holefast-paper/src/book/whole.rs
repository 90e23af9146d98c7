//! The whole way from a job to its book: layout, plan, prediction, pages. Command line and web app go
//! it alike, so that their books say the same.

use holefast::breakdown::Effort;
use holefast::cut::{Places, settle};
use holefast::desk::{Boards, Desk};
use holefast::parts::on_top::on_top;
use holefast::parts::{break_down, usual_rounds};
use holefast::predict::{Prediction, Run};
use holefast::proof::Proof;
use holefast::{Fault, FaultKind, Job, Layout, Plan};

use super::{Book, BookOptions, Expectation, ListPages, MorePages, Paper, Site, book_with_more};
use crate::digest;

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
    let desk = Desk::new(job);
    let (layout, plan) = (desk.layout()?, desk.plan()?);
    (making.tell)(Stage::Predicting);
    let prediction = desk.prediction(Boards::of(making.boards), making.run)?;
    let lessenings = desk.lessenings()?;
    (making.tell)(Stage::Setting);
    let expected = Expectation::of(&prediction, &lessenings, job.accuracy.confidence, job.units);
    let site = making.site.clone().map(|page| Site { page, job_text: text.to_owned() });
    let options = BookOptions { paper: making.paper, digest: digest(text), site };
    let (mut more, mut remarks) = match (job.cuts.is_empty(), job.part_list.parts.is_empty()) {
        (true, true) => (MorePages::none(layout), Vec::new()),
        _ => {
            let (places, mut remarks) = desk.places_if_proved()?;
            let settled = settle(job, &places)?;
            let list = listed(job, &places, &mut remarks);
            (MorePages { places, settled, proof: None, list }, remarks)
        }
    };
    more.proof = proved(&desk, &mut remarks);
    remarks.extend(more.settled.iter().flat_map(|cut| cut.remarks.clone()));
    let book = book_with_more(job, layout, plan, &expected, &options, &more);
    remarks.extend(book.remarks.iter().cloned());
    Ok(Made { layout: layout.clone(), plan: plan.clone(), prediction, remarks, book })
}

/// The job's list of parts, broken down and set up. One that cannot be cut leaves its pages out, with
/// a remark: the top is bored all the same.
fn listed(job: &Job, places: &Places, remarks: &mut Vec<Fault>) -> Option<ListPages> {
    if job.part_list.parts.is_empty() {
        return None;
    }
    let effort = Effort { rounds: usual_rounds(job), seed: holefast::desk::SEED };
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

/// What the job's readings prove. Readings that cannot be used leave their page out, with a remark: who
/// makes a book may be on the way to better ones.
fn proved(desk: &Desk<'_>, remarks: &mut Vec<Fault>) -> Option<Proof> {
    if desk.job().proof.readings.is_empty() {
        return None;
    }
    match desk.proof(holefast::desk::SEED) {
        Ok(proof) => Some(proof),
        Err(faults) => {
            remarks.extend(left_out("what is proved", faults));
            None
        }
    }
}
