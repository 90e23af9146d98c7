//! Rows, columns and origin: decided from numbers, or by fit, or refused with what would work.
//!
//! The search for an origin by fit is `origin`'s work. Millimetres in the top's frame.

use kurbo::{Rect, Vec2};

use super::clear::{self, LEAST_WOOD, ON_THE_LIMIT};
use super::layout::MOST_HOLES;
use super::outline::{area, extent};
use super::{Cell, Count, GridOrigin, Point, origin};
use crate::fault::Fault;
use crate::job::Job;
use crate::measure::format::unit_name;
use crate::words::layout::{bare, length};

/// Rows, columns and origin, decided.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ground {
    pub rows: u32,
    pub columns: u32,
    pub origin: Point,
}

/// How many places at `pitch` stand within `room` mm; nil if there is no room.
pub(crate) fn fitting(room: f64, pitch: f64) -> u32 {
    if room < -ON_THE_LIMIT { 0 } else { ((room + ON_THE_LIMIT) / pitch).floor() as u32 + 1 }
}

/// A place's centre counted from `A1`'s, mm.
pub(crate) fn offset(job: &Job, cell: Cell) -> Vec2 {
    Vec2::new(f64::from(cell.column) * job.grid.pitch[0], f64::from(cell.row) * job.grid.pitch[1])
}

/// `A1` of a grid in the middle of the sheet, mm.
pub(crate) fn centred(job: &Job, sheet: Rect, rows: u32, columns: u32) -> Point {
    let last = Cell::new(rows.saturating_sub(1), columns.saturating_sub(1));
    sheet.center() - offset(job, last) * 0.5
}

/// Checks that a grid of some sort can be laid out; returns the upright rectangle around the sheet.
pub(super) fn sound(job: &Job) -> Result<Rect, Vec<Fault>> {
    let grid = &job.grid;
    let mm = |value: f64| length(value, job.units);
    let number = |value: f64| bare(value, job.units);
    let mut faults = Vec::new();
    for (what, key, value) in [
        ("the pitch along rows", "grid.pitch", grid.pitch[0]),
        ("the pitch along columns", "grid.pitch", grid.pitch[1]),
        ("the dog hole's diameter", "grid.hole", grid.hole),
        ("the pilot's diameter", "grid.pilot", grid.pilot),
    ] {
        if !(value > 0.0 && value.is_finite()) {
            faults.push(
                Fault::input(format!("{what} is {}", mm(value))).at(job.span(key)).hint("it must be more than nil"),
            );
        }
    }
    for (what, key, count) in [("rows", "grid.rows", grid.rows), ("columns", "grid.columns", grid.columns)] {
        if count == Count::Number(0) {
            faults.push(
                Fault::input(format!("{what} = 0 leaves no grid")).at(job.span(key)).hint("at least 1, or \"fit\""),
            );
        }
    }
    let sheet = extent(&job.top.outline).filter(|_| area(&job.top.outline) > 0.0);
    if sheet.is_none() {
        faults.push(
            Fault::input("the top's outline encloses nothing")
                .at(job.span("top.outline").or_else(|| job.span("top")))
                .hint("at least three corners that are not on one line"),
        );
    }
    let Some(sheet) = sheet.filter(|_| faults.is_empty()) else { return Err(faults) };

    for (axis, count) in [(0, grid.columns), (1, grid.rows)] {
        let wood = grid.pitch[axis] - grid.hole;
        if count != Count::Number(1) && wood < LEAST_WOOD - ON_THE_LIMIT {
            let says = if wood < 0.0 {
                format!("overlap by {}", mm(-wood))
            } else {
                format!("leave {} of wood between them, {} wanted", mm(wood), number(LEAST_WOOD))
            };
            let pitch = mm(grid.pitch[axis]);
            let mut hint = format!("a pitch of at least {}", mm(grid.hole + LEAST_WOOD));
            if grid.pitch[axis] > LEAST_WOOD {
                hint += &format!(", or holes of at most {}", mm(grid.pitch[axis] - LEAST_WOOD));
            }
            faults.push(
                Fault::impossible(format!("holes of {} at a pitch of {pitch} {says}", mm(grid.hole)))
                    .at(job.span("grid.pitch"))
                    .hint(hint),
            );
            if grid.pitch[0] == grid.pitch[1] {
                break;
            }
        }
    }
    let least_edge = 0.5 * grid.hole + LEAST_WOOD;
    if grid.edge.is_nan() || grid.edge < least_edge - ON_THE_LIMIT {
        faults.push(
            Fault::impossible(format!(
                "edge = {} leaves {} of wood beside a hole of {}, {} wanted",
                mm(grid.edge),
                mm(grid.edge - 0.5 * grid.hole),
                mm(grid.hole),
                number(LEAST_WOOD)
            ))
            .at(job.span("grid.edge"))
            .hint(format!("an edge of at least {}", mm(least_edge))),
        );
    }
    if faults.is_empty() { Ok(sheet) } else { Err(faults) }
}

