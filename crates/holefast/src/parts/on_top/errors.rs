//! How far out a part's size and square can be, by the cuts that make it.
//!
//! A piece's size along the way a cut is measured is as sure as that cut's stop; what is left of it is
//! as sure as it was and that stop together. A side is as square as the cut that made it. What was cut
//! elsewhere, or is as the sheet comes, is not known.

use std::collections::BTreeMap;

use super::super::{CutList, Makes, Step, Why, in_mm};
use super::{How, SetUp, TopCut, Which, WhyNot};
use crate::breakdown::Size;
use crate::job::Job;

/// Half of the interval that holds 95 of 100, in standard uncertainties.
const NINETY_FIVE: f64 = 1.96;

/// Whether a part's tolerance is kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Keeps {
    /// 95 times in 100 or more often.
    Yes,
    /// Less often.
    No,
    /// Some size or side is not known.
    NotKnown,
}

/// How far out the worst of a sort of parts may be, 95 times in 100.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartError {
    /// The part, by its place in the list.
    pub part: usize,
    /// Its length, mm; `None` where that is not known.
    pub length: Option<f64>,
    /// Its width.
    pub width: Option<f64>,
    /// How far a side leans over its own length, mm.
    pub square: Option<f64>,
    /// Against its tolerance; `None` where it states none.
    pub keeps: Option<Keeps>,
}

/// What is known of a piece: the variance of its size along each axis, mm²; how far cuts measured along
/// each lean, mm per mm.
#[derive(Clone, Copy, Debug, Default)]
struct Known {
    size: [Option<f64>; 2],
    lean: [Option<f64>; 2],
}

/// The greater of two, not known where one is not.
fn worse(a: Option<f64>, b: Option<f64>) -> Option<f64> {
    Some(a?.max(b?))
}

/// How far a cut leans 95 times in 100, and the variance of the length it is set to.
fn of_cut(set_ups: &[SetUp], how: &Result<How, WhyNot>) -> (Option<f64>, Option<f64>) {
    let Ok(how) = how else { return (None, None) };
    let (off, u) = set_ups[how.set_up].deviation();
    let size = how.stop.and_then(|stop| stop.u_length).map(|u| u * u);
    (u.map(|u| off.abs() + NINETY_FIVE * u), size)
}

/// The errors of all sorts of parts that are cut.
pub(super) fn of(job: &Job, list: &CutList, set_ups: &[SetUp], cuts: &[TopCut]) -> Vec<PartError> {
    let mut out: BTreeMap<usize, PartError> = BTreeMap::new();
    for (number, batch) in list.batches.iter().enumerate() {
        let mut pieces: BTreeMap<String, Known> = BTreeMap::new();
        let here = cuts.iter().filter(|cut| cut.batch == number);
        for cut in here {
            match cut.which {
                Which::Step(i) => {
                    let step = &batch.steps[i];
                    let (lean, size) = of_cut(set_ups, &cut.how);
                    for (part, known) in go_on(&mut pieces, step, lean, size) {
                        let part = batch.parts[part];
                        put(&mut out, job, part, &known, step);
                    }
                }
                Which::End(part, _) => {
                    let (lean, size) = of_cut(set_ups, &cut.how);
                    if let Some(error) = out.get_mut(&part) {
                        error.length = worse(error.length, size.map(|v| NINETY_FIVE * v.sqrt()));
                        error.square = worse(error.square, lean.map(|l| l * cut.runs));
                    }
                }
            }
        }
    }
    let mut out: Vec<PartError> = out.into_values().collect();
    for error in &mut out {
        error.keeps =
            job.part_list.parts[error.part].tolerance.map(|limit| match [error.length, error.width, error.square] {
                all if all.iter().flatten().any(|e| *e > limit) => Keeps::No,
                [Some(_), Some(_), Some(_)] => Keeps::Yes,
                _ => Keeps::NotKnown,
            });
    }
    out
}

/// Makes a cut, and returns the parts that come of it with what is known of them.
fn go_on(
    pieces: &mut BTreeMap<String, Known>,
    step: &Step,
    lean: Option<f64>,
    size: Option<f64>,
) -> Vec<(usize, Known)> {
    let a = step.along.index();
    let mut whole = pieces.get(&step.from).copied().unwrap_or_default();
    match step.why {
        // The edge that all is measured from is straight; what is square to it follows.
        Why::ReferenceEdge => whole.lean[a] = Some(0.0),
        Why::SquareEnd => whole.lean[a] = lean,
        Why::FarEdge => {
            whole.size[a] = size;
            whole.lean[a] = worse(whole.lean[a], lean);
        }
        Why::Piece => {
            let mut off = whole;
            off.size[a] = size;
            off.lean[a] = worse(whole.lean[a], lean);
            whole.size[a] = whole.size[a].zip(size).map(|(a, b)| a + b);
            whole.lean[a] = worse(whole.lean[a], lean);
            let mut parts = Vec::new();
            for (makes, known) in [(Some(&step.makes), off), (step.leaves.as_ref(), whole)] {
                match makes {
                    Some(Makes::Part(part)) => parts.push((*part, known)),
                    Some(Makes::Marked(mark)) => {
                        pieces.insert(mark.clone(), known);
                    }
                    _ => {}
                }
            }
            pieces.insert(step.from.clone(), whole);
            return parts;
        }
    }
    pieces.insert(step.from.clone(), whole);
    Vec::new()
}

/// Takes a part in; of several of a sort the worst is told.
fn put(out: &mut BTreeMap<usize, PartError>, job: &Job, part: usize, known: &Known, step: &Step) {
    let wanted = &job.part_list.parts[part];
    let sides = [wanted.length, wanted.width];
    // Its side across the cut's measure is as long as the cut.
    let across: Size = step.runs[1] - step.runs[0];
    let a = step.along.index();
    let lies_along = (in_mm(across) - wanted.width).abs() <= (in_mm(across) - wanted.length).abs();
    let length_axis = if lies_along { a } else { 1 - a };
    let interval = |v: Option<f64>| v.map(|v| NINETY_FIVE * v.sqrt());
    let (length, width) = (interval(known.size[length_axis]), interval(known.size[1 - length_axis]));
    // A cut measured along the length makes a side as long as the width.
    let ends = known.lean[length_axis].map(|lean| lean * sides[1]);
    let edges = known.lean[1 - length_axis].map(|lean| lean * sides[0]);
    let square = worse(ends, edges);
    let new = PartError { part, length, width, square, keeps: None };
    out.entry(part)
        .and_modify(|old| {
            old.length = worse(old.length, new.length);
            old.width = worse(old.width, new.width);
            old.square = worse(old.square, new.square);
        })
        .or_insert(new);
}
