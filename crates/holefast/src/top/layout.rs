//! Where the holes go: rows, columns and origin by number or by fit, and what stands in the way.
//!
//! Decides which holes are wanted and which of them are possible; the geometry is `outline`'s and
//! `clear`'s, the search for an origin `origin`'s, the figures people are shown `figures`'.
//! Millimetres in the top's frame.

use std::collections::BTreeMap;

use kurbo::{Rect, Vec2};

use super::clear::{self, Clearance, LEAST_WOOD, ON_THE_LIMIT};
use super::figures::{self, LeastWood, Margins, Weight};
use super::outline::{area, depth_in_outline, distance_to_keep_out, extent};
use super::{Cell, Count, GridOrigin, Point, origin};
use crate::fault::Fault;
use crate::job::Job;
use crate::words::layout::{mm, number};

/// No top has more holes than this; beyond it a slip in pitch or unit is likelier than a wish, and
/// every later step takes longer than a person waits.
pub const MOST_HOLES: usize = 10_000;

/// One hole of the layout.
#[derive(Clone, Debug, PartialEq)]
pub struct LaidHole {
    /// `A1` style, or the extra hole's own name.
    pub name: String,
    /// Its place in the grid; `None` for an extra hole.
    pub cell: Option<Cell>,
    /// Centre, mm.
    pub centre: Point,
    /// Diameter, mm.
    pub diameter: f64,
}

/// What a hole comes too near to.
#[derive(Clone, Debug, PartialEq)]
pub enum Obstacle {
    /// The edge of the top.
    Edge,
    /// A keep-out, by its index in the job.
    KeepOut(usize),
    /// Another hole, by name.
    Hole(String),
}

/// A wanted hole that cannot be where it is wanted.
#[derive(Clone, Debug, PartialEq)]
pub struct Conflict {
    /// The hole.
    pub hole: LaidHole,
    /// What it comes too near to.
    pub with: Obstacle,
    /// Clearance there is from the hole's edge, mm; negative where they overlap.
    pub clearance: f64,
    /// Clearance wanted, mm.
    pub wanted: f64,
    /// In words, with the way out.
    pub fault: Fault,
}

/// The holes of a top.
#[derive(Clone, Debug, PartialEq)]
pub struct Layout {
    /// Rows of the grid.
    pub rows: u32,
    /// Columns of the grid.
    pub columns: u32,
    /// Centre of `A1`, mm.
    pub origin: Point,
    /// Along x and y, mm.
    pub pitch: [f64; 2],
    /// Number of holes wanted, extras included.
    pub wanted: usize,
    /// Holes that are wanted and possible, rows then columns, extras last.
    pub holes: Vec<LaidHole>,
    /// Why the other wanted holes are not possible; one for each thing a hole comes too near to.
    pub conflicts: Vec<Conflict>,
    /// From the outermost holes' centres to the sheet's four sides.
    pub margins: Margins,
    /// Least wood between holes and beside them.
    pub least_wood: LeastWood,
    /// Weight, where the material's density is known.
    pub weight: Option<Weight>,
    /// Slips that do no harm: a `skip` that skips nothing.
    pub remarks: Vec<Fault>,
}

impl Layout {
    /// Nominal centre of a place of the grid, also beside it (negative rows and columns), mm.
    pub fn place(&self, row: i32, column: i32) -> Point {
        Point::new(self.origin.x + f64::from(column) * self.pitch[0], self.origin.y + f64::from(row) * self.pitch[1])
    }

    /// True if a pilot of the job's grid may be bored here: on the sheet with a pilot's own
    /// diameter of wood left around it, not into any keep-out, whichever face that is on, and not
    /// into a hole of the layout that it is not itself the pilot of.
    pub fn allows_pilot(&self, job: &Job, centre: Point) -> bool {
        let pilot = job.grid.pilot;
        depth_in_outline(&job.top.outline, centre) >= 1.5 * pilot - ON_THE_LIMIT
            && job.keep_outs.iter().all(|k| distance_to_keep_out(k, centre) >= 0.5 * pilot - ON_THE_LIMIT)
            && self.holes.iter().all(|hole| {
                let apart = (hole.centre - centre).hypot2();
                let wanted = 0.5 * (hole.diameter + pilot) + LEAST_WOOD - ON_THE_LIMIT;
                apart <= ON_THE_LIMIT * ON_THE_LIMIT || apart >= wanted * wanted
            })
    }
}