/// Decides rows, columns and origin.
pub(super) fn ground(job: &Job, sheet: Rect) -> Result<Ground, Vec<Fault>> {
    let grid = &job.grid;
    let mm = |value: f64| length(value, job.units);
    let number = |value: f64| bare(value, job.units);
    let mut faults = Vec::new();
    let at = if let GridOrigin::At(at) = grid.origin { Some(at) } else { None };
    if let Some(at) = at {
        let nearest = Point::new(
            at.x.max(sheet.x0 + grid.edge).min(sheet.x1 - grid.edge),
            at.y.max(sheet.y0 + grid.edge).min(sheet.y1 - grid.edge),
        );
        if !sheet.inflate(ON_THE_LIMIT, ON_THE_LIMIT).contains(at) {
            return Err(vec![
                Fault::impossible(format!(
                    "the origin [{}, {}] lies outside the sheet, which reaches from [{}, {}] to [{}, {}] {}",
                    number(at.x),
                    number(at.y),
                    number(sheet.x0),
                    number(sheet.y0),
                    number(sheet.x1),
                    number(sheet.y1),
                    unit_name(job.units)
                ))
                .at(job.span("grid.origin"))
                .hint(format!(
                    "the nearest that works is [{}, {}]",
                    number(nearest.x),
                    number(nearest.y)
                )),
            ]);
        }
    }
    let mut count = |axis: usize, given: Count, what: &str, size: &str, min: f64, max: f64| -> u32 {
        let first = match at {
            Some(at) => [at.x, at.y][axis],
            None => min + grid.edge,
        };
        let room = max - grid.edge - first;
        let key = format!("grid.{what}s");
        match given {
            Count::Number(n) => n,
            Count::Fit => {
                let n = fitting(room, grid.pitch[axis]);
                if n == 0 && at.is_some() {
                    faults.push(
                        Fault::impossible(format!(
                            "no {what} fits: the origin lies {} from the far side, {} wanted",
                            mm(max - first),
                            number(grid.edge)
                        ))
                        .at(job.span("grid.origin"))
                        .hint(format!("at most {} from the near side", mm(max - grid.edge - min))),
                    );
                } else if n == 0 {
                    faults.push(
                        Fault::impossible(format!(
                            "no {what} fits: the top is {} {size}, and {} is to be kept at both sides",
                            mm(max - min),
                            mm(grid.edge)
                        ))
                        .at(job.span(&key))
                        .hint(format!(
                            "a top at least {} {size}, or an edge of at most {}",
                            mm(2.0 * grid.edge),
                            mm(0.5 * (max - min))
                        )),
                    );
                }
                n
            }
        }
    };
    let mut columns = count(0, grid.columns, "column", "long", sheet.x0, sheet.x1);
    let mut rows = count(1, grid.rows, "row", "wide", sheet.y0, sheet.y1);
    if !faults.is_empty() {
        return Err(faults);
    }
    not_too_many(job, rows, columns)?;
    let mut ground = match grid.origin {
        GridOrigin::At(origin) => Ground { rows, columns, origin },
        GridOrigin::Centred => loop {
            // Centred again after each row or column that the outline leaves empty.
            let origin = centred(job, sheet, rows, columns);
            let ground = Ground { rows, columns, origin };
            let idle = |row, column| !any_inside(job, ground, row, column);
            if grid.rows == Count::Fit && rows > 1 && (idle(Some(0), None) || idle(Some(rows - 1), None)) {
                rows -= 1;
            } else if grid.columns == Count::Fit
                && columns > 1
                && (idle(None, Some(0)) || idle(None, Some(columns - 1)))
            {
                columns -= 1;
            } else {
                break ground;
            }
        },
        GridOrigin::Fit => {
            origin::fit(job, sheet).unwrap_or(Ground { rows, columns, origin: centred(job, sheet, rows, columns) })
        }
    };
    if !matches!(grid.origin, GridOrigin::Centred) {
        while grid.rows == Count::Fit && ground.rows > 1 && !any_inside(job, ground, Some(ground.rows - 1), None) {
            ground.rows -= 1;
        }
        while grid.columns == Count::Fit
            && ground.columns > 1
            && !any_inside(job, ground, None, Some(ground.columns - 1))
        {
            ground.columns -= 1;
        }
    }
    Ok(ground)
}

