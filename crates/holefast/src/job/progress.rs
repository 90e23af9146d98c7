//! What was done at the bench, written into the job's own text: holes bored and opened, holes spoiled,
//! and what else was ticked off. Everything else that the maker wrote stays as it is.

use std::collections::BTreeSet;

use super::edit::{Setting, remove, set};
use super::{Done, DoneAs, Job, parse};
use crate::fault::Fault;
use crate::top::{Cell, CellRange};

/// The text with these places bored, or opened. A place that is bored anew is spoiled no longer, and one
/// that is opened is a pilot no longer.
///
/// Errors: the text is no job that can be read; then nothing is changed.
pub fn mark_done(text: &str, places: &[Cell], as_: DoneAs) -> Result<String, Fault> {
    let mut text = text.to_owned();
    for place in places {
        text = mend(&text, &place.to_string())?;
    }
    let job = read(&text)?;
    let is = |place: &Cell, how: DoneAs| job.done.iter().any(|d| d.as_ == how && names(d, *place));
    // What is open already needs no pilot.
    let new: Vec<Cell> = places.iter().filter(|p| !is(p, as_) && !is(p, DoneAs::Dog)).copied().collect();
    if as_ == DoneAs::Dog {
        text = take_out(&text, &new, DoneAs::Pilot)?;
    }
    put_in(&text, &new, as_)
}

/// The text with these places as they were before they were bored, or opened: what was opened through
/// its pilot is a pilot again.
///
/// Errors: as [`mark_done`].
pub fn mark_not_done(text: &str, places: &[Cell], as_: DoneAs, had_pilots: bool) -> Result<String, Fault> {
    let text = take_out(text, places, as_)?;
    if as_ == DoneAs::Dog && had_pilots { put_in(&text, places, DoneAs::Pilot) } else { Ok(text) }
}

/// The text with a hole spoiled.
///
/// Errors: as [`mark_done`].
pub fn spoil(text: &str, hole: &str, why: &str) -> Result<String, Fault> {
    let text = mend(text, hole)?;
    let at = format!("spoiled[{}]", read(&text)?.spoiled.len());
    let text = set(&text, &format!("{at}.hole"), &Setting::Text(hole.to_owned()))?;
    let why = why.trim();
    if why.is_empty() { Ok(text) } else { set(&text, &format!("{at}.why"), &Setting::Text(why.to_owned())) }
}

/// The text with a hole spoiled no longer; as it was where it is not.
///
/// Errors: as [`mark_done`].
pub fn mend(text: &str, hole: &str) -> Result<String, Fault> {
    match read(text)?.spoiled.iter().position(|s| s.hole == hole) {
        Some(n) => remove(text, &format!("spoiled[{n}]")),
        None => Ok(text.to_owned()),
    }
}

/// The text with something ticked off that `[[done]]` has no place for: a check, the trial bore.
///
/// Errors: as [`mark_done`].
pub fn tick(text: &str, what: &str) -> Result<String, Fault> {
    let mut ticked = read(text)?.ticked;
    if ticked.iter().any(|t| t == what) {
        return Ok(text.to_owned());
    }
    ticked.push(what.to_owned());
    set(text, "bench.ticked", &Setting::List(ticked.into_iter().map(Setting::Text).collect()))
}

/// The text with a tick taken back.
///
/// Errors: as [`mark_done`].
pub fn untick(text: &str, what: &str) -> Result<String, Fault> {
    let ticked = read(text)?.ticked;
    let left: Vec<Setting> = ticked.iter().filter(|t| *t != what).cloned().map(Setting::Text).collect();
    if left.len() == ticked.len() {
        Ok(text.to_owned())
    } else if left.is_empty() {
        remove(text, "bench")
    } else {
        set(text, "bench.ticked", &Setting::List(left))
    }
}

fn read(text: &str) -> Result<Job, Fault> {
    let parsed = parse(text);
    parsed.job.ok_or_else(|| {
        let why = parsed.faults.into_iter().find(|f| f.kind != crate::fault::FaultKind::Remark);
        why.unwrap_or_else(|| Fault::input("this job cannot be read"))
    })
}

fn names(done: &Done, place: Cell) -> bool {
    done.holes.iter().any(|range| range.contains(place))
}

