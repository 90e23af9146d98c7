//! What a part-bored top has already: which places carry a pilot, which a dog hole, which were
//! spoiled and are plugged; and what is known of how they came about.

use std::collections::{BTreeMap, BTreeSet};

use super::lattice::{HELPER_MARGIN, RowColumn, grid_name};
use crate::fault::Fault;
use crate::job::{Done, DoneAs, Job};
use crate::kit::reach::HELPER_WITHIN;
use crate::math::hypot;
use crate::measure::format;
use crate::plan::{Bit, Exists, HoleKind, Plan, PlanHole, Setup};
use crate::top::{Cell, Layout, Point};

/// How far a hole that nobody knows the making of may lie from its place: standard deviation per
/// axis, mm. About what this method's own pilots scatter with a middling kit (the trailer top's
/// rows beyond the bars' reach); a hole marked out and bored by eye lies far worse, and then a pin
/// does not enter. An assumption, and said to be one.
pub(super) const SCATTER: f64 = 0.05;

/// A top as it is found.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Part {
    /// Places with a pilot, helpers among them where it is known that they were bored.
    pub(super) pilots: BTreeSet<RowColumn>,
    /// Places with a dog hole.
    pub(super) dogs: BTreeSet<RowColumn>,
    /// Spoiled and plugged: wood again.
    pub(super) plugged: BTreeSet<RowColumn>,
    /// Spoiled and not wanted any more: nothing is bored there.
    unsound: BTreeSet<RowColumn>,
    /// Spoiled as dog holes, of the plugged.
    spoiled_dogs: BTreeSet<RowColumn>,
    /// How far holes may lie from their places, mm, where the job states it.
    scatter: BTreeMap<RowColumn, f64>,
    /// Names of helper pilots that the job says exist.
    pub(super) named: BTreeMap<RowColumn, String>,
    /// Set-ups that are done and are known, in order, and the holes they bored.
    pub(super) history: Vec<Setup>,
    pub(super) history_holes: Vec<PlanHole>,
}

impl Part {
    /// What the job says is done and spoiled, nothing known of how. The last `[[done]]` that names a
    /// hole holds.
    ///
    /// Errors: helpers where none can be.
    pub(super) fn found(job: &Job, layout: &Layout) -> Result<Part, Vec<Fault>> {
        let mut part = Part::default();
        for spoiled in job.spoiled.iter().filter(|s| layout.holes.iter().all(|h| h.name != s.hole)) {
            part.unsound.extend(Cell::parse(&spoiled.hole).map(|cell| (cell.row as i32, cell.column as i32)));
        }
        for hole in &layout.holes {
            let Some(cell) = hole.cell else { continue };
            let place = (cell.row as i32, cell.column as i32);
            let as_ = done_as(job, cell);
            if let Some(scatter) = done(job, cell).and_then(|d| d.scatter) {
                part.scatter.insert(place, scatter);
            }
            if job.spoiled.iter().any(|s| s.hole == hole.name) {
                part.plugged.insert(place);
                if as_ == Some(DoneAs::Dog) {
                    part.spoiled_dogs.insert(place);
                }
                continue;
            }
            match as_ {
                Some(DoneAs::Pilot) => part.pilots.insert(place),
                Some(DoneAs::Dog) => part.dogs.insert(place),
                None => continue,
            };
        }
        part.helpers(job, layout)?;
        Ok(part)
    }

    /// The helper pilots that the job says exist, each at the place of the grid's pitch that it is.
    fn helpers(&mut self, job: &Job, layout: &Layout) -> Result<(), Vec<Fault>> {
        let mut faults = Vec::new();
        let mut beside = 0;
        for (n, done) in job.done.iter().enumerate() {
            for &at in &done.helpers {
                let span = job.span(&format!("done[{n}].helpers"));
                match helper(job, layout, at) {
                    Err(fault) => faults.push(fault.at(span)),
                    Ok(place) if self.pilots.insert(place) => {
                        let name = grid_name(place).unwrap_or_else(|| {
                            beside += 1;
                            format!("x{beside}")
                        });
                        self.named.insert(place, name);
                        if let Some(scatter) = done.scatter {
                            self.scatter.insert(place, scatter);
                        }
                    }
                    Ok(_) => {}
                }
            }
        }
        if faults.is_empty() { Ok(()) } else { Err(faults) }
    }