/// True if the outline allows any place of this row or column.
fn any_inside(job: &Job, ground: Ground, row: Option<u32>, column: Option<u32>) -> bool {
    let rows = row.map_or(0..ground.rows, |row| row..row + 1);
    rows.into_iter().any(|row| {
        let mut columns = column.map_or(0..ground.columns, |column| column..column + 1);
        columns.any(|column| {
            let centre = ground.origin + offset(job, Cell::new(row, column));
            clear::from_edge(job, centre, job.grid.hole).is_kept()
        })
    })
}

/// Refuses more holes than [`MOST_HOLES`], and places that `only` names beyond numbered rows and columns.
fn not_too_many(job: &Job, rows: u32, columns: u32) -> Result<(), Vec<Fault>> {
    let grid = &job.grid;
    let mm = |value: f64| length(value, job.units);
    let on_grid = u64::from(rows) * u64::from(columns);
    let named: u64 = grid.only.iter().flatten().map(|range| range.places()).sum();
    let mut faults = Vec::new();
    if on_grid.max(named) + grid.extra.len() as u64 > MOST_HOLES as u64 {
        let most = (MOST_HOLES as f64 / f64::from(rows.max(1))).floor();
        let stretch = (on_grid as f64 / MOST_HOLES as f64).sqrt();
        let hint = if named > on_grid {
            "name fewer places in only".to_owned()
        } else if grid.rows == Count::Fit && grid.columns == Count::Fit {
            format!("a pitch of about {} gives so many", mm((grid.pitch[0].max(grid.pitch[1]) * stretch).ceil()))
        } else if most >= 1.0 {
            format!("with {rows} rows, at most {most} columns")
        } else {
            format!("at most {MOST_HOLES} rows of one column")
        };
        faults.push(
            Fault::impossible(format!("the grid has {} places, at most {MOST_HOLES} are laid out", on_grid.max(named)))
                .at(job.span("grid.pitch"))
                .hint(hint),
        );
    }
    for range in grid.only.iter().flatten() {
        let beyond = |count: Count, last: u32| matches!(count, Count::Number(n) if last >= n);
        for (beyond, what, n) in
            [(beyond(grid.rows, range.to.row), "row", rows), (beyond(grid.columns, range.to.column), "column", columns)]
        {
            if beyond {
                faults.push(
                    Fault::input(format!("only names {range}, but the grid has {n} {what}s"))
                        .at(job.span("grid.only"))
                        .hint(format!("the last place is {}", Cell::new(rows.max(1) - 1, columns.max(1) - 1))),
                );
            }
        }
    }
    if faults.is_empty() { Ok(()) } else { Err(faults) }
}

/// A fault for each spoiled hole that is neither a place of the grid nor an extra hole.
pub(super) fn spoiled_off_the_grid(job: &Job, ground: Ground) -> Vec<Fault> {
    let last = Cell::new(ground.rows.max(1) - 1, ground.columns.max(1) - 1);
    let off = |name: &str| Cell::parse(name).is_some_and(|cell| cell.row > last.row || cell.column > last.column);
    let extra = |name: &str| job.grid.extra.iter().any(|extra| extra.name == name);
    job.spoiled
        .iter()
        .enumerate()
        .filter(|(_, spoiled)| off(&spoiled.hole) && !extra(&spoiled.hole))
        .map(|(i, spoiled)| {
            Fault::input(format!("{} is spoiled, and there is no such hole on the grid", spoiled.hole))
                .at(job.span(&format!("spoiled[{i}].hole")))
                .hint(format!("the last place is {last}"))
        })
        .collect()
}

/// A remark for each `skip` that lies wholly beside the grid.
pub(super) fn idle_skips(job: &Job, ground: Ground) -> Vec<Fault> {
    let last = Cell::new(ground.rows.max(1) - 1, ground.columns.max(1) - 1);
    job.grid
        .skip
        .iter()
        .filter(|range| range.from.row > last.row || range.from.column > last.column)
        .map(|range| {
            Fault::remark(format!("skip names {range}, which is not on the grid"))
                .at(job.span("grid.skip"))
                .hint(format!("the last place is {last}"))
        })
        .collect()
}
