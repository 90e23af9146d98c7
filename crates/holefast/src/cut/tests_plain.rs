//! The search as one would write it who has time: everything of every pair of lines worked out from the
//! holes, all candidates in one list that is sorted whole. The quick one must find the same to the last
//! bit, on made grids with places of every sort.

use std::f64::consts::{FRAC_PI_2, PI};

use super::clear::Room;
use super::directions::directions;
use super::groups::{Able, groups};
use super::pair::stands;
use super::shortlist::{STEP, step_of};
use super::sizes::Sizes;
use super::*;
use crate::job::{CutAt, Job, Kept, LineSide};
use crate::proof::ProvedHoles;
use crate::testing::made::Dice;
use crate::top::{Cell, LaidHole, Layout, Point, lay_out};

/// Fence, rail, and how they rank: open ones last, then by step, then by the shorter base in µm.
type Ranked = ([usize; 2], [usize; 2], (bool, i64, i64));

struct Plain<'a> {
    job: &'a Job,
    places: &'a Places,
    dogs: &'a Dogs,
    sizes: Sizes,
    ask: Search,
    piece: Option<Piece>,
}

impl Plain<'_> {
    /// The arrangements, and how many pairs of lines were looked at.
    fn search(&self) -> (Vec<Arrangement>, usize) {
        let (places, ask, sizes) = (self.places, &self.ask, &self.sizes);
        let all = directions(places, self.job.grid.pitch);
        let (lines, able) = groups(self.job, places, sizes, ask, &all);
        let mut order = Vec::new();
        for Able { error, fence, rail } in able {
            let (fence, rail) = (&lines[fence], &lines[rail]);
            let [f, r] = [fence, rail].map(|lines| self.least_u(&lines.holes));
            let estimate = (error + 2.0 * (f * f + r * r).sqrt()) * 1000.0;
            order.push((estimate, fence.base.min(rail.base), fence.holes.clone(), rail.holes.clone()));
        }
        order.sort_by(|a, b| a.0.total_cmp(&b.0).then(b.1.total_cmp(&a.1)));

        let keep = 40 * ask.best;
        let mut candidates: Vec<Ranked> = Vec::new();
        let (mut looked_at, mut worst) = (0, f64::INFINITY);
        for (estimate, _, fences, rails) in order {
            if estimate > 1.6 * worst + STEP {
                break;
            }
            for &fence in &fences {
                for &rail in &rails {
                    looked_at += 1;
                    candidates.extend(self.rank(fence, rail).map(|rank| (fence, rail, rank)));
                }
            }
            if candidates.len() > 2 * keep {
                candidates.sort_by_key(|c| c.2);
                candidates.truncate(keep);
            }
            if candidates.len() >= keep && candidates.iter().all(|c| !c.2.0) {
                worst = (candidates.iter().map(|c| c.2.1).max().unwrap() + 1) as f64 * STEP;
            }
        }
        candidates.sort_by_key(|c| c.2);

        let mut found: Vec<((bool, i64, i64), Arrangement)> = Vec::new();
        for (fence, rail, rank) in candidates {
            if found.len() >= ask.best && rank > found[ask.best - 1].0 {
                break;
            }
            if let Some(arrangement) = self.way_round(fence, rail) {
                let open = places.basis() != Basis::Planned && arrangement.u.is_none();
                found.push(((open, step_of(arrangement.bound_mm_per_m), rank.2), arrangement));
                found.sort_by(|(a, x), (b, y)| {
                    let holes = |a: &Arrangement| (a.pair.fence.holes, a.pair.rail.holes);
                    a.cmp(b).then(capacity(&y.room).total_cmp(&capacity(&x.room))).then(holes(x).cmp(&holes(y)))
                });
            }
        }
        found.truncate(ask.best);
        (found.into_iter().map(|(_, a)| a).collect(), looked_at)
    }

    fn usual(&self, holes: [usize; 2]) -> Option<Face> {
        Line { holes, side: LineSide::Left, dogs: [self.dogs.usual(); 2] }.face(self.places)
    }

    fn least_u(&self, lines: &[[usize; 2]]) -> f64 {
        let u = lines.iter().filter_map(|&holes| {
            let turn = self.usual(holes)?.turn;
            let terms = [(holes[1], turn), (holes[0], turn.map(|t| -t))];
            Some((self.places.variance(&terms)? + stands(&terms, self.dogs)).sqrt())
        });
        let least = u.fold(f64::INFINITY, f64::min);
        if least.is_finite() { least } else { 0.0 }
    }

    fn rank(&self, fence: [usize; 2], rail: [usize; 2]) -> Option<(bool, i64, i64)> {
        let (f, r) = (self.usual(fence)?, self.usual(rail)?);
        let turn = (r.direction - f.direction).abs();
        let turn = turn - PI * (turn / PI).floor();
        let off = [turn, PI - turn].map(|angle| angle - self.ask.wanted);
        let off = if off[0].abs() <= off[1].abs() { off[0] } else { off[1] };
        let mut error = off.abs();
        if error > 1e-12 {
            for [a, b] in &self.sizes.pairs {
                for [c, d] in &self.sizes.pairs {
                    error = error.min((off + (0.5 * (b - a) / f.base + 0.5 * (d - c) / r.base)).abs());
                }
            }
        }
        if fence == rail || error > self.ask.tolerance + 1e-12 {
            return None;
        }
        let minus = |turn: [f64; 2]| turn.map(|t| -t);
        let terms = [(fence[0], f.turn), (fence[1], minus(f.turn)), (rail[0], minus(r.turn)), (rail[1], r.turn)];
        let variance = self.places.variance(&terms);
        let thickness =
            2.0 * (1.0 / (f.base * f.base) + 1.0 / (r.base * r.base)) * self.dogs.radius_sd * self.dogs.radius_sd;
        let u = variance.map_or(0.0, |v| (v + stands(&terms, self.dogs) + thickness).sqrt());
        let open = self.places.basis() != Basis::Planned && variance.is_none();
        let base = (f.base.min(r.base) * 1000.0).round() as i64;
        Some((open, step_of((error + 2.0 * u) * 1000.0), -base))
    }

    fn way_round(&self, fence: [usize; 2], rail: [usize; 2]) -> Option<Arrangement> {
        let (places, ask) = (self.places, &self.ask);
        let sides = [LineSide::Left, LineSide::Right];
        let off = |pair: &Pair| (pair.angle - ask.wanted).abs();
        let mut best: Option<Arrangement> = None;
        for fence in [fence, [fence[1], fence[0]]] {
            for rail in [rail, [rail[1], rail[0]]] {
                for (fence_side, rail_side) in sides.into_iter().flat_map(|a| sides.map(|b| (a, b))) {
                    let lines = |a, b| {
                        let fence = Line { holes: fence, side: fence_side, dogs: a };
                        Pair::of(places, fence, Line { holes: rail, side: rail_side, dogs: b })
                    };
                    let Some(first) = lines([self.dogs.usual(); 2], [self.dogs.usual(); 2]) else { continue };
                    if off(&first) > (PI - first.angle - ask.wanted).abs() + 1e-9 {
                        continue;
                    }
                    let mut nearest: Option<Pair> = None;
                    for &a in &self.sizes.pairs {
                        for &b in &self.sizes.pairs {
                            let pair = lines(a, b).filter(|_| self.can_be_had(fence, rail, a, b));
                            if pair.is_some_and(|p| nearest.as_ref().is_none_or(|old| off(&p) < off(old) - 1e-12)) {
                                nearest = pair;
                            }
                        }
                    }
                    let Some(pair) = nearest.filter(|pair| off(pair) <= ask.tolerance + 1e-9) else { continue };
                    let room = room_for(self.job, places, &pair, ask.width, ask.kerf);
                    let will_do = |room: &Room| room.blocked.is_empty() && ask.kept.is_none_or(|k| k == room.kept);
                    let stop = |piece: &Piece| kit_stop(self.job, places, self.dogs, &pair, piece).is_some();
                    if !room.as_ref().is_none_or(will_do) || !self.piece.as_ref().is_none_or(stop) {
                        continue;
                    }
                    let u = pair.u(places, self.dogs);
                    let bound_mm_per_m = (off(&pair) + 2.0 * u.unwrap_or(0.0)) * 1000.0;
                    let better = best.as_ref().is_none_or(|best| {
                        let (new, old) = (step_of(bound_mm_per_m), step_of(best.bound_mm_per_m));
                        new < old || (new == old && capacity(&room) > capacity(&best.room) + 1e-6)
                    });
                    if better {
                        best = Some(Arrangement { pair, u, bound_mm_per_m, room });
                    }
                }
            }
        }
        best
    }

    fn can_be_had(&self, fence: [usize; 2], rail: [usize; 2], a: [f64; 2], b: [f64; 2]) -> bool {
        let mut needed = a.to_vec();
        for (hole, dog) in rail.into_iter().zip(b) {
            match fence.iter().position(|f| *f == hole) {
                Some(at) if a[at] != dog => return false,
                Some(_) => {}
                None => needed.push(dog),
            }
        }
        self.dogs.have(&needed)
    }
}