    /// The same top before anything was bored.
    pub(super) fn before(&self) -> Part {
        Part { unsound: self.unsound.clone(), ..Part::default() }
    }

    /// This top with its spoiled holes given up.
    pub(super) fn going_round(&self) -> Part {
        let mut part = self.clone();
        part.unsound.append(&mut part.plugged);
        part
    }

    /// False where nothing can be bored: an open hole, or one spoiled and given up.
    pub(super) fn is_sound(&self, place: RowColumn) -> bool {
        !self.dogs.contains(&place) && !self.unsound.contains(&place)
    }

    /// True if nothing has been bored.
    pub(super) fn is_bare(&self) -> bool {
        self.pilots.is_empty() && self.dogs.is_empty()
    }

    /// How far a hole may lie from its place, mm: as the job states, else as assumed.
    fn scatter_of(&self, place: RowColumn) -> f64 {
        self.scatter.get(&place).copied().unwrap_or(SCATTER)
    }

    /// True if the job states how far any hole may lie from its place: then it was not bored by the
    /// job's own plan.
    pub(super) fn states_scatter(&self) -> bool {
        !self.scatter.is_empty()
    }

    /// How many holes that exist have no scatter stated.
    pub(super) fn assumed(&self) -> usize {
        self.pilots.iter().chain(&self.dogs).filter(|&place| !self.scatter.contains_key(place)).count()
    }

    /// Places that exist as nobody knows how, for the plan's data.
    pub(super) fn exists(&self) -> Vec<Exists> {
        if !self.history.is_empty() {
            return Vec::new();
        }
        let all = self.pilots.iter().map(|p| (p, false)).chain(self.dogs.iter().map(|p| (p, true)));
        all.filter_map(|(&place, dog)| {
            let hole = self.named.get(&place).cloned().or_else(|| grid_name(place))?;
            Some(Exists { hole, dog, scatter_mm: self.scatter_of(place) })
        })
        .collect()
    }

    /// Which set-ups of a plan from the bare sheet are done, if what exists is what some of them
    /// bore, each whole, in an order that hands could follow. A set-up that bores nothing but helpers is
    /// done if one that needs it is; a check, if something after it is bored as a pilot.
    pub(super) fn done_of(&self, own: &Plan) -> Option<Vec<bool>> {
        let place = |name: &str| own.hole(name).and_then(|h| h.row.zip(h.column));
        let piloted = |p: RowColumn| self.pilots.contains(&p) || self.dogs.contains(&p) || self.plugged.contains(&p);
        let opened = |p: RowColumn| self.dogs.contains(&p) || self.spoiled_dogs.contains(&p);
        let mut done = vec![false; own.setups.len()];
        let mut needs: BTreeSet<&str> = BTreeSet::new();
        let mut bored_after = false;
        for (i, setup) in own.setups.iter().enumerate().rev() {
            if setup.check {
                done[i] = bored_after;
                continue;
            }
            let mut counts = [0, 0];
            for bore in &setup.bores {
                if own.hole(&bore.hole).is_none_or(|h| h.kind != HoleKind::Dog) {
                    continue;
                }
                let is_done = place(&bore.hole).is_some_and(|p| match bore.bit {
                    Bit::Pilot => piloted(p),
                    Bit::Opening => opened(p),
                });
                counts[usize::from(is_done)] += 1;
            }
            done[i] = match counts {
                [0, 0] => setup.bores.iter().any(|b| needs.contains(b.hole.as_str())),
                [0, _] => true,
                [_, 0] => false,
                _ => return None,
            };
            if done[i] {
                bored_after |= setup.bores.iter().any(|b| b.bit == Bit::Pilot);
                needs.extend(setup.pins.iter().filter_map(|p| match &p.b {
                    crate::plan::Place::Hole(name) => Some(name.as_str()),
                    crate::plan::Place::Feature { .. } => None,
                }));
            }
        }
        // Helpers that the job names are those of this plan, or it is not how they came about.
        let bored = |p: &RowColumn| {
            let bores = own.setups.iter().zip(&done).filter(|(_, done)| **done).flat_map(|(s, _)| &s.bores);
            bores.into_iter().any(|bore| place(&bore.hole) == Some(*p))
        };
        let of_this_plan = self.named.keys().all(bored);
        (of_this_plan && done.contains(&true) && can_be_done(own, &done)).then_some(done)
    }

