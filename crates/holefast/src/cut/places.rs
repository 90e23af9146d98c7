//! Where the dog holes are and how well that is known: the one thing that cutting takes from
//! planning, predicting or proving.

use crate::predict::Model;
use crate::proof::ProvedHoles;
use crate::top::{Cell, Layout, Point};

/// What the places rest on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// As they are wanted; how far they lie from there is not known.
    Planned,
    /// As they are wanted, with the spread that the plan is foretold to leave.
    Predicted,
    /// As readings on the finished top have shown them.
    Proved,
}

/// One dog hole.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// Its name.
    pub name: String,
    /// Its place in the grid; none for an extra hole.
    pub cell: Option<Cell>,
    /// Its centre, mm.
    pub centre: Point,
    /// Its diameter, mm.
    pub diameter: f64,
    /// Where it stands in the covariance; none where nothing is known of it.
    at: Option<usize>,
}

impl Place {
    /// True if it is known how far it may lie from where it is taken to be.
    pub fn is_known(&self) -> bool {
        self.at.is_some()
    }
}

/// All dog holes, with the covariance of their centres where it is known.
#[derive(Clone, Debug, PartialEq)]
pub struct Places {
    holes: Vec<Place>,
    /// Hole by hole with each other, row by row over those that are known, mm²: of two x with x, x with
    /// y, y with x, y with y.
    covariance: Vec<[f64; 4]>,
    /// Of how many holes that is.
    known: usize,
    /// Directions, in the same order, that the readings leave free.
    free: Vec<Vec<f64>>,
    basis: Basis,
    /// Readings contradict each other or one is suspect.
    doubted: bool,
}

/// How far a line of two holes may lean, as [`Places`] knows it: what every angle that the line takes
/// part in would work out again.
#[derive(Clone, Debug)]
pub(super) struct Lean {
    /// Both centres' places in the covariance.
    at: [usize; 2],
    /// Change of the direction per shift of the second centre, rad per mm.
    turn: [f64; 2],
    /// The direction's variance by itself, rad².
    own: f64,
    /// For each free direction what it changes, and how far it moves both centres, squared.
    free: Vec<[f64; 2]>,
}

impl Lean {
    /// The direction's variance, rad²; `None` where what the readings leave free changes it.
    pub(super) fn variance(&self) -> Option<f64> {
        let steep = 2.0 * square(self.turn);
        let fixed = self.free.iter().all(|[along, moved]| along.abs() <= TURNED * (steep * moved).sqrt());
        fixed.then_some(self.own.max(0.0))
    }

    /// Covariance of the lean with a hole's shift along `by`, of which this is the row.
    #[inline]
    fn in_common(&self, row: &[[f64; 4]], by: [f64; 2]) -> f64 {
        let (from, to) = (&row[self.at[0]], &row[self.at[1]]);
        let x = (to[0] - from[0]) * self.turn[0] + (to[1] - from[1]) * self.turn[1];
        let y = (to[2] - from[2]) * self.turn[0] + (to[3] - from[3]) * self.turn[1];
        by[0] * x + by[1] * y
    }
}

fn square(v: [f64; 2]) -> f64 {
    v[0] * v[0] + v[1] * v[1]
}

/// A figure's gradient at the adjusted places is turned against that at the wanted ones, where free
/// directions are found, by so much at most: 0.1 mm in 200, ten times over.
const TURNED: f64 = 5e-3;

impl Places {
    /// The holes of a layout where they are wanted, nothing known of their spread.
    pub fn planned(layout: &Layout) -> Places {
        let holes = layout
            .holes
            .iter()
            .map(|h| Place { name: h.name.clone(), cell: h.cell, centre: h.centre, diameter: h.diameter, at: None })
            .collect();
        let basis = Basis::Planned;
        Places { holes, covariance: Vec::new(), known: 0, free: Vec::new(), basis, doubted: false }
    }

    /// The holes of a layout where they are wanted, with the spread that a plan is foretold to leave.
    /// A hole that the model does not open is left out.
    pub fn predicted(layout: &Layout, model: &Model) -> Places {
        let all = model.dog_covariance();
        let mut places = Places::planned(layout).known(&all.names, &all.covariance, Basis::Predicted);
        places.holes.retain(Place::is_known);
        places
    }

    /// The holes with places as proved and what is known of them then. Those that the proof does not
    /// take in stay where they are wanted, and nothing is known of them.
    pub fn proved(layout: &Layout, proof: &ProvedHoles) -> Places {
        let mut places = Places::planned(layout).known(&proof.names, &proof.covariance, Basis::Proved);
        for hole in &mut places.holes {
            if let Some(centre) = hole.at.and_then(|at| proof.centres.get(at)) {
                hole.centre = *centre;
            }
        }
        Places { free: proof.free.clone(), doubted: proof.doubted, ..places }
    }