fn capacity(room: &Option<Room>) -> f64 {
    room.as_ref().map_or(0.0, |room| room.capacity)
}

fn made_layout(dice: &mut Dice, pitch: [f64; 2]) -> Layout {
    let mut layout = lay_out(&crate::testing::trailer_top()).unwrap();
    let (rows, columns) = (dice.whole(2, 5), dice.whole(2, 7));
    layout.pitch = pitch;
    let cells: Vec<Cell> = (0..rows).flat_map(|row| (0..columns).map(move |column| Cell::new(row, column))).collect();
    layout.holes = cells
        .into_iter()
        .filter(|_| !dice.chance(10))
        .map(|cell| LaidHole {
            name: cell.to_string(),
            cell: Some(cell),
            centre: Point::new(75.0 + pitch[0] * f64::from(cell.column), 90.0 + pitch[1] * f64::from(cell.row)),
            diameter: 20.0,
        })
        .collect();
    for (name, diameter) in [("lone", 20.0), ("off", 20.0), ("wide", 30.0)] {
        let centre =
            Point::new(40.0 + 90.0 * dice.unit() * f64::from(columns), 40.0 + 90.0 * dice.unit() * f64::from(rows));
        if dice.chance(30) {
            layout.holes.push(LaidHole { name: name.to_owned(), cell: None, centre, diameter });
        }
    }
    layout
}