/// Adds places to the first list of that kind that says nothing more about its holes.
fn put_in(text: &str, places: &[Cell], as_: DoneAs) -> Result<String, Fault> {
    let job = read(text)?;
    let plain = |d: &Done| d.as_ == as_ && d.scatter.is_none() && d.helpers.is_empty();
    let named = |p: &Cell| job.done.iter().any(|d| d.as_ == as_ && names(d, *p));
    let new: Vec<Cell> = places.iter().filter(|p| !named(p)).copied().collect();
    if new.is_empty() {
        return Ok(text.to_owned());
    }
    let at = job.done.iter().position(plain);
    let old = at.and_then(|n| job.done.get(n)).map_or(&[][..], |d| &d.holes);
    let all = in_short(old.iter().flat_map(|range| range.cells()).chain(new).collect());
    let n = at.unwrap_or(job.done.len());
    let text = set(text, &format!("done[{n}].holes"), &listed(&all))?;
    if at.is_some() {
        return Ok(text);
    }
    let word = match as_ {
        DoneAs::Pilot => "pilot",
        DoneAs::Dog => "dog",
    };
    set(&text, &format!("done[{n}].as"), &Setting::Text(word.to_owned()))
}

/// Takes places out of every list of that kind; a list that is left empty goes.
fn take_out(text: &str, places: &[Cell], as_: DoneAs) -> Result<String, Fault> {
    let job = read(text)?;
    let mut text = text.to_owned();
    for (n, done) in job.done.iter().enumerate().rev().filter(|(_, d)| d.as_ == as_) {
        if !places.iter().any(|&p| names(done, p)) {
            continue;
        }
        let mut left: BTreeSet<Cell> = done.holes.iter().flat_map(|range| range.cells()).collect();
        for place in places {
            left.remove(place);
        }
        text = if !left.is_empty() {
            set(&text, &format!("done[{n}].holes"), &listed(&in_short(left)))?
        } else if done.helpers.is_empty() {
            remove(&text, &format!("done[{n}]"))?
        } else {
            remove(&text, &format!("done[{n}].holes"))?
        };
    }
    Ok(text)
}

fn listed(ranges: &[CellRange]) -> Setting {
    Setting::List(ranges.iter().map(|range| Setting::Text(range.to_string())).collect())
}

