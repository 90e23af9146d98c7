//! Readings that could be taken next, one instrument after another, as rows of the adjustment.

use super::adjusted::Adjusted;
use super::gauge::Gauge;
use super::lattice::PER_METRE;
use super::model::{Measures, Observed};
use super::riding::Ride;
use super::solve::Terms;
use crate::job::Job;
use crate::reading::{Instrument, ReadingKind, What};
use crate::top::Cell;

/// What a pinned bar may be off and still enter, mm, where neither a reading of the job nor its kit says
/// it (common practice, no source).
pub(super) const USUAL_PLAY: f64 = 0.06;
/// A bar's distance agrees with a whole number of pitches to this, mm: rounding alone.
pub(super) const ON_PITCH: f64 = 1e-6;
/// Nobody tries a bar between neighbours to learn of square, in pitches.
pub(super) const LEAST_BAR_PITCHES: f64 = 3.0;

/// Variance that stands for a bar without noise of its own, mm².
const LEAST_NOISE: f64 = 1e-6;

/// One reading that could be taken.
#[derive(Clone, Debug)]
pub(super) struct Candidate {
    pub(super) kind: ReadingKind,
    /// Its holes, line by line.
    pub(super) lines: Vec<[usize; 2]>,
    pub(super) terms: Terms,
    /// Variance of the reading's own noise.
    pub(super) variance: f64,
    /// A bar, with the distance expected now.
    pub(super) gauge: Option<(Gauge, f64)>,
}

/// All candidates of an instrument for square: distances, bars, square corners, test cuts.
pub(super) fn for_square(job: &Job, adjusted: &Adjusted, at: usize) -> Vec<Candidate> {
    let instrument = &job.proof.instruments[at];
    let mut all = Vec::new();
    for kind in &instrument.reads {
        match kind {
            ReadingKind::Distance => distances(adjusted, instrument, at, &mut all),
            ReadingKind::Went => bars(job, adjusted, instrument, at, &mut all),
            ReadingKind::Angle => {
                if let Some(blade) = instrument.blade {
                    let u = instrument.u_at(blade) / blade * PER_METRE;
                    corners(adjusted, at, *kind, u * u, 1.0, &mut all);
                }
            }
            ReadingKind::FiveCut => {
                if let Some(strip) = instrument.strip {
                    let u = std::f64::consts::SQRT_2 * instrument.u / (4.0 * strip) * PER_METRE;
                    corners(adjusted, at, *kind, u * u, 0.0, &mut all);
                }
            }
            ReadingKind::TurnOver => {
                if let Some(strip) = instrument.strip {
                    let u = instrument.u / (2.0 * strip) * PER_METRE;
                    corners(adjusted, at, *kind, u * u, 0.0, &mut all);
                }
            }
            // Offsets tell nothing of square that a line of holes does not say of itself, and places
            // come many at a time.
            ReadingKind::Offset | ReadingKind::Place | ReadingKind::DidNotGo => {}
        }
    }
    all
}

/// Holes of the grid by index, with their places in it.
fn grid(adjusted: &Adjusted) -> Vec<(usize, Cell)> {
    adjusted.model.holes.iter().enumerate().filter_map(|(i, h)| Some((i, h.cell?))).collect()
}

fn row(adjusted: &Adjusted, measures: Measures, kind: ReadingKind, at: usize) -> super::solve::Row {
    let observed = Observed { number: 0, kind, measures, common: adjusted.model.common[at], value: 0.0 };
    let nominal = |hole: usize| adjusted.model.holes[hole].nominal;
    observed.measures.row(&adjusted.fit.x, &nominal, observed.common)
}

fn distances(adjusted: &Adjusted, instrument: &Instrument, at: usize, all: &mut Vec<Candidate>) {
    let holes = grid(adjusted);
    for (k, &(a, _)) in holes.iter().enumerate() {
        for &(b, _) in &holes[k + 1..] {
            let [p, q] = [a, b].map(|h| adjusted.model.holes[h].nominal);
            let length = super::geometry::distance(p, q).0;
            if instrument.range.is_some_and(|[least, most]| length < least || length > most) {
                continue;
            }
            let row = row(adjusted, Measures::Distance { holes: [a, b], more: 0.0 }, ReadingKind::Distance, at);
            let u = instrument.u_at(length);
            all.push(Candidate {
                kind: ReadingKind::Distance,
                lines: vec![[a, b]],
                terms: row.terms,
                variance: u * u,
                gauge: None,
            });
        }
    }
}