    /// Takes in a covariance of the holes that are named.
    fn known(self, names: &[String], covariance: &[f64], basis: Basis) -> Places {
        let mut holes = self.holes;
        for hole in &mut holes {
            hole.at = names.iter().position(|name| *name == hole.name);
        }
        let known = names.len();
        let both = |i: usize, j: usize| {
            let at = 4 * i * known + 2 * j;
            [covariance[at], covariance[at + 1], covariance[at + 2 * known], covariance[at + 2 * known + 1]]
        };
        let covariance = (0..known).flat_map(|i| (0..known).map(move |j| both(i, j))).collect();
        Places { holes, covariance, known, basis, ..self }
    }

    /// The holes, in the layout's order.
    pub fn holes(&self) -> &[Place] {
        &self.holes
    }

    /// What the places rest on.
    pub fn basis(&self) -> Basis {
        self.basis
    }

    /// True if they rest on readings that contradict each other, or of which one is suspect.
    pub fn is_doubted(&self) -> bool {
        self.doubted
    }

    /// A hole by its name.
    pub fn find(&self, name: &str) -> Option<usize> {
        self.holes.iter().position(|hole| hole.name == name)
    }

    /// The variance of Σ g · centre over these holes, mm² times the square of g's unit; a hole may
    /// stand there twice. `None` where nothing is known of one of them, or where what the readings
    /// leave free changes the sum.
    pub fn variance(&self, terms: &[(usize, [f64; 2])]) -> Option<f64> {
        let sum = self.spread_of(terms)?;
        self.is_fixed(terms).then_some(sum.max(0.0))
    }

    /// The sum that [`Places::variance`] tells, whatever the readings leave free.
    fn spread_of(&self, terms: &[(usize, [f64; 2])]) -> Option<f64> {
        let mut sum = 0.0;
        for &(a, ga) in terms {
            let a = self.holes[a].at?;
            for &(b, gb) in terms {
                let [xx, xy, yx, yy] = self.covariance[a * self.known + self.holes[b].at?];
                sum += ga[0] * (xx * gb[0] + xy * gb[1]);
                sum += ga[1] * (yx * gb[0] + yy * gb[1]);
            }
        }
        Some(sum)
    }

    /// True if nothing that the readings leave free changes Σ g · centre.
    fn is_fixed(&self, terms: &[(usize, [f64; 2])]) -> bool {
        self.free.iter().all(|z| {
            let (mut along, mut steep, mut moved) = (0.0, 0.0, 0.0);
            for (hole, g) in terms {
                let Some(at) = self.holes[*hole].at else { return false };
                let z = [z[2 * at], z[2 * at + 1]];
                along += g[0] * z[0] + g[1] * z[1];
                steep += g[0] * g[0] + g[1] * g[1];
                moved += z[0] * z[0] + z[1] * z[1];
            }
            let along: f64 = along;
            along.abs() <= TURNED * (steep * moved).sqrt()
        })
    }

    /// What is known of turn · (second centre − first centre); `None` where nothing is known of one.
    pub(super) fn lean(&self, holes: [usize; 2], turn: [f64; 2]) -> Option<Lean> {
        let at = [self.holes[holes[0]].at?, self.holes[holes[1]].at?];
        let own = self.spread_of(&[(holes[1], turn), (holes[0], turn.map(|t| -t))])?;
        let free = self.free.iter().map(|z| {
            let [a, b] = at.map(|at| [z[2 * at], z[2 * at + 1]]);
            let along = turn[0] * (b[0] - a[0]) + turn[1] * (b[1] - a[1]);
            [along, square(a) + square(b)]
        });
        Some(Lean { at, turn, own, free: free.collect() })
    }

    /// [`Places::variance`] of the difference of two leans. Each brings its own variance along, so
    /// that of the sixteen pairs of centres only the four between the lines are looked up.
    pub(super) fn variance_between(&self, a: &Lean, b: &Lean) -> Option<f64> {
        let steep = 2.0 * (square(a.turn) + square(b.turn));
        let fixed = a.free.iter().zip(&b.free).all(|([along, moved], [other, other_moved])| {
            (other - along).abs() <= TURNED * (steep * (moved + other_moved)).sqrt()
        });
        if !fixed {
            return None;
        }
        let by_hole = |at: usize| b.in_common(&self.covariance[at * self.known..][..self.known], a.turn);
        let common = by_hole(a.at[1]) - by_hole(a.at[0]);
        Some((a.own + b.own - 2.0 * common).max(0.0))
    }
}
