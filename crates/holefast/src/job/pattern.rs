//! Leaving places of the grid out and bringing them back, in the job's own text: `skip` and `only`
//! are changed, everything else the maker wrote stays as it is.

use super::edit::{Setting, remove, set};
use super::parse;
use crate::fault::Fault;
use crate::top::{Cell, CellRange};

/// The text with these places not wanted any more.
///
/// Errors: the text is no job that can be read; then nothing is changed.
pub fn leave_out(text: &str, places: &[Cell]) -> Result<String, Fault> {
    change(text, places, false)
}

/// The text with these places wanted again.
///
/// Errors: as [`leave_out`].
pub fn bring_back(text: &str, places: &[Cell]) -> Result<String, Fault> {
    change(text, places, true)
}

fn change(text: &str, places: &[Cell], wanted: bool) -> Result<String, Fault> {
    let grid = match parse(text) {
        parsed if parsed.job.is_none() => {
            let why = parsed.faults.into_iter().find(|f| f.kind != crate::fault::FaultKind::Remark);
            return Err(why.unwrap_or_else(|| Fault::input("this job cannot be read")));
        }
        parsed => parsed.job.map(|job| job.grid),
    };
    let Some(grid) = grid else { return Ok(text.to_owned()) };
    // `only` names what is wanted, `skip` what is not: the same change is an addition to one list
    // and a subtraction from the other.
    let (key, old, adds) = match grid.only {
        Some(only) => ("grid.only", only, wanted),
        None => ("grid.skip", grid.skip, !wanted),
    };
    let mut ranges = old.clone();
    for &place in places {
        if !adds {
            ranges = ranges.into_iter().flat_map(|range| range.without(place)).collect();
        } else if !ranges.iter().any(|range| range.contains(place)) {
            ranges.push(CellRange::one(place));
        }
    }
    if ranges == old {
        return Ok(text.to_owned());
    }
    // An empty `only` would want nothing at all, which is no job; an empty `skip` says nothing.
    if ranges.is_empty() && key == "grid.skip" {
        return remove(text, key);
    }
    let names = ranges.iter().map(|range| Setting::Text(range.to_string())).collect();
    set(text, key, &Setting::List(names))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::testing::made::Dice;
    use crate::top::lay_out;

    const TRAILER_TOP: &str = include_str!("../../../../examples/trailer-top.toml");

    fn places(names: &[&str]) -> Vec<Cell> {
        names.iter().map(|n| Cell::parse(n).unwrap()).collect()
    }

    fn wanted(text: &str) -> BTreeSet<Cell> {
        let job = parse(text).job.unwrap();
        lay_out(&job).unwrap().holes.iter().filter_map(|h| h.cell).collect()
    }

    #[test]
    fn a_place_left_out_and_brought_back_leaves_the_text_as_it_was() {
        let out = leave_out(TRAILER_TOP, &places(&["D4"])).unwrap();
        assert!(out.contains("skip = [\"D4\"]"), "{out}");
        assert_eq!(wanted(&out).len(), 97);
        assert_eq!(bring_back(&out, &places(&["D4"])).unwrap(), TRAILER_TOP);
        assert_eq!(leave_out(&out, &places(&["D4"])).unwrap(), out, "twice is once");
    }

    #[test]
    fn a_range_gives_up_one_place_and_only_takes_one() {
        let ranged = TRAILER_TOP.replacen("# skip = [\"C4\", \"D4:D9\"] ", "skip = [\"C4\", \"D4:D9\"] ", 1);
        let back = bring_back(&ranged, &places(&["D6"])).unwrap();
        assert!(back.contains("skip = [\"C4\", \"D4:D5\", \"D7:D9\"]"), "{back}");
        let only = TRAILER_TOP.replacen("# skip = [\"C4\", \"D4:D9\"] ", "only = [\"A1:C4\"] ", 1);
        let more = bring_back(&only, &places(&["D1"])).unwrap();
        assert!(more.contains("only = [\"A1:C4\", \"D1\"]"), "{more}");
        let less = leave_out(&more, &places(&["C4", "D1"])).unwrap();
        assert_eq!(wanted(&less).len(), 11);
        assert!(leave_out("length = ", &places(&["A1"])).is_err());
    }

    #[test]
    fn a_thousand_changes_leave_text_and_layout_in_agreement() {
        for (seed, from) in [(1, TRAILER_TOP), (2, include_str!("../../../../examples/press-bench.toml"))] {
            let mut dice = Dice::new(seed);
            let mut text = from.to_owned();
            let mut expected = wanted(&text);
            let all: Vec<Cell> = expected.iter().copied().collect();
            for _ in 0..500 {
                let cell = all[(dice.unit() * all.len() as f64) as usize];
                text = if expected.remove(&cell) {
                    leave_out(&text, &[cell]).unwrap()
                } else {
                    expected.insert(cell);
                    bring_back(&text, &[cell]).unwrap()
                };
                assert_eq!(wanted(&text), expected, "{cell} in {text}");
            }
        }
    }
}
