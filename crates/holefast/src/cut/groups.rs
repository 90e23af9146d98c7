//! Which lines come into question for an angle: those of each direction of the grid by their length, and
//! those through holes beside it; and which two groups of them may make it.

use std::f64::consts::PI;

use super::directions::{Direction, pairs_within};
use super::lines::{Lines, lines_of};
use super::places::Places;
use super::search::Search;
use super::sizes::Sizes;
use crate::job::Job;
use crate::math;

/// Holes bored to sizes nearer than this were bored with one bit, mm: a dog of the grid goes into both.
const ONE_BIT: f64 = 0.01;
/// Of holes beside the grid so many are looked through, in the job's order: more are a second grid.
const MOST_BESIDE: usize = 40;
/// Of the lines through them the longest, so many: about as many as a grid of 500 holes has directions,
/// so that the search takes no longer for them.
const MOST_LINES_BESIDE: usize = 600;

/// Two groups of lines that may make the angle.
pub(super) struct Able {
    /// What is missing at least, with the dogs that turn them furthest, rad.
    pub error: f64,
    /// The fence's group.
    pub fence: usize,
    /// The rail's.
    pub rail: usize,
}

/// All groups, and which two may make the angle.
pub(super) fn groups(
    job: &Job,
    places: &Places,
    sizes: &Sizes,
    ask: &Search,
    directions: &[Direction],
) -> (Vec<Lines>, Vec<Able>) {
    let pitch = job.grid.pitch;
    let kit = job.kit.as_ref();
    let limits = [
        kit.and_then(|k| k.fence.as_ref()).map_or(f64::INFINITY, |f| f.length),
        kit.and_then(|k| k.rail.as_ref()).map_or(f64::INFINITY, |r| r.length),
    ];
    let mut all: Vec<Lines> = Vec::new();
    let mut by_direction: Vec<(Direction, [Vec<usize>; 2])> =
        directions.iter().map(|d| (*d, lines_of(places, sizes, pitch, d, limits, &mut all))).collect();
    by_direction.extend(lines_beside(places, job.grid.hole, limits, &mut all));
    by_direction.sort_by(|a, b| a.0.angle.total_cmp(&b.0.angle));
    let (directions, by_direction): (Vec<Direction>, Vec<[Vec<usize>; 2]>) = by_direction.into_iter().unzip();

    // Dogs of several diameters turn lines that stand further off into the angle.
    let wider = ask.tolerance + sizes.greatest * 2.0 / pitch[0].min(pitch[1]);
    let mut able: Vec<Able> = Vec::new();
    for pair in pairs_within(&directions, ask.wanted, wider) {
        for &fence in &by_direction[pair.fence][0] {
            for &rail in &by_direction[pair.rail][1] {
                let turned = sizes.greatest * (1.0 / all[fence].base + 1.0 / all[rail].base);
                let error = (pair.error.abs() - turned).max(0.0);
                if error <= ask.tolerance + 1e-12 {
                    able.push(Able { error, fence, rail });
                }
            }
        }
    }
    (all, able)
}

/// The lines through holes beside the grid that take its dogs, each a direction of its own, for the
/// straightedges that reach.
fn lines_beside(
    places: &Places,
    hole: f64,
    limits: [f64; 2],
    all: &mut Vec<Lines>,
) -> Vec<(Direction, [Vec<usize>; 2])> {
    let holes = places.holes();
    let fits = |i: &usize| holes[*i].cell.is_some() || (holes[*i].diameter - hole).abs() < ONE_BIT;
    let is_beside = |i: &usize| holes[*i].cell.is_none();
    let furthest = limits[0].max(limits[1]);
    let mut found: Vec<([usize; 2], f64)> = Vec::new();
    for beside in (0..holes.len()).filter(is_beside).filter(fits).take(MOST_BESIDE) {
        // Two holes beside the grid make one line.
        let others = (0..holes.len()).filter(fits).filter(|i| *i != beside && !(is_beside(i) && *i < beside));
        let lines = others.map(|other| {
            let way = holes[other].centre - holes[beside].centre;
            ([beside, other], math::hypot(way.x, way.y))
        });
        found.extend(lines.filter(|(_, base)| *base <= furthest + 1e-9));
    }
    found.sort_by(|a, b| b.1.total_cmp(&a.1));
    found.truncate(MOST_LINES_BESIDE);
    let directed = found.into_iter().map(|([a, b], base)| {
        let way = holes[b].centre - holes[a].centre;
        let angle = math::atan2(way.y, way.x);
        // from 0 to half a turn, as the grid's
        let (holes, angle) = match angle {
            angle if angle < 0.0 => ([b, a], angle + PI),
            angle if angle >= PI => ([b, a], 0.0),
            angle => ([a, b], angle),
        };
        let place = all.len();
        all.push(Lines { holes: vec![holes], base });
        let reached = limits.map(|limit| if base <= limit + 1e-9 { vec![place] } else { Vec::new() });
        (Direction { p: 0, q: 0, angle }, reached)
    });
    directed.collect()
}