    /// The same top, known to have come about by these set-ups of its own plan.
    pub(super) fn with_history(mut self, own: &Plan, done: &[bool]) -> Part {
        self.history = own.setups.iter().zip(done).filter(|(_, d)| **d).map(|(s, _)| s.clone()).collect();
        for setup in &mut self.history {
            setup.done = true;
        }
        for bore in self.history.iter().flat_map(|s| &s.bores) {
            let Some(hole) = own.hole(&bore.hole) else { continue };
            if self.history_holes.iter().all(|h| h.name != hole.name) {
                self.history_holes.push(hole.clone());
            }
            if let (HoleKind::Helper | HoleKind::Pilot, Some(place)) = (hole.kind, hole.row.zip(hole.column)) {
                self.pilots.insert(place);
            }
        }
        self
    }
}

/// The place where a helper is.
fn helper(job: &Job, layout: &Layout, at: Point) -> Result<RowColumn, Fault> {
    let said = |p: Point| {
        let [x, y] = [p.x, p.y].map(|v| format::length_bare(v, job.units));
        format!("[{x}, {y}]")
    };
    let steps = |from: f64, to: f64, pitch: f64| ((to - from) / pitch).round() as i32;
    let row = steps(layout.origin.y, at.y, layout.pitch[1]);
    let column = steps(layout.origin.x, at.x, layout.pitch[0]);
    let centre = layout.place(row, column);
    let off = hypot(at.x - centre.x, at.y - centre.y);
    if off > HELPER_WITHIN {
        let off = format::length((10.0 * off).round() / 10.0, job.units);
        return Err(Fault::impossible(format!("the helper at {} lies {off} off the grid's pitch", said(at))).hint(
            format!("the nearest place that a bar's pins meet is {}; leave it out if it is not that", said(centre)),
        ));
    }
    let near = |n: i32, many: u32| (-HELPER_MARGIN..many as i32 + HELPER_MARGIN).contains(&n);
    if let Some(hole) =
        layout.holes.iter().find(|h| h.cell.is_some_and(|c| (c.row as i32, c.column as i32) == (row, column)))
    {
        return Err(Fault::input(format!("the helper at {} is {}, a hole of the grid", said(at), hole.name))
            .hint("name it among holes"));
    }
    if !(near(row, layout.rows) && near(column, layout.columns) && layout.allows_pilot(job, centre)) {
        return Err(Fault::impossible(format!("no pilot can stand at {}, where a helper is said to be", said(at)))
            .hint("edges, keep-outs and other holes bar it, or it lies far out; leave it out: it locates nothing"));
    }
    Ok((row, column))
}

/// What `[[done]]` says of a place.
fn done_as(job: &Job, cell: Cell) -> Option<DoneAs> {
    done(job, cell).map(|d| d.as_)
}

fn done(job: &Job, cell: Cell) -> Option<&Done> {
    job.done.iter().rev().find(|d| d.holes.iter().any(|range| range.contains(cell)))
}

/// True if the done set-ups in their order, then the rest in theirs, find every hole as they need it.
fn can_be_done(own: &Plan, done: &[bool]) -> bool {
    use crate::plan::{Place, With};
    let (mut pilots, mut dogs): (BTreeSet<&str>, BTreeSet<&str>) = Default::default();
    let order =
        own.setups.iter().zip(done).filter(|(_, d)| **d).chain(own.setups.iter().zip(done).filter(|(_, d)| !**d));
    for (setup, _) in order {
        let stands = setup.pins.iter().all(|pin| match (&pin.b, pin.with) {
            (Place::Feature { .. }, _) => true,
            (Place::Hole(name), With::Dog) => dogs.contains(name.as_str()),
            (Place::Hole(name), _) => pilots.contains(name.as_str()) && !dogs.contains(name.as_str()),
        });
        if !stands {
            return false;
        }
        for bore in &setup.bores {
            match bore.bit {
                Bit::Pilot => pilots.insert(&bore.hole),
                Bit::Opening => dogs.insert(&bore.hole),
            };
        }
    }
    true
}