/// Bars across, where the distance is a whole number of pitches: along rows and columns the bar would
/// only repeat the pitch.
fn bars(job: &Job, adjusted: &Adjusted, instrument: &Instrument, at: usize, all: &mut Vec<Candidate>) {
    let pitch = job.grid.pitch[0];
    let play = job
        .proof
        .readings
        .iter()
        .find_map(|r| match &r.what {
            What::Gauge { play, .. } if r.with.as_deref() == Some(&instrument.name) => Some(*play),
            _ => None,
        })
        .or_else(|| {
            let kit = job.kit.as_ref()?;
            Some(kit.play(kit.bar_called(&instrument.name)?, false)).filter(|play| *play > 0.0)
        })
        .unwrap_or(USUAL_PLAY);
    let holes = grid(adjusted);
    for (k, &(a, from)) in holes.iter().enumerate() {
        for &(b, to) in &holes[k + 1..] {
            let [p, q] = [a, b].map(|h| adjusted.model.holes[h].nominal);
            let length = super::geometry::distance(p, q).0;
            let pitches = length / pitch;
            let across = from.row != to.row && from.column != to.column;
            let fits = (pitches - pitches.round()).abs() * pitch < ON_PITCH && pitches >= LEAST_BAR_PITCHES;
            if !across || !fits || instrument.range.is_some_and(|[least, most]| length < least || length > most) {
                continue;
            }
            let (measures, u) = match Ride::pinned(&adjusted.model.rides, Some(at), length, None) {
                Some(bar) => (Measures::Pinned { holes: [a, b], bar }, 0.0),
                None => (Measures::Distance { holes: [a, b], more: 0.0 }, instrument.u_at(length)),
            };
            let nominal = |hole: usize| adjusted.model.holes[hole].nominal;
            let row = measures.row(&adjusted.fit.x, &nominal, super::model::Common::default());
            let gauge = Gauge { low: length - play, high: length + play, u, went: true };
            all.push(Candidate {
                kind: ReadingKind::Went,
                lines: vec![[a, b]],
                terms: row.terms,
                // Candidates are compared by their noise before the play of each is weighed.
                variance: (u * u).max(LEAST_NOISE),
                gauge: Some((gauge, row.computed)),
            });
        }
    }
}

/// Corners of a row and a column, each along to the farther end.
fn corners(adjusted: &Adjusted, at: usize, kind: ReadingKind, variance: f64, zero: f64, all: &mut Vec<Candidate>) {
    let holes = grid(adjusted);
    let far = |of: &dyn Fn(Cell) -> (u32, u32), corner: Cell| -> Option<(usize, bool)> {
        let (line, place) = of(corner);
        let on = holes.iter().filter(|(_, c)| of(*c).0 == line).map(|(i, c)| (of(*c).1, *i));
        let (first, last) = (on.clone().min()?, on.max()?);
        let outer = place == first.0 || place == last.0;
        let end = if place - first.0 > last.0 - place { first } else { last };
        (end.0 != place).then_some((end.1, outer))
    };
    for &(corner, cell) in &holes {
        let (Some((along, outer_a)), Some((up, outer_b))) =
            (far(&|c| (c.row, c.column), cell), far(&|c| (c.column, c.row), cell))
        else {
            continue;
        };
        // A square is held at the end of two lines; anywhere else its lines are shorter.
        if !outer_a || !outer_b {
            continue;
        }
        let lines = [[corner, along], [corner, up]];
        let against = std::f64::consts::FRAC_PI_2;
        let row = row(adjusted, Measures::Angle { lines, against, zero }, kind, at);
        all.push(Candidate { kind, lines: lines.to_vec(), terms: row.terms, variance, gauge: None });
    }
}
