//! The state of a job on the bench: its text, what it reads as, what can be undone. Pure; the page
//! shows it and hands changes in.
//!
//! The text is the job. Drawing, figures and table follow from it, so that they cannot disagree.

use holefast::job::{
    MeasuringTool, NewReading, Setting, Units, add_instrument, add_keep_out, add_reading, bring_back, in_units,
    leave_out, parse, put_origin, remove, set, snapped, step,
};
use holefast::top::{Cell, KeepOutShape, lay_out};
use holefast::{Fault, FaultKind, Job, Layout};

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
    /// The text before a change that is only tried so far.
    before: Option<String>,
}

impl Bench {
    /// A job as it stands in a file, without a past.
    pub fn new(text: &str) -> Bench {
        let mut bench = Bench {
            text: text.to_owned(),
            past: Vec::new(),
            future: Vec::new(),
            laid: None,
            faults: Vec::new(),
            before: None,
        };
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
        self.drop_tried();
        if let Some(before) = self.past.pop() {
            self.future.push(std::mem::replace(&mut self.text, before));
            self.read();
        }
    }

    /// The change that was taken back last, made again.
    pub fn redo(&mut self) {
        self.drop_tried();
        if let Some(after) = self.future.pop() {
            self.past.push(std::mem::replace(&mut self.text, after));
            self.read();
        }
    }

    /// Another text, typed or read from a file.
    pub fn change(&mut self, text: String) {
        self.drop_tried();
        if text != self.text {
            self.past.push(std::mem::replace(&mut self.text, text));
            self.future.clear();
            self.read();
        }
    }

    /// A text that is tried: shown and told as any, but no step yet. While a finger pulls there is a
    /// new one with every move.
    pub fn try_on(&mut self, text: String) {
        if text != self.text {
            let was = std::mem::replace(&mut self.text, text);
            self.before.get_or_insert(was);
            self.read();
        }
    }

    /// What was tried becomes one step; true if there was anything to keep.
    pub fn keep_tried(&mut self) -> bool {
        match self.before.take() {
            Some(before) if before != self.text => {
                self.past.push(before);
                self.future.clear();
                true
            }
            _ => false,
        }
    }

    /// What was tried is given up.
    pub fn drop_tried(&mut self) {
        if let Some(before) = self.before.take() {
            self.text = before;
            self.read();
        }
    }

    /// One value of the job; a plain number where it is one, else a text with its unit.
    pub fn set(&mut self, path: &str, typed: &str) -> Result<(), Fault> {
        let text = set(&self.text, path, &setting_of(typed))?;
        self.change(text);
        Ok(())
    }

    /// One value of the job that is a text, numbers in it too.
    pub fn set_text(&mut self, path: &str, typed: &str) -> Result<(), Fault> {
        let text = set(&self.text, path, &Setting::Text(typed.to_owned()))?;
        self.change(text);
        Ok(())
    }

    /// A1 where it stands now, one of its two distances as it was typed.
    pub fn put_origin(&mut self, typed: Option<(usize, &str)>) -> Result<(), Fault> {
        let Some(laid) = &self.laid else { return Ok(()) };
        let mut text = put_origin(&self.text, laid.job.units, laid.layout.place(0, 0))?;
        if let Some((axis, typed)) = typed {
            text = set(&text, &format!("grid.origin[{axis}]"), &setting_of(typed))?;
        }
        self.change(text);
        Ok(())
    }

    /// One more keep-out, in the middle of the sheet, a twelfth of it long and wide.
    pub fn add_keep_out(&mut self) -> Result<(), Fault> {
        const PART: f64 = 12.0;
        let Some(Laid { job, .. }) = &self.laid else { return Ok(()) };
        let part = |mm: f64| snapped(job.units, mm / PART).max(step(job.units));
        let (length, width) = (part(job.top.length), part(job.top.width));
        let middle = |all: f64, part: f64| snapped(job.units, 0.5 * (all - part));
        let (x, y) = (middle(job.top.length, length), middle(job.top.width, width));
        let text = add_keep_out(&self.text, job, KeepOutShape::Rect { x, y, length, width })?;
        self.change(text);
        Ok(())
    }