/// Places as wanted, or as a made proof has them: holes off, by themselves and in common, some left out,
/// now and then something that the readings leave free.
fn made_places(dice: &mut Dice, layout: &Layout) -> Places {
    if dice.chance(20) {
        return Places::planned(layout);
    }
    let holes: Vec<&LaidHole> = layout.holes.iter().filter(|_| !dice.chance(5)).collect();
    let size = 2 * holes.len();
    let mut centred = |by: f64| by * (dice.unit() - 0.5);
    let centres = holes.iter().map(|h| Point::new(h.centre.x + centred(0.2), h.centre.y + centred(0.2))).collect();
    let mut covariance = vec![0.0; size * size];
    for common in 0..4 {
        let by: Vec<f64> = (0..size)
            .map(|i| {
                let at = holes[i / 2].centre;
                let lean = if i % 2 == 0 { at.y } else { -at.x } / 1000.0;
                0.1 * if common == 0 { lean } else { centred(1.0) }
            })
            .collect();
        for (i, a) in by.iter().enumerate() {
            for (j, b) in by.iter().enumerate() {
                covariance[i * size + j] += a * b;
            }
        }
    }
    for i in 0..size {
        covariance[i * size + i] += 0.04 * 0.04 * (0.5 + centred(0.5));
    }
    let mut free = Vec::new();
    if centred(1.0) > 0.3 {
        // one hole's place along a line, or the whole turned
        let whole = centred(1.0) > 0.0;
        free.push((0..size).map(|i| if whole || i / 2 == 1 { centred(1.0) } else { 0.0 }).collect());
    }
    let names = holes.iter().map(|h| h.name.clone()).collect();
    Places::proved(layout, &ProvedHoles { names, centres, covariance, free, ..ProvedHoles::default() })
}

