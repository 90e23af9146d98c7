//! The title of a set-up's card: its stage and the row, column or holes it is about.

use crate::plan::{Place, Plan, Setup, Stage};
use crate::top::row_letters;

/// "Square columns: column 1".
pub fn title(plan: &Plan, setup: &Setup) -> String {
    let cells: Vec<(i32, i32)> = if setup.check {
        setup
            .pins
            .iter()
            .filter_map(|p| match (&p.a, &p.b) {
                (_, Place::Hole(h)) | (Place::Hole(h), _) => plan.hole(h),
                _ => None,
            })
            .filter_map(|h| Some((h.row?, h.column?)))
            .collect()
    } else {
        setup.bores.iter().filter_map(|b| plan.hole(&b.hole)).filter_map(|h| Some((h.row?, h.column?))).collect()
    };
    let names: Vec<String> = if setup.check {
        setup
            .pins
            .iter()
            .filter_map(|p| match &p.b {
                Place::Hole(h) => Some(h.clone()),
                Place::Feature { .. } => None,
            })
            .collect()
    } else {
        setup.bores.iter().map(|b| b.hole.clone()).collect()
    };
    let same = |f: fn(&(i32, i32)) -> i32| {
        let first = cells.first().map(f)?;
        cells.iter().all(|c| f(c) == first).then_some(first)
    };
    let ends = |names: &[String]| match (names.first(), names.last()) {
        (Some(a), Some(b)) if a != b => format!("{a} to {b}"),
        (Some(a), _) => a.clone(),
        _ => String::new(),
    };
    let place = match (same(|c| c.0), same(|c| c.1)) {
        (Some(row), None) if row >= 0 => format!("row {}, {}", row_letters(row as u32), ends(&names)),
        (None, Some(column)) if column >= 0 => format!("column {}", column + 1),
        _ => ends(&names),
    };
    if setup.check {
        format!("Check: {}", ends(&names))
    } else {
        let stage = match setup.stage {
            Stage::DatumRow => "Datum row",
            Stage::SquareColumns => "Square columns",
            Stage::Closing => "Closing",
            Stage::Fill => "Fill",
            Stage::Extend => "Extend",
            Stage::Open => "Open",
        };
        let place = if setup.stage == Stage::DatumRow { ends(&names) } else { place };
        format!("{stage}: {place}")
    }
}