    /// One more reading.
    pub fn add_reading(&mut self, new: &NewReading) -> Result<(), Fault> {
        let Some(Laid { job, .. }) = &self.laid else { return Ok(()) };
        let text = add_reading(&self.text, job, new)?;
        // A reading that makes no sense is not entered: the form still holds what was typed.
        if let Some(fault) = parse(&text).faults.into_iter().find(|f| f.kind != FaultKind::Remark) {
            return Err(fault);
        }
        self.change(text);
        Ok(())
    }

    /// One more instrument.
    pub fn add_instrument(&mut self, tool: MeasuringTool) -> Result<(), Fault> {
        let Some(Laid { job, .. }) = &self.laid else { return Ok(()) };
        let text = add_instrument(&self.text, job, tool)?;
        self.change(text);
        Ok(())
    }

    /// The same job in millimetres or inches.
    pub fn switch_units(&mut self, to: Units) -> Result<(), Fault> {
        let text = in_units(&self.text, to)?;
        self.change(text);
        Ok(())
    }

    /// The job without something at a path.
    pub fn remove(&mut self, path: &str) -> Result<(), Fault> {
        let text = remove(&self.text, path)?;
        self.change(text);
        Ok(())
    }

    /// A rail or fence for the kit, by what was typed for it, in the order of the place Cut's fields.
    pub fn add_tool(&mut self, key: &str, typed: &[String]) -> Result<(), Fault> {
        let values: Vec<Setting> = typed.iter().map(|typed| setting_of(typed)).collect();
        let (keys, lists): (&[&str], _) = match key {
            "rail" => (&["length", "cut"], Some("run")),
            _ => (&["length", "height"], None),
        };
        if let Some(empty) = typed.iter().position(|typed| typed.trim().is_empty()) {
            let message = format!("field {} is empty", empty + 1);
            return Err(Fault::input(message).hint("fill all of them, as in 1500 or 1.5 m"));
        }
        let mut text = self.text.clone();
        for (key_of, value) in keys.iter().zip(&values) {
            text = set(&text, &format!("kit.{key}.{key_of}"), value)?;
        }
        if let Some(list) = lists {
            text = set(&text, &format!("kit.{key}.{list}"), &Setting::List(values[keys.len()..].to_vec()))?;
        }
        self.change(text);
        Ok(())
    }

    /// Another name for the job.
    pub fn rename(&mut self, name: &str) -> Result<(), Fault> {
        let text = set(&self.text, "name", &Setting::Text(name.trim().to_owned()))?;
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

/// What was typed: a plain number where it is one, else a text with its unit.
pub fn setting_of(typed: &str) -> Setting {
    let typed = typed.trim();
    match typed.replace(',', ".").parse::<f64>() {
        Ok(number) if number.is_finite() => Setting::Number(number),
        _ => Setting::Text(typed.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_tried_is_one_step_or_none() {
        let mut bench = Bench::new(crate::EXAMPLE);
        let longer = |mm: u32| crate::EXAMPLE.replacen("length = 1450 ", &format!("length = {mm} "), 1);
        bench.try_on(longer(1451));
        bench.try_on(longer(1550));
        assert_eq!(bench.laid().map(|l| l.layout.columns), Some(15));
        assert!(!bench.can_undo());
        assert!(bench.keep_tried());
        bench.undo();
        assert_eq!(bench.text(), crate::EXAMPLE);
        bench.redo();
        assert_eq!(bench.text(), longer(1550));
        bench.try_on(longer(1700));
        bench.drop_tried();
        assert_eq!(bench.text(), longer(1550));
        assert!(!bench.keep_tried());
        bench.try_on(longer(1700));
        bench.undo();
        assert_eq!(bench.text(), crate::EXAMPLE, "what was only tried is no step to go back to");
    }

    #[test]
    fn a_faulty_text_keeps_the_last_drawing_and_is_kept_itself() {
        let mut bench = Bench::new(crate::EXAMPLE);
        bench.change("length = ".to_owned());
        assert!(!bench.faults().is_empty());
        assert_eq!(bench.laid().map(|l| l.layout.holes.len()), Some(98));
        assert_eq!(bench.text(), "length = ");
        bench.undo();
        assert!(bench.faults().is_empty());
    }
}
