//! Reads a job from its text, with every fault located.

use super::Job;
use crate::fault::Fault;

/// What reading a job gives.
#[derive(Clone, Debug, PartialEq)]
pub struct Parsed {
    /// The job, if it has no input faults.
    pub job: Option<Job>,
    /// All faults and remarks, in the order of the text.
    pub faults: Vec<Fault>,
}

/// Reads a job; all faults are reported at once.
pub fn parse(text: &str) -> Parsed {
    let _ = text;
    Parsed { job: None, faults: vec![Fault::input("not read yet")] }
}
