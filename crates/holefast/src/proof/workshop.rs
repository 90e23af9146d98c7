//! A workshop that is made up: tops whose holes lie where a seed puts them, read as a woodworker would,
//! with the noise and the errors of the instruments. For tests and for the tables of the papers: the
//! truth is known, so what a proof says can be held against it.
//!
//! Tops come from a stated prior, or from the virtual boards of [`crate::predict`]
//! ([`crate::predict::Model::board`]), whose clearances are taken as they fall. Every top and every
//! reading hangs on seed and number alone.

use super::chance::normal_quantile;
use super::geometry::P;
use super::lattice::{Lattice, PER_METRE};
use super::model::{Model, Observed};
use super::prior::HolePrior;
use super::solve::Noise;
use crate::job::Job;
use crate::math;
use crate::predict::uniforms;
use crate::reading::{Known, Reading, Stated, What, holes_of};
use crate::top::{LaidHole, Layout};

/// Where the holes of a top really lie: deviations from the layout, mm, in its order of holes.
pub type Truth = Vec<P>;

/// What a common error that is not known at all is drawn with, mm or mm per m: a pinch rod's mark may
/// stand anywhere.
const UNKNOWN_ERROR: f64 = 2.0;

/// Standard normal numbers by place in a stream.
struct Draws {
    seed: u64,
    board: u64,
    next: u32,
}

impl Draws {
    fn normal(&mut self) -> f64 {
        self.next += 1;
        normal_quantile(uniforms(self.seed, self.board, self.next)[0])
    }
}

/// A top drawn from a stated prior; unknown fields are nil in it, so their truth is the caller's to add
/// with [`lean`].
pub fn drawn_top(prior: &Stated, layout: &Layout, seed: u64, number: u64) -> Truth {
    let mut draws = Draws { seed, board: number, next: 0 };
    let sd = |known: Known| if let Known::Within(sd) = known { sd } else { 0.0 };
    let [square, x, y] = [prior.square, prior.pitch[0], prior.pitch[1]].map(|k| sd(k) * draws.normal());
    let hole = sd(prior.hole);
    let mut truth: Truth = layout.holes.iter().map(|_| [hole * draws.normal(), hole * draws.normal()]).collect();
    lean(&mut truth, layout, square, [x, y]);
    truth
}

/// Adds a lean of the columns and errors of pitch, mm per m, about the grid's middle.
pub fn lean(truth: &mut Truth, layout: &Layout, square: f64, pitch: [f64; 2]) {
    let grid = || layout.holes.iter().filter(|h| h.cell.is_some());
    let n = grid().count().max(1) as f64;
    let (mx, my) = (grid().map(|h| h.centre.x).sum::<f64>() / n, grid().map(|h| h.centre.y).sum::<f64>() / n);
    for (d, hole) in truth.iter_mut().zip(&layout.holes) {
        let (x, y) = ((hole.centre.x - mx) / PER_METRE, (hole.centre.y - my) / PER_METRE);
        d[0] += -square * y + pitch[0] * x;
        d[1] += pitch[1] * y;
    }
}

/// Square of a top, mm per m; `None` where its holes lie on one line.
pub fn square_of(truth: &Truth, layout: &Layout) -> Option<f64> {
    let cells: Vec<(usize, [f64; 2])> = layout
        .holes
        .iter()
        .enumerate()
        .filter_map(|(i, h)| h.cell.map(|c| (i, [f64::from(c.column), f64::from(c.row)])))
        .collect();
    let places: Vec<P> = layout.holes.iter().zip(truth).map(|(h, d)| [h.centre.x + d[0], h.centre.y + d[1]]).collect();
    Some(Lattice::of(&cells, layout.pitch)?.square(&places).value)
}

/// The job's readings as this top would give them: holes and instruments stay, values are new.
pub fn read(job: &Job, layout: &Layout, truth: &Truth, seed: u64, number: u64) -> Vec<Reading> {
    // Apart from the top's own numbers.
    let mut draws = Draws { seed, board: number, next: 1 << 24 };
    let numbered: Vec<(usize, &Reading)> = job.proof.readings.iter().enumerate().map(|(i, r)| (i + 1, r)).collect();
    let named: Vec<&str> = numbered.iter().flat_map(|(_, r)| holes_of(&r.what)).collect();
    let at: Vec<usize> = (0..layout.holes.len()).filter(|&i| named.contains(&layout.holes[i].name.as_str())).collect();
    let holes: Vec<&LaidHole> = at.iter().map(|&i| &layout.holes[i]).collect();
    let model = Model::new(&holes, HolePrior::none(2 * holes.len()), &job.proof.instruments, &numbered, false);
    let mut x = model.start.clone();
    for (k, &hole) in at.iter().enumerate() {
        (x[2 * k], x[2 * k + 1]) = (truth[hole][0], truth[hole][1]);
    }
    for (instrument, common) in job.proof.instruments.iter().zip(&model.common) {
        for (known, unknown) in instrument.common().into_iter().zip([common.scale, common.zero]) {
            let sd = if let Known::Within(sd) = known { sd } else { UNKNOWN_ERROR };
            if let Some(k) = unknown {
                x[k] = sd * draws.normal();
            }
        }
    }
    let rows = model.rows(&x);
    let noise: Vec<f64> = model
        .noise
        .iter()
        .flat_map(|block| match block {
            Noise::One(variance) => vec![variance.sqrt()],
            Noise::Several(..) => (0..block.len()).map(|i| block.covariance(i, i).sqrt()).collect(),
        })
        .collect();
    let mut out = job.proof.readings.clone();
    let mut next_in_set = vec![0usize; out.len()];
    for ((row, point), sd) in rows.iter().zip(&model.points).zip(noise) {
        let value = row.computed + sd * draws.normal();
        let at = &mut next_in_set[point.number - 1];
        put(&mut out[point.number - 1].what, *at, value);
        *at += 1;
    }
    let gauges: Vec<&Observed> = model.gauges.iter().map(|(_, row)| row).collect();
    for ((row, (gauge, _)), observed) in rows[model.points.len()..].iter().zip(&model.gauges).zip(gauges) {
        let met = row.computed + gauge.u * draws.normal();
        if let What::Gauge { went, .. } = &mut out[observed.number - 1].what {
            *went = (gauge.low..=gauge.high).contains(&met);
        }
    }
    out
}

/// Puts the `k`-th value of a reading in.
fn put(what: &mut What, k: usize, read: f64) {
    match what {
        What::Distance { value, .. } | What::Offset { value, .. } => *value = read,
        What::Angle { gap, length, .. } => *gap = *length * math::tan(read / PER_METRE),
        What::FiveCut { strip, length, .. } => strip[0] = strip[1] + 4.0 * *length * read / PER_METRE,
        What::TurnOver { gap, at_fence, length, .. } => {
            *gap = (2.0 * *length * read / PER_METRE).abs();
            *at_fence = read >= 0.0;
        }
        What::Place { x, y, .. } => (if k.is_multiple_of(2) { x } else { y })[k / 2] = read,
        What::Gauge { .. } => {}
    }
}