/// The same places as few rectangles: runs along a row, and runs alike in rows on end made one.
fn in_short(places: BTreeSet<Cell>) -> Vec<CellRange> {
    let mut runs: Vec<CellRange> = Vec::new();
    for place in places {
        match runs.last_mut() {
            Some(run) if run.to.row == place.row && run.to.column + 1 == place.column => run.to = place,
            _ => runs.push(CellRange::one(place)),
        }
    }
    let mut all: Vec<CellRange> = Vec::new();
    for run in runs {
        let below = all
            .iter_mut()
            .find(|r| r.to.row + 1 == run.from.row && r.from.column == run.from.column && r.to.column == run.to.column);
        match below {
            Some(range) => range.to = run.to,
            None => all.push(run),
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::made::Dice;

    const TOP: &str = include_str!("../../../../examples/trailer-top.toml");

    fn places(names: &[&str]) -> Vec<Cell> {
        names.iter().flat_map(|n| CellRange::parse(n).unwrap().cells()).collect()
    }

    fn done(text: &str, as_: DoneAs) -> BTreeSet<Cell> {
        let job = read(text).unwrap();
        job.done.iter().filter(|d| d.as_ == as_).flat_map(|d| &d.holes).flat_map(|r| r.cells()).collect()
    }

    #[test]
    fn rows_and_columns_are_written_in_short() {
        let row = mark_done(TOP, &places(&["A1:A14"]), DoneAs::Pilot).unwrap();
        let added = "\n[[done]]\nholes = [\"A1:A14\"]\nas = \"pilot\"\n";
        assert_eq!(row.replacen(added, "", 1), TOP, "what the maker wrote stays");
        let more = mark_done(&row, &places(&["B1:G1", "B9"]), DoneAs::Pilot).unwrap();
        assert!(more.contains("holes = [\"A1:A14\", \"B1:G1\", \"B9\"]"), "{more}");
        let filled = mark_done(&more, &places(&["B2:B14"]), DoneAs::Pilot).unwrap();
        assert!(filled.contains("holes = [\"A1:B14\", \"C1:G1\"]"), "{filled}");
    }

    #[test]
    fn what_is_opened_is_a_pilot_no_longer_and_back_again() {
        let pilots = mark_done(TOP, &places(&["A1:A3"]), DoneAs::Pilot).unwrap();
        let open = mark_done(&pilots, &places(&["A2"]), DoneAs::Dog).unwrap();
        assert_eq!(done(&open, DoneAs::Pilot), places(&["A1", "A3"]).into_iter().collect());
        assert_eq!(done(&open, DoneAs::Dog), places(&["A2"]).into_iter().collect());
        assert_eq!(mark_done(&open, &places(&["A2"]), DoneAs::Pilot).unwrap(), open, "an open hole stays open");
        let back = mark_not_done(&open, &places(&["A2"]), DoneAs::Dog, true).unwrap();
        assert_eq!(back, pilots);
        assert_eq!(mark_not_done(&back, &places(&["A1:A3"]), DoneAs::Pilot, false).unwrap(), TOP);
    }

    #[test]
    fn a_spoiled_hole_is_mended_by_boring_it_anew() {
        let pilots = mark_done(TOP, &places(&["A1:A3"]), DoneAs::Pilot).unwrap();
        let spoiled = spoil(&pilots, "A2", " bit wandered ").unwrap();
        let added = "\n[[spoiled]]\nhole = \"A2\"\nwhy = \"bit wandered\"\n";
        assert_eq!(spoiled.replacen(added, "", 1), pilots);
        assert_eq!(read(&spoil(&spoiled, "A2", "").unwrap()).unwrap().spoiled.len(), 1, "spoiled once");
        assert_eq!(mark_done(&spoiled, &places(&["A2"]), DoneAs::Pilot).unwrap(), pilots);
    }

    #[test]
    fn what_was_found_otherwise_keeps_what_is_said_of_it() {
        let found = format!("{TOP}\n[[done]]\nholes = [\"C1:C3\"]\nas = \"pilot\"\nscatter = 0.1\n");
        let text = mark_done(&found, &places(&["C4"]), DoneAs::Pilot).unwrap();
        assert!(text.starts_with(&found), "{text}");
        let text = mark_done(&text, &places(&["C2"]), DoneAs::Dog).unwrap();
        assert!(text.contains("holes = [\"C1\", \"C3\"]\nas = \"pilot\"\nscatter = 0.1"), "{text}");
    }

    #[test]
    fn ticks_come_and_go() {
        let one = tick(TOP, "trial bore").unwrap();
        let two = tick(&one, "check A1 \"<b>").unwrap();
        assert_eq!(read(&two).unwrap().ticked, ["trial bore", "check A1 \"<b>"]);
        assert_eq!(tick(&two, "trial bore").unwrap(), two);
        assert_eq!(untick(&two, "check A1 \"<b>").unwrap(), one);
        assert_eq!(untick(&one, "trial bore").unwrap(), TOP);
        assert!(tick("name = ", "x").is_err());
    }

    #[test]
    fn many_marks_and_their_backs_keep_the_sets() {
        let mut dice = Dice::new(3);
        let all = places(&["A1:G14"]);
        let (mut text, mut pilots, mut dogs) = (TOP.to_owned(), BTreeSet::new(), BTreeSet::new());
        for _ in 0..300 {
            let cell = all[(dice.unit() * all.len() as f64) as usize];
            if dogs.remove(&cell) {
                pilots.insert(cell);
                text = mark_not_done(&text, &[cell], DoneAs::Dog, true).unwrap();
            } else if pilots.remove(&cell) {
                dogs.insert(cell);
                text = mark_done(&text, &[cell], DoneAs::Dog).unwrap();
            } else {
                pilots.insert(cell);
                text = mark_done(&text, &[cell], DoneAs::Pilot).unwrap();
            }
            assert_eq!((done(&text, DoneAs::Pilot), done(&text, DoneAs::Dog)), (pilots.clone(), dogs.clone()));
        }
    }
}
