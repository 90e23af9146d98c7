//! The state of a job on the bench: its text, what it reads as, what can be undone. Pure; the page
//! shows it and hands changes in.
//!
//! The text is the job. Drawing, figures and table follow from it, so that they cannot disagree.

use holefast::job::{Setting, bring_back, leave_out, parse, set};
use holefast::top::{Cell, lay_out};
use holefast::{Fault, Job, Layout};

/// A job that reads and can be laid out.
#[derive(Clone, Debug)]
pub struct Laid {
    /// The job.
    pub job: Job,
    /// Its layout.
    pub layout: Layout,
}

/// A job, its last good layout, and its past and future.
#[derive(Clone, Debug)]
pub struct Bench {
    text: String,
    past: Vec<String>,
    future: Vec<String>,
    laid: Option<Laid>,
    faults: Vec<Fault>,
}

impl Bench {
    /// A job as it stands in a file, without a past.
    pub fn new(text: &str) -> Bench {
        let mut bench =
            Bench { text: text.to_owned(), past: Vec::new(), future: Vec::new(), laid: None, faults: Vec::new() };
        bench.read();
        bench
    }

    /// The job's text.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// What is drawn: the text's own layout, or the last one that there was while the text is faulty.
    pub fn laid(&self) -> Option<&Laid> {
        self.laid.as_ref()
    }

    /// What is wrong with the text, remarks left out.
    pub fn faults(&self) -> &[Fault] {
        &self.faults
    }

    /// True if there is something to undo.
    pub fn can_undo(&self) -> bool {
        !self.past.is_empty()
    }

    /// True if there is something to do again.
    pub fn can_redo(&self) -> bool {
        !self.future.is_empty()
    }

    /// The last change taken back.
    pub fn undo(&mut self) {
        if let Some(before) = self.past.pop() {
            self.future.push(std::mem::replace(&mut self.text, before));
            self.read();
        }
    }

    /// The change that was taken back last, made again.
    pub fn redo(&mut self) {
        if let Some(after) = self.future.pop() {
            self.past.push(std::mem::replace(&mut self.text, after));
            self.read();
        }
    }

    /// Another text, typed or read from a file.
    pub fn change(&mut self, text: String) {
        if text != self.text {
            self.past.push(std::mem::replace(&mut self.text, text));
            self.future.clear();
            self.read();
        }
    }

    /// One value of the job; a plain number where it is one, else a text with its unit.
    pub fn set(&mut self, path: &str, typed: &str) -> Result<(), Fault> {
        let typed = typed.trim();
        let setting = match typed.replace(',', ".").parse::<f64>() {
            Ok(number) if number.is_finite() => Setting::Number(number),
            _ => Setting::Text(typed.to_owned()),
        };
        let text = set(&self.text, path, &setting)?;
        self.change(text);
        Ok(())
    }

    /// Leaves a place out, or brings it back if it is left out.
    pub fn toggle(&mut self, place: Cell) -> Result<(), Fault> {
        let text =
            if self.is_wanted(place) { leave_out(&self.text, &[place]) } else { bring_back(&self.text, &[place]) }?;
        self.change(text);
        Ok(())
    }

    /// True if the job wants a hole here, possible or not.
    pub fn is_wanted(&self, place: Cell) -> bool {
        self.laid.as_ref().is_some_and(|laid| {
            let grid = &laid.job.grid;
            let in_any = |ranges: &[holefast::top::CellRange]| ranges.iter().any(|range| range.contains(place));
            !in_any(&grid.skip) && grid.only.as_deref().is_none_or(in_any)
        })
    }

    fn read(&mut self) {
        let parsed = parse(&self.text);
        let remark = |f: &Fault| f.kind == holefast::FaultKind::Remark;
        self.faults = parsed.faults.into_iter().filter(|f| !remark(f)).collect();
        let Some(job) = parsed.job else { return };
        match lay_out(&job) {
            Ok(layout) => self.laid = Some(Laid { job, layout }),
            Err(faults) => self.faults.extend(faults),
        }
    }
}