#[test]
fn the_quick_search_finds_what_the_plain_one_finds() {
    let mut dice = Dice::new(611);
    let (mut told, mut with_several, mut cut_short, mut open, mut stopped, mut beside) = (0, 0, 0, 0, 0, 0);
    for _ in 0..120 {
        let mut job = crate::testing::trailer_top_with_rail();
        job.grid.pitch = [0, 1].map(|_| dice.one_of(&[64.0, 80.0, 96.0, 100.0]));
        let layout = made_layout(&mut dice, job.grid.pitch);
        let places = made_places(&mut dice, &layout);
        match dice.whole(0, 4) {
            0 => job.kit = None,
            1 => job.kit.as_mut().unwrap().rail = None,
            _ => {
                let kit = job.kit.as_mut().unwrap();
                kit.fence.as_mut().unwrap().length = f64::from(dice.whole(150, 900));
                kit.rail.as_mut().unwrap().length = f64::from(dice.whole(300, 1400));
            }
        }
        let heads: &[(f64, u32)] =
            dice.one_of(&[&[(20.0, u32::MAX)], &[(20.0, 4), (19.0, 2)], &[(20.1, 4), (19.8, 3), (19.5, 2)][..]]);
        let dogs = Dogs {
            heads: heads.to_vec(),
            radius_sd: dice.one_of(&[0.0, 0.01]),
            stands_sd: dice.one_of(&[0.0, 0.02]),
            fit_known: true,
        };
        let degrees = dice.one_of(&[90.0, 45.0, 67.5, 30.0, 112.5, 17.3, 141.0]);
        let ask = Search {
            wanted: f64::to_radians(degrees),
            tolerance: dice.one_of(&[0.002, 0.01]),
            best: dice.one_of(&[1, 2, 5, MOST_ARRANGEMENTS]),
            width: dice.one_of(&[None, None, Some(120.0)]),
            kerf: dice.one_of(&[None, Some(2.2)]),
            kept: dice.one_of(&[None, None, Some(Kept::Beyond)]),
        };
        let piece = dice.chance(30).then(|| Piece {
            length: f64::from(dice.whole(80, 400)),
            at: CutAt::Fence,
            width: 0.0,
            kerf: 2.2,
            kept: Kept::Beyond,
            end: FRAC_PI_2,
        });
        let quick = search_for(&job, &places, &dogs, &ask, piece.as_ref());
        let all_looked_at = search(&job, &places, &dogs, &Search { best: MOST_ARRANGEMENTS, ..ask.clone() }).looked_at;
        let plain = Plain { job: &job, places: &places, dogs: &dogs, sizes: Sizes::of(&dogs), ask, piece };
        let (arrangements, looked_at) = plain.search();
        assert_eq!(quick.looked_at, looked_at, "{degrees}°");
        assert_eq!(quick.arrangements, arrangements, "{degrees}°");
        told += arrangements.len();
        with_several += usize::from(heads.len() > 1 && !arrangements.is_empty());
        cut_short += usize::from(looked_at < all_looked_at);
        open += arrangements.iter().filter(|a| a.u.is_none() && places.basis() == Basis::Proved).count();
        let lone = |hole: usize| places.holes()[hole].cell.is_none();
        beside += arrangements.iter().filter(|a| (0..places.holes().len()).any(|i| lone(i) && a.pair.uses(i))).count();
        stopped += usize::from(plain.piece.is_some() && !arrangements.is_empty());
    }
    // what was to be seen was seen
    let seen = [told, with_several, cut_short, open, stopped, beside];
    assert!(seen.iter().zip([300, 20, 5, 20, 5, 5]).all(|(seen, least)| *seen >= least), "{seen:?}");
}