/// Rows, columns and origin, decided.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Ground {
    pub rows: u32,
    pub columns: u32,
    pub origin: Point,
}

/// Lays the holes out.
///
/// Errors: faults where no layout exists at all (no row fits, an origin outside the sheet); holes
/// that merely stand in the way of something are conflicts in the result.
pub fn lay_out(job: &Job) -> Result<Layout, Vec<Fault>> {
    let sheet = sound(job)?;
    let ground = ground(job, sheet)?;
    let cells = wanted(job, ground.rows, ground.columns);
    let all = laid(job, &cells, ground.origin);
    if all.is_empty() {
        return Err(vec![
            Fault::input("no hole is wanted: skip and only leave none of the grid")
                .at(job.span("grid.only").or_else(|| job.span("grid.skip")))
                .hint("shorten skip, or name at least one place in only"),
        ]);
    }
    let wanted = all.len();
    let (holes, troubles) = standing(job, all);
    let conflicts = in_words(job, sheet, ground, &cells, &holes, troubles);
    if holes.is_empty() {
        let mut faults = vec![
            Fault::impossible(format!("none of the {wanted} wanted holes is possible"))
                .at(job.span("grid"))
                .hint("what stands in the way of the first one follows"),
        ];
        faults.extend(conflicts.into_iter().take(1).map(|conflict| conflict.fault));
        return Err(faults);
    }
    Ok(Layout {
        rows: ground.rows,
        columns: ground.columns,
        origin: ground.origin,
        pitch: job.grid.pitch,
        wanted,
        margins: figures::margins(sheet, &holes),
        least_wood: figures::least_wood(&job.top.outline, &holes),
        weight: figures::weight(&job.top, &holes),
        remarks: idle_skips(job, ground),
        holes,
        conflicts,
    })
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
fn sound(job: &Job) -> Result<Rect, Vec<Fault>> {
    let grid = &job.grid;
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
fn ground(job: &Job, sheet: Rect) -> Result<Ground, Vec<Fault>> {
    let grid = &job.grid;
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
                    "the origin [{}, {}] lies outside the sheet, which reaches from [{}, {}] to [{}, {}] mm",
                    number(at.x),
                    number(at.y),
                    number(sheet.x0),
                    number(sheet.y0),
                    number(sheet.x1),
                    number(sheet.y1)
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

/// The places of the grid that are wanted, rows then columns. `only` may name places beyond a
/// number of rows or columns found by fit: these are wanted too, and come out as conflicts.
pub(crate) fn wanted(job: &Job, rows: u32, columns: u32) -> Vec<Cell> {
    let grid = &job.grid;
    let skipped = |cell: Cell| grid.skip.iter().any(|range| range.contains(cell));
    let mut cells: Vec<Cell> = match &grid.only {
        None => (0..rows).flat_map(|row| (0..columns).map(move |column| Cell::new(row, column))).collect(),
        Some(only) => only.iter().flat_map(|range| range.cells()).collect(),
    };
    cells.retain(|&cell| !skipped(cell));
    cells.sort_unstable();
    cells.dedup();
    cells
}

/// A remark for each `skip` that lies wholly beside the grid.
fn idle_skips(job: &Job, ground: Ground) -> Vec<Fault> {
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

/// The wanted holes at their places, extras last.
fn laid(job: &Job, cells: &[Cell], origin: Point) -> Vec<LaidHole> {
    let on_grid = cells.iter().map(|&cell| LaidHole {
        name: cell.to_string(),
        cell: Some(cell),
        centre: origin + offset(job, cell),
        diameter: job.grid.hole,
    });
    let extras = job.grid.extra.iter().map(|extra| LaidHole {
        name: extra.name.clone(),
        cell: None,
        centre: extra.centre,
        diameter: extra.diameter,
    });
    on_grid.chain(extras).collect()
}

/// Parts the wanted holes into those that are possible and what stands in the others' way. The
/// grid goes first: where an extra hole and a grid hole are too near, the extra one gives way.
fn standing(job: &Job, all: Vec<LaidHole>) -> (Vec<LaidHole>, Vec<(LaidHole, Clearance)>) {
    let mut holes: Vec<LaidHole> = Vec::with_capacity(all.len());
    let mut troubles = Vec::new();
    for hole in all {
        let near: Vec<Clearance> =
            clearances(job, &holes, &hole, hole.centre).filter(|clearance| !clearance.is_kept()).collect();
        if near.is_empty() {
            holes.push(hole);
        } else {
            troubles.extend(near.into_iter().map(|clearance| (hole.clone(), clearance)));
        }
    }
    (holes, troubles)
}

/// All clearances of a hole put at `centre`. Grid holes keep clear of each other by their pitch.
fn clearances<'a>(
    job: &'a Job,
    others: &'a [LaidHole],
    hole: &LaidHole,
    centre: Point,
) -> impl Iterator<Item = Clearance> + 'a {
    let (diameter, name) = (hole.diameter, hole.name.clone());
    let beside = if hole.cell.is_some() { &[][..] } else { others };
    let others = beside
        .iter()
        .filter(move |other| other.name != name)
        .map(move |other| clear::from_hole(other, centre, diameter));
    clear::from_sheet(job, centre, diameter).chain(others)
}

/// Number of possible holes with `A1` at `origin`; `None` as soon as fewer than `needed` are left.
pub(crate) fn count_possible(job: &Job, cells: &[Cell], origin: Point, needed: usize) -> Option<usize> {
    let mut left = cells.len() + job.grid.extra.len();
    let mut holes: Vec<LaidHole> = Vec::new();
    let by_extras = !job.grid.extra.is_empty();
    for &cell in cells {
        let centre = origin + offset(job, cell);
        if !clear::from_sheet(job, centre, job.grid.hole).all(|clearance| clearance.is_kept()) {
            left -= 1;
            if left < needed {
                return None;
            }
        } else if by_extras {
            holes.push(LaidHole { name: String::new(), cell: Some(cell), centre, diameter: job.grid.hole });
        }
    }
    for extra in laid(job, &[], origin) {
        if clearances(job, &holes, &extra, extra.centre).all(|clearance| clearance.is_kept()) {
            holes.push(extra);
        } else {
            left -= 1;
        }
    }
    (left >= needed).then_some(left)
}

/// Different moves of the grid that are tried for the hints; more would keep a person waiting.
const MOST_MOVES_TRIED: usize = 100;

/// Says each trouble in words, with a way out that has been tried.
fn in_words(
    job: &Job,
    sheet: Rect,
    ground: Ground,
    cells: &[Cell],
    holes: &[LaidHole],
    troubles: Vec<(LaidHole, Clearance)>,
) -> Vec<Conflict> {
    let farthest = sheet.width() + sheet.height();
    let total = cells.len() + job.grid.extra.len();
    let mut tried: BTreeMap<String, usize> = BTreeMap::new();
    let most = [
        (job.grid.rows, ground.rows, 1, sheet.height(), "rows"),
        (job.grid.columns, ground.columns, 0, sheet.width(), "columns"),
    ];
    troubles
        .into_iter()
        .map(|(hole, near)| {
            let hint = if hole.cell.is_none() {
                let spare = |centre| {
                    let all = clearances(job, holes, &hole, centre);
                    all.map(|clearance| clearance.spare()).fold(f64::INFINITY, f64::min)
                };
                match clear::way_out(hole.centre, farthest, spare) {
                    Some(found) => format!("moved {} it is clear", found.in_words()),
                    None => "no move along one axis clears it: leave it out".to_owned(),
                }
            } else {
                let alone = |centre| match near.with {
                    Obstacle::KeepOut(idx) => clear::from_keep_out(job, idx, centre, hole.diameter).spare(),
                    _ => clear::from_edge(job, centre, hole.diameter).spare(),
                };
                let shift = clear::way_out(hole.centre, farthest, alone);
                let better = shift.and_then(|shift| {
                    let key = shift.in_words();
                    if tried.len() >= MOST_MOVES_TRIED && !tried.contains_key(&key) {
                        return None;
                    }
                    let count = *tried
                        .entry(key.clone())
                        .or_insert_with(|| count_possible(job, cells, ground.origin + shift.by, 0).unwrap_or(0));
                    (count > holes.len()).then(|| format!("with the grid moved {key} {count} of {total} are possible"))
                });
                let fewer = most.iter().find_map(|&(count, n, axis, size, what)| {
                    let fit = fitting(size - 2.0 * job.grid.edge, job.grid.pitch[axis]);
                    (near.with == Obstacle::Edge && matches!(count, Count::Number(_)) && n > fit)
                        .then(|| format!("at most {fit} {what} fit between the edges"))
                });
                match fewer.or(better) {
                    Some(way) => format!("{way}; or leave it out: skip = [\"{}\"]", hole.name),
                    None => format!("leave it out: skip = [\"{}\"]", hole.name),
                }
            };
            let key = match hole.cell {
                Some(_) => "grid".to_owned(),
                None => {
                    let idx = job.grid.extra.iter().position(|extra| extra.name == hole.name).unwrap_or(0);
                    format!("grid.extra[{idx}]")
                }
            };
            let fault = Fault::impossible(too_near(job, &hole, &near)).at(job.span(&key)).hint(hint);
            Conflict { hole, with: near.with, clearance: near.there_is, wanted: near.wanted, fault }
        })
        .collect()
}

/// `V1 stands too near the left rail: its edge is 2.5 mm away, 12 wanted`.
fn too_near(job: &Job, hole: &LaidHole, near: &Clearance) -> String {
    let name = &hole.name;
    if near.with == Obstacle::Edge {
        // The job's `edge` is counted from the centre, and so is what is said about it.
        let centre = near.there_is + 0.5 * hole.diameter;
        let wanted = number(near.wanted + 0.5 * hole.diameter);
        return if centre < 0.0 {
            format!("{name} stands {} outside the top's edge, its centre is wanted {wanted} mm inside", mm(-centre))
        } else {
            format!("{name} stands too near the top's edge: its centre is {} away, {wanted} wanted", mm(centre))
        };
    }
    let what = match &near.with {
        Obstacle::KeepOut(idx) => {
            let name = &job.keep_outs[*idx].name;
            if name.starts_with("the ") { name.clone() } else { format!("the {name}") }
        }
        Obstacle::Hole(other) => other.clone(),
        Obstacle::Edge => "the top's edge".to_owned(),
    };
    let wanted = number(near.wanted);
    if near.there_is < -ON_THE_LIMIT {
        format!("{name} stands {} into {what}, {wanted} mm clear of it wanted", mm(-near.there_is))
    } else {
        format!("{name} stands too near {what}: its edge is {} away, {wanted} wanted", mm(near.there_is.max(0.0)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::{rail, trailer_top};
    use crate::top::{CellRange, ExtraHole};

    fn ranges(texts: &[&str]) -> Vec<CellRange> {
        texts.iter().map(|text| CellRange::parse(text).unwrap()).collect()
    }

    /// Message and hint of every conflict, one a line.
    fn says(layout: &Layout) -> Vec<String> {
        let say = |c: &Conflict| format!("{}; {}", c.fault.message, c.fault.hint.as_deref().unwrap_or(""));
        layout.conflicts.iter().map(say).collect()
    }

    /// The only fault of a job that cannot be laid out.
    fn refusal(job: &Job) -> String {
        let faults = lay_out(job).unwrap_err();
        let fault = &faults[0];
        format!("{}; {}", fault.message, fault.hint.as_deref().unwrap_or(""))
    }

    #[test]
    fn trailer_top_as_in_the_design() {
        let layout = lay_out(&trailer_top()).unwrap();
        assert_eq!((layout.rows, layout.columns, layout.origin), (7, 14, Point::new(75.0, 90.0)));
        assert_eq!((layout.wanted, layout.holes.len(), layout.conflicts.len()), (98, 98, 0));
        assert_eq!(layout.holes[97].name, "G14");
        assert_eq!(layout.place(6, 13), Point::new(1375.0, 690.0));
        assert_eq!(layout.margins, Margins { left: 75.0, right: 75.0, near: 90.0, far: 90.0 });
        assert_eq!(layout.least_wood.between, Some((80.0, ["A1".to_owned(), "A2".to_owned()])));
        assert_eq!(layout.least_wood.to_edge, Some((65.0, "A1".to_owned())));
        // 1.45 m × 0.78 m × 21 mm at 700 kg/m³, less 98 discs of 20 mm, by hand.
        let weight = layout.weight.unwrap();
        assert!((weight.whole - 16.6257).abs() < 1e-9, "{weight:?}");
        assert!((weight.whole - weight.bored - 98.0 * 0.01 * 0.01 * std::f64::consts::PI * 0.021 * 700.0).abs() < 1e-9);
    }

    #[test]
    fn a_cut_corner_takes_its_hole() {
        let mut job = trailer_top();
        job.top.outline =
            [(0.0, 0.0), (1450.0, 0.0), (1450.0, 620.0), (1290.0, 780.0), (0.0, 780.0)].map(Point::from).to_vec();
        let layout = lay_out(&job).unwrap();
        assert_eq!(layout.holes.len(), 97);
        assert_eq!(
            says(&layout),
            [
                "G14 stands too near the top's edge: its centre is 3.54 mm away, 45 wanted; leave it out: skip = [\"G14\"]"
            ]
        );
    }

    #[test]
    fn an_extra_hole_too_near_a_rail_is_shown_the_way_out() {
        let mut job = trailer_top();
        job.grid.skip = ranges(&["A1:G14"]);
        job.grid.skip[0].to.column = 7;
        let at = |x: f64| vec![ExtraHole { name: "V1".to_owned(), centre: Point::new(x, 400.0), diameter: 20.0 }];
        job.grid.extra = at(460.0);
        let layout = lay_out(&job).unwrap();
        assert_eq!(
            says(&layout),
            ["V1 stands too near the left trestle rail: its edge is 2.5 mm away, 12 wanted; \
              moved 9.5 mm to the right it is clear"]
        );
        job.grid.extra = at(469.5);
        assert_eq!(says(&lay_out(&job).unwrap()), [""; 0]);
        job.grid.extra = at(410.0);
        assert!(says(&lay_out(&job).unwrap())[0].starts_with(
            "V1 stands 17.5 mm into the left trestle rail, 12 mm clear of it wanted; moved 29.5 mm to the left"
        ));
    }

    #[test]
    fn an_extra_hole_gives_way_to_the_grid() {
        let mut job = trailer_top();
        job.grid.extra = vec![ExtraHole { name: "V1".to_owned(), centre: Point::new(75.0, 111.0), diameter: 20.0 }];
        let layout = lay_out(&job).unwrap();
        assert_eq!(layout.conflicts[0].with, Obstacle::Hole("A1".to_owned()));
        assert_eq!(
            says(&layout),
            [
                "V1 stands too near A1: its edge is 1 mm away, 3 wanted; moved 2 mm away from the reference edge it is clear"
            ]
        );
    }

    #[test]
    fn grid_holes_in_a_rail_are_left_out_and_the_better_place_named() {
        let mut job = trailer_top();
        for keep_out in &mut job.keep_outs {
            if let super::super::KeepOutShape::Rect { x, .. } = &mut keep_out.shape {
                *x += 25.0;
            }
        }
        let layout = lay_out(&job).unwrap();
        assert_eq!((layout.wanted, layout.holes.len(), layout.conflicts.len()), (98, 84, 14));
        assert_eq!(
            says(&layout)[0],
            "A5 stands 7.5 mm into the left trestle rail, 12 mm clear of it wanted; with the grid moved \
             19.5 mm to the right 98 of 98 are possible; or leave it out: skip = [\"A5\"]"
        );
        job.grid.origin = GridOrigin::Fit;
        let layout = lay_out(&job).unwrap();
        assert_eq!((layout.holes.len(), layout.origin), (98, Point::new(94.5, 90.0)));
    }

    #[test]
    fn only_and_skip() {
        let mut job = trailer_top();
        job.grid.only = Some(ranges(&["G1:G14", "A1:A16", "A3"]));
        job.grid.skip = ranges(&["A2", "Z1:Z4"]);
        let layout = lay_out(&job).unwrap();
        assert_eq!((layout.wanted, layout.holes.len()), (29, 27));
        assert_eq!(layout.holes[1].name, "A3");
        // A15 stands at 1475, 25 mm beyond a sheet of 1450.
        assert!(says(&layout)[0].starts_with("A15 stands 25 mm outside the top's edge"), "{:?}", says(&layout));
        assert_eq!(layout.remarks[0].message, "skip names Z1:Z4, which is not on the grid");
        job.grid.columns = Count::Number(14);
        assert_eq!(refusal(&job), "only names A1:A16, but the grid has 14 columns; the last place is G14");
    }

    #[test]
    fn too_many_columns_by_number() {
        let mut job = trailer_top();
        job.grid.columns = Count::Number(15);
        let layout = lay_out(&job).unwrap();
        // Columns at 25, 125, … 1425 mm: the outer two too near the edge, those at 425 and 1025 on the rails.
        assert_eq!(layout.holes.iter().filter(|hole| hole.name.starts_with('A')).count(), 11);
        assert!(says(&layout)[0].contains("at most 14 columns fit between the edges"), "{:?}", says(&layout));
    }

    #[test]
    fn impossible_tops_are_refused_with_what_would_do() {
        type Change = fn(&mut Job);
        let cases: &[(&str, Change)] = &[
            (
                "no column fits: the top is 80 mm long, and 45 mm is to be kept at both sides; \
                 a top at least 90 mm long, or an edge of at most 40 mm",
                |job| *job = crate::testing::job(80.0, 780.0, 100.0),
            ),
            (
                "the origin [1500, 90] lies outside the sheet, which reaches from [0, 0] to [1450, 780] mm; \
                 the nearest that works is [1405, 90]",
                |job| job.grid.origin = GridOrigin::At(Point::new(1500.0, 90.0)),
            ),
            (
                "no row fits: the origin lies 30 mm from the far side, 45 wanted; at most 735 mm from the near side",
                |job| job.grid.origin = GridOrigin::At(Point::new(75.0, 750.0)),
            ),
            (
                "holes of 120 mm at a pitch of 100 mm overlap by 20 mm; \
                 a pitch of at least 123 mm, or holes of at most 97 mm",
                |job| {
                    job.grid.hole = 120.0;
                    job.grid.edge = 70.0;
                },
            ),
            (
                "holes of 98 mm at a pitch of 100 mm leave 2 mm of wood between them, 3 wanted; \
                 a pitch of at least 101 mm, or holes of at most 97 mm",
                |job| {
                    job.grid.hole = 98.0;
                    job.grid.edge = 70.0;
                },
            ),
            ("edge = 12 mm leaves 2 mm of wood beside a hole of 20 mm, 3 wanted; an edge of at least 13 mm", |job| {
                job.grid.edge = 12.0;
            }),
            ("the grid has 10500 places, at most 10000 are laid out; with 100 rows, at most 100 columns", |job| {
                job.grid.rows = Count::Number(100);
                job.grid.columns = Count::Number(105);
            }),
            ("rows = 0 leaves no grid; at least 1, or \"fit\"", |job| job.grid.rows = Count::Number(0)),
            ("the pitch along rows is NaN mm; it must be more than nil", |job| job.grid.pitch[0] = f64::NAN),
            ("the top's outline encloses nothing; at least three corners that are not on one line", |job| {
                job.top.outline.truncate(2)
            }),
            (
                "no hole is wanted: skip and only leave none of the grid; shorten skip, or name at least one place in only",
                |job| job.grid.skip = ranges(&["A1:Z99"]),
            ),
            ("none of the 98 wanted holes is possible; what stands in the way of the first one follows", |job| {
                job.keep_outs = vec![rail("bench", 0.0, 0.0, 1450.0, 780.0, 0.0)]
            }),
        ];
        for (expected, change) in cases {
            let mut job = trailer_top();
            change(&mut job);
            assert_eq!(refusal(&job), *expected);
        }
    }

    #[test]
    fn pilots_keep_off_the_edge_rails_and_other_holes() {
        let job = trailer_top();
        let layout = lay_out(&job).unwrap();
        let allowed = |x: f64, y: f64| layout.allows_pilot(&job, Point::new(x, y));
        assert!(allowed(75.0, 90.0), "a hole's own pilot");
        assert!(allowed(6.0, 90.0) && !allowed(5.9, 90.0), "4 mm of wood beside a radius of 2 mm");
        assert!(allowed(400.5, 40.0) && !allowed(401.0, 40.0), "the rail begins at 402.5");
        assert!(!allowed(425.0, 40.0) && !allowed(-25.0, 90.0));
        assert!(allowed(90.0, 90.0) && !allowed(89.9, 90.0), "3 mm of wood to A1: 10 + 2 + 3");
    }
}
