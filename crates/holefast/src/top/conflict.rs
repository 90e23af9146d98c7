//! What a wanted hole comes too near to, in words, with a way out that has been tried.

use std::collections::BTreeMap;

use kurbo::Rect;

use super::clear::{self, Clearance, ON_THE_LIMIT};
use super::ground::{Ground, fitting};
use super::layout::{LaidHole, Obstacle, clearances, count_possible};
use super::{Cell, Count};
use crate::fault::Fault;
use crate::job::Job;
use crate::measure::format::unit_name;
use crate::words::layout::{bare, length};

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

/// Different moves of the grid that are tried for the hints; more would keep a person waiting.
const MOST_MOVES_TRIED: usize = 100;

/// Says each trouble in words, with a way out that has been tried.
pub(super) fn in_words(
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
                match clear::way_out(hole.centre, farthest, job.units, spare) {
                    Some(found) => format!("moved {} it is clear", found.in_words(job.units)),
                    None => "no move along one axis clears it: leave it out".to_owned(),
                }
            } else {
                let alone = |centre| match near.with {
                    Obstacle::KeepOut(idx) => clear::from_keep_out(job, idx, centre, hole.diameter).spare(),
                    _ => clear::from_edge(job, centre, hole.diameter).spare(),
                };
                let shift = clear::way_out(hole.centre, farthest, job.units, alone);
                let better = shift.and_then(|shift| {
                    let key = shift.in_words(job.units);
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
    let mm = |value: f64| length(value, job.units);
    let number = |value: f64| bare(value, job.units);
    let unit = unit_name(job.units);
    if near.with == Obstacle::Edge {
        // The job's `edge` is counted from the centre, and so is what is said about it.
        let centre = near.there_is + 0.5 * hole.diameter;
        let wanted = number(near.wanted + 0.5 * hole.diameter);
        return if centre < 0.0 {
            format!("{name} stands {} outside the top's edge, its centre is wanted {wanted} {unit} inside", mm(-centre))
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
        format!("{name} stands {} into {what}, {wanted} {unit} clear of it wanted", mm(-near.there_is))
    } else {
        format!("{name} stands too near {what}: its edge is {} away, {wanted} wanted", mm(near.there_is.max(0.0)))
    }
}
